"""The four rules by which a vendor's table compares loads with allowables, each by hand."""

from math import isnan, sqrt

import pytest

from pipecalc.checks.nozzles.rules import RULES
from pipecalc.model import AllowableRow
from pipecalc.problems import Address
from pipecalc.results import NozzleLoad

LIMITS = {"FR": 1000.0, "FL": 2000.0, "FC": 4000.0, "MR": 500.0, "ML": 1000.0, "MC": 2000.0}
#: Ratios 0.3, 0.2, 0.1 of the forces and 0.4, 0.1, 0.05 of the moments; resultants 640.31 N and 244.95 N·m.
LOAD = NozzleLoad("N", "case", -300.0, 400.0, -400.0, 200.0, -100.0, 100.0, (0, 0, 0), (0, 0, 0))
FORCE, MOMENT = sqrt(300**2 + 400**2 + 400**2), sqrt(200**2 + 100**2 + 100**2)


def rated(rule: str, limits=LIMITS, force=None, moment=None, factor: float = 1.0, load: NozzleLoad = LOAD):
    return RULES[rule](load, AllowableRow("V", None, limits, force, moment, rule, "doc", Address()), factor)


def test_each_component_against_its_own() -> None:
    found = rated("each component")
    assert (found.governs, found.ratio, found.demand, found.limit, found.unit) == ("MR", 0.4, 200.0, 500.0, "N*m")
    assert found.ratios == pytest.approx({"FR": 0.3, "FL": 0.2, "FC": 0.1, "MR": 0.4, "ML": 0.1, "MC": 0.05})
    assert found.missing == ()


def test_each_component_counts_a_resultant_that_is_given_too() -> None:
    found = rated("each component", force=900.0)
    assert (found.governs, found.unit) == ("resultant force", "N")
    assert found.ratio == pytest.approx(FORCE / 900.0)


def test_resultants() -> None:
    found = rated("resultants", force=1600.0, moment=490.0)
    assert found.ratio == pytest.approx(MOMENT / 490.0)
    assert (found.governs, found.unit) == ("resultant moment", "N*m")


def test_sum_of_ratios_of_resultants() -> None:
    found = rated("sum of ratios", force=1600.0, moment=490.0)
    assert found.ratio == pytest.approx(FORCE / 1600.0 + MOMENT / 490.0)
    assert (found.limit, found.unit) == (1.0, "1")


def test_sum_of_ratios_of_components_without_resultants() -> None:
    assert rated("sum of ratios").ratio == pytest.approx(0.3 + 0.2 + 0.1 + 0.4 + 0.1 + 0.05)


def test_square_root_of_squares() -> None:
    both = rated("square root of squares", force=1600.0, moment=490.0)
    assert both.ratio == pytest.approx(sqrt((FORCE / 1600.0) ** 2 + (MOMENT / 490.0) ** 2))
    six = rated("square root of squares")
    assert six.ratio == pytest.approx(sqrt(0.3**2 + 0.2**2 + 0.1**2 + 0.4**2 + 0.1**2 + 0.05**2))


@pytest.mark.parametrize("rule", list(RULES))
def test_a_factor_on_allowables_divides_the_ratio(rule: str) -> None:
    one, two = (rated(rule, force=1600.0, moment=490.0, factor=f).ratio for f in (1.0, 2.0))
    assert two == pytest.approx(one / 2)


@pytest.mark.parametrize("rule", list(RULES))
def test_twice_the_load_gives_twice_the_ratio(rule: str) -> None:
    twice = NozzleLoad("N", "case", *(2 * v for v in LOAD.components.values()), (0, 0, 0), (0, 0, 0))
    one, two = (rated(rule, force=1600.0, moment=490.0, load=load).ratio for load in (LOAD, twice))
    assert two == pytest.approx(2 * one)


@pytest.mark.parametrize("rule", ["each component", "sum of ratios", "square root of squares"])
def test_a_missing_component_is_named(rule: str) -> None:
    assert rated(rule, limits=LIMITS | {"FL": None, "MC": None}).missing == ("FL", "MC")


def test_a_missing_resultant_is_named() -> None:
    assert rated("resultants", force=1600.0).missing == ("resultant moment",)


@pytest.mark.parametrize("rule", list(RULES))
def test_without_any_allowable_there_is_no_ratio(rule: str) -> None:
    found = rated(rule, limits=dict.fromkeys(LIMITS))
    assert isnan(found.ratio)
    assert found.missing
