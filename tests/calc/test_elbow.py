"""Flexibility and intensification of elbows and mitres."""

from math import radians

import numpy as np
import pytest

from pipecalc.calc.elbow import elbow_factors, flexibility_characteristic, flexibility_factor
from pipecalc.calc.mitre import mitre_factors, mitre_radius_close

NPS6 = {"wall": 0.00711, "bend_radius": 0.229, "mean_radius": 0.080595}


def test_factors_never_fall_below_one():
    thick = elbow_factors(wall=0.05, bend_radius=0.5, mean_radius=0.06, flanged_ends=2)
    assert (thick.k, thick.i_i, thick.i_o) == (1.0, 1.0, 1.0)


def test_flanges_reduce_and_in_order():
    k = [elbow_factors(**NPS6, flanged_ends=n).k for n in (0, 1, 2)]
    assert k[0] > k[1] > k[2] > 1.0


def test_a_flange_never_raises_a_factor():
    assert elbow_factors(wall=0.05, bend_radius=0.5, mean_radius=0.06, flanged_ends=1).flange_factor == 1.0


def test_pressure_stiffens_but_leaves_the_intensification():
    cold, hot = elbow_factors(**NPS6), elbow_factors(**NPS6, pressure=4e6, modulus=203e9)
    assert hot.k < cold.k
    assert (hot.i_i, hot.i_o) == (cold.i_i, cold.i_o)


def test_stiffening_without_a_modulus_is_a_mistake():
    with pytest.raises(ValueError, match="modulus"):
        elbow_factors(**NPS6, pressure=4e6)


def test_a_bend_has_two_ends():
    with pytest.raises(ValueError, match="ends"):
        elbow_factors(**NPS6, flanged_ends=3)


def test_beyond_d_over_t_of_100_there_is_no_intensification():
    thin = elbow_factors(wall=0.005, bend_radius=0.9, mean_radius=0.3)
    assert not thin.within_limits
    assert thin.k > 1
    assert np.isnan(thin.i_i)
    assert np.isnan(thin.i_o)
    at_limit = elbow_factors(wall=0.005, bend_radius=0.75, mean_radius=(0.5 - 0.005) / 2)
    assert at_limit.within_limits


@pytest.mark.parametrize("h", [0.0, -0.1, float("nan")])
def test_no_bend_has_no_factor(h):
    assert np.isnan(flexibility_factor(h))
    assert np.isnan(flexibility_characteristic(0.007, 0.2, 0.0))


def test_a_mitre_of_many_close_cuts_is_a_bend_of_its_equivalent_radius():
    spacing, half = 0.04, radians(5.0)
    mitre = mitre_factors(0.00711, half, 0.080595, spacing)
    bend = elbow_factors(0.00711, mitre_radius_close(spacing, half), 0.080595)
    assert mitre.h == pytest.approx(bend.h)
    assert mitre.i_i == pytest.approx(bend.i_i)
    assert mitre.i_o == mitre.i_i


def test_close_and_wide_meet_where_the_code_parts_them():
    r2, half = 0.2, radians(15.0)
    border = r2 * (1 + np.tan(half))
    close = mitre_factors(0.01, half, r2, border * (1 - 1e-9))
    wide = mitre_factors(0.01, half, r2, border)
    single = mitre_factors(0.01, half, r2)
    assert close.h == pytest.approx(wide.h, rel=1e-6)
    assert single == wide


def test_a_mitre_is_covered_to_22_and_a_half_degrees():
    assert np.isfinite(mitre_factors(0.01, radians(22.5), 0.2).k)
    assert np.isnan(mitre_factors(0.01, radians(23.0), 0.2).k)
    assert np.isnan(mitre_factors(0.01, 0.0, 0.2).i_i)
