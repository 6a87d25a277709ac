"""Stress equations of a section with bending, torsion and axial force kept apart."""

import numpy as np
import pytest

from pipecalc.calc import stress
from pipecalc.calc.section import bore_area, metal_area

NAN = float("nan")


def test_pressure_on_the_bore_is_carried_by_the_metal():
    D, t, P = 0.2191, 0.00518, 2.5e6
    expected = P * bore_area(D, t) / metal_area(D, t)
    assert stress.longitudinal_pressure_stress(P, D, t) == pytest.approx(expected)


def test_the_thin_form_is_the_larger_and_half_the_hoop_stress():
    D, t, P = 0.2191, 0.00818, 2.5e6
    thin = stress.longitudinal_pressure_stress_thin(P, D, t)
    assert thin > stress.longitudinal_pressure_stress(P, D, t)
    assert stress.hoop_stress(P, D, t) == pytest.approx(2 * thin)


@pytest.mark.parametrize("t", [0.0, -0.001, 0.06, NAN])
def test_no_wall_has_no_pressure_stress(t):
    for form in (stress.longitudinal_pressure_stress, stress.longitudinal_pressure_stress_thin, stress.hoop_stress):
        assert np.isnan(form(1e6, 0.1, t))


@pytest.mark.parametrize(("T", "c"), [(0.003, 0.003), (0.003, 0.004), (0.003, -0.001), (0.003, NAN), (NAN, 0.001)])
def test_an_allowance_that_leaves_nothing_leaves_no_number(T, c):
    assert np.isnan(stress.corroded_wall(T, c))


@pytest.mark.parametrize(("i", "index"), [(1.0, 1.0), (1.3, 1.0), (2.0, 1.5)])
def test_the_sustained_index_is_three_quarters_but_not_below_one(i, index):
    assert stress.sustained_index(i) == pytest.approx(index)


@pytest.mark.parametrize("i", [0.99, 0.0, -2.0, NAN])
def test_a_factor_below_one_is_no_factor(i):
    assert np.isnan(stress.sustained_index(i))
    assert np.isnan(stress.axial_factor(i, bend=False))
    assert np.isnan(stress.axial_factor(i, bend=True))


def test_the_axial_factor_is_one_for_bends_and_the_out_of_plane_factor_elsewhere():
    assert list(stress.axial_factor(np.array([2.0, 3.0]), np.array([True, False]))) == [1.0, 3.0]


def test_the_sign_of_moments_and_forces_does_not_matter_for_the_range():
    found = {
        float(stress.displacement_stress_range(a, stress.range_bending_stress(2.0, m, 1.5, -m, 1e-4), t))
        for a in (-1e6, 1e6)
        for m in (-2e3, 2e3)
        for t in (-3e6, 3e6)
    }
    assert max(found) == pytest.approx(min(found))


def test_compression_and_pressure_are_added_before_the_absolute_value():
    pull = stress.axial_force(-20e3, 10e6, 3e-3)
    assert pull == pytest.approx(10e3)
    assert stress.axial_force(-50e3, 10e6, 3e-3) == pytest.approx(-20e3)


def test_arrays_go_through():
    wall = np.array([0.005, 0.2, NAN])
    found = stress.longitudinal_pressure_stress(1e6, 0.1, wall)
    assert np.isfinite(found[0])
    assert np.isnan(found[1:]).all()


@pytest.mark.parametrize("missing", range(3))
def test_an_unknown_part_leaves_no_total(missing):
    parts = [1e6, 2e6, 3e6]
    parts[missing] = NAN
    assert np.isnan(stress.sustained_stress(*parts))
    assert np.isnan(stress.displacement_stress_range(*parts))
