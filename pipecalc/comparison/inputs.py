"""Inputs of two revisions: rows matched by name, values compared in base units."""

from collections.abc import Iterator, Mapping, Sequence
from math import isclose
from typing import Any

from pipecalc.comparison.records import CellChange, Document, InputChanges, Nature, RowChange, RowFate, UnitChange
from pipecalc.comparison.rows import match_rows, row_name
from pipecalc.comparison.shown import BLANK, MEASURED, cell_text, size_of_unit
from pipecalc.schema.column import Column, Sheet
from pipecalc.schema.project_sheets import PROJECT
from pipecalc.schema.sheets import SHEETS
from pipecalc.workbook.cells import Tolerance, shown
from pipecalc.workbook.rows import Book, Row

SAME = 1e-9  # share by which a value may differ in the last digits of a conversion
ROUNDED = 1e-6  # share by which a value typed in another unit may differ for having been rounded there

NOT_IN_RESULTS = (
    "A results.json holds no rows of the workbook: of the inputs, the Project sheet, the load cases, the material "
    "values used and the defaults taken were compared. Lines, segments, equipment, zones, nozzles, allowables, "
    "supports, states and point loads were NOT compared."
)


def compare_books(old: Book, new: Book) -> InputChanges:
    """What differs between two workbooks; values are shown in the units of the new one."""
    rows: list[RowChange] = []
    cells = list(_cells(PROJECT, old.project, new.project, old, new))
    for sheet in SHEETS:
        if not sheet.upright:
            matched = match_rows(sheet, old.rows[sheet.title], new.rows[sheet.title])
            rows += [_one_sided(sheet, row, new, RowFate.REMOVED) for row in matched.removed]
            rows += [_one_sided(sheet, row, new, RowFate.ADDED) for row in matched.added]
            rows += [_moved(sheet, *pair, new) for pair in matched.moved]
            for before, after in matched.pairs:
                cells += _cells(sheet, before, after, old, new)
    return InputChanges(tuple(rows), tuple(cells), tuple(_units(old, new)))


def compare_documents(old: Document, new: Document) -> InputChanges:
    """What differs in the inputs that two results.json hold; numbers are in SI."""
    cells = [
        *_facts("Project", "", old["project"], new["project"]),
        *_facts("Load cases", "", _cases(old), _cases(new)),
        *_facts("Material values used", "", _properties(old), _properties(new)),
        *_facts("Defaults and assumptions", "", _assumptions(old), _assumptions(new)),
    ]
    return InputChanges(cells=tuple(cells), not_compared=(NOT_IN_RESULTS,))


def _cells(sheet: Sheet, before: Row, after: Row, old: Book, new: Book) -> Iterator[CellChange]:
    name = row_name(sheet, after, new)
    for column in sheet.inputs:
        if column.key in sheet.identity:
            continue
        nature = _difference(column, before, after, old.units_row, new.units_row)
        if nature is None:
            continue
        if nature is Nature.UNIT:
            was, is_now = (row.typed.get(column.key, BLANK) for row in (before, after))
        else:
            was, is_now = (cell_text(sheet, column.key, row, new) for row in (before, after))
        places = _at(before, column.key), _at(after, column.key)
        yield CellChange(sheet.title, name, column.title, nature, was, is_now, *places)


Units = Mapping[str, Mapping[str, str]]


def _difference(column: Column, before: Row, after: Row, old: Units, new: Units) -> Nature | None:
    key = column.key
    if key in before.bad or key in after.bad:
        return None if before.typed.get(key) == after.typed.get(key) else Nature.VALUE
    units = [u.get(before.sheet, {}).get(key, "").strip() for u in (old, new)]
    leaning = _lean_on(before, key, units[0]) and _lean_on(after, key, units[1])
    if not _same(before[key], after[key], column):
        converted = column.kind in MEASURED and (units[0] != units[1] or not leaning)
        return Nature.ROUNDING if converted and _same(before[key], after[key], column, ROUNDED) else Nature.VALUE
    if (key in before.assumed) != (key in after.assumed):
        return Nature.DEFAULT
    retyped = before.typed.get(key) != after.typed.get(key)
    if column.kind in MEASURED and units[0] == units[1] and retyped and not leaning:
        return Nature.UNIT
    return None


def _lean_on(row: Row, key: str, unit: str) -> bool:
    """Whether a cell leans on the unit of its column, or names that very unit."""
    number = row.typed.get(key, "").removesuffix(unit).strip()
    return not any(c.isalpha() or c in "%°'\"" for c in number.lower().replace("e", ""))


def _same(one: Any, other: Any, column: Column, share: float = SAME) -> bool:
    if isinstance(one, Tolerance) and isinstance(other, Tolerance):
        return one.is_length == other.is_length and isclose(one.value, other.value, rel_tol=share)
    if isinstance(one, float) and isinstance(other, float):
        return isclose(one, other, rel_tol=share, abs_tol=SAME * size_of_unit(column))
    if isinstance(one, tuple) and isinstance(other, tuple) and {type(v) for v in (*one, *other)} == {float}:
        return len(one) == len(other) and all(
            isclose(a, b, rel_tol=SAME, abs_tol=SAME) for a, b in zip(one, other, strict=True)
        )
    return bool(one == other)


def _one_sided(sheet: Sheet, row: Row, shown_in: Book, fate: RowFate) -> RowChange:
    filled = [c for c in sheet.inputs if c.key in row.typed and c.key not in sheet.identity]
    cells = tuple((c.title, cell_text(sheet, c.key, row, shown_in)) for c in filled)
    numbers = (row.number, 0) if fate is RowFate.REMOVED else (0, row.number)
    return RowChange(sheet.title, row_name(sheet, row, shown_in), fate, *numbers, cells)


def _moved(sheet: Sheet, before: Row, after: Row, new: Book) -> RowChange:
    return RowChange(sheet.title, row_name(sheet, after, new), RowFate.MOVED, before.number, after.number)


def _units(old: Book, new: Book) -> Iterator[UnitChange]:
    """Columns under another unit; those that hold no value in either workbook say nothing."""
    for sheet in SHEETS:
        units = [book.units_row.get(sheet.title, {}) for book in (old, new)]
        filled = {key for book in (old, new) for row in _rows(sheet, book) for key in row.typed}
        for column in sheet.inputs:
            if column.dimension is not None and column.key in filled and all(column.key in u for u in units):
                texts = [u[column.key].strip() for u in units]
                if texts[0] != texts[1]:
                    yield UnitChange(sheet.title, column.title, *texts)


def _rows(sheet: Sheet, book: Book) -> Sequence[Row]:
    return (book.project,) if sheet.upright else book.rows[sheet.title]


def _at(row: Row, key: str) -> str:
    address = row.address(key)
    return str(address) if address.column else ""


def _facts(sheet: str, row: str, old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[CellChange]:
    for key in dict.fromkeys((*old, *new)):
        before, after = old.get(key), new.get(key)
        if not _same_fact(before, after):
            yield CellChange(sheet, row, _title(sheet, key), Nature.VALUE, _word(before), _word(after), "", "")


def _same_fact(one: Any, other: Any) -> bool:
    if isinstance(one, float | int) and isinstance(other, float | int) and not isinstance(one, bool):
        return isclose(one, other, rel_tol=SAME, abs_tol=SAME)
    return bool(one == other)


def _word(value: Any) -> str:
    if value is None or value == "":
        return BLANK
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float | int):
        return f"{value:.9g}"
    return "; ".join(map(shown, value)) if isinstance(value, Sequence) and not isinstance(value, str) else shown(value)


_PROJECT_TITLES = {column.key: column.title for column in PROJECT.inputs} | {"issued": "Date"}


def _title(sheet: str, key: str) -> str:
    return _PROJECT_TITLES.get(key, key.replace("_", " ")) if sheet == "Project" else key


def _cases(document: Document) -> dict[str, str]:
    return {case["case"]: case["title"] for case in document["cases"]}


def _properties(document: Document) -> dict[str, str]:
    return {
        f"{p['material']}, {p['property']} at {p['temperature']:.6g} °C": f"{p['value']:.6g} {p['unit']}, {p['source']}"
        for p in document["properties"]
    }


def _assumptions(document: Document) -> dict[str, str]:
    found: dict[str, list[str]] = {}
    for a in document["assumptions"]:
        found.setdefault(a["what"], []).append(a["value"])
    return {
        what: f"{'; '.join(sorted(v for v in values if v)) or 'taken'} ({len(values)}×)"
        for what, values in found.items()
    }
