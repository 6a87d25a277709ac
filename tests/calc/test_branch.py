"""Branch connections of the legacy set."""

from itertools import pairwise

import numpy as np
import pytest

from pipecalc.calc import branch

NAN = float("nan")
T, r2 = 0.00818, 0.10546


@pytest.mark.parametrize("h", [0.0, -0.1, NAN])
def test_no_characteristic_gives_no_factor_in_either_direction(h):
    outward = branch.branch_out_of_plane(h)
    assert np.isnan(outward)
    assert np.isnan(branch.branch_in_plane(outward))


def test_factors_are_not_below_one():
    assert branch.branch_out_of_plane(5.0) == 1.0
    assert branch.branch_in_plane(1.0) == 1.0


def test_arrays_go_through():
    assert list(branch.branch_in_plane(branch.branch_out_of_plane(np.array([5.0, 0.9**1.5])))) == [1.0, 1.0]


def test_more_metal_at_the_crotch_less_stress():
    forms = [
        branch.h_unreinforced_tee(T, r2),
        branch.h_reinforced_tee(T, r2, T),
        branch.h_welding_tee(T, r2),
        branch.h_thick_pad_tee(T, r2),
        branch.h_proven_tee(T, r2, 0.03, 1.5 * T, 0.2),
    ]
    factors = [branch.branch_out_of_plane(h) for h in forms]
    assert all(a > b for a, b in pairwise(factors))


@pytest.mark.parametrize("pad", [0.0, -0.001, 1.51 * T, NAN])
def test_the_pad_formula_holds_to_one_and_a_half_walls(pad):
    assert np.isnan(branch.h_reinforced_tee(T, r2, pad))
    assert np.isfinite(branch.h_reinforced_tee(T, r2, 1.5 * T))


def test_a_thick_pad_goes_on_where_the_pad_formula_ends():
    at_the_end = branch.h_reinforced_tee(T, r2, 1.5 * T)
    assert branch.h_thick_pad_tee(T, r2) == pytest.approx(at_the_end, rel=0.005)


@pytest.mark.parametrize(("r_x", "T_c"), [(0.024, 1.5 * T), (0.026, 1.4 * T), (NAN, 2 * T)])
def test_an_unproven_crotch_has_no_favour(r_x, T_c):
    assert np.isnan(branch.h_proven_tee(T, r2, r_x, T_c, 0.2))


@pytest.mark.parametrize(("r_x", "T_c"), [(0.009, T), (0.02, 1.5 * T), (0.02, 0.0)])
def test_an_extruded_outlet_has_limits(r_x, T_c):
    assert np.isnan(branch.h_extruded_outlet(T, r2, r_x, T_c, 0.2))
    assert branch.h_extruded_outlet(T, r2, 0.02, T, 0.2) == pytest.approx((1 + 0.02 / r2) * T / r2)


def test_the_effective_wall_is_the_lesser_of_header_and_intensified_branch():
    assert branch.effective_wall(0.010, 1.5, 0.004) == pytest.approx(0.006)
    assert branch.effective_wall(0.005, 3.0, 0.004) == pytest.approx(0.005)


@pytest.mark.parametrize(
    ("T_h", "i", "T_b"), [(0.0, 2.0, 0.004), (0.01, 0.5, 0.004), (0.01, 2.0, 0.0), (NAN, 2.0, 0.004)]
)
def test_without_walls_or_factor_there_is_no_effective_wall(T_h, i, T_b):
    assert np.isnan(branch.effective_wall(T_h, i, T_b))


def test_a_branch_of_the_headers_wall_has_its_own_thin_section_modulus():
    D, wall = 0.2191, 0.004
    Z = np.pi * (D**4 - (D - 2 * wall) ** 4) / (32 * D)
    T_s = branch.effective_wall(wall, 2.0, wall)
    assert branch.effective_section_modulus((D - wall) / 2, T_s) == pytest.approx(Z, rel=0.025)
