"""Assembly: banded storage against a plain dense sum, order of nodes, skewed restraints."""

import numpy as np
import pytest

from pipecalc.calc.assembly import hold
from pipecalc.calc.band import band_matrix, order_nodes
from pipecalc.calc.elements import build_stack, gather, scatter
from pipecalc.calc.frame import anchors, build_frame, build_loads, build_restraints, join_restraints
from pipecalc.calc.solve import solve

PIPE = {"E": 2e11, "A": 5e-3, "I": 3e-5, "J": 6e-5}
NODES = [(0, 0, 0), (3, 0, 0), (3, 2, 0), (3, 2, 4), (6, 0, 0), (6, 5, 0)]
ENDS = [(0, 1), (1, 2), (2, 3), (1, 4), (5, 4), (4, 1)]  # two pipes side by side between 1 and 4


def dense(frame):
    elements = build_stack(frame).elements
    total = np.zeros((6 * len(frame.nodes),) * 2)
    for (i, j), k in zip(elements.ends, elements.matrices(np.arange(len(elements.ends))), strict=True):
        of = np.r_[6 * i : 6 * i + 6, 6 * j : 6 * j + 6]
        total[np.ix_(of, of)] += k
    return total


def test_band_is_the_dense_sum_reordered():
    frame = build_frame(NODES, ENDS, **PIPE)
    elements = build_stack(frame).elements
    place, _ = order_nodes(elements.ends, 6, np.zeros(6, bool))
    fixed = np.zeros((6, 6), bool)
    fixed[0], fixed[3, :3] = True, True
    band = band_matrix(elements, place, fixed, (np.zeros(0, int), np.zeros((0, 6, 6))))
    number = (6 * place[:, None] + np.arange(6)).reshape(-1)
    expected = np.zeros((36, 36))
    full = dense(frame)
    full[fixed.reshape(-1), :] = full[:, fixed.reshape(-1)] = 0.0
    full[fixed.reshape(-1), fixed.reshape(-1)] = 1.0
    expected[np.ix_(number, number)] = full
    rebuilt = np.zeros((36, 36))
    for column in range(36):
        for offset in range(min(band.shape[1], 36 - column)):
            rebuilt[column + offset, column] = band[column, offset]
    assert rebuilt == pytest.approx(np.tril(expected), rel=1e-13, abs=1e-3)


def test_order_leaves_kept_nodes_out_and_numbers_the_others():
    kept = np.array([False, True, False, False, False, False])
    place, _ = order_nodes(np.array(ENDS), 6, kept)
    assert place[1] == -1
    assert sorted(place[~kept]) == [0, 1, 2, 3, 4]


def test_scatter_is_the_transpose_of_gather():
    rng = np.random.default_rng(3)
    u, f = rng.normal(size=(6, 6, 2)), rng.normal(size=(6, 12, 2))
    ends = np.array(ENDS)
    assert np.sum(gather(u, ends) * f) == pytest.approx(np.sum(u * scatter(f, ends, 6)))


def test_skewed_rigid_restraints_hold_exactly():
    frame = build_frame(NODES, ENDS, **PIPE)
    ways = np.array([(1, 1, 0), (0, 1, 2.0)])
    held = join_restraints(
        anchors([0]), build_restraints([3, 3], ways, movement=[[0.01], [-0.004]]), build_restraints([5], [(0, 0, -1)])
    )
    nodal = np.zeros((6, 6, 1))
    nodal[4, 2] = -5000.0
    found = solve(frame, held, build_loads(frame, nodal=nodal, strain=0.001))
    along = [found.movements[3, :3, 0] @ way / np.linalg.norm(way) for way in ways]
    assert along == pytest.approx([0.01, -0.004], rel=1e-12)
    pushed = found.restraint_forces[6:8, 0] @ (ways / np.linalg.norm(ways, axis=1, keepdims=True))
    assert found.reactions[3, :3, 0] == pytest.approx(pushed, rel=1e-9)
    assert found.restraint_forces[8, 0] == pytest.approx(-found.reactions[5, 2, 0])
    assert found.balance[0] < 1e-10


def test_stiff_springs_approach_rigid_restraints():
    frame = build_frame(NODES, ENDS, **PIPE)
    way = [(1, 2, 2)]
    loads = build_loads(frame, distributed=np.array([0, 0, -500.0]).reshape(1, 3, 1))
    rigid, stiff = (
        solve(frame, join_restraints(anchors([0]), build_restraints([3], way, stiffness=k, movement=0.01)), loads)
        for k in (np.inf, 1e13)
    )
    assert stiff.reactions[3, :3, 0] == pytest.approx(rigid.reactions[3, :3, 0], rel=1e-5)


def test_contradicting_restraints_are_refused():
    twice = build_restraints([1, 1], [(1, 0, 0), (1, 0, 0)], movement=[[0.0], [0.01]])
    with pytest.raises(ValueError, match="different movements"):
        hold(6, twice, 1)


def test_repeated_restraints_share_the_force():
    frame = build_frame(NODES, ENDS, **PIPE)
    held = join_restraints(anchors([0]), build_restraints([3, 3], [(0, 0, 1), (0, 0, 1)]))
    found = solve(frame, held, build_loads(frame, distributed=np.array([0, 0, -500.0]).reshape(1, 3, 1)))
    assert found.restraint_forces[6, 0] == pytest.approx(found.restraint_forces[7, 0])
    assert found.restraint_forces[6:, 0].sum() == pytest.approx(found.reactions[3, 2, 0])
