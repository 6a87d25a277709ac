"""Rules for Studies and Revisions: what is varied exists, and its values could stand in the cell."""

from collections import Counter
from collections.abc import Iterator

from pipecalc.problems import Problem, Severity, error, warning
from pipecalc.schema.column import Column, Sheet
from pipecalc.schema.sheets import SHEETS
from pipecalc.workbook.cells import suggestion
from pipecalc.workbook.columns import read_column
from pipecalc.workbook.rows import Row
from pipecalc.workbook.rules.view import View, listed
from pipecalc.workbook.titles import folded

MOST_VARIABLES = 2


def variables(view: View) -> Iterator[Problem]:
    """A study varies one or two cells."""
    seen: Counter[str] = Counter()
    for row in view.sound("Studies"):
        seen[row["study"]] += 1
        if seen[row["study"]] == MOST_VARIABLES + 1:
            found = f"study {row['study']} varies more than {MOST_VARIABLES} cells"
            yield error("study-variables", row.address("study"), found, "one or two rows for each study")


def cells(view: View) -> Iterator[Problem]:
    """Sheet, row and column of the varied cell exist and the values fit it."""
    for row in view.sound("Studies"):
        sheet = next((s for s in SHEETS if folded(s.title) == folded(row["sheet"])), None)
        if sheet is None:
            yield _unknown(row, "sheet", tuple(s.title for s in SHEETS))
            continue
        item = row["row"] if sheet.upright else row["column"]
        column = next((c for c in sheet.inputs if folded(c.title) == folded(item)), None)
        if column is None:
            yield _unknown(row, "row" if sheet.upright else "column", tuple(c.title for c in sheet.inputs))
        elif not sheet.upright and folded(row["row"]) not in map(
            folded, (*row_names(view, sheet), *full_names(view, sheet))
        ):
            yield _unknown(row, "row", row_names(view, sheet))
        else:
            yield from _unfit_values(view, row, sheet, column)


def row_names(view: View, sheet: Sheet) -> tuple[str, ...]:
    """What the rows of a sheet are called: the tag in the first column; a segment by Line, From and To."""
    rows = view.book.rows[sheet.title]
    keys = ("line", "from_", "to") if sheet.title == "Segments" else (sheet.columns[0].key,)
    return tuple(" ".join(str(r[k]) for k in keys) for r in rows if all(r[k] is not None for k in keys))


def full_names(view: View, sheet: Sheet) -> tuple[str, ...]:
    """Longer names of rows whose first column does not tell them apart: everything that must be unique."""
    rows = view.book.rows[sheet.title]
    return tuple(" ".join(str(r[k]) for k in sheet.unique) for r in rows if all(r[k] is not None for k in sheet.unique))


def _unknown(row: Row, key: str, names: tuple[str, ...]) -> Problem:
    found = f'"{row[key]}" is not there to be varied'
    return error("study-unknown", row.address(key), found, listed(names), suggestion(row[key], names))


def _unfit_values(view: View, row: Row, sheet: Sheet, column: Column) -> Iterator[Problem]:
    unit = view.book.units_row.get(sheet.title, {}).get(column.key, "")
    at = row.address("values")
    read = read_column(column, unit, at, row["values"].items, lambda _: at)
    for problem in read.problems:
        if problem.severity is Severity.ERROR:
            yield error("study-values", at, f"{column.title}: {problem.found}", problem.accepted, problem.hint)
            return


def revision(view: View) -> Iterator[Problem]:
    """The revision on the cover stands in the table of revisions, where there is one."""
    mark, marks = view.book.project["revision"], view.names("Revisions.revision")
    if mark is not None and marks and mark not in marks:
        address = view.book.project.address("revision")
        yield warning("revision-unknown", address, f"revision {mark} is not on sheet Revisions", listed(marks))
