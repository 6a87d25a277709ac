"""What the commands share: exit statuses, progress, and how problems are printed."""

import argparse
import json
import os
import sys
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pipecalc.problems import FileUnusable, Problem

RAN, OVER_LIMIT, BAD_INPUT, LACKING, STOPPED = 0, 1, 2, 3, 130


def or_problems(options: argparse.Namespace, action: Callable[[], int]) -> int:
    """Carry an action out; errors of the workbook are printed instead."""
    from pipecalc.problems import InputError

    try:
        return action()
    except InputError as bad:
        if options.json:
            print_json([problem_fields(p) for p in bad.problems])
        else:
            print_problems(options.file, bad.problems, quiet=False)
        return BAD_INPUT


def processors() -> int:
    """How many processors this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def unusable(path: Path, problem: "FileUnusable") -> dict[str, Any]:
    """What --json says of a file that cannot be used."""
    return {"file": str(path), "unusable": problem.code, "message": str(problem)}


@contextmanager
def progress_shown(name: str, *, hidden: bool) -> Iterator[Callable[[str], None]]:
    """A moving display on a terminal, plain lines where output is piped."""
    if hidden:
        yield lambda _: None
    elif sys.stderr.isatty():
        from rich.console import Console

        with Console(stderr=True).status(name) as status:
            yield lambda step: status.update(f"{name}: {step}")
    else:
        yield lambda step: print(f"{name}: {step}", file=sys.stderr)


#: So many problems of one kind are printed; thousands of rows may bear the same one.
SHOWN_OF_A_KIND = 20
_ALL_HERE, _ALL_ELSEWHERE = "--all shows every one", "pipecalc check --all shows every one"


def add_all(command: argparse.ArgumentParser) -> None:
    """Declare the option that has every problem printed."""
    command.add_argument(
        "--all", action="store_true", help=f"print every problem, not only the first {SHOWN_OF_A_KIND} of each kind"
    )


def print_problems(path: Path, problems: Sequence["Problem"], *, quiet: bool, every: bool | None = None) -> None:
    """Print problems, one on a line, and their number.

    Args:
        path: The workbook.
        problems: All of them.
        quiet: Print errors only.
        every: Print every one, not only the first of each kind; None where the command does not offer it.
    """
    from pipecalc.problems import Severity

    shown = [p for p in problems if p.severity is Severity.ERROR or not quiet]
    hint = _ALL_ELSEWHERE if every is None else _ALL_HERE
    for line in _lines(shown, "", hint, every=bool(every)):
        print(line)
    counts = {s: sum(p.severity is s for p in problems) for s in Severity}
    if not quiet:
        words = ", ".join(f"{count} {severity}{'s' if count != 1 else ''}" for severity, count in counts.items())
        print(f"{path}: {words}")


def print_warnings(problems: Sequence["Problem"], before: str = "", *, every: bool = False) -> None:
    """Print warnings, among them what a written workbook cannot keep; each with some words before it."""
    from pipecalc.problems import Severity

    for line in _lines([p for p in problems if p.severity is Severity.WARNING], before, _ALL_HERE, every=every):
        print(line, flush=True)


def _lines(problems: Sequence["Problem"], before: str, hint: str, *, every: bool) -> Iterator[str]:
    """A line for each problem, at most so many of one kind, and one for each kind of which there are more."""
    kinds = Counter[tuple[str, str]]()
    for problem in problems:
        kinds[problem.severity, problem.code] += 1
        if every or kinds[problem.severity, problem.code] <= SHOWN_OF_A_KIND:
            yield f"{problem.severity:<8} {before}{problem.sentence()}"
    for (severity, code), count in kinds.items():
        if not every and count > SHOWN_OF_A_KIND:
            yield f"{severity:<8} {before}{code}: and {count - SHOWN_OF_A_KIND:,} more of this kind; {hint}"


def fields(record: object) -> Any:
    """A record as plain values for --json."""
    from pipecalc.report.results_file import plain

    return plain(record)


def problem_fields(problem: "Problem") -> dict[str, str]:
    """A problem as plain values for --json."""
    return {
        "severity": str(problem.severity),
        "code": problem.code,
        "address": str(problem.address),
        "found": problem.found,
        "accepted": problem.accepted,
        "hint": problem.hint,
    }


def complain(text: str) -> None:
    """Print to the stream of errors."""
    from pipecalc.problems import visible

    print("\n".join(visible(line) for line in text.split("\n")), file=sys.stderr)


def print_json(document: object) -> None:
    """Print a document for machines; nothing of it is lost on a console that lacks characters."""
    can_all = (sys.stdout.encoding or "").lower().replace("-", "") == "utf8"
    print(json.dumps(document, ensure_ascii=not can_all, indent=1))
