"""Wall thickness for internal pressure."""

import numpy as np
import pytest

from pipecalc.calc import pressure

LINE = {"P": 4e6, "D": 0.1683, "S": 130e6, "E": 1.0, "W": 1.0, "Y": 0.4}


def test_wall_and_pressure_are_each_others_inverse():
    t = pressure.pressure_design_thickness(**LINE)
    rest = {k: v for k, v in LINE.items() if k != "P"}
    assert pressure.design_pressure_carried(t=t, **rest) == pytest.approx(4e6)


def test_by_outside_diameter_and_by_bore_agree():
    t, c = pressure.pressure_design_thickness(**LINE), 0.003
    rest = {k: v for k, v in LINE.items() if k != "D"}
    bore = 0.1683 - 2 * (t + c)
    assert pressure.pressure_design_thickness_from_bore(d=bore, c=c, **rest) == pytest.approx(t)


def test_no_pressure_needs_no_wall():
    assert pressure.pressure_design_thickness(**{**LINE, "P": 0.0}) == 0.0


@pytest.mark.parametrize(
    "change",
    [{"P": -1e5}, {"P": 60e6}, {"S": 0.0}, {"S": float("nan")}, {"D": 0.0}, {"W": float("nan")}, {"P": float("nan")}],
)
def test_outside_the_simple_formula_there_is_no_wall(change):
    assert np.isnan(pressure.pressure_design_thickness(**{**LINE, **change}))


def test_the_thin_wall_limits_are_those_of_the_code():
    assert pressure.thin_wall(0.1 / 6 - 1e-9, 0.1, 1e6, 100e6, 1.0)
    assert not pressure.thin_wall(0.1 / 6, 0.1, 1e6, 100e6, 1.0)
    assert pressure.thin_wall(0.01, 0.1, 38.5e6, 100e6, 1.0)
    assert not pressure.thin_wall(0.01, 0.1, 38.6e6, 100e6, 1.0)
    assert not pressure.thin_wall(0.01, 0.1, 38.5e6, 100e6, 0.85)


def test_under_tolerance_as_fraction_and_as_thickness():
    assert pressure.nominal_thickness_needed(7e-3, 0.125) == pytest.approx(8e-3)
    assert pressure.nominal_thickness_needed_absolute(7e-3, 0.3e-3) == pytest.approx(7.3e-3)
    assert np.isnan(pressure.nominal_thickness_needed(7e-3, 1.0))
    assert np.isnan(pressure.nominal_thickness_needed(7e-3, -0.1))
    assert np.isnan(pressure.nominal_thickness_needed_absolute(7e-3, -1e-4))
    assert np.isnan(pressure.required_thickness(7e-3, -1e-3))


@pytest.mark.parametrize(
    ("family", "temperature", "y"),
    [
        ("ferritic", 20.0, 0.4),
        ("ferritic", 496.0, 0.45),
        ("ferritic", 524.0, 0.6),
        ("austenitic", 566.0, 0.4),
        ("austenitic", 607.0, 0.6),
        ("nickel", 649.0, 0.5),
        ("other ductile", 800.0, 0.4),
        ("austenitic", 800.0, 0.7),
    ],
)
def test_y_follows_its_table(family, temperature, y):
    assert pressure.y_coefficient(family, temperature) == pytest.approx(y)


@pytest.mark.parametrize(
    ("temperature", "family", "weld", "w"),
    [
        (427.0, "ferritic", True, 1.0),
        (428.0, "ferritic", True, np.nan),
        (510.0, "austenitic", True, 1.0),
        (511.0, "austenitic", True, np.nan),
        (600.0, "ferritic", False, 1.0),
        (float("nan"), "ferritic", False, np.nan),
    ],
)
def test_w_is_one_or_must_be_given(temperature, family, weld, w):
    np.testing.assert_equal(float(pressure.weld_strength_reduction(temperature, family, weld)), w)


def test_bend_factors_are_the_hoop_stress_of_a_torus():
    # Thin torus: hoop stress over that of a straight pipe is (2 R + r sin(phi))/(2 (R + r sin(phi))), with r = D/2.
    R, D = 0.2286, 0.1683
    for sine, factor in ((-1.0, pressure.bend_factor_intrados), (1.0, pressure.bend_factor_extrados)):
        torus = (2 * R + sine * D / 2) / (2 * (R + sine * D / 2))
        assert factor(R, D) == pytest.approx(torus)
    assert pressure.bend_factor_intrados(R, D) > 1.0 > pressure.bend_factor_extrados(R, D)


def test_a_bend_that_is_no_torus_has_no_factor():
    assert np.isnan(pressure.bend_factor_intrados(0.05, 0.1))
    assert np.isnan(pressure.bend_factor_extrados(0.05, 0.1))


def test_at_the_side_a_bend_is_a_straight_pipe():
    straight = pressure.pressure_design_thickness(**LINE)
    assert pressure.bend_design_thickness(I_b=1.0, **LINE) == pytest.approx(straight)
    assert pressure.bend_design_thickness(I_b=1.2, **LINE) > straight
