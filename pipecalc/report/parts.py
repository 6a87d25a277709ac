"""The parts that chapters are made of: tables, figures and chapters, numbered as they are added."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from markupsafe import Markup

from pipecalc.model import Plant
from pipecalc.report.columns import column_shares
from pipecalc.report.format import Display
from pipecalc.results import Results

Cell = str


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a printed table.

    Attributes:
        width: Share of the table's width that suits it; see ``column_shares``.
        kind: ``"text"``, ``"number"``, ``"triple"`` for several numbers side by side, or ``"status"``.
    """

    head: str
    width: float
    unit: str = ""
    kind: str = "text"


@dataclass(frozen=True, slots=True)
class Table:
    """A printed table; a row of a single cell is a head of the rows below it.

    Attributes:
        strong: Indices of rows printed as sums or group heads.
    """

    number: str
    caption: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    strong: frozenset[int] = frozenset()

    @property
    def sums(self) -> bool:
        """Whether its rows add up to the sums below them, and stay on one page with them."""
        return bool(self.strong)

    @property
    def heads(self) -> tuple[tuple[Column, str], ...]:
        """Columns with their widths in per cent: the shares asked for, but room for every word and number."""
        shares = column_shares(self.columns, self.rows)
        return tuple((c, f"{100 * share:.2f}") for c, share in zip(self.columns, shares, strict=True))


@dataclass(frozen=True, slots=True)
class Figure:
    """A printed figure; ``name`` is that of its file."""

    number: str
    caption: str
    svg: Markup
    name: str


@dataclass(frozen=True, slots=True)
class Chapter:
    """A chapter as the template gets it.

    Attributes:
        template: Partial that prints it.
        key: Identifier for links.
        has: What the partial prints, by name.
    """

    number: int
    title: str
    template: str
    key: str
    has: Mapping[str, Any]


@dataclass(slots=True)
class Sheets:
    """What every chapter is built from, and the running numbers.

    Attributes:
        figures: All figures so far, for saving them as files.
        numbers: Numbers of tables that other chapters name, by what they hold.
    """

    plant: Plant
    results: Results
    display: Display
    figures: list[Figure] = field(default_factory=list)
    numbers: dict[str, str] = field(default_factory=dict)
    chapter_number: int = 0
    _tables: int = 0
    _drawn: int = 0

    def open(self, number: int) -> None:
        """Begin a chapter: tables and figures count from one."""
        self.chapter_number, self._tables, self._drawn = number, 0, 0

    def table(
        self,
        caption: str,
        columns: Sequence[Column],
        rows: Iterable[Sequence[Cell]],
        strong: Iterable[int] = (),
    ) -> Table | None:
        """A numbered table, or None where it has no rows."""
        body = tuple(tuple(row) for row in rows)
        if not body:
            return None
        self._tables += 1
        number = f"{self.chapter_number}.{self._tables}"
        return Table(number, caption, tuple(columns), body, frozenset(strong))

    def figure(self, caption: str, svg: str, name: str) -> Figure:
        """A numbered figure. The drawing is the package's own text with every word escaped."""
        self._drawn += 1
        number = f"{self.chapter_number}.{self._drawn}"
        made = Figure(number, caption, Markup(svg), name)  # noqa: S704 - see above
        self.figures.append(made)
        return made


def text(head: str, width: float) -> Column:
    """A column of words."""
    return Column(head, width)


def numeric(head: str, width: float, unit: str = "") -> Column:
    """A column of numbers, set flush right."""
    return Column(head, width, unit, "number")


def triple(head: str, width: float, unit: str = "") -> Column:
    """A column that holds several numbers side by side, such as East, North and Up; see ``Display.triple``."""
    return Column(head, width, unit, "triple")


def status(width: float = 9.0) -> Column:
    """A column of verdicts in words."""
    return Column("Status", width, "", "status")


def without_empty(columns: Sequence[Column], rows: Sequence[Sequence[Cell]]) -> tuple[list[Column], list[list[Cell]]]:
    """The table without the columns that hold nothing but blanks and dashes."""
    full = [row for row in rows if len(row) == len(columns)]
    kept = [i for i in range(len(columns)) if any(row[i] not in ("", "–") for row in full)]
    return [columns[i] for i in kept], [[row[i] for i in kept] if row in full else list(row) for row in rows]
