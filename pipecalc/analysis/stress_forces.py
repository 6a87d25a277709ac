"""Section forces as the stress equations need them, and the sections between the ends of runs that are bent most."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from pipecalc.analysis.factors import STRAIGHT
from pipecalc.analysis.frame import FrameRun
from pipecalc.analysis.frame_results import SectionForces
from pipecalc.analysis.stress_points import StressPoint
from pipecalc.calc.end_forces import AXIAL, MOMENT_Y, MOMENT_Z, SHEAR_Y, SHEAR_Z, TORSION, section_axes
from pipecalc.calc.frame import Array, Frame, Index
from pipecalc.model import Item, Segment

#: Kinds of cases with loads along the runs, whose moments may be largest between the ends.
LOADED = ("sustained", "occasional", "test")
_STEPS = 32  # sections that are looked at between the ends of a run
_MORE = 1.001  # by so much a moment must exceed those at both ends to have a section of its own


@dataclass(frozen=True, slots=True, eq=False)
class PointForces:
    """Forces at every section in every case, each of shape (points, cases)."""

    axial: Array
    torsion: Array
    in_plane: Array
    out_of_plane: Array


def bending(forces: SectionForces, frame: Frame, members: Index, fraction: Array) -> tuple[Array, Array]:
    """Moments about both local axes of straight members at a fraction of their length, each of shape (n, cases).

    Under a load that is even along the member the moment is a parabola, whose rise follows from the shears.

    Args:
        forces: Section forces at both ends.
        frame: The frame.
        members: Numbers of the members, shape (n,).
        fraction: 0 at the start, 1 at the end, shape (n,).
    """
    t, length = fraction[:, None], frame.length[members][:, None]
    start, end = forces.start[members], forces.end[members]
    rise = (end[:, SHEAR_Y : SHEAR_Z + 1] - start[:, SHEAR_Y : SHEAR_Z + 1]) * length[:, :, None] / 2.0
    arch = t * (1.0 - t)
    about_y = start[:, MOMENT_Y] * (1.0 - t) + end[:, MOMENT_Y] * t - rise[:, 1] * arch
    about_z = start[:, MOMENT_Z] * (1.0 - t) + end[:, MOMENT_Z] * t + rise[:, 0] * arch
    return about_y, about_z


def inner_points(run: FrameRun, frame: Frame, forces: SectionForces) -> Iterator[StressPoint]:
    """Sections of straight runs where a sustained, occasional or test case bends more than at either end."""
    members = run.net.members
    rows = [n for n, m in enumerate(members) if m.part == "run" and m.segment.item is Item.PIPE]
    columns = {kind: [c for c, case in enumerate(forces.cases) if case.kind == kind] for kind in LOADED}
    if not rows or not any(columns.values()):
        return
    steps = np.linspace(0.0, 1.0, _STEPS + 1)
    sizes = np.array([np.hypot(*bending(forces, frame, np.array(rows, np.intp), np.full(len(rows), t))) for t in steps])
    for position, number in enumerate(rows):
        at = {step for own in columns.values() if own for step in _largest(sizes[:, position, own])}
        segment = members[number].segment
        along = float(np.linalg.norm(run.net.at[members[number].i] - np.asarray(segment.start_at)))
        for step in sorted(at):
            share = (along + steps[step] * float(frame.length[number])) / segment.length
            where = _between(segment, share)
            yield StressPoint(number, float(steps[step]), segment, members[number].section, where, "run", STRAIGHT)


def _largest(sizes: Array) -> Iterator[int]:
    """Step of the largest moment of all cases, if it exceeds that at the ends in its case; shape (steps, cases)."""
    inside = sizes[1:-1].argmax(axis=0) + 1
    found = sizes[inside, np.arange(sizes.shape[1])]
    more = np.where(found > _MORE * np.maximum(sizes[0], sizes[-1]), found, 0.0)
    if more.max(initial=0.0) > 0:
        yield int(inside[int(more.argmax())])


def _between(segment: Segment, share: float) -> str:
    return f"between {segment.start} and {segment.end}, {100 * share:.0f} % of the way"


def point_forces(points: Sequence[StressPoint], frame: Frame, forces: SectionForces) -> PointForces:
    """Section forces resolved for stress: in and out of the plane of the bend, corner or branch."""
    rows = np.array([p.member for p in points], np.intp)
    t = np.array([p.fraction for p in points])
    share = t[:, None]
    axial = forces.start[rows, AXIAL] * (1.0 - share) + forces.end[rows, AXIAL] * share
    torsion = forces.start[rows, TORSION] * (1.0 - share) + forces.end[rows, TORSION] * share
    about_y, about_z = bending(forces, frame, rows, t)
    bend = np.array([p.part == "bend" for p in points], bool)[:, None]
    in_plane, out_of_plane = np.where(bend, about_z, about_y), np.where(bend, about_y, about_z)
    planes = [n for n, p in enumerate(points) if p.normal is not None]
    if planes:
        axes = section_axes(frame, 0.0)[rows[planes]]
        normal = np.einsum("pij,pj->pi", axes, np.array([points[n].normal for n in planes], float))
        y, z = about_y[planes], about_z[planes]
        in_plane[planes] = normal[:, 1:2] * y + normal[:, 2:3] * z
        out_of_plane[planes] = normal[:, 1:2] * z - normal[:, 2:3] * y
    return PointForces(axial, torsion, in_plane, out_of_plane)
