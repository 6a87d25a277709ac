"""Natural frequencies: sizes of models, supports as found, and what has none; see ``pipecalc/verification/``."""

import numpy as np
import pytest

from pipecalc.calc.contact import build_contacts
from pipecalc.calc.frame import anchors, build_frame, build_loads, build_restraints, join_restraints
from pipecalc.calc.modes import natural_modes, supports_as_found
from pipecalc.calc.solve import solve

E, A, I, M = 2e11, 5e-3, 3e-5, 60.0
PIPE = {"E": E, "A": A, "I": I, "J": 2 * I, "shear_area": np.inf}


def beam(pieces, length):
    x = np.linspace(0.0, length, pieces + 1)
    return build_frame([(a, 0, 0) for a in x], [(i, i + 1) for i in range(pieces)], **PIPE)


def pinned(pieces):
    both = [0, pieces]
    return join_restraints(
        build_restraints(both, [(0, 1, 0)] * 2),
        build_restraints(both, [(0, 0, 1)] * 2),
        build_restraints(both, [(1, 0, 0)] * 2),
        build_restraints([0], [(1, 0, 0)], rotational=True),
    )


def uniform(factor, length):
    return factor / (2 * np.pi * length**2) * np.sqrt(E * I / M)


def test_shapes_are_scaled_to_a_modal_mass_of_one():
    found = natural_modes(beam(1, 3.0), anchors([0]), [0.0, 500.0], 0.0, 5)
    assert 500.0 * np.sum(found.shape[1, :3, 0] ** 2) == pytest.approx(1.0)


def test_large_and_small_models_agree():
    coarse = natural_modes(beam(40, 8.0), pinned(40), 0.0, M, 3)
    fine = natural_modes(beam(160, 8.0), pinned(160), 0.0, M, 3)
    assert fine.frequency == pytest.approx(coarse.frequency, rel=1e-5)
    mass = M * 8.0 / 160
    assert np.sum(mass * fine.shape[:, :3, 0] ** 2) == pytest.approx(1.0, rel=1e-3)


def test_lumped_mass_in_a_large_model():
    fine = natural_modes(beam(160, 8.0), pinned(160), 0.0, M, 2, consistent=False)
    assert fine.frequency == pytest.approx([uniform(np.pi**2, 8.0)] * 2, rel=1e-4)


def test_skewed_restraint_turns_the_mass_with_it():
    held = join_restraints(anchors([0]), build_restraints([10], [(0, 1, 1)]))
    found = natural_modes(beam(10, 8.0), held, 0.0, M, 2)
    assert found.frequency == pytest.approx([uniform(3.516, 8.0), uniform(15.418, 8.0)], rel=1e-3)


def test_free_frame_has_no_modes_but_says_why():
    found = natural_modes(beam(2, 4.0), build_restraints([0], [(0, 0, 1)]), 0.0, M)
    assert found.frequency.size == 0
    assert found.mechanisms


def test_frame_without_mass_has_no_modes():
    assert natural_modes(beam(2, 4.0), anchors([0]), 0.0, 0.0).frequency.size == 0


def test_rest_counts_where_it_carries():
    frame = beam(10, 8.0)
    w = np.zeros((10, 3, 2))
    w[:, 2] = [-500.0, 500.0]
    contacts = build_contacts([10], [(0, 0, 1)], 2, stiffness=1e12)
    found = solve(frame, anchors([0], cases=2), build_loads(frame, 2, distributed=w), contacts)
    seated, lifted = (
        natural_modes(frame, join_restraints(anchors([0]), supports_as_found(contacts, found.contacts, c)), 0.0, M, 2)
        for c in (0, 1)
    )
    assert seated.frequency == pytest.approx([uniform(3.516, 8.0), uniform(15.418, 8.0)], rel=1e-3)
    assert lifted.frequency == pytest.approx([uniform(3.516, 8.0)] * 2, rel=1e-3)
