"""Problems found in the user's data, each with an address, and the few exceptions of the package.

A problem is a value: rules yield problems, the caller gathers them. Nothing raises because of what somebody typed.
Exceptions are for files that cannot be opened or saved and for an environment that lacks something:

    PipecalcError
    ├── InputError          the workbook has errors; carries all problems
    ├── FileUnusable        a file cannot be read or written (code says why)
    └── EnvironmentLacks    something of the machine is missing (says what and how to get it)
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum

#: Characters that steer a terminal, turn the direction of writing, or stand for none.
_UNSEEN = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069\ufffe\uffff\ud800-\udfff]"
)


def visible(text: str) -> str:
    """Text in which a stand-in shows every character that could not be seen but would act."""
    return _UNSEEN.sub("\ufffd", text)


class Severity(StrEnum):
    """How a problem bears on the run."""

    ERROR = "error"  # no results
    WARNING = "warning"  # results, with words
    NOTE = "note"  # an assumption or remark; listed in the note's basis chapter


@dataclass(frozen=True, slots=True)
class Address:
    """Where something stands in the workbook; prints as ``Segments!F14``.

    Attributes:
        sheet: Sheet title, or empty for the file itself.
        row: Row number in the sheet from 1, or 0 for the whole sheet.
        column: Column number from 1, or 0 for the whole row.
    """

    sheet: str = ""
    row: int = 0
    column: int = 0

    def __str__(self) -> str:
        """Spreadsheet notation; a whole row prints as ``Segments!14``."""
        cell = f"{letters(self.column)}{self.row or ''}"
        return f"{self.sheet}!{cell}" if cell else self.sheet


def letters(column: int) -> str:
    """Spreadsheet letters of a column number (1 is A, 27 is AA); empty for 0."""
    text = ""
    while column > 0:
        column, rest = divmod(column - 1, 26)
        text = chr(ord("A") + rest) + text
    return text


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong, doubtful or assumed.

    Attributes:
        severity: Error, warning or note.
        code: Short stable word, e.g. ``unit-dimension``.
        address: Where it stands.
        found: What was found, in the user's words and units.
        accepted: What would be accepted; of a note, what is taken.
        hint: What to do about it, with the nearest accepted word where there is one.
    """

    severity: Severity
    code: str
    address: Address
    found: str
    accepted: str = ""
    hint: str = ""

    def sentence(self) -> str:
        """The whole message on one line."""
        parts = [f"{self.address}: {self.found}" if str(self.address) else self.found]
        if self.accepted:
            parts.append(f"{'taken' if self.severity is Severity.NOTE else 'accepted'}: {self.accepted}")
        if self.hint:
            parts.append(self.hint)
        return visible("; ".join(parts))


class Problems:
    """A growing list of problems that can be asked whether it holds errors."""

    def __init__(self, items: Iterable[Problem] = ()) -> None:
        self._items = list(items)

    def add(self, *problems: Problem) -> None:
        """Append problems."""
        self._items.extend(problems)

    def extend(self, problems: Iterable[Problem]) -> None:
        """Append all of an iterable, such as a rule's generator."""
        self._items.extend(problems)

    def __iter__(self) -> Iterator[Problem]:
        """In the order found."""
        return iter(self._items)

    def __len__(self) -> int:
        """How many there are."""
        return len(self._items)

    @property
    def errors(self) -> list[Problem]:
        """Those that stop the run."""
        return [p for p in self._items if p.severity is Severity.ERROR]

    def sorted(self, sheet_order: Iterable[str] = ()) -> list[Problem]:
        """By sheet (in the given order, others after), row and column; duplicates dropped."""
        rank = {title: i for i, title in enumerate(sheet_order)}
        unique = dict.fromkeys(self._items)
        return sorted(
            unique,
            key=lambda p: (
                rank.get(p.address.sheet, len(rank)) if p.address.sheet else -1,
                p.address.sheet,
                p.address.row,
                p.address.column,
            ),
        )


def error(code: str, address: Address, found: str, accepted: str = "", hint: str = "") -> Problem:
    """A problem that stops the run."""
    return Problem(Severity.ERROR, code, address, found, accepted, hint)


def warning(code: str, address: Address, found: str, accepted: str = "", hint: str = "") -> Problem:
    """A problem that lets the run go on, with words."""
    return Problem(Severity.WARNING, code, address, found, accepted, hint)


def note(code: str, address: Address, found: str, taken: str, why: str) -> Problem:
    """An assumption: what the workbook leaves open, what is taken for it, and why."""
    return Problem(Severity.NOTE, code, address, found, taken, why)


class PipecalcError(Exception):
    """Base of all exceptions of the package."""


class InputError(PipecalcError):
    """The workbook has errors; nothing was computed.

    Attributes:
        problems: All problems, sorted by sheet and row.
    """

    def __init__(self, problems: list[Problem]) -> None:
        errors = [p for p in problems if p.severity is Severity.ERROR]
        super().__init__("\n".join(p.sentence() for p in errors))
        self.problems = problems


class FileUnusable(PipecalcError):
    """A file cannot be read or written.

    Attributes:
        code: Stable word such as ``encrypted``, ``not-a-workbook``, ``busy``, ``not-writable``.
    """

    def __init__(self, code: str, message: str) -> None:
        super().__init__(message)
        self.code = code


class EnvironmentLacks(PipecalcError):
    """Something of the machine is missing; the message says what and how to get it."""
