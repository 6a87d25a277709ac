"""How far the cells of a sheet reach and how much text they hold, before room is made for them."""

import re
from typing import Any

from pipecalc.problems import FileUnusable
from pipecalc.workbook.limits import MAX_ALL_CELLS, MAX_CELLS, MAX_COLUMN, MAX_ROW, MAX_TEXT, too_large

_WINDOW = 4_000_000  # bytes
_ADDRESS = re.compile(rb"\sr\s*=\s*[\"']\s*\$?([A-Za-z]+)\$?(\d+)")


class Budget:
    """What all sheets together take: cells to make room for, and text that cells take from the shared table."""

    def __init__(self, name: str, shared: list[int]) -> None:
        self.name, self.shared = name, shared
        self.longest = max(shared, default=0)
        self.cells = self.text = 0

    def take(self, cells: int, text: int) -> None:
        """Count a sheet.

        Raises:
            FileUnusable: ``too-large``.
        """
        self.cells += cells
        self.text += text
        if self.cells > MAX_ALL_CELLS:
            raise too_large(self.name, "cells in the sheets that are read", self.cells, MAX_ALL_CELLS)
        if self.text > MAX_TEXT:
            raise too_large(self.name, "bytes of text in the cells that are read", self.text, MAX_TEXT)


class Extent:
    """How far the filled cells of a sheet reach, and the text they take; each row is held against the bounds.

    Cells are looked at one by one only where a quick look at all addresses, formatting included, leaves doubt.
    """

    def __init__(self, xml: bytes, name: str, budget: Budget) -> None:
        self.name, self.budget = name, budget
        self.row = self.column = self.text = self.filled = 0
        columns, rows = _farthest(xml)
        texts = xml.count(b'"s"') + xml.count(b"'s'")
        self.closely = columns * rows > MAX_CELLS or texts * budget.longest > MAX_TEXT

    def add(self, row: int, column: int, filled: int) -> None:
        """Count rows whose cells need no closer look, by the last row and column that they fill."""
        self.row, self.column = max(self.row, row), max(self.column, column)
        self.filled += filled

    def take(self, row: Any, number: int) -> None:
        """Count a row.

        Raises:
            FileUnusable: ``too-large``.
        """
        filled = next((cell for cell in reversed(row) if len(cell)), None)
        if filled is None:
            return
        self.filled += 1
        if self.closely:
            self._take_closely(row, number)
        else:
            self.row, self.column = max(self.row, number), max(self.column, column_of(filled))
        if self.row * self.column > MAX_CELLS:
            reason = f"reaches to row {self.row} and column {self.column}; clear the cells far from the table"
            accepted = f"accepted: at most {MAX_CELLS:,} cells"
            raise FileUnusable("too-large", f"{self.name} {reason}; {accepted}")

    def _take_closely(self, row: Any, number: int) -> None:
        for cell in row:
            if not len(cell):
                continue
            reference = cell.get("r")
            at = position(reference) if reference else (number, column_of(cell))
            self.row, self.column = max(self.row, at[0]), max(self.column, at[1])
            if cell.get("t") == "s":
                value = cell.findtext("{*}v") or ""
                place = int(value) if value.strip().isdecimal() else len(self.budget.shared)
                self.text += self.budget.shared[place] if place < len(self.budget.shared) else 0

    def settle(self) -> None:
        """Count the whole sheet.

        Raises:
            FileUnusable: ``too-large``.
        """
        self.budget.take(self.row * self.column, self.text)


_SPELLED = re.compile(rb"\sr\s*=\s*(?:\"[^\"<>]*&|'[^'<>]*&)")


def _farthest(xml: bytes) -> tuple[int, int]:
    """Last column and row that any address in a sheet names, filled or not.

    Raises:
        ValueError: An address is spelled with character references, which readers take differently.
    """
    if _SPELLED.search(xml):
        raise ValueError("no cell reference: it is spelled with character references")
    columns, row, place = {b"A"}, 1, 0
    while place < len(xml):
        # No address holds the end of a tag, so none is cut.
        end = xml.find(b">", place + _WINDOW) + 1 or len(xml)
        if found := _ADDRESS.findall(xml, place, end):
            letters, numbers = map(set, zip(*found, strict=True))
            columns |= letters
            row = max(row, *(int(number[:10]) for number in numbers))
        place = end
    widest = max(columns, key=lambda letters: (len(letters), letters.upper()))
    return _letters_number(widest[:10].decode()), row


def row_number(row: Any, last: int) -> int:
    """Number of a row; the one after the last where it bears none.

    Raises:
        ValueError: It bears something else.
    """
    given = row.get("r")
    if given is None:
        return last + 1
    if not re.fullmatch(r"\d{1,7}", given, re.ASCII) or not 1 <= int(given) <= MAX_ROW:
        raise ValueError(f"no row number: {given[:20]!r}")
    return int(given)


def column_of(cell: Any) -> int:
    """Column of a cell.

    Raises:
        ValueError: Its address is none.
    """
    reference, row = cell.get("r"), cell.getparent()
    if reference:
        return position(reference)[1]
    if row is None:
        raise ValueError("no cell: it stands in no row")
    return int(row.index(cell)) + 1


def position(reference: str) -> tuple[int, int]:
    """Row and column of an address.

    Raises:
        ValueError: It is none.
    """
    match = re.fullmatch(r"\$?([A-Za-z]{1,3})\$?(\d{1,7})", reference, re.ASCII)
    row, column = (int(match[2]), _letters_number(match[1])) if match else (0, 0)
    if not (1 <= row <= MAX_ROW and 1 <= column <= MAX_COLUMN):
        raise ValueError(f"no cell reference: {reference[:20]!r}")
    return row, column


def _letters_number(letters: str) -> int:
    column = 0
    for letter in letters.upper():
        column = 26 * column + ord(letter) - ord("A") + 1
    return column
