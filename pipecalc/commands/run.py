"""``pipecalc run``: result columns, results.json and the calculation note."""

import argparse
import hashlib
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pipecalc.commands.shared import (
    BAD_INPUT,
    LACKING,
    OVER_LIMIT,
    RAN,
    complain,
    print_json,
    print_problems,
    problem_fields,
    processors,
    progress_shown,
    unusable,
)

if TYPE_CHECKING:
    from pipecalc.job import Run
    from pipecalc.problems import Problem
    from pipecalc.report.index_entry import IndexEntry


def add(commands: Any) -> None:
    """Declare the command and its arguments."""
    run = commands.add_parser("run", help="compute: result columns, results.json and the calculation note")
    run.add_argument("files", type=Path, nargs="+", metavar="FILE", help="workbook")
    run.add_argument("--output", type=Path, metavar="DIR", help="folder for results (default: output)")
    run.add_argument("--in-place", action="store_true", help="update the workbook itself, keeping a dated copy")
    run.add_argument("--no-note", action="store_true", help="leave the PDF note out")
    run.add_argument("--advice", action="store_true", help="also run changed plants for the chapter of advice")
    run.add_argument("--studies", action="store_true", help="also run the studies of the workbook")
    run.add_argument("--since", type=Path, metavar="OLD", help="tell in the note what changed since this workbook")
    run.add_argument("--strict", action="store_true", help="exit status 1 if a check is over its limit")
    run.add_argument("--quiet", action="store_true", help="print errors only")
    run.add_argument("--json", action="store_true", help="print a summary as JSON")
    run.set_defaults(command=_run)


def _run(options: argparse.Namespace) -> int:
    _refuse_same_names(options.files)
    _refuse_since_for_many(options)
    outcomes = [_run_one(path, options) for path in options.files]
    if options.json:
        print_json([outcome.document for outcome in outcomes])
    status = max(outcome.status for outcome in outcomes)
    if len(outcomes) > 1:
        status = max(status, _write_index([outcome.entry for outcome in outcomes], options))
    return status


@dataclass(frozen=True, slots=True)
class _Outcome:
    """What became of one workbook: exit status, what --json says of it, and its entry in the index."""

    status: int
    document: dict[str, Any]
    entry: "IndexEntry"


def _write_index(entries: "Sequence[IndexEntry]", options: argparse.Namespace) -> int:
    """One index beside the notes of several workbooks."""
    from pipecalc.output import output_root
    from pipecalc.problems import EnvironmentLacks
    from pipecalc.report.index_document import write_index

    folder = output_root(options.output)
    try:
        files = write_index(entries, folder, pdf=not options.no_note)
    except EnvironmentLacks as lacking:
        complain(f"{lacking}")
        return LACKING
    if not options.json and not options.quiet:
        print(f"  {'index':<9} {files.pdf or files.html}")
    return RAN


def _refuse_same_names(files: Sequence[Path]) -> None:
    """Two workbooks of one name would write into one folder, the second over the first."""
    from pipecalc.problems import FileUnusable
    from pipecalc.workbook.file_names import portable, same_place

    folders: dict[str, Path] = {}
    for path in files:
        folder = Path(portable(path.name)).stem
        other = folders.setdefault(same_place(folder), path)
        if other is not path:
            raise FileUnusable("same-name", f"{other} and {path} would both write to {folder}/; run them apart")


def _refuse_since_for_many(options: argparse.Namespace) -> None:
    from pipecalc.problems import FileUnusable

    if options.since is not None and len(options.files) > 1:
        raise FileUnusable("since", "--since goes with one workbook: the others have another earlier revision")


def _run_one(path: Path, options: argparse.Namespace) -> _Outcome:
    """One workbook; what is wrong with it does not keep the others from running."""
    from pipecalc import job
    from pipecalc.problems import FileUnusable, InputError, Severity
    from pipecalc.report.index_entry import failed_entry

    plain = not options.json and not options.quiet
    try:
        with progress_shown(path.name, hidden=not plain) as progress:
            done = job.run(
                path,
                options.output,
                in_place=options.in_place,
                pdf=not options.no_note,
                advice=options.advice,
                studies=options.studies,
                since=options.since,
                progress=progress,
                tell=_print_warnings if plain else lambda _: None,
                workers=processors(),
            )
    except InputError as bad:
        if not options.json:
            print_problems(path, bad.problems, quiet=options.quiet)
        document = {"file": str(path), "problems": [problem_fields(p) for p in bad.problems]}
        errors = [p.sentence() for p in bad.problems if p.severity is Severity.ERROR]
        return _Outcome(BAD_INPUT, document, failed_entry(path.name, "the workbook has errors", errors, _sha256(path)))
    except FileUnusable as problem:
        complain(f"{problem}")
        return _Outcome(BAD_INPUT, unusable(path, problem), failed_entry(path.name, f"{problem}", (), _sha256(path)))
    if plain:
        _print_run(done)
    if done.lacks:
        complain(done.lacks)
    return _Outcome(_status(done, strict=options.strict), _summary(done), index_entry(done))


def _sha256(path: Path) -> str:
    """Of a workbook that gave no results; empty where it cannot be read."""
    try:
        return hashlib.sha256(path.read_bytes()).hexdigest()
    except OSError:
        return ""


def index_entry(done: "Run") -> "IndexEntry":
    """What the index of several notes says of a run."""
    from pipecalc.report.index_entry import entry_of

    return entry_of(
        done.plant,
        done.results,
        workbook=done.name,
        sha256=done.made.sha256,
        note=done.note,
        page=done.html,
        results_file=done.results_file,
        pages=done.made.pages,
    )


def _status(done: "Run", *, strict: bool) -> int:
    if done.lacks:
        return LACKING
    return OVER_LIMIT if strict and done.over_limit else RAN


def _print_warnings(problems: Sequence["Problem"]) -> None:
    """Before anything is written: among them what the written workbook could not keep."""
    from pipecalc.problems import Severity

    for problem in problems:
        if problem.severity is Severity.WARNING:
            print(f"warning  {problem.sentence()}", flush=True)


def _print_run(done: "Run") -> None:
    for verdict in done.made.verdicts:
        ratio = "" if verdict.ratio is None else f"{verdict.ratio:6.2f}"
        print(f"  {verdict.what:<8} {verdict.subject:<16} {ratio:>6}  {verdict.status:<14} {verdict.check}")
    print(f"{done.name}: {done.over_limit} over the limit, {done.not_checked} not checked")
    for label, path in (("workbook", done.workbook), ("note", done.note or done.html), ("results", done.results_file)):
        if path is not None:
            print(f"  {label:<9} {path}")
    if done.backup is not None:
        print(f"  {'earlier':<9} {done.backup}")
    print("  FOR REVIEW: screening by a tool; a competent engineer decides.")


def _summary(done: "Run") -> dict[str, Any]:
    return {
        "file": done.name,
        "over_limit": done.over_limit,
        "not_checked": done.not_checked,
        "verdicts": [asdict(verdict) for verdict in done.made.verdicts],
        "workbook": str(done.workbook),
        "note": str(done.note) if done.note else None,
        "html": str(done.html) if done.html else None,
        "results": str(done.results_file),
    }
