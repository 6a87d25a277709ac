"""A whole worksheet part written anew.

Source: ECMA-376 Part 1, clause 18.3 (worksheets).
"""

import re
from collections.abc import Iterator, Sequence
from itertools import islice

from pipecalc.workbook.package_cells import Pen
from pipecalc.workbook.package_columns import PLAIN_WIDTH, ColumnText, row_text, rows_text
from pipecalc.workbook.package_edits import NewSheet, SheetCell, Value, reference
from pipecalc.workbook.package_table import Table

_FORBIDDEN = re.compile(r"[\[\]:*?/\\\x00-\x1f]")
_HEADER = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'


_ROWS_OF_A_PIECE = 1000


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


def worksheet(sheet: NewSheet, pen: Pen, namespace: str) -> list[bytes]:
    """Text of a worksheet part, piece by piece; long sheets make their cells as they go."""
    fit = '<sheetPr><pageSetUpPr fitToPage="1"/></sheetPr>' if sheet.fit_to_width else ""
    width = _width(sheet.rows)
    extent = f"A1:{reference(len(sheet.rows), width)}" if width else "A1"
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
    return [piece.encode() for piece in ("".join(before), *_gathered(_rows(sheet, pen)), "".join(after))]


def _gathered(texts: Iterator[str]) -> Iterator[str]:
    """Rows in pieces of many rows."""
    while rows := list(islice(texts, _ROWS_OF_A_PIECE)):
        yield "".join(rows)


def _width(rows: Sequence[Sequence[SheetCell | Value]]) -> int:
    if not isinstance(rows, Table):
        return max(map(len, rows), default=0)
    return max(len(rows.columns) if rows.values else 0, *map(len, (*rows.head, *rows.foot)), 0)


def _rows(sheet: NewSheet, pen: Pen) -> Iterator[str]:
    """Rows cell by cell; the many that a long table may have column by column."""
    table = sheet.rows if isinstance(sheet.rows, Table) else None
    one_by_one = len(sheet.rows) if table is None else len(table.head) + _ROWS_OF_A_PIECE
    for number, cells in enumerate(islice(sheet.rows, one_by_one), start=1):
        yield row_text(number, cells, pen, sheet.column_widths)
    if table is None or len(table) <= one_by_one:
        return
    widths = sheet.column_widths
    columns = [ColumnText(c, n, widths.get(n, PLAIN_WIDTH), pen) for n, c in enumerate(table.columns, start=1)]
    for start in range(_ROWS_OF_A_PIECE, len(table.values), _ROWS_OF_A_PIECE):
        values = table.values[start : start + _ROWS_OF_A_PIECE]
        yield from rows_text(len(table.head) + start + 1, columns, values)
    below = max(len(table.head) + len(table.values), one_by_one)
    for number, cells in enumerate(table.foot[below - len(table.head) - len(table.values) :], start=below + 1):
        yield row_text(number, cells, pen, sheet.column_widths)


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


def _page(sheet: NewSheet) -> str:
    orientation = "landscape" if sheet.landscape else "portrait"
    fit = ' fitToWidth="1" fitToHeight="0"' if sheet.fit_to_width else ""
    return f'<pageSetup paperSize="9" orientation="{orientation}"{fit}/>'
