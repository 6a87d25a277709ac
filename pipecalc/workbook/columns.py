"""One column: parse its cells, convert them at once, hold them against the bounds."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from math import isfinite
from typing import Any

from pipecalc.problems import Address, Problem, error, note, warning
from pipecalc.schema.column import Column, Kind
from pipecalc.units import Dimension, accepted_units, convert_in, convert_out, unit_problem
from pipecalc.workbook import cells
from pipecalc.workbook.cells import Amount, Fault, Tolerance
from pipecalc.workbook.directions import direction
from pipecalc.workbook.limits import LARGEST, MAX_STRING, SMALLEST

_MEASURED = (Kind.NUMBER, Kind.DENSITY, Kind.TOLERANCE)
_FREE_TEXT = ("remark", "description")
_SIZES = f"0, or a number between {SMALLEST:g} and {LARGEST:g} in SI units"
_NEARLY = 1e-9  # share by which a bound may be missed in the last digits of a conversion


@dataclass(slots=True)
class ColumnRead:
    """What a column's cells mean, in the order given.

    Attributes:
        values: In base units or as the cell's meaning; None where blank or bad.
        typed: As typed with unit; None where blank.
        bad: Positions with an error.
        assumed: Positions where the default was taken.
        problems: What was found.
    """

    values: list[Any]
    typed: list[str | None]
    bad: set[int] = field(default_factory=set)
    assumed: set[int] = field(default_factory=set)
    problems: list[Problem] = field(default_factory=list)

    def refuse(self, position: int, address: Address, fault: Fault) -> None:
        """Note an error of one cell."""
        self.values[position] = None
        self.bad.add(position)
        self.problems.append(error(fault.code, address, _short(fault.found), fault.accepted, fault.hint))


#: Where the cell stands that has this position in a column.
Places = Callable[[int], Address]


def read_column(column: Column, unit: str, unit_at: Address, given: Sequence[Any], at: Places) -> ColumnRead:
    """Read a column.

    Args:
        column: Its declaration.
        unit: Text of its unit cell.
        unit_at: Address of the unit cell.
        given: Value of each cell; a :class:`Fault` stands for a cell already known to be bad, and a Fault without a
            code for one whose error has been reported.
        at: Address of the cell with a position; asked for cells of which something is to be said.
    """
    read = ColumnRead([None] * len(given), [None] * len(given))
    measured = column.kind in _MEASURED
    parse = _parser(column)
    seen: dict[str, Any] = {}
    for i, value in enumerate(given):
        if value == "" or value is None:
            _fill_blank(column, read, i, at)
        elif isinstance(value, Fault):
            read.bad.add(i)
            if value.code:
                read.refuse(i, at(i), value)
        elif isinstance(value, str) and len(value) > MAX_STRING:
            read.refuse(i, at(i), Fault("text-long", f"{len(value):,} characters", f"at most {MAX_STRING:,}"))
        elif cells.is_blank(value):
            _fill_blank(column, read, i, at)
        else:
            read.typed[i] = cells.shown(value)
            found = _plain_number(value) if measured else None
            found = _parsed(value, parse, seen) if found is None else found
            if isinstance(found, Fault):
                read.refuse(i, at(i), found)
            else:
                read.values[i] = found
    if measured:
        _convert(column, unit.strip(), unit_at, given, at, read)
    elif column.kind is Kind.COUNT:
        _hold_against_bounds(column, _positions(read, int | float), "", at, read)
    return read


def _parsed(value: Any, parse: Callable[[Any], Any], seen: dict[str, Any]) -> Any:
    """What a cell means; the same text comes again and again."""
    if not isinstance(value, str):
        return parse(value)
    if value not in seen:
        seen[value] = parse(value)
    return seen[value]


def _plain_number(value: Any) -> Amount | None:
    """The usual cell, without the long way round."""
    return Amount(value) if type(value) is float and isfinite(value) else None


def _positions(read: ColumnRead, kind: Any) -> list[int]:
    return [i for i, v in enumerate(read.values) if isinstance(v, kind) and i not in read.assumed]


def _parser(column: Column) -> Callable[[Any], Any]:
    text = cells.remark if column.key in _FREE_TEXT else cells.name
    return {
        Kind.TEXT: text,
        Kind.TAG: cells.name,
        Kind.REFERENCE: lambda value: cells.reference(value, column.words),
        Kind.NUMBER: cells.amount,
        Kind.TOLERANCE: cells.amount,
        Kind.COUNT: cells.count,
        Kind.CHOICE: lambda value: cells.choice(value, column.words),
        Kind.CHOICES: cells.choices,
        Kind.YES_NO: cells.yes_no,
        Kind.DATE: cells.day,
        Kind.NPS: cells.nps,
        Kind.SCHEDULE: cells.schedule,
        Kind.DIRECTION: direction,
        Kind.DENSITY: lambda value: cells.density(value, column.words),
        Kind.VALUES: cells.values,
    }[column.kind]


def _fill_blank(column: Column, read: ColumnRead, position: int, at: Places) -> None:
    if column.required:
        accepted = ", ".join(column.words) or column.meaning
        read.refuse(position, at(position), Fault("value-missing", f"{column.title} is missing", accepted))
    elif column.default is not None:
        read.values[position] = default_value(column)
        read.assumed.add(position)


def default_value(column: Column) -> Any:
    """What a blank cell of the column stands for; None where it stands for nothing."""
    if column.kind is Kind.YES_NO and column.default is not None:
        return column.default == "yes"
    if column.kind is Kind.TOLERANCE and column.default is not None:
        return Tolerance(float(column.default))
    return column.default


def _convert(column: Column, unit: str, unit_at: Address, given: Sequence[Any], at: Places, read: ColumnRead) -> None:
    by_unit: dict[str, list[int]] = {}
    for i in _positions(read, Amount):
        by_unit.setdefault(read.values[i].unit, []).append(i)
    own = by_unit.pop("", [])
    _note_texts(column, own, given, at, read)
    if _column_unit_holds(column, unit, unit_at, own, read):
        _convert_alike(column, unit, own, at, read)
    for own_unit, positions in by_unit.items():
        if _dimension_of(column, own_unit) is not None:
            _convert_alike(column, own_unit, positions, at, read)
            continue
        for i in positions:
            read.refuse(i, at(i), _unit_fault(column, own_unit))


def _column_unit_holds(column: Column, unit: str, unit_at: Address, positions: list[int], read: ColumnRead) -> bool:
    """Whether the unit cell is sound; otherwise one error there, and every cell that leans on it is bad."""
    if not unit and column.si and not positions:
        return False
    blank_where_needed = not unit and bool(column.si)
    if not blank_where_needed and _dimension_of(column, unit) is not None:
        return True
    fault = _missing_unit(column) if blank_where_needed else _unit_fault(column, unit)
    read.problems.append(error(fault.code, unit_at, fault.found, fault.accepted, fault.hint))
    for i in positions:
        read.bad.add(i)
        read.values[i] = None
    return False


def _dimension_of(column: Column, unit: str) -> Dimension | None:
    """The dimension a unit is read in, None where it does not fit; a tolerance may be a share or a length."""
    dimensions = [column.dimension or Dimension.FRACTION]
    if column.kind is Kind.TOLERANCE:
        dimensions.append(Dimension.LENGTH)
    return next((d for d in dimensions if unit_problem(unit, d) is None), None)


def result_unit_problem(column: Column, unit: str, unit_at: Address) -> Problem | None:
    """What is wrong with the unit that stands over a result column; None where results can be written in it."""
    if not unit or column.dimension is None or unit_problem(unit, column.dimension) is None:
        return None
    fault = _unit_fault(column, unit)
    return error(fault.code, unit_at, fault.found, fault.accepted, fault.hint or "or clear it for the usual unit")


def _missing_unit(column: Column) -> Fault:
    found = f"the unit of {column.title} is missing"
    return Fault("unit-missing", found, _accepted_units(column), "the unit stands under the title")


def _unit_fault(column: Column, unit: str) -> Fault:
    problem = unit_problem(unit, column.dimension or Dimension.FRACTION)
    if problem is None:
        raise ValueError(f"{unit!r} fits {column.title}")
    return Fault(problem.code, problem.reason, _accepted_units(column), problem.hint)


def _accepted_units(column: Column) -> str:
    lengths = accepted_units(Dimension.LENGTH) if column.kind is Kind.TOLERANCE else ()
    return ", ".join((*accepted_units(column.dimension or Dimension.FRACTION), *lengths))


def _convert_alike(column: Column, unit: str, positions: list[int], at: Places, read: ColumnRead) -> None:
    """Convert cells of one unit at once and hold them against the bounds."""
    dimension = _dimension_of(column, unit)
    if not positions or dimension is None:
        return
    base = convert_in([read.values[i].number for i in positions], unit, dimension)
    for i, value in zip(positions, base.tolist(), strict=True):
        if not read.values[i].unit and unit:
            read.typed[i] = f"{read.typed[i]} {unit}"
        read.values[i] = value
    _hold_against_bounds(column, positions, unit, at, read)
    if column.kind is Kind.TOLERANCE:
        for i in positions:
            if i not in read.bad:
                read.values[i] = Tolerance(read.values[i], dimension is Dimension.LENGTH)


def _hold_against_bounds(column: Column, positions: list[int], unit: str, at: Places, read: ColumnRead) -> None:
    if column.kind is Kind.TOLERANCE and _dimension_of(column, unit) is Dimension.LENGTH:
        for i in positions:
            if not 0 <= read.values[i] <= LARGEST:
                read.refuse(i, at(i), Fault("value-impossible", f"{column.title} is negative", "0 or more"))
        return
    low, high = _base(column, column.low), _base(column, column.high)
    usual_low, usual_high = _base(column, column.usual_low), _base(column, column.usual_high)
    for i in positions:
        value = read.values[i]
        sized = value == 0 or SMALLEST <= abs(value) <= LARGEST
        if not sized or _outside(value, low, high, column.above_low):
            found = f"{column.title} {read.typed[i]} is not possible"
            accepted = _span(column, column.low, column.high, unit) if sized else _SIZES
            read.refuse(i, at(i), Fault("value-impossible", found, accepted))
        elif _outside(value, usual_low, usual_high):
            found = f"{column.title} {read.typed[i]} is unusual"
            usual = f"usual: {_span(column, column.usual_low, column.usual_high, unit)}"
            read.problems.append(warning("value-unusual", at(i), found, hint=f"{usual}; check the unit"))


def _outside(value: float, low: float | None, high: float | None, above_low: bool = False) -> bool:
    if low is not None and (value < low - _NEARLY * abs(low) or (above_low and value <= low)):
        return True
    return high is not None and value > high + _NEARLY * abs(high)


def _base(column: Column, bound: float | None) -> float | None:
    if bound is None or column.dimension is None:
        return bound
    return float(convert_in(bound, column.si, column.dimension))


def _span(column: Column, low: float | None, high: float | None, unit: str) -> str:
    """Bounds in the user's unit, in words."""
    ends = [_in_unit(column, b, unit) for b in (low, high)]
    name = f" {unit}" if unit else ""
    if ends[1] is None:
        return f"{'more than' if column.above_low else 'at least'} {ends[0]}{name}"
    if ends[0] is None:
        return f"at most {ends[1]}{name}"
    return f"{'above ' if column.above_low else ''}{ends[0]} to {ends[1]}{name}"


def _in_unit(column: Column, bound: float | None, unit: str) -> str | None:
    base = _base(column, bound)
    if base is None or column.dimension is None:
        return None if base is None else f"{base:g}"
    return f"{float(f'{float(convert_out(base, unit, column.dimension)):.4g}'):.12g}"


def _note_texts(column: Column, positions: list[int], given: Sequence[Any], at: Places, read: ColumnRead) -> None:
    texts = [i for i in positions if isinstance(given[i], str)]
    if texts:
        found = f"{column.title}: numbers stored as text ({len(texts)})"
        why = "they have no second meaning"
        read.problems.append(note("number-as-text", at(texts[0]), found, "as numbers", why))


def _short(text: str) -> str:
    return text if len(text) <= 200 else f"{text[:200]}..."
