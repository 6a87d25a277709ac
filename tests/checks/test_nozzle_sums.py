"""Sums over the nozzles of one item: pump centre, header and bay, exhaust, largest connection."""

from math import isnan

import pytest
from nozzle_cases import EAST, NORTH, PUMP, UP, nozzle

from pipecalc.checks.nozzles.interface import Item, judge_item, standards

ANNEX, COOLER = standards()["API 610 annex F"], standards()["API 661"]
NEMA, API_617 = standards()["NEMA SM 23"], standards()["API 617"]
TURBINE = Item("T-1", "fixed", axis=EAST, exhaust="out")
BUNDLE = Item("E-1", "fixed", axis=EAST)


def ratios(findings):
    return {f.name: f.rated.ratio for f in findings}


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


def test_a_named_exhaust_is_the_reference_and_is_told():
    pair = [
        nozzle(UP, 8.0, name="out"),
        nozzle(UP, 6.0, name="in", at=(0.6, 0.0, 0.0), force=(0.0, 0.0, 1000.0)),
    ]
    together, _ = judge_item(NEMA, pair, TURBINE)
    assert together.reason == "resolved at out"


def test_an_exhaust_that_is_not_named_is_the_largest_and_the_reader_is_told():
    pair = [nozzle(UP, 8.0, name="a"), nozzle(UP, 6.0, name="b", force=(0.0, 0.0, 1000.0))]
    together, _ = judge_item(NEMA, pair, Item("T-1", "fixed", axis=EAST))
    assert "largest connection, a" in together.reason


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
