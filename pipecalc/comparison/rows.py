"""Rows of two revisions of a sheet, matched by what names them and not by their number."""

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from pipecalc.comparison.shown import cell_text
from pipecalc.schema.column import Sheet
from pipecalc.workbook.rows import Book, Row

Key = tuple[Any, ...]


@dataclass(frozen=True, slots=True)
class Matched:
    """Rows of a sheet by what became of them, in the order of the new sheet, removed ones in that of the old.

    Attributes:
        pairs: Rows on both sides, old and new.
        moved: Those of the pairs that stand elsewhere among the others.
        removed: Rows of the old sheet alone.
        added: Rows of the new sheet alone.
    """

    pairs: tuple[tuple[Row, Row], ...]
    moved: tuple[tuple[Row, Row], ...]
    removed: tuple[Row, ...]
    added: tuple[Row, ...]


def match_rows(sheet: Sheet, old: Sequence[Row], new: Sequence[Row]) -> Matched:
    """Match the rows of a sheet; rows that bear the same name are matched in their order."""
    before, after = _by_key(sheet, old), _by_key(sheet, new)
    pairs = tuple((before[key], row) for key, row in after.items() if key in before)
    kept = _longest_rising([one.number for one, _ in pairs])
    return Matched(
        pairs=pairs,
        moved=tuple(pair for i, pair in enumerate(pairs) if i not in kept),
        removed=tuple(row for key, row in before.items() if key not in after),
        added=tuple(row for key, row in after.items() if key not in before),
    )


def row_name(sheet: Sheet, row: Row, book: Book) -> str:
    """What names a row, in words."""
    texts = (cell_text(sheet, key, row, book) for key in sheet.identity if row[key] is not None)
    return ", ".join(texts)


def _by_key(sheet: Sheet, rows: Iterable[Row]) -> dict[Key, Row]:
    found: dict[Key, Row] = {}
    for row in rows:
        name = tuple(_comparable(row[key]) for key in sheet.identity)
        count = 0
        while (*name, count) in found:
            count += 1
        found[*name, count] = row
    return found


def _comparable(value: Any) -> Any:
    """A number without the last digits of a conversion."""
    return float(f"{value:.9g}") if isinstance(value, float) else value


def _longest_rising(numbers: Sequence[int]) -> set[int]:
    """Positions of a longest rising run: the most rows that still stand in their order."""
    lasts: list[int] = []  # smallest last number of a run of each length
    tails: list[int] = []  # its position
    before: list[int] = []  # position before each in its run, or -1
    for i, number in enumerate(numbers):
        place = bisect_left(lasts, number)
        before.append(tails[place - 1] if place else -1)
        lasts[place : place + 1] = [number]
        tails[place : place + 1] = [i]
    kept: set[int] = set()
    at = tails[-1] if tails else -1
    while at >= 0:
        kept.add(at)
        at = before[at]
    return kept
