"""The quiet looks of a new workbook: fonts, fills, widths, number formats, pages."""

from functools import cache
from math import ceil
from typing import TYPE_CHECKING

from pipecalc.schema.column import Column, Kind, Sheet

if TYPE_CHECKING:
    from openpyxl.styles import Alignment, Border, Font, PatternFill
    from openpyxl.worksheet.worksheet import Worksheet

_FACE = "Calibri"
_INK = "1F2A33"
_SOFT = "5F6B75"
_RESULT_INK = "6B5310"
_INPUT_SHADE = "E8EEF2"
_RESULT_SHADE = "FBF6E6"
_RULE = "9FB0BC"
_ROW_LINE = "DDE4E9"

# Kinds that a spreadsheet program must not turn into a formula ("+E"), a date ("1-2") or a number ("010").
_AS_TEXT = (Kind.TAG, Kind.REFERENCE, Kind.DIRECTION, Kind.VALUES, Kind.SCHEDULE)
_TO_THE_RIGHT = (Kind.NUMBER, Kind.COUNT, Kind.DENSITY, Kind.TOLERANCE, Kind.NPS)
_POINTS = ("from_", "to", "point", "start_point", "row")
_WIDE = 170.0  # characters of width beyond which a sheet is printed on A3
_WIDEST = 300.0  # characters of width that stay legible on one A3 page


@cache
def _font(color: str = _INK, bold: bool = False, italic: bool = False, size: float = 10.0) -> "Font":
    from openpyxl.styles import Font

    return Font(name=_FACE, size=size, color=color, bold=bold, italic=italic)


def body_font() -> "Font":
    """Cells of the user."""
    return _font()


def head_font() -> "Font":
    """Headings of the guide and of the upright sheet."""
    return _font(bold=True, size=11.0)


def name_font() -> "Font":
    """The guide's first line."""
    return _font(bold=True, size=16.0)


def title_font(column: Column) -> "Font":
    """A column title: required ones bold, results in their own ink."""
    return _font(_RESULT_INK) if column.result else _font(bold=column.required)


def unit_font() -> "Font":
    """Units row."""
    return _font(_SOFT, italic=True, size=9.0)


def note_font() -> "Font":
    """Explaining text."""
    return _font(_SOFT, size=9.0)


@cache
def _fill(shade: str) -> "PatternFill":
    from openpyxl.styles import PatternFill

    return PatternFill("solid", start_color=shade, end_color=shade)


def input_fill() -> "PatternFill":
    """Titles of columns to fill in."""
    return _fill(_INPUT_SHADE)


def result_fill() -> "PatternFill":
    """Result columns, titles and cells alike."""
    return _fill(_RESULT_SHADE)


@cache
def row_line() -> "Border":
    """A pale line under every row of data, seen on screen and in print."""
    from openpyxl.styles import Border, Side

    return Border(bottom=Side(style="thin", color=_ROW_LINE))


@cache
def rule_below() -> "Border":
    """A thin line under the units row."""
    from openpyxl.styles import Border, Side

    return Border(bottom=Side(style="thin", color=_RULE))


@cache
def _side(horizontal: str, indent: int, wrap: bool) -> "Alignment":
    from openpyxl.styles import Alignment

    return Alignment(horizontal=horizontal, indent=indent, wrap_text=wrap, vertical="top" if wrap else None)


def side(column: Column, wrap: bool = False) -> "Alignment":
    """Numbers to the right, words to the left with a little room; titles wrap."""
    return _side("right", 0, wrap) if column.kind in _TO_THE_RIGHT else _side("left", 1, wrap)


def width_of(column: Column) -> float:
    """Column width in characters: as declared, yet no word of the title is cut."""
    longest = max(len(word) for word in column.title.split())
    return max(column.width, longest + 4.0)


def number_format(column: Column) -> str:
    """Number format of a column's cells.

    NPS cells are fractions: in a general cell a spreadsheet program reads "1/2" as a date.
    """
    if column.kind in _AS_TEXT or (column.kind is Kind.TEXT and column.key in _POINTS):
        return "@"
    if column.kind is Kind.DATE:
        return "yyyy-mm-dd"
    if column.kind is Kind.NPS:
        return "# ?/?"
    if column.result and column.kind is Kind.NUMBER:
        return "0." + "0" * column.digits if column.digits else "0"
    return "General"


def page_set_up(page: "Worksheet", sheet: Sheet) -> None:
    """Landscape, fitted to the width, titles repeated, sheet name and page number on every page.

    A sheet too wide to be read on one A3 page is fitted to two, its first column repeated.
    """
    width = 165.0 if sheet.upright else sum(width_of(column) for column in sheet.columns)
    page.page_setup.orientation = "landscape"
    page.page_setup.paperSize = 8 if width > _WIDE else 9
    fit_to_pages(page, ceil(width / _WIDEST), 0)
    if width > _WIDEST:
        page.print_title_cols = "A:A"
    page.print_title_rows = "1:1" if sheet.upright else "1:2"
    margins = page.page_margins
    margins.left = margins.right = 0.4
    margins.top = margins.bottom = 0.75
    if page.oddHeader is not None:
        page.oddHeader.left.text, page.oddHeader.right.text = "&A", "&F"
    number_pages(page)
    page.sheet_properties.tabColor = "5B7A91" if sheet.required else "C3CFD8"


def fit_to_pages(page: "Worksheet", across: int, down: int) -> None:
    """Scale a sheet to a number of pages across and down; 0 leaves that way open."""
    from openpyxl.worksheet.properties import PageSetupProperties

    page.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    page.page_setup.fitToWidth, page.page_setup.fitToHeight = across, down


def number_pages(page: "Worksheet") -> None:
    """Page number at the foot of every page."""
    if page.oddFooter is not None:
        page.oddFooter.right.text = "Page &P of &N"
