"""``pipecalc advise``: what would help, found by running changed plants."""

import argparse
from pathlib import Path
from typing import Any

from pipecalc.commands.shared import RAN, fields, or_problems, print_json, progress_shown


def add(commands: Any) -> None:
    """Declare the command and its arguments."""
    advise = commands.add_parser("advise", help="say what would help, found by running changed plants; writes nothing")
    advise.add_argument("file", type=Path, metavar="FILE", help="workbook")
    advise.add_argument("--json", action="store_true", help="print the advice as JSON")
    advise.set_defaults(command=_advise)


def _advise(options: argparse.Namespace) -> int:
    from pipecalc import job

    def found() -> int:
        with progress_shown(options.file.name, hidden=options.json) as progress:
            advice = job.advise(options.file, progress=progress)
        if options.json:
            print_json([fields(item) for item in advice])
        for item in () if options.json else advice:
            where = f" ({item.sheet}, row {item.row})" if item.sheet else ""
            print(f"{item.about}{where}\n    {item.text}")
        return RAN

    return or_problems(options, found)
