"""Equivalent cycles at many points, cycles allowed and usage."""

import numpy as np
import pytest

from pipecalc.calc import fatigue as f
from pipecalc.calc.allowable_range import cycle_factor, equivalent_cycles

NAN = float("nan")


def test_every_point_has_its_own_sum():
    ranges = np.array([[100e6, 30e6], [60e6, 80e6], [30e6, 80e6]])
    cycles = [7000, 20000, 50000]
    found = f.equivalent_cycles_each(ranges, cycles, 5.0)
    for n in (0, 1):
        assert found[n] == pytest.approx(equivalent_cycles(ranges[:, n], cycles, "2018"))


def test_a_point_at_rest_keeps_all_cycles_and_is_not_unknown():
    assert list(f.equivalent_cycles_each([[0.0], [0.0]], [100, 300], 5.0)) == [400]


@pytest.mark.parametrize(("ranges", "cycles"), [([[-1.0]], [5]), ([[NAN]], [5]), ([[1.0]], [-5]), ([[1.0]], [NAN])])
def test_impossible_ranges_and_cycles_have_no_number(ranges, cycles):
    assert np.isnan(f.equivalent_cycles_each(ranges, cycles, 5.0)).all()


@pytest.mark.parametrize(("ranges", "cycles"), [([1.0, 2.0], [1, 1]), ([[1.0]], [1, 1]), (np.zeros((0, 3)), [])])
def test_shapes_must_belong_together(ranges, cycles):
    with pytest.raises(ValueError, match="row"):
        f.equivalent_cycles_each(ranges, cycles, 5.0)


@pytest.mark.parametrize("N", [5e3, 2e4, 1e6])
def test_cycles_allowed_is_the_law_turned_round(N):
    assert f.cycles_within(cycle_factor(N, "2018", 1.2), 6.0, -0.2, 0.15, 1.2) == pytest.approx(N)
    assert f.cycles_within(cycle_factor(N, "2022", 1.2), 20.0, -0.333, 0.0, 1.2) == pytest.approx(N)


def test_above_the_largest_factor_no_cycle_is_allowed_and_below_the_lowest_any_number():
    found = f.cycles_within(np.array([1.21, 0.15, 0.1, 0.0, NAN]), 6.0, -0.2, 0.15, 1.2)
    assert list(found[:4]) == [0.0, np.inf, np.inf, np.inf]
    assert np.isnan(found[4])
    assert np.isfinite(f.cycles_within(0.1, 20.0, -0.333, 0.0, 1.2))


def test_usage():
    found = f.usage(np.array([50.0, 50.0, 50.0, 0.0, NAN, -1.0]), np.array([100.0, 0.0, np.inf, 0.0, 10.0, 10.0]))
    assert list(found[:4]) == [0.5, np.inf, 0.0, 0.0]
    assert np.isnan(found[4:]).all()


def test_a_range_at_its_allowable_has_used_up_its_cycles():
    """f at N = 20 000 is 0.828; a range of 0.828 S_f allows 20 000 cycles: usage one."""
    S_f, N = 205e6, 20000.0
    S_E = cycle_factor(N, "2018", 1.2) * S_f
    needed = f.range_factor_needed(S_E, S_f)
    assert f.usage(N, f.cycles_within(needed, 6.0, -0.2, 0.15, 1.2)) == pytest.approx(1.0)
