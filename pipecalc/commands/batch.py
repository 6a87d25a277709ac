"""``pipecalc run`` of many workbooks: progress, what is wrong with each, a table of all, and their index."""

import argparse
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pipecalc.commands.batch_progress import batch_progress
from pipecalc.commands.crews import crew_of
from pipecalc.commands.run_fields import results_fields
from pipecalc.commands.shared import (
    BAD_INPUT,
    LACKING,
    OVER_LIMIT,
    RAN,
    complain,
    print_json,
    print_problems,
    print_warnings,
    problem_fields,
    processors,
    unusable,
)

if TYPE_CHECKING:
    from pipecalc.batch.runner import Ended
    from pipecalc.batch.selection import Item, Selection
    from pipecalc.making import Options


def run_many(options: argparse.Namespace, wanted: "Options") -> int:
    """Run files, folders and patterns; what is wrong with one workbook does not keep the others from running."""
    from pipecalc.batch.selection import select
    from pipecalc.output import output_root

    plain = not options.json and not options.quiet
    output = output_root(options.output)
    chosen = select(options.files, output)
    _say_what_is_left_out(chosen, plain=plain)
    all_ended = _run_all(options, wanted, chosen.items, output)
    if options.json:
        found = [_fields(ended) for ended in all_ended]
        missing = [{"file": "", "unusable": e.code, "message": str(e)} for e in chosen.empty]
        print_json([*found, *missing])
    else:
        for ended in all_ended:
            _print_problems(ended, quiet=options.quiet, every=options.all)
    for text in dict.fromkeys(text for ended in all_ended for text in _complaints(ended)):
        complain(text)
    if plain and all_ended:
        _print_table(all_ended)
    status = max([_status(ended, strict=options.strict) for ended in all_ended], default=RAN)
    if len(all_ended) > 1:
        status = max(status, _write_index(all_ended, output, pdf=wanted.pdf, plain=plain))
    if plain and all_ended:
        print("  FOR REVIEW: screening by a tool; a competent engineer decides.")
    return max(status, BAD_INPUT) if chosen.empty else status


def _say_what_is_left_out(chosen: "Selection", *, plain: bool) -> None:
    for left in chosen.skipped if plain else ():
        complain(f"skipped {left.path}: {left.why}")
    for nothing in chosen.empty:
        complain(str(nothing))


def _run_all(options: argparse.Namespace, wanted: "Options", items: "Sequence[Item]", output: Path) -> "list[Ended]":
    from pipecalc.batch.runner import Plan, run_batch

    if not items:
        return []
    many = options.workers or processors()
    spread = wanted.studies and (bool(options.scheduler) or many > len(items))
    plan = Plan(output, wanted, options.in_place, options.resume, spread)
    hidden = options.json or options.quiet
    with (
        crew_of(options, processors(), many if spread else len(items)) as crew,
        batch_progress(len(items), hidden=hidden) as progress,
    ):
        return run_batch(items, plan, crew, progress.step, progress.end)


def _status(ended: "Ended", *, strict: bool) -> int:
    if ended.fault or ended.lacks:
        return LACKING
    if ended.summary is None:
        return BAD_INPUT
    return OVER_LIMIT if strict and ended.summary.over_limit else RAN


def _fields(ended: "Ended") -> dict[str, Any]:
    """What --json says of a workbook."""
    file = ended.item.label
    if ended.summary is not None and ended.written is not None:
        return {**results_fields(file, ended.summary, ended.written), "kept": ended.kept}
    if ended.unusable is not None:
        return unusable(ended.item.path, ended.unusable)
    if ended.fault:
        return {"file": str(ended.item.path), "fault": ended.fault}
    return {"file": str(ended.item.path), "problems": [problem_fields(p) for p in ended.problems]}


def _print_problems(ended: "Ended", *, quiet: bool, every: bool) -> None:
    if ended.summary is None and ended.problems:
        print_problems(ended.item.path, ended.problems, quiet=quiet, every=every)
    elif not quiet:
        print_warnings(ended.problems, f"{ended.item.label}: ", every=every)


def _complaints(ended: "Ended") -> Iterable[str]:
    if ended.unusable is not None:
        yield str(ended.unusable)
    if ended.fault:
        yield f"{ended.item.label}: {ended.fault.strip()}"
    if ended.lacks:
        yield ended.lacks


def _print_table(all_ended: "Sequence[Ended]") -> None:
    titles = ("workbook", "worst ratio", "over limit", "not checked", "seconds", "status")
    rows = [titles, *(_row(ended) for ended in all_ended)]
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    for first, *numbers, last in rows:
        middle = "  ".join(text.rjust(width) for text, width in zip(numbers, widths[1:-1], strict=True))
        print(f"  {first:<{widths[0]}}  {middle}  {last}")


def _row(ended: "Ended") -> tuple[str, ...]:
    found = ended.summary
    if found is None:
        return (ended.item.label, "", "", "", f"{ended.seconds:.1f}", f"no results: {ended.why}")
    worst = "" if found.worst is None else f"{found.worst:.2f}"
    seconds = "" if ended.kept else f"{ended.seconds:.1f}"
    status = f"{found.status}, unchanged" if ended.kept else found.status
    return (ended.item.label, worst, str(found.over_limit), str(found.not_checked), seconds, status)


def _write_index(all_ended: "Sequence[Ended]", output: Path, *, pdf: bool, plain: bool) -> int:
    """One index beside the notes of several workbooks."""
    from pipecalc.problems import EnvironmentLacks
    from pipecalc.report.index_document import write_index

    try:
        files = write_index([ended.entry for ended in all_ended], output, pdf=pdf)
    except EnvironmentLacks as lacking:
        complain(f"{lacking}")
        return LACKING
    if plain:
        print(f"  {'index':<9} {files.pdf or files.html}")
    return RAN
