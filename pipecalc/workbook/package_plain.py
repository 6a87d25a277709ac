"""Rows of a sheet that are written in the plain way, told from its bytes several times as fast as by a parser of XML.

The cells of a plain row stand in its own columns and hold one number or one text each, spelled with characters and
references that XML takes; its elements are balanced. What is left of a sheet without its plain rows is therefore sound
XML where the whole sheet is, and only there: a parser need not see more. Where anything but elements stands in a sheet
(remarks, instructions, a document type), or another encoding, no row counts as plain.

Source: ECMA-376 Part 1, clauses 18.3.1.73 (row), 18.3.1.4 (c), 18.3.1.40 (f); XML 1.0, clauses 2.2, 2.4 and 4.6.
"""

import re
from codecs import getincrementaldecoder
from dataclasses import dataclass, field

from pipecalc.problems import letters
from pipecalc.workbook.limits import MAX_COLUMN, MAX_ROW

_BLANK = rb"[ \t\r\n]*+"
_TEXT = rb"(?:[^<>&\x00-\x08\x0b\x0c\x0e-\x1f]++|&(?:amp|lt|gt|quot|apos);)*+"
_TEXT_ELEMENT = rb'<is><t(?: xml:space="preserve")?+(?:>' + _TEXT + rb"</t>| ?/>)</is>"
# A formula that fills no range, with a value that is not blank.
_FORMULA = (
    rb'(?P<formula><f)(?: t="shared")?+(?: si="\d{1,9}")?+(?: ca="1")?+(?: aca="(?:0|1|true|false)")?+'
    rb"(?:>" + _TEXT + rb"</f>| ?/>)<v>[!-%'-;=?-~]" + _TEXT + rb"</v>"
)
_CELL = (
    rb'<c r="[A-Z]{1,3}(?P=row)"(?: s="\d{1,9}")?+(?: t="(?:n|s|str|b|inlineStr)")?+'
    rb"(?: ?/>|>(?:<v>" + _TEXT + rb"</v>|" + _TEXT_ELEMENT + rb"|<v ?/>|" + _FORMULA + rb")</c>)"
)
_ROW = re.compile(
    _BLANK + rb'<row r="(?P<row>[1-9]\d{0,6})"(?P<more>(?: [\w:]{1,40}="[\w .:-]{0,200}")*+) ?+'
    rb"(?:/>|>" + _BLANK + rb"(?:" + _CELL + _BLANK + rb")*+</row>)"
)
#: Any other row that bears its number and holds no row; whether it is sound is for a parser to say.
_OTHER_ROW = re.compile(
    _BLANK + rb"""<row r="(?P<row>\d{1,7})"(?:[^<>"'/]++|"[^"<]*+"|'[^'<]*+')*+"""
    rb"(?:/>|>(?:[^<]++|<(?!/row>|(?:[\w.-]++:)?row[\s/>]))*+</row>)"
)
_BLANKS = re.compile(_BLANK)
_ROW_TAG = re.compile(rb"<(?:[\w.-]+:)?row[\s/>]")
_FORMULA_TAG = re.compile(rb"<(?:[\w.-]+:)?f[\s/>]")
_ATTRIBUTE = re.compile(rb' ([\w:]+)="([^"]*)"')
_DECLARATION = re.compile(rb"""(?:\xef\xbb\xbf)?<\?xml version=["']1\.0["']([^<>?]*)\?>""")
_MARK = b"\xef\xbb\xbf"
_NO_CHARACTERS = (b"\xef\xbf\xbe", b"\xef\xbf\xbf")  # U+FFFE and U+FFFF
_USUAL = frozenset(b"spans ht customHeight s customFormat outlineLevel collapsed thickBot thickTop".split())
_OPEN, _CLOSE = b"<sheetData>", b"</sheetData>"
_CELL_START, _CELL_END = b'<c r="', b"</c>"
_LONGEST = 1_000_000  # bytes of a plain row; a parser bounds the length of a text
_PIECE = 4_000_000  # bytes

_COLUMNS = {letters(number).encode(): number for number in range(1, MAX_COLUMN + 1)}


@dataclass(slots=True)
class PlainRows:
    """A sheet taken apart.

    Attributes:
        rest: The sheet without its plain rows.
        numbers: Numbers of all rows, in the order found.
        others: Numbers of those that are not plain.
        last_row: Last plain row that holds a filled cell; 0 where none does.
        last_column: The last column that a plain row fills last; 0 where none fills any.
        filled: How many plain rows hold a filled cell.
        has_formulas: Whether a plain row holds a formula; all of them have values.
    """

    rest: bytes = b""
    numbers: list[int] = field(default_factory=list)
    others: list[int] = field(default_factory=list)
    last_row: int = 0
    last_column: int = 0
    filled: int = 0
    has_formulas: bool = False

    def take(self, xml: bytes, row: re.Match[bytes]) -> bool:
        """Count a row of a sheet; whether it stands where a sheet has rows and columns."""
        number = int(row["row"])
        self.has_formulas = self.has_formulas or row["formula"] is not None
        last = xml.rfind(_CELL_END, row.start(), row.end())
        if last < 0:
            return number <= MAX_ROW
        start = xml.rfind(_CELL_START, row.start(), last) + len(_CELL_START)
        column = _COLUMNS.get(xml[start : xml.index(b'"', start) - len(row["row"])])
        if column is None or number > MAX_ROW:
            return False
        self.last_row, self.last_column = max(self.last_row, number), max(self.last_column, column)
        self.filled += 1
        return True


def plain_rows(xml: bytes) -> PlainRows | None:
    """Take the plain rows out of a sheet; None where it must be parsed as a whole."""
    place = xml.find(_OPEN) + len(_OPEN)
    head = xml[:place]
    if place < len(_OPEN) or not _is_plain(xml, head):
        return None
    taken, kept, usual = PlainRows(), [head], _Attributes(head)
    while True:
        row = _ROW.match(xml, place)
        if row is not None and row.end() - place <= _LONGEST and usual.are_all(row["more"]):
            if not taken.take(xml, row):
                return None
        elif xml.startswith(_CLOSE, _end(_BLANKS.match(xml, place))):
            break
        elif (row := _OTHER_ROW.match(xml, place)) is None:
            return None
        else:
            kept.append(row[0])
            taken.others.append(int(row["row"]))
        taken.numbers.append(int(row["row"]))
        place = row.end()
    tail = xml[place:]
    if _ROW_TAG.search(tail):
        return None
    taken.rest = b"".join([*kept, tail])
    return taken


def _is_plain(xml: bytes, head: bytes) -> bool:
    """Whether a sheet is UTF-8, holds elements alone, and no rows or formulas before its rows."""
    declaration = _DECLARATION.match(head)
    if declaration is None and not head.removeprefix(_MARK).startswith(b"<w"):
        return False
    encoding = declaration[1].lower() if declaration else b""
    if b"encoding" in encoding and b"utf-8" not in encoding:
        return False
    if b"<!" in xml or xml.find(b"<?", _end(declaration)) >= 0:
        return False
    return not _ROW_TAG.search(head) and not _FORMULA_TAG.search(head) and _is_text(xml)


def _is_text(xml: bytes) -> bool:
    """Whether bytes are UTF-8 of characters that XML takes, those that steer aside."""
    if xml.isascii():
        return True
    decoder = getincrementaldecoder("utf-8")()
    try:
        for start in range(0, len(xml), _PIECE):
            decoder.decode(xml[start : start + _PIECE], start + _PIECE >= len(xml))
    except UnicodeDecodeError:
        return False
    return not any(character in xml for character in _NO_CHARACTERS)


class _Attributes:
    """Which attributes of rows say nothing that matters, and are well formed; few texts come again and again."""

    def __init__(self, head: bytes) -> None:
        self._usual = _USUAL | ({b"x14ac:dyDescent"} if b" xmlns:x14ac=" in head else frozenset())
        self._known = {b"": True}

    def are_all(self, text: bytes) -> bool:
        """Whether all attributes of a row, its number aside, are of that kind."""
        if text not in self._known:
            pairs = _ATTRIBUTE.findall(text)
            names = [name for name, _ in pairs]
            shown = all(
                name in self._usual or (name == b"hidden" and value in (b"0", b"false")) for name, value in pairs
            )
            self._known[text] = shown and len(set(names)) == len(names)
        return self._known[text]


def _end(found: re.Match[bytes] | None) -> int:
    return found.end() if found else 0
