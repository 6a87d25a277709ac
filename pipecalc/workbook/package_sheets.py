"""A whole worksheet part written anew.

Source: ECMA-376 Part 1, clause 18.3 (worksheets).
"""

import re
from collections.abc import Mapping, Sequence
from functools import lru_cache
from textwrap import wrap

from pipecalc.workbook.package_cells import Pen
from pipecalc.workbook.package_edits import NewSheet, SheetCell, Value, reference

_FORBIDDEN = re.compile(r"[\[\]:*?/\\\x00-\x1f]")
_HEADER = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'


_LINE_HEIGHT = 15.0  # points
_PLAIN_WIDTH = 9.0  # characters


def refuse_bad_titles(titles: Sequence[str]) -> None:
    """Stop titles that spreadsheet programs do not take.

    Raises:
        ValueError: If one is empty, too long, holds forbidden characters or comes twice.
    """
    for title in titles:
        if not 0 < len(title) <= 31 or _FORBIDDEN.search(title) or "'" in (title[0], title[-1]):
            raise ValueError(f"no sheet can bear the title {title!r}")
    if len({title.lower() for title in titles}) < len(titles):
        raise ValueError(f"no two sheets can bear the same title: {', '.join(titles)}")


def worksheet(sheet: NewSheet, pen: Pen, namespace: str) -> bytes:
    """Text of a worksheet part."""
    fit = '<sheetPr><pageSetUpPr fitToPage="1"/></sheetPr>' if sheet.fit_to_width else ""
    rows, width = [], 0
    for number, cells in enumerate(sheet.rows, start=1):  # once: long sheets make their cells as they go
        rows.append(_row(number, cells, pen, sheet.column_widths).encode())
        width = max(width, len(cells))
    extent = f"A1:{reference(len(rows), width)}" if width else "A1"
    before = [
        _HEADER,
        f'<worksheet xmlns="{namespace}">{fit}<dimension ref="{extent}"/>',
        f'<sheetViews><sheetView workbookViewId="0">{_pane(sheet.freeze)}</sheetView></sheetViews>',
        f'<sheetFormatPr defaultRowHeight="15"/>{_columns(sheet)}<sheetData>',
    ]
    after = [
        '</sheetData><pageMargins left="0.5" right="0.5" top="0.6" bottom="0.6" header="0.3" footer="0.3"/>',
        _page(sheet),
        "<headerFooter><oddFooter>&amp;L&amp;A&amp;R&amp;P / &amp;N</oddFooter></headerFooter></worksheet>",
    ]
    return b"".join(["".join(before).encode(), *rows, "".join(after).encode()])


def _pane(freeze: tuple[int, int] | None) -> str:
    rows, columns = freeze or (0, 0)
    if not (rows or columns):
        return ""
    corner = ("bottom" if rows else "top") + ("Right" if columns else "Left")
    splits = (f' xSplit="{columns}"' if columns else "") + (f' ySplit="{rows}"' if rows else "")
    cell = reference(rows + 1, columns + 1)
    return (
        f'<pane{splits} topLeftCell="{cell}" activePane="{corner}" state="frozen"/>'
        f'<selection pane="{corner}" activeCell="{cell}" sqref="{cell}"/>'
    )


def _columns(sheet: NewSheet) -> str:
    entries = [
        f'<col min="{column}" max="{column}" width="{float(width):g}" customWidth="1"/>'
        for column, width in sorted(sheet.column_widths.items())
    ]
    return f"<cols>{''.join(entries)}</cols>" if entries else ""


def _row(number: int, cells: Sequence[SheetCell | Value], pen: Pen, widths: Mapping[int, float]) -> str:
    texts, lines = [], 1
    for column, entry in enumerate(cells, start=1):
        cell = entry if isinstance(entry, SheetCell) else SheetCell(entry)
        if cell.value is not None or cell.style is not None:
            texts.append(pen.cell(number, column, cell.value, cell.style))
        if isinstance(cell.value, str) and cell.style is not None and cell.style.wrap:
            lines = max(lines, _lines(cell.value, widths.get(column, _PLAIN_WIDTH)))
    # Not every program makes room for wrapped text by itself.
    height = f' ht="{_LINE_HEIGHT * lines:g}" customHeight="1"' if lines > 1 else ""
    return f'<row r="{number}"{height}>{"".join(texts)}</row>' if texts else ""


def _lines(value: str, width: float) -> int:
    """Lines that a wrapped text needs in a column of this width in characters."""
    room = max(int(width) - 1, 4)
    return 1 if len(value) <= room and "\n" not in value else _wrapped(value, room)


@lru_cache(10_000)
def _wrapped(value: str, room: int) -> int:
    return len(wrap(value, room)) or 1


def _page(sheet: NewSheet) -> str:
    orientation = "landscape" if sheet.landscape else "portrait"
    fit = ' fitToWidth="1" fitToHeight="0"' if sheet.fit_to_width else ""
    return f'<pageSetup paperSize="9" orientation="{orientation}"{fit}/>'
