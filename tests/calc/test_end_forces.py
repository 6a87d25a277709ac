"""Section forces in local axes: signs, between the ends, in bends."""

import numpy as np
import pytest

from pipecalc.calc.end_forces import (
    AXIAL,
    OUT_OF_PLANE,
    TORSION,
    section_axes,
    section_forces,
    straight_axes,
)
from pipecalc.calc.frame import anchors, build_frame, build_loads
from pipecalc.calc.solve import solve

PIPE = {"E": 2e11, "A": 5e-3, "I": 3e-5, "J": 6e-5}


def run(frame, nodal=None, w=(0, 0, 0)):
    force = np.zeros((len(frame.nodes), 6, 1))
    if nodal is not None:
        force[-1, :, 0] = nodal
    loads = build_loads(frame, nodal=force, distributed=np.array(w, float).reshape(1, 3, 1))
    found = solve(frame, anchors([0]), loads)
    return lambda t: section_forces(frame, found.end_actions, loads, t)[0, :, 0]


def test_local_axes_are_level_and_upward():
    axes = straight_axes(np.array([[1.0, 0, 0], [0, 1.0, 0], [0, 0, 1.0], [0.6, 0, 0.8]]))
    assert axes[:2, 2] == pytest.approx(np.array([[0, 0, 1.0]] * 2))
    assert axes[2, 2] == pytest.approx([1, 0, 0])
    assert axes[3, 1, 2] == pytest.approx(0.0)
    assert np.linalg.det(axes) == pytest.approx(np.ones(4))


def test_tension_is_positive_at_both_ends():
    at = run(build_frame([(0, 0, 0), (3, 0, 0)], [(0, 1)], **PIPE), (700, 0, 0, 50, 0, 0))
    assert [at(t)[AXIAL] for t in (0.0, 0.5, 1.0)] == pytest.approx([700] * 3)
    assert [at(t)[TORSION] for t in (0.0, 1.0)] == pytest.approx([50] * 2)


def test_weight_along_an_arc_gives_the_moment_of_its_centroid():
    R, w = 1.3, 400.0
    frame = build_frame([(0, 0, 0), (R, R, 0)], [(0, 1)], centre=[(0, R, 0)], normal=[(0, 0, 1)], **PIPE)
    at = run(frame, w=(0, 0, -w))
    total, arm_x, arm_y = w * R * np.pi / 2, 2 * R / np.pi, R - 2 * R / np.pi
    fixed = at(0.0)
    # at the start x is East and y North, so bending about y takes the East arm and torsion the North arm
    assert abs(fixed[OUT_OF_PLANE]) == pytest.approx(total * arm_x)
    assert abs(fixed[TORSION]) == pytest.approx(total * arm_y)
    assert at(1.0) == pytest.approx(np.zeros(6), abs=1e-9)


def test_axes_of_a_bend_follow_the_arc():
    frame = build_frame([(0, 0, 0), (1, 1, 0)], [(0, 1)], centre=[(0, 1, 0)], normal=[(0, 0, 1)], **PIPE)
    assert section_axes(frame, 0.0)[0] == pytest.approx(np.eye(3), abs=1e-12)
    half = np.sqrt(0.5)
    assert section_axes(frame, 0.5)[0] == pytest.approx(
        np.array([[half, half, 0], [-half, half, 0], [0, 0, 1]]), abs=1e-12
    )
