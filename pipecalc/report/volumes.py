"""The note of a large plant in volumes: whole notes of some lines each, and an index over all of them, worst first."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pipecalc.model import Plant
from pipecalc.report.chapter_closing import Trace
from pipecalc.report.index_entry import IndexEntry, entry_of
from pipecalc.report.note import make_note
from pipecalc.results import Results

if TYPE_CHECKING:
    from pipecalc.comparison.records import Changes

_AFTER_TABLES = 3  # number of the chapter of changes, behind the two tables of the index


@dataclass(frozen=True, slots=True)
class Volume:
    """One volume that was made.

    Attributes:
        files: Its files by path in the folder of results.
        html: Path of the volume as HTML.
        pdf: Path of the PDF, or None where none could be made.
        entry: What the index says of it; paths are those in the folder of results.
        lacks: What the machine lacks for the PDF, or empty.
    """

    files: Mapping[str, bytes]
    html: str
    pdf: str | None
    entry: IndexEntry
    lacks: str


def make_volume(part: Plant, results: Results, trace: Trace, number: int, total: int) -> Volume:
    """A volume: a whole note of some lines, with what holds and loads them, in a folder of its own.

    Args:
        part: The lines as a plant of their own.
        results: What was found for them.
        trace: What identifies the calculation; that of the whole workbook.
        number: Number of the volume, from 1.
        total: How many volumes there are.
    """
    titled = replace(
        part, project=replace(part.project, title=f"{part.project.title} ({title_of(part, number, total)})")
    )
    note = make_note(titled, results, trace, None)
    folder = folder_of(number, total)
    pdf = f"{folder}/{note.pdf}" if note.pdf else None
    entry = entry_of(titled, results, workbook=title_of(part, number, total), sha256=trace.sha256, pages=note.pages)
    return Volume(
        files={f"{folder}/{name}": data for name, data in note.files.items()},
        html=f"{folder}/{note.html}",
        pdf=pdf,
        entry=replace(entry, title=part.project.title, note=pdf or "", page=f"{folder}/{note.html}"),
        lacks=note.lacks,
    )


def folder_of(number: int, total: int) -> str:
    """Folder of a volume, so numbered that names sort as volumes do."""
    return f"volume-{number:0{len(str(total))}}"


def title_of(part: Plant, number: int, total: int) -> str:
    """A volume in words."""
    names = list(part.lines)
    lines = f"line {names[0]}" if len(names) == 1 else f"{len(names)} lines, {names[0]} to {names[-1]}"
    return f"volume {number} of {total}: {lines}"


def index_of(
    entries: Sequence[IndexEntry], plant: Plant, changes: "Changes | None", *, pdf: bool
) -> Mapping[str, bytes]:
    """The index of all volumes as files; its links lead to the volumes beside it.

    Args:
        entries: Of all volumes.
        plant: The whole plant.
        changes: What changed since an earlier revision, for a chapter of it.
        pdf: Whether a PDF can be made.
    """
    from pipecalc.report.index_document import STEM, index_context
    from pipecalc.report.note import embedded_faces, filled, linked_faces

    here = Path.cwd()
    placed = [replace(e, note=_at(here, e.note), page=_at(here, e.page)) for e in entries]
    context = index_context(placed, here, "volume") | {"changes": _changes(plant, changes)}
    files = {f"{STEM}.html": filled("index.html.j2", context, embedded_faces()).encode("utf-8")}
    if pdf:
        from pipecalc.report.pdf import Document, make_pdf

        files[f"{STEM}.pdf"] = make_pdf(Document(filled("index.html.j2", context, linked_faces()))).data
    return files


def _changes(plant: Plant, changes: "Changes | None") -> dict[str, Any] | None:
    from pipecalc.report.chapter_changes import chapter, title
    from pipecalc.report.format import Display
    from pipecalc.report.parts import Sheets

    if changes is None:
        return None
    sheets = Sheets(plant, Results(), Display(plant.project.units))
    sheets.open(_AFTER_TABLES)
    return {"title": title(changes), "has": chapter(sheets, changes)}


def _at(folder: Path, path: str) -> str:
    return str(folder / path) if path else ""
