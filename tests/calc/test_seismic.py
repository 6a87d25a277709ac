"""Seismic coefficients and wind: limits and impossible input."""

import numpy as np
import pytest

from pipecalc.calc import seismic as s

NAN = float("nan")


def test_above_the_roof_the_height_counts_as_the_roof():
    at, above = (s.horizontal_coefficient_2016(1.0, 2.5, 3.0, 1.0, z, 20.0) for z in (20.0, 25.0))
    assert at == above
    assert s.height_factor_2022(25.0, 20.0, 0.5) == s.height_factor_2022(20.0, 20.0, 0.5)


@pytest.mark.parametrize("change", [{"z": -1.0}, {"h": 0.0}, {"R_p": 0.0}, {"S_DS": -0.1}, {"I_p": 0.9}, {"a_p": NAN}])
def test_impossible_seismic_input_has_no_coefficient(change):
    given = {"S_DS": 1.0, "a_p": 2.5, "R_p": 12.0, "I_p": 1.0, "z": 5.0, "h": 20.0}
    assert np.isfinite(s.horizontal_coefficient_2016(**given))
    assert np.isnan(s.horizontal_coefficient_2016(**{**given, **change}))


@pytest.mark.parametrize("change", [{"H_f": 0.9}, {"R_mu": 0.5}, {"C_AR": 0.0}, {"R_po": 0.0}, {"S_DS": NAN}])
def test_impossible_input_of_the_later_form_has_no_coefficient(change):
    given = {"S_DS": 1.0, "I_p": 1.0, "H_f": 2.0, "R_mu": 1.5, "C_AR": 1.4, "R_po": 1.5}
    assert np.isfinite(s.horizontal_coefficient_2022(**given))
    assert np.isnan(s.horizontal_coefficient_2022(**{**given, **change}))


def test_the_upper_limit_holds():
    assert s.horizontal_coefficient_2016(1.0, 2.5, 0.5, 1.0, 20.0, 20.0) == pytest.approx(1.6)
    assert s.horizontal_coefficient_2022(1.0, 1.5, 3.5, 1.0, 4.0, 1.0) == pytest.approx(2.4)


def test_a_stiff_building_has_the_largest_linear_term_and_no_other():
    assert s.height_factor_2022(10.0, 10.0, 0.2) == pytest.approx(3.5)
    assert s.height_factor_2022(10.0, 10.0, 0.2) == pytest.approx(s.height_factor_2022_unknown_period(10.0, 10.0))
    assert np.isnan(s.height_factor_2022(10.0, 10.0, 0.0))


def test_site_values_give_the_design_acceleration():
    assert s.design_acceleration(1.2, 0.75) == pytest.approx(0.6)
    assert np.isnan(s.design_acceleration(0.0, 0.75))


def test_the_wind_profile_holds_below_and_ends_at_its_gradient_height():
    assert s.exposure_coefficient_2016(0.0, 9.5, 274.3) == s.exposure_coefficient_2016(4.6, 9.5, 274.3)
    assert np.isnan(s.exposure_coefficient_2016(300.0, 9.5, 274.3))
    assert np.isnan(s.exposure_coefficient_2016(-1.0, 9.5, 274.3))


@pytest.mark.parametrize("change", [{"K_z": 0.0}, {"K_zt": 0.9}, {"K_d": 1.1}, {"K_e": 0.0}, {"V": -1.0}, {"V": NAN}])
def test_impossible_wind_input_has_no_pressure(change):
    given = {"K_z": 1.0, "K_zt": 1.0, "K_d": 0.95, "K_e": 1.0, "V": 45.0}
    assert s.velocity_pressure(**given) == pytest.approx(0.613 * 0.95 * 45**2)
    assert np.isnan(s.velocity_pressure(**{**given, **change}))


def test_the_wind_load_is_on_the_insulated_diameter():
    assert s.wind_load(1000.0, 0.85, 0.7, 0.3) == pytest.approx(178.5)
    assert np.isnan(s.wind_load(1000.0, 0.85, 0.7, 0.0))
