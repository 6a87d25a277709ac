"""Water and steam density against the release's own check values.

IAPWS R7-97(2012), Revised Release on the IAPWS Industrial Formulation 1997 for the Thermodynamic Properties of
Water and Steam: Table 5 (region 1), Table 15 (region 2), Table 33 (region 3), Table 36 (saturation
temperature).
"""

import pytest

from pipecalc import fluid

KELVIN = 273.15


def density(word, T, p):
    return fluid.density(word, T - KELVIN, p * 1e6 - fluid.ATMOSPHERE)


@pytest.mark.source("IAPWS R7-97(2012), Table 5")
@pytest.mark.parametrize(
    ("T", "p", "v"), [(300, 3, 0.100215168e-2), (300, 80, 0.971180894e-3), (500, 3, 0.120241800e-2)]
)
def test_liquid(T, p, v):
    assert density("water", T, p) == pytest.approx(1 / v, rel=1e-8)


@pytest.mark.source("IAPWS R7-97(2012), Table 15")
@pytest.mark.parametrize(
    ("T", "p", "v"), [(300, 0.0035, 0.394913866e2), (700, 0.0035, 0.923015898e2), (700, 30, 0.542946619e-2)]
)
def test_steam(T, p, v):
    assert density("steam", T, p) == pytest.approx(1 / v, rel=1e-8)


@pytest.mark.source("IAPWS R7-97(2012), Table 33")
@pytest.mark.parametrize(("T", "rho", "p"), [(650, 500, 25.5837018), (650, 200, 22.2930643), (750, 500, 78.3095639)])
def test_near_and_above_the_critical_point(T, rho, p):
    """The release gives p of T and rho; here rho of p and T comes by its less sharp backward equation."""
    assert density("water", T, p) == pytest.approx(rho, rel=2e-4)


@pytest.mark.source("IAPWS R7-97(2012), Table 36")
@pytest.mark.parametrize(("p", "T"), [(0.1, 372.755919), (1.0, 453.035632), (10.0, 584.149488)])
def test_saturation_temperature(p, T):
    assert fluid.saturation_temperature(p * 1e6 - fluid.ATMOSPHERE) + KELVIN == pytest.approx(T, abs=1e-6)
