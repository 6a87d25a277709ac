"""Many workbooks run by a crew; what is wrong with one does not keep the others from running.

This process alone reads and writes files: a workbook's bytes go to a worker, the bytes of its results come back and
are put in place here. So a worker may end at any moment, and needs no disk in common with this process.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import ExitStack, suppress
from dataclasses import dataclass, replace
from pathlib import Path

from pipecalc.batch.crew import Answer, Call, Crew
from pipecalc.batch.record import NAME, Summary, record_bytes, sha256, summary_of, unchanged
from pipecalc.batch.selection import Item
from pipecalc.batch.spread import Source, WorkLost, spread_studies
from pipecalc.batch.work import Outcome, run_workbook
from pipecalc.making import RESULTS_FILE, Options
from pipecalc.output import Target, Written, claimed, write
from pipecalc.problems import FileUnusable, InputError, Problem, Severity
from pipecalc.report.index_entry import IndexEntry, failed_entry
from pipecalc.results import Study
from pipecalc.workbook.package_zip import load_bytes
from pipecalc.workbook.places import is_there
from pipecalc.workbook.swap import write_safely


@dataclass(frozen=True, slots=True)
class Plan:
    """How workbooks are to be run.

    Attributes:
        output: The folder that holds the folders of results.
        options: What is wanted of each.
        in_place: Update the workbooks themselves too.
        resume: Leave those as they are that an earlier run has done and nothing has changed of.
        spread: Run the points of studies as calls of their own.
    """

    output: Path
    options: Options
    in_place: bool = False
    resume: bool = False
    spread: bool = False


@dataclass(frozen=True, slots=True)
class Ended:
    """What became of a workbook: results, or the reason why there are none.

    Attributes:
        item: The workbook.
        sha256: Of its bytes, or empty where it cannot be read.
        seconds: How long it took a worker [s].
        summary: What was found; None where there are no results.
        written: Where everything is; None likewise.
        kept: Whether it is left as an earlier run made it.
        problems: Warnings and notes; all problems where the workbook has errors.
        unusable: Why a file cannot be read or written, or None.
        lacks: What the machine lacks for the PDF, or empty.
        fault: What went wrong in the program, or empty.
    """

    item: Item
    sha256: str = ""
    seconds: float = 0.0
    summary: Summary | None = None
    written: Written | None = None
    kept: bool = False
    problems: tuple[Problem, ...] = ()
    unusable: FileUnusable | None = None
    lacks: str = ""
    fault: str = ""

    @property
    def why(self) -> str:
        """Why there are no results, in a few words."""
        if self.unusable is not None:
            return str(self.unusable)
        if self.fault:
            return self.fault.strip().splitlines()[-1]
        return "the workbook has errors"

    @property
    def entry(self) -> IndexEntry:
        """What an index of all says of it."""
        label = self.item.label
        if self.summary is not None and self.written is not None:
            places = {"note": self.written.note, "page": self.written.html, "results": self.written.results_file}
            named = {key: str(path.resolve()) if path else "" for key, path in places.items()}
            return replace(self.summary.entry, workbook=label, **named)  # type: ignore[arg-type]
        errors = [p.sentence() for p in self.problems if p.severity is Severity.ERROR]
        return failed_entry(label, self.why, errors, self.sha256)


#: Told of each step of each workbook, and of each that ended.
Step = Callable[[Item, str], None]
End = Callable[[Ended], None]


def run_batch(items: Sequence[Item], plan: Plan, crew: Crew, step: Step, end: End) -> list[Ended]:
    """Run workbooks, larger ones first.

    Args:
        items: The workbooks.
        plan: How they are to be run.
        crew: Who does the work.
        step: Told of each step as it begins.
        end: Told of each workbook as it ends.

    Returns:
        What became of each, in the order of ``items``.
    """
    batch = _Batch(items, plan, step, end)
    missing = _missing(plan.output / item.folder for item in items)
    try:
        if plan.options.studies and plan.spread:
            batch.run_studies(crew)
        for answer in crew.answers(batch.calls(), lambda key, what: step(items[key], what)):
            batch.take(answer)
    finally:
        batch.release()
        for folder in missing:  # workbooks without results share the folders above theirs
            with suppress(OSError):
                folder.rmdir()
    return [batch.ended[key] for key in range(len(items))]


class _Batch:
    """The workbooks on their way; ``key`` is the place of one among them."""

    def __init__(self, items: Sequence[Item], plan: Plan, step: Step, end: End) -> None:
        self.items, self.plan, self.step = items, plan, step
        self.ended: dict[int, Ended] = {}
        self._end = end
        self._under_way: dict[int, _UnderWay] = {}
        self._studies: dict[int, tuple[str, tuple[Study, ...]]] = {}

    def run_studies(self, crew: Crew) -> None:
        """Run the studies of all workbooks first; one with errors says so when it is run.

        Studies that are lost with a worker are run again with their workbooks.
        """
        from pipecalc.studies import planned
        from pipecalc.workbook.reader import read

        sources: dict[int, Source] = {}
        for key, item in enumerate(self.items):
            try:
                data = load_bytes(item.path)
                if self.plan.resume and unchanged(self._target(item), data, self.plan.options) is not None:
                    continue
                book = read(data, item.path.name)
                if planned(book):
                    self.step(item, "running the studies")
                    sources[key] = Source(item.path.name, data, book)
            except (FileUnusable, InputError):
                continue
        with suppress(WorkLost):
            for key, studies in zip(sources, spread_studies(crew, list(sources.values())), strict=True):
                self._studies[key] = (sources[key].book.sha256, studies)

    def calls(self) -> Iterator[Call]:
        """A call for each workbook that has to be run, larger ones first, so that none is left over at the end."""
        for key in sorted(range(len(self.items)), key=lambda key: -_size(self.items[key].path)):
            call = self._begun(key)
            if call is not None:
                yield call

    def _begun(self, key: int) -> Call | None:
        item = self.items[key]
        target = self._target(item)
        try:
            data = load_bytes(item.path)
            checksum = sha256(data)
            if self.plan.resume:
                summary = unchanged(target, data, self.plan.options)
                if summary is not None:
                    self._put(key, Ended(item, checksum, 0.0, summary, _places(target, summary), kept=True))
                    return None
            hold = ExitStack()
            hold.enter_context(claimed(target))
        except FileUnusable as problem:
            self._put(key, Ended(item, unusable=problem))
            return None
        self._under_way[key] = _UnderWay(target, data, checksum, hold)
        known, studies = self._studies.pop(key, ("", None))
        return Call(
            key, run_workbook, (item.path.name, data, self.plan.options, studies if known == checksum else None)
        )

    def take(self, answer: Answer) -> None:
        """Put the results of a workbook in place."""
        item, work = self.items[answer.key], self._under_way.pop(answer.key)
        try:
            if answer.fault:
                ended = Ended(item, work.sha256, fault=answer.fault)
            else:
                ended = self._written(item, work, answer.value)
        except FileUnusable as problem:
            ended = Ended(item, work.sha256, answer.value.seconds, unusable=problem)
        finally:
            work.hold.close()
        self._put(answer.key, ended)

    def _written(self, item: Item, work: "_UnderWay", outcome: Outcome) -> Ended:
        ended = Ended(item, work.sha256, outcome.seconds, problems=outcome.problems)
        made, entry = outcome.made, outcome.entry
        if outcome.unusable is not None:
            return replace(ended, unusable=FileUnusable(*outcome.unusable))
        if made is None or entry is None:
            return ended
        self.step(item, "writing")
        written = write(made, work.target, work.source)
        if not made.lacks:  # once the machine has what it lacks, the workbook is to be run again
            write_safely(work.target.folder / NAME, record_bytes(made, entry, work.target, self.plan.options))
        summary = summary_of(made, entry)
        return replace(ended, summary=summary, written=written, problems=made.problems, lacks=made.lacks)

    def release(self) -> None:
        """Give up the places of workbooks that did not end."""
        for work in self._under_way.values():
            work.hold.close()
        self._under_way.clear()

    def _put(self, key: int, ended: Ended) -> None:
        self.ended[key] = ended
        self._end(ended)

    def _target(self, item: Item) -> Target:
        return Target(item.path, self.plan.output / item.folder, self.plan.in_place)


@dataclass(frozen=True, slots=True)
class _UnderWay:
    """A workbook that a worker has: where its results go, its bytes, and the hold on that place."""

    target: Target
    source: bytes
    sha256: str
    hold: ExitStack


def _missing(folders: Iterable[Path]) -> list[Path]:
    """Folders, and those above them, that do not exist yet; the deepest first."""
    every = {above for folder in folders for above in (folder, *folder.parents)}
    return sorted((f for f in every if not is_there(f)), key=lambda f: -len(f.parts))


def _places(target: Target, summary: Summary) -> Written:
    folder = target.folder
    note, html = (folder / name if name else None for name in (summary.note, summary.html))
    return Written(folder, target.copy, None, folder / RESULTS_FILE, note, html)


def _size(path: Path) -> int:
    """Size of a workbook's file, by which its work is guessed; 0 where it cannot be told."""
    try:
        return path.stat().st_size
    except OSError:
        return 0
