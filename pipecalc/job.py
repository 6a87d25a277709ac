"""The whole flow on one screen: read, check, build, analyse, write, print."""

import hashlib
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager, nullcontext, suppress
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING

from pipecalc.model import Plant
from pipecalc.problems import Address, EnvironmentLacks, FileUnusable, InputError, Problem, Severity, warning
from pipecalc.results import Advice, Results, Status, Study, StudyRow
from pipecalc.workbook.file_names import portable

if TYPE_CHECKING:
    from pipecalc.workbook.rows import Book

OUTPUT = "output"
Progress = Callable[[str], None]


Tell = Callable[[Sequence[Problem]], None]


def _silent(_: object) -> None:
    """No display."""


@dataclass(frozen=True, slots=True)
class Checked:
    """What reading and validating gave: the plant, or None where there are errors, and all problems, sorted."""

    plant: Plant | None
    problems: tuple[Problem, ...]

    @property
    def errors(self) -> list[Problem]:
        """Problems that stop a run."""
        return [p for p in self.problems if p.severity is Severity.ERROR]


@dataclass(frozen=True, slots=True)
class Run:
    """What a run gave.

    Attributes:
        name: File name of the workbook.
        folder: Where everything was written.
        workbook: The workbook with results.
        backup: Dated copy of the earlier workbook, where the workbook itself was updated.
        results_file: results.json.
        note: The PDF note, or None where it could not be made.
        html: The note as HTML, written where the PDF could not be made.
        lacks: What the machine lacks for the PDF, or empty.
        plant: The plant as built.
        results: What was found.
        problems: Warnings and notes.
        sha256: Of the workbook as it was read.
        pages: Pages of the note's PDF; see ``NoteFiles.pages``.
    """

    name: str
    folder: Path
    workbook: Path
    backup: Path | None
    results_file: Path
    note: Path | None
    html: Path | None
    lacks: str
    plant: Plant
    results: Results
    problems: tuple[Problem, ...]
    sha256: str
    pages: Mapping[str, int]

    @property
    def over_limit(self) -> int:
        """Number of checks over their limit; screening checks ask for analysis and do not count."""
        return sum(1 for c in self.results.checks if c.status is Status.FAIL and not c.screening)

    @property
    def not_checked(self) -> int:
        """Number of checks that could not be made."""
        return sum(1 for c in self.results.checks if c.status is Status.NOT_CHECKED)


def check(path: Path | str) -> Checked:
    """Read and validate a workbook; nothing is computed or written.

    Raises:
        FileUnusable: The file cannot be read as a workbook.
    """
    from pipecalc.workbook.reader import read

    book = read(Path(path))
    return _checked(book)


def _checked(book: "Book") -> Checked:
    from pipecalc.checks.nozzles.interface import standards
    from pipecalc.problems import Problems
    from pipecalc.schema.sheets import TITLES
    from pipecalc.workbook.build import build
    from pipecalc.workbook.rows import mark_bad
    from pipecalc.workbook.rules import check_book

    problems = Problems(book.problems)
    problems.extend(check_book(book, tuple(standards())))
    built = build(mark_bad(book, problems), problems)
    problems.extend(built.problems)
    return Checked(built.plant, tuple(problems.sorted(TITLES)))


def run(
    path: Path | str,
    output: Path | str | None = None,
    *,
    in_place: bool = False,
    pdf: bool = True,
    advice: bool = False,
    studies: bool = False,
    progress: Progress = _silent,
    tell: Tell = _silent,
) -> Run:
    """Run one workbook: result columns in a copy, results.json and the calculation note.

    The workbook itself is written only where ``in_place`` asks for it, or where it is the copy of an earlier run that
    this run would write again; both keep the earlier file as a dated copy.

    Args:
        path: The workbook.
        output: Folder under which ``<workbook name>/`` is made; ``output`` in the current folder where None.
        in_place: Update the workbook itself too, keeping the earlier one as a dated copy.
        pdf: Make the note.
        advice: Also run changed plants for the chapter of advice.
        studies: Also run the studies of the workbook.
        progress: Called with the name of each step as it begins.
        tell: Called with all warnings and notes before anything is computed or written.

    Returns:
        Where things are, and the results.

    Raises:
        InputError: The workbook has errors; carries all of them. Nothing was written.
        FileUnusable: A file cannot be read or written. Files of an earlier run are whole.
    """
    from pipecalc.workbook.package_scan import load_bytes

    path = Path(path)
    progress("reading")
    source = load_bytes(path)
    ready = _ready(path, source, progress)
    tell(ready.problems)
    with _folder(path, output) as folder, _alone(job := _Job(path, source, folder, in_place, pdf)):
        _refuse_busy(job)
        progress("computing")
        results = _analysed(ready, advice=advice)
        if studies:
            progress("running the studies")
            results = replace(results, studies=_studies(ready.book, consent=False, names=None))
        return _written(job, ready, results, progress)


@dataclass(frozen=True, slots=True)
class _Ready:
    """A sound workbook: its rows, the plant, and what is to be said of it."""

    book: "Book"
    plant: Plant
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class _Job:
    """What is to be done with a workbook; see ``run``."""

    path: Path
    source: bytes
    folder: Path
    in_place: bool
    pdf: bool

    @property
    def name(self) -> str:
        """Name of the copy: that of the workbook, unless some system would not take it."""
        return portable(self.path.name)

    @property
    def copy(self) -> Path:
        """The copy with results."""
        return self.folder / self.name

    @property
    def onto_itself(self) -> bool:
        """Whether the copy would replace the workbook that was read."""
        return self.copy.resolve() == self.path.resolve()


@contextmanager
def _alone(job: _Job) -> Iterator[None]:
    """Keep other runs off the results, and off the workbook where it will be updated; clear what dead runs left."""
    from pipecalc.workbook.swap import clear_leftovers, locked

    in_place = job.in_place and not job.onto_itself
    with locked(job.copy), locked(job.path) if in_place else nullcontext():
        clear_leftovers(job.folder)
        clear_leftovers(job.folder / "figures")
        if in_place:
            clear_leftovers(job.path.resolve().parent, job.path.resolve().stem)
        yield


def _refuse_busy(job: _Job) -> None:
    """A file that could not be replaced in the end is better told of in the beginning."""
    from pipecalc.workbook.swap import FileBusy, open_elsewhere

    for path in (job.copy, job.path) if job.in_place else (job.copy,):
        owner = open_elsewhere(path)
        if owner is not None:
            raise FileBusy(path, f"close it in the other program (or delete {owner.name} if none has it open)")


def _ready(path: Path, source: bytes, progress: Progress) -> _Ready:
    from pipecalc.workbook.reader import read
    from pipecalc.workbook.writer import refuse_blocked

    book = read(path)
    if book.sha256 != hashlib.sha256(source).hexdigest():
        raise FileUnusable("changed", f"{path} was changed while it was read: run again")
    progress("checking")
    checked = _checked(book)
    if checked.plant is None:
        raise InputError(list(checked.problems))
    refuse_blocked(source, book, checked.plant.project.units)
    return _Ready(book, checked.plant, (*checked.problems, *_losses(source)))


def _analysed(ready: _Ready, *, advice: bool) -> Results:
    from pipecalc.analysis.analyse import analyse

    return analyse(ready.plant, ready.problems, trial_runs=advice)


def advise(path: Path | str, *, progress: Progress = _silent) -> tuple[Advice, ...]:
    """Advice on a workbook, found by running changed plants; nothing is written.

    Raises:
        InputError: The workbook has errors; carries all of them.
        FileUnusable: The file cannot be read.
    """
    from pipecalc.workbook.package_scan import load_bytes

    path = Path(path)
    ready = _ready(path, load_bytes(path), progress)
    progress("running changed plants")
    return _analysed(ready, advice=True).advice


def study(
    path: Path | str, *, consent: bool = False, names: Sequence[str] | None = None, progress: Progress = _silent
) -> tuple[Study, ...]:
    """Run the studies of a workbook; nothing is written.

    Args:
        path: The workbook.
        consent: Whether a study may take more than 10,000 runs.
        names: Studies wanted; all where None.
        progress: Called with the name of each step as it begins.

    Raises:
        InputError: The workbook or a study has errors; carries all of them.
        FileUnusable: The file cannot be read.
    """
    from pipecalc.workbook.package_scan import load_bytes

    path = Path(path)
    ready = _ready(path, load_bytes(path), progress)
    progress("running the studies")
    return _studies(ready.book, consent=consent, names=names)


def _studies(book: "Book", *, consent: bool, names: Sequence[str] | None) -> tuple[Study, ...]:
    from pipecalc.studies import run_studies

    return tuple(
        Study(
            found.study,
            found.watch,
            tuple(variable.label for variable in found.variables),
            tuple(
                StudyRow(p.typed, p.ratio, p.status, p.subject, p.check, p.case, p.force, p.moment, p.reason)
                for p in found.points
            ),
        )
        for found in run_studies(book, consent=consent, names=names)
    )


def _losses(source: bytes) -> list[Problem]:
    from pipecalc.schema.sheets import RESULT_SHEETS
    from pipecalc.workbook.losses import losses

    return [warning("not-kept", Address(), sentence) for sentence in losses(source, RESULT_SHEETS)]


@contextmanager
def _folder(path: Path, output: Path | str | None) -> Iterator[Path]:
    """The folder for results; made where it is missing, and taken away again if nothing came into it."""
    from pipecalc.workbook.swap import make_folder

    folder = (Path(output) if output is not None else Path.cwd() / OUTPUT) / Path(portable(path.name)).stem
    missing = [f for f in (folder, *folder.parents) if not f.exists()]
    make_folder(folder)
    try:
        yield folder
    finally:
        for made in missing:
            with suppress(OSError):
                made.rmdir()


def _written(job: _Job, ready: _Ready, results: Results, progress: Progress) -> Run:
    """All files, each whole; the user's own workbook comes last, when everything else is there."""
    from pipecalc.report.results_file import results_document, results_text
    from pipecalc.workbook.swap import write_safely
    from pipecalc.workbook.writer import write_results

    path, plant = job.path, ready.plant
    progress("preparing the workbook")
    written = write_results(job.source, ready.book, plant, results)
    document = results_document(plant, results, name=job.name, sha256=ready.book.sha256)
    note = _note(job, plant, results, progress) if job.pdf else _Note()
    progress("writing the workbook")
    results_file = job.folder / "results.json"
    write_safely(results_file, results_text(document).encode("utf-8"))
    if not job.onto_itself:
        write_safely(job.copy, written.data, written.verify)
    backup = None
    if job.in_place or job.onto_itself:
        backup = write_safely(path, written.data, written.verify, backup=True, expected=job.source)
    return Run(
        name=path.name,
        folder=job.folder,
        workbook=job.copy,
        backup=backup,
        results_file=results_file,
        note=note.pdf,
        html=note.html,
        lacks=note.lacks,
        plant=plant,
        results=results,
        problems=ready.problems,
        sha256=ready.book.sha256,
        pages=note.pages,
    )


@dataclass(frozen=True, slots=True)
class _Note:
    """The note's files, or what the machine lacks for the PDF."""

    pdf: Path | None = None
    html: Path | None = None
    lacks: str = ""
    pages: Mapping[str, int] = field(default_factory=dict)


def _note(job: _Job, plant: Plant, results: Results, progress: Progress) -> _Note:
    from pipecalc.report.note import trace_of, write_note

    progress("printing the note")
    trace = trace_of(plant, job.name, job.source)
    try:
        files = write_note(plant, results, trace, job.folder, job.source)
    except EnvironmentLacks as lacking:
        return _Note(html=job.folder / f"{Path(job.name).stem}.html", lacks=str(lacking))
    return _Note(files.pdf, files.html, pages=files.pages)
