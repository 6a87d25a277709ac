"""Writing results keeps everything else: workbooks made with xlsxwriter and openpyxl."""

import io
import math

import pytest
from lxml import etree
from package_samples import SHEET, bare_book, differing, full_book, opened, openpyxl_book, unzipped, values, without
from python_calamine import CalamineWorkbook

from pipecalc.workbook.package import (
    CellStyle,
    CellWrite,
    NewSheet,
    SheetCell,
    TitleTaken,
    edit_workbook,
    foreign_titles,
)

RED = CellStyle(number_format="0.000", fill="FFC7CE", border=True)
TITLE = CellStyle(bold=True, wrap=True, font_colour="1F3864", align="center")
RESULTS = [
    CellWrite("Lines", 1, 7, "Result: leg", TITLE),
    CellWrite("Lines", 1, 8, "Result: status", TITLE),
    *(CellWrite("Lines", row, 7, row / 7, RED) for row in range(3, 13)),
    *(CellWrite("Lines", row, 8, "NOT CHECKED") for row in range(3, 13)),
]
ADDRESSES = [f"{'..ABCDEFGH'[w.column + 1]}{w.row}" for w in RESULTS]
SUMMARY = NewSheet(
    "Summary",
    [[SheetCell("Check", TITLE), "Worst"], ["Leg", SheetCell(0.75, RED)], [], [None, True, "=1+1"]],
    column_widths={1: 30, 2: 11.5},
    freeze=(1, 1),
    repeat_row=1,
)


@pytest.fixture(scope="module")
def full() -> bytes:
    return full_book(macros=b"macro storage")


@pytest.fixture(scope="module")
def written(full: bytes) -> bytes:
    return edit_workbook(full, RESULTS)


def test_only_the_sheet_and_the_formats_change(full: bytes, written: bytes):
    # The library itself asks for recalculation, so its workbook part stays as it is.
    assert differing(full, written) == {SHEET, "xl/styles.xml"}


def test_everything_on_the_sheet_but_the_targets_is_the_same(full: bytes, written: bytes):
    old, new = unzipped(full)[SHEET], unzipped(written)[SHEET]
    assert without(old, ADDRESSES) == without(new, ADDRESSES)
    assert without(old, ()) != without(new, ())


def test_parts_keep_their_order(full: bytes, written: bytes):
    assert list(unzipped(full)) == list(unzipped(written))


def test_existing_formats_keep_their_numbers(full: bytes, written: bytes):
    old, new = (etree.fromstring(unzipped(data)["xl/styles.xml"]) for data in (full, written))
    for container in ("fonts", "fills", "borders", "cellXfs", "numFmts"):
        before, after = old.find(f"{{*}}{container}"), new.find(f"{{*}}{container}")
        kept = [etree.tostring(element) for element in after][: len(before)]
        assert kept == [etree.tostring(element) for element in before]
        assert after.get("count") == str(len(after))


def test_new_values_are_read(written: bytes):
    found = values(written, "Lines")
    assert found["G1"] == "Result: leg"
    assert [found[f"G{row}"] for row in range(3, 13)] == [row / 7 for row in range(3, 13)]
    assert {found[f"H{row}"] for row in range(3, 13)} == {"NOT CHECKED"}


def test_the_fast_reader_agrees(written: bytes):
    rows = CalamineWorkbook.from_filelike(io.BytesIO(written)).get_sheet_by_name("Lines").to_python()
    assert rows[0][6:8] == ["Result: leg", "Result: status"]
    assert [row[6] for row in rows[2:12]] == [row / 7 for row in range(3, 13)]


def test_stored_formula_values_survive(full: bytes, written: bytes):
    old, new = values(full, "Lines"), values(written, "Lines")
    assert {a: v for a, v in old.items() if a[0] != "G"} == {a: v for a, v in new.items() if a[0] not in "GH"}
    assert new["D5"] == 84
    assert values(full, "Own sheet") == values(written, "Own sheet")


def test_writing_twice_is_writing_once(full: bytes):
    once = edit_workbook(full, RESULTS, [SUMMARY], {"Lines": {7: 14, 8: 20}})
    assert edit_workbook(once, RESULTS, [SUMMARY], {"Lines": {7: 14, 8: 20}}) == once


def test_equal_input_gives_equal_bytes(full: bytes, written: bytes):
    assert edit_workbook(full, RESULTS) == written


def test_nothing_to_write_gives_the_file_itself(full: bytes):
    assert edit_workbook(full) == full


def test_a_second_run_with_other_results_changes_only_those(written: bytes):
    other = [CellWrite(w.sheet, w.row, w.column, f"new {w.row}") for w in RESULTS]
    again = edit_workbook(written, other)
    assert differing(written, again) == {SHEET}
    assert without(unzipped(written)[SHEET], ADDRESSES) == without(unzipped(again)[SHEET], ADDRESSES)


def test_a_files_path_does_as_well_as_its_bytes(tmp_path, full: bytes, written: bytes):
    path = tmp_path / "plant.xlsm"
    path.write_bytes(full)
    assert edit_workbook(path, RESULTS) == written
    assert path.read_bytes() == full


def test_openpyxl_workbook_keeps_its_parts():
    before = openpyxl_book()
    writes = [CellWrite("Lines", row, 4, row * 1.5, RED) for row in range(2, 12)]
    after = edit_workbook(before, [CellWrite("Lines", 1, 4, "Result: x", TITLE), *writes])
    assert differing(before, after) == {SHEET, "xl/styles.xml"}
    cells = [f"D{row}" for row in range(1, 12)]
    assert without(unzipped(before)[SHEET], cells) == without(unzipped(after)[SHEET], cells)
    assert values(after, "Lines", computed=False)["C3"] == "=B3*2"
    assert values(after, "Lines")["D11"] == 16.5


def test_recalculation_is_asked_for():
    before = bare_book("<sheetData/>")
    after = edit_workbook(before, [CellWrite("Data", 1, 1, 1.0)])
    assert differing(before, after) == {SHEET, "xl/workbook.xml"}
    root = etree.fromstring(unzipped(after)["xl/workbook.xml"])
    assert [child.tag.split("}")[1] for child in root] == ["sheets", "calcPr"]
    assert dict(root.find("{*}calcPr").attrib) == {"fullCalcOnLoad": "1"}


def test_format_of_a_written_cell(written: bytes):
    sheet = opened(written)["Lines"]
    cell = sheet["G5"]
    assert (cell.number_format, cell.fill.fgColor.rgb, cell.border.left.style) == ("0.000", "FFFFC7CE", "hair")
    title = sheet["G1"]
    assert (title.font.b, title.font.color.rgb, title.font.name) == (True, "FF1F3864", "Calibri")
    assert (title.alignment.horizontal, title.alignment.wrap_text) == ("center", True)


def test_without_a_style_a_cell_keeps_its_look_and_a_new_one_takes_its_columns(full: bytes):
    after = edit_workbook(full, [CellWrite("Lines", 5, 7, 1.0), CellWrite("Lines", 30, 7, 1.0)])
    root = etree.fromstring(unzipped(after)[SHEET])
    looks = {c.get("r"): c.get("s") for c in root.iterfind(".//{*}c")}
    old = {c.get("r"): c.get("s") for c in etree.fromstring(unzipped(full)[SHEET]).iterfind(".//{*}c")}
    assert looks["G5"] == old["G5"]
    assert looks["G30"] == root.find("{*}cols")[-1].get("style")


def test_column_widths_split_a_wider_entry(full: bytes):
    after = edit_workbook(full, (), (), {"Lines": {2: 33, 8: 21}})
    cols = etree.fromstring(unzipped(after)[SHEET]).find("{*}cols")
    found = [(c.get("min"), c.get("max"), c.get("width"), c.get("style")) for c in cols]
    a, f = "12.7109375", "10.28515625"
    assert found == [
        ("1", "1", a, None),
        ("2", "2", "33", None),
        ("3", "3", a, None),
        ("6", "7", f, found[-1][3]),
        ("8", "8", "21", found[-1][3]),
        ("9", "16384", f, found[-1][3]),
    ]
    assert found[-1][3] is not None


@pytest.mark.parametrize("text", ["=1+1", "+E", "-N", "@x", "=cmd|' /c calc'!A0"])
def test_text_never_becomes_a_formula(full: bytes, text: str):
    after = edit_workbook(full, [CellWrite("Lines", 3, 8, text, RED), CellWrite("Lines", 4, 8, text)])
    assert values(after, "Lines", computed=False)["H3"] == text
    root = etree.fromstring(unzipped(after)[SHEET])
    cells = [root.find(f".//{{*}}c[@r='{address}']") for address in ("H3", "H4")]
    assert [(c.get("t"), [child.tag.split("}")[1] for child in c]) for c in cells] == [("inlineStr", ["is"])] * 2
    formats = etree.fromstring(unzipped(after)["xl/styles.xml"]).find("{*}cellXfs")
    assert [formats[int(c.get("s"))].get("quotePrefix") for c in cells] == ["1", "1"]


def test_clearing_a_cell_keeps_its_look(full: bytes):
    after = edit_workbook(full, [CellWrite("Lines", 5, 7, None), CellWrite("Lines", 90, 7, None)])
    root = etree.fromstring(unzipped(after)[SHEET])
    cell = root.find(".//{*}c[@r='G5']")
    assert (len(cell), cell.get("t")) == (0, None)
    assert cell.get("s") is not None
    assert root.find(".//{*}row[@r='90']") is None


def test_awkward_characters(full: bytes):
    text = 'a\x01b _x0041_ <&> " é 温\r\nline'
    after = edit_workbook(full, [CellWrite("Lines", 3, 8, text)])
    found = etree.fromstring(unzipped(after)[SHEET]).findtext(".//{*}c[@r='H3']/{*}is/{*}t")
    assert found == 'a_x0001_b _x005F_x0041_ <&> " é 温\nline'


def test_a_text_too_long_for_a_cell_says_that_it_is_cut(full: bytes):
    after = edit_workbook(full, [CellWrite("Lines", 3, 8, "x" * 40_000)])
    found = str(values(after, "Lines")["H3"])
    assert len(found) == 32_767
    assert found.endswith("(cut: a cell holds no more)")


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_numbers_that_are_none_are_refused(full: bytes, value: float):
    with pytest.raises(ValueError, match="cannot hold"):
        edit_workbook(full, [CellWrite("Lines", 3, 8, value)])


@pytest.mark.parametrize(("row", "column"), [(0, 1), (1, 0), (1_048_577, 1), (1, 16_385)])
def test_cells_outside_the_sheet_are_refused(full: bytes, row: int, column: int):
    with pytest.raises(ValueError, match="no cell at"):
        edit_workbook(full, [CellWrite("Lines", row, column, 1)])


def test_kinds_of_values(full: bytes):
    kinds = [True, False, 3, -2.5e-7, "word", 10**15]
    after = edit_workbook(full, [CellWrite("Lines", 40 + n, 20, value) for n, value in enumerate(kinds)])
    found = values(after, "Lines")
    assert [found[f"T{40 + n}"] for n in range(len(kinds))] == kinds
    assert isinstance(found["T40"], bool)


def test_a_new_sheet_stands_last_and_opens(full: bytes):
    after = edit_workbook(full, RESULTS, [SUMMARY])
    book = opened(after)
    assert book.sheetnames == ["Lines", "Own sheet", "Summary"]
    sheet = book["Summary"]
    assert [[c.value for c in row] for row in sheet["A1:C4"]] == [
        ["Check", "Worst", None],
        ["Leg", 0.75, None],
        [None, None, None],
        [None, True, "=1+1"],
    ]
    assert (sheet["C4"].data_type, sheet["A1"].font.b, sheet.freeze_panes) == ("s", True, "B2")
    assert (sheet.print_title_rows, sheet.page_setup.orientation) == ("$1:$1", "landscape")
    assert (sheet.sheet_properties.pageSetUpPr.fitToPage, sheet.page_setup.fitToHeight) == (True, 0)
    assert [sheet.column_dimensions[c].width for c in "AB"] == [30, 11.5]


def test_names_of_the_user_stay_valid_beside_new_sheets(full: bytes):
    names = etree.fromstring(unzipped(full)["xl/workbook.xml"]).find("{*}definedNames")
    after = edit_workbook(full, (), [SUMMARY])
    kept = etree.fromstring(unzipped(after)["xl/workbook.xml"]).find("{*}definedNames")
    assert [etree.tostring(e) for e in names] == [etree.tostring(e) for e in kept][: len(names)]


def test_a_sheet_of_an_earlier_run_is_replaced_in_its_place(full: bytes):
    other = NewSheet("Messages", [["none"]])
    first = edit_workbook(full, (), [SUMMARY, other])
    new = NewSheet("Summary", [["fresh"]])
    second = edit_workbook(first, (), [new])
    assert differing(first, second) == {"xl/worksheets/sheet3.xml", "xl/workbook.xml"}
    assert values(second, "Summary") == {"A1": "fresh"}
    assert values(second, "Messages") == {"A1": "none"}


def test_a_sheet_of_the_users_own_is_never_replaced(full: bytes):
    with pytest.raises(TitleTaken) as refused:
        edit_workbook(full, RESULTS, [NewSheet("own SHEET", [["x"]]), SUMMARY])
    assert refused.value.titles == ("own SHEET",)
    assert foreign_titles(full, ["Own sheet", "Summary"]) == ["Own sheet"]
    assert foreign_titles(edit_workbook(full, (), [SUMMARY]), ["Summary"]) == []


@pytest.mark.parametrize("title", ["", "x" * 32, "a/b", "a:b", "[a]", "'a"])
def test_impossible_titles_are_refused(full: bytes, title: str):
    with pytest.raises(ValueError, match="no sheet can bear"):
        edit_workbook(full, (), [NewSheet(title, [])])


def test_an_empty_new_sheet_is_possible():
    after = edit_workbook(bare_book("<sheetData/>"), (), [NewSheet("Messages", [])])
    assert values(after, "Messages") == {}
