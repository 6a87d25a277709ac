"""Records of the frame: what is refused, defaults, grouping of cases."""

import numpy as np
import pytest

from pipecalc.calc.frame import anchors, build_frame, build_restraints, group_cases

PIPE = {"E": 2e11, "A": 5e-3, "I": 3e-5, "J": 6e-5}


@pytest.mark.parametrize(
    ("nodes", "ends", "extra", "message"),
    [
        ([(0, 0, 0), (0, 0, 0)], [(0, 1)], {}, "without length"),
        ([(0, 0, 0), (1, 0, 0)], [(0, 2)], {}, "outside the nodes"),
        ([(0, 0, 0), (1, 0, 0)], [(0, 1)], {"A": 0.0}, "A not above zero"),
        ([(0, 0, 0), (1, 0, 0)], [(0, 1)], {"k_in": 0.9}, "k_in below 1"),
        ([(0, 0, 0), (1, np.nan, 0)], [(0, 1)], {}, "no position"),
        ([(0, 0, 0), (1, 1.1, 0)], [(0, 1)], {"centre": [(0, 1, 0)], "normal": [(0, 0, 1)]}, "one circle"),
        ([(0, 0, 0), (1, 1, 0)], [(0, 1)], {"centre": [(0, 1, 0)], "normal": [(0, 1, 1)]}, "square to its plane"),
    ],
)
def test_impossible_frames_are_refused(nodes, ends, extra, message):
    with pytest.raises(ValueError, match=message):
        build_frame(nodes, ends, **{**PIPE, **extra})


def test_bend_geometry_follows_from_centre_and_normal():
    quarter = build_frame([(0, 0, 0), (1, 1, 0)], [(0, 1)], centre=[(0, 1, 0)], normal=[(0, 0, 2)], **PIPE)
    rest = build_frame([(0, 0, 0), (1, 1, 0)], [(0, 1)], centre=[(0, 1, 0)], normal=[(0, 0, -1)], **PIPE)
    assert quarter.angle[0] == pytest.approx(np.pi / 2)
    assert rest.angle[0] == pytest.approx(1.5 * np.pi)
    assert rest.length[0] == pytest.approx(1.5 * np.pi)


def test_defaults_are_those_of_steel_pipe():
    frame = build_frame([(0, 0, 0), (1, 0, 0)], [(0, 1)], **PIPE)
    assert frame.G[0] == pytest.approx(2e11 / 2.6)
    assert frame.shear_area[0] == 2.5e-3


def test_arrays_are_sealed():
    frame = build_frame([(0, 0, 0), (1, 0, 0)], [(0, 1)], **PIPE)
    with pytest.raises(ValueError, match="read-only"):
        frame.nodes[0, 0] = 1.0


def test_anchor_is_six_restraints():
    held = anchors([3, 5], np.arange(6.0).reshape(1, 6, 1))
    assert held.node.tolist() == [3] * 6 + [5] * 6
    assert held.movement[:, 0].tolist() == [0, 1, 2, 3, 4, 5] * 2
    assert held.rotational.tolist() == ([False] * 3 + [True] * 3) * 2


def test_restraint_without_direction_is_refused():
    with pytest.raises(ValueError, match="direction"):
        build_restraints([0], [(0, 0, 0)])


def test_cases_of_one_stiffness_are_grouped():
    modulus = np.array([[2.0, 1.9, 2.0, 1.9, 1.8], [2.0, 2.0, 2.0, 2.0, 2.0]]) * 1e11
    assert [g.tolist() for g in group_cases(modulus)] == [[0, 2], [1, 3], [4]]
