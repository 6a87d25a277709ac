"""Texts of an example's tables -> the cells a person would have typed, in the wanted unit system."""

import re
from collections.abc import Mapping
from datetime import date

from pipecalc.examples import ExampleSheet, system
from pipecalc.schema.column import Column, Kind, Sheet
from pipecalc.schema.sheets import sheet
from pipecalc.workbook.looks import number_format

_NUMBER = re.compile(r"[+-]?\d+(\.\d+)?([eE][+-]?\d+)?")
_DATE = re.compile(r"\d{4}-\d{2}-\d{2}")
_MEASURED = (Kind.NUMBER, Kind.DENSITY, Kind.TOLERANCE)
_FIGURES = 8  # significant figures of a converted value: coordinates of a line must still close


def typed(text: str, column: Column) -> str | int | float | date:
    """A cell's value from its text: numbers and dates as such, except in columns that hold text."""
    if _DATE.fullmatch(text):
        return date.fromisoformat(text)
    if number_format(column) == "@" or column.kind is Kind.TEXT or not _NUMBER.fullmatch(text):
        return text
    value = float(text)
    return int(value) if value.is_integer() else value


def in_system(sheets: Mapping[str, ExampleSheet], units: str) -> Mapping[str, ExampleSheet]:
    """The example with its plain numbers converted to a unit system; texts with a unit of their own stay."""
    own = system(sheets)
    if own == units:
        return sheets
    return {title: _sheet_in(sheet(title), table, own, units) for title, table in sheets.items()}


def _sheet_in(declared: Sheet, table: ExampleSheet, own: str, units: str) -> ExampleSheet:
    if declared.upright:
        return ExampleSheet(table.titles, {}, tuple(_item_in(declared, row, own, units) for row in table.rows))
    by_title = {column.title: column for column in declared.columns}
    columns = [by_title[title] for title in table.titles]
    rows = tuple(
        tuple(
            _converted(cell, column, table.units.get(column.title, column.unit(own)), units)
            for cell, column in zip(row, columns, strict=True)
        )
        for row in table.rows
    )
    return ExampleSheet(table.titles, {}, rows)


def _item_in(declared: Sheet, row: tuple[str, ...], own: str, units: str) -> tuple[str, ...]:
    item, value, *_ = row
    column = next(c for c in declared.columns if c.title == item)
    unit = row[2] if len(row) > 2 and row[2] else column.unit(own)
    if column.key == "units":
        value = units
    return (item, _converted(value, column, unit, units), *("" for _ in row[2:]))


def _converted(text: str, column: Column, unit: str, units: str) -> str:
    if column.dimension is None or column.kind not in _MEASURED or not _NUMBER.fullmatch(text):
        return text
    if unit == column.unit(units):
        return text
    from pipecalc.units import convert_in, convert_out

    base = convert_in(float(text), unit, column.dimension)
    return f"{float(convert_out(base, column.unit(units), column.dimension)):.{_FIGURES}g}"
