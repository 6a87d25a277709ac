"""The Studies sheet: what each study varies and watches, and what keeps it from running."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from math import nan

from pipecalc.problems import Address, InputError, Problem, Severity, error
from pipecalc.schema.column import Column, Sheet
from pipecalc.schema.sheets import RESULT_SHEETS, SHEETS, TITLES
from pipecalc.workbook.build import build
from pipecalc.workbook.cells import Amount, amount, suggestion
from pipecalc.workbook.columns import read_column
from pipecalc.workbook.limits import MAX_RUNS
from pipecalc.workbook.rows import Book, Row
from pipecalc.workbook.rules import check_book
from pipecalc.workbook.titles import folded

#: More runs than this are made only with the user's consent.
MOST_RUNS = 10_000
ALL = ""
_NOT_VARIED = ("Revisions", "Studies")
_RESULT_TITLE = "result:"


@dataclass(frozen=True, slots=True)
class Variable:
    """A cell that is varied.

    Attributes:
        sheet: Sheet title.
        row: As typed: the tag of the row, or the item of the Project sheet.
        column: Column title.
        key: Column key.
        at: The cell itself.
        unit: Unit in which plain numbers are read; empty for words.
        typed: Values as they would be typed.
        numbers: Their numbers for an axis; NaN for words.
    """

    sheet: str
    row: str
    column: str
    key: str
    at: Address
    unit: str
    typed: tuple[str, ...]
    numbers: tuple[float, ...]

    @property
    def label(self) -> str:
        """What is varied, for an axis."""
        what = self.column if self.row == self.column else f"{self.row}, {self.column}"
        return f"{what} [{self.unit}]" if self.unit else what


@dataclass(frozen=True, slots=True)
class Study:
    """One study as the sheet describes it; ``watch`` is empty for the worst of all."""

    name: str
    variables: tuple[Variable, ...]
    watch: str
    source: Address

    @property
    def runs(self) -> int:
        """Number of combinations."""
        count = 1
        for variable in self.variables:
            count *= len(variable.typed)
        return count


def study_problems(book: Book, *, consent: bool = False, names: Iterable[str] | None = None) -> list[Problem]:
    """All errors that keep studies from running, of the workbook and of the Studies sheet, sorted."""
    own = [*_cell_problems(book), *_watch_problems(book)]
    places = {str(p.address) for p in own}
    # One message for one cell: the particular one.
    found = [
        p for p in (*book.problems, *check_book(book)) if p.code != "study-unknown" or str(p.address) not in places
    ]
    built = build(book, found)
    found += [*built.problems, *own]
    errors = list(dict.fromkeys(p for p in found if p.severity is Severity.ERROR))
    if not errors:
        wanted = None if names is None else set(names)
        errors = [*_unknown_names(book, wanted), *_size_problems(book, wanted, consent=consent)]
    rank = {title: n for n, title in enumerate(TITLES)}
    return sorted(errors, key=lambda p: (rank.get(p.address.sheet, -1), p.address.row, p.address.column))


def _unknown_names(book: Book, wanted: set[str] | None) -> Iterator[Problem]:
    there = tuple(dict.fromkeys(str(row["study"]) for row in book.rows["Studies"]))
    for name in sorted((wanted or set()) - set(there)):
        accepted = ", ".join(there) or "a row on sheet Studies"
        yield error(
            "study-missing", Address("Studies"), f"there is no study {name!r}", accepted, suggestion(name, there)
        )


def _size_problems(book: Book, wanted: set[str] | None, *, consent: bool) -> Iterator[Problem]:
    for study in studies_of(book):
        if wanted is not None and study.name not in wanted:
            continue
        if study.runs > MAX_RUNS:
            found = f"study {study.name} takes {study.runs:,} runs"
            yield error("study-size", study.source, found, f"at most {MAX_RUNS:,}", "give fewer values")
        elif study.runs > MOST_RUNS and not consent:
            found = f"study {study.name} takes {study.runs} runs"
            yield error("study-size", study.source, found, f"at most {MOST_RUNS}", "give --yes to run it all the same")


def _cell_problems(book: Book) -> Iterator[Problem]:
    """Cells that cannot be varied: results, sheets that are no input of a run, rows named twice."""
    for row in _study_rows(book):
        sheet = _sheet_of(row)
        if sheet is None:
            yield from _no_input_sheet(row)
            continue
        title = str(row["row" if sheet.upright else "column"])
        if folded(title).removeprefix(_RESULT_TITLE).strip() in _result_titles(sheet):
            found = f'"{title}" is a result: a run writes it, nothing reads it'
            accepted = ", ".join(c.title for c in sheet.inputs)
            yield error("study-result", row.address("row" if sheet.upright else "column"), found, accepted)
        elif not sheet.upright:
            called = rows_called(book, sheet, str(row["row"]))
            if len(called) > 1:
                some = ", ".join(str(r.number) for r in called)
                found = f'"{row["row"]}" names several rows of {sheet.title}: {some}'
                names = "; ".join(_full_name(r, sheet) for r in called)
                yield error("study-ambiguous", row.address("row"), found, names)


def _result_titles(sheet: Sheet) -> set[str]:
    """Result columns without the word before their titles, but for those that an input shares its title with."""
    inputs = {folded(column.title) for column in sheet.inputs}
    return {folded(column.title).removeprefix(_RESULT_TITLE).strip() for column in sheet.results} - inputs


def _no_input_sheet(row: Row) -> Iterator[Problem]:
    name = folded(str(row["sheet"]))
    if name in {folded(t) for t in (*RESULT_SHEETS, *_NOT_VARIED)}:
        found = f'"{row["sheet"]}" holds nothing that a run depends on'
        yield error("study-result", row.address("sheet"), found, ", ".join(s.title for s in _VARIED))


def _watch_problems(book: Book) -> Iterator[Problem]:
    """Two rows of one study must not watch different things."""
    watched: dict[str, str] = {}
    for row in _study_rows(book):
        if row["watch"] is not None:
            first = watched.setdefault(str(row["study"]), str(row["watch"]))
            if first != row["watch"]:
                found = f"study {row['study']} watches {row['watch']} here and {first} above"
                yield error("study-watch", row.address("watch"), found, "one thing to watch for each study")


_VARIED: tuple[Sheet, ...] = tuple(sheet for sheet in SHEETS if sheet.title not in _NOT_VARIED)


def _study_rows(book: Book) -> list[Row]:
    return [row for row in book.rows["Studies"] if not row.bad]


def _sheet_of(row: Row) -> Sheet | None:
    return next((s for s in _VARIED if folded(s.title) == folded(str(row["sheet"]))), None)


def rows_called(book: Book, sheet: Sheet, name: str) -> list[Row]:
    """Rows that a study's Row names: by the sheet's first column, or by all its columns that tell rows apart."""
    wanted = folded(name)
    rows = book.rows[sheet.title]
    short = [row for row in rows if folded(_short_name(row, sheet)) == wanted]
    return short or [row for row in rows if folded(_full_name(row, sheet)) == wanted]


def _short_name(row: Row, sheet: Sheet) -> str:
    keys = ("line", "from_", "to") if sheet.title == "Segments" else (sheet.columns[0].key,)
    return " ".join(str(row[key]) for key in keys)


def _full_name(row: Row, sheet: Sheet) -> str:
    keys = tuple(dict.fromkeys((sheet.columns[0].key, *sheet.unique)))
    return " ".join(str(row.typed.get(key, row[key])) for key in keys if row[key] is not None)


def studies_of(book: Book) -> tuple[Study, ...]:
    """The studies of a workbook without errors, in order; rows of one name make one study."""
    grouped: dict[str, list[Row]] = {}
    for row in _study_rows(book):
        grouped.setdefault(str(row["study"]), []).append(row)
    return tuple(_study(book, name, rows) for name, rows in grouped.items())


def _study(book: Book, name: str, rows: Sequence[Row]) -> Study:
    watch = next((str(row["watch"]) for row in rows if row["watch"] is not None), ALL)
    return Study(name, tuple(_variable(book, row) for row in rows), watch, rows[0].address("values"))


def _variable(book: Book, row: Row) -> Variable:
    sheet = _sheet_of(row)
    if sheet is None:
        raise LookupError(f"{row.address('sheet')}: {row['sheet']}")
    title = folded(str(row["row" if sheet.upright else "column"]))
    column = next(c for c in sheet.inputs if folded(c.title) == title)
    target = book.project if sheet.upright else rows_called(book, sheet, str(row["row"]))[0]
    own = [amount(item) for item in row["values"].items]
    read = [a if isinstance(a, Amount) else Amount(nan) for a in own]
    units = {a.unit for a in read if a.unit}
    unit = units.pop() if len(units) == 1 and all(a.unit for a in read) else _unit_of(book, sheet, column)
    return Variable(
        sheet.title,
        str(row["row"]),
        column.title,
        column.key,
        target.address(column.key),
        unit,
        row["values"].items,
        tuple(a.number for a in read),
    )


def _unit_of(book: Book, sheet: Sheet, column: Column) -> str:
    return book.units_row.get(sheet.title, {}).get(column.key, "") if column.dimension is not None else ""


def varied(book: Book, variable: Variable, typed: str) -> Book:
    """The book with one cell changed.

    Args:
        book: As read.
        variable: The cell.
        typed: What would be typed there.

    Raises:
        InputError: The value cannot stand in the cell.
    """
    sheet = next(s for s in SHEETS if s.title == variable.sheet)
    column = sheet.column(variable.key)
    unit = _unit_of(book, sheet, column)
    read = read_column(column, "" if unit in ("-", "–", "—") else unit, variable.at, [typed], lambda _: variable.at)
    errors = [p for p in read.problems if p.severity is Severity.ERROR]
    if errors:
        raise InputError(errors)
    if sheet.upright:
        return replace(book, project=_changed(book.project, variable.key, read.values[0], typed))
    rows = tuple(
        _changed(row, variable.key, read.values[0], typed) if row.number == variable.at.row else row
        for row in book.rows[sheet.title]
    )
    return replace(book, rows={**book.rows, sheet.title: rows})


def _changed(row: Row, key: str, value: object, typed: str) -> Row:
    return replace(
        row,
        values={**row.values, key: value},
        assumed=row.assumed - {key},
        typed={**row.typed, key: typed},
    )
