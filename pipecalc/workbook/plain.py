"""Rows -> a plain workbook: every sheet of the schema with its input titles and units, and the rows.

Rows are dictionaries by column key or by title; a key that the schema does not know becomes a column of the user's
own. Numbers are in the units row's unit. The Project sheet is one row: ``{"Project": [{"title": ...}]}``.
"""

from collections.abc import Iterable, Mapping, Sequence
from io import BytesIO
from typing import TYPE_CHECKING, Any

from pipecalc.schema.column import Column, Sheet
from pipecalc.schema.sheets import SHEETS

if TYPE_CHECKING:
    from openpyxl import Workbook
    from openpyxl.worksheet.worksheet import Worksheet

Rows = Mapping[str, Sequence[Mapping[str, Any]]]

FIRST_DATA_ROW = 3


def plain_workbook(
    rows: Rows,
    units: str = "SI",
    unit_cells: Mapping[str, Mapping[str, str | None]] | None = None,
    leave_out: Iterable[str] = (),
) -> "Workbook":
    """A workbook that holds the rows, unformatted.

    Args:
        rows: Rows by sheet title; sheets without rows get titles and units only.
        units: ``"SI"`` or ``"US"``: the units row.
        unit_cells: Other units by sheet and column key or title; None leaves the cell blank.
        leave_out: Titles of sheets not to make.
    """
    from openpyxl import Workbook

    book = Workbook()
    book.remove(book.worksheets[0])
    without, cells = set(leave_out), unit_cells or {}
    for sheet in SHEETS:
        if sheet.title not in without:
            write = _upright if sheet.upright else _flat
            page: Worksheet = book.create_sheet(sheet.title)
            write(page, sheet, rows.get(sheet.title, []), units, cells.get(sheet.title, {}))
    return book


def plain_bytes(rows: Rows, units: str = "SI") -> bytes:
    """The same workbook as the content of an xlsx file."""
    stream = BytesIO()
    plain_workbook(rows, units).save(stream)
    return stream.getvalue()


def _flat(
    page: "Worksheet",
    sheet: Sheet,
    rows: Sequence[Mapping[str, Any]],
    units: str,
    cells: Mapping[str, str | None],
) -> None:
    titles = {c.key: c.title for c in sheet.inputs}
    extra = [k for row in rows for k in row if k not in titles and k not in titles.values()]
    columns = [*titles.items(), *((k, k) for k in dict.fromkeys(extra))]
    for number, (key, title) in enumerate(columns, start=1):
        page.cell(1, number, title)
        if key in titles:
            page.cell(2, number, _unit(sheet.column(key), units, cells))
        for i, row in enumerate(rows):
            page.cell(FIRST_DATA_ROW + i, number, row.get(key, row.get(title)))


def _upright(
    page: "Worksheet",
    sheet: Sheet,
    rows: Sequence[Mapping[str, Any]],
    units: str,
    cells: Mapping[str, str | None],
) -> None:
    page.append(["Item", "Value", "Unit", "Note"])
    values = rows[0] if rows else {}
    for column in sheet.inputs:
        value = values.get(column.key, values.get(column.title))
        page.append([column.title, value, _unit(column, units, cells), column.meaning])
    for key in values.keys() - {x for c in sheet.inputs for x in (c.key, c.title)}:
        page.append([key, values[key]])


def _unit(column: Column, units: str, cells: Mapping[str, str | None]) -> str | None:
    given = cells.get(column.key, cells.get(column.title, column.unit(units)))
    return given or None
