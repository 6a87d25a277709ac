"""The sheets that a run writes, and the values of the result columns."""

from dataclasses import replace
from math import nan

import pytest

from pipecalc.analysis.analyse import analyse
from pipecalc.problems import Address
from pipecalc.results import Check, Results, Status
from pipecalc.schema.sheets import RESULT_SHEETS, sheet
from pipecalc.units import convert_out
from pipecalc.workbook.package import SheetCell
from pipecalc.workbook.result_columns import checks_of, nozzle_values, segment_values, support_values
from pipecalc.workbook.result_sheets import REVIEW_MARK, result_sheets
from tests.analysis.hand_plants import built, line_rows


def rows_with_set(units: str = "SI"):
    rows = line_rows([{"east": 3}, {"east": 3}, {"north": 4}], project={"units": units})
    rows["Supports"] = [{"support": "S-1", "line": "L-1", "point": "20", "type": "rest and guide"}]
    limits = dict.fromkeys(("FR", "FL", "FC"), 1e5) | dict.fromkeys(("MR", "ML", "MC"), 1e5)
    rows["Allowables"] = [{"set": "V", **limits, "rule": "each component", "document": "D"}]
    rows["Nozzles"][0]["allowable_sets"] = "V"
    return rows


@pytest.fixture(scope="module")
def ran():
    plant = built(rows_with_set())
    return plant, analyse(plant)


def text(cell) -> object:
    return cell.value if isinstance(cell, SheetCell) else cell


def table(plant, results, title: str) -> list[list[object]]:
    (found,) = [s for s in result_sheets(plant, results) if s.title == title]
    return [[text(cell) for cell in row] for row in found.rows]


def test_every_result_sheet_is_made_and_bears_the_review_mark(ran) -> None:
    found = result_sheets(*ran)
    assert tuple(s.title for s in found) == RESULT_SHEETS
    assert all(text(s.rows[-1][0]) == REVIEW_MARK for s in found)


def test_sheets_without_content_say_so_and_never_that_all_is_well() -> None:
    plant = built(rows_with_set())
    empty = replace(plant, lines={}, nozzles={}, supports={})
    for title in RESULT_SHEETS:
        body = table(empty, Results(), title)[2]
        assert body[0]
        assert Status.PASS not in body


def test_the_summary_holds_the_governing_check_of_every_line_nozzle_and_support(ran) -> None:
    plant, results = ran
    rows = {row[0]: row for row in table(plant, results, "Summary")[2:] if row}
    assert [rows[name][1] for name in ("L-1", "A", "B", "S-1")] == ["line", "nozzle", "nozzle", "support"]
    line = max((c for c in checks_of(results, plant.lines["L-1"]) if c.ratio == c.ratio), key=lambda c: c.ratio)
    assert rows["L-1"][2:5] == [pytest.approx(line.ratio), line.check, line.case]


def test_a_tag_that_stands_on_two_sheets_keeps_its_verdicts_apart(ran) -> None:
    plant, _ = ran
    line, nozzle = plant.lines["L-1"], plant.nozzles["A"]
    passing = Check("x", "A", "", "", "", 1.0, 2.0, "N", 0.5, Status.PASS, "", source=Address("Supports", 3))
    failing = replace(passing, ratio=2.0, status=Status.FAIL, source=Address("Nozzles", 3))
    results = Results(checks=(passing, failing))
    assert checks_of(results, nozzle) == [failing]
    assert checks_of(results, line) == []


def test_units_are_those_of_the_project(ran) -> None:
    plant, results = ran
    us = replace(plant, project=replace(plant.project, units="US"))
    si_rows, us_rows = table(plant, results, "Nozzle loads"), table(us, results, "Nozzle loads")
    assert (si_rows[1][4], us_rows[1][4]) == ("N", "lbf")
    assert us_rows[2][4] == pytest.approx(si_rows[2][4] / 4.4482216152605)


def test_a_number_that_is_not_known_leaves_its_cell_blank(ran) -> None:
    plant, results = ran
    bad = replace(results.nozzle_loads[0], FR=nan)
    assert table(plant, replace(results, nozzle_loads=(bad,)), "Nozzle loads")[2][4] is None


def test_every_result_column_gets_a_value_in_some_row_or_is_left_blank_on_purpose(ran) -> None:
    plant, results = ran
    for title, values in (
        ("Segments", segment_values(plant, results)),
        ("Nozzles", nozzle_values(plant, results)),
        ("Supports", support_values(plant, results)),
    ):
        declared = {c.key for c in sheet(title).results}
        assert {key for row in values.values() for key in row} <= declared
        assert declared - {key for row in values.values() for key in row} == set()


def test_segment_columns_show_length_growth_and_the_leg_they_are_part_of(ran) -> None:
    plant, results = ran
    values = segment_values(plant, results)
    leg = max((x for x in results.legs if 5 in x.rows), key=lambda x: x.ratio)
    assert values[5]["result_length"] == 4.0
    assert values[5]["result_expansion"] == results.expansions[2].expansion
    assert (values[5]["result_absorbs"], values[5]["result_needed"]) == (leg.absorbs, leg.length_needed)


def test_nozzle_columns_show_the_governing_case_and_its_loads(ran) -> None:
    plant, results = ran
    row = nozzle_values(plant, results)[3]
    worst = max((c for c in results.checks if c.subject == "A" and c.set == "V"), key=lambda c: c.ratio)
    (load,) = [x for x in results.nozzle_loads if (x.nozzle, x.case, x.method) == ("A", worst.case, "frame")]
    assert (row["result_ratio"], row["result_set"], row["result_case"]) == (worst.ratio, "V", worst.case)
    assert row["result_FR"] == load.FR
    assert row["result_force"] == pytest.approx((load.FR**2 + load.FL**2 + load.FC**2) ** 0.5)


def test_a_nozzle_without_a_set_is_not_checked(ran) -> None:
    assert nozzle_values(*ran)[4]["result_status"] == "NOT CHECKED"


def test_support_columns_show_the_greatest_load_of_each_kind_of_case_with_its_sign(ran) -> None:
    plant, results = ran
    row = support_values(plant, results)[3]
    sustained = [c.case for c in results.cases if c.kind == "sustained"]
    found = [x.vertical for x in results.support_loads if x.case in sustained]
    assert row["result_vertical_sustained"] == max(found, key=abs)
    assert row["result_vertical_sustained"] < 0


def test_an_unknown_ratio_does_not_hide_a_known_one(ran) -> None:
    plant, results = ran
    legs = tuple(replace(x, ratio=nan, absorbs=9.0) for x in results.legs[:1]) + results.legs
    shown = segment_values(plant, replace(results, legs=legs))
    assert all(row.get("result_absorbs") != 9.0 for row in shown.values())


def test_shown_units_convert_exactly() -> None:
    assert float(convert_out(1.0, "in", sheet("Segments").column("result_length").dimension)) == pytest.approx(
        1 / 0.0254
    )
