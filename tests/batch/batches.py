"""Small workbooks and runs of many, for the tests of batches and of clusters."""

from pathlib import Path

from pipecalc.batch.crew import Crew
from pipecalc.batch.runner import Ended, Plan, run_batch
from pipecalc.batch.selection import Item
from pipecalc.making import Options
from tests.analysis.hand_plants import line_rows
from tests.workbook.books import write_book

STUDY = [
    {
        "study": "hot",
        "sheet": "Lines",
        "row": "L-1",
        "column": "Operating temperature",
        "values": "100 : 180 : 20",
        "watch": "L-1",
    }
]


def write_plant(path: Path, east: float = 6.0, **rows: list[dict[str, object]]) -> Path:
    """A line of two legs between two nozzles; other sheets as given."""
    path.parent.mkdir(parents=True, exist_ok=True)
    return write_book(path, {**line_rows([{"east": east}, {"north": 4}]), **rows})


def write_bad(path: Path) -> Path:
    """A workbook with one error."""
    rows = line_rows([{"east": 6}, {"north": 4}])
    rows["Lines"][0]["nps"] = 7
    return write_book(path, rows)


def nothing(*_: object) -> None:
    """No display."""


def run_all(paths: list[Path], output: Path, crew: Crew, *, step=nothing, end=nothing, **plan) -> list[Ended]:
    """Run workbooks into a folder; without a note, unless the options say otherwise."""
    items = [Item(path, Path(path.stem)) for path in paths]
    options = plan.pop("options", Options(pdf=False))
    with crew:
        return run_batch(items, Plan(output, options, **plan), crew, step, end)


def contents(folder: Path) -> dict[str, bytes]:
    """All files below a folder."""
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def different(one: Path, other: Path) -> list[str]:
    """Files that are not the same below two folders."""
    first, second = contents(one), contents(other)
    return sorted(name for name in first.keys() | second.keys() if first.get(name) != second.get(name))
