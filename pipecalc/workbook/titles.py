"""Which column is which: titles of a sheet matched with the schema, however they are typed."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any

from pipecalc.problems import Address, Problem, error, warning
from pipecalc.schema.column import Column, Sheet
from pipecalc.schema.sheets import GUIDE_SHEET, RESULT_SHEETS, SHEETS
from pipecalc.workbook.cells import is_blank, shown

RESULT_PREFIX = "Result:"
_CLOSE = 0.8


@dataclass(frozen=True, slots=True)
class Matched:
    """Titles found.

    Attributes:
        places: Column number by key (row number where items stand in rows), results included.
        problems: Titles that stand twice or look misspelt.
    """

    places: Mapping[str, int]
    problems: tuple[Problem, ...]


def folded(text: Any) -> str:
    """A title without regard to capitals, surrounding or doubled blanks and line breaks."""
    return " ".join(str(text).split()).casefold()


def match_titles(sheet: Sheet, found: Iterable[tuple[Address, int, Any]]) -> Matched:
    """Match titles with the sheet's columns.

    Args:
        sheet: Declaration.
        found: Address, place and text of every title cell; blank ones are passed over.
    """
    by_title = {folded(c.title): c for c in sheet.columns}
    places: dict[str, int] = {}
    problems: list[Problem] = []
    strangers: list[tuple[Address, str]] = []
    for address, place, text in found:
        if is_blank(text):
            continue
        column = by_title.get(folded(text))
        if column is None:
            strangers.append((address, shown(text)))
        elif column.key in places:
            problems.append(error("title-twice", address, f'"{column.title}" stands twice', "one of the two"))
        else:
            places[column.key] = place
    problems.extend(_misspelt(sheet, places, strangers))
    return Matched(places, tuple(problems))


def _misspelt(sheet: Sheet, places: Mapping[str, int], strangers: Sequence[tuple[Address, str]]) -> Iterable[Problem]:
    missing = {folded(c.title): c.title for c in sheet.inputs if c.key not in places}
    for address, typed in strangers:
        near = get_close_matches(folded(typed), missing, n=1, cutoff=_CLOSE)
        if near and not folded(typed).startswith(folded(RESULT_PREFIX)):
            found = f'"{typed}" is not a title of this sheet and is not read'
            yield warning("title-unknown", address, found, hint=f'did you mean "{missing[near[0]]}"?')


def missing_columns(sheet: Sheet, places: Mapping[str, int]) -> list[Column]:
    """Required columns without a title."""
    return [c for c in sheet.inputs if c.required and c.key not in places]


def match_sheets(names: Sequence[str]) -> tuple[dict[str, str], list[Problem]]:
    """Name in the workbook by sheet title of the schema, and problems with sheets that are missing or misspelt."""
    by_name: dict[str, str] = {}
    for name in names:
        by_name.setdefault(folded(name), name)
    found = {s.title: by_name[folded(s.title)] for s in SHEETS if folded(s.title) in by_name}
    absent = {folded(s.title): s for s in SHEETS if s.title not in found}
    own = {folded(n) for n in (*found.values(), *RESULT_SHEETS, GUIDE_SHEET)}
    lookalikes: dict[str, str] = {}
    for name in names:
        near = get_close_matches(folded(name), absent, n=1, cutoff=_CLOSE) if folded(name) not in own else []
        for title in near:
            lookalikes.setdefault(absent[title].title, name)
    return found, [p for s in absent.values() for p in _absent(s, lookalikes.get(s.title))]


def _absent(sheet: Sheet, lookalike: str | None) -> Iterable[Problem]:
    hint = f'rename "{lookalike}" if it is meant' if lookalike else ""
    if sheet.required:
        yield error("sheet-missing", Address(sheet.title), "this sheet is missing", sheet.meaning, hint)
    elif lookalike:
        found = f'the sheet "{lookalike}" is not read'
        yield warning("sheet-unknown", Address(lookalike), found, hint=f'did you mean "{sheet.title}"?')
