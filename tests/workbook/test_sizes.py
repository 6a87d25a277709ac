"""How many cases and study runs a plant may have."""

from pathlib import Path

import pytest
from books import flat, small_plant

from pipecalc.study_cells import study_problems
from pipecalc.workbook import limits
from pipecalc.workbook.reader import read
from pipecalc.workbook.rules import check_book
from tests.workbook.books import book_bytes


def problems(rows) -> list[tuple[str, int, str, str]]:
    book = read(book_bytes(rows))
    assert book.problems == ()
    return flat(book, check_book(book))


@pytest.mark.parametrize(("more", "expected"), [(0, []), (1, [("States", 2 * 50 + 3, "State", "states-many")])])
def test_thermal_states(more: int, expected: list) -> None:
    rows = small_plant()
    rows["States"] = [
        {"state": f"S{n}", "applies_to": to, "temperature": 100}
        for n in range(limits.MAX_STATES + more)
        for to in ("HW-1", "H-1")
    ]
    assert problems(rows) == expected


@pytest.mark.parametrize(("more", "expected"), [(0, []), (1, [("Point loads", 103, "Acts in", "loads-many")])])
def test_occasional_point_loads(more: int, expected: list) -> None:
    rows = small_plant()
    rows["Point loads"] = [
        {"load": f"P{n}", "line": "HW-1", "point": "15", "force_up": 10, "acts_in": acts}
        for acts, count in (("occasional", limits.MAX_OCCASIONAL_LOADS + more), ("always", 5))
        for n in range(count)
    ]
    for n, row in enumerate(rows["Point loads"]):
        row["load"] = f"P{n}"
    assert problems(rows) == expected


def study(values: str, other: str):
    rows = small_plant()
    rows["Studies"] = [
        {"study": "A", "sheet": "Lines", "row": "HW-1", "column": column, "values": text}
        for column, text in (("Operating temperature", values), ("Operating pressure", other))
    ]
    return read(book_bytes(rows))


def test_runs_of_a_study_have_a_bound_even_with_consent() -> None:
    book = study("100 : 180 : 0.1", "1 : 14 : 0.1")
    (found,) = study_problems(book, consent=True)
    assert (found.code, found.accepted) == ("study-size", "at most 100,000")
    assert found.found == "study A takes 104,931 runs"
    assert study_problems(study("100 : 180 : 0.1", "1 : 13 : 0.1"), consent=True) == []


def test_values_of_a_study_have_a_bound_however_they_are_written() -> None:
    book = study("; ".join("1" for _ in range(limits.MAX_VALUES + 1)), "1")
    assert [(p.code, p.found) for p in book.problems] == [("values-many", "10,001 values")]
    assert [p.code for p in study("1 : 9 : 1e-9", "1").problems] == ["values-unknown"]


def test_the_reference_names_every_bound() -> None:
    text = Path(__file__).parents[2].joinpath("README.md").read_text("utf-8")
    for what, most, unit in limits.table():
        assert f"| {what} | {most:,} {unit}".rstrip() in text


@pytest.mark.parametrize("unit", ["(" * 5000 + "m" + ")" * 5000, "mm*" * 5000 + "mm", "m/" * 5000 + "m", "m" * 30_000])
def test_endless_units_are_unknown_ones(unit: str) -> None:
    rows = small_plant()
    rows["Segments"][0]["east"] = f"4 {unit}"
    found = read(book_bytes(rows, unit_cells={"Segments": {"north": unit}})).problems
    assert {p.code for p in found} <= {"unit-unknown", "number-text", "value-missing"}
    assert all(len(p.sentence()) < 2000 for p in found)
    assert {str(p.address) for p in found} >= {"Segments!D3", "Segments!E2"}
