"""Reading: values, addresses, and every problem that a file, a title, a unit or a cell can have."""

import datetime
import io
from hashlib import sha256

import hypothesis.strategies as st
import pytest
import xlsxwriter
from books import (
    at,
    book_bytes,
    flat,
    item_row,
    problems_of,
    put,
    repacked,
    small_plant,
    twin,
    write_book,
)
from hypothesis import given

from pipecalc.problems import Address, Severity
from pipecalc.schema.column import Kind
from pipecalc.schema.sheets import SHEETS
from pipecalc.workbook.cells import Tolerance, is_blank
from pipecalc.workbook.columns import read_column
from pipecalc.workbook.reader import read


def put_item(key, value, column=2):
    def edit(workbook):
        workbook["Project"].cell(item_row(key), column, value)

    return edit


def plant_with(sheet, number, **changes):
    rows = small_plant()
    rows[sheet][number].update(changes)
    return rows


# ---- values


def test_a_sound_workbook_has_no_problems_in_either_units():
    assert problems_of(small_plant()) == []
    assert problems_of(twin(small_plant()), units="US") == []


def test_numbers_are_in_base_units():
    line = read(book_bytes(small_plant())).rows["Lines"][0]
    got = [line[k] for k in ("design_temperature", "design_pressure", "fluid_density", "corrosion_allowance")]
    assert got == pytest.approx([200.0, 16e5, 900.0, 0.0])


def test_the_us_twin_gives_the_same_values():
    si, us = read(book_bytes(small_plant())), read(book_bytes(twin(small_plant()), units="US"))
    compared = 0
    for title, rows in si.rows.items():
        for row, other in zip(rows, us.rows[title], strict=True):
            for key, value in row.values.items():
                assert other[key] == (pytest.approx(value, rel=1e-12, abs=1e-12) if isinstance(value, float) else value)
                compared += isinstance(value, float)
    assert compared > 40


def test_the_book_says_what_it_was_read_from(tmp_path):
    path = write_book(tmp_path / "Hot water.xlsx", small_plant())
    book = read(path)
    assert (book.name, book.sha256) == ("Hot water", sha256(path.read_bytes()).hexdigest())
    assert book.sheet_names[:4] == ("Project", "Revisions", "Lines", "Segments")


def test_every_sheet_is_there_even_if_the_workbook_lacks_it():
    book = read(book_bytes(small_plant(), leave_out=("States", "Studies", "Zones")))
    assert (book.rows["States"], book.rows["Zones"], list(book.problems)) == ((), (), [])
    assert "States" not in book.titles


def test_defaults_are_taken_and_said():
    book = read(book_bytes(small_plant()))
    line = book.rows["Lines"][0]
    assert (line["mill_tolerance"], line["weld_factor"]) == (Tolerance(0.125), 1.0)
    assert line.assumed == {
        "corrosion_allowance",
        "mill_tolerance",
        "weld_factor",
        "insulation_thickness",
        "insulation_density",
    }
    assert (book.project["use_sustained_margin"], book.project["shear_deformation"]) == (False, True)
    assert (line["remark"], "remark" in line.assumed) == (None, False)


def test_cells_keep_their_address_and_what_was_typed():
    rows = plant_with("Segments", 1, east="8 ft 3 in", mass=35)
    book = read(book_bytes(rows))
    segment = book.rows["Segments"][1]
    assert (str(segment.address("mass")), str(segment.address())) == ("Segments!H4", "Segments!4")
    assert (segment.typed["east"], segment.typed["mass"]) == ("8 ft 3 in", "35 kg")
    assert segment["east"] == pytest.approx(99 * 0.0254)
    assert str(book.project.address("date")) == f"Project!B{item_row('date')}"


def test_a_blank_from_continues_from_the_row_above():
    segments = read(book_bytes(small_plant())).rows["Segments"]
    assert [(s["from_"], s["to"]) for s in segments] == [("10", "15"), ("15", "20"), ("20", "30")]


def test_a_blank_from_at_the_start_of_a_line_is_an_error():
    rows = small_plant()
    rows["Lines"].append({**rows["Lines"][0], "line": "HW-2", "from_": None, "to": None})
    rows["Segments"].append({"line": "HW-2", "to": "20", "east": 1})
    assert problems_of(rows) == [("Segments", 6, "From", "segment-start")]


def test_titles_match_however_they_are_typed_and_in_any_order():
    def edit(workbook):
        ws = workbook["Supports"]
        ws.move_range("A1:A3", cols=30)
        ws["AE1"], ws["D1"] = " supPORT ", "type"
        ws[at("Supports", "allowable_vertical", 1)] = " ALLOWABLE\n vertical"

    book = read(book_bytes(plant_with("Supports", 0, allowable_vertical=2000), edit=edit))
    assert list(book.problems) == []
    assert [book.rows["Supports"][0][k] for k in ("support", "type", "allowable_vertical")] == ["S-1", "rest", 2000.0]
    assert book.titles["Supports"]["support"] == 31


def test_blank_rows_and_own_columns_are_passed_over():
    rows = small_plant()
    rows["Supports"].insert(0, {})
    rows["Supports"].append({"Checked on site": "yes"})
    rows["Supports"][1]["Checked on site"] = "no"
    book = read(book_bytes(rows))
    assert ([r.number for r in book.rows["Supports"]], list(book.problems)) == ([4], [])


def test_result_columns_are_found_but_never_read():
    def edit(workbook):
        ws = workbook["Supports"]
        ws["AF1"], ws["AF3"], ws["AG1"] = "Result: status", "#DIV/0!", "result: LIFTS OFF"

    book = read(book_bytes(small_plant(), edit=edit))
    assert list(book.problems) == []
    assert (book.titles["Supports"]["result_status"], book.titles["Supports"]["result_lifts"]) == (32, 33)
    assert "result_status" not in book.rows["Supports"][0].values


# ---- units


def test_a_unit_cell_holds_for_its_column():
    cells = {"Lines": {"Design temperature": "°F", "design_pressure": "psi g"}}
    rows = plant_with("Lines", 0, design_temperature=392, design_pressure=232)
    line = read(book_bytes(rows, unit_cells=cells)).rows["Lines"][0]
    assert (line["design_temperature"], line["design_pressure"]) == pytest.approx((200.0, 232 * 6894.757293168))


def test_a_cells_own_unit_wins():
    rows = plant_with("Lines", 0, design_temperature="392 °F", operating_pressure="203 psig")
    line = read(book_bytes(rows)).rows["Lines"][0]
    assert (line["design_temperature"], line["operating_pressure"]) == pytest.approx((200.0, 203 * 6894.757293168))


@pytest.mark.parametrize("size", [1e-308, 5e-324, 1e31, 1.7e308])
def test_a_number_of_no_possible_size_is_refused(size):
    """Even in a column without bounds of its own: ratios of such numbers overflow."""
    assert problems_of(plant_with("Segments", 0, mass=size)) == [("Segments", 3, "Mass", "value-impossible")]


def test_a_mill_tolerance_is_a_share_or_a_length():
    share = read(book_bytes(plant_with("Lines", 0, mill_tolerance=10))).rows["Lines"][0]
    length = read(book_bytes(plant_with("Lines", 0, mill_tolerance="0.3 mm"))).rows["Lines"][0]
    assert (share["mill_tolerance"], length["mill_tolerance"]) == (Tolerance(0.1), Tolerance(3e-4, True))


@pytest.mark.parametrize(
    ("unit", "code"),
    [("kN", "unit-dimension"), ("grC", "unit-unknown"), (None, "unit-missing"), ("12", "unit-dimension")],
)
def test_a_wrong_unit_cell_is_one_error_for_the_column(unit, code):
    rows = small_plant()
    cells = {"Segments": {"east": unit}}
    assert problems_of(rows, unit_cells=cells) == [("Segments", 2, "East", code)]


def test_a_wrong_unit_over_a_result_column_is_an_error_there():
    def edit(workbook):
        sheet = workbook["Segments"]
        place = sheet.max_column + 1
        sheet.cell(1, place, "Result: free expansion")
        sheet.cell(2, place, "°F")

    assert problems_of(small_plant(), edit=edit) == [("Segments", 2, "Result: free expansion", "unit-dimension")]


def test_a_blank_unit_over_an_empty_column_is_no_error():
    assert problems_of(small_plant(), unit_cells={"Segments": {"mass": None}}) == []


def test_a_blank_unit_under_cells_that_bring_their_own_is_no_error():
    rows = plant_with("Segments", 0, mass="40 kg")
    assert problems_of(rows, unit_cells={"Segments": {"mass": None}}) == []


def test_a_wrong_own_unit_is_an_error_of_the_cell():
    rows = plant_with("Lines", 0, design_pressure="16 bara", operating_temperature="180 bar")
    assert problems_of(rows) == [
        ("Lines", 3, "Design pressure", "unit-dimension"),
        ("Lines", 3, "Operating temperature", "unit-dimension"),
    ]


def test_a_wrong_unit_on_the_project_sheet():
    rows = plant_with("Project", 0, wind_pressure=500)
    assert problems_of(rows, unit_cells={"Project": {"wind_pressure": "kg"}}) == [
        ("Project", item_row("wind_pressure"), "Wind pressure", "unit-dimension")
    ]


# ---- cells


@pytest.mark.parametrize(
    ("sheet", "key", "value", "code"),
    [
        ("Segments", "east", "two", "number-text"),
        ("Segments", "east", "2,5", "number-comma"),
        ("Segments", "east", "nan", "number-finite"),
        ("Segments", "east", True, "number-text"),
        ("Segments", "east", datetime.date(2025, 2, 1), "cell-date"),
        ("Segments", "to", datetime.date(2025, 2, 1), "cell-date"),
        ("Segments", "to", None, "value-missing"),
        ("Segments", "item", "valv", "choice-unknown"),
        ("Segments", "mitre_cuts", 1.5, "number-whole"),
        ("Segments", "mitre_cuts", 40, "value-impossible"),
        ("Segments", "nps_at_to", 7, "nps-unknown"),
        ("Lines", "schedule", "45", "schedule-unknown"),
        ("Lines", "nps", "200 mm", "nps-unknown"),
        ("Lines", "fluid_density", "watr", "choice-unknown"),
        ("Lines", "material", None, "value-missing"),
        ("Lines", "design_temperature", "#DIV/0!", "cell-error"),
        ("Lines", "weld_factor", 0, "value-impossible"),
        ("Lines", "corrosion_allowance", -1, "value-impossible"),
        ("Lines", "design_temperature", 5000, "value-impossible"),
        ("Lines", "mill_tolerance", "-1 mm", "value-impossible"),
        ("Lines", "mill_tolerance", "12 K", "unit-dimension"),
        ("Nozzles", "direction", "outward", "direction-unknown"),
        ("Equipment", "kind", "vertical", "choice-unknown"),
        ("Supports", "type", "shoe", "choice-unknown"),
    ],
)
def test_a_bad_cell_is_one_error_with_its_address(sheet, key, value, code):
    book = read(book_bytes(small_plant(), edit=put(sheet, key, value)))
    title = next(c for c in book.rows[sheet][0].columns if c == key)
    assert [(p.severity, str(p.address), p.code) for p in book.problems] == [
        (Severity.ERROR, f"{sheet}!{at(sheet, title, 3)}", code)
    ]
    assert (key in book.rows[sheet][0].bad, book.rows[sheet][0][key]) == (True, None)


def test_an_impossible_value_is_told_in_the_users_unit():
    (problem,) = read(book_bytes(plant_with("Lines", 0, design_temperature="3000 °F"))).problems
    assert problem.sentence() == ("Lines!P3: Design temperature 3000 °F is not possible; accepted: -454 to 2012 °F")


def test_an_unusual_value_is_a_warning_only():
    book = read(book_bytes(plant_with("Lines", 0, corrosion_allowance=8)))
    assert [(p.severity, p.code) for p in book.problems] == [(Severity.WARNING, "value-unusual")]
    assert book.rows["Lines"][0]["corrosion_allowance"] == pytest.approx(0.008)


def test_a_value_on_its_bound_is_possible():
    assert problems_of(plant_with("Lines", 0, corrosion_allowance="0.4724409448818898 in")) == [
        ("Lines", 3, "Corrosion allowance", "value-unusual")
    ]


def test_numbers_stored_as_text_are_read_and_noted_once():
    rows = small_plant()
    for segment in rows["Segments"][:2]:
        segment["east"] = "2.5"
    book = read(book_bytes(rows))
    assert [(p.severity, str(p.address), p.code) for p in book.problems] == [
        (Severity.NOTE, "Segments!D3", "number-as-text")
    ]
    assert book.rows["Segments"][1]["east"] == 2.5


def test_a_formula_is_read_by_its_stored_value_and_refused_without_one():
    book = read(book_bytes(small_plant(), edit=put("Segments", "east", "=1+1.5")))
    assert [(str(p.address), p.code) for p in book.problems] == [
        ("", "formulas-stale"),
        ("Segments!D3", "formula-no-value"),
    ]
    assert "open and save" in book.problems[1].hint


def test_a_formula_that_gives_empty_text_is_a_blank_cell():
    data = book_bytes(small_plant(), edit=put("Segments", "mass", '=""'))
    calculated = repacked(data, lambda xml: xml.replace(b'<c r="H3"><f>', b'<c r="H3" t="str"><f>'))
    book = read(calculated)
    assert ([p.code for p in book.problems], book.rows["Segments"][0]["mass"]) == (["formulas-stale"], None)


def test_a_row_that_holds_only_an_uncalculated_formula_is_not_blank():
    found = problems_of(small_plant(), edit=put("Supports", "support", "=A3", row=9))
    assert ("Supports", 9, "Support", "formula-no-value") in found


def test_stored_values_of_formulas_are_used():
    stream = io.BytesIO()
    workbook = xlsxwriter.Workbook(stream)
    sheet = workbook.add_worksheet("Revisions")
    sheet.write_row(0, 0, ["Revision", "Description"])
    sheet.write_formula(2, 0, "=1+1", None, 2)
    sheet.write_formula(2, 1, '=""', None, "")
    sheet.write_formula(3, 0, "=1/0", None, "#DIV/0!")
    workbook.close()
    book = read(stream.getvalue())
    assert [r["revision"] for r in book.rows["Revisions"]] == ["2", None]
    assert ("Revisions", 4, "Revision", "cell-error") in flat(book, book.problems)


def test_merged_cells_are_one_error():
    def edit(workbook):
        workbook["Segments"].merge_cells("A3:A5")

    assert problems_of(small_plant(), edit=edit) == [("Segments", 3, "Line", "cells-merged")]


def test_merged_cells_beside_the_table_do_not_matter():
    def edit(workbook):
        workbook["Segments"].merge_cells("AR3:AT9")
        workbook["Segments"].merge_cells("A40:D41")

    assert problems_of(small_plant(), edit=edit) == []


def test_hidden_rows_are_read_and_noted():
    def edit(workbook):
        workbook["Segments"].row_dimensions[4].hidden = True
        workbook["Segments"].row_dimensions[30].hidden = True

    book = read(book_bytes(small_plant(), edit=edit))
    assert [(p.severity, p.code, p.found) for p in book.problems] == [(Severity.NOTE, "rows-hidden", "hidden rows: 4")]
    assert len(book.rows["Segments"]) == 3


CELLS = st.one_of(
    st.none(),
    st.booleans(),
    st.floats(),
    st.text(max_size=30),
    st.text(alphabet="0123456789 ./-+,:;'\"eE°FCinmazlNU", max_size=14),
    st.dates(),
    st.times(),
    st.timedeltas(),
    st.sampled_from(["1/0", "1e400", "-0", "az 1e9", "0;0;0", "DN 9", "inf mm", "1:2:3", "9" * 400]),
)
ONE_OF_EACH_KIND = {c.kind: c for s in SHEETS for c in s.inputs}


@pytest.mark.parametrize("kind", list(Kind), ids=str)
@given(value=CELLS)
def test_whatever_is_typed_gives_a_value_or_one_error(kind, value):
    column = ONE_OF_EACH_KIND[kind]
    cell = Address("Lines", 3, 1)
    found = read_column(column, column.si, Address("Lines", 2, 1), [value], lambda _: cell)
    errors = [p for p in found.problems if p.severity is Severity.ERROR]
    if is_blank(value):
        assert len(errors) == column.required
    else:
        assert (found.values[0] is None, found.bad) in ((True, {0}), (False, set()))
        assert [p.address for p in errors] == [cell] * len(found.bad)


# ---- titles and sheets


def test_a_misspelt_title_is_warned_of():
    assert problems_of(small_plant(), edit=put("Segments", "mass", "Mas", row=1)) == [
        ("Segments", 1, "", "title-unknown")
    ]


def test_a_missing_required_column_is_one_error():
    assert problems_of(small_plant(), edit=put("Segments", "line", None, row=1)) == [
        ("Segments", 1, "", "column-missing")
    ]


def test_a_title_that_stands_twice_is_an_error():
    assert problems_of(small_plant(), edit=put("Segments", "mass", "East", row=1)) == [
        ("Segments", 1, "", "title-twice")
    ]


def test_a_sheet_without_titles_is_one_error():
    def edit(workbook):
        workbook["Segments"].insert_rows(1, 2)

    assert problems_of(small_plant(), edit=edit) == [("Segments", 1, "", "titles-missing")]


def test_data_in_the_row_of_units_is_one_error():
    def edit(workbook):
        workbook["Segments"].delete_rows(2)

    assert problems_of(small_plant(), edit=edit) == [("Segments", 2, "Line", "units-row")]


def test_a_required_sheet_without_rows_is_an_error():
    rows = {**small_plant(), "Segments": []}
    assert problems_of(rows) == [("Segments", 0, "", "sheet-empty")]


def test_missing_sheets():
    book = read(book_bytes(small_plant(), leave_out=("Lines", "Segments", "Project")))
    assert flat(book, book.problems) == [
        ("Project", 0, "", "sheet-missing"),
        ("Lines", 0, "", "sheet-missing"),
        ("Segments", 0, "", "sheet-missing"),
    ]
    assert (book.project.bad, book.project["friction"]) == ({"title", "date", "edition"}, 0.3)


def test_a_misspelt_sheet_is_warned_of():
    def edit(workbook):
        workbook["Nozzles"].title = "Nozzels"
        workbook.create_sheet("My notes")

    assert problems_of(small_plant(), edit=edit) == [("Nozzels", 0, "", "sheet-unknown")]


def test_sheet_names_match_without_regard_to_case():
    def edit(workbook):
        workbook.create_sheet(" POINT  loads").append(["Load"])

    book = read(book_bytes(small_plant(), leave_out=("Point loads",), edit=edit))
    assert book.titles["Point loads"] == {"load": 1}


def test_project_items():
    rows = plant_with("Project", 0, edition=2022, cycles=1e4, elbow="Short Radius")
    del rows["Project"][0]["title"]
    found = read(book_bytes(rows, edit=put_item("friction", "fricton", column=1)))
    assert flat(found, found.problems) == [
        ("Project", item_row("title"), "Title", "value-missing"),
    ]
    assert [found.project[k] for k in ("edition", "cycles", "elbow")] == ["2022", 1e4, "short radius"]
    assert found.project.bad == {"title"}


def test_a_misspelt_project_item_is_warned_of():
    assert problems_of(small_plant(), edit=put_item("wind_pressure", "Wind presure", column=1)) == [
        ("Project", item_row("wind_pressure"), "", "title-unknown")
    ]
