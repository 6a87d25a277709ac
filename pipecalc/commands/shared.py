"""What the commands share: exit statuses, progress, and how problems are printed."""

import argparse
import json
import os
import sys
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


def print_problems(path: Path, problems: Sequence["Problem"], *, quiet: bool) -> None:
    """Print problems, one on a line, and their number."""
    from pipecalc.problems import Severity

    shown = [p for p in problems if p.severity is Severity.ERROR or not quiet]
    for problem in shown:
        print(f"{problem.severity:<8} {problem.sentence()}")
    counts = {s: sum(p.severity is s for p in problems) for s in Severity}
    if not quiet:
        words = ", ".join(f"{count} {severity}{'s' if count != 1 else ''}" for severity, count in counts.items())
        print(f"{path}: {words}")


def print_warnings(problems: Sequence["Problem"], before: str = "") -> None:
    """Print warnings, among them what a written workbook cannot keep; each with some words before it."""
    from pipecalc.problems import Severity

    for problem in problems:
        if problem.severity is Severity.WARNING:
            print(f"warning  {before}{problem.sentence()}", flush=True)


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
