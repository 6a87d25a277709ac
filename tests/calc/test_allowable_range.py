"""Allowable displacement stress range by edition."""

from itertools import pairwise

import numpy as np
import pytest

from pipecalc.calc import allowable_range as a


@pytest.mark.parametrize("edition", ["2018", "2020", "2022", "2024"])
def test_the_factor_falls_with_cycles_and_never_passes_its_limit(edition):
    factors = [a.cycle_factor(n, edition, 1.2) for n in (1, 100, 3000, 7000, 2e4, 1e6, 1e9)]
    assert factors[0] == 1.2
    assert all(x >= y for x, y in pairwise(factors))


def test_the_older_law_stops_at_its_lowest_factor_and_the_newer_does_not():
    assert a.cycle_factor(1e9, "2020", 1.0) == 0.15
    assert a.cycle_factor(1e9, "2022", 1.0) < 0.15


@pytest.mark.parametrize("n", [0.0, -5.0, float("nan")])
def test_no_cycles_have_no_factor(n):
    assert np.isnan(a.cycle_factor(n, "2018", 1.2))
    assert np.isnan(a.cycle_factor(n, "2024", 1.2))


def test_an_unknown_edition_is_not_guessed():
    with pytest.raises(KeyError):
        a.cycle_factor(7000, "2016", 1.0)
    with pytest.raises(KeyError):
        a.equivalent_cycles([1.0], [1.0], "1999")


@pytest.mark.parametrize(
    ("tensile", "temperature", "family", "limit"),
    [
        (414e6, 300.0, "ferritic", 1.2),
        (75 * 6.894757293168e6, 300.0, "austenitic", 1.2),
        (586e6, 300.0, "ferritic", 1.0),
        (414e6, 372.0, "ferritic", 1.0),
        (483e6, 300.0, "nickel", 1.0),
        (float("nan"), 300.0, "ferritic", 1.0),
        (414e6, float("nan"), "ferritic", 1.0),
    ],
)
def test_the_largest_factor(tensile, temperature, family, limit):
    assert a.largest_cycle_factor(tensile, temperature, family) == limit


def test_the_liberal_range_is_the_basic_one_with_the_sustained_stress_given_back():
    basic = a.allowable_range_basic(0.9, 130e6, 120e6)
    assert a.allowable_range_liberal(0.9, 130e6, 120e6, 50e6) == pytest.approx(basic + 0.9 * (120e6 - 50e6))


def test_the_liberal_range_needs_a_sustained_stress_below_the_hot_allowable():
    assert np.isnan(a.allowable_range_liberal(1.0, 138e6, 130e6, 130e6))
    assert np.isnan(a.allowable_range_liberal(1.0, 138e6, 130e6, float("nan")))
    assert np.isnan(a.allowable_range_liberal(1.0, 138e6, 130e6, -1.0))


def test_strong_steels_enter_with_138_mpa():
    assert a.allowable_range_basic(1.0, 195e6, 190e6) == pytest.approx(1.5 * 138e6)
    assert a.allowable_range_liberal(1.0, 195e6, 190e6, 60e6) == pytest.approx(2.5 * 138e6 - 60e6)


def test_without_an_allowable_there_is_no_range():
    assert np.isnan(a.allowable_range_basic(1.0, float("nan"), 130e6))
    assert np.isnan(a.allowable_range_basic(1.0, 130e6, float("nan")))


def test_equal_ranges_simply_add_up():
    for edition in a.EDITIONS:
        assert a.equivalent_cycles([90e6, 90e6], [100, 250], edition) == pytest.approx(350)


def test_a_half_range_counts_by_the_power_of_the_edition():
    assert a.equivalent_cycles([100e6, 50e6], [0, 3200], "2018") == pytest.approx(100)
    assert a.equivalent_cycles([100e6, 50e6], [0, 800], "2022") == pytest.approx(100)


@pytest.mark.parametrize(
    ("ranges", "cycles"),
    [([], []), ([0.0], [10]), ([-1.0, 2.0], [1, 1]), ([1.0], [-1]), ([float("nan")], [1]), ([1.0, 2.0], [1])],
)  # fmt: skip
def test_impossible_cycles_have_no_number(ranges, cycles):
    assert np.isnan(a.equivalent_cycles(ranges, cycles, "2018"))
