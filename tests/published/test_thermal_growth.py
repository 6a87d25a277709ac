"""Thermal growth, free and restrained, and the growth of a vessel in zones.

Restrained pipe: example problem 27-1, lectures on architectural structures (ARCH 461), University of Oregon,
1995: 25 ft of pipe, 3.17 in², 60 °F to 220 °F.
Column: method of a piping mechanical design manual, vertical vessels (skirt at an average temperature, shell by
zones, nozzle by its own zone); zones invented, sums by direct arithmetic.
"""

import pytest

from pipecalc.calc.expansion import free_growth, restrained_stress, restrained_thrust, strain_from_coefficient

INCH, FOOT, PSI, LBF = 0.0254, 0.3048, 6894.757293168, 4.4482216152605


@pytest.mark.source("University of Oregon, structures course, example problem 27-1, 1995")
def test_restrained_pipe():
    eps = strain_from_coefficient(6.5e-6 * 1.8, (220 - 60) / 1.8)
    assert free_growth(eps, 25 * FOOT) / INCH == pytest.approx(0.312, rel=1e-3)
    assert restrained_stress(29e6 * PSI, eps) / PSI == pytest.approx(-30160, rel=1e-3)
    assert restrained_thrust(29e6 * PSI, 3.17 * INCH**2, eps) / LBF == pytest.approx(95600, rel=1e-3)


@pytest.mark.source("piping mechanical design manual, vertical vessels: skirt, zones and nozzle summed; zones invented")
def test_column_on_a_skirt():
    zones = [(1.18e-5, 120 - 21, 5.0, 5.841), (1.25e-5, 230 - 21, 12.0, 31.35), (1.2e-5, 160 - 21, 8.0, 13.344)]
    grown = [free_growth(strain_from_coefficient(alpha, dT), L) * 1e3 for alpha, dT, L, _ in zones]
    assert grown == pytest.approx([expected for *_, expected in zones], rel=1e-3)
    assert sum(grown) == pytest.approx(50.535, rel=1e-3)
    radial = free_growth(strain_from_coefficient(1.2e-5, 160 - 21), 1.4)
    assert radial * 1e3 == pytest.approx(2.3352, rel=1e-3)
