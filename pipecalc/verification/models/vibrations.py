"""Natural frequencies of straight beams, through the frame solver alone."""

import numpy as np

from pipecalc.calc.frame import Frame, Restraints, anchors, build_frame, build_restraints, join_restraints
from pipecalc.calc.modes import natural_modes
from pipecalc.verification.models import Numbers

_PIECES = 40


def _beam(E: float, I: float, L: float, pieces: int, A: float = 5e-3) -> Frame:
    nodes = [(x, 0, 0) for x in np.linspace(0.0, L, pieces + 1)]
    ends = [(i, i + 1) for i in range(pieces)]
    return build_frame(nodes, ends, E=E, A=A, I=I, J=2 * I, shear_area=np.inf)


def _held(ends: str) -> Restraints:
    """Both ends as named; a pinned beam does not spin about its axis, and does not slide."""
    last = _PIECES
    if ends == "clamped, free":
        return anchors([0])
    if ends == "clamped, clamped":
        return anchors([0, last])
    across = [build_restraints([last], [way]) for way in ((0, 1, 0), (0, 0, 1))]
    if ends == "clamped, pinned":
        return join_restraints(anchors([0]), *across)
    pins = [build_restraints([0], [way]) for way in ((1, 0, 0), (0, 1, 0), (0, 0, 1))]
    return join_restraints(*pins, *across, build_restraints([0], [(1, 0, 0)], rotational=True))


def beam(ends: str, masses: str, E: float, I: float, L: float, m: float) -> Numbers:
    """First and second bending frequency of a uniform beam; every one comes twice, once for each plane."""
    consistent = masses == "consistent"
    found = natural_modes(_beam(E, I, L, _PIECES), _held(ends), 0.0, m, 4, consistent=consistent).frequency
    return {"first": found[0], "second": found[2]}


def short_beam(E: float, I: float, L: float, m: float) -> Numbers:
    """First frequency of a clamped beam in a single element with consistent mass."""
    return {"first": natural_modes(_beam(E, I, L, 1), anchors([0]), 0.0, m, 2).frequency[0]}


def mass_at_end(E: float, A: float, I: float, L: float, M: float) -> Numbers:
    """A mass at the end of a cantilever without mass: bending, and along."""
    found = natural_modes(_beam(E, I, L, 1, A), anchors([0]), [0.0, M], 0.0, 5).frequency
    return {"bending": found[0], "along": found[2]}
