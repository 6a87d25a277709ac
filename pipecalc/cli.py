"""Command line: arguments in, exit status out."""

import argparse
import sys
from collections.abc import Callable, Sequence

from pipecalc.commands import advise, blank, check, compare, run, study, verify
from pipecalc.commands.shared import BAD_INPUT, LACKING, STOPPED, complain
from pipecalc.version import __version__

_EXAMPLES = """\
examples:
  pipecalc blank plant.xlsx                   a new workbook with every sheet, in SI units
  pipecalc blank demo.xlsx --example          the same, filled with the demonstration plant
  pipecalc check plant.xlsx                   read and validate only; prints all problems
  pipecalc run plant.xlsx                     results to output/plant/
  pipecalc run a.xlsx b.xlsx --output DIR     several workbooks, results under DIR with an index of all
  pipecalc run plant.xlsx --strict            exit status 1 if a check is over its limit
  pipecalc run plant.xlsx --since old.xlsx    a chapter of the note tells what changed since the earlier workbook
  pipecalc compare old.xlsx new.xlsx          what changed: inputs, verdicts, ratios, loads; also two results.json
  pipecalc advise plant.xlsx                  where a stop, a spring or a longer leg would help
  pipecalc study plant.xlsx                   the tables of the sheet Studies
  pipecalc verify                             the program's published checks, on this machine

exit status:
  0  it ran
  1  --strict was given, and a check is over its limit or, for compare, a check or verdict got worse;
     or, for verify, a published check is outside its limit
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
        complain(f"{problem}")
        return BAD_INPUT
    except EnvironmentLacks as lacking:
        complain(f"{lacking}")
        return LACKING
    except ModuleNotFoundError as missing:
        complain(f"The Python package {missing.name} is missing; install it with: pip install --upgrade pipecalc")
        return LACKING
    except KeyboardInterrupt:
        complain("Stopped; what was written so far is whole.")
        return STOPPED
    except Exception:
        import traceback

        traceback.print_exc()
        complain("This is a fault of the program, not of the workbook. What was written so far is whole.")
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
    for command in (blank, check, run, compare, advise, study, verify):
        command.add(commands)
    return parser
