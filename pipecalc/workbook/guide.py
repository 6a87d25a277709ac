"""The first sheet of a new workbook: how to use it, on one page."""

from typing import TYPE_CHECKING

from pipecalc.schema.sheets import SHEETS
from pipecalc.workbook.looks import (
    body_font,
    fit_to_pages,
    head_font,
    input_fill,
    name_font,
    note_font,
    number_pages,
    result_fill,
    rule_below,
)

if TYPE_CHECKING:
    from openpyxl.styles import Font
    from openpyxl.worksheet.worksheet import Worksheet

_STEPS = (
    ("1", "Fill in Project, Lines and Segments, then Equipment, Nozzles and Supports. The other sheets are optional."),
    ("2", "Run  pipecalc check FILE  until it reports no error. Every message names sheet, cell and what is accepted."),
    ("3", "Run  pipecalc run FILE . Results and the calculation note FOR REVIEW go to output/<workbook name>/."),
    ("4", "Read the note's list of what was not checked, and decide on everything that is not PASS."),
)
_CONVENTIONS = (
    ("Rows", "Row 1 holds titles, row 2 units, data start in row 3. Blank rows are skipped; column order is free."),
    ("Your own", "Columns and sheets of your own may be added; they are kept and not read."),
    ("Units", "Change a units cell (mm to in, °C to °F, barg to psig) and its column is read in that unit."),
    ("", "One cell may carry its own unit as text: 4 in, 350 °F. Pressures are gauge."),
    ("Axes", "East, North, Up. Loads are the pipe's action on the nozzle or support."),
    ("Directions", "+E, -N, +U; or az 30 (degrees clockwise from North); or az 30 el -15; or 0.6, 0.8, 0."),
    ("Points", "Named freely (10, P3a); they belong to their line. Another line's point is LINE/POINT."),
    (
        "Segments",
        "One row per straight run between intersection points. From may stay blank: it continues the row above.",
    ),
    ("Formulas", "Read by their last calculated value: save the file in a spreadsheet program before a run."),
    ("Warnings", "Cells warn of unusual values and of names not declared, and let them pass; the check decides."),
)
_LEGEND = (
    ("Bold title", "Required: a row without it is an error."),
    ("Plain title", "May stay blank. What is then taken is listed in the note."),
)


def write(page: "Worksheet", units: str) -> None:
    """Fill the guide sheet."""
    page.column_dimensions["A"].width, page.column_dimensions["B"].width = 16.0, 100.0
    row = _heading(page, 1, "Piping calculation workbook", name_font())
    page.cell(
        row, 1, f"Units rows start in {_system(units)}. Point at a title for its meaning and accepted values."
    ).font = note_font()
    row = _table(page, row + 2, "How to work", _STEPS)
    row = _table(page, row + 1, "Conventions", _CONVENTIONS)
    row = _table(
        page, row + 1, "Sheets", tuple((sheet.title, _purpose(sheet.meaning, sheet.required)) for sheet in SHEETS)
    )
    row = _table(page, row + 1, "Colours", _LEGEND)
    page.cell(row - 2, 1).font = head_font()
    for number in (row - 2, row - 1):
        page.cell(number, 1).fill = input_fill()
    result = page.cell(row, 1, "Result: …")
    result.font, result.fill = body_font(), result_fill()
    page.cell(row, 2, "Written by a run, never read; a rerun replaces these and nothing else.").font = body_font()
    _one_page(page)


def _system(units: str) -> str:
    return "US customary units" if units == "US" else "SI units"


def _purpose(meaning: str, required: bool) -> str:
    first = meaning.split(". ")[0].rstrip(".")
    return f"{first}.{'' if required else ' Optional.'}"


def _heading(page: "Worksheet", row: int, text: str, font: "Font") -> int:
    cell = page.cell(row, 1, text)
    cell.font = font
    return row + 1


def _table(page: "Worksheet", row: int, title: str, lines: tuple[tuple[str, str], ...]) -> int:
    from openpyxl.styles import Alignment

    row = _heading(page, row, title, head_font())
    for number in (1, 2):
        page.cell(row - 1, number).border = rule_below()
    for name, text in lines:
        for number, content in ((1, name), (2, text)):
            cell = page.cell(row, number, content or None)
            cell.font = body_font()
            cell.alignment = Alignment(wrap_text=True, vertical="top", horizontal="left")
        row += 1
    return row


def _one_page(page: "Worksheet") -> None:
    page.sheet_view.showGridLines = False
    page.page_setup.orientation, page.page_setup.paperSize = "portrait", 9
    fit_to_pages(page, 1, 1)
    number_pages(page)
