"""Verdicts on nozzle loads: which row, which cases, factor, limit, and what is not checked."""

from dataclasses import replace
from math import isnan, nan

import pytest

from pipecalc.analysis.nozzles import allowable_row, nozzle_checks
from pipecalc.model import AllowableRow
from pipecalc.problems import Address
from pipecalc.results import Case, NozzleLoad, Status
from tests.analysis.hand_plants import item, nozzle, plant_of, project

LIMITS = {"FR": 1000.0, "FL": 2000.0, "FC": 2000.0, "MR": 400.0, "ML": 500.0, "MC": 500.0}


def row(nps: float | None = 6.0, rule: str = "each component", **over) -> AllowableRow:
    given = {"force": None, "moment": None} | over
    limits = given.pop("limits", LIMITS)
    return AllowableRow("Vendor", nps, limits, given["force"], given["moment"], rule, "Drawing 7, rev. 2", Address())


def load(case: str = "operating", FR: float = 500.0, **over) -> NozzleLoad:
    parts = {"FL": 0.0, "FC": 0.0, "MR": 0.0, "ML": 0.0, "MC": 0.0} | over
    return NozzleLoad("N1", case, FR, **parts, force=(0, 0, 0), moment=(0, 0, 0), method="frame")


CASES = [
    Case("operating", "operating", "operating", ""),
    Case("sustained", "sustained", "", ""),
    Case("test", "test", "", ""),
]


ROWS = (row(),)


def checks(*loads: NozzleLoad, rows=ROWS, limit: float = 1.0, **over):
    one = nozzle((0, 0, 0), **({"sets": ("Vendor",)} | over))
    plant = replace(
        plant_of(item(), nozzles=[one]), allowables={"Vendor": tuple(rows)}, project=project(limit_nozzle=limit)
    )
    return list(nozzle_checks(plant, loads, CASES))


def test_a_load_within_its_allowable_passes_with_its_ratio_and_document() -> None:
    (check,) = checks(load())
    assert (check.status, check.ratio, check.demand, check.limit) == (Status.PASS, 0.5, 500.0, 1000.0)
    assert check.clause == "Drawing 7, rev. 2; rule: each component"
    assert check.reason == "FR governs"


def test_a_load_over_its_allowable_fails() -> None:
    (check,) = checks(load(MC=-750.0))
    assert (check.status, check.ratio, check.unit) == (Status.FAIL, 1.5, "N*m")


def test_the_factor_on_allowables_multiplies_them() -> None:
    (check,) = checks(load(FR=1500.0), allowable_factor=2.0)
    assert (check.status, check.ratio, check.limit) == (Status.PASS, 0.75, 2000.0)


def test_the_projects_limit_of_the_ratio_lowers_what_is_accepted() -> None:
    (check,) = checks(load(FR=800.0), limit=0.75)
    assert (check.status, check.limit) == (Status.FAIL, 750.0)
    assert check.ratio == pytest.approx(800 / 750)


def test_every_case_but_the_pressure_test_is_held_against_the_allowables() -> None:
    found = checks(load(), load("sustained"), load("test", FR=5000.0), load("unheard of", FR=5000.0))
    assert [c.case for c in found] == ["operating", "sustained"]


def test_a_missing_allowable_is_never_a_pass() -> None:
    (check,) = checks(load(), rows=[row(limits=LIMITS | {"MC": None})])
    assert (check.status, check.ratio) == (Status.NOT_CHECKED, 0.5)
    assert "no allowable for MC" in check.reason


def test_what_is_there_may_fail_though_an_allowable_is_missing() -> None:
    (check,) = checks(load(FR=1200.0), rows=[row(limits=LIMITS | {"MC": None})])
    assert check.status is Status.FAIL


def test_no_allowable_at_all_is_not_checked() -> None:
    (check,) = checks(load(), rows=[row(limits=dict.fromkeys(LIMITS))])
    assert (check.status, isnan(check.ratio)) == (Status.NOT_CHECKED, True)


@pytest.mark.parametrize("rule", ["each component", "resultants", "sum of ratios", "square root of squares"])
@pytest.mark.parametrize("part", list(LIMITS))
def test_an_unknown_component_is_never_a_pass(rule: str, part: str) -> None:
    (check,) = checks(load(**{part: nan}), rows=[row(rule=rule, force=1e6, moment=1e6)])
    assert (check.status, isnan(check.ratio)) == (Status.NOT_CHECKED, True)
    assert "not every component" in check.reason


@pytest.mark.parametrize(
    ("over", "status", "reason"),
    [
        ({"point": None}, Status.NOT_APPLICABLE, "no line connects"),
        ({"sets": ()}, Status.NOT_CHECKED, "no allowable set"),
        ({"nps": 8.0}, Status.NOT_CHECKED, "no row for NPS 8"),
        ({"sets": ("Other",)}, Status.NOT_CHECKED, "no row for NPS 6"),
    ],
)
def test_a_nozzle_that_cannot_be_judged_says_why(over, status: Status, reason: str) -> None:
    (check,) = checks(load(), **over)
    assert check.status is status
    assert reason in check.reason


def test_a_nozzle_without_a_load_is_not_checked() -> None:
    (check,) = checks()
    assert (check.status, check.reason) == (Status.NOT_CHECKED, "no load was found for this nozzle")


def test_the_row_of_the_own_size_wins_over_the_row_for_any() -> None:
    rows = [row(None), row(6.0), row(8.0)]
    assert [allowable_row(rows, nps).nps for nps in (6.0, 8.0, 10.0)] == [6.0, 8.0, None]
    assert allowable_row(rows[1:], 10.0) is None


def test_every_set_gives_a_verdict_of_its_own() -> None:
    one = nozzle((0, 0, 0), sets=("Vendor", "Second"))
    tighter = {"Vendor": (row(),), "Second": (replace(row(limits=LIMITS | {"FR": 400.0}), set="Second"),)}
    plant = replace(plant_of(item(), nozzles=[one]), allowables=tighter)
    found = {c.set: c.status for c in nozzle_checks(plant, [load()], CASES)}
    assert found == {"Vendor": Status.PASS, "Second": Status.FAIL}
