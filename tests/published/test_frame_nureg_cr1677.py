"""NUREG/CR-1677 Vol. 1, Piping Benchmark Problems, Problem 1, pp. 24-47 (P. Bezler, M. Hartzman, M. Reich, 1980).

Two anchors, two bends, lumped masses. Inputs and target frequencies as repeated in a general finite-element
verification manual (case VM-NR1677-01-1). The frequencies prove the elbow factor (k = 1 gives 9 to 14 % more) and
the masses. Tolerance 1 % on modes 1 to 3 and 2 % on modes 4 and 5 without shear deformation, 2.5 % with it: the
shear coefficient of the reference is not known.
"""

from __future__ import annotations

import numpy as np
import pytest

from pipecalc.calc.frame import anchors, build_frame
from pipecalc.calc.modes import natural_modes

INCH, POUND = 0.0254, 4.4482216152605
PSI = POUND / INCH**2
POINTS = np.array([
    (0, 0, 0), (0, 54.45, 0), (0, 108.9, 0), (10.632, 134.568, 0), (36.3, 145.2, 0), (54.15, 145.2, 0),
    (72, 145.2, 0), (97.668, 145.2, 10.632), (108.3, 145.2, 36.3), (108.3, 145.2, 56.8), (108.3, 145.2, 77.3),
])  # fmt: skip
MASS = [0.0, 0.03988, 0.05032, 0.02088, 0.01698, 0.01307, 0.01698, 0.01044, 0.01795, 0.01501, 0.0]
FREQUENCY = np.array([28.515, 56.441, 82.947, 144.14, 166.26])

pytestmark = pytest.mark.source("NUREG/CR-1677 Vol. 1, 1980, Problem 1, pp. 24-47")


def frequencies(k, shear_area):
    D, T, R = 7.289, 0.241, 36.3
    area = np.pi / 4.0 * (D**2 - (D - 2 * T) ** 2) * INCH**2
    inertia = np.pi / 64.0 * (D**4 - (D - 2 * T) ** 4) * INCH**4
    centre, normal = np.full((10, 3), np.nan), np.full((10, 3), np.nan)
    centre[2:4], normal[2:4] = np.array((36.3, 108.9, 0)) * INCH, (0, 0, -1)
    centre[6:8], normal[6:8] = np.array((72, 145.2, 36.3)) * INCH, (0, -1, 0)
    points = POINTS * INCH
    # the printed middle points are rounded to a thousandth of an inch; put them on the circle
    for node, c in ((3, centre[2]), (7, centre[6])):
        points[node] = c + R * INCH * (points[node] - c) / np.linalg.norm(points[node] - c)
    frame = build_frame(
        points,
        [(i, i + 1) for i in range(10)],
        E=24.0e6 * PSI,
        A=area,
        I=inertia,
        J=2.0 * inertia,
        shear_area=shear_area * area,
        centre=centre,
        normal=normal,
        k_in=k,
        k_out=k,
    )
    masses = np.array(MASS) * POUND / INCH
    return natural_modes(frame, anchors([0, 10]), masses).frequency


def elbow_factor():
    r = 0.5 * (7.289 - 0.241)
    return 1.65 / (0.241 * 36.3 / r**2)


def test_frequencies_without_shear_deformation():
    found = frequencies(elbow_factor(), np.inf)
    assert found[:3] == pytest.approx(FREQUENCY[:3], rel=0.01)
    assert found[3:] == pytest.approx(FREQUENCY[3:], rel=0.02)


def test_frequencies_with_shear_deformation():
    assert frequencies(elbow_factor(), 0.5) == pytest.approx(FREQUENCY, rel=0.025)


def test_without_elbow_factor_the_frequencies_are_missed():
    assert np.all(frequencies(1.0, np.inf) > 1.07 * FREQUENCY)
