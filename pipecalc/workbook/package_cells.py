"""Values put into the cells of one worksheet part.

Text is written in place (inline strings), so the table of shared strings is left alone; it is a text cell, so
nothing in it is ever taken for a formula.

Source: ECMA-376 Part 1, clauses 18.3.1.4 (c), 18.3.1.73 (row), 18.3.1.13 (col), 18.3.1.35 (dimension).
"""

import math
import re
from bisect import bisect_left
from collections.abc import Callable, Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass, field
from functools import lru_cache
from xml.sax.saxutils import escape

from lxml import etree

from pipecalc.workbook.limits import MAX_COLUMN, MAX_ROW, MAX_STRING
from pipecalc.workbook.package_edits import CellStyle, CellWrite, Value, reference
from pipecalc.workbook.package_parts import not_a_workbook, whole_number
from pipecalc.workbook.package_text import (
    COLUMN_LETTERS,
    COLUMN_NUMBER,
    Row,
    SheetText,
    cell_end,
    split_cells,
)
from pipecalc.workbook.package_xml import Element

_CUT = " … (cut: a cell holds no more)"
# Blanks before them are dropped on typing and on reading tables of text; the wide forms count in East Asian settings.
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
_ESCAPED = re.compile("_x[0-9A-Fa-f]{4}_|[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff\ud800-\udfff]")
_SPANS = re.compile(r"""\sspans=["'](\d{1,9}):(\d{1,9})["']""", re.ASCII)
_STYLE = re.compile(r"""\ss=["'](\d{1,9})["']""", re.ASCII)

_TEXTS_KEPT = 10_000

Targets = Mapping[int, Mapping[int, CellWrite]]


def by_row(writes: Sequence[CellWrite]) -> dict[int, dict[int, CellWrite]]:
    """Writes by row and column; of several to one cell the last counts.

    Raises:
        ValueError: If a cell lies outside the sheet.
    """
    rows: dict[int, dict[int, CellWrite]] = {}
    for write in writes:
        if not (1 <= write.row <= MAX_ROW and 1 <= write.column <= MAX_COLUMN):
            raise ValueError(f"no cell at row {write.row}, column {write.column}")
        rows.setdefault(write.row, {})[write.column] = write
    return rows


def starts_like_formula(value: Value) -> bool:
    """Whether a text would become a formula if somebody typed it."""
    return isinstance(value, str) and value.startswith(_FORMULA_STARTS)


def content(value: Value, prefix: str) -> tuple[str, str]:
    """Type attribute and inner text of a cell.

    Raises:
        ValueError: If a number is not finite: no spreadsheet can hold it.
        TypeError: If the value is of another type.
    """
    p = prefix
    if value is None:
        return "", ""
    if isinstance(value, bool):
        return ' t="b"', f"<{p}v>{int(value)}</{p}v>"
    if isinstance(value, str):
        return text_content(value, prefix)
    if isinstance(value, (int, float)):
        if not math.isfinite(value):
            raise ValueError(f"a cell cannot hold the number {value}")
        return "", f"<{p}v>{float(value)!r}</{p}v>" if isinstance(value, float) else f"<{p}v>{int(value)}</{p}v>"
    raise TypeError(f"a cell cannot hold {type(value).__name__}")


@lru_cache(10_000)
def text_content(value: str, prefix: str) -> tuple[str, str]:
    """The same for a text; titles, cases and clauses come again and again."""
    space = ' xml:space="preserve"' if value != value.strip() or "\n" in value else ""
    return ' t="inlineStr"', f"<{prefix}is><{prefix}t{space}>{_text(value)}</{prefix}t></{prefix}is>"


def _text(value: str) -> str:
    value = value.replace("\r\n", "\n").replace("\r", "\n")
    if len(value) > MAX_STRING:
        value = value[: MAX_STRING - len(_CUT)] + _CUT
    # ECMA-376 Part 1, clause 22.9.2.19: characters XML cannot hold, and texts that look like their escape.
    return escape(_ESCAPED.sub(_escape, value))


def _escape(found: re.Match[str]) -> str:
    text = found.group(0)
    return f"_x{ord(text):04X}_" if len(text) == 1 else f"_x005F{text}"


@dataclass(slots=True)
class Pen:
    """What is needed to write the cells of one sheet.

    Attributes:
        index: Number of the cell format for a style, and whether its text looks like a formula.
        quoted: Number of the format that equals another one and marks its text as text.
        prefix: Name space prefix of the sheet.
        columns: Number of the cell format that a new cell takes from its column.
        formulas: How many formulas were replaced.
    """

    index: Callable[[CellStyle, bool], int]
    quoted: Callable[[int], int]
    prefix: str = ""
    columns: Mapping[int, int] = field(default_factory=dict)
    formulas: int = 0
    _looks: dict[int, str] = field(default_factory=dict)
    _texts: dict[tuple[str | None, int], str] = field(default_factory=dict)
    _known: list[CellStyle] = field(default_factory=list)  # they stay, so that no other takes the identity of one

    def cell(self, row: int, column: int, value: Value, style: CellStyle | None, base: int = 0) -> str:
        """Text of one cell; without a style it takes the base format."""
        if type(value) is float and style is not None and math.isfinite(value):
            p, address = self.prefix, f"{COLUMN_LETTERS[column]}{row}"
            return f'<{p}c r="{address}"{self._looks.get(id(style)) or self.look(style)}><{p}v>{value!r}</{p}v></{p}c>'
        return f'<{self.prefix}c r="{COLUMN_LETTERS[column]}{row}"{self.after_address(value, style, base)}'

    def look(self, style: CellStyle) -> str:
        """Attribute of a number's format, or empty."""
        look = self._looks.get(id(style))
        if look is None:
            index = self.index(style, False)
            look = self._looks[id(style)] = f' s="{index}"' if index else ""
            self._known.append(style)
        return look

    def after_address(self, value: Value, style: CellStyle | None, base: int = 0) -> str:
        """Text of one cell from the end of its address on, which does not depend on where it stands."""
        if type(value) is float and style is not None and math.isfinite(value):
            return f"{self.look(style)}><{self.prefix}v>{value!r}</{self.prefix}v></{self.prefix}c>"
        if style is None or not (value is None or type(value) is str):
            return self._after_address(value, style, base)
        known = self._texts.get((value, id(style)))
        if known is None:
            known = self._after_address(value, style, base)
            if len(self._texts) < _TEXTS_KEPT:
                self._texts[value, id(style)] = known
                self._known.append(style)
        return known

    def _after_address(self, value: Value, style: CellStyle | None, base: int) -> str:
        quote = starts_like_formula(value)
        if style is not None:
            base = self.index(style, quote)
        elif quote:
            base = self.quoted(base)
        kind, inner = text_content(value, self.prefix) if isinstance(value, str) else content(value, self.prefix)
        look = f' s="{base}"' if base else ""
        return f"{look}{kind}>{inner}</{self.prefix}c>" if inner else f"{look}{kind}/>"

    def replaced(self, text: str, write: CellWrite) -> str:
        """Text of a cell with its new value."""
        end = len(text) if text.endswith(f"</{self.prefix}c>") else cell_end(text, self.prefix)
        given = _STYLE.search(text, 0, text.index(">"))
        self.formulas += f"<{self.prefix}f" in text
        base = int(given.group(1)) if given else 0
        return self.cell(write.row, write.column, write.value, write.style, base) + text[end:]


def put(sheet: SheetText, targets: Targets, pen: Pen) -> None:
    """Put values into the rows of a sheet, in place.

    Raises:
        NotPlain: If a row must be rewritten first.
    """
    pen.prefix, pen.columns = sheet.prefix, _column_styles(sheet)
    rows = {row.number: row for row in sheet.rows}
    fresh = []
    for number in sorted(targets):
        row = rows.get(number)
        if row is None:
            row = Row(number, f'<{sheet.prefix}row r="{number}"', "")
            fresh.append(row)
        _put_row(row, targets[number], pen)
    _insert_rows(sheet, [row for row in fresh if row.body])


def _insert_rows(sheet: SheetText, fresh: list[Row]) -> None:
    numbers = [row.number for row in sheet.rows]
    if numbers == sorted(numbers):
        sheet.rows = sorted([*sheet.rows, *fresh], key=lambda row: row.number)
        return
    for row in fresh:
        place = next((n for n, other in enumerate(sheet.rows) if other.number > row.number), len(sheet.rows))
        sheet.rows.insert(place, row)


def _put_row(row: Row, writes: Mapping[int, CellWrite], pen: Pen) -> None:
    cells, rest = split_cells(row, pen.prefix)
    missing = dict(writes)
    texts, columns = [], []
    for column, text in cells:
        write = missing.pop(column, None)
        texts.append(text if write is None else pen.replaced(text, write))
        columns.append(column)
    row_style = _row_style(row)
    for column, write in sorted(missing.items()):
        if write.value is None and write.style is None:
            continue
        base = row_style if row_style is not None else pen.columns.get(column, 0)
        text = pen.cell(row.number, column, write.value, write.style, base)
        if not columns or columns[-1] < column:
            texts.append(text)
            columns.append(column)
            continue
        place = next(n for n, other in enumerate(columns) if other > column)
        texts.insert(place, text)
        columns.insert(place, column)
    row.body = "".join(texts) + rest
    if columns:
        row.opening = _widened(row.opening, min(columns), max(columns))


def _row_style(row: Row) -> int | None:
    if "customFormat=" not in row.opening:
        return None
    found = _STYLE.search(row.opening)
    return int(found.group(1)) if found else None


def _widened(opening: str, first: int, last: int) -> str:
    """The row's tag with the hint of its first and last column widened; one in several parts is dropped."""
    if "spans=" not in opening:
        return opening
    found = _SPANS.search(opening)
    if found is None:
        return re.sub(r"""\sspans=(?:"[^"]*"|'[^']*')""", "", opening)
    first, last = min(first, int(found.group(1))), max(last, int(found.group(2)))
    return f'{opening[: found.start()]} spans="{first}:{last}"{opening[found.end() :]}'


def _column_styles(sheet: SheetText) -> dict[int, int]:
    if f"<{sheet.prefix}cols" not in sheet.head:
        return {}
    styles = {}
    for col in sheet.skeleton().iterfind("{*}cols/{*}col"):
        if col.get("style"):
            for column in range(whole_number(col, "min"), min(whole_number(col, "max"), MAX_COLUMN) + 1):
                if column in styles:
                    raise not_a_workbook(f"column {COLUMN_LETTERS[column]} is described twice")
                styles[column] = whole_number(col, "style")
    return styles


def frame(sheet: SheetText, targets: Targets, widths: Mapping[int, float]) -> None:
    """Bring the stated extent of the sheet and the column widths up to date, in place."""
    root = sheet.skeleton()
    changed = _extend_dimension(root, targets)
    for column in sorted(widths):
        changed |= _set_width(root, column, float(widths[column]))
    if changed:
        sheet.reframe(root)


def _extend_dimension(root: Element, targets: Targets) -> bool:
    stated = root.find("{*}dimension")
    corners = stated is not None and range_of(stated.get("ref", ""))
    columns = [column for row in targets.values() for column in row]
    if not corners or not columns:
        return False
    top, left, bottom, right = corners
    top, bottom = min(top, *targets), max(bottom, *targets)
    left, right = min(left, *columns), max(right, *columns)
    new = (
        reference(top, left) if (top, left) == (bottom, right) else f"{reference(top, left)}:{reference(bottom, right)}"
    )
    old = stated.get("ref")
    stated.set("ref", new)
    return bool(old != new)


def range_of(text: str) -> tuple[int, int, int, int] | None:
    """Top, left, bottom and right of a range such as ``B2:D10``; none if it is something else."""
    found = re.fullmatch(r"\$?([A-Z]{1,3})\$?(\d{1,7})(?::\$?([A-Z]{1,3})\$?(\d{1,7}))?", text, re.ASCII)
    if found is None:
        return None
    left, top, right, bottom = found.groups()
    if left not in COLUMN_NUMBER or (right or left) not in COLUMN_NUMBER:
        return None
    return int(top), COLUMN_NUMBER[left], int(bottom or top), COLUMN_NUMBER[right or left]


def _set_width(root: Element, column: int, width: float) -> bool:
    main = root.tag.rpartition("}")[0] + "}"
    cols = root.find(f"{main}cols")
    if cols is None:
        rows = root.find(f"{main}sheetData")
        cols = etree.Element(f"{main}cols", nsmap=root.nsmap)
        rows.addprevious(cols)
    entry = _own_entry(cols, column, main)
    wanted = {"width": f"{width:g}", "customWidth": "1"}
    changed = any(entry.get(name) != value for name, value in wanted.items())
    entry.attrib.update(wanted)
    return changed


def _own_entry(cols: Element, column: int, main: str) -> Element:
    """The entry of one column alone; a wider one is split so that its neighbours keep what they have."""
    entries = list(cols.iterchildren(f"{main}col"))
    for entry in entries:
        first, last = whole_number(entry, "min"), whole_number(entry, "max")
        if first <= column <= last:
            if first < column:
                before = deepcopy(entry)
                before.set("max", str(column - 1))
                entry.addprevious(before)
            if column < last:
                after = deepcopy(entry)
                after.set("min", str(column + 1))
                entry.addnext(after)
            entry.attrib.update({"min": str(column), "max": str(column)})
            return entry
    new = etree.Element(f"{main}col", {"min": str(column), "max": str(column)}, nsmap=cols.nsmap)
    cols.insert(bisect_left([whole_number(entry, "min") for entry in entries], column), new)
    return new
