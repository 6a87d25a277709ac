"""What the index of several notes says of one workbook: plain values, so that an entry passes between processes."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from math import isfinite
from pathlib import Path

from pipecalc.model import Plant
from pipecalc.report import chapter_selfcheck
from pipecalc.report.chapter_verdict import Verdict, demand_and_limit, verdicts
from pipecalc.report.format import NONE, Display
from pipecalc.results import Results, Status

_SUPPORTS = "supports"  # identifier of the note's chapter of supports


@dataclass(frozen=True, slots=True)
class IndexItem:
    """A line, a nozzle, an item of equipment or a support with what governs it.

    Attributes:
        kind: ``"Line"``, ``"Nozzle"``, ``"Equipment"`` or ``"Support"``.
        tag: Its tag; several supports that were not checked for one reason share an item.
        check: Governing check with its allowable set, or the reason where nothing was rated.
        point: Where it governs, or empty.
        case: Load case that governs, or empty.
        demand: Demand with its unit, in the units of the workbook.
        limit: Limit with its unit.
        ratio: Governing ratio, or None.
        status: Worst status in words.
        anchor: Identifier in the note, such as ``nozzle-3``.
        page: Page of the note's PDF where it is dealt with, or None where there is no PDF.
    """

    kind: str
    tag: str
    check: str
    point: str
    case: str
    demand: str
    limit: str
    ratio: float | None
    status: str
    anchor: str
    page: int | None


@dataclass(frozen=True, slots=True)
class IndexEntry:
    """One workbook of an index; without ``items`` and with a ``reason`` where it could not be computed.

    Attributes:
        workbook: File name of the workbook.
        title: Title of the project.
        document: Document number.
        revision: Revision mark.
        issued: Date of issue, year-month-day, or empty.
        code: Code with its edition.
        units: ``"SI"`` or ``"US"``.
        sha256: Of the workbook's bytes, or empty where it could not be read.
        over_limit: Number of checks over their limit; screening does not count.
        not_checked: Number of checks that could not be made.
        note: Path of the PDF note, or empty.
        page: Path of the note as HTML, or empty.
        results: Path of results.json, or empty.
        items: Lines, nozzles, equipment with rules of its own and supports that do not pass.
        alarms: The note's own checks that do not hold, as sentences.
        reason: Why there are no results, or empty.
        problems: Errors of the workbook, one sentence each.
    """

    workbook: str
    title: str = ""
    document: str = ""
    revision: str = ""
    issued: str = ""
    code: str = ""
    units: str = ""
    sha256: str = ""
    over_limit: int = 0
    not_checked: int = 0
    note: str = ""
    page: str = ""
    results: str = ""
    items: tuple[IndexItem, ...] = ()
    alarms: tuple[str, ...] = ()
    reason: str = ""
    problems: tuple[str, ...] = field(default=())


def entry_of(
    plant: Plant,
    results: Results,
    *,
    workbook: str,
    sha256: str,
    note: Path | None = None,
    page: Path | None = None,
    results_file: Path | None = None,
    pages: Mapping[str, int] | None = None,
    alarms: Sequence[str] | None = None,
) -> IndexEntry:
    """The entry of a workbook that was computed.

    Args:
        plant: The plant.
        results: What was found.
        workbook: File name of the workbook.
        sha256: Of its bytes.
        note: The PDF note, where there is one.
        page: The note as HTML, where there is one.
        results_file: results.json.
        pages: Pages of the note's PDF by identifier; see ``NoteFiles.pages``.
        alarms: The note's own checks that do not hold, where they are known already.
    """
    project = plant.project
    return IndexEntry(
        workbook=workbook,
        title=project.title,
        document=project.document_number,
        revision=project.revision,
        issued=project.issued.isoformat(),
        code=f"{project.code}, edition {project.edition}",
        units=project.units,
        sha256=sha256,
        over_limit=sum(c.status is Status.FAIL and not c.screening for c in results.checks),
        not_checked=sum(c.status is Status.NOT_CHECKED for c in results.checks),
        note=_path(note),
        page=_path(page),
        results=_path(results_file),
        items=tuple(_items(plant, results, pages or {})),
        alarms=tuple(chapter_selfcheck.failures(plant, results) if alarms is None else alarms),
    )


def failed_entry(workbook: str, reason: str, problems: Sequence[str] = (), sha256: str = "") -> IndexEntry:
    """The entry of a workbook that could not be computed; it is never left out of the index."""
    return IndexEntry(workbook=workbook, sha256=sha256, reason=reason, problems=tuple(problems))


def _path(path: Path | None) -> str:
    return str(path.resolve()) if path else ""


def _items(plant: Plant, results: Results, pages: Mapping[str, int]) -> Iterator[IndexItem]:
    display, anchors = Display(plant.project.units), _anchors(plant)
    unsettled: dict[str, list[str]] = {}
    for v in verdicts(plant, results):
        if v.kind == "Support" and v.check is None:
            unsettled.setdefault(_reason(v.checks), []).append(v.tag)
        else:
            yield _item(v, display, anchors[v.kind, v.tag], pages)
    for reason, tags in unsettled.items():
        name = tags[0] if len(tags) == 1 else f"{len(tags)} supports"
        where = "" if len(tags) == 1 else ", ".join(tags)
        said = display.words(reason)
        status, page = Status.NOT_CHECKED.value, pages.get(_SUPPORTS)
        yield IndexItem("Support", name, said, where, "", NONE, NONE, None, status, _SUPPORTS, page)


def _item(v: Verdict, display: Display, anchor: str, pages: Mapping[str, int]) -> IndexItem:
    c, page = v.check, pages.get(anchor)
    if c is None:
        reason = display.words(_reason(v.checks))
        return IndexItem(v.kind, v.tag, reason, "", "", NONE, NONE, None, v.status.value, anchor, page)
    demand, limit = demand_and_limit(c, display)
    ratio = c.ratio if isfinite(c.ratio) else None
    name = f"{c.check}, {c.set}" if c.set else c.check
    return IndexItem(v.kind, v.tag, name, c.point, c.case, demand, limit, ratio, v.status.value, anchor, page)


def _reason(checks: Iterable[object]) -> str:
    return next((reason for c in checks if (reason := getattr(c, "reason", ""))), "no check was made")


def _anchors(plant: Plant) -> dict[tuple[str, str], str]:
    """Identifiers in the note, by kind and tag."""
    found = {("Line", tag): f"line-{i}" for i, tag in enumerate(plant.lines, 1)}
    found |= {("Nozzle", tag): f"nozzle-{i}" for i, tag in enumerate(plant.nozzles, 1)}
    found |= {("Equipment", tag): "nozzles" for tag in plant.equipment}
    return found | {("Support", tag): _SUPPORTS for tag in plant.supports}
