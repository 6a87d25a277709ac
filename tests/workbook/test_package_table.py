"""Long tables are written column by column, large parts are packed at once: the same comes of it as the usual way."""

import math

import numpy as np
import pytest
from package_samples import SHEET, bare_book, unzipped, zipped

from pipecalc.workbook import package_parts, package_sheets
from pipecalc.workbook.package import (
    CellStyle,
    CellWrite,
    NewSheet,
    SheetCell,
    TargetBlocked,
    edit_workbook,
    refuse_blocked_edits,
)
from pipecalc.workbook.package_cells import by_row
from pipecalc.workbook.package_check import check_written
from pipecalc.workbook.package_table import Table, TableColumn

WRAPPED, NUMBER, ODD, FAIL = (CellStyle(wrap=True), CellStyle(number_format="0.0"), CellStyle(), CellStyle(bold=True))
COLUMNS = [
    TableColumn(NUMBER, WRAPPED, ODD, {"FAIL": FAIL}),
    TableColumn(NUMBER, WRAPPED, ODD, {}, 273.15, 1.8),
    TableColumn(NUMBER, ODD, ODD),
    TableColumn(NUMBER, WRAPPED, ODD),
]
ROWS = [
    ["PASS", 1.0, "=1+1", 1.0],
    ["FAIL", -0.0, None, math.nan],
    ["a & b\x01 é", 3e300, "", None],
    ["long words that take more than a line or two", 4.5, 7, np.float64(2.5)],
    [None, 300.0, "x" * 40, "two\nlines"],
    ["FAIL", 0.1, math.inf, np.float64(math.nan)],
    ["long words that take more than a line or two", 1e-300, True, 5.0],
]
HEAD = [[SheetCell("Title", FAIL), "b", None, 4], []]
FOOT = [[], [SheetCell("end", FAIL)]]


def sheet(table: object) -> NewSheet:
    return NewSheet("Long", table, {1: 9.0, 4: 5.0}, freeze=(1, 0), repeat_row=1)


def written(new: NewSheet) -> bytes:
    parts = unzipped(edit_workbook(bare_book("<sheetData/>"), [], [new]))
    return next(data for name, data in parts.items() if "worksheets" in name and name != SHEET)


@pytest.mark.parametrize("piece", [1, 2, 3, 7, 8, 100])
@pytest.mark.parametrize("count", [0, 1, 2, 6, 7, 21])
def test_column_by_column_gives_the_text_that_cell_by_cell_gives(piece: int, count: int, monkeypatch) -> None:
    values = (ROWS * 3)[:count]
    plain = written(sheet(list(Table(HEAD, COLUMNS, values, FOOT))))
    monkeypatch.setattr(package_sheets, "_ROWS_OF_A_PIECE", piece)
    assert written(sheet(Table(HEAD, COLUMNS, values, FOOT))) == plain


def test_a_table_shows_numbers_in_its_units_and_nothing_that_is_not_finite() -> None:
    cells = list(Table(HEAD, COLUMNS, ROWS, FOOT))[2:-2]
    assert cells[4][1] == SheetCell((300.0 - 273.15) / 1.8, NUMBER)
    assert [row[3] for row in cells] == [
        SheetCell(1.0, NUMBER),
        SheetCell(None, ODD),
        SheetCell(None, WRAPPED),
        SheetCell(2.5, NUMBER),
        SheetCell("two\nlines", WRAPPED),
        SheetCell(None, ODD),
        SheetCell(5.0, NUMBER),
    ]
    assert cells[1][0] == SheetCell("FAIL", FAIL)


def test_large_parts_are_packed_at_once_and_hold_the_same(monkeypatch) -> None:
    source = bare_book('<sheetData><row r="2"><c r="B2"><v>1</v></c></row></sheetData>')
    writes, sheets = (
        [CellWrite("Data", n, 1, float(n)) for n in range(1, 50)],
        [sheet(Table(HEAD, COLUMNS, ROWS, FOOT))],
    )
    usual = edit_workbook(source, writes, sheets)
    monkeypatch.setattr(package_parts, "_LARGE", 100)
    packed = edit_workbook(source, writes, sheets)
    assert unzipped(packed) == unzipped(usual)
    check_written(packed, source, writes, sheets)
    assert edit_workbook(packed, writes, sheets) == packed


BLOCKED = {
    "merged": '<sheetData><row r="3"><c r="A3"/></row></sheetData><mergeCells><mergeCell ref="A3:B4"/></mergeCells>',
    "array": '<sheetData><row r="3"><c r="A3"><f t="array" ref="A3:A9">1</f><v>1</v></c></row></sheetData>',
    "twice": '<sheetData><row r="3"/><row r="3"><c r="A3"><v>1</v></c></row></sheetData>',
    "elsewhere": '<sheetData><row r="3"><c r="A9"><v>1</v></c></row></sheetData>',
    "no row": "<sheetData><a/></sheetData>",
    "sound": '<sheetData><row r="3"><c r="A3"><v>1</v></c></row><row r="5"><c r="A5" t="e"/></row></sheetData>',
    "odd": "<sheetData><!-- --><row><c><v>1</v></c></row></sheetData>",
}


def end(action) -> str:
    try:
        action()
    except Exception as fault:
        return f"{type(fault).__name__}: {fault}"
    return "nothing in the way"


@pytest.mark.parametrize("name", BLOCKED)
def test_a_look_before_computing_finds_what_writing_would(name: str) -> None:
    source = bare_book(BLOCKED[name])
    writes = [CellWrite("Data", row, column, None, NUMBER) for row in range(1, 9) for column in (1, 2)]
    found = end(lambda: refuse_blocked_edits(source, {"Data": by_row(writes)}, ["Summary"]))
    assert found == end(lambda: edit_workbook(source, writes, [NewSheet("Summary", [])]))
    assert (found == "nothing in the way") == (name in ("sound", "odd", "no row"))


def test_a_look_needs_a_sheet_and_free_titles() -> None:
    source = bare_book("<sheetData/>")
    assert "there is no such sheet" in end(lambda: refuse_blocked_edits(source, {"Other": {}}, []))
    assert "TitleTaken" in end(lambda: refuse_blocked_edits(source, {}, ["data"]))
    broken = zipped({**unzipped(source), SHEET: b"<worksheet><sheetData>"})
    assert "FileUnusable" in end(lambda: refuse_blocked_edits(broken, {"Data": {1: {}}}, []))


def test_many_blocked_cells_are_cut_short_in_the_message_only() -> None:
    source = bare_book('<sheetData/><mergeCells><mergeCell ref="A1:A2000"/></mergeCells>')
    with pytest.raises(TargetBlocked) as refused:
        edit_workbook(source, [CellWrite("Data", n, 1, 1.0) for n in range(1, 101)])
    assert len(refused.value.blocks) == 100
    lines = str(refused.value).splitlines()
    assert (len(lines), lines[-1]) == (22, "and 80 more cells")
