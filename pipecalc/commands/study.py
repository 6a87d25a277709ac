"""``pipecalc study``: the tables of the sheet Studies."""

import argparse
from math import isfinite
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pipecalc.commands import crews
from pipecalc.commands.shared import RAN, fields, or_problems, print_json, progress_shown

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pipecalc.making import Progress
    from pipecalc.results import Study


def add(commands: Any) -> None:
    """Declare the command and its arguments."""
    study = commands.add_parser("study", help="run the studies of a workbook and print their tables; writes nothing")
    study.add_argument("file", type=Path, metavar="FILE", help="workbook")
    study.add_argument("--name", action="append", metavar="STUDY", help="only this study; may be given again")
    study.add_argument("--yes", action="store_true", help="go on with more than 10,000 runs")
    crews.add(study, "1")
    study.add_argument("--json", action="store_true", help="print the tables as JSON")
    study.set_defaults(command=_study)


def _study(options: argparse.Namespace) -> int:
    def found() -> int:
        with progress_shown(options.file.name, hidden=options.json) as progress:
            studies = _run_studies(options, progress)
        if options.json:
            print_json([fields(study) for study in studies])
        for study in () if options.json else studies:
            _print_study(study)
        if not studies and not options.json:
            print(f"{options.file}: the sheet Studies is empty")
        return RAN

    return or_problems(options, found)


def _run_studies(options: argparse.Namespace, progress: "Progress") -> "Sequence[Study]":
    """In this process, or spread over workers."""
    from pipecalc import job

    if not options.scheduler and (options.workers or 1) == 1:
        return job.study(options.file, consent=options.yes, names=options.name, progress=progress)
    from pipecalc import making
    from pipecalc.batch.spread import Source, spread_studies
    from pipecalc.workbook.package_zip import load_bytes

    workbook = making.ready(options.file.name, load_bytes(options.file), progress)
    with crews.crew_of(options, 1, options.workers or 1) as crew:
        progress("running the studies")
        source = Source(options.file.name, workbook.source, workbook.book)
        (found,) = spread_studies(crew, [source], consent=options.yes, names=options.name)
    return found


def _print_study(study: "Study") -> None:
    print(f"{study.study}: {study.watch or 'the worst of all'}")
    print("  " + "  ".join(f"{label:>16}" for label in study.variables) + "   ratio  status          governed by")
    for row in study.rows:
        values = "  ".join(f"{value:>16}" for value in row.values)
        ratio = f"{row.ratio:7.2f}" if isfinite(row.ratio) else "      -"
        print(f"  {values} {ratio}  {row.status:<14}  {row.subject} {row.check} {row.case} {row.reason}".rstrip())
