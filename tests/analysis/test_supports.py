"""Verdicts on supports."""

from math import isnan, nan

import pytest

from pipecalc.analysis.supports import LIFT_CHECK, SUPPORT_CHECK, support_checks
from pipecalc.results import Case, Status, SupportLoad
from tests.analysis.hand_plants import item, plant_of, support

CASES = [
    Case("sustained", "sustained", "", ""),
    Case("operating", "operating", "operating", ""),
    Case("wind", "occasional", "", ""),
]


def load(
    case: str = "operating", force=(300.0, 400.0, -5000.0), acting: bool = True, move=(0.0, 0.0, 0.0)
) -> SupportLoad:
    return SupportLoad("S-1", case, force, (0, 0, 0), force[2], force[0], force[1], 0.0, acting, move)


def checks(*loads: SupportLoad, type: str = "rest", **over):
    plant = plant_of(item(), supports=[support(type, **over)])
    return list(support_checks(plant, loads, CASES))


def test_vertical_and_horizontal_loads_are_held_against_their_allowables() -> None:
    vertical, horizontal = checks(load(), allowable_vertical=4000.0, allowable_horizontal=600.0)
    assert (vertical.status, vertical.ratio) == (Status.FAIL, 1.25)
    assert (horizontal.status, horizontal.demand) == (Status.PASS, pytest.approx(500.0))
    assert {vertical.check, horizontal.check} == {SUPPORT_CHECK}


def test_a_support_without_allowables_is_not_checked_and_says_so() -> None:
    (check,) = checks(load())
    assert (check.status, isnan(check.ratio)) == (Status.NOT_CHECKED, True)
    assert "no allowable is given" in check.reason


def test_a_support_without_loads_is_not_checked() -> None:
    (check,) = checks(allowable_vertical=4000.0)
    assert (check.status, check.reason) == (Status.NOT_CHECKED, "no load was found")


def test_an_unknown_load_is_never_a_pass() -> None:
    found = checks(load(force=(nan, 0.0, nan)), allowable_vertical=4000.0, allowable_horizontal=600.0)
    assert {c.status for c in found} == {Status.NOT_CHECKED}


def test_a_rest_that_the_pipe_leaves_is_said_in_states_and_not_in_occasional_cases() -> None:
    found = checks(
        load("operating", acting=False, move=(0, 0, 0.0042)), load("wind", acting=False), allowable_vertical=1e5
    )
    (lift,) = [c for c in found if c.check == LIFT_CHECK]
    assert (lift.case, lift.demand, lift.status) == ("operating", 0.0042, Status.NOT_APPLICABLE)
    assert "4.2 mm" in lift.reason


def test_a_guide_that_does_not_act_has_not_lifted_off() -> None:
    assert [c.check for c in checks(load(acting=False), type="guide", allowable_vertical=1e5)] == [SUPPORT_CHECK]
