"""Frozen records of what differs between two revisions. Results in SI, unrounded; inputs as the workbook shows them."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from pipecalc.results import Status
from pipecalc.workbook.rows import Book

Document = Mapping[str, Any]  # of a results.json

#: Changes of a ratio smaller than this are counted and not listed; for loads and movements it is a share.
THRESHOLD = 0.02


@dataclass(frozen=True, slots=True)
class Side:
    """One revision as it is compared.

    Attributes:
        name: File name.
        document: Its results, as in results.json; None where inputs alone are compared.
        book: Its rows; None where only a results.json was given.
    """

    name: str
    document: Document | None
    book: Book | None


@dataclass(frozen=True, slots=True)
class Identity:
    """What identifies a revision; words are empty where they are not known."""

    name: str
    sha256: str
    document: str
    revision: str
    issued: str
    code: str
    edition: str
    units: str
    tool_version: str


class RowFate(StrEnum):
    """What became of a row."""

    ADDED = "added"
    REMOVED = "removed"
    MOVED = "moved"


@dataclass(frozen=True, slots=True)
class RowChange:
    """A row that was added, removed or moved among the others; a row number is 0 on the side that lacks it.

    Attributes:
        cells: What stands in it, title and text, where it was added or removed.
    """

    sheet: str
    row: str
    fate: RowFate
    old_row: int
    new_row: int
    cells: tuple[tuple[str, str], ...] = ()


class Nature(StrEnum):
    """What is different of a cell."""

    VALUE = "value"
    DEFAULT = "default"  # the same value, typed in one revision and taken by itself in the other
    UNIT = "unit"  # the same value, typed in another unit
    ROUNDING = "rounding"  # typed in another unit and rounded there: apart by less than a millionth


@dataclass(frozen=True, slots=True)
class CellChange:
    """A cell that differs; ``row`` names its row and is empty on the Project sheet.

    Attributes:
        old: Earlier value in the units of the new workbook; ``"blank"`` where nothing stood there.
        new: Value now.
        old_at: Cell in the old workbook, in spreadsheet notation; empty where its column is absent.
        new_at: Cell in the new workbook.
    """

    sheet: str
    row: str
    column: str
    nature: Nature
    old: str
    new: str
    old_at: str
    new_at: str


@dataclass(frozen=True, slots=True)
class UnitChange:
    """The units row names another unit for a column."""

    sheet: str
    column: str
    old: str
    new: str


@dataclass(frozen=True, slots=True)
class InputChanges:
    """What differs in the inputs.

    Attributes:
        not_compared: What could not be compared, and why, as sentences.
    """

    rows: tuple[RowChange, ...] = ()
    cells: tuple[CellChange, ...] = ()
    units: tuple[UnitChange, ...] = ()
    not_compared: tuple[str, ...] = ()

    @property
    def count(self) -> int:
        """Number of differences."""
        return len(self.rows) + len(self.cells) + len(self.units)


@dataclass(frozen=True, slots=True)
class Finding:
    """One side of a check or of an item's verdict; what is not a number is None."""

    status: Status
    ratio: float | None
    demand: float | None = None
    limit: float | None = None
    case: str = ""
    check: str = ""
    reason: str = ""
    clause: str = ""


@dataclass(frozen=True, slots=True)
class ItemChange:
    """A line, nozzle or support whose verdict or governing ratio differs; a side is None where it is absent."""

    kind: str
    tag: str
    old: Finding | None
    new: Finding | None


@dataclass(frozen=True, slots=True)
class CheckChange:
    """A check that differs; a side is None where the check is absent.

    Attributes:
        unit: SI unit of demand and limit.
        screening: It asks for a closer look and decides no verdict.
    """

    check: str
    subject: str
    line: str
    point: str
    set: str
    unit: str
    screening: bool
    old: Finding | None
    new: Finding | None


@dataclass(frozen=True, slots=True)
class AmountChange:
    """The largest change of a kind of quantity of one thing.

    Attributes:
        about: ``"nozzle"``, ``"support"``, ``"line"`` or ``"spring"``.
        tag: Tag; for a line with its point.
        what: Component, such as ``"FR"``, ``"vertical"``, ``"Up"`` or ``"hot load"``.
        quantity: ``"force"``, ``"moment"``, ``"movement"`` or ``"stiffness"``.
        case: Load case or state in which it was found; empty for a spring.
        old: Earlier value in SI, None where there was none.
        new: Value now in SI.
    """

    about: str
    tag: str
    what: str
    quantity: str
    case: str
    old: float | None
    new: float | None


@dataclass(frozen=True, slots=True)
class ResultChanges:
    """What differs in the results.

    Attributes:
        items: Lines, nozzles and supports with another verdict or another governing ratio, worst first.
        flips: Checks with another status, worst first.
        ratios: Checks of the same status whose ratio changed by the threshold or more, largest change first.
        below: Number of checks whose ratio changed by less.
        vanished: Checks of the old revision alone.
        added: Checks of the new revision alone.
        loads: Largest change of each nozzle and support.
        movements: Largest change of each nozzle and line.
        springs: Changes of springs.
        compared: Number of checks found on both sides.
    """

    items: tuple[ItemChange, ...] = ()
    flips: tuple[CheckChange, ...] = ()
    ratios: tuple[CheckChange, ...] = ()
    below: int = 0
    vanished: tuple[CheckChange, ...] = ()
    added: tuple[CheckChange, ...] = ()
    loads: tuple[AmountChange, ...] = ()
    movements: tuple[AmountChange, ...] = ()
    springs: tuple[AmountChange, ...] = ()
    compared: int = 0

    @property
    def count(self) -> int:
        """Number of differences that are listed or counted."""
        listed = (self.items, self.flips, self.ratios, self.vanished, self.added)
        amounts = (self.loads, self.movements, self.springs)
        return sum(map(len, (*listed, *amounts))) + self.below


@dataclass(frozen=True, slots=True)
class Changes:
    """All differences between two revisions; ``results`` is None where inputs alone were compared.

    Attributes:
        threshold: Least change of a ratio that is listed; for loads and movements a share of the larger value.
        cautions: What bears on the comparison as a whole, such as another code edition, as sentences.
    """

    old: Identity
    new: Identity
    threshold: float
    cautions: tuple[str, ...]
    inputs: InputChanges
    results: ResultChanges | None

    @property
    def nothing(self) -> bool:
        """Whether neither inputs nor results differ."""
        return self.inputs.count == 0 and (self.results is None or self.results.count == 0)

    @property
    def worsened(self) -> tuple[str, ...]:
        """What went over its limit or is not checked any more, each once: verdicts, then deciding checks."""
        found = self.results
        if found is None:
            return ()
        items = [f"{c.kind} {c.tag} {c.new.status}" for c in found.items if c.new and _worse(c.old, c.new)]
        checks = [
            f"{c.check} of {c.subject} {c.new.status}"
            for c in (*found.flips, *found.added)
            if c.new and not c.screening and _worse(c.old, c.new)
        ]
        return tuple(dict.fromkeys((*items, *checks)))

    @property
    def worse(self) -> bool:
        """Whether a deciding check or a verdict went over its limit or lost its check."""
        return bool(self.worsened)


_BAD = (Status.FAIL, Status.NOT_CHECKED)


def _worse(old: Finding | None, new: Finding) -> bool:
    if new.status not in _BAD or (old is not None and old.status is new.status):
        return False
    return old is None or old.status is not Status.FAIL
