"""Widths of table columns: the shares asked for, unless a word, a head or a number would not fit."""

from collections.abc import Sequence
from typing import Protocol

from pipecalc.report.type_width import text_width

TABLE = 174.0  # width of a table on A4 [mm]; Letter has a little more
SIZE, STATUS_SIZE = 2.54, 2.33  # type sizes of the style sheet: 7.2 and 6.6 pt [mm]
_PADDING = {"text": 2.8, "number": 1.5, "triple": 1.5, "status": 3.0}  # after the column before, and its own [mm]
_LONGEST_WORD = 30.0  # longer words may be broken [mm]


class Shown(Protocol):
    """What is needed of a column."""

    @property
    def head(self) -> str:
        """Its head."""

    @property
    def width(self) -> float:
        """The share asked for."""

    @property
    def unit(self) -> str:
        """Unit below the head."""

    @property
    def kind(self) -> str:
        """``"text"``, ``"number"``, ``"triple"`` or ``"status"``."""


def column_shares(columns: Sequence[Shown], rows: Sequence[Sequence[str]]) -> list[float]:
    """Share of each column, adding up to 1.

    Args:
        columns: The columns.
        rows: Cells; a row of another length is a head over all columns and is left out.

    Returns:
        Shares; where all needs together are wider than the table they are scaled, and words break.
    """
    full = [row for row in rows if len(row) == len(columns)]
    needs = [_need(c, [row[i] for row in full]) for i, c in enumerate(columns)]
    total = sum(needs)
    if total >= TABLE:
        return [need / total for need in needs]
    return _filled([c.width for c in columns], needs)


def _filled(wanted: Sequence[float], needs: Sequence[float]) -> list[float]:
    """Shares in proportion to what is wanted; those that would fall short of their need get just that."""
    short: set[int] = set()
    while True:
        rest = TABLE - sum(needs[i] for i in short)
        asked = sum(w for i, w in enumerate(wanted) if i not in short)
        widths = [needs[i] if i in short else w * rest / asked for i, w in enumerate(wanted)]
        more = {i for i, w in enumerate(widths) if i not in short and w < needs[i]}
        if not more or len(short | more) == len(wanted):
            return [w / sum(widths) for w in widths]
        short |= more


def _need(column: Shown, cells: Sequence[str]) -> float:
    """Room that a column takes at least [mm]."""
    head = max((text_width(word, SIZE, bold=True) for word in column.head.split()), default=0.0)
    unit = max((text_width(word, SIZE) for word in column.unit.split()), default=0.0)
    if column.kind == "text":
        words = {word for cell in cells for word in cell.split()}
        widest = min(_widest(words, SIZE), _LONGEST_WORD)
    else:
        widest = _widest(set(cells), STATUS_SIZE if column.kind == "status" else SIZE, column.kind == "status")
    return max(head, unit, widest) + _PADDING[column.kind]


def _widest(words: set[str], size: float, bold: bool = False) -> float:
    """Width of the widest, measured among the longest only."""
    if not words:
        return 0.0
    long = max(map(len, words))
    return max(text_width(word, size, bold) for word in words if len(word) >= 0.7 * long)
