"""Free motions are found and named; a long flexible line is not one."""

import numpy as np
import pytest

from pipecalc.calc.contact import build_contacts
from pipecalc.calc.frame import anchors, build_frame, build_loads, build_restraints, join_restraints
from pipecalc.calc.mechanism import find_mechanisms, systems
from pipecalc.calc.solve import solve

PIPE = {"E": 2e11, "A": 5e-3, "I": 3e-5, "J": 6e-5}
NONE = (np.zeros(0, int), np.zeros((0, 3)))


def line(n, step=3.0):
    return [(step * i, 0, 0) for i in range(n)], [(i, i + 1) for i in range(n - 1)]


def test_free_pipe_has_six_motions():
    frame = build_frame([(0, 0, 0), (3, 0, 0), (3, 2, 0)], [(0, 1), (1, 2)], **PIPE)
    assert len(find_mechanisms(frame, build_restraints([0], [(0, 0, 1)], stiffness=0.0), *NONE)) == 6


def test_pipe_on_two_rests_is_named_by_what_is_loose():
    nodes, ends = line(4)
    frame = build_frame(nodes, ends, **PIPE)
    held = build_restraints([1, 2, 1, 2], [(0, 0, 1), (0, 0, 1), (0, 1, 0), (0, 1, 0)])
    found = find_mechanisms(frame, held, *NONE)
    assert sorted((m.rotational, np.abs(m.direction).round(9).tolist()) for m in found) == [
        (False, [1, 0, 0]),
        (True, [1, 0, 0]),
    ]


def test_unanchored_second_system_is_named_by_its_own_nodes():
    frame = build_frame([(0, 0, 0), (3, 0, 0), (0, 5, 0), (3, 5, 0)], [(0, 1), (2, 3)], **PIPE)
    found = find_mechanisms(frame, anchors([0]), *NONE)
    assert {m.node for m in found} <= {2, 3}
    assert all(set(m.nodes.tolist()) <= {2, 3} for m in found)
    assert systems(frame).tolist() == [0, 0, 1, 1]


@pytest.mark.parametrize(("rate", "free"), [([1e6] * 6, 0), ([1e6, 1e6, 1e6, 0, 1e3, 1e3], 1), ([0, 1, 1, 1, 1, 1], 1)])
def test_joint_without_stiffness_lets_the_far_side_move(rate, free):
    frame = build_frame(
        [(0, 0, 0), (3, 0, 0), (3, 0, 0), (6, 0, 0)],
        [(0, 1), (2, 3)],
        spring_ends=[(1, 2)],
        spring_stiffness=[rate],
        **PIPE,
    )
    found = find_mechanisms(frame, anchors([0]), *NONE)
    assert len(found) == free
    assert all(abs(m.direction[0]) == pytest.approx(1.0) for m in found)


def test_long_cantilever_is_flexible_not_free():
    nodes, ends = line(2000, 0.5)
    frame = build_frame(nodes, ends, **PIPE)
    assert find_mechanisms(frame, anchors([0]), *NONE) == ()


def test_node_without_member_is_free():
    frame = build_frame([(0, 0, 0), (3, 0, 0), (9, 9, 9)], [(0, 1)], **PIPE)
    assert {m.node for m in find_mechanisms(frame, anchors([0]), *NONE)} == {2}


def test_solution_tells_of_free_motion_and_solves_the_other_cases():
    nodes, ends = line(3)
    frame = build_frame(nodes, ends, **PIPE)
    held = join_restraints(
        build_restraints([0, 2, 0, 2], [(0, 1, 0), (0, 1, 0), (0, 0, 1), (0, 0, 1)], cases=2),
        build_restraints([0], [(1, 0, 0)], rotational=True, cases=2),
    )
    snubber = build_contacts([2], [(1, 0, 0)], 2, upper=0.0, active=[[True, False]])
    nodal = np.zeros((3, 6, 2))
    nodal[1, 0] = 1000.0
    found = solve(frame, held, build_loads(frame, 2, nodal=nodal), snubber)
    assert found.settled.tolist() == [True, False]
    assert [(m.cases.tolist(), m.rotational) for m in found.mechanisms] == [([1], False)]
    assert found.contacts.normal_force[0, 0] == pytest.approx(-1000.0)
    assert np.isnan(found.movements[:, :, 1]).all()


def test_wholly_free_frame_gives_nan_and_no_exception():
    nodes, ends = line(3)
    frame = build_frame(nodes, ends, **PIPE)
    found = solve(frame, build_restraints([0], [(0, 0, 1)]), build_loads(frame))
    assert not found.settled.any()
    assert len(found.mechanisms) == 5
    assert np.isnan(found.reactions).all()
