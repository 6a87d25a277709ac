"""A run of a large plant: portion by portion, in processes side by side, through files that are put together at last.

What is found depends on the workbook alone, not on how many processes there are or which of them is ready first.
"""

import gc
import os
import shutil
import tempfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from dataclasses import dataclass, field, fields, replace
from multiprocessing import get_context
from operator import attrgetter
from pathlib import Path
from typing import TYPE_CHECKING, Any
from weakref import finalize

from pipecalc.analysis.apart import BY_PORTION, analyse_portion, portions_of, problems_of, together, without_bulk
from pipecalc.garbage import no_collection
from pipecalc.model import Plant
from pipecalc.problems import EnvironmentLacks, FileUnusable, InputError, Problem
from pipecalc.results import Results

if TYPE_CHECKING:
    from pipecalc.comparison.records import Changes
    from pipecalc.report.chapter_closing import Trace
    from pipecalc.report.index_entry import IndexEntry


class Room:
    """A folder for files on their way; it goes when nothing refers to it any more.

    Attributes:
        folder: The folder.
    """

    def __init__(self) -> None:
        self.folder = Path(tempfile.mkdtemp(prefix="pipecalc-"))
        self._end = finalize(self, shutil.rmtree, self.folder, ignore_errors=True)


@contextmanager
def _kept_elsewhere() -> Iterator[None]:
    """What keeps files on their way from being written is told in words, and so is a process that ends by itself."""
    try:
        yield
    except OSError as fault:
        found = f"Cannot write into the folder for temporary files {tempfile.gettempdir()}: {fault.strerror or fault}"
        hint = "a large plant needs some 3 MB there for each line; TMPDIR (on Windows TEMP) names another folder"
        raise FileUnusable("not-writable", f"{found}; {hint}") from fault
    except BrokenProcessPool as fault:
        found = "A process that worked on part of the plant ended by itself; it may have run out of memory"
        raise EnvironmentLacks(f"{found}. Nothing was written; --workers 1 takes the least memory") from fault


@dataclass(frozen=True, slots=True)
class Task:
    """A portion to be worked on.

    Attributes:
        number: Its number, from 1.
        total: How many portions there are.
        plant: The portion.
        problems: Warnings and notes that concern it.
        folder: Folder for files.
        trace: What identifies the calculation, where a volume of the note is wanted.
        advice: Also run changed plants.
    """

    number: int
    total: int
    plant: Plant
    problems: tuple[Problem, ...]
    folder: Path
    trace: "Trace | None"
    advice: bool


@dataclass(frozen=True, slots=True)
class Portion:
    """What became of a portion; what is bulky lies in files.

    Attributes:
        results: Results without their bulk.
        files: Files of the volume by path in the folder of results.
        entry: What the index says of the volume, where there is one.
        lacks: What the machine lacks for the PDF, or empty.
        errors: Why there are no results, or nothing.
    """

    results: Results = field(default_factory=Results)
    files: Mapping[str, Path] = field(default_factory=dict)
    entry: "IndexEntry | None" = None
    lacks: str = ""
    errors: tuple[Problem, ...] = ()


@dataclass(frozen=True, slots=True)
class Whole:
    """What a large plant came to.

    Attributes:
        results: Results without movements of points and forces in members, which results.json alone holds.
        files: Volumes and index by path in the folder of results.
        room: Where the files are; they go with it.
        portions: How many portions it was worked on in.
        lacks: What the machine lacks for the PDF, or empty.
        entries: What the index says of the volumes; none where no note was wanted.
        alarms: The note's own checks that do not hold, as sentences, of all volumes.
    """

    results: Results
    files: Mapping[str, Path]
    room: Room
    portions: int
    lacks: str
    entries: "tuple[IndexEntry, ...]"
    alarms: tuple[str, ...]


#: Said in place of alarms where there are no volumes to make them.
NO_ALARMS = "The checks that a note makes of itself were not made, as no note was wanted of a large plant."


@_kept_elsewhere()
def run_portions(
    plant: Plant,
    problems: Sequence[Problem],
    *,
    trace: "Trace | None",
    advice: bool,
    workers: int,
    progress: Callable[[str], None],
) -> Whole:
    """Analyse a large plant, and make its note in volumes where a trace is given.

    Args:
        plant: The plant.
        problems: Warnings and notes of the workbook.
        trace: What identifies the calculation; None for no note.
        advice: Also run changed plants.
        workers: How many processes work side by side; with one, this process does the work.
        progress: Called with what is being done.

    Raises:
        InputError: Lines are free to move; names those of all portions.
        FileUnusable: Files on their way cannot be written.
        EnvironmentLacks: A process ended by itself.
    """
    room, parts = Room(), portions_of(plant)
    tasks = [
        Task(n, len(parts), part, problems_of(part, problems), room.folder, trace, advice)
        for n, part in enumerate(parts, start=1)
    ]
    done: list[Portion] = []
    for portion in _worked(tasks, workers):
        done.append(portion)
        progress(f"computing, portion {len(done)} of {len(tasks)}")
    errors = [error for portion in done for error in portion.errors]
    if errors:
        raise InputError(list(dict.fromkeys(errors)))
    results = together(plant, [portion.results for portion in done])
    results = replace(results, messages=tuple(dict.fromkeys((*problems, *results.messages))))
    lacks = next((portion.lacks for portion in done if portion.lacks), "")
    files = {name: path for portion in done for name, path in portion.files.items()}
    entries = tuple(portion.entry for portion in done if portion.entry is not None)
    raised = (alarm for entry in entries for alarm in entry.alarms)
    alarms = tuple(dict.fromkeys(raised)) if trace is not None else (NO_ALARMS,)
    return Whole(results, files, room, len(tasks), lacks, entries, alarms)


def _worked(tasks: Sequence[Task], workers: int) -> Iterator[Portion]:
    if workers < 2:
        yield from map(work, tasks)
        return
    # Records hold no cycles: looking for some among millions of them takes as long as receiving them. The boxes of a
    # renderer do hold some.
    start = None if any(task.trace for task in tasks) else gc.disable
    with no_collection(), ProcessPoolExecutor(workers, get_context("spawn"), start) as pool:
        yield from map(_opened, pool.map(_sent, tasks))


#: Lists of a portion's results that are sent by columns, which takes half the time of thousands of records.
_BY_COLUMN = ("legs", "nozzle_loads", "support_loads", "checks")


@dataclass(frozen=True, slots=True)
class _Sent:
    """A portion on its way between processes: without some lists, and their fields as columns."""

    portion: Portion
    columns: Mapping[str, tuple[type, Sequence[tuple[Any, ...]]]]


def _sent(task: Task) -> _Sent:
    portion = work(task)
    lists = {name: getattr(portion.results, name) for name in _BY_COLUMN}
    columns = {name: (type(records[0]), _columns(records)) for name, records in lists.items() if records}
    without = replace(portion.results, **dict.fromkeys(columns, ()))
    return _Sent(replace(portion, results=without), columns)


def _columns(records: Sequence[Any]) -> Sequence[tuple[Any, ...]]:
    return [*zip(*map(attrgetter(*(field.name for field in fields(records[0]))), records), strict=True)]


def _opened(sent: _Sent) -> Portion:
    lists = {
        name: tuple(kind(*values) for values in zip(*columns, strict=True))
        for name, (kind, columns) in sent.columns.items()
    }
    return replace(sent.portion, results=replace(sent.portion.results, **lists))


def work(task: Task) -> Portion:
    """One portion: results without their bulk, the bulk as text in files, and the volume of the note."""
    from pipecalc.report.results_file import lines
    from pipecalc.workbook.result_sheets import inputs_shown

    try:
        with no_collection():
            found = analyse_portion(task.plant, task.problems, trial_runs=task.advice)
            for name in BY_PORTION:
                _lines_file(task.folder, name, task.number).write_bytes(lines(getattr(found, name)))
            light = without_bulk(found, inputs_shown)
    except InputError as bad:
        return Portion(errors=tuple(bad.problems))
    if task.trace is None:
        return Portion(light)
    from pipecalc.report.volumes import make_volume

    volume = make_volume(task.plant, found, task.trace, task.number, task.total)
    files = {name: _kept(task.folder / name, data) for name, data in volume.files.items()}
    return Portion(light, files, volume.entry, volume.lacks)


def _lines_file(folder: Path, name: str, number: int) -> Path:
    return folder / f"{name}-{number}.json"


def _kept(path: Path, data: bytes) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(data)
    return path


@_kept_elsewhere()
def write_index(
    whole: Whole, plant: Plant, changes: "Changes | None"
) -> tuple[Mapping[str, Path], str | None, str | None]:
    """The index over all volumes in the room of the run.

    Args:
        whole: What the plant came to.
        plant: The plant.
        changes: What changed since an earlier revision.

    Returns:
        Its files by path in the folder of results, and the names of page and PDF among them.
    """
    from pipecalc.report.volumes import index_of

    made = index_of(whole.entries, plant, changes, pdf=not whole.lacks)
    files = {name: _kept(whole.room.folder / name, data) for name, data in made.items()}
    page, printed = (next((name for name in made if name.endswith(end)), None) for end in (".html", ".pdf"))
    return files, page, printed


@_kept_elsewhere()
def write_results_file(whole: Whole, document: Mapping[str, Any]) -> Path:
    """results.json of a large plant in the room of the run, put together from the files of its portions.

    Args:
        whole: What the plant came to.
        document: As from ``results_document``; lists that the portions wrote need not be whole.
    """
    from pipecalc.report.results_file import chunks

    portioned = {key: [value] if isinstance(value, list | tuple) else value for key, value in document.items()}
    for key in BY_PORTION:
        portioned[key] = _portions(whole, key)
    path = whole.room.folder / "results.json"
    with path.open("wb") as file:
        file.writelines(chunks(portioned))
        file.flush()
        os.fsync(file.fileno())  # while other things are done: it must be on the disk before it replaces another
    return path


def _portions(whole: Whole, name: str) -> Iterator[bytes]:
    """Lines of a list, portion by portion; each file goes when it was read."""
    for number in range(1, whole.portions + 1):
        file = _lines_file(whole.room.folder, name, number)
        yield file.read_bytes()
        file.unlink()
