"""Columns and springs against closed forms of the literature.

Timoshenko and Gere, Theory of Elastic Stability, 2nd ed., 2.1 and 2.12; Roark, 8th ed., Table 8.1; MSS SP-58 for the
definition of the load variation. Buckling loads are also found here by finite differences, without either book.
"""

from math import pi, sqrt

import numpy as np
import pytest

from pipecalc.calc.column import guide_spacing_by_buckling, standing_height
from pipecalc.calc.span_loads import load_moment_share, load_sag_share, loaded_frequency, loaded_span_sag
from pipecalc.calc.spring import largest_rate, spring_cold_load, spring_variation


@pytest.mark.source("Timoshenko and Gere, Theory of Elastic Stability, 2nd ed., 2.1: P = pi² E I/L²")
def test_guides_stand_at_the_euler_length():
    assert guide_spacing_by_buckling(2e11, 1e-5, pi**2 * 2e11 * 1e-5 / 36.0, 1.0) == pytest.approx(6.0)
    assert guide_spacing_by_buckling(2e11, 1e-5, 1e4, 4.0) == pytest.approx(
        guide_spacing_by_buckling(2e11, 1e-5, 1e4, 1.0) / 2
    )


@pytest.mark.source("Timoshenko and Gere, Theory of Elastic Stability, 2nd ed., 2.12: (w H)cr = 7.837 E I/H²")
def test_the_height_of_a_free_standing_pipe_is_that_of_finite_differences():
    """E I theta'' + w (H - x) theta = 0 with theta(0) = 0 and theta'(H) = 0, theta the slope."""
    count = 2000
    h = 1.0 / count
    x = np.arange(1, count + 1) * h
    stiffness = (2 * np.eye(count) - np.eye(count, k=1) - np.eye(count, k=-1)) / h**2
    stiffness[-1, -2:] = np.array([-2.0, 2.0]) / h**2
    inverse = np.linalg.solve(stiffness, np.diag(1.0 - x))
    vector = np.ones(count)
    for _ in range(60):
        vector = inverse @ vector
        vector /= np.abs(vector).max()
    critical = 1.0 / float((inverse @ vector)[-1] / vector[-1])
    assert critical == pytest.approx(7.837, rel=1e-3)
    assert standing_height(1.0, 1.0, critical, 1.0) == pytest.approx(1.0, rel=1e-3)


@pytest.mark.source("MSS SP-58: load variation = travel x rate / hot load; hand example, 10 kN, 80 N/mm, 25 mm rising")
def test_a_spring_by_hand():
    assert spring_cold_load(10e3, 80e3, 0.025) == pytest.approx(12e3)
    assert spring_variation(10e3, 80e3, 0.025) == pytest.approx(0.20)
    assert spring_variation(10e3, 80e3, -0.025) == pytest.approx(0.20)
    assert largest_rate(10e3, 0.25, 0.025) == pytest.approx(100e3)


@pytest.mark.source("Roark, 8th ed., Table 8.1, case 1e: P L/4 and P L³/(48 E I) at mid-span")
def test_a_load_at_mid_span():
    assert load_moment_share(0.5) == 0.25
    assert load_sag_share(0.5) == pytest.approx(1 / 48)
    assert np.isnan(load_sag_share(0.6))
    assert loaded_span_sag(0.0, 3.0, 2e11, 1e-5, 76.8, 1000.0 / 48) == pytest.approx(1000 * 27 / (48 * 2e6))


@pytest.mark.source("Roark, 8th ed., Table 16.1: simple beam; Dunkerley's bound below the exact frequency")
def test_frequencies_with_a_mass_at_mid_span_lie_just_below_the_exact_one():
    E, I, L, m = 2e11, 1e-5, 6.0, 40.0
    assert loaded_frequency(L, E, I, m, 0.0, pi**2) == pytest.approx(pi / 2 / L**2 * sqrt(E * I / m))
    light = loaded_frequency(L, E, I, 1e-9, 500.0 / 16, pi**2)
    assert light == pytest.approx(sqrt(48 * E * I / L**3 / 500.0) / 2 / pi, rel=1e-6)
    both = loaded_frequency(L, E, I, m, 500.0 / 16, pi**2)
    exact = by_differences(E * I, L, m, 500.0)
    assert 0.96 * exact < both < exact


def by_differences(EI, L, m, M, count=400):
    """Lowest frequency of a simple beam with a mass at mid-span, by finite differences [Hz]."""
    h = L / count
    second = (2 * np.eye(count - 1) - np.eye(count - 1, k=1) - np.eye(count - 1, k=-1)) / h**2
    mass = np.full(count - 1, m)
    mass[count // 2 - 1] += M / h
    omega_squared = np.linalg.eigvals(np.diag(1 / mass) @ (EI * second @ second)).real.min()
    return float(np.sqrt(omega_squared)) / 2 / pi
