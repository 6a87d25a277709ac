"""What was read from a workbook: rows of typed values in base units, each with its address."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from pipecalc.problems import Address, Problem, Severity


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a sheet; the whole Project sheet is one row.

    Attributes:
        sheet: Sheet title of the schema.
        number: Row number in the sheet; 0 for the Project sheet.
        values: By column key, in base units or as the cell's meaning; None where blank without a default.
        assumed: Keys whose default was taken.
        bad: Keys with an error; their value is None.
        typed: As typed, with unit, by key; only cells that were filled in.
        columns: Column number by key; keys without a column are absent.
        lines: Row number by key where items stand in rows (Project).
    """

    sheet: str
    number: int
    values: Mapping[str, Any]
    assumed: frozenset[str]
    bad: frozenset[str]
    typed: Mapping[str, str]
    columns: Mapping[str, int]
    lines: Mapping[str, int] | None = None

    def __getitem__(self, key: str) -> Any:
        """Value of a column; KeyError where the sheet has no such column."""
        return self.values[key]

    def address(self, key: str = "") -> Address:
        """Cell of a key, or the whole row."""
        if self.lines is not None:
            line = self.lines.get(key, 0)
            return Address(self.sheet, line, self.columns.get(key, 0) if line else 0)
        return Address(self.sheet, self.number, self.columns.get(key, 0))


@dataclass(frozen=True, slots=True)
class Book:
    """A workbook as read.

    Attributes:
        name: File name without its ending; empty when read from bytes.
        sha256: Of the file's bytes, in hexadecimal.
        sheet_names: All sheets of the file, the user's own among them.
        project: The Project sheet.
        rows: Rows by sheet title of the schema, every sheet present; Project has none here.
        problems: All problems of reading, sorted by sheet and row.
        titles: Column number by key for every sheet that was found, result columns included.
        units_row: Unit text by key for every sheet that was found, result columns included.
        file_titles: Title that the sheet bears in the file, by its title in the schema.
        last_column: Number of the last column in use, for every sheet that was found.
    """

    name: str
    sha256: str
    sheet_names: tuple[str, ...]
    project: Row
    rows: Mapping[str, tuple[Row, ...]]
    problems: tuple[Problem, ...]
    titles: Mapping[str, Mapping[str, int]]
    units_row: Mapping[str, Mapping[str, str]]
    file_titles: Mapping[str, str] = field(default_factory=dict)
    last_column: Mapping[str, int] = field(default_factory=dict)


def mark_bad(book: Book, problems: Iterable[Problem]) -> Book:
    """The book with every row bad that one of the problems calls an error, so that building leaves it out."""
    wrong = {(p.address.sheet, p.address.row) for p in problems if p.severity is Severity.ERROR and p.address.row}
    rows = {
        title: tuple(replace(r, bad=r.bad | {""}) if (title, r.number) in wrong else r for r in sheet)
        for title, sheet in book.rows.items()
    }
    return replace(book, rows=rows)
