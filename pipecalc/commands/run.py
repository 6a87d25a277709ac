"""``pipecalc run``: result columns, results.json and the calculation note."""

import argparse
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pipecalc.commands import crews
from pipecalc.commands.run_fields import results_fields
from pipecalc.commands.shared import (
    BAD_INPUT,
    LACKING,
    OVER_LIMIT,
    RAN,
    add_all,
    complain,
    print_json,
    print_problems,
    print_warnings,
    problem_fields,
    processors,
    progress_shown,
    unusable,
)

if TYPE_CHECKING:
    from pipecalc.job import Run
    from pipecalc.making import Options


def add(commands: Any) -> None:
    """Declare the command and its arguments."""
    run = commands.add_parser("run", help="compute: result columns, results.json and the calculation note")
    run.add_argument("files", type=Path, nargs="+", metavar="FILE", help="workbook, folder of workbooks, or pattern")
    run.add_argument("--output", type=Path, metavar="DIR", help="folder for results (default: output)")
    run.add_argument("--in-place", action="store_true", help="update the workbook itself, keeping a dated copy")
    run.add_argument("--no-note", action="store_true", help="leave the PDF note out")
    run.add_argument("--advice", action="store_true", help="also run changed plants for the chapter of advice")
    run.add_argument("--studies", action="store_true", help="also run the studies of the workbook")
    run.add_argument("--since", type=Path, metavar="OLD", help="tell in the note what changed since this workbook")
    crews.add(run, "one for each core where there are several workbooks")
    run.add_argument("--resume", action="store_true", help="leave workbooks out that were run and have not changed")
    run.add_argument("--strict", action="store_true", help="exit status 1 if a check is over its limit")
    run.add_argument("--quiet", action="store_true", help="print errors only")
    add_all(run)
    run.add_argument("--json", action="store_true", help="print a summary as JSON")
    run.set_defaults(command=_run)


def _run(options: argparse.Namespace) -> int:
    from pipecalc.batch.selection import is_single
    from pipecalc.making import Options

    wanted = Options(pdf=not options.no_note, advice=options.advice, studies=options.studies)
    shared_out = options.resume or options.scheduler or (options.studies and (options.workers or 1) > 1)
    if shared_out or not is_single(options.files):
        from pipecalc.commands.batch import run_many

        _refuse_since(options)
        return run_many(options, wanted)
    status, document = _run_one(options.files[0], options, wanted)
    if options.json:
        print_json([document])
    return status


def _refuse_since(options: argparse.Namespace) -> None:
    from pipecalc.problems import FileUnusable

    if options.since is not None:
        raise FileUnusable(
            "since",
            "--since goes with one workbook, as several have each another earlier revision; "
            "nor does it go with --resume, --scheduler, or --studies on several --workers",
        )


def _run_one(path: Path, options: argparse.Namespace, wanted: "Options") -> tuple[int, dict[str, Any]]:
    """One workbook in this process, with its steps and verdicts shown."""
    from pipecalc import job
    from pipecalc.problems import FileUnusable, InputError

    plain = not options.json and not options.quiet
    try:
        with progress_shown(path.name, hidden=not plain) as progress:
            done = job.run(
                path,
                options.output,
                in_place=options.in_place,
                pdf=wanted.pdf,
                advice=wanted.advice,
                studies=wanted.studies,
                since=options.since,
                progress=progress,
                tell=partial(print_warnings, every=options.all) if plain else lambda _: None,
                workers=options.workers or processors(),
            )
    except InputError as bad:
        if not options.json:
            print_problems(path, bad.problems, quiet=options.quiet, every=options.all)
        return BAD_INPUT, {"file": str(path), "problems": [problem_fields(p) for p in bad.problems]}
    except FileUnusable as problem:
        complain(f"{problem}")
        return BAD_INPUT, unusable(path, problem)
    if plain:
        _print_run(done)
    if done.lacks:
        complain(done.lacks)
    return _status(done, strict=options.strict), results_fields(done.name, done.made, done)


def _status(done: "Run", *, strict: bool) -> int:
    if done.lacks:
        return LACKING
    return OVER_LIMIT if strict and done.over_limit else RAN


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
