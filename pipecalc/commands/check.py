"""``pipecalc check``: read and validate, print all problems."""

import argparse
from pathlib import Path
from typing import Any

from pipecalc.commands.shared import (
    BAD_INPUT,
    RAN,
    add_all,
    complain,
    print_json,
    print_problems,
    problem_fields,
    unusable,
)


def add(commands: Any) -> None:
    """Declare the command and its arguments."""
    check = commands.add_parser("check", help="read and validate a workbook, print all problems")
    check.add_argument("files", type=Path, nargs="+", metavar="FILE", help="workbook")
    check.add_argument("--json", action="store_true", help="print the problems as JSON")
    check.add_argument("--quiet", action="store_true", help="print errors only")
    add_all(check)
    check.set_defaults(command=_check)


def _check(options: argparse.Namespace) -> int:
    from pipecalc import job
    from pipecalc.problems import FileUnusable

    status, documents = RAN, []
    for path in options.files:
        try:
            checked = job.check(path)
        except FileUnusable as problem:
            complain(f"{problem}")
            status = BAD_INPUT
            documents.append(unusable(path, problem))
            continue
        if checked.errors:
            status = BAD_INPUT
        documents.append({"file": str(path), "problems": [problem_fields(p) for p in checked.problems]})
        if not options.json:
            print_problems(path, checked.problems, quiet=options.quiet, every=options.all)
    if options.json:
        print_json(documents)
    return status
