"""``pipecalc verify``: the published checks of the program, recomputed on this machine."""

import argparse
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pipecalc.commands.shared import OVER_LIMIT, RAN, progress_shown

if TYPE_CHECKING:
    from pipecalc.verification.records import Verified
    from pipecalc.verification.source import Source

#: Folder for the dossier in the folder of results, where no other is named.
FOLDER = "pipecalc-verification"


def add(commands: Any) -> None:
    """Declare the command and its arguments."""
    verify = commands.add_parser("verify", help="recompute the program's published checks, write a dossier of them")
    verify.add_argument(
        "--output", type=Path, metavar="DIR", help="folder for the dossier (default: output/pipecalc-verification)"
    )
    verify.add_argument("--only", metavar="WORD", help="only sources whose name, title or citation holds this word")
    verify.add_argument("--date", type=_day, metavar="DAY", help="date to print in place of the time, as 2026-01-31")
    verify.add_argument("--json", action="store_true", help="print the dossier as JSON")
    verify.set_defaults(command=_verify)


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text} is no date as 2026-01-31") from None


def _verify(options: argparse.Namespace) -> int:
    from pipecalc.output import output_root
    from pipecalc.report.results_file import results_text
    from pipecalc.verification.dossier import document, dossier_pdf, this_machine
    from pipecalc.verification.runner import verify
    from pipecalc.workbook.swap import make_folder, write_safely

    sources, machine = _chosen(options.only), this_machine(options.date)
    with progress_shown("verify", hidden=options.json) as progress:
        found = verify(sources, progress)
        written = results_text(document(sources, found, machine))
        folder = options.output or output_root(None) / FOLDER
        make_folder(folder)
        write_safely(folder / "verification.json", written)
        if options.json:
            print(written.decode("utf-8"), end="")
        else:
            _print(sources, found, folder)
        progress("writing the dossier")
        write_safely(folder / "verification.pdf", dossier_pdf(sources, found, machine))
    return OVER_LIMIT if found.outside else RAN


def _chosen(word: str | None) -> "list[Source]":
    """Sources by group and title, all or those that hold a word.

    Raises:
        FileUnusable: None holds it.
    """
    from pipecalc.problems import FileUnusable
    from pipecalc.verification.source import load, names

    sources = sorted(map(load, names()), key=lambda s: (s.group, s.title))
    wanted = (word or "").casefold()
    chosen = [s for s in sources if wanted in f"{s.name} {s.title} {s.group} {s.citation}".casefold()]
    if not chosen:
        raise FileUnusable(
            "unknown-source", f"no source holds {word!r}; there are: {', '.join(s.name for s in sources)}"
        )
    return chosen


def _print(sources: "list[Source]", found: "Verified", folder: Path) -> None:
    group = ""
    for source in sources:
        if source.group != group:
            group = source.group
            print(group)
        own = found.of(source.name)
        word = "PASS" if own and all(c.passes for c in own) else "FAIL"
        print(f"  {len(own):5d} {found.worst(source.name):7.2f}  {word}  {source.title}")
    for c in found.outside:
        print(
            f"  outside: {source_of(sources, c.source)}: {c.label}: expected {c.expected:g}, found {c.found:g} {c.unit}"
            + (f" ({c.message})" if c.message else "")
        )
    print(
        f"{len(found.compared)} numbers compared (second column: worst difference over its limit), "
        f"{len(found.outside)} outside their limit"
    )
    for name in ("verification.json", "verification.pdf"):
        print(f"  {folder / name}")
    print("  Checks of the program, not of a plant; sources from memory are named in the dossier.")


def source_of(sources: "list[Source]", name: str) -> str:
    """Title of a source."""
    return next(s.title for s in sources if s.name == name)
