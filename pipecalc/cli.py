"""Command line: arguments in, exit status out."""

import argparse
import json
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from math import isfinite
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pipecalc.version import __version__

if TYPE_CHECKING:
    from pipecalc.job import Run
    from pipecalc.problems import FileUnusable, Problem
    from pipecalc.results import Study

RAN, OVER_LIMIT, BAD_INPUT, LACKING, STOPPED = 0, 1, 2, 3, 130

_EXAMPLES = """\
examples:
  pipecalc blank plant.xlsx                   a new workbook with every sheet, in SI units
  pipecalc blank demo.xlsx --example          the same, filled with the demonstration plant
  pipecalc check plant.xlsx                   read and validate only; prints all problems
  pipecalc run plant.xlsx                     results to output/plant/
  pipecalc run a.xlsx b.xlsx --output DIR     several workbooks, results under DIR
  pipecalc run plant.xlsx --strict            exit status 1 if a check is over its limit
  pipecalc advise plant.xlsx                  where a stop, a spring or a longer leg would help
  pipecalc study plant.xlsx                   the tables of the sheet Studies

exit status:
  0  it ran
  1  a check is over its limit, and --strict was given
  2  the input has errors, or a file cannot be read or written
  3  the machine lacks something, and the message says what and how to get it; or the program itself is at fault
  130  stopped from the keyboard

The note is FOR REVIEW: a competent engineer decides, and the code edition of record and the vendors govern.
"""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line and return the exit status."""
    _readable_output()
    options = _parser().parse_args(arguments)
    command: Callable[[argparse.Namespace], int] = options.command
    from pipecalc.problems import EnvironmentLacks, FileUnusable

    try:
        return command(options)
    except FileUnusable as problem:
        _complain(f"{problem}")
        return BAD_INPUT
    except EnvironmentLacks as lacking:
        _complain(f"{lacking}")
        return LACKING
    except ModuleNotFoundError as missing:
        _complain(f"The Python package {missing.name} is missing; install it with: pip install --upgrade pipecalc")
        return LACKING
    except KeyboardInterrupt:
        _complain("Stopped; what was written so far is whole.")
        return STOPPED
    except Exception:
        import traceback

        traceback.print_exc()
        _complain("This is a fault of the program, not of the workbook. What was written so far is whole.")
        return LACKING


def _readable_output() -> None:
    """A console that lacks a character shows a stand-in instead of failing."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="replace")


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="pipecalc",
        description="Piping flexibility, supports and nozzle loads: "
        "a workbook in, result columns and a calculation note out.",
        epilog=_EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="version", version=f"pipecalc {__version__}")
    commands = parser.add_subparsers(title="commands", required=True, metavar="COMMAND")
    _add_blank(commands)
    _add_check(commands)
    _add_run(commands)
    _add_advise(commands)
    _add_study(commands)
    return parser


def _add_blank(commands: Any) -> None:
    blank = commands.add_parser("blank", help="write a new workbook to fill in")
    blank.add_argument("file", type=Path, metavar="FILE", help="the workbook to write, ending in .xlsx")
    blank.add_argument("--units", choices=("SI", "US"), default="SI", help="units of the units rows (default: SI)")
    blank.add_argument(
        "--example",
        nargs="?",
        const=DEMO,
        metavar="NAME",
        help=f"fill it with an example plant (default: {DEMO})",
    )
    blank.add_argument("--overwrite", action="store_true", help="replace the file if it exists")
    blank.set_defaults(command=_blank)


def _add_check(commands: Any) -> None:
    check = commands.add_parser("check", help="read and validate a workbook, print all problems")
    check.add_argument("files", type=Path, nargs="+", metavar="FILE", help="workbook")
    check.add_argument("--json", action="store_true", help="print the problems as JSON")
    check.add_argument("--quiet", action="store_true", help="print errors only")
    check.set_defaults(command=_check)


def _add_run(commands: Any) -> None:
    run = commands.add_parser("run", help="compute: result columns, results.json and the calculation note")
    run.add_argument("files", type=Path, nargs="+", metavar="FILE", help="workbook")
    run.add_argument("--output", type=Path, metavar="DIR", help="folder for results (default: output)")
    run.add_argument("--in-place", action="store_true", help="update the workbook itself, keeping a dated copy")
    run.add_argument("--no-note", action="store_true", help="leave the PDF note out")
    run.add_argument("--advice", action="store_true", help="also run changed plants for the chapter of advice")
    run.add_argument("--studies", action="store_true", help="also run the studies of the workbook")
    run.add_argument("--strict", action="store_true", help="exit status 1 if a check is over its limit")
    run.add_argument("--quiet", action="store_true", help="print errors only")
    run.add_argument("--json", action="store_true", help="print a summary as JSON")
    run.set_defaults(command=_run)


def _add_advise(commands: Any) -> None:
    advise = commands.add_parser("advise", help="say what would help, found by running changed plants; writes nothing")
    advise.add_argument("file", type=Path, metavar="FILE", help="workbook")
    advise.add_argument("--json", action="store_true", help="print the advice as JSON")
    advise.set_defaults(command=_advise)


def _add_study(commands: Any) -> None:
    study = commands.add_parser("study", help="run the studies of a workbook and print their tables; writes nothing")
    study.add_argument("file", type=Path, metavar="FILE", help="workbook")
    study.add_argument("--name", action="append", metavar="STUDY", help="only this study; may be given again")
    study.add_argument("--yes", action="store_true", help="go on with more than 10,000 runs")
    study.add_argument("--json", action="store_true", help="print the tables as JSON")
    study.set_defaults(command=_study)


#: Name of the example that the demonstration workbook is filled with.
DEMO = "geothermal-heat"


def _blank(options: argparse.Namespace) -> int:
    from pipecalc.problems import FileUnusable
    from pipecalc.workbook.blank import write_blank

    if options.file.exists() and not options.overwrite:
        raise FileUnusable("exists", f"{options.file} exists; give --overwrite to replace it")
    try:
        write_blank(options.file, units=options.units, example=options.example)
    except KeyError as unknown:
        raise FileUnusable("unknown-example", str(unknown.args[0])) from None
    print(f"wrote {options.file}")
    return RAN


def _check(options: argparse.Namespace) -> int:
    from pipecalc import job
    from pipecalc.problems import FileUnusable

    status, documents = RAN, []
    for path in options.files:
        try:
            checked = job.check(path)
        except FileUnusable as problem:
            _complain(f"{problem}")
            status = BAD_INPUT
            documents.append(_unusable(path, problem))
            continue
        if checked.errors:
            status = BAD_INPUT
        documents.append({"file": str(path), "problems": [_plain(p) for p in checked.problems]})
        if not options.json:
            _print_problems(path, checked.problems, quiet=options.quiet)
    if options.json:
        print(json.dumps(documents, ensure_ascii=False, indent=1))
    return status


def _run(options: argparse.Namespace) -> int:
    _refuse_same_names(options.files)
    outcomes = [_run_one(path, options) for path in options.files]
    if options.json:
        print(json.dumps([document for _, document in outcomes], ensure_ascii=False, indent=1))
    return max(status for status, _ in outcomes)


def _advise(options: argparse.Namespace) -> int:
    from pipecalc import job

    def found() -> int:
        with _progress(options.file.name, hidden=options.json) as progress:
            advice = job.advise(options.file, progress=progress)
        if options.json:
            print(json.dumps([_fields(item) for item in advice], ensure_ascii=False, indent=1))
        for item in () if options.json else advice:
            where = f" ({item.sheet}, row {item.row})" if item.sheet else ""
            print(f"{item.about}{where}\n    {item.text}")
        return RAN

    return _or_problems(options, found)


def _study(options: argparse.Namespace) -> int:
    from pipecalc import job

    def found() -> int:
        with _progress(options.file.name, hidden=options.json) as progress:
            studies = job.study(options.file, consent=options.yes, names=options.name, progress=progress)
        if options.json:
            print(json.dumps([_fields(study) for study in studies], ensure_ascii=False, indent=1))
        for study in () if options.json else studies:
            _print_study(study)
        if not studies and not options.json:
            print(f"{options.file}: the sheet Studies is empty")
        return RAN

    return _or_problems(options, found)


def _or_problems(options: argparse.Namespace, action: Callable[[], int]) -> int:
    """Carry an action out; errors of the workbook are printed instead."""
    from pipecalc.problems import InputError

    try:
        return action()
    except InputError as bad:
        if options.json:
            print(json.dumps([_plain(p) for p in bad.problems], ensure_ascii=False, indent=1))
        else:
            _print_problems(options.file, bad.problems, quiet=False)
        return BAD_INPUT


def _print_study(study: "Study") -> None:
    print(f"{study.study}: {study.watch or 'the worst of all'}")
    print("  " + "  ".join(f"{label:>16}" for label in study.variables) + "   ratio  status          governed by")
    for row in study.rows:
        values = "  ".join(f"{value:>16}" for value in row.values)
        ratio = f"{row.ratio:7.2f}" if isfinite(row.ratio) else "      -"
        print(f"  {values} {ratio}  {row.status:<14}  {row.subject} {row.check} {row.case} {row.reason}".rstrip())


def _fields(record: object) -> Any:
    from pipecalc.report.results_file import plain

    return plain(record)


def _refuse_same_names(files: Sequence[Path]) -> None:
    """Two workbooks of one name would write into one folder, the second over the first."""
    from pipecalc.problems import FileUnusable

    folders: dict[str, Path] = {}
    for path in files:
        other = folders.setdefault(path.stem.lower(), path)
        if other is not path:
            raise FileUnusable("same-name", f"{other} and {path} would both write to {path.stem}/; run them apart")


def _run_one(path: Path, options: argparse.Namespace) -> tuple[int, dict[str, Any]]:
    """One workbook; what is wrong with it does not keep the others from running."""
    from pipecalc import job
    from pipecalc.problems import FileUnusable, InputError

    plain = not options.json and not options.quiet
    try:
        with _progress(path.name, hidden=not plain) as progress:
            done = job.run(
                path,
                options.output,
                in_place=options.in_place,
                pdf=not options.no_note,
                advice=options.advice,
                studies=options.studies,
                progress=progress,
                tell=_print_warnings if plain else lambda _: None,
            )
    except InputError as bad:
        if not options.json:
            _print_problems(path, bad.problems, quiet=options.quiet)
        return BAD_INPUT, {"file": str(path), "problems": [_plain(p) for p in bad.problems]}
    except FileUnusable as problem:
        _complain(f"{problem}")
        return BAD_INPUT, _unusable(path, problem)
    if plain:
        _print_run(done)
    if done.lacks:
        _complain(done.lacks)
    return _status(done, strict=options.strict), _summary(done)


def _unusable(path: Path, problem: "FileUnusable") -> dict[str, Any]:
    return {"file": str(path), "unusable": problem.code, "message": str(problem)}


def _status(done: "Run", *, strict: bool) -> int:
    if done.lacks:
        return LACKING
    return OVER_LIMIT if strict and done.over_limit else RAN


@contextmanager
def _progress(name: str, *, hidden: bool) -> Iterator[Callable[[str], None]]:
    """A moving display on a terminal, plain lines where output is piped."""
    if hidden:
        yield lambda _: None
    elif sys.stderr.isatty():
        from rich.console import Console

        with Console(stderr=True).status(name) as status:
            yield lambda step: status.update(f"{name}: {step}")
    else:
        yield lambda step: print(f"{name}: {step}", file=sys.stderr)


def _print_problems(path: Path, problems: Sequence["Problem"], *, quiet: bool) -> None:
    from pipecalc.problems import Severity

    shown = [p for p in problems if p.severity is Severity.ERROR or not quiet]
    for problem in shown:
        print(f"{problem.severity:<8} {problem.sentence()}")
    counts = {s: sum(p.severity is s for p in problems) for s in Severity}
    if not quiet:
        words = ", ".join(f"{count} {severity}{'s' if count != 1 else ''}" for severity, count in counts.items())
        print(f"{path}: {words}")


def _print_warnings(problems: Sequence["Problem"]) -> None:
    """Before anything is written: among them what the written workbook could not keep."""
    from pipecalc.problems import Severity

    for problem in problems:
        if problem.severity is Severity.WARNING:
            print(f"warning  {problem.sentence()}", flush=True)


def _print_run(done: "Run") -> None:
    for verdict in verdicts(done):
        ratio = "" if verdict["ratio"] is None else f"{verdict['ratio']:6.2f}"
        print(f"  {verdict['what']:<8} {verdict['subject']:<16} {ratio:>6}  {verdict['status']:<14} {verdict['check']}")
    print(f"{done.name}: {done.over_limit} over the limit, {done.not_checked} not checked")
    for label, path in (("workbook", done.workbook), ("note", done.note or done.html), ("results", done.results_file)):
        if path is not None:
            print(f"  {label:<9} {path}")
    if done.backup is not None:
        print(f"  {'earlier':<9} {done.backup}")
    print("  FOR REVIEW: screening by a tool; a competent engineer decides.")


def verdicts(done: "Run") -> list[dict[str, Any]]:
    """Governing ratio and status of every line and nozzle, in workbook order."""
    from pipecalc.results import governing, worst_status
    from pipecalc.workbook.result_columns import checks_of

    found = []
    for what, records in (("line", done.plant.lines), ("nozzle", done.plant.nozzles)):
        for name, record in records.items():
            own = checks_of(done.results, record)
            worst = governing(own)
            found.append(
                {
                    "what": what,
                    "subject": name,
                    "ratio": worst.ratio if worst else None,
                    "check": f"{worst.check}, {worst.case}" if worst else "",
                    "status": str(worst_status(own)),
                }
            )
    return found


def _summary(done: "Run") -> dict[str, Any]:
    return {
        "file": done.name,
        "over_limit": done.over_limit,
        "not_checked": done.not_checked,
        "verdicts": verdicts(done),
        "workbook": str(done.workbook),
        "note": str(done.note) if done.note else None,
        "html": str(done.html) if done.html else None,
        "results": str(done.results_file),
    }


def _plain(problem: "Problem") -> dict[str, str]:
    return {
        "severity": str(problem.severity),
        "code": problem.code,
        "address": str(problem.address),
        "found": problem.found,
        "accepted": problem.accepted,
        "hint": problem.hint,
    }


def _complain(text: str) -> None:
    print(text, file=sys.stderr)
