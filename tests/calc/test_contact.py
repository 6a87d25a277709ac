"""Supports that lift, gap, rub or carry springs, against hand solutions by statics and beam theory."""

import numpy as np
import pytest

from pipecalc.calc.contact import (
    CLOSED,
    CLOSED_UPPER,
    OPEN,
    SLIP,
    SPRING,
    STICK,
    build_contacts,
    stages,
    tangents,
)
from pipecalc.calc.frame import anchors, build_frame, build_loads, build_restraints, join_restraints
from pipecalc.calc.solve import solve

E, A, I = 2e11, 5e-3, 3e-5
PIPE = {"E": E, "A": A, "I": I, "J": 2 * I, "shear_area": np.inf}
UP = (0, 0, 1)
STIFF = 1e12


def line(*stations):
    return build_frame([(x, 0, 0) for x in stations], [(i, i + 1) for i in range(len(stations) - 1)], **PIPE)


def block(push, mu, spring, cases=1):
    """A block of 1000 N on a rough floor, held by springs in the plane, pushed level at its node 0."""
    frame = line(0.0, 0.5)
    level = build_restraints([0, 1, 0, 0], [UP, UP, UP, (1, 0, 0)], rotational=[True, True, True, True], cases=cases)
    tilt = build_restraints([0, 1, 1], [(0, 1, 0)] * 2 + [(1, 0, 0)], rotational=True, cases=cases)
    held = build_restraints([0, 0], [(1, 0, 0), (0, 1, 0)], stiffness=spring, cases=cases)
    nodal = np.zeros((2, 6, cases))
    nodal[0, 2] = -1000.0
    nodal[0, 0:2] = np.asarray(push, float).reshape(2, -1)
    contacts = build_contacts([0], [UP], cases, friction=mu, friction_stiffness=STIFF)
    follows = np.arange(cases) - 1
    return solve(frame, join_restraints(level, tilt, held), build_loads(frame, cases, nodal=nodal), contacts, follows)


def test_block_sticks_below_the_friction_limit():
    found = block((200.0, 100.0), 0.3, 1e5).contacts
    assert found.slip[0, 0] == STICK
    assert found.normal_force[0, 0] == pytest.approx(1000.0)
    assert found.friction_force[0, :, 0] == pytest.approx([-200.0, -100.0, 0.0], rel=1e-5, abs=1e-9)


def test_block_slides_against_a_spring():
    found = block((400.0, 300.0), 0.3, 1e5)
    c = found.contacts
    assert c.slip[0, 0] == SLIP
    assert c.friction_force[0, :, 0] == pytest.approx([-240.0, -180.0, 0.0], rel=1e-6, abs=1e-6)
    assert found.movements[0, :2, 0] == pytest.approx([160.0 / 1e5, 120.0 / 1e5], rel=1e-6)


def test_block_pushed_and_released_keeps_part_of_its_slip():
    found = block([[500.0, 0.0, -500.0], [0.0, 0.0, 0.0]], 0.3, 1e5, 3)
    x = found.movements[0, 0]
    assert found.contacts.slip[0].tolist() == [SLIP, STICK, SLIP]
    assert x == pytest.approx([200.0 / 1e5, 200.0 / 1e5, -200.0 / 1e5], rel=1e-4)
    assert found.contacts.friction_force[0, 0] == pytest.approx([-300.0, 200.0, 300.0], rel=1e-4)


def test_friction_line_does_not_hold_across():
    frame = line(0.0, 4.0)
    nodal = np.zeros((2, 6, 1))
    nodal[1, 0:3, 0] = (500.0, 20.0, -300.0)
    contacts = build_contacts([1], [UP], friction=0.2, tangent=[(1, 0, 0)], friction_stiffness=1e10)
    found = solve(frame, anchors([0]), build_loads(frame, nodal=nodal), contacts)
    assert found.contacts.friction_force[0, 0, 0] == pytest.approx(-60.0)
    assert found.movements[1, 1, 0] == pytest.approx(20.0 * 4**3 / (3 * E * I), rel=1e-9)


def test_heated_pipe_slides_over_two_rests():
    frame = line(0.0, 4.0, 8.0)
    w = np.array([0, 0, -600.0]).reshape(1, 3, 1)
    loads = build_loads(frame, distributed=w, strain=0.002)
    smooth, rough = (
        solve(frame, anchors([0]), loads, build_contacts([1, 2], [UP, UP], friction=mu, friction_stiffness=1e10))
        for mu in (0.0, 0.3)
    )
    n1, n2 = smooth.contacts.normal_force[:, 0]
    assert rough.contacts.normal_force[:, 0] == pytest.approx([n1, n2], rel=1e-9)
    assert rough.reactions[0, 0, 0] == pytest.approx(0.3 * (n1 + n2), rel=1e-9)
    grown = 0.002 * 4 - 0.3 * (n1 + n2) * 4 / (E * A)
    end = grown + 0.002 * 4 - 0.3 * n2 * 4 / (E * A)
    assert rough.movements[[1, 2], 0, 0] == pytest.approx([grown, end], rel=1e-9)


def test_pipe_lying_on_two_rests_creeps_over_the_smoother_one():
    frame = line(0.0, 1.0, 5.0, 6.0)
    w = np.array([0, 0, -600.0]).reshape(1, 3, 1)
    held = build_restraints([1], [(1, 0, 0)], rotational=True)
    contacts = build_contacts([1, 2], [UP, UP], friction=[0.3, 0.1], friction_stiffness=1e9)
    found = solve(frame, held, build_loads(frame, distributed=w, strain=0.001), contacts)
    c = found.contacts
    assert found.settled.all()
    assert c.normal_force[:, 0] == pytest.approx([1800.0, 1800.0])
    assert c.slip[:, 0].tolist() == [STICK, SLIP]
    assert c.friction_force[:, 0, 0] == pytest.approx([180.0, -180.0])
    assert found.movements[2, 0, 0] - found.movements[1, 0, 0] == pytest.approx(0.004 - 180 * 4 / (E * A), rel=1e-9)


def test_cooling_turns_the_friction_round():
    frame = line(0.0, 4.0)
    w = np.zeros((1, 3, 3))
    w[:, 2] = -600.0
    loads = build_loads(frame, 3, distributed=w, strain=[[0.0, 0.002, 0.0]])
    contacts = build_contacts([1], [UP], 3, friction=0.25, friction_stiffness=1e10)
    found = solve(frame, anchors([0], cases=3), loads, contacts, [-1, 0, 1])
    limit = 0.25 * 3 / 8 * 2400
    assert found.contacts.friction_force[0, 0] == pytest.approx([0.0, -limit, limit], abs=1e-6)
    assert found.contacts.slip[0, 1:].tolist() == [SLIP, SLIP]


def test_rest_carries_weight_and_lets_go_when_the_anchor_rises():
    frame = line(0.0, 6.0)
    rise = np.zeros((1, 6, 2))
    rise[0, 2, 1] = 0.1
    w = np.array([0, 0, -500.0]).reshape(1, 3, 1)
    contacts = build_contacts([1], [UP], 2)
    found = solve(frame, anchors([0], rise, 2), build_loads(frame, 2, distributed=w), contacts)
    assert found.contacts.state[0].tolist() == [CLOSED, OPEN]
    assert found.contacts.normal_force[0] == pytest.approx([3 / 8 * 3000, 0.0])
    assert found.contacts.movement[0, 2, 1] == pytest.approx(0.1 - 500 * 6**4 / (8 * E * I))


def test_guide_closes_its_gap_on_either_side():
    frame = line(0.0, 5.0)
    nodal = np.zeros((2, 6, 3))
    nodal[1, 1] = [2000.0, -2000.0, 50.0]
    contacts = build_contacts([1], [(0, 1, 0)], 3, lower=-0.005, upper=0.003)
    found = solve(frame, anchors([0], cases=3), build_loads(frame, 3, nodal=nodal), contacts)
    bend = 3 * E * I / 5**3
    assert found.contacts.state[0].tolist() == [CLOSED_UPPER, CLOSED, OPEN]
    assert found.contacts.normal_force[0] == pytest.approx([-(2000 - bend * 0.003), 2000 - bend * 0.005, 0.0])
    assert found.movements[1, 1] == pytest.approx([0.003, -0.005, 50.0 / bend])


def test_finite_stiffness_yields_beyond_the_gap():
    frame = line(0.0, 5.0)
    nodal = np.zeros((2, 6, 1))
    nodal[1, 1] = 2000.0
    contacts = build_contacts([1], [(0, 1, 0)], lower=-0.003, upper=0.003, stiffness=1e6)
    found = solve(frame, anchors([0]), build_loads(frame, nodal=nodal), contacts)
    bend = 3 * E * I / 5**3
    v = (2000 + 1e6 * 0.003) / (bend + 1e6)
    assert found.movements[1, 1, 0] == pytest.approx(v)
    assert found.contacts.normal_force[0, 0] == pytest.approx(-1e6 * (v - 0.003))


def test_spring_and_constant_load():
    frame = line(0.0, 5.0)
    nodal = np.zeros((2, 6, 1))
    nodal[1, 2] = -1500.0
    bend = 3 * E * I / 5**3
    for rate, expected in ((2e4, (1500 - 1200) / (bend + 2e4)), (0.0, 300 / bend)):
        contacts = build_contacts([1], [UP], stiffness=rate, is_spring=True, preload=1200.0)
        found = solve(frame, anchors([0]), build_loads(frame, nodal=nodal), contacts)
        assert found.contacts.state[0, 0] == SPRING
        assert found.movements[1, 2, 0] == pytest.approx(-expected)
        assert found.contacts.normal_force[0, 0] == pytest.approx(1200 + rate * expected)


def test_moving_ground_carries_the_pipe():
    frame = line(0.0, 5.0)
    ground = np.zeros((1, 3, 1))
    ground[0, 2] = 0.01
    found = solve(frame, anchors([0]), build_loads(frame), build_contacts([1], [UP], ground=ground))
    assert found.contacts.normal_force[0, 0] == pytest.approx(3 * E * I / 5**3 * 0.01)
    assert found.contacts.movement[0, :, 0] == pytest.approx([0, 0, 0], abs=1e-12)


def test_support_absent_in_a_case_does_nothing_there():
    frame = line(0.0, 6.0)
    w = np.array([0, 0, -500.0]).reshape(1, 3, 1)
    contacts = build_contacts([1], [UP], 2, active=[[True, False]])
    found = solve(frame, anchors([0], cases=2), build_loads(frame, 2, distributed=w), contacts)
    assert found.contacts.normal_force[0] == pytest.approx([1125.0, 0.0])
    assert found.movements[1, 2, 1] == pytest.approx(-500 * 6**4 / (8 * E * I))


def test_block_pushed_beyond_friction_without_a_spring_is_told_not_raised():
    frame = line(0.0, 4.0)
    held = join_restraints(
        build_restraints([0, 1, 0], [(0, 1, 0), (0, 1, 0), UP]), build_restraints([0], [(1, 0, 0)], rotational=True)
    )
    nodal = np.zeros((2, 6, 1))
    nodal[1, 0], nodal[1, 2] = 900.0, -1000.0
    contacts = build_contacts([1], [UP], friction=0.3)
    found = solve(frame, held, build_loads(frame, nodal=nodal), contacts)
    assert not found.settled[0]
    assert found.contacts.residual[0, 0] > 1e-6


def test_lifted_everywhere_is_told_not_raised():
    frame = line(0.0, 4.0)
    held = build_restraints([0, 0, 1, 0], [(1, 0, 0), (0, 1, 0), (0, 1, 0), (1, 0, 0)], rotational=[False] * 3 + [True])
    nodal = np.zeros((2, 6, 1))
    nodal[:, 2] = 500.0
    found = solve(frame, held, build_loads(frame, nodal=nodal), build_contacts([0, 1], [UP, UP]))
    assert not found.settled[0]


def test_cases_are_put_in_the_order_they_follow():
    assert [s.tolist() for s in stages(np.array([2, -1, 1, 1]))] == [[1], [2, 3], [0]]
    with pytest.raises(ValueError, match="ring"):
        stages(np.array([1, 0]))


def test_tangents_are_square_to_the_normal():
    c = build_contacts([0, 0, 0], [UP, (1, 0, 0), (1, 1, 1)], tangent=[(1, 0, 0), (np.nan,) * 3, (1, 0, 0)])
    t = tangents(c)
    for normal, pair in zip(c.normal, t, strict=True):
        assert np.vstack([normal, pair]) @ np.vstack([normal, pair]).T == pytest.approx(np.eye(3))
    assert t[0, 0] == pytest.approx([1, 0, 0])


@pytest.mark.parametrize(
    ("options", "message"),
    [
        ({"normal": [(0, 0, 0)]}, "normal without length"),
        ({"lower": 0.1, "upper": 0.0}, "lower above upper"),
        ({"friction": -0.1}, "friction below zero"),
        ({"stiffness": 0.0}, "support without stiffness"),
        ({"is_spring": True}, "spring with friction or infinite rate"),
        ({"friction": 0.3, "friction_stiffness": np.inf}, "finite friction stiffness"),
    ],
)
def test_impossible_contacts_are_refused(options, message):
    with np.errstate(invalid="ignore"), pytest.raises(ValueError, match=message):
        build_contacts([0], **{"normal": [UP], **options})
