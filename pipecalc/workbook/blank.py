"""Schema -> workbook to fill in: titles, units, drop-down lists, notes, plausibility, print set-up.

Validation warns and never stops: "4 in" in a number cell, "LINE/POINT" in a reference and a changed unit are all
allowed, and the real judge is the reader. Drop-down lists come without a warning where more than the list is accepted.
"""

import io
import re
import zipfile
from collections.abc import Iterator, Mapping
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from pipecalc import examples
from pipecalc.problems import letters
from pipecalc.schema.column import Column, Sheet
from pipecalc.schema.reference import accepted
from pipecalc.schema.sheets import GUIDE_SHEET, SHEETS
from pipecalc.workbook import guide, validation
from pipecalc.workbook.example_cells import in_system, typed
from pipecalc.workbook.looks import (
    body_font,
    head_font,
    input_fill,
    note_font,
    number_format,
    page_set_up,
    result_fill,
    row_line,
    rule_below,
    side,
    title_font,
    unit_font,
    width_of,
)

if TYPE_CHECKING:
    from openpyxl import Workbook
    from openpyxl.comments import Comment
    from openpyxl.worksheet.worksheet import Worksheet

Units = Literal["SI", "US"]

#: Date stored in every blank workbook, so that the same call gives the same bytes.
CREATED = datetime(2025, 1, 1)
_FIRST_ROW = 3
_WIDEST_CELL = 44.0
_UPRIGHT_TITLES = (
    ("Item", "What the value is about. Bold items are required.", 34.0),
    ("Value", "Fill in this column.", 42.0),
    ("Unit", "Unit of the value; may be changed.", 9.0),
    ("Note", "Meaning and what is accepted.", 90.0),
)


def write_blank(path: str | Path, units: Units = "SI", example: str | None = None) -> None:
    """Write a new workbook with every sheet of the schema; a file of that name is replaced.

    Args:
        path: File to write.
        units: System of the units row.
        example: Name of an example to fill it with (see ``examples.names``); its values are converted to ``units``.

    Raises:
        FileUnusable: The file cannot be written.
        examples.UnknownExampleError: There is no such example.
    """
    from pipecalc.workbook.swap import write_safely

    write_safely(Path(path), blank_bytes(units, example))


def blank_bytes(units: Units = "SI", example: str | None = None) -> bytes:
    """The new workbook as the content of an xlsx file; the same for the same arguments."""
    from openpyxl import Workbook

    filled = in_system(examples.load(example), units) if example else {}
    book = Workbook()
    book.remove(book.worksheets[0])
    guide.write(_sheet(book, GUIDE_SHEET), units)
    lists = validation.Lists()
    for sheet in SHEETS:
        page = _sheet(book, sheet.title)
        write = _upright if sheet.upright else _columns
        write(page, sheet, units, lists, filled.get(sheet.title))
        page_set_up(page, sheet)
    lists.write(book)
    return _fixed(book)


def write_samples(folder: str | Path) -> tuple[Path, ...]:
    """Write every example into a folder as ``<name>.xlsx``, replacing those there; returns the files."""
    written = []
    for name in examples.names():
        path = Path(folder) / f"{name}.xlsx"
        system: Units = "US" if examples.system(examples.load(name)) == "US" else "SI"
        write_blank(path, system, name)
        written.append(path)
    return tuple(written)


def _sheet(book: "Workbook", title: str) -> "Worksheet":
    page: Worksheet = book.create_sheet(title)
    return page


def _columns(
    page: "Worksheet", sheet: Sheet, units: Units, lists: validation.Lists, filled: examples.ExampleSheet | None
) -> None:
    page.row_dimensions[1].height = 15.0 * max(_lines(column) for column in sheet.columns) + 6.0
    for number, column in enumerate(sheet.columns, start=1):
        unit = (filled.units if filled else {}).get(column.title, column.unit(units))
        _title(page, number, column, unit)
        _body_style(page, number, column)
        validation.add(page, sheet, column, f"{letters(number)}{{row}}", f"${letters(number)}$2", units, lists)
    for row, record in enumerate(filled.records() if filled else (), start=_FIRST_ROW):
        _record(page, sheet, row, record)
    page.freeze_panes = "D3" if sheet.title == "Segments" else "B3"


def _title(page: "Worksheet", number: int, column: Column, unit: str) -> None:
    title = page.cell(1, number, column.title)
    title.font = title_font(column)
    title.alignment = side(column, wrap=True)
    title.comment = _note(_about(column, unit))
    below = page.cell(2, number, unit or None)
    below.font = unit_font()
    below.alignment = side(column)
    below.border = rule_below()
    for cell in (title, below):
        cell.fill = result_fill() if column.result else input_fill()


def _body_style(page: "Worksheet", number: int, column: Column) -> None:
    style = page.column_dimensions[letters(number)]
    style.width = width_of(column)
    style.number_format = number_format(column)
    style.font, style.border, style.alignment = body_font(), row_line(), side(column)
    if column.result:
        style.fill = result_fill()


def _lines(column: Column) -> int:
    """Rows of text that a title takes in its column, words kept whole."""
    room, lines, used = width_of(column) - 2.0, 1, 0
    for word in column.title.split():
        if used and used + 1 + len(word) > room:
            lines, used = lines + 1, 0
        used += len(word) + (1 if used else 0)
    return lines


def _record(page: "Worksheet", sheet: Sheet, row: int, record: Mapping[str, str]) -> None:
    by_title = {column.title: (number, column) for number, column in enumerate(sheet.columns, start=1)}
    for title, text in record.items():
        number, column = by_title[title]
        _fill(page, row, number, column, text)
        _widen(page, number, text)


def _widen(page: "Worksheet", number: int, text: str) -> None:
    """Show an example's longer words whole; very long ones are left to be cut."""
    style = page.column_dimensions[letters(number)]
    style.width = max(style.width, min(len(text) + 3.0, _WIDEST_CELL))


def _fill(page: "Worksheet", row: int, number: int, column: Column, text: str) -> None:
    value = typed(text, column)
    cell = page.cell(row, number, value)
    cell.font, cell.border, cell.alignment = body_font(), row_line(), side(column)
    cell.number_format = "yyyy-mm-dd" if isinstance(value, date) else number_format(column)


def _upright(
    page: "Worksheet", sheet: Sheet, units: Units, lists: validation.Lists, filled: examples.ExampleSheet | None
) -> None:
    from openpyxl.styles import Alignment

    for number, (title, meaning, width) in enumerate(_UPRIGHT_TITLES, start=1):
        cell = page.cell(1, number, title)
        cell.font, cell.fill, cell.border = head_font(), input_fill(), rule_below()
        cell.comment = _note(meaning)
        page.column_dimensions[letters(number)].width = width
    given = {record["Item"]: record for record in (filled.records() if filled else ())}
    for row, column in enumerate(sheet.columns, start=2):
        record = given.get(column.title, {})
        _item(page, row, column, record.get("Unit", column.unit(units)))
        page.cell(row, 2).number_format = number_format(column)
        if "Value" in record:
            _fill(page, row, 2, column, record["Value"])
        page.cell(row, 2).alignment = Alignment(horizontal="left", wrap_text=True, vertical="top")
        page.row_dimensions[row].height = _item_height(page, row)
        validation.add(page, sheet, column, f"B{row}", f"$C${row}", units, lists)
    page.freeze_panes = "B2"


def _item(page: "Worksheet", row: int, column: Column, unit: str) -> None:
    from openpyxl.styles import Alignment

    texts = (column.title, None, unit or None, f"{column.meaning} {_requirement(column)}".strip())
    fonts = (title_font(column), body_font(), unit_font(), note_font())
    for number, (text, font) in enumerate(zip(texts, fonts, strict=True), start=1):
        cell = page.cell(row, number, text)
        cell.font, cell.border = font, row_line()
        cell.alignment = Alignment(wrap_text=True, vertical="top")
    page.cell(row, 1).comment = _note(_about(column, unit))


def _item_height(page: "Worksheet", row: int) -> float:
    """Room for the longest text of a row; spreadsheet programs do not widen rows of a file by themselves."""
    lines = max(
        1 + int(len(str(page.cell(row, number).value or "")) * page.cell(row, number).font.size // (10.0 * width))
        for number, (_, _, width) in enumerate(_UPRIGHT_TITLES, start=1)
    )
    return 14.0 * lines + 3.0


def _requirement(column: Column) -> str:
    needed = "Required." if column.required else ""
    words = f"Accepted: {accepted(column)}." if column.words else ""
    return " ".join(part for part in (needed, words) if part)


def _about(column: Column, unit: str) -> str:
    return "\n".join(_sentences(column, unit))


def _sentences(column: Column, unit: str) -> Iterator[str]:
    yield column.meaning
    if column.result:
        yield "Written by a run; never read."
    else:
        yield "Required." if column.required else "May stay blank."
        yield f"Accepted: {accepted(column)}."
    if unit and column.result:
        yield f"Unit: {unit}."
    elif unit:
        yield f"Unit: as in the units cell ({unit}), or typed with the number."


def _note(text: str) -> "Comment":
    from openpyxl.comments import Comment

    lines = sum(1 + len(line) // 44 for line in text.split("\n"))
    return Comment(text, "pipecalc", width=300, height=20 + 17 * lines)


def _fixed(book: "Workbook") -> bytes:
    """The saved workbook with fixed dates in place of the clock's, inside and in the package's directory."""
    book.properties.creator = "pipecalc"
    book.properties.created = CREATED
    book.calculation.fullCalcOnLoad = False  # the sample formulas aside there is nothing to calculate anew
    saved, fixed = io.BytesIO(), io.BytesIO()
    book.save(saved)
    stamp = f"{CREATED:%Y-%m-%dT%H:%M:%SZ}".encode()
    with zipfile.ZipFile(saved) as old, zipfile.ZipFile(fixed, "w", zipfile.ZIP_DEFLATED) as new:
        for item in old.infolist():
            part = zipfile.ZipInfo(item.filename, CREATED.timetuple()[:6])
            part.compress_type, part.external_attr = zipfile.ZIP_DEFLATED, 0o600 << 16
            content = old.read(item)
            if item.filename == "docProps/core.xml":
                content = re.sub(rb"(<dcterms:modified[^>]*>)[^<]*", rb"\g<1>" + stamp, content)
            new.writestr(part, content)
    return fixed.getvalue()
