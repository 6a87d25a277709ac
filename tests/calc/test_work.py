"""Theorems of work on solved frames, and that a spoilt solution shows."""

from dataclasses import replace

import numpy as np
import pytest

from pipecalc.calc.contact import build_contacts
from pipecalc.calc.frame import anchors, build_frame, build_loads, join_restraints
from pipecalc.calc.solve import solve
from pipecalc.calc.work import work_residuals

PIPE = {"E": 2e11, "A": 5e-3, "I": 3e-5, "J": 6e-5, "shear_area": np.inf}


@pytest.fixture(scope="module")
def solved():
    """A heated L between anchors, one of which moves, on rests that rub: weight, heat and weight, a push."""
    frame = build_frame([(0, 0, 0), (4, 0, 0), (8, 0, 0), (8, 5, 0), (8, 5, 2)], [(i, i + 1) for i in range(4)], **PIPE)
    distributed, strain, nodal = np.zeros((4, 3, 3)), np.zeros((4, 3)), np.zeros((5, 6, 3))
    distributed[:, 2, :2] = -600.0
    strain[:, 1] = 0.0015
    nodal[2, 0:3, 2] = (900.0, -400.0, 300.0)
    loads = build_loads(frame, 3, distributed=distributed, strain=strain, nodal=nodal)
    contacts = build_contacts([1, 2], [(0, 0, 1)] * 2, 3, friction=0.3, friction_stiffness=1e8)
    moved = np.zeros((1, 6, 3))
    moved[0, 0:3, 1] = (0.004, -0.003, 0.006)
    held = join_restraints(anchors([0], cases=3), anchors([4], moved, cases=3))
    solution = solve(frame, held, loads, contacts, [-1, 0, -1])
    assert solution.settled.all()
    return frame, loads, contacts, solution


def test_energy_and_symmetry_close(solved):
    energy, symmetry = work_residuals(*solved)
    assert energy.max() < 1e-9
    assert symmetry.max() < 1e-9


@pytest.mark.parametrize("name", ["movements", "reactions"])
def test_a_spoilt_solution_shows(solved, name):
    frame, loads, contacts, solution = solved
    values = getattr(solution, name).copy()
    node = 4 if name == "reactions" else 2  # reactions work where the ground moves
    values[node, :, 1] *= 1.01
    spoilt = replace(solution, **{name: values})
    energy, symmetry = work_residuals(frame, loads, contacts, spoilt)
    assert energy[1] > 1e-6 or symmetry[1] > 1e-6


def test_unsettled_cases_have_no_number(solved):
    frame, loads, contacts, solution = solved
    energy, symmetry = work_residuals(frame, loads, contacts, replace(solution, settled=np.array([True, False, True])))
    assert np.isnan(energy).tolist() == [False, True, False]
    assert np.isnan(symmetry).tolist() == [False, True, False]
