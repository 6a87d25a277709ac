"""The words with which the workbook is declared: sheets and columns."""

from dataclasses import dataclass, field
from enum import StrEnum

from pipecalc.units import Dimension


class Kind(StrEnum):
    """How a cell of a column is read."""

    TEXT = "text"
    TAG = "tag"  # a name others may refer to; unique where the sheet says so
    REFERENCE = "reference"  # a name declared in another column
    NUMBER = "number"
    COUNT = "count"  # a whole number, not negative
    CHOICE = "choice"  # one of the column's words
    CHOICES = "choices"  # several of the words, ";" between
    YES_NO = "yes/no"
    DATE = "date"
    NPS = "pipe size"  # NPS number or fraction, or "DN 200"
    SCHEDULE = "schedule"
    DIRECTION = "direction"  # "+E", "az 30 el -15", "0.6, 0.8, 0"
    DENSITY = "density"  # a number with unit, or one of the words "water", "steam", "empty"
    TOLERANCE = "tolerance"  # a share (%) or a length
    VALUES = "values"  # "a; b; c" or "from : to : step"


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a sheet (or one item of a sheet that has its items in rows).

    Attributes:
        title: Exact title as typed in the workbook.
        key: Name by which the program asks for the value.
        meaning: One or two sentences for the person who fills it in.
        kind: How a cell is read.
        dimension: Physical dimension where the kind is a number.
        si: Unit in the units row of an SI workbook.
        us: Unit in the units row of a US workbook.
        required: A row without it is an error.
        words: Accepted words of a choice.
        low: Smallest possible value, in ``si`` units; below is an error.
        high: Largest possible value, in ``si`` units; above is an error.
        usual_low: Below this a warning, in ``si`` units.
        usual_high: Above this a warning, in ``si`` units.
        above_low: True where the value must be greater than ``low``, not equal.
        default: Value taken where the cell is empty, in base units or as a word; None where there is none.
        reports_default: Taking the default is listed among the assumptions.
        refers_to: ``"Sheet.key"`` declarations that a reference may name.
        result: Written by a run, never read.
        digits: Decimal places of a result in its display unit.
        width: Column width in characters.
    """

    title: str
    key: str
    meaning: str
    kind: Kind = Kind.TEXT
    dimension: Dimension | None = None
    si: str = ""
    us: str = ""
    required: bool = False
    words: tuple[str, ...] = ()
    low: float | None = None
    high: float | None = None
    usual_low: float | None = None
    usual_high: float | None = None
    above_low: bool = False
    default: float | str | None = None
    reports_default: bool = False
    refers_to: tuple[str, ...] = ()
    result: bool = False
    digits: int = 1
    width: float = 12.0

    def unit(self, system: str) -> str:
        """Unit text of the units row for ``"SI"`` or ``"US"``."""
        return self.us if system == "US" else self.si


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet of the workbook.

    Attributes:
        title: Exact sheet title.
        meaning: What the sheet is for.
        columns: Its columns in the order a blank workbook writes them.
        required: A workbook without it is an error.
        unique: Keys whose values together must not repeat.
        named_by: Keys whose values tell its rows apart where nothing has to be unique.
        upright: Items stand in rows (Item, Value, Unit, Note) instead of columns; only Project.
        inputs: Columns that are read.
        results: Columns that a run writes.
    """

    title: str
    meaning: str
    columns: tuple[Column, ...]
    required: bool = False
    unique: tuple[str, ...] = ()
    named_by: tuple[str, ...] = ()
    upright: bool = False
    inputs: tuple[Column, ...] = field(init=False, repr=False, compare=False, hash=False)
    results: tuple[Column, ...] = field(init=False, repr=False, compare=False, hash=False)
    _by_key: dict[str, Column] = field(init=False, repr=False, compare=False, hash=False)

    def __post_init__(self) -> None:
        """Sort the columns into those that are read and those that a run writes, and index them by key."""
        object.__setattr__(self, "inputs", tuple(c for c in self.columns if not c.result))
        object.__setattr__(self, "results", tuple(c for c in self.columns if c.result))
        object.__setattr__(self, "_by_key", {c.key: c for c in self.columns})

    def column(self, key: str) -> Column:
        """The column with this key; KeyError where there is none."""
        return self._by_key[key]

    @property
    def identity(self) -> tuple[str, ...]:
        """Keys whose values together say which row is meant; none where the sheet is one row."""
        return self.unique or self.named_by
