"""Filled example workbooks as plain tables: one folder each, one CSV per sheet, titles as in the schema.

Values stand in the units of the example's own system (its Project item "Display units"), as a person would type them.
A row directly below the titles whose first cell is ``units`` names the columns that use another unit than usual.
"""

import csv
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from importlib.resources import files
from importlib.resources.abc import Traversable

#: The example that stands for the whole: the main demo.
MAIN = "geothermal-heat"
_UNITS_ROW = "units"


class UnknownExampleError(KeyError):
    """No example has this name; the message lists those there are."""


@dataclass(frozen=True, slots=True)
class ExampleSheet:
    """One sheet of an example.

    Attributes:
        titles: Column titles.
        units: Unit by title, only where it differs from the system's usual one.
        rows: Cells as typed, each row as long as ``titles``; empty text for an empty cell.
    """

    titles: tuple[str, ...]
    units: Mapping[str, str]
    rows: tuple[tuple[str, ...], ...]

    def records(self) -> Iterator[dict[str, str]]:
        """Rows as title -> text, empty cells left out."""
        for row in self.rows:
            yield {title: cell for title, cell in zip(self.titles, row, strict=True) if cell}


def names() -> tuple[str, ...]:
    """Names of the examples, the main demo first."""
    found = sorted(folder.name for folder in files(__name__).iterdir() if _is_example(folder))
    return tuple(sorted(found, key=lambda name: name != MAIN))


def load(name: str) -> dict[str, ExampleSheet]:
    """Sheets of an example by sheet title.

    Args:
        name: One of ``names()``.

    Raises:
        UnknownExampleError: There is no such example.
    """
    if name not in names():
        raise UnknownExampleError(f'no example "{name}"; there are: {", ".join(names())}')
    tables = sorted((f for f in files(__name__).joinpath(name).iterdir() if f.name.endswith(".csv")), key=_name)
    return {table.name.removesuffix(".csv"): _read(table.read_text(encoding="utf-8")) for table in tables}


def system(sheets: Mapping[str, ExampleSheet]) -> str:
    """``"SI"`` or ``"US"``: the units in which an example's values stand."""
    items = {record.get("Item"): record.get("Value", "") for record in sheets["Project"].records()}
    return "US" if items.get("Display units") == "US" else "SI"


def _is_example(folder: Traversable) -> bool:
    return folder.is_dir() and any(f.name == "Project.csv" for f in folder.iterdir())


def _name(file: Traversable) -> str:
    return file.name


def _read(text: str) -> ExampleSheet:
    titles, *rows = csv.reader(text.splitlines())
    units: dict[str, str] = {}
    if rows and rows[0][0] == _UNITS_ROW:
        units = {title: unit for title, unit in zip(titles[1:], rows[0][1:], strict=True) if unit}
        rows = rows[1:]
    return ExampleSheet(tuple(titles), units, tuple(tuple(row) for row in rows))
