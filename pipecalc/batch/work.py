"""What workers do, wherever they are: bytes in, bytes and plain records out. Nothing here touches a file."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from time import perf_counter
from typing import TYPE_CHECKING

from pipecalc import making
from pipecalc.making import Made, Options, Progress, silent
from pipecalc.problems import FileUnusable, InputError, Problem
from pipecalc.report.index_entry import IndexEntry, entry_of
from pipecalc.results import Study

if TYPE_CHECKING:
    from pipecalc.studies import Solver, StudyPoint
    from pipecalc.study_cells import Study as Planned


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of a workbook.

    Attributes:
        seconds: How long it took [s].
        made: What is to be written; None where there are no results.
        entry: What an index says of it, still without the places of its files; None likewise.
        problems: All problems, where the workbook has errors.
        unusable: Code and message, where the file cannot be used.
    """

    seconds: float
    made: Made | None = None
    entry: IndexEntry | None = None
    problems: tuple[Problem, ...] = ()
    unusable: tuple[str, str] | None = None


def run_workbook(
    name: str, source: bytes, options: Options, studies: tuple[Study, ...] | None = None, *, progress: Progress = silent
) -> Outcome:
    """Run a workbook.

    Args:
        name: File name of the workbook.
        source: Its bytes.
        options: What is wanted.
        studies: Its studies, where they have been run elsewhere.
        progress: Called with the name of each step as it begins.
    """
    start = perf_counter()
    try:
        progress("reading")
        workbook = making.ready(name, source, progress)
        made, results = making.make(workbook, options, progress, studies=studies)
    except InputError as bad:
        return Outcome(perf_counter() - start, problems=tuple(bad.problems))
    except FileUnusable as problem:
        return Outcome(perf_counter() - start, unusable=(problem.code, str(problem)))
    entry = entry_of(
        workbook.plant, results, workbook=made.name, sha256=made.sha256, pages=made.pages, alarms=made.alarms
    )
    return Outcome(perf_counter() - start, _carried(made), entry)


def _carried(made: Made) -> Made:
    """The same without files beside it: those of a large plant lie where the worker is until they are read here."""
    data = {name: held if isinstance(held, bytes) else held.read_bytes() for name, held in made.files.items()}
    return replace(made, files=data, room=None)


def run_points(
    name: str,
    source: bytes,
    names: tuple[str, ...] | None,
    place: int,
    first: int,
    last: int,
    *,
    progress: Progress = silent,
) -> "Sequence[StudyPoint]":
    """Run some points of a study of a workbook that was found sound.

    Args:
        name: File name of the workbook.
        source: Its bytes.
        names: Studies wanted; all where None.
        place: Place of the study among those wanted, from 0.
        first: First point, from 0.
        last: The point after the last.
        progress: Called with the name of each step as it begins.
    """
    from pipecalc.studies import study_points

    progress("running the studies")
    studies, solver = _studies(name, source, names)
    return study_points(studies[place], solver, first, last)


@lru_cache(maxsize=2)
def _studies(name: str, source: bytes, names: tuple[str, ...] | None) -> "tuple[list[Planned], Solver]":
    """Studies of a workbook, and what was solved of it so far."""
    from pipecalc.studies import Solver, planned
    from pipecalc.workbook.reader import read

    book = read(source, name)
    return planned(book, consent=True, names=names), Solver(book)
