"""``pipecalc blank``: a new workbook to fill in."""

import argparse
from pathlib import Path
from typing import Any

from pipecalc.commands.shared import RAN

#: Name of the example that the demonstration workbook is filled with.
DEMO = "geothermal-heat"


def add(commands: Any) -> None:
    """Declare the command and its arguments."""
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


def _blank(options: argparse.Namespace) -> int:
    from pipecalc.problems import FileUnusable
    from pipecalc.workbook.blank import write_blank
    from pipecalc.workbook.places import is_there

    if is_there(options.file) and not options.overwrite:
        raise FileUnusable("exists", f"{options.file} exists; give --overwrite to replace it")
    try:
        write_blank(options.file, units=options.units, example=options.example)
    except KeyError as unknown:
        raise FileUnusable("unknown-example", str(unknown.args[0])) from None
    print(f"wrote {options.file}")
    return RAN
