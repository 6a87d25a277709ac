"""Bend element: golden flexibilities, integration along the arc, chords in the limit, loads and heat."""

import numpy as np
import pytest

from pipecalc.calc.bend_element import bend_flexibility, bend_load_movement
from pipecalc.calc.frame import anchors, build_frame, build_loads
from pipecalc.calc.solve import solve

NPS6 = {"R": 0.229, "E": 203e9, "A": 3600.46e-6, "I": 1.171623e-5, "k": 6.5826}


def values(R, phi, E, A, I, k_i, k_o):
    return [np.array([v]) for v in (R, phi, E, E / 2.6, A, I, 2 * I, A / 2, k_i, k_o)]


def integrated(R, phi, E, G, A, I, J, A_s, k_i, k_o):
    """Flexibility by virtual work with section forces written out, composite trapezoid-free Gauss sum."""
    points, weights = np.polynomial.legendre.leggauss(40)
    total = np.zeros((6, 6))
    for s, weight in zip(0.5 * phi * (points + 1.0), 0.5 * phi * R * weights, strict=True):
        tangent, inward = np.array([np.cos(s), -np.sin(s), 0.0]), np.array([np.sin(s), np.cos(s), 0.0])
        arm = -np.array([-R * np.sin(s), R * (1.0 - np.cos(s)), 0.0])
        rows = []
        for load in np.eye(6):
            force, moment = load[:3], load[3:] + np.cross(arm, load[:3])
            rows.append([v @ d for v in (force, moment) for d in (tangent, inward, np.array([0.0, 0.0, 1.0]))])
        section = np.array(rows)
        give = np.array([1 / (E * A), 1 / (G * A_s), 1 / (G * A_s), 1 / (G * J), k_o / (E * I), k_i / (E * I)])
        total += weight * (section * give) @ section.T
    return total


@pytest.mark.parametrize("degrees", [5.0, 30.0, 45.0, 90.0, 135.0, 180.0, 300.0])
def test_any_angle_against_integration(degrees):
    v = values(0.6, np.radians(degrees), 2e11, 5e-3, 3e-5, 4.0, 7.0)
    expected = integrated(*(float(x[0]) for x in v))
    assert bend_flexibility(*v)[0] == pytest.approx(expected, rel=1e-9, abs=1e-12 * np.abs(expected).max())


def test_load_movement_against_integration():
    v = values(0.6, 1.1, 2e11, 5e-3, 3e-5, 4.0, 7.0)
    points, weights = np.polynomial.legendre.leggauss(40)
    total = np.zeros((6, 3))
    # the load between B and a section is a sum of point loads; each moves B by the transfer flexibility of its arc
    for s, weight in zip(0.55 * (points + 1.0), 0.55 * 0.6 * weights, strict=True):
        part = integrated(0.6, 1.1, *(float(x[0]) for x in v[2:]))
        near = integrated(0.6, s, *(float(x[0]) for x in v[2:]))
        rest = part - near
        carry = np.eye(6)
        arm = np.array([-0.6 * np.sin(s), 0.6 * (1 - np.cos(s)), 0.0])
        carry[3:6, 0:3] = np.array([[0, -arm[2], arm[1]], [arm[2], 0, -arm[0]], [-arm[1], arm[0], 0]])
        total += weight * (rest @ carry)[:, :3]
    assert bend_load_movement(*v)[0] == pytest.approx(total, rel=1e-9, abs=1e-12 * np.abs(total).max())


def arc_frame(pieces, angle=np.pi / 2, R=1.5, k=5.0):
    """One bend in `pieces` equal bends, fixed at both ends."""
    t = angle * np.arange(pieces + 1) / pieces
    nodes = np.stack([R * np.sin(t), R * (1 - np.cos(t)), 0 * t], axis=1)
    return build_frame(
        nodes, [(i, i + 1) for i in range(pieces)], E=2e11, A=5e-3, I=3e-5, J=6e-5, k_in=k, k_out=k,
        centre=np.tile([0, R, 0], (pieces, 1)), normal=np.tile([0, 0, 1], (pieces, 1)),
    )  # fmt: skip


@pytest.mark.parametrize("angle", [np.pi / 6, np.pi / 2, np.pi, 4.0])
def test_splitting_a_loaded_bend_changes_nothing(angle):
    w = np.array([300.0, -200.0, 500.0]).reshape(1, 3, 1)
    whole, split = (arc_frame(n, angle) for n in (1, 6))
    a = solve(whole, anchors([0, 1]), build_loads(whole, distributed=w, strain=0.001))
    b = solve(split, anchors([0, 6]), build_loads(split, distributed=w, strain=0.001))
    assert a.reactions[[0, 1], :, 0] == pytest.approx(b.reactions[[0, 6], :, 0], rel=1e-8, abs=1e-5)


def test_heated_bend_moves_freely_along_its_chord_without_turning():
    frame = arc_frame(1)
    found = solve(frame, anchors([0]), build_loads(frame, strain=0.002))
    assert found.movements[1, :, 0] == pytest.approx([0.003, 0.003, 0, 0, 0, 0], abs=1e-15)


def test_bend_of_large_radius_is_a_straight_pipe():
    R, L = 1e4, 2.0
    t = L / R
    frame = build_frame(
        [(0, 0, 0), (R * np.sin(t), 2 * R * np.sin(t / 2) ** 2, 0), (0, 0, 0), (L, 0, 0)], [(0, 1), (2, 3)],
        E=2e11, A=5e-3, I=3e-5, J=6e-5,
        centre=[(0, R, 0), (np.nan,) * 3], normal=[(0, 0, 1), (np.nan,) * 3],
    )  # fmt: skip
    nodal = np.zeros((4, 6, 1))
    nodal[[1, 3], 0:3, 0] = (0.0, 100.0, 200.0)
    found = solve(frame, anchors([0, 2]), build_loads(frame, nodal=nodal))
    assert found.movements[1, 1:3, 0] == pytest.approx(found.movements[3, 1:3, 0], rel=1e-4)
