"""One worksheet part as text, cut into head, rows and tail so that what is not a target keeps its text.

Rows and cells are cut with plain text operations, which is several times as fast as a tree of a million
elements. A part that is not written in the plain way (another encoding, remarks between cells, cells without
addresses) is first rewritten through the XML parser with the same elements, attributes and texts.

Source: ECMA-376 Part 1, clauses 18.3.1.73 (row), 18.3.1.4 (c).
"""

import re
from dataclasses import dataclass

from lxml import etree

from pipecalc.problems import letters
from pipecalc.workbook.limits import MAX_COLUMN, MAX_SHEET_TAGS
from pipecalc.workbook.package_parts import not_a_workbook, parse, serialise
from pipecalc.workbook.package_xml import Element

COLUMN_LETTERS = ["", *(letters(n) for n in range(1, MAX_COLUMN + 1))]
COLUMN_NUMBER = {text: n for n, text in enumerate(COLUMN_LETTERS) if text}

_ATTRIBUTES = r"""((?:[^<>"'/]+|"[^"<]*"|'[^'<]*')*+)"""
_OPENING = r"<{p}{name}(?=[\s/>])" + _ATTRIBUTES + r"(/?)>"
# Remarks are matched first, so that words in them are not taken for the rows.
_ROWS_OPENING = re.compile(
    r"<!--.*?-->|<!\[CDATA\[.*?\]\]>|<(?P<prefix>(?:[\w.-]+:)?)sheetData\s*(?P<end>/?>)", re.DOTALL
)
_ROW_NUMBER = re.compile(r"""\sr=["'](\d{1,7})["']""", re.ASCII)
_CELL_OPENING = re.compile(r"<(?:[\w.-]+:)?c(?=[\s/>])(?:[^<>\"'/]+|\"[^\"<]*\"|'[^'<]*')*+(/?)>")
_CELL_ADDRESS = re.compile(r"""<[^<>]*?\sr=["']([A-Z]+)(\d{1,7})["']""", re.ASCII)
_CELL_REFERENCE = re.compile(r"([A-Z]{1,3})([1-9]\d{0,6})", re.ASCII)


class NotPlain(Exception):
    """The text needs rewriting before it can be cut."""


@dataclass(slots=True)
class Row:
    """One row: number, opening tag without its end, and the text between the tags."""

    number: int
    opening: str
    body: str


@dataclass(slots=True)
class SheetText:
    """A worksheet part in three pieces.

    Attributes:
        prefix: Name space prefix with its colon, or empty.
        head: Text up to the rows.
        rows: All rows, in the order found.
        tail: Text after the rows.
    """

    prefix: str
    head: str
    rows: list[Row]
    tail: str

    def skeleton(self) -> Element:
        """The part without its rows, as a tree."""
        return parse(f"{self.head}<{self.prefix}sheetData/>{self.tail}".encode())

    def reframe(self, root: Element) -> None:
        """Take head and tail from a changed skeleton."""
        text = serialise(root).decode()
        opening = _rows_opening(text)
        self.head, self.tail = text[: opening.start()], text[opening.end() :]

    def to_bytes(self) -> bytes:
        """The part again."""
        p = self.prefix
        end = f"</{p}row>"
        rows = [f"{row.opening}>{row.body}{end}" if row.body else f"{row.opening}/>" for row in self.rows]
        return "".join([self.head, f"<{p}sheetData>", *rows, f"</{p}sheetData>", self.tail]).encode()


def cut(data: bytes) -> SheetText:
    """Cut a worksheet part into pieces.

    Raises:
        FileUnusable: If it is no worksheet or bears a row twice.
        NotPlain: If it must be rewritten first.
    """
    sheet = _cut(_decode(data))
    if etree.QName(sheet.skeleton()).localname != "worksheet":
        raise not_a_workbook("a sheet is no worksheet")
    numbers = {row.number for row in sheet.rows}
    if len(numbers) != len(sheet.rows):
        raise not_a_workbook("a sheet holds a row twice")
    return sheet


def _decode(data: bytes) -> str:
    declared = re.match(rb"""(?:\xef\xbb\xbf)?<\?xml[^>]*encoding=["']([\w-]+)["']""", data)
    if declared and declared.group(1).lower() != b"utf-8":
        raise NotPlain
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        raise NotPlain from fault


def _cut(text: str) -> SheetText:
    opening = _rows_opening(text)
    prefix = opening.group("prefix")
    head, rest = text[: opening.start()], text[opening.end() :]
    if opening.group("end") == "/>":
        return SheetText(prefix, head, [], rest)
    body, end, tail = rest.partition(f"</{prefix}sheetData>")
    if not end or "<!" in body or "<?" in body:
        raise NotPlain
    return SheetText(prefix, head, _rows(body, prefix), tail)


def _rows_opening(text: str) -> re.Match[str]:
    found = next((found for found in _ROWS_OPENING.finditer(text) if found.group("end")), None)
    if found is None:
        raise NotPlain
    return found


def _rows(body: str, prefix: str) -> list[Row]:
    pattern = re.compile(r"\s*" + _OPENING.format(p=prefix, name="row"))
    rows = []
    *chunks, last = body.split(f"</{prefix}row>")
    for chunk in chunks:
        found = _rows_of(chunk, pattern, prefix)
        if not found or found[-1].opening.endswith("/"):
            raise NotPlain
        rows += found
    rows += _rows_of(last, pattern, prefix)
    for row in rows:
        row.opening = row.opening.rstrip("/")
    return rows


def _rows_of(chunk: str, pattern: re.Pattern[str], prefix: str) -> list[Row]:
    """Rows without content that stand before a row with content, and that row itself."""
    rows: list[Row] = []
    position = 0
    while found := pattern.match(chunk, position):
        number = _ROW_NUMBER.search(found.group(1))
        if number is None:
            raise NotPlain
        position = found.end()
        opening = f"<{prefix}row{found.group(1).rstrip()}{found.group(2)}"
        rows.append(Row(int(number.group(1)), opening, ""))
        if not found.group(2):
            rows[-1].body = chunk[position:]
            return rows
    if chunk[position:].strip():
        raise NotPlain
    return rows


def split_cells(row: Row, prefix: str) -> tuple[list[tuple[int, str]], str]:
    """Column number and whole text of each cell of a row, in the order found, and what follows the last cell.

    Raises:
        NotPlain: If the row holds anything but cells with addresses of their own.
    """
    start = f'<{prefix}c r="'
    pieces = row.body.split(start)
    if pieces[0].strip() or len(pieces) - 1 != row.body.count(f"<{prefix}c"):
        return _split_slowly(row, prefix)
    digits = str(row.number)
    cells = []
    for piece in pieces[1:]:
        address = piece[: piece.index('"')]
        column = COLUMN_NUMBER.get(address.removesuffix(digits))
        if column is None:
            return _split_slowly(row, prefix)
        cells.append((column, start + piece))
    if not cells:
        return [], row.body
    column, text = cells[-1]
    end = len(text) if text.endswith(f"</{prefix}c>") else cell_end(text, prefix)
    cells[-1] = column, text[:end]
    return cells, text[end:]


def cell_end(text: str, prefix: str) -> int:
    """Where the cell that the text starts with ends."""
    opening = _CELL_OPENING.match(text)
    if opening is None:
        raise NotPlain
    if opening.group(1):
        return opening.end()
    close = f"</{prefix}c>"
    found = text.find(close)
    if found < 0:
        raise NotPlain
    return found + len(close)


def _split_slowly(row: Row, prefix: str) -> tuple[list[tuple[int, str]], str]:
    cells, position = [], 0
    opening = re.compile(rf"\s*(?=<{prefix}c[\s/>])")
    while found := opening.match(row.body, position):
        text = row.body[found.end() :]
        text = text[: cell_end(text, prefix)]
        address = _CELL_ADDRESS.match(text)
        if not address or int(address.group(2)) != row.number or address.group(1) not in COLUMN_NUMBER:
            raise NotPlain
        cells.append((COLUMN_NUMBER[address.group(1)], text))
        position = found.end() + len(text)
    rest = row.body[position:]
    if rest.strip() and not rest.lstrip().startswith(f"<{prefix}extLst"):
        raise NotPlain
    return cells, rest


def rewritten(data: bytes) -> bytes:
    """The part in the plain way: UTF-8, every row and cell with its address, no remarks among the rows."""
    root = parse(data, MAX_SHEET_TAGS)
    name = etree.QName(root)
    if name.localname != "worksheet":
        raise not_a_workbook("a sheet is no worksheet")
    main = f"{{{name.namespace}}}"
    rows = root.find(f"{main}sheetData")
    if rows is None:
        raise not_a_workbook("a sheet has no rows")
    fresh = etree.SubElement(root, f"{main}sheetData")
    root.replace(rows, fresh)
    fresh.tail = rows.tail
    number = 0
    for row in rows.iterchildren(f"{main}row"):
        given = row.get("r", str(number + 1))
        if not re.fullmatch(r"\d{1,7}", given, re.ASCII):
            raise not_a_workbook(f"a row bears the number {given[:20]}")
        number = int(given)
        _rewrite_row(fresh, row, number, main)
    return serialise(root)


def _rewrite_row(rows: Element, row: Element, number: int, main: str) -> None:
    fresh = etree.SubElement(rows, f"{main}row", {"r": str(number), **row.attrib})
    column = 0
    for child in list(row):
        if child.tag == f"{main}c":
            column = _column(child.get("r"), number, column + 1)
            copy = etree.SubElement(fresh, f"{main}c", {"r": f"{letters(column)}{number}", **child.attrib})
            copy.extend(list(child))
        elif isinstance(child.tag, str):
            fresh.append(child)


def _column(address: str | None, row: int, implied: int) -> int:
    if address is None:
        return implied
    found = _CELL_REFERENCE.fullmatch(address)
    if not found or int(found.group(2)) != row or found.group(1) not in COLUMN_NUMBER:
        raise not_a_workbook(f"row {row} holds a cell {address}")
    return COLUMN_NUMBER[found.group(1)]
