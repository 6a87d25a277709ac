"""Results -> the calculation note: plain context for the templates, HTML, figures, PDF."""

import base64
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Any

from pipecalc.comparison.records import Changes
from pipecalc.model import Plant
from pipecalc.report import (
    chapter_basis,
    chapter_changes,
    chapter_closing,
    chapter_inputs,
    chapter_line,
    chapter_movements,
    chapter_nozzles,
    chapter_selfcheck,
    chapter_supports,
    chapter_verdict,
)
from pipecalc.report.assets import FACES, FAMILY, FONTS, templates_folder
from pipecalc.report.chapter_closing import Trace
from pipecalc.report.format import Display
from pipecalc.report.parts import Chapter, Sheets
from pipecalc.results import Results
from pipecalc.version import __version__
from pipecalc.workbook.file_names import portable

__all__ = ["NoteFiles", "Trace", "make_note", "note_context", "note_html", "trace_of"]

MARK = "FOR REVIEW"
MARK_BELOW = "not sealed — not for construction"


@dataclass(frozen=True, slots=True)
class NoteFiles:
    """A note as files that are still to be written, named by path in the folder of results.

    Attributes:
        files: Their bytes, in the order of writing.
        html: The note as one HTML file that needs nothing else.
        pdf: The note as PDF, or None where none was made.
        figures: The figures as SVG files.
        lacks: What the machine lacks for the PDF, or empty.
        pages: Page of the PDF on which a line (``line-1``), a nozzle (``nozzle-1``) or a chapter begins.
    """

    files: Mapping[str, bytes]
    html: str
    pdf: str | None
    figures: tuple[str, ...]
    lacks: str = ""
    pages: Mapping[str, int] = field(default_factory=dict)


#: Libraries whose versions are printed, in this order.
LIBRARIES = ("numpy", "scipy", "chemicals", "fluids", "pint", "jinja2", "weasyprint")


def trace_of(plant: Plant, name: str, source: bytes) -> Trace:
    """What identifies a calculation, from the workbook's name and bytes; the date is the Project sheet's."""
    import hashlib
    from importlib.metadata import version

    libraries = tuple((library, version(library)) for library in LIBRARIES)
    return Trace(name, hashlib.sha256(source).hexdigest(), __version__, libraries, plant.project.issued)


def make_note(
    plant: Plant, results: Results, trace: Trace, workbook: bytes | None, changes: Changes | None = None
) -> NoteFiles:
    """The note as HTML and PDF, named like the workbook, and ``figures/*.svg``.

    Where a system library of the PDF renderer is missing, ``lacks`` says so and there is no PDF.

    Args:
        plant: What was read.
        results: What was found.
        trace: What identifies the calculation.
        workbook: Bytes of the workbook to attach to the PDF, or None.
        changes: Differences from an earlier revision, for a chapter of their own.
    """
    from pipecalc.problems import EnvironmentLacks
    from pipecalc.report.pdf import Document, make_pdf

    context = note_context(plant, results, trace, attached=workbook is not None, changes=changes)
    stem = Path(trace.workbook).stem
    page, target = f"{stem}.html", f"{stem}.pdf"
    carried = embedded_faces()
    html = note_html(context, carried)
    figures = dict(_figures(context))
    files = {page: html.encode("utf-8"), **figures}

    document = Document(
        html=html.replace(carried, linked_faces(), 1),
        issued=trace.issued,
        workbook=workbook,
        workbook_name=trace.workbook,
    )
    try:
        made = make_pdf(document)
    except EnvironmentLacks as lacking:
        return NoteFiles(files, page, None, tuple(figures), str(lacking))
    files[target] = made.data
    return NoteFiles(files, page, target, tuple(figures), pages=made.pages)


def note_html(context: dict[str, Any], faces: str) -> str:
    """The note as HTML text.

    Args:
        context: From note_context.
        faces: Style rules that declare the fonts: linked_faces or embedded_faces.
    """
    return filled("note.html.j2", context, faces)


def filled(template: str, context: dict[str, Any], faces: str) -> str:
    """A template with its context, dressed by the note's style sheet and the faces; every word is escaped."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined
    from markupsafe import Markup

    folder = templates_folder()
    environment = Environment(
        loader=FileSystemLoader(folder),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    style = faces + (folder / "note.css").read_text(encoding="utf-8")
    return environment.get_template(template).render(context, style=Markup(style))  # noqa: S704 - own files


def note_context(
    plant: Plant, results: Results, trace: Trace, attached: bool = False, changes: Changes | None = None
) -> dict[str, Any]:
    """Everything the templates print, as text already formatted and rounded for display."""
    sheets = Sheets(plant, results, Display(plant.project.units))
    project = plant.project
    chapters = list(_chapters(sheets, trace, attached, changes))
    return {
        "project": _project(plant),
        "revisions": [_revision(r) for r in plant.revisions],
        "paper": "Letter" if project.units == "US" else "A4",
        "mark": MARK,
        "mark_below": MARK_BELOW,
        "chapters": chapters,
        "self_check_failures": next(c.has["failures"] for c in chapters if c.key == "selfcheck"),
        "figures": sheets.figures,
        "created": trace.issued.isoformat(),
        "tool": f"pipecalc {trace.tool_version}",
        "keywords": ", ".join(dict.fromkeys([project.code, "piping", "flexibility", "nozzle loads", *plant.lines])),
    }


Build = Callable[[Sheets], dict[str, Any] | None]


def _chapters(sheets: Sheets, trace: Trace, attached: bool, changes: Changes | None) -> Iterator[Chapter]:
    """Chapters that have something to say, numbered in order; the verdict page is number 1."""
    number = 1
    for title, template, key, build in _plan(sheets, trace, attached, changes):
        sheets.open(number)
        has = build(sheets)
        if has is not None:
            yield Chapter(number, title, template, key, has)
            number += 1


def _plan(
    sheets: Sheets, trace: Trace, attached: bool, changes: Changes | None
) -> Iterator[tuple[str, str, str, Build]]:
    yield "Verdict", "verdict.html.j2", "verdict", chapter_verdict.chapter
    if changes is not None:
        build = partial(chapter_changes.chapter, changes=changes)
        yield chapter_changes.title(changes), "changes.html.j2", "changes", build
    yield "Basis", "basis.html.j2", "basis", chapter_basis.chapter
    yield "Inputs as read", "inputs.html.j2", "inputs", chapter_inputs.chapter
    yield "Equipment movements", "movements.html.j2", "movements", chapter_movements.chapter
    for i, line in enumerate(sheets.plant.lines.values(), 1):
        yield f"Line {line.name}", "line.html.j2", f"line-{i}", partial(chapter_line.chapter, line=line)
    yield "Nozzles", "nozzles.html.j2", "nozzles", chapter_nozzles.chapter
    yield "Supports", "supports.html.j2", "supports", chapter_supports.chapter
    yield "Natural frequencies", "modes.html.j2", "modes", chapter_closing.modes
    yield "Design advice", "advice.html.j2", "advice", chapter_closing.advice
    yield "How this note checks itself", "selfcheck.html.j2", "selfcheck", chapter_selfcheck.chapter
    yield "Cautions", "cautions.html.j2", "cautions", lambda _s: chapter_closing.cautions()
    yield (
        "Traceability",
        "traceability.html.j2",
        "traceability",
        lambda s: chapter_closing.traceability(s, trace, attached),
    )


def _project(plant: Plant) -> dict[str, str]:
    p = plant.project
    return {
        "title": p.title,
        "client": p.client,
        "site": p.site,
        "document": p.document_number,
        "revision": p.revision,
        "prepared_by": p.prepared_by,
        "checked_by": p.checked_by,
        "approved_by": p.approved_by,
        "date": p.issued.isoformat(),
        "code": f"{p.code}, edition {p.edition}",
        "counts": _counts(plant),
    }


def _counts(plant: Plant) -> str:
    counted = (
        (len(plant.lines), "line"),
        (len(plant.equipment), "item of equipment"),
        (len(plant.nozzles), "nozzle"),
        (len(plant.supports), "support"),
    )
    return ", ".join(f"{n} {_plural(word, n)}" for n, word in counted)


def _plural(word: str, count: int) -> str:
    if count == 1:
        return word
    return word.replace("item of", "items of") if word.startswith("item") else f"{word}s"


def _revision(r: Any) -> tuple[str, ...]:
    issued = r.issued.isoformat() if r.issued else ""
    return (r.mark, issued, r.description, r.prepared_by, r.checked_by, r.approved_by)


def linked_faces() -> str:
    """Style rules that take the fonts from the package's folder."""
    return "".join(_face((FONTS / file).as_uri(), weight, style) for file, weight, style in FACES)


def embedded_faces() -> str:
    """Style rules that carry the fonts with them."""
    return "".join(_face(_data(file), weight, style) for file, weight, style in FACES)


def _data(file: str) -> str:
    return "data:font/ttf;base64," + base64.b64encode((FONTS / file).read_bytes()).decode("ascii")


def _face(url: str, weight: int, style: str) -> str:
    return f'@font-face {{ font-family: "{FAMILY}"; font-weight: {weight}; font-style: {style}; src: url("{url}"); }}\n'


def _figures(context: dict[str, Any]) -> Iterator[tuple[str, bytes]]:
    for figure in context["figures"]:
        safe = "".join(c if c.isalnum() or c in "-_." else "_" for c in figure.name)
        yield "figures/" + portable(f"{figure.number}-{safe}.svg"), str(figure.svg).encode("utf-8")
