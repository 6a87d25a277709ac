"""Workbook -> rows of typed values in base units, each with its address, and all problems found on the way.

Stages: file, sheets, titles, units, cells. What is wrong becomes a problem and the rest is read on; only a file that
cannot be opened at all raises. Every unit cell converts its whole column at once.

A blank From on Segments continues from the To of the row above, if that row belongs to the same line; it is filled in
here, so that rules and building see complete rows.
"""

import hashlib
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from io import BytesIO
from itertools import repeat
from pathlib import Path
from typing import Any

from pipecalc.problems import Address, FileUnusable, Problem, Problems, error, note, warning
from pipecalc.schema.column import Column, Sheet
from pipecalc.schema.sheets import SHEETS, TITLES
from pipecalc.workbook.cells import Fault, is_blank, shown
from pipecalc.workbook.columns import ColumnRead, default_value, read_column, result_unit_problem
from pipecalc.workbook.limits import MAX_CELLS, MAX_ROWS, MAX_ROWS_ELSEWHERE
from pipecalc.workbook.package_scan import Cell, PackageScan, SheetScan, scan
from pipecalc.workbook.package_zip import load_bytes
from pipecalc.workbook.rows import Book, Row
from pipecalc.workbook.titles import folded, match_sheets, match_titles, missing_columns

FIRST_DATA_ROW = 3
_UNITS_ROW = 2
_REPORTED = Fault("", "")  # a cell whose error stands elsewhere
_UPRIGHT_TITLES = {"item": 1, "value": 2, "unit": 3}

Grid = Sequence[Sequence[Any]]


@dataclass(frozen=True, slots=True)
class SheetRead:
    """One sheet as read; ``places`` and ``units`` by column key, ``width`` in columns."""

    rows: tuple[Row, ...]
    places: Mapping[str, int]
    units: Mapping[str, str]
    width: int = 0


def read(source: Path | bytes, name: str = "") -> Book:
    """Read a workbook.

    Args:
        source: The file, or its bytes.
        name: File name, where the bytes are given.

    Returns:
        Rows, titles and all problems; a book with errors is returned too.

    Raises:
        FileUnusable: The file cannot be opened; ``code`` and message say why.
    """
    data = source if isinstance(source, bytes) else load_bytes(source)
    called = name if isinstance(source, bytes) else source.name
    file = called or "the workbook"
    wanted = {folded(t) for t in TITLES}
    package = scan(data, file, lambda title: folded(title) in wanted)
    found, missing = match_sheets(package.sheet_names)
    _refuse_many_rows(file, package, found)
    problems = Problems(missing)
    grids = _values(data, file, found)
    sheets = {
        sheet.title: _read_sheet(sheet, grids[sheet.title], package.sheets[found[sheet.title]], problems)
        for sheet in SHEETS
        if sheet.title in found
    }
    if "Segments" in sheets:
        lines = {row["line"] for row in sheets["Lines"].rows} if "Lines" in sheets else set()
        rows = _continued(sheets["Segments"].rows, lines, problems)
        sheets["Segments"] = replace(sheets["Segments"], rows=rows)
    if package.recalculates and any(s.has_formulas for s in package.sheets.values()):
        problems.add(_stale())
    project = sheets["Project"].rows[0] if "Project" in sheets else _absent_project()
    return Book(
        name=Path(called).stem,
        sha256=hashlib.sha256(data).hexdigest(),
        sheet_names=package.sheet_names,
        project=project,
        rows={s.title: sheets[s.title].rows if s.title in sheets else () for s in SHEETS if not s.upright},
        problems=tuple(problems.sorted(TITLES)),
        titles={title: sheet.places for title, sheet in sheets.items()},
        units_row={title: sheet.units for title, sheet in sheets.items()},
        file_titles=found,
        last_column={title: sheet.width for title, sheet in sheets.items()},
    )


def _refuse_many_rows(file: str, package: PackageScan, found: Mapping[str, str]) -> None:
    """All sheets with more rows than are accepted, before their values are read."""
    many = [
        f"{sheet.title}: {rows:,} rows; accepted: at most {most:,}"
        for sheet in SHEETS
        if sheet.title in found
        and (rows := package.sheets[found[sheet.title]].filled_rows - (FIRST_DATA_ROW - 1))
        > (most := MAX_ROWS.get(sheet.title, MAX_ROWS_ELSEWHERE))
    ]
    if many:
        raise FileUnusable("too-large", f"{file} is too large: {'; '.join(many)}; split the plant into workbooks")


def _values(data: bytes, file: str, found: Mapping[str, str]) -> dict[str, Grid]:
    """Cell values from A1 on, by sheet title of the schema."""
    from python_calamine import CalamineError, CalamineWorkbook

    try:
        workbook = CalamineWorkbook.from_filelike(BytesIO(data))
        return {
            title: workbook.get_sheet_by_name(name).to_python(skip_empty_area=False) for title, name in found.items()
        }
    except (CalamineError, OSError, ValueError) as failure:
        raise FileUnusable("damaged", f"{file} is damaged and cannot be read: {failure}") from failure


def _stale() -> Problem:
    found = "the file asks to be calculated anew when opened, so stored values of its formulas may be out of date"
    return warning("formulas-stale", Address(), found, hint="open and save it in a spreadsheet program")


def _read_sheet(sheet: Sheet, grid: Grid, scanned: SheetScan, problems: Problems) -> SheetRead:
    return (_read_upright if sheet.upright else _read_flat)(sheet, grid, scanned, problems)


def _read_flat(sheet: Sheet, grid: Grid, scanned: SheetScan, problems: Problems) -> SheetRead:
    """A sheet with one row per thing."""
    titles = grid[0] if grid else []
    matched = match_titles(sheet, ((Address(sheet.title, 1, c), c, t) for c, t in enumerate(titles, start=1)))
    problems.extend(matched.problems)
    inputs = {c: matched.places[c.key] for c in sheet.inputs if c.key in matched.places}
    units = {key: _unit_text(_cell(grid, _UNITS_ROW, place)) for key, place in matched.places.items()}
    units |= {c.key: _unit_of(c, units[c.key]) for c in sheet.results if c.key in units}
    for column in (c for c in sheet.results if c.key in units):
        found = result_unit_problem(
            column, units[column.key], Address(sheet.title, _UNITS_ROW, matched.places[column.key])
        )
        problems.extend([found] if found is not None else [])
    width = max((len(row) for row in grid), default=0)
    places, last = tuple(inputs.values()), _last_row(grid, scanned)
    flaws = _flaws(sheet, scanned, places, last, problems)
    numbers = [n for n in range(FIRST_DATA_ROW, last + 1) if _filled(grid, flaws, n, places)]
    if not _table_is_sound(sheet, grid, matched.places, numbers, problems):
        return SheetRead((), matched.places, units, width)
    _note_hidden(sheet, scanned, numbers, problems)
    columns = {}
    for column, place in inputs.items():
        given = [_cell(grid, n, place) for n in numbers]
        for i, n in enumerate(numbers if flaws else ()):
            given[i] = flaws.get((n, place)) or given[i]
        unit, unit_at = _unit_of(column, units[column.key]), Address(sheet.title, _UNITS_ROW, place)
        columns[column.key] = read_column(
            column,
            unit,
            unit_at,
            given,
            lambda i, place=place: Address(sheet.title, numbers[i], place),  # type: ignore[misc]
        )
        problems.extend(columns[column.key].problems)
    return SheetRead(tuple(_rows(sheet, numbers, columns, matched.places)), matched.places, units, width)


def _rows(
    sheet: Sheet, numbers: Sequence[int], columns: Mapping[str, ColumnRead], places: Mapping[str, int]
) -> Iterator[Row]:
    """Columns as rows; what no column gives is as if its cells were blank."""
    absent = [c for c in sheet.inputs if c.key not in columns]
    defaults = {c.key: default_value(c) for c in absent}
    assumed = {c.key for c in absent if c.default is not None}
    bad = {c.key for c in absent if c.required}
    keys = tuple(columns)
    all_values = zip(*(c.values for c in columns.values()), strict=True) if columns else repeat((), len(numbers))
    with_assumed = [(key, c.assumed) for key, c in columns.items() if c.assumed]
    with_bad = [(key, c.bad) for key, c in columns.items() if c.bad]
    with_typed = [(key, c.typed) for key, c in columns.items() if any(text is not None for text in c.typed)]
    for i, (number, values) in enumerate(zip(numbers, all_values, strict=True)):
        yield Row(
            sheet.title,
            number,
            dict(zip(keys, values, strict=True)) | defaults,
            frozenset(assumed.union(key for key, positions in with_assumed if i in positions)),
            frozenset(bad.union(key for key, positions in with_bad if i in positions)),
            {key: text for key, typed in with_typed if (text := typed[i]) is not None},
            places,
        )


def _table_is_sound(
    sheet: Sheet, grid: Grid, places: Mapping[str, int], numbers: Sequence[int], problems: Problems
) -> bool:
    """Whether rows can be read at all; says why not."""
    inputs = [c for c in sheet.inputs if c.key in places]
    if not inputs and any(not is_blank(cell) for row in grid for cell in row):
        found = "row 1 holds none of this sheet's titles"
        problems.add(error("titles-missing", Address(sheet.title, 1), found, ", ".join(_titles(sheet))))
        return False
    data = [c for c in inputs if c.dimension is None and _is_data(_cell(grid, _UNITS_ROW, places[c.key]))]
    if data:
        address = Address(sheet.title, _UNITS_ROW, places[data[0].key])
        found = f'"{shown(_cell(grid, _UNITS_ROW, address.column))}" stands in the row of units'
        hint = "insert a row of units under the titles"
        problems.add(error("units-row", address, found, "units in row 2, data from row 3", hint))
        return False
    if not numbers:
        if sheet.required:
            problems.add(error("sheet-empty", Address(sheet.title), "no row is filled in", "at least one row"))
        return True
    for column in missing_columns(sheet, places):
        found = f'the column "{column.title}" is missing'
        problems.add(error("column-missing", Address(sheet.title, 1), found, column.meaning))
    return True


def _titles(sheet: Sheet) -> list[str]:
    return [c.title for c in sheet.inputs]


def _is_data(value: Any) -> bool:
    return not is_blank(value) and shown(value) not in ("-", "–", "—")


def _unit_text(value: Any) -> str:
    return "" if is_blank(value) else shown(value)


def _unit_of(column: Column, text: str) -> str:
    """A dash in a unit cell means no unit."""
    return "" if column.dimension is None or text in ("-", "–", "—") else text


def _cell(grid: Grid, row: int, column: int) -> Any:
    if row > len(grid) or column > len(grid[row - 1]):
        return None
    return grid[row - 1][column - 1]


def _flaws(
    sheet: Sheet, scanned: SheetScan, columns: Sequence[int], last: int, problems: Problems
) -> dict[Cell, Fault]:
    """Cells that the values alone would show as blank, with what is wrong; merged cells are reported once a range."""
    flaws: dict[Cell, Fault] = {}
    area = 0
    for row, column, last_row, last_column in scanned.merged:
        covered = [c for c in columns if column <= c <= last_column]
        if covered and row <= last:
            address = Address(sheet.title, row, column)
            hint = "a merged cell holds one value for several rows or columns; split it"
            problems.add(error("cells-merged", address, "merged cells in the table", "single cells", hint))
            rows = range(row, min(last_row, last) + 1)
            area += len(rows) * len(covered)
            if area > MAX_CELLS:
                raise FileUnusable("damaged", f"sheet {sheet.title} is damaged: its merged cells overlap")
            flaws.update(((r, c), _REPORTED) for r in rows for c in covered)
    for cell, word in scanned.errors.items():
        flaws[cell] = Fault("cell-error", f"the cell shows {word}", "a value", "correct the formula")
    for cell in scanned.without_value:
        hint = "open and save the file in a spreadsheet program, which calculates it"
        flaws[cell] = Fault("formula-no-value", "a formula without a calculated value", "a value", hint)
    return flaws


def _last_row(grid: Grid, scanned: SheetScan) -> int:
    return max([len(grid), *(r for r, _ in scanned.without_value), *(r for r, _ in scanned.errors)])


def _filled(grid: Grid, flaws: Mapping[Cell, Fault], row: int, columns: Sequence[int]) -> bool:
    if flaws and any(flaws.get((row, c), _REPORTED) is not _REPORTED for c in columns):
        return True
    return any(value != "" and not is_blank(value) for value in (_cell(grid, row, c) for c in columns))


def _note_hidden(sheet: Sheet, scanned: SheetScan, numbers: Sequence[int], problems: Problems) -> None:
    hidden = [n for n in numbers if n in scanned.hidden_rows]
    if hidden:
        some = ", ".join(str(n) for n in hidden[:10]) + (" ..." if len(hidden) > 10 else "")
        why = "hiding does not say that they are not meant"
        problems.add(
            note("rows-hidden", Address(sheet.title, hidden[0]), f"hidden rows: {some}", "read like others", why)
        )


def _continued(rows: Sequence[Row], lines: Collection[str], problems: Problems) -> tuple[Row, ...]:
    """Segments with a blank From filled in from the row above.

    A change to another known line is an error; a line that is not known is reported where names are looked up.
    """
    done: list[Row] = []
    for row in rows:
        above = done[-1] if done else None
        if row["from_"] is not None or row.bad & {"from_", "line"}:
            done.append(row)
        elif above is None or (above["line"] != row["line"] and {above["line"], row["line"]} <= set(lines)):
            problems.add(_no_start(row))
            done.append(replace(row, bad=row.bad | {"from_"}))
        elif above["to"] is None:
            done.append(replace(row, bad=row.bad | {"from_"}))
        else:
            done.append(replace(row, values={**row.values, "from_": above["to"]}))
    return tuple(done)


def _no_start(row: Row) -> Problem:
    found = f"From is missing, and the row above is not of line {row['line']}"
    return error("segment-start", row.address("from_"), found, "the point where the run starts")


def _read_upright(sheet: Sheet, grid: Grid, scanned: SheetScan, problems: Problems) -> SheetRead:
    """A sheet with one item per row: Item, Value, Unit."""
    item, value, unit = _upright_columns(grid)
    titles = ((Address(sheet.title, n, item), n, _cell(grid, n, item)) for n in range(2, len(grid) + 1))
    matched = match_titles(sheet, titles)
    problems.extend(matched.problems)
    flaws = _flaws(sheet, scanned, (item, value, unit), _last_row(grid, scanned), problems)
    columns: dict[str, ColumnRead] = {}
    units: dict[str, str] = {}
    for column in sheet.inputs:
        number = matched.places.get(column.key)
        given = flaws.get((number, value)) or _cell(grid, number, value) if number else None
        at = Address(sheet.title, number, value) if number else Address(sheet.title)
        units[column.key] = _unit_text(_cell(grid, number, unit)) if number else ""
        unit_at = Address(sheet.title, number or 0, unit if number else 0)
        unit_text = _unit_of(column, units[column.key])
        columns[column.key] = read_column(column, unit_text, unit_at, [given], lambda _, at=at: at)  # type: ignore[misc]
        problems.extend(columns[column.key].problems)
    _note_hidden(sheet, scanned, sorted(matched.places.values()), problems)
    (row,) = _rows(sheet, [0], columns, dict.fromkeys(matched.places, value))
    return SheetRead((replace(row, lines=matched.places),), row.columns, units)


def _upright_columns(grid: Grid) -> tuple[int, int, int]:
    """Columns of Item, Value and Unit; the usual ones where row 1 names none."""
    found = {folded(t): c for c, t in enumerate(grid[0], start=1)} if grid else {}
    item, value, unit = (found.get(title, place) for title, place in _UPRIGHT_TITLES.items())
    return item, value, unit


def _absent_project() -> Row:
    """Defaults alone; the missing sheet itself has been reported."""
    (sheet,) = (s for s in SHEETS if s.upright)
    columns = {c.key: c for c in sheet.inputs}
    values = {key: default_value(c) for key, c in columns.items()}
    assumed = frozenset(key for key, value in values.items() if value is not None)
    required = frozenset(key for key, c in columns.items() if c.required)
    return Row(sheet.title, 0, values, assumed, required, {}, {}, {})
