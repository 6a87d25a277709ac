"""Seismic coefficients of piping and exposure coefficients of the wind: ASCE 7.

The 7-16 equation (13.3-1) is confirmed in public text of the section; its limits and the table values are from
memory, the three rows by direct arithmetic. The 7-22 row is a hand evaluation of eq. (13.3-1) to (13.3-6), from
memory: symbols confirmed, formulas not. The exposure coefficients are Table 26.10-1 of ASCE 7-16, from memory.
"""

import pytest

from pipecalc.calc import seismic

SEVEN_16 = pytest.mark.source("ASCE 7-10 / 7-16 section 13.3.1, Table 13.6-1")
SEVEN_22 = pytest.mark.source("ASCE 7-22 section 13.3.1, hand evaluation")
WIND = pytest.mark.source("ASCE 7-16 Table 26.10-1 and eq. (26.10-1)")


@SEVEN_16
@pytest.mark.parametrize(
    ("S_DS", "R_p", "I_p", "z", "C", "vertical"),
    [(1.0, 12.0, 1.5, 0.5, 0.45, 0.2), (0.4, 12.0, 1.0, 1.0, 0.12, 0.08), (0.6, 4.5, 1.0, 0.0, 0.18, 0.12)],
)
def test_three_lines_where_the_lower_limit_governs(S_DS, R_p, I_p, z, C, vertical):
    found = seismic.horizontal_coefficient_2016(S_DS, 2.5, R_p, I_p, z * 20.0, 20.0)
    assert found == pytest.approx(C, rel=1e-3)
    assert seismic.vertical_coefficient(S_DS) == pytest.approx(vertical)


@SEVEN_16
def test_a_stiff_joint_at_the_roof_is_between_the_limits():
    """0.4 x 2.5 x 1.2/(3/1.5) x 3 = 1.8, limits 0.54 and 2.88."""
    assert seismic.horizontal_coefficient_2016(1.2, 2.5, 3.0, 1.5, 10.0, 10.0) == pytest.approx(1.8)


@SEVEN_22
def test_a_line_in_a_moment_frame():
    """T_a 0.5 s, z/h 0.8: a_1 2.0, a_2 0.36, H_f 2.63866; R 8, Omega_0 3, I_e 1: R_mu 1.71270; force 0.61626 W."""
    H_f = seismic.height_factor_2022(16.0, 20.0, 0.5)
    R_mu = seismic.ductility_factor_2022(8.0, 1.0, 3.0)
    assert H_f == pytest.approx(2.63866, rel=1e-5)
    assert R_mu == pytest.approx(1.71270, rel=1e-5)
    found = seismic.horizontal_coefficient_2022(1.0, 1.0, H_f, R_mu, C_AR=1.0, R_po=1.0)
    assert found == pytest.approx(0.61626, rel=1e-4)


@SEVEN_22
def test_unknown_period_and_the_lower_limits():
    """H_f = 1 + 2.5 x 0.5 = 2.25; R_mu is not below 1.3; C_AR/R_po = 1/1.5 at grade: 0.267 rises to 0.3."""
    assert seismic.height_factor_2022_unknown_period(10.0, 20.0) == pytest.approx(2.25)
    assert seismic.ductility_factor_2022(3.0, 1.5, 3.0) == 1.3
    assert seismic.horizontal_coefficient_2022(1.0, 1.0, 1.0, 1.0, 1.0, 1.5) == pytest.approx(0.3)


@WIND
@pytest.mark.parametrize(
    ("exposure", "at_15_ft", "at_50_ft", "at_100_ft"),
    [("B", 0.57, 0.81, 0.99), ("C", 0.85, 1.09, 1.26), ("D", 1.03, 1.27, 1.43)],
)
def test_printed_exposure_coefficients(exposure, at_15_ft, at_50_ft, at_100_ft):
    terrain = seismic.EXPOSURES_2016[exposure]
    found = [
        seismic.exposure_coefficient_2016(feet * 0.3048, terrain.alpha, terrain.gradient_height)
        for feet in (15, 50, 100)
    ]
    assert found == pytest.approx([at_15_ft, at_50_ft, at_100_ft], abs=0.008)


@WIND
def test_the_us_form_of_the_velocity_pressure():
    """0.00256 V^2 in lbf/ft2 and mph is the same pressure: 115 mph gives 33.86 lbf/ft2 = 1621 Pa."""
    found = seismic.velocity_pressure(1.0, 1.0, 1.0, 1.0, 115 * 0.44704)
    assert found == pytest.approx(0.00256 * 115**2 * 47.88026, rel=2e-3)
