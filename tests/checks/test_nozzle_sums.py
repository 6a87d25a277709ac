"""Sums over the nozzles of one item: pump centre, header and bay, exhaust, largest connection."""

from math import isnan

import pytest
from nozzle_cases import EAST, NORTH, PUMP, UP, nozzle

from pipecalc.checks.nozzles.interface import Item, judge, judge_item, standards

ANNEX, COOLER = standards()["API 610 annex F"], standards()["API 661"]
NEMA, API_617 = standards()["NEMA SM 23"], standards()["API 617"]
TURBINE = Item("T-1", "fixed", axis=EAST, exhaust="out")
BUNDLE = Item("E-1", "fixed", axis=EAST)


def ratios(findings):
    return {f.name: f.rated.ratio for f in findings}


def test_twice_the_table_is_the_annexs_bound_for_a_component():
    found = judge(ANNEX, nozzle(UP, 6.0, force=(2 * 2490.0, 0.0, 0.0)), PUMP)
    assert found.rated.ratios["FX"] == pytest.approx(1.0)
    assert found.rated.ratios["resultants together"] == pytest.approx(4980 / (1.5 * 4480) / 2)


def test_force_and_moment_at_the_annexs_bound_together():
    one = nozzle(UP, 6.0, force=(0.0, 0.0, 1.5 * 4480.0), moment=(1.5 * 3130.0, 0.0, 0.0))
    found = judge(ANNEX, one, PUMP)
    assert found.rated.ratios["resultants together"] == pytest.approx(1.0)


def test_the_three_sums_at_the_pumps_centre():
    """Top NPS 8 suction and NPS 6 discharge, shaft East, by hand.

    Force: 1000 N East and 2000 N Up; limit 1.5 (6920 + 4480) = 17 100 N.
    Moment: 0.5 m North of the centre 2000 N Up gives 1000 N·m about East; 300 N·m about North is the axis across.
    """
    pair = [
        nozzle(UP, 8.0, force=(1000.0, 0.0, 0.0), moment=(0.0, 300.0, 0.0), name="S"),
        nozzle(UP, 6.0, force=(0.0, 0.0, 2000.0), at=(0.0, 0.5, 0.0), name="D"),
    ]
    found = ratios(judge_item(ANNEX, pair, PUMP))
    assert found["pump centre: resultant force"] == pytest.approx(5e6**0.5 / 17100)
    assert found["pump centre: moment about Y"] == pytest.approx(300 / (2 * (1760 + 1180)))
    assert found["pump centre: resultant moment"] == pytest.approx((1000**2 + 300**2) ** 0.5 / (1.5 * (4710 + 3130)))


@pytest.mark.parametrize("count", [1, 3])
def test_the_annex_is_for_two_nozzles(count):
    (found,) = judge_item(ANNEX, [nozzle(name=f"N{i}") for i in range(count)], PUMP)
    assert isnan(found.rated.ratio)
    assert f"has {count}" in found.reason


def test_without_the_pumps_centre_there_is_no_sum():
    pair = [nozzle(name="S"), nozzle(name="D")]
    (found,) = judge_item(ANNEX, pair, Item("P-1", "fixed", axis=EAST))
    assert isnan(found.rated.ratio)
    assert "centre" in found.reason


def test_one_nozzle_outside_the_table_leaves_the_annexs_sums_open():
    pair = [nozzle(UP, 6.0, name="S"), nozzle(UP, 18.0, name="D")]
    assert all(isnan(f.rated.ratio) and "NPS 18" in f.reason for f in judge_item(ANNEX, pair, PUMP))


def test_table_five_alone_has_no_sum():
    assert judge_item(standards()["API 610"], [nozzle(), nozzle()], PUMP) is None


def test_the_sum_on_one_header_keeps_signs():
    """3000 N and 2005 N along the header are half of 10 010 N; opposite they nearly cancel."""
    two = [nozzle(force=(3000.0, 0.0, 0.0), name="A"), nozzle(force=(2005.0, 0.0, 0.0), name="B")]
    (found,) = judge_item(COOLER, two, BUNDLE)
    assert found.rated.ratio == pytest.approx(0.5)
    two[1] = nozzle(force=(-2005.0, 0.0, 0.0), name="B")
    (found,) = judge_item(COOLER, two, BUNDLE)
    assert found.rated.ratio == pytest.approx(995 / 10010)


def test_two_headers_make_a_bay_with_three_times_the_limit():
    two = [nozzle(force=(5005.0, 0.0, 0.0), name=n, group=n) for n in ("in", "out")]
    found = ratios(judge_item(COOLER, two, BUNDLE))
    assert found["header in: sum of components"] == pytest.approx(0.5)
    assert found["bay E-1: sum of components"] == pytest.approx(1 / 3, rel=1e-4)


@pytest.mark.parametrize(
    ("two", "word"),
    [
        ([nozzle(name="A", group="in"), nozzle(name="B")], "some nozzles only"),
        ([nozzle(UP, name="A"), nozzle(NORTH, name="B")], "different directions"),
        ([nozzle(EAST, name="A"), nozzle(UP, name="B")], "not square to the header"),
    ],
)
def test_headers_that_cannot_be_summed(two, word):
    (found,) = judge_item(COOLER, two, BUNDLE)
    assert isnan(found.rated.ratio)
    assert word in found.reason


def test_turbine_sums_at_the_exhaust_by_hand():
    """NPS 6 and 8: D_eq = 254 mm, D_c = (18 + 10)/3 = 9.3333 in = 237.07 mm. Exhaust at the origin.

    1000 N Up at the inlet, 0.6 m East of the exhaust: East x Up = -North, 600 N·m, about -Z (Z is South: +600 about Z).
    Together 0.6096 * 1000 + 600 = 1209.6 N·m of 13.345 * 237.07 = 3163.7 N·m.
    """
    pair = [
        nozzle(UP, 8.0, name="out"),
        nozzle(UP, 6.0, name="in", at=(0.6, 0.0, 0.0), force=(0.0, 0.0, 1000.0)),
    ]
    together, each = judge_item(NEMA, pair, TURBINE)
    assert together.rated.demand == pytest.approx(1209.6)
    assert together.rated.limit == pytest.approx(3163.7, rel=1e-4)
    assert together.reason == "resolved at out"
    assert each.rated.ratios["FY"] == pytest.approx(1000 / (21.891 * 237.07), rel=1e-4)
    assert each.rated.ratios["MZ"] == pytest.approx(600 / (6.672 * 237.07), rel=1e-3)
    assert each.rated.ratios["MX"] == each.rated.ratios["FX"] == 0.0


def test_an_exhaust_that_is_not_named_is_the_largest_and_the_reader_is_told():
    pair = [nozzle(UP, 8.0, name="a"), nozzle(UP, 6.0, name="b", force=(0.0, 0.0, 1000.0))]
    together, _ = judge_item(NEMA, pair, Item("T-1", "fixed", axis=EAST))
    assert "largest connection, a" in together.reason


def test_of_two_equal_connections_the_worse_reference_counts():
    """Only b is loaded: at b there is no moment, at a there is; a counts."""
    pair = [
        nozzle(UP, 8.0, name="a"),
        nozzle(UP, 8.0, name="b", at=(1.0, 0.0, 0.0), force=(0.0, 0.0, 1000.0)),
    ]
    together, _ = judge_item(API_617, pair, Item("C-1", "fixed", axis=EAST))
    assert together.rated.demand == pytest.approx(1000 + 1.64 * 1000)


def test_one_connection_is_no_machine():
    (found,) = judge_item(NEMA, [nozzle(name="out")], TURBINE)
    assert isnan(found.rated.ratio)


def test_the_lowest_factor_of_the_nozzles_raises_a_sum_and_is_named():
    pair = [nozzle(UP, 8.0, name="out", factor=3.0), nozzle(UP, 6.0, name="in", force=(0.0, 0.0, 1e3), factor=2.0)]
    plain = [nozzle(UP, 8.0, name="out"), nozzle(UP, 6.0, name="in", force=(0.0, 0.0, 1e3))]
    raised, base = (judge_item(NEMA, two, TURBINE)[0] for two in (pair, plain))
    assert raised.rated.ratio == pytest.approx(base.rated.ratio / 2)
    assert "multiplied by 2" in raised.reason


def test_an_unloaded_machine_has_ratios_of_zero():
    pair = [nozzle(UP, 8.0, name="out"), nozzle(UP, 6.0, name="in")]
    assert all(f.rated.ratio == 0.0 for f in judge_item(NEMA, pair, TURBINE))
