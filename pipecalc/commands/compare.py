"""``pipecalc compare``: what changed between two revisions, in inputs and in results."""

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pipecalc.commands.shared import (
    BAD_INPUT,
    OVER_LIMIT,
    RAN,
    fields,
    print_json,
    print_problems,
    problem_fields,
    progress_shown,
)

if TYPE_CHECKING:
    from pipecalc.comparison.records import Changes, Side
    from pipecalc.report.change_tables import ChangeTable

WIDEST = 44  # characters of a cell on the terminal; --json holds all


def add(commands: Any) -> None:
    """Declare the command and its arguments."""
    compare = commands.add_parser(
        "compare",
        help="tell what changed between two revisions; writes nothing",
        description="Tell what changed between two revisions, each a workbook or a results.json: inputs by the name "
        "of their row, verdicts, ratios, loads, movements and springs. A workbook is computed; nothing is written.",
    )
    compare.add_argument("old", type=Path, metavar="OLD", help="earlier workbook or results.json")
    compare.add_argument("new", type=Path, metavar="NEW", help="later workbook or results.json")
    compare.add_argument("--inputs-only", action="store_true", help="compare two workbooks without computing them")
    compare.add_argument(
        "--threshold",
        type=_threshold,
        metavar="STEP",
        help="list ratios that changed by so much, and loads and movements by that share (default: 0.02)",
    )
    compare.add_argument("--strict", action="store_true", help="exit status 1 if a check or verdict got worse")
    compare.add_argument("--json", action="store_true", help="print all changes as JSON")
    compare.set_defaults(command=_compare)


def _threshold(typed: str) -> float:
    value = float(typed)
    if not 0.0 <= value < 1000.0:
        raise ValueError(typed)
    return value


def _compare(options: argparse.Namespace) -> int:
    from pipecalc.comparison.compare import compare
    from pipecalc.comparison.records import THRESHOLD

    inputs_only = options.inputs_only and not any(p.suffix.lower() == ".json" for p in (options.old, options.new))
    sides = [_side(path, inputs_only, options) for path in (options.old, options.new)]
    old, new = sides
    if old is None or new is None:
        return BAD_INPUT
    changes = compare(old, new, THRESHOLD if options.threshold is None else options.threshold)
    if options.json:
        print_json(fields(changes))
    else:
        _print_changes(changes)
    return OVER_LIMIT if options.strict and changes.worse else RAN


def _side(path: Path, inputs_only: bool, options: argparse.Namespace) -> "Side | None":
    """One revision, or None where its workbook has errors, which are printed."""
    from pipecalc import job
    from pipecalc.problems import InputError

    try:
        with progress_shown(path.name, hidden=options.json) as progress:
            return job.revision(path, inputs_only=inputs_only, progress=progress)
    except InputError as bad:
        if options.json:
            print_json([{"file": str(path), **problem_fields(p)} for p in bad.problems])
        else:
            print_problems(path, bad.problems, quiet=False)
        return None


def _print_changes(changes: "Changes") -> None:
    from pipecalc.report.change_tables import change_tables, facts, summary, worsened
    from pipecalc.report.format import Display

    display = Display(changes.new.units or "SI")
    for name, was, now in facts(changes):
        print(f"  {name:<24} {was if was == now else f'{was} → {now}'}")
    for said in (*changes.cautions, *summary(changes)):
        print(f"- {display.words(said)}")
    for table in change_tables(changes, display):
        _print_table(table)
    if changes.nothing:
        print("No difference.")
    if changes.worse:
        print(worsened(changes))
    print("FOR REVIEW: screening by a tool; a competent engineer decides.")


def _print_table(table: "ChangeTable") -> None:
    heads = [f"{c.head} {c.unit}".strip() for c in table.columns]
    rows = [[_cut(cell) for cell in row] for row in table.rows]
    widths = [max(len(head), *(len(row[i]) for row in rows)) for i, head in enumerate(heads)]
    right = [c.kind == "number" for c in table.columns]
    print(f"\n{table.caption}")
    for row in (heads, *rows):
        print(f"  {_line(row, widths, right)}")


def _line(cells: Sequence[str], widths: Sequence[int], right: Sequence[bool]) -> str:
    placed = (
        cell.rjust(width) if flush else cell.ljust(width)
        for cell, width, flush in zip(cells, widths, right, strict=True)
    )
    return "  ".join(placed).rstrip()


def _cut(cell: str) -> str:
    return cell if len(cell) <= WIDEST else cell[: WIDEST - 1] + "…"
