"""The whole flow on one screen: read, check, build, analyse, write, print."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from pipecalc.making import Checked, Made, Options, Progress, silent
from pipecalc.model import Plant
from pipecalc.problems import FileUnusable, InputError, Problem
from pipecalc.results import Advice, Results, Study

if TYPE_CHECKING:
    from pipecalc.comparison.records import Side

Tell = Callable[[Sequence[Problem]], None]


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
        html: The note as HTML, or None where no note was wanted.
        made: Everything that was written, with its summary.
        plant: The plant as built.
        results: What was found.
    """

    name: str
    folder: Path
    workbook: Path
    backup: Path | None
    results_file: Path
    note: Path | None
    html: Path | None
    made: Made
    plant: Plant
    results: Results

    @property
    def lacks(self) -> str:
        """What the machine lacks for the PDF, or empty."""
        return self.made.lacks

    @property
    def problems(self) -> tuple[Problem, ...]:
        """Warnings and notes."""
        return self.made.problems

    @property
    def over_limit(self) -> int:
        """Number of checks over their limit; screening checks ask for analysis and do not count."""
        return self.made.over_limit

    @property
    def not_checked(self) -> int:
        """Number of checks that could not be made."""
        return self.made.not_checked


def check(path: Path | str) -> Checked:
    """Read and validate a workbook; nothing is computed or written.

    Raises:
        FileUnusable: The file cannot be read as a workbook.
    """
    from pipecalc.making import checked
    from pipecalc.workbook.reader import read

    return checked(read(Path(path)))


def run(
    path: Path | str,
    output: Path | str | None = None,
    *,
    in_place: bool = False,
    pdf: bool = True,
    advice: bool = False,
    studies: bool = False,
    since: Path | str | None = None,
    progress: Progress = silent,
    tell: Tell = silent,
    workers: int = 1,
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
        since: Earlier workbook or its results.json, for a chapter that tells what changed since.
        progress: Called with the name of each step as it begins.
        tell: Called with all warnings and notes before anything is computed or written.
        workers: How many processes may work side by side on a large plant. With more than one the caller's main module
            must be safe to import anew, as a program's is that starts under ``if __name__ == "__main__"``.

    Returns:
        Where things are, and the results.

    Raises:
        InputError: The workbook has errors; carries all of them. Nothing was written.
        FileUnusable: A file cannot be read or written. Files of an earlier run are whole.
    """
    from pipecalc import making
    from pipecalc.analysis.apart import is_large
    from pipecalc.output import Target, claimed, folder_name, output_root, write
    from pipecalc.workbook.package_zip import load_bytes

    path = Path(path)
    progress("reading")
    workbook = making.ready(path.name, load_bytes(path), progress)
    tell(workbook.problems)
    earlier = None if since is None else _earlier(since, progress, workers if is_large(workbook.plant) else 0)
    target = Target(path, output_root(output) / folder_name(path.name), in_place)
    with claimed(target):
        made, results = making.make(workbook, Options(pdf, advice, studies), progress, earlier, workers=workers)
        progress("writing the workbook")
        written = write(made, target, workbook.source)
    return Run(
        name=path.name,
        folder=written.folder,
        workbook=written.workbook,
        backup=written.backup,
        results_file=written.results_file,
        note=written.note,
        html=written.html,
        made=made,
        plant=workbook.plant,
        results=results,
    )


def advise(path: Path | str, *, progress: Progress = silent) -> tuple[Advice, ...]:
    """Advice on a workbook, found by running changed plants; nothing is written.

    Raises:
        InputError: The workbook has errors; carries all of them.
        FileUnusable: The file cannot be read.
    """
    from pipecalc import making
    from pipecalc.workbook.package_zip import load_bytes

    path = Path(path)
    workbook = making.ready(path.name, load_bytes(path), progress)
    progress("running changed plants")
    return making.analysed(workbook, advice=True).advice


def revision(path: Path | str, *, inputs_only: bool = False, progress: Progress = silent, apart: int = 0) -> "Side":
    """One side of a comparison: a workbook, computed unless inputs alone are wanted, or a results.json.

    Args:
        path: The workbook, or a file that ends in ``.json``.
        inputs_only: Compute nothing.
        progress: Called with the name of each step as it begins.
        apart: How many processes work on a large plant, without movements along its lines; 0 to compute it as a whole.

    Raises:
        InputError: The workbook has errors; carries all of them.
        FileUnusable: The file cannot be read.
    """
    from pipecalc.comparison.records import Side
    from pipecalc.making import revision_of
    from pipecalc.report.results_reader import read_results
    from pipecalc.workbook.reader import read

    path = Path(path)
    progress("reading")
    if path.suffix.lower() == ".json":
        return Side(path.name, read_results(path), None)
    book = read(path)
    return Side(path.name, None, book) if inputs_only else revision_of(path.name, book, progress, apart=apart)


def _earlier(since: Path | str, progress: Progress, apart: int) -> "Side":
    """The revision that changes are told from; its own errors must not pass for those of the workbook."""
    try:
        return revision(since, progress=lambda step: progress(f"{step} the earlier revision"), apart=apart)
    except InputError as bad:
        first = bad.problems[0].sentence()
        found = f"{since} has errors, so nothing can be compared with it. The first: {first}"
        raise FileUnusable("since", found) from bad


def study(
    path: Path | str, *, consent: bool = False, names: Sequence[str] | None = None, progress: Progress = silent
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
    from pipecalc import making
    from pipecalc.workbook.package_zip import load_bytes

    path = Path(path)
    workbook = making.ready(path.name, load_bytes(path), progress)
    progress("running the studies")
    return making.studied(workbook.book, consent=consent, names=names)
