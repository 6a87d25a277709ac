"""A cell's value in words, in the unit of one of the workbooks."""

from typing import Any

from pipecalc.schema.column import Column, Kind, Sheet
from pipecalc.units import Dimension, convert_out, unit_problem
from pipecalc.workbook.cells import Tolerance, shown
from pipecalc.workbook.rows import Book, Row

BLANK = "blank"
DEFAULT = " (default)"
MEASURED = (Kind.NUMBER, Kind.DENSITY, Kind.TOLERANCE)


def cell_text(sheet: Sheet, key: str, row: Row, book: Book) -> str:
    """What a row says in a column, in the unit that the workbook given names for it; a default is marked as one."""
    column, value, typed = sheet.column(key), row[key], row.typed.get(key)
    if key in row.bad:
        return BLANK if typed is None else typed
    if value is None:
        return BLANK
    text = _text(column, value, typed, unit_of(sheet, key, book))
    return text + DEFAULT if key in row.assumed else text


def unit_of(sheet: Sheet, key: str, book: Book) -> str:
    """Unit of a column in a workbook; that of its display units where the units row names none that fits."""
    column, named = sheet.column(key), book.units_row.get(sheet.title, {}).get(key, "").strip()
    if named and column.dimension is not None and unit_problem(named, column.dimension) is None:
        return named
    return column.unit(str(book.project["units"] or "SI"))


def size_of_unit(column: Column) -> float:
    """One of the column's SI unit in base units; 1 for a plain number."""
    if column.dimension is None or not column.si:
        return 1.0
    zero, one = (float(v) for v in convert_out([0.0, 1.0], column.si, column.dimension))
    return 1.0 / abs(one - zero)


def _text(column: Column, value: Any, typed: str | None, unit: str) -> str:
    if column.kind in MEASURED and isinstance(value, Tolerance):
        return _tolerance(value, unit)
    if column.kind in MEASURED and isinstance(value, float | int):
        return _in_unit(float(value), unit, column.dimension or Dimension.FRACTION)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple) and column.kind is Kind.CHOICES:
        return "; ".join(value)
    return shown(value) if typed is None else typed


def _tolerance(value: Tolerance, unit: str) -> str:
    if value.is_length == (unit_problem(unit, Dimension.LENGTH) is None):
        return _in_unit(value.value, unit, Dimension.LENGTH if value.is_length else Dimension.FRACTION)
    return _in_unit(value.value, *(("mm", Dimension.LENGTH) if value.is_length else ("%", Dimension.FRACTION)))


def _in_unit(value: float, unit: str, dimension: Dimension) -> str:
    return f"{float(convert_out(value, unit, dimension)):.9g} {unit}".rstrip()
