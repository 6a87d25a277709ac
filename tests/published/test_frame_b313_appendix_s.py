"""ASME B31.3 Process Piping, Appendix S, para. S301, Example 1 (2008 and later editions).

NPS 16, two anchors, one support.

Printed: Tables S301.5.1 and S301.5.2, operating case (weight, pressure, heat). Inputs and printed results from
memory, verify against the edition of record; all printed numbers agree with an independent beam and curved-beam
solution within 0.3 % (1.3 % on the small reaction at node 50), and that solution also gives the sustained case, the
displacement range and the answers without the stiffening of elbows by pressure, which the printed tables do not hold.

The printed answers need Appendix D's pressure stiffening of elbows with the ambient modulus.
"""

from __future__ import annotations

import numpy as np
import pytest

from pipecalc.calc.end_forces import AXIAL, MOMENT_Y, MOMENT_Z, section_forces
from pipecalc.calc.frame import anchors, build_frame, build_loads, build_restraints, join_restraints
from pipecalc.calc.solve import solve

D, T, R, E = 0.4064, 0.00953, 0.6096, 203.4e9
WEIGHT = 248.3 * 9.80665
HOT, COLD = 3.62 / 1200.0, -0.28 / 1200.0
NAMES = ["10", "15", "20", "30n", "30f", "40n", "40f", "45", "50"]
MEMBERS = ["10-15", "15-20", "20-30n", "30", "30f-40n", "40", "40f-45", "45-50"]
OPERATING, SUSTAINED, RANGE = range(3)

pytestmark = pytest.mark.source("ASME B31.3 Appendix S, para. S301, Example 1, Tables S301.5.1 and S301.5.2")


def flexibility_factor(pressure):
    r = 0.5 * (D - T)
    k = 1.65 * r**2 / (T * R)
    return k / (1.0 + 6.0 * pressure / E * (r / T) ** (7.0 / 3.0) * (R / r) ** (1.0 / 3.0))


def example(pressure):
    """Frame, loads and solution of the operating and sustained cases and the displacement range."""
    x, y = 15.25, 6.1
    plane = [
        (0.0, 0.0), (6.1, 0.0), (12.2, 0.0), (x - R, 0.0), (x, R), (x, y - R), (x + R, y), (18.3, y), (24.4, y),
    ]  # fmt: skip
    centre = np.full((8, 3), np.nan)
    normal = np.full((8, 3), np.nan)
    centre[3], normal[3] = (x - R, 0.0, R), (0.0, -1.0, 0.0)
    centre[5], normal[5] = (x + R, 0.0, y - R), (0.0, 1.0, 0.0)
    area = np.pi / 4.0 * (D**2 - (D - 2 * T) ** 2)
    inertia = np.pi / 64.0 * (D**4 - (D - 2 * T) ** 4)
    frame = build_frame(
        [(a, 0.0, b) for a, b in plane],
        [(i, i + 1) for i in range(8)],
        E=E,
        A=area,
        I=inertia,
        J=2.0 * inertia,
        centre=centre,
        normal=normal,
        k_in=flexibility_factor(pressure),
        k_out=flexibility_factor(pressure),
    )
    w = np.zeros((8, 3, 3))
    w[:, 2, [OPERATING, SUSTAINED]] = -WEIGHT
    strain = np.zeros((8, 3))
    strain[:, OPERATING], strain[:, RANGE] = HOT, HOT - COLD
    loads = build_loads(frame, 3, distributed=w, strain=strain)
    held = join_restraints(anchors([0, 8], cases=3), build_restraints([2], [(0, 0, 1)], cases=3))
    return frame, loads, solve(frame, held, loads)


def reactions(solution, case):
    """Horizontal, vertical and anticlockwise moment on the pipe by node name."""
    r = solution.reactions[:, :, case]
    return {name: (r[i, 0], r[i, 2], -r[i, 4]) for i, name in enumerate(NAMES)}


def bending(frame, loads, solution, case):
    """Size of the bending moment at ends i and j of each member."""
    out = {}
    for member, name in enumerate(MEMBERS):
        ends = [section_forces(frame, solution.end_actions, loads, t)[member, :, case] for t in (0.0, 1.0)]
        out[name] = tuple(float(np.hypot(f[MOMENT_Y], f[MOMENT_Z])) for f in ends)
    return out


def test_printed_reactions():
    _, _, solution = example(3.45e6)
    found = reactions(solution, OPERATING)
    assert found["10"][:2] == pytest.approx((26500, 12710), abs=0.01 * 63050)
    assert found["20"][1] == pytest.approx(63050, rel=0.01)
    assert found["50"][0] == pytest.approx(-26500, rel=0.01)
    assert found["50"][1] == pytest.approx(-2810, rel=0.02)
    assert [found["10"][2], found["50"][2]] == pytest.approx([21520, 47480], rel=0.01)
    assert found["10"][:2] == pytest.approx((26500, 12710), rel=0.003)


def test_printed_moments_and_axial_force():
    frame, loads, solution = example(3.45e6)
    found = bending(frame, loads, solution, OPERATING)
    assert found["10-15"] == pytest.approx((21520, 10710), rel=0.005)
    assert found["20-30n"] == pytest.approx((47560, 57530), rel=0.005)
    assert found["30f-40n"][0] == pytest.approx(65320, rel=0.005)
    axial = section_forces(frame, solution.end_actions, loads, 0.5)[:, AXIAL, OPERATING]
    assert -axial[[0, 1, 2, 6, 7]] == pytest.approx([26500] * 5, rel=0.005)


def test_printed_movements():
    _, _, solution = example(3.45e6)
    mm = 1000.0 * solution.movements[:, :, OPERATING]
    assert mm[[1, 2, 3], 0] == pytest.approx([18.3, 36.7, 44.0], abs=0.051)
    assert mm[[1, 2, 3], 2] == pytest.approx([-1.3, 0.0, -3.7], abs=0.051)


# Independent solution of the same example; reactions (horizontal, vertical, anticlockwise moment), moments at both
# ends.
INDEPENDENT = [
    (
        3.45e6, OPERATING,
        {"10": (26479, 12716, 21547), "20": (0, 63052, 0), "50": (-26479, -2775, 47346)},
        {"10-15": (21547, 10720), "15-20": (10720, 47619), "20-30n": (47619, 57539), "30f-40n": (65336, 63905),
         "40f-45": (65158, 14886), "45-50": (14886, 47346)},
        {"15": (18.33, -1.34), "20": (36.67, 0), "30n": (44.0, -3.68), "30f": (41.42, 0.37), "40n": (-23.01, 15.03),
         "40f": (-25.67, 19.12), "45": (-18.33, 13.48)},
    ),
    (
        0.0, OPERATING,
        {"10": (23522, 12327, 19969), "20": (0, 61717, 0), "50": (-23522, -1050, 41162)},
        {"10-15": (19969, 9921), "15-20": (9921, 50796), "20-30n": (50796, 50152), "30f-40n": (58700, 56108),
         "40f-45": (56610, 10548), "45-50": (10548, 41162)},
        {"15": (18.34, -1.02), "20": (36.68, 0), "30n": (44.02, -4.45), "30f": (41.52, -0.59), "40n": (-23.01, 14.08),
         "40f": (-25.68, 18.11), "45": (-18.34, 12.41)},
    ),
    (
        3.45e6, SUSTAINED,
        {"10": (3273, 11664, 17285), "20": (0, 46215, 0), "50": (-3273, 15114, -37924)},
        {"10-15": (17285, 8562), "15-20": (8562, 56196), "20-30n": (56196, 5304), "30f-40n": (16343, 366),
         "40f-45": (2354, 8969), "45-50": (8969, 37924)},
        {"15": (-0.01, -0.49), "20": (-0.02, 0), "30n": (-0.02, -6.38), "30f": (0.91, -7.76), "40n": (0.27, -7.78),
         "40f": (0.01, -7.51), "45": (0.01, -5.86)},
    ),
    (
        3.45e6, RANGE,
        {"10": (25001, 1134, 4592), "20": (0, 18139, 0), "50": (-25001, -19273, 91865)},
        {"10-15": (4592, 2325), "15-20": (2325, 9241), "20-30n": (9241, 56275), "30f-40n": (52783, 69242),
         "40f-45": (72734, 25700), "45-50": (25700, 91865)},
        {"15": (19.76, -0.91), "20": (39.52, 0), "30n": (47.43, 2.91), "30f": (43.64, 8.76), "40n": (-25.08, 24.58),
         "40f": (-27.67, 28.69), "45": (-19.76, 20.84)},
    ),
    (
        0.0, RANGE,
        {"10": (22078, 846, 3428), "20": (0, 16665, 0), "50": (-22078, -17512, 85865)},
        {"10-15": (3428, 1735), "15-20": (1735, 6899), "20-30n": (6899, 49634), "30f-40n": (46850, 60907),
         "40f-45": (63691, 20956), "45-50": (20956, 85865)},
        {"15": (19.77, -0.68), "20": (39.54, 0), "30n": (47.45, 2.32), "30f": (43.71, 8.03), "40n": (-25.08, 23.86),
         "40f": (-27.68, 27.91), "45": (-19.77, 19.87)},
    ),
]  # fmt: skip


@pytest.mark.parametrize(("pressure", "case", "forces", "moments", "movements"), INDEPENDENT)
def test_independent_solution(pressure, case, forces, moments, movements):
    frame, loads, solution = example(pressure)
    found = reactions(solution, case)
    largest = max(max(abs(v) for v in row[:2]) for row in forces.values())
    for name, row in forces.items():
        assert found[name][:2] == pytest.approx(row[:2], abs=0.0005 * largest)
    bent = bending(frame, loads, solution, case)
    top = max(max(row) for row in moments.values())
    for name, row in moments.items():
        assert bent[name] == pytest.approx(row, abs=0.0005 * top)
    for name, row in movements.items():
        mm = 1000.0 * solution.movements[NAMES.index(name), [0, 2], case]
        assert tuple(mm) == pytest.approx(row, abs=0.012)
