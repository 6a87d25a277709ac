"""The solver: several cases at once, imposed movements, springs, wide bands, refused input."""

import numpy as np
import pytest

from pipecalc.calc import factor as factor_module
from pipecalc.calc.contact import build_contacts
from pipecalc.calc.frame import anchors, build_frame, build_loads, build_restraints, join_restraints
from pipecalc.calc.solve import solve

PIPE = {"E": 2e11, "A": 5e-3, "I": 3e-5, "J": 6e-5}


def tee():
    return build_frame(
        [(0, 0, 0), (4, 0, 0), (8, 0, 0), (4, 3, 0), (4, 3, 3)], [(0, 1), (1, 2), (1, 3), (3, 4)], **PIPE
    )


def test_cases_solved_together_are_those_solved_alone():
    frame = tee()
    rng = np.random.default_rng(1)
    nodal, strain = rng.normal(size=(5, 6, 3)) * 1e3, np.array([[0.0, 0.001, 0.002]])
    moved = rng.normal(size=(2, 6, 3)) * 1e-3
    together = solve(frame, anchors([0, 4], moved, 3), build_loads(frame, 3, nodal=nodal, strain=strain))
    for case in range(3):
        one = build_loads(frame, 1, nodal=nodal[..., [case]], strain=strain[:, [case]])
        alone = solve(frame, anchors([0, 4], moved[..., [case]]), one)
        assert together.movements[..., case] == pytest.approx(alone.movements[..., 0], rel=1e-10, abs=1e-15)


def test_wide_band_takes_the_general_factor(monkeypatch):
    frame = tee()
    nodal = np.zeros((5, 6, 1))
    nodal[2, :3, 0] = (100.0, 200.0, -300.0)
    held = join_restraints(anchors([0]), build_restraints([4], [(1, 2, 2)], stiffness=1e6))
    band = solve(frame, held, build_loads(frame, nodal=nodal))
    monkeypatch.setattr(factor_module, "_BAND_WORK", 1.0)
    general = solve(frame, held, build_loads(frame, nodal=nodal))
    assert general.movements == pytest.approx(band.movements, rel=1e-9, abs=1e-15)


def test_supports_on_a_wide_band_are_those_of_a_narrow_one(monkeypatch):
    # a main with a branch: runs that touch one, two and three supports, members between two supports, two side by side
    nodes = [(2.0 * i, 0.0, 0.0) for i in range(12)] + [(12.0, 2.0 * i, 0.0) for i in range(1, 6)]
    ends = [(i, i + 1) for i in range(11)] + [(6, 12)] + [(i, i + 1) for i in range(12, 16)] + [(3, 4)]
    frame = build_frame(nodes, ends, E=2e11, A=5e-3, I=3e-5, J=6e-5)
    held = join_restraints(anchors([0], cases=2), build_restraints([16], [(1, 1, 0)], cases=2))
    rests = [2, 3, 4, 8, 11, 14]
    contacts = build_contacts(rests, np.tile([0.0, 0.0, 1.0], (6, 1)), 2, stiffness=1e9, friction=0.3)
    strain = np.array([[0.0, 0.002]])
    loads = build_loads(frame, 2, distributed=np.array([0.0, 0.0, -400.0]).reshape(1, 3, 1), strain=strain)
    band = solve(frame, held, loads, contacts, [-1, 0])
    monkeypatch.setattr(factor_module, "_BAND_WORK", 1.0)
    general = solve(frame, held, loads, contacts, [-1, 0])
    assert band.settled.all()
    assert band.residual.max() < 1e-9
    assert general.movements == pytest.approx(band.movements, rel=1e-7, abs=1e-12)
    assert general.contacts.normal_force == pytest.approx(band.contacts.normal_force, rel=1e-7, abs=1e-6)


def test_spring_axes_turn_its_stiffness():
    half = np.sqrt(0.5)
    axes = [[half, half, 0], [-half, half, 0], [0, 0, 1]]
    frame = build_frame(
        [(0, 0, 0), (1, 0, 0), (1, 0, 0)], [(0, 1)], spring_ends=[(1, 2)], spring_axes=[axes],
        spring_stiffness=[[1e3, 2e3, 1e12, 1e12, 1e12, 1e12]], **PIPE,
    )  # fmt: skip
    nodal = np.zeros((3, 6, 1))
    nodal[2, 0] = 10.0
    found = solve(frame, anchors([0]), build_loads(frame, nodal=nodal))
    along = 10 * half / 1e3 * np.array([half, half]) + 10 * half / 2e3 * np.array([half, -half])
    assert found.movements[2, :2, 0] - found.movements[1, :2, 0] == pytest.approx(along, rel=1e-4)


def test_different_counts_of_cases_are_refused():
    frame = tee()
    with pytest.raises(ValueError, match="number of cases"):
        solve(frame, anchors([0], cases=2), build_loads(frame, 3))


def test_numbers_are_reported_as_balanced():
    frame = tee()
    w = np.array([30.0, -20.0, -500.0]).reshape(1, 3, 1)
    found = solve(frame, anchors([0, 4]), build_loads(frame, distributed=w))
    assert found.balance[0] < 1e-12
    assert found.residual[0] < 1e-12
    assert found.reactions[:, :3, 0].sum(axis=0) == pytest.approx(-14 * w[0, :, 0])
