"""Tables of the dossier: nothing outside its limit is shortened away, and what is shortened says so."""

from dataclasses import replace
from datetime import date

from pipecalc.verification.dossier import Machine, dossier_context
from pipecalc.verification.records import Compared, Verified
from pipecalc.verification.runner import run_problem
from pipecalc.verification.source import load

MACHINE = Machine("now", date(2026, 1, 31), "system", "Python", (("numpy", "1"),))
API_610 = load("api_610")


def compared(problem: str) -> list[Compared]:
    (found,) = (p for p in API_610.problems if p.name == problem)
    return run_problem(API_610, found)


def table(numbers: list[Compared], problem: str) -> dict:
    context = dossier_context([API_610], Verified(tuple(numbers)), MACHINE)
    (found,) = (p for p in context["sources"][0]["problems"] if p["table"].caption == problem)
    return found


def test_a_row_found_as_printed_stands_on_one_line() -> None:
    rows = table(compared("top nozzles"), "top nozzles")["table"].rows
    assert len(rows) == 9
    assert rows[0][0].startswith("NPS 2: FX [N] 710, FY [N] 580")
    assert rows[0][1:] == ("as stated", "the same", "0", "–", "PASS")


def test_a_long_table_shows_the_number_nearest_to_its_limit_and_says_where_all_stand() -> None:
    numbers = compared("US columns")
    found = table(numbers, "US columns")
    assert len(found["table"].rows) == 27
    first = max(numbers[:8], key=lambda c: c.ratio)
    assert found["table"].rows[0][0] == f"kind top, NPS 2: {first.quantity} [{first.unit}], nearest to its limit of 8"
    assert "All numbers of this table stand in verification.json" in found["remark"]


def test_with_one_number_outside_nothing_is_shortened() -> None:
    numbers = compared("US columns")
    numbers[3] = replace(numbers[3], found=numbers[3].found * 2)
    rows = table(numbers, "US columns")["table"].rows
    assert len([row for row in rows if len(row) > 1]) == len(numbers)
    assert [row[0] for row in rows if row[-1] == "FAIL"] == ["FR [N]"]


def test_numbers_outside_stand_in_front_with_source_and_problem() -> None:
    numbers = compared("top nozzles")
    numbers[0] = replace(numbers[0], expected=711.0)
    context = dossier_context([API_610], Verified(tuple(numbers)), MACHINE)
    assert context["status"] == "FAIL"
    assert context["verdict"] == "1 of 72 numbers are outside their limits."
    (row,) = context["outside"].rows
    assert row[:3] == ("api_610, top nozzles, NPS 2, FX [N]", "711", "710")
    assert row[-1] == "FAIL"


def test_a_number_that_was_not_found_is_shown_as_missing() -> None:
    numbers = compared("top nozzles")
    numbers[0] = replace(numbers[0], found=float("nan"), message="RuntimeError: boom")
    context = dossier_context([API_610], Verified(tuple(numbers)), MACHINE)
    (row,) = context["outside"].rows
    assert row[1:] == ("710", "–", "–", "1e−06", "FAIL")
    assert context["messages"] == ["api_610, top nozzles: RuntimeError: boom"]
