"""Frames with answers in closed form.

Beams and rings: W. C. Young, R. G. Budynas, Roark's Formulas for Stress and Strain, 7th ed., 2002, chapters 8 and 9.
Heated portal: A. Kleinlogel, Rigid Frame Formulas, fixed-base portal with uniform heating of the beam. Bends
with a flexibility factor: virtual work.
"""

from __future__ import annotations

import numpy as np
import pytest

from pipecalc.calc.frame import anchors, build_frame, build_loads, build_restraints, join_restraints
from pipecalc.calc.solve import solve

E = 2.0e11
D, T = 0.2191, 0.00818
A = np.pi / 4.0 * (D**2 - (D - 2 * T) ** 2)
I = np.pi / 64.0 * (D**4 - (D - 2 * T) ** 4)
ROARK = "W. C. Young, R. G. Budynas, Roark's Formulas for Stress and Strain, 7th ed., 2002, Table 8.1"


def straight(length, shear=np.inf, area=A):
    return build_frame([(0, 0, 0), (length, 0, 0)], [(0, 1)], E=E, A=area, I=I, J=2 * I, shear_area=shear)


def tip_load(frame, **components):
    nodal = np.zeros((len(frame.nodes), 6, 1))
    for name, value in components.items():
        nodal[-1, ["fx", "fy", "fz", "mx", "my", "mz"].index(name), 0] = value
    return nodal


@pytest.mark.source(ROARK)
def test_cantilever():
    frame = straight(4.0)
    w = np.array([0.0, 0.0, -500.0]).reshape(1, 3, 1)
    found = solve(frame, anchors([0]), build_loads(frame, nodal=tip_load(frame, fz=-900.0), distributed=w))
    sag = 900.0 * 4.0**3 / (3 * E * I) + 500.0 * 4.0**4 / (8 * E * I)
    assert found.movements[1, 2, 0] == pytest.approx(-sag, rel=1e-10)
    assert found.reactions[0, [2, 4], 0] == pytest.approx([2900.0, -(900 * 4 + 500 * 8.0)], rel=1e-10)


@pytest.mark.source("S. Timoshenko, Strength of Materials, Part I, 3rd ed., 1955, art. 39, deflection by shear")
def test_cantilever_with_shear_deformation():
    frame = straight(1.0, shear=A / 2.0)
    found = solve(frame, anchors([0]), build_loads(frame, nodal=tip_load(frame, fy=1000.0)))
    G = E / 2.6
    assert found.movements[1, 1, 0] == pytest.approx(1000 / (3 * E * I) + 1000 / (G * A / 2.0), rel=1e-10)


@pytest.mark.source(ROARK)
def test_propped_cantilever_under_uniform_load():
    frame = straight(6.0)
    held = join_restraints(anchors([0]), build_restraints([1], [(0, 0, 1)]))
    found = solve(frame, held, build_loads(frame, distributed=np.array([0, 0, -1000.0]).reshape(1, 3, 1)))
    assert found.restraint_forces[-1, 0] == pytest.approx(3 / 8 * 6000, rel=1e-10)
    assert found.reactions[0, 4, 0] == pytest.approx(-1000 * 36 / 8, rel=1e-10)


@pytest.mark.source(
    "Roark's Formulas for Stress and Strain, beams with an imposed end movement, fixed-guided and fixed-pinned"
)
@pytest.mark.parametrize(
    ("outside", "wall", "length", "moved", "force", "moment", "pinned_force", "pinned_moment"),
    [
        (0.1143, 0.00602, 3.0, 0.015, 4014.03, 6021.04, 1003.51, 3010.52),
        (0.2191, 0.00818, 6.0, 0.025, 8385.26, 25155.8, 2096.32, 12577.9),
        (0.3239, 0.00953, 5.0, 0.010, 22344.8, 55862.0, 5586.2, 27931.0),
    ],
)
def test_guided_and_pinned_cantilever(outside, wall, length, moved, force, moment, pinned_force, pinned_moment):
    area = np.pi / 4.0 * (outside**2 - (outside - 2 * wall) ** 2)
    inertia = np.pi / 64.0 * (outside**4 - (outside - 2 * wall) ** 4)
    frame = build_frame([(0, 0, 0), (length, 0, 0)], [(0, 1)], E=E, A=area, I=inertia, J=2 * inertia, shear_area=np.inf)
    nothing = build_loads(frame)
    shift = np.zeros((2, 6, 1))
    shift[1, 1] = moved
    guided = solve(frame, anchors([0, 1], shift), nothing)
    assert guided.reactions[1, 1, 0] == pytest.approx(force, rel=1e-5)
    assert abs(guided.reactions[[0, 1], 5, 0]) == pytest.approx([moment, moment], rel=1e-5)
    held = join_restraints(anchors([0]), build_restraints([1], [(0, 1, 0)], movement=moved))
    pinned = solve(frame, held, nothing)
    assert pinned.reactions[1, 1, 0] == pytest.approx(pinned_force, rel=1e-5)
    assert abs(pinned.reactions[0, 5, 0]) == pytest.approx(pinned_moment, rel=1e-5)


@pytest.mark.source(
    "A. Kleinlogel, Rigid Frame Formulas, portal with fixed feet, beam heated; from memory, by slope deflection"
)
def test_heated_portal():
    frame = build_frame(
        [(0, 0, 0), (0, 0, 5), (10, 0, 5), (10, 0, 0)], [(0, 1), (1, 2), (2, 3)],
        E=E, A=1e6 * A, I=I, J=2 * I, shear_area=np.inf,
    )  # fmt: skip
    found = solve(frame, anchors([0, 3]), build_loads(frame, strain=[[0.0], [0.0024], [0.0]]))
    assert abs(found.reactions[[0, 3], 0, 0]) == pytest.approx([2782.03] * 2, rel=1e-5)
    assert abs(found.reactions[[0, 3], 4, 0]) == pytest.approx([10432.6] * 2, rel=1e-5)
    assert abs(found.end_actions[1, [4, 10], 0]) == pytest.approx([3477.54] * 2, rel=1e-5)


@pytest.mark.source("thermal thrust of a bar between rigid ends, E A alpha dT; any textbook of strength of materials")
def test_anchored_straight_pipe_thrust():
    frame = straight(7.0)
    found = solve(frame, anchors([0, 1]), build_loads(frame, strain=0.0012))
    assert found.reactions[[0, 1], 0, 0] == pytest.approx([E * A * 0.0012, -E * A * 0.0012], rel=1e-12)


@pytest.mark.source(
    "Virtual work on a quarter circle with flexibility factor k; S. Timoshenko, Strength of Materials, Part I, 1955"
)
@pytest.mark.parametrize("k", [1.0, 6.5826, 15.0])
def test_quarter_bend_with_flexibility_factor(k):
    R = 1.2
    frame = build_frame(
        [(0, 0, 0), (R, R, 0)], [(0, 1)], E=E, A=1e9 * A, I=I, J=2 * I, shear_area=np.inf,
        centre=[(0, R, 0)], normal=[(0, 0, 1)], k_in=k, k_out=k,
    )  # fmt: skip
    G = E / 2.6
    in_plane = solve(frame, anchors([0]), build_loads(frame, nodal=tip_load(frame, fx=1.0)))
    assert in_plane.movements[1, 0, 0] == pytest.approx(k * np.pi / 4 * R**3 / (E * I), rel=1e-7)
    out = solve(frame, anchors([0]), build_loads(frame, nodal=tip_load(frame, fz=1.0)))
    expected = k * np.pi / 4 * R**3 / (E * I) + (3 * np.pi / 4 - 2) * R**3 / (2 * G * I)
    assert out.movements[1, 2, 0] == pytest.approx(expected, rel=1e-7)


@pytest.mark.source("Roark's Formulas for Stress and Strain, 7th ed., Table 9.2 case 1, ring under opposite forces")
def test_ring_under_opposite_forces():
    R, P = 2.0, 1000.0
    angle = np.pi / 2.0 * np.arange(4)
    frame = build_frame(
        np.stack([R * np.cos(angle), R * np.sin(angle), 0 * angle], axis=1), [(0, 1), (1, 2), (2, 3), (3, 0)],
        E=E, A=1e6 * A, I=I, J=2 * I, shear_area=np.inf, centre=np.zeros((4, 3)), normal=np.tile([0, 0, 1], (4, 1)),
    )  # fmt: skip
    nodal = np.zeros((4, 6, 1))
    nodal[1, 1], nodal[3, 1] = -P, P
    held = join_restraints(anchors([0]))
    found = solve(frame, held, build_loads(frame, nodal=nodal))
    across = found.movements[1, 1, 0] - found.movements[3, 1, 0]
    along = found.movements[0, 0, 0] - found.movements[2, 0, 0]
    assert across == pytest.approx(-P * R**3 / (E * I) * (np.pi / 4 - 2 / np.pi), rel=1e-6)
    assert along == pytest.approx(P * R**3 / (E * I) * (2 / np.pi - 0.5), rel=1e-6)
