"""Results -> the workbook: result columns in place and the result sheets, in a copy of the user's file."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from math import isfinite

from pipecalc.model import Plant
from pipecalc.results import Results, Status
from pipecalc.schema.column import Column, Kind, Sheet
from pipecalc.schema.sheets import RESULT_SHEETS, sheet
from pipecalc.units import number_out
from pipecalc.workbook.package import CellStyle, CellWrite, NewSheet, edit_workbook, refuse_blocked_edits
from pipecalc.workbook.package_cells import by_row
from pipecalc.workbook.package_check import check_written
from pipecalc.workbook.result_columns import Values, nozzle_values, segment_values, support_values
from pipecalc.workbook.result_sheets import result_sheets
from pipecalc.workbook.rows import Book

#: Quiet fills for a status; the word itself always stands in the cell.
STATUS_FILLS: Mapping[str, str] = {
    Status.PASS: "E6F0E6",
    Status.FAIL: "F6DCD6",
    Status.NOT_CHECKED: "F5EBCF",
    Status.NOT_APPLICABLE: "EEEEEE",
}
_TITLE = CellStyle(bold=True, wrap=True, fill="E3E9F0")
_UNIT = CellStyle(italic=True, fill="E3E9F0")
_PLAIN = CellStyle()
_UNITS_ROW = 2
_WITH_RESULTS = ("Segments", "Nozzles", "Supports")


@dataclass(frozen=True, slots=True)
class WrittenBook:
    """A workbook with results, and what belongs in it.

    Attributes:
        data: Bytes of the new file.
        source: The workbook it was made of.
        writes: The cells that were written.
        sheets: The sheets that were written.
    """

    data: bytes
    source: bytes
    writes: tuple[CellWrite, ...]
    sheets: tuple[NewSheet, ...]

    def verify(self) -> None:
        """Open the new file and compare every result.

        Raises:
            FileUnusable: A sheet is missing, a value differs or a part is damaged.
        """
        check_written(self.data, self.source, self.writes, self.sheets)


def write_results(source: bytes, book: Book, plant: Plant, results: Results) -> WrittenBook:
    """A copy of the workbook with every result column and result sheet written anew.

    Args:
        source: The workbook as read.
        book: Its rows, for where columns stand.
        plant: The plant.
        results: What was found.

    Returns:
        The new file; the same input gives the same bytes.
    """
    found = {
        "Segments": segment_values(plant, results),
        "Nozzles": nozzle_values(plant, results),
        "Supports": support_values(plant, results),
    }
    writes, widths = _edits(book, found, plant.project.units)
    sheets = result_sheets(plant, results)
    return WrittenBook(edit_workbook(source, writes, sheets, widths), source, tuple(writes), sheets)


def refuse_blocked(source: bytes, book: Book, units: str) -> None:
    """Find what would keep results from being written, before anything is computed.

    Raises:
        TargetBlocked: Result cells are merged, part of an array formula or the like.
        TitleTaken: A sheet of the user's own bears the title of a result sheet.
    """
    targets = {}
    for part in (sheet(title) for title in _WITH_RESULTS if title in book.titles):
        columns, title = _columns(book, part), book.file_titles[part.title]
        cells = {
            columns[c.key]: CellWrite(title, _UNITS_ROW, columns[c.key], None, cell_style(c, None))
            for c in part.results
        }
        heads = by_row(tuple(_titles(book, part, columns, units)))
        targets[title] = {**heads, **dict.fromkeys((row.number for row in book.rows[part.title]), cells)}
    refuse_blocked_edits(source, targets, RESULT_SHEETS)


def _edits(book: Book, found: Mapping[str, Values], units: str) -> tuple[list[CellWrite], dict[str, dict[int, float]]]:
    """Result cells of all sheets that have them, and the widths of columns that are new."""
    writes: list[CellWrite] = []
    widths: dict[str, dict[int, float]] = {}
    for part in (sheet(title) for title in _WITH_RESULTS if title in book.titles):
        columns = _columns(book, part)
        writes += _titles(book, part, columns, units)
        writes += _cells(book, part, columns, found.get(part.title, {}), units)
        new = [c for c in part.results if c.key not in book.titles[part.title]]
        widths[book.file_titles[part.title]] = {columns[c.key]: c.width for c in new}
    return writes, widths


def _columns(book: Book, sheet: Sheet) -> dict[str, int]:
    """Column number of every result: where its title stands, else behind the last column in use."""
    present = book.titles[sheet.title]
    following = book.last_column[sheet.title] + 1
    columns: dict[str, int] = {}
    for column in sheet.results:
        if column.key in present:
            columns[column.key] = present[column.key]
        else:
            columns[column.key] = following
            following += 1
    return columns


def _unit(book: Book, sheet: Sheet, column: Column, units: str) -> str:
    """Unit of a result column: the one the user left there, else that of the display units."""
    typed = book.units_row[sheet.title].get(column.key, "")
    return typed or column.unit(units)


def _titles(book: Book, sheet: Sheet, columns: Mapping[str, int], units: str) -> Iterator[CellWrite]:
    """Titles and units of result columns that the sheet does not have yet."""
    for column in sheet.results:
        if column.key not in book.titles[sheet.title]:
            yield CellWrite(book.file_titles[sheet.title], 1, columns[column.key], column.title, _TITLE)
            yield CellWrite(
                book.file_titles[sheet.title], _UNITS_ROW, columns[column.key], column.unit(units) or None, _UNIT
            )


def _cells(
    book: Book, sheet: Sheet, columns: Mapping[str, int], values: Mapping[int, Mapping[str, object]], units: str
) -> Iterator[CellWrite]:
    """Every result cell of every row that was read, cleared where there is nothing to say."""
    title = book.file_titles[sheet.title]
    placed = [(c, c.key, columns[c.key], _unit(book, sheet, c, units)) for c in sheet.results]
    for row in book.rows[sheet.title]:
        found = values.get(row.number, {})
        for column, key, place, unit in placed:
            value = shown(found.get(key), column, unit)
            yield CellWrite(title, row.number, place, value, cell_style(column, value))


def shown(value: object, column: Column, unit: str) -> str | float | None:
    """A result in the unit of its column; None where it is missing or not a number."""
    if value is None or isinstance(value, str):
        return value if value else None
    number = float(value)  # type: ignore[arg-type]
    if not isfinite(number):
        return None
    if column.dimension is None:
        return number
    return number_out(number, unit, column.dimension)


def cell_style(column: Column, value: str | float | None) -> CellStyle:
    """Number format by the column's digits, fill by the status word."""
    if column.kind is Kind.NUMBER:
        return _number_style(column.digits)
    return _status_style(value) if isinstance(value, str) and value in STATUS_FILLS else _PLAIN


@cache
def _number_style(digits: int) -> CellStyle:
    return CellStyle(number_format=number_format(digits))


@cache
def _status_style(status: str) -> CellStyle:
    return CellStyle(fill=STATUS_FILLS[status], bold=status == Status.FAIL)


def number_format(digits: int) -> str:
    """Format code with thousands separated and a fixed number of decimal places."""
    return "#,##0" + ("." + "0" * digits if digits else "") + "_ "
