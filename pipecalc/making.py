"""The pure part of a run: a workbook's bytes in, the bytes of everything that is to be written out.

Nothing here touches a file of the user's, so the same code serves this process, processes beside it and other machines.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from pipecalc.garbage import no_collection, rare_collection
from pipecalc.model import Plant
from pipecalc.problems import Address, InputError, Problem, Severity, warning
from pipecalc.results import Results, Status, Study, governing, worst_status

if TYPE_CHECKING:
    from pipecalc.comparison.records import Changes, Document, Side
    from pipecalc.report.note import NoteFiles
    from pipecalc.workbook.rows import Book

Progress = Callable[[str], None]

#: Where the results for machines stand in the folder of results.
RESULTS_FILE = "results.json"


def silent(_: object) -> None:
    """No display."""


@dataclass(frozen=True, slots=True)
class Options:
    """What is wanted of a run; everything that bears on the bytes of its results stands here.

    Attributes:
        pdf: Make the note.
        advice: Also run changed plants for the chapter of advice.
        studies: Also run the studies of the workbook.
    """

    pdf: bool = True
    advice: bool = False
    studies: bool = False


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
class Ready:
    """A sound workbook: its name as every system takes it, bytes and rows, the plant, what is to be said of it."""

    name: str
    source: bytes
    book: "Book"
    plant: Plant
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class Verdict:
    """What governs a line or a nozzle: ``ratio`` and ``check`` are None and empty where nothing was rated."""

    what: str
    subject: str
    ratio: float | None
    check: str
    status: str


@dataclass(frozen=True, slots=True)
class Made:
    """Everything that a run made, as bytes; nothing has been written.

    Attributes:
        name: File name of the workbook.
        sha256: Of the workbook as read.
        workbook: The workbook with results, reopened and compared with what was meant.
        files: All else by path in the folder of results, in the order of writing: bytes, or a file that holds them.
        note: Path of the PDF note among the files, or None where it could not be made.
        html: Path of the note as HTML, or None where no note was wanted.
        pages: Pages of the note's PDF; see ``NoteFiles.pages``.
        lacks: What the machine lacks for the PDF, or empty.
        over_limit: Number of checks over their limit; screening checks ask for analysis and do not count.
        not_checked: Number of checks that could not be made.
        verdicts: Of every line and nozzle, in workbook order.
        problems: Warnings and notes.
        room: What keeps files of a large plant until they are written.
        alarms: Of a large plant, the checks of its volumes of themselves that do not hold; None otherwise.
    """

    name: str
    sha256: str
    workbook: bytes
    files: Mapping[str, bytes | Path]
    note: str | None
    html: str | None
    pages: Mapping[str, int]
    lacks: str
    over_limit: int
    not_checked: int
    verdicts: tuple[Verdict, ...]
    problems: tuple[Problem, ...]
    room: object = None
    alarms: tuple[str, ...] | None = None


@rare_collection()
def checked(book: "Book") -> Checked:
    """Validate a workbook that was read, and build its plant."""
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


@rare_collection()
def ready(name: str, source: bytes, progress: Progress = silent) -> Ready:
    """Read and validate a workbook, and see whether results can be written into a copy of it.

    Args:
        name: File name of the workbook.
        source: Its bytes.
        progress: Called with the name of each step as it begins.

    Raises:
        InputError: The workbook has errors; carries all of them.
        FileUnusable: It is no workbook, or results cannot be written into it.
    """
    from pipecalc.workbook.file_names import portable
    from pipecalc.workbook.reader import read
    from pipecalc.workbook.writer import refuse_blocked

    book = read(source, name)
    progress("checking")
    found = checked(book)
    if found.plant is None:
        raise InputError(list(found.problems))
    refuse_blocked(source, book, found.plant.project.units)
    return Ready(portable(name), source, book, found.plant, (*found.problems, *_losses(source)))


def analysed(workbook: Ready, *, advice: bool) -> Results:
    """Everything that is found on a sound workbook, studies apart."""
    from pipecalc.analysis.analyse import analyse

    return analyse(workbook.plant, workbook.problems, trial_runs=advice)


def studied(book: "Book", *, consent: bool, names: Sequence[str] | None) -> tuple[Study, ...]:
    """The studies of a workbook.

    Raises:
        InputError: The workbook or a study has errors; carries all of them.
    """
    from pipecalc.studies import as_record, run_studies

    found = run_studies(book, consent=consent, names=names)
    return tuple(as_record(f.study, f.watch, f.variables, f.points) for f in found)


@rare_collection()
def make(
    workbook: Ready,
    options: Options,
    progress: Progress = silent,
    earlier: "Side | None" = None,
    *,
    studies: tuple[Study, ...] | None = None,
    workers: int = 1,
) -> tuple[Made, Results]:
    """Compute, and make the bytes of everything that is to be written; the same input gives the same bytes.

    Args:
        workbook: As read and found sound.
        options: What is wanted.
        progress: Called with the name of each step as it begins.
        earlier: Revision that changes are told from.
        studies: The studies, where they have been run elsewhere.
        workers: How many processes may work side by side on a large plant.

    Returns:
        What is to be written, and the results; of a large plant (see ``analysis.apart``) without movements of points,
        forces in members and most inputs of checks, which results.json alone holds.

    Raises:
        InputError: A study has errors; carries all of them.
        FileUnusable: The workbook with results is not as it should be.
    """
    from pipecalc.analysis.apart import is_large
    from pipecalc.report.results_file import plain, results_document, results_text

    progress("computing")
    if is_large(workbook.plant):
        return _made_in_portions(workbook, options, progress, earlier, studies, workers)
    results = analysed(workbook, advice=options.advice)
    if options.studies:
        progress("running the studies")
        results = replace(results, studies=studies or studied(workbook.book, consent=False, names=None))
    progress("preparing the workbook")
    data = _with_results(workbook, results)
    document = results_document(workbook.plant, results, name=workbook.name, sha256=workbook.book.sha256)
    changes = _changes(earlier, workbook, plain(document)) if earlier is not None else None
    if changes is not None:
        document["changes"] = changes
    note = _note(workbook, results, changes, progress) if options.pdf else None
    files = {**(note.files if note else {}), RESULTS_FILE: results_text(document)}
    made = _made(workbook, results, data, files)
    if note is not None:
        made = replace(made, note=note.pdf, html=note.html, pages=note.pages, lacks=note.lacks)
    return made, results


def _made_in_portions(
    workbook: Ready,
    options: Options,
    progress: Progress,
    earlier: "Side | None",
    studies: tuple[Study, ...] | None,
    workers: int,
) -> tuple[Made, Results]:
    """The same for a large plant: its note comes in volumes with an index, and what is bulky lies in files."""
    from concurrent.futures import ThreadPoolExecutor

    from pipecalc.portions import run_portions, write_index, write_results_file
    from pipecalc.report.note import trace_of
    from pipecalc.report.results_file import plain, results_document

    plant = workbook.plant
    whole = run_portions(
        plant,
        workbook.problems,
        trace=trace_of(plant, workbook.name, workbook.source) if options.pdf else None,
        advice=options.advice,
        workers=workers,
        progress=progress,
    )
    results = whole.results
    if options.studies:
        progress("running the studies")
        results = replace(results, studies=studies or studied(workbook.book, consent=False, names=None))
    document = results_document(plant, results, name=workbook.name, sha256=workbook.book.sha256)
    changes = _changes(earlier, workbook, plain(document)) if earlier is not None else None
    if changes is not None:
        document["changes"] = changes
    progress("preparing the workbook and results.json")
    with ThreadPoolExecutor(1) as beside:
        # Copying files and waiting for the disk leave the interpreter to the workbook.
        document_written = beside.submit(write_results_file, whole, document)
        data = _with_results(workbook, results)
    files, page, printed = dict(whole.files), None, None
    if options.pdf:
        progress("printing the index")
        index, page, printed = write_index(whole, plant, changes)
        files.update(index)
    files[RESULTS_FILE] = document_written.result()
    made = _made(workbook, results, data, files)
    made = replace(made, note=printed, html=page, lacks=whole.lacks, room=whole.room, alarms=whole.alarms)
    return made, results


@no_collection()
def _with_results(workbook: Ready, results: Results) -> bytes:
    """The workbook with results, reopened and compared with what was meant."""
    from pipecalc.workbook.writer import write_results

    written = write_results(workbook.source, workbook.book, workbook.plant, results)
    written.verify()
    return written.data


def _made(workbook: Ready, results: Results, data: bytes, files: Mapping[str, bytes | Path]) -> Made:
    return Made(
        name=workbook.name,
        sha256=workbook.book.sha256,
        workbook=data,
        files=files,
        note=None,
        html=None,
        pages={},
        lacks="",
        over_limit=sum(c.status is Status.FAIL and not c.screening for c in results.checks),
        not_checked=sum(c.status is Status.NOT_CHECKED for c in results.checks),
        verdicts=tuple(_verdicts(workbook.plant, results)),
        problems=workbook.problems,
    )


def revision_of(name: str, book: "Book", progress: Progress = silent, *, apart: int = 0) -> "Side":
    """A workbook computed for a comparison; nothing is prepared for writing.

    Args:
        name: Its file name.
        book: Its rows.
        progress: Called with the name of each step as it begins.
        apart: How many processes work on a large plant, without movements along its lines; 0 to compute it as a whole.

    Raises:
        InputError: The workbook has errors; carries all of them.
    """
    from pipecalc.analysis.analyse import analyse
    from pipecalc.analysis.apart import is_large
    from pipecalc.comparison.records import Side
    from pipecalc.portions import run_portions
    from pipecalc.report.results_file import plain, results_document

    progress("checking")
    found = checked(book)
    if found.plant is None:
        raise InputError(list(found.problems))
    progress("computing")
    if apart and is_large(found.plant):
        results = run_portions(
            found.plant, found.problems, trace=None, advice=False, workers=apart, progress=progress
        ).results
    else:
        results = analyse(found.plant, found.problems, trial_runs=False)
    return Side(name, plain(results_document(found.plant, results, name=name, sha256=book.sha256)), book)


def _changes(earlier: "Side", workbook: Ready, document: "Document") -> "Changes":
    from pipecalc.comparison.compare import compare
    from pipecalc.comparison.records import Side

    return compare(earlier, Side(workbook.name, document, workbook.book))


def _note(workbook: Ready, results: Results, changes: "Changes | None", progress: Progress) -> "NoteFiles":
    from pipecalc.report.note import make_note, trace_of

    progress("printing the note")
    trace = trace_of(workbook.plant, workbook.name, workbook.source)
    return make_note(workbook.plant, results, trace, workbook.source, changes)


def _verdicts(plant: Plant, results: Results) -> Iterator[Verdict]:
    """Governing ratio and status of every line and nozzle, in workbook order."""
    from pipecalc.workbook.result_columns import checks_of

    for what, records in (("line", plant.lines), ("nozzle", plant.nozzles)):
        for name, record in records.items():
            own = checks_of(results, record)
            worst = governing(own)
            check = f"{worst.check}, {worst.case}" if worst else ""
            yield Verdict(what, name, worst.ratio if worst else None, check, str(worst_status(own)))


def _losses(source: bytes) -> list[Problem]:
    from pipecalc.schema.sheets import RESULT_SHEETS
    from pipecalc.workbook.losses import losses

    return [warning("not-kept", Address(), sentence) for sentence in losses(source, RESULT_SHEETS)]
