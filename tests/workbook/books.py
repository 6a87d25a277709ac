"""Workbooks for tests, written from the schema.

Rows are dictionaries by column key or by title; a key that the schema does not know becomes a column of the
user's own. Numbers are in the units row's unit. The Project sheet is one row: ``{"Project": [{"title": ...}]}``.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date
from io import BytesIO
from pathlib import Path
from typing import Any
from zipfile import ZipFile

from openpyxl import Workbook
from openpyxl.utils import get_column_letter

from pipecalc.problems import Address, Problem
from pipecalc.schema.column import Kind, Sheet
from pipecalc.schema.sheets import SHEETS
from pipecalc.units import convert_in, convert_out
from pipecalc.workbook.plain import plain_workbook
from pipecalc.workbook.reader import read
from pipecalc.workbook.rows import Book

Rows = dict[str, list[dict[str, Any]]]


def write_book(
    path: Path,
    rows: Mapping[str, Sequence[Mapping[str, Any]]],
    units: str = "SI",
    unit_cells: Mapping[str, Mapping[str, str | None]] | None = None,
    leave_out: Iterable[str] = (),
    edit: Callable[[Workbook], None] | None = None,
) -> Path:
    """Write a workbook with every sheet of the schema.

    Args:
        path: File to write.
        rows: Rows by sheet title; sheets without rows get titles and units only.
        units: ``"SI"`` or ``"US"``: the units row.
        unit_cells: Other units by sheet and column key or title; None leaves the cell blank.
        leave_out: Titles of sheets not to write.
        edit: Called with the workbook before it is saved.
    """
    book = plain_workbook(rows, units, unit_cells, leave_out)
    if edit:
        edit(book)
    book.save(path)
    return path


def book_bytes(rows: Mapping[str, Sequence[Mapping[str, Any]]], **more: Any) -> bytes:
    """The same workbook as bytes."""
    stream = BytesIO()
    write_book(stream, rows, **more)  # type: ignore[arg-type]
    return stream.getvalue()


def column_number(sheet_title: str, key: str) -> int:
    """Number of the column that :func:`write_book` writes a key into."""
    (sheet,) = (s for s in SHEETS if s.title == sheet_title)
    return [c.key for c in sheet.inputs].index(key) + 1


def item_row(key: str) -> int:
    """Row of an item of the Project sheet."""
    return [c.key for c in SHEETS[0].inputs].index(key) + 2


def flat(book: Book, problems: Iterable[Problem]) -> list[tuple[str, int, str, str]]:
    """Problems as (sheet, row, column title, code), for whole-list comparisons."""
    return [(p.address.sheet, p.address.row, _title(book, p.address), p.code) for p in problems]


def _title(book: Book, address: Address) -> str:
    sheet = next((s for s in SHEETS if s.title == address.sheet), None)
    if sheet is None or not address.column:
        return ""
    if sheet.upright:
        keys = {row: key for key, row in (book.project.lines or {}).items()}
        return sheet.column(keys[address.row]).title if address.row in keys else ""
    keys = {number: key for key, number in book.titles[sheet.title].items()}
    return sheet.column(keys[address.column]).title if address.column in keys else ""


def twin(rows: Rows) -> Rows:
    """The same plant with every plain number in US units, for ``units="US"``."""
    return {
        sheet.title: [{key: _in_us(sheet, key, value) for key, value in row.items()} for row in rows[sheet.title]]
        for sheet in SHEETS
        if sheet.title in rows
    }


def small_plant() -> Rows:
    """A minimal plant in SI units: an L-shaped line from a fixed item's nozzle to a vertical vessel."""
    return {
        "Project": [
            {
                "title": "Hot water supply",
                "date": date(2025, 3, 14),
                "edition": "2018",
            }
        ],
        "Lines": [
            {
                "line": "HW-1",
                "service": "Hot water",
                "from_": "H1-A",
                "to": "V1-B",
                "nps": 6,
                "schedule": 40,
                "material": "A106 B",
                "fluid_density": 900,
                "design_temperature": 200,
                "design_pressure": 16,
                "operating_temperature": 180,
                "operating_pressure": 14,
            }
        ],
        "Segments": [
            {"line": "HW-1", "from_": "10", "to": "15", "east": 2.5},
            {"line": "HW-1", "to": "20", "east": 2.5},
            {"line": "HW-1", "to": "30", "north": 4},
        ],
        "Equipment": [
            {
                "equipment": "H-1",
                "kind": "fixed",
                "base_east": 0,
                "base_north": 0,
                "base_up": 0,
                "material": "A106 B",
                "temperature": 20,
            },
            {
                "equipment": "V-1",
                "kind": "vertical on skirt",
                "base_east": 5,
                "base_north": 4.9,
                "base_up": 0,
                "outside_diameter": 1400,
                "wall": 12,
                "material": "SA-516 70",
                "temperature": 180,
                "support_temperature": 80,
                "support_height": 1.5,
            },
        ],
        "Nozzles": [
            {
                "nozzle": "H1-A",
                "equipment": "H-1",
                "nps": 6,
                "east": 0,
                "north": 0,
                "up": 3,
                "direction": "+E",
                "line": "HW-1",
                "point": "10",
                "allowable_sets": "Vendor",
            },
            {
                "nozzle": "V1-B",
                "equipment": "V-1",
                "nps": 6,
                "east": 5,
                "north": 4,
                "up": 3,
                "direction": "-N",
                "line": "HW-1",
                "point": "30",
                "allowable_sets": "Vendor",
            },
        ],
        "Allowables": [
            {
                "set": "Vendor",
                "nps": 6,
                "FR": 5000,
                "FL": 5000,
                "FC": 5000,
                "MR": 4000,
                "ML": 4000,
                "MC": 4000,
                "rule": "each component",
                "document": "Data sheet 11, rev. 0",
            }
        ],
        "Supports": [{"support": "S-1", "line": "HW-1", "point": "15", "type": "rest"}],
    }


def _in_us(sheet: Sheet, key: str, value: Any) -> Any:
    columns = [c for c in sheet.inputs if key in (c.key, c.title)]
    plain = isinstance(value, int | float) and not isinstance(value, bool)
    if not columns or not plain or columns[0].dimension is None or columns[0].kind is Kind.TOLERANCE:
        return value
    dimension = columns[0].dimension
    return float(convert_out(convert_in([value], columns[0].si, dimension), columns[0].us, dimension)[0])


def problems_of(rows, **more):
    book = read(book_bytes(rows, **more))
    return flat(book, book.problems)


def at(sheet, key, row):
    """Cell reference of a column of the written workbook."""
    return f"{get_column_letter(column_number(sheet, key))}{row}"


def put(sheet, key, value, row=3):
    """An edit that puts a value into a cell."""

    def edit(workbook):
        workbook[sheet][at(sheet, key, row)] = value

    return edit


def repacked(data, change):
    """The package with its sheet parts changed."""
    stream = BytesIO()
    with ZipFile(BytesIO(data)) as old, ZipFile(stream, "w") as new:
        for info in old.infolist():
            content = old.read(info)
            new.writestr(info.filename, change(content) if "worksheets/sheet" in info.filename else content)
    return stream.getvalue()
