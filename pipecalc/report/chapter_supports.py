"""The schedule of supports and springs that civil work and the spring maker need."""

from collections.abc import Iterator, Sequence
from math import isfinite
from typing import Any

from pipecalc.model import Line, Plant, Support
from pipecalc.report import format as fmt
from pipecalc.report.chapter_verdict import demand_and_limit
from pipecalc.report.format import Display
from pipecalc.report.notes import Notes
from pipecalc.report.parts import Sheets, Table, numeric, status, text, triple, without_empty
from pipecalc.report.worked import Group, explained, judged, worked_check
from pipecalc.report.worked_shell import ATTACHMENT, worked_shell
from pipecalc.results import Check, Results, SupportLoad, governing, worst_status

LOAD_CHECK = "support load"
SPRING_CHECK = "spring variation"
KINDS = ("sustained", "operating", "occasional", "test")


def chapter(sheets: Sheets) -> dict[str, Any] | None:
    """Content of the schedule; None where the plant has no supports."""
    if not sheets.plant.supports:
        return None
    notes = Notes(sheets.display)
    return {
        "schedule": _schedule(sheets),
        "vertical": _vertical(sheets),
        "sideways": _sideways(sheets),
        "checks": _checks(sheets, notes),
        "springs": _springs(sheets),
        "worked": list(_worked(sheets)),
        "notes": notes.told,
        "without_loads": not sheets.results.support_loads,
    }


def _schedule(sheets: Sheets) -> Table | None:
    display = sheets.display
    rows = [_row(s, sheets, display) for s in sheets.plant.supports.values()]
    columns = [
        text("Support", 13),
        text("Line/point", 17),
        text("Type", 25),
        triple("East / North / Up", 34, display.unit("coordinate")),
        text("Attached to", 15),
        text("Size", 15),
        numeric("Gap", 9, display.unit("movement")),
        numeric("Load ratio", 9),
        status(13),
    ]
    return sheets.table("Support schedule", *without_empty(columns, rows))


def _row(s: Support, sheets: Sheets, display: Display) -> list[str]:
    line = sheets.plant.lines.get(s.point[0])
    checks = [c for c in sheets.results.checks if c.subject == s.name and not c.screening]
    worst = governing(c for c in checks if c.check == LOAD_CHECK)
    return [
        s.name,
        "/".join(s.point),
        s.type,
        display.triple("coordinate", s.at),
        s.attached_to,
        fmt.size(display, line.section.nps, line.section.outside_diameter) if line else fmt.NONE,
        display.number("movement", s.gap) if s.gap else fmt.NONE,
        fmt.ratio(worst.ratio) if worst else fmt.NONE,
        worst_status(checks).value,
    ]


def _vertical(sheets: Sheets) -> Table | None:
    """One row for each support: least and greatest vertical load of each kind of case."""
    display = sheets.display
    rows = []
    for tag, by_kind in _by_kind(sheets).items():
        every = [load for loads in by_kind.values() for load in loads]
        idle = [x.case for x in every if not x.acting]
        most = max(every, key=lambda x: abs(x.vertical))
        ranges = [_range(by_kind.get(kind, []), display) for kind in KINDS]
        rows.append([tag, *ranges, most.case, "all" if idle and len(idle) == len(every) else "; ".join(idle)])
    force = display.unit("force")
    columns = [
        text("Support", 13),
        *(numeric(kind.capitalize(), 21, force) for kind in KINDS),
        text("Largest in case", 34),
        text("Does not act in", 34),
    ]
    caption = "Vertical support loads, the pipe's action on the support, least … greatest by kind of case"
    return sheets.table(caption, *without_empty(columns, rows))


def of_line(sheets: Sheets, line: Line) -> Table | None:
    """What the supports of one line carry at most, for the chapter of that line."""
    display = sheets.display
    rows = [_most(s, loads, sheets) for tag, loads in _loads(sheets).items()
            if (s := sheets.plant.supports[tag]).point[0] == line.name]  # fmt: skip
    force = display.unit("force")
    columns = [
        text("Support", 12),
        text("At", 10),
        text("Type", 26),
        numeric("Vertical", 12, force),
        text("in case", 36),
        numeric("Axial", 12, force),
        numeric("Lateral", 12, force),
        numeric("Friction", 12, force),
        numeric("Load ratio", 10),
        status(),
    ]
    caption = f"Support loads of line {line.name}, the largest of all cases; the chapter of the supports has all kinds"
    return sheets.table(caption, *without_empty(columns, rows))


def _most(s: Support, loads: Sequence[SupportLoad], sheets: Sheets) -> list[str]:
    display = sheets.display
    vertical, axial, lateral, friction = (
        max(loads, key=lambda x: abs(getattr(x, name))) for name in ("vertical", "axial", "lateral", "friction")
    )
    checks = [c for c in sheets.results.checks if c.subject == s.name and not c.screening]
    worst = governing(c for c in checks if c.check == LOAD_CHECK)
    return [
        s.name,
        s.point[1],
        s.type,
        display.number("force", vertical.vertical),
        vertical.case if round(vertical.vertical) else "",
        display.number("force", axial.axial),
        display.number("force", lateral.lateral),
        display.number("force", friction.friction),
        fmt.ratio(worst.ratio) if worst else fmt.NONE,
        worst_status(checks).value,
    ]


def _loads(sheets: Sheets) -> dict[str, list[SupportLoad]]:
    return {tag: [x for loads in kinds.values() for x in loads] for tag, kinds in _by_kind(sheets).items()}


def _by_kind(sheets: Sheets) -> dict[str, dict[str, list[SupportLoad]]]:
    """Loads by support, in the order of the plant, and kind of case."""
    kinds = {c.case: c.kind for c in sheets.results.cases}
    grouped: dict[str, dict[str, list[SupportLoad]]] = {tag: {} for tag in sheets.plant.supports}
    for load in sheets.results.support_loads:
        of = grouped.setdefault(load.support, {})
        of.setdefault(kinds.get(load.case, "operating"), []).append(load)
    return {tag: by_kind for tag, by_kind in grouped.items() if by_kind}


def _range(loads: Sequence[SupportLoad], display: Display) -> str:
    if not loads:
        return fmt.NONE
    least, most = (pick(x.vertical for x in loads) for pick in (max, min))
    least, most = sorted((least, most), key=abs)
    both = [display.number("force", v) for v in (least, most)]
    return both[0] if both[0] == both[1] else " … ".join(both)


def _sideways(sheets: Sheets) -> Table | None:
    """One row for each support: largest axial, lateral and friction load, moment of anchors, and movement."""
    display = sheets.display
    rows = [_sideways_row(tag, loads, display) for tag, loads in _loads(sheets).items()]
    force = display.unit("force")
    columns = [
        text("Support", 13),
        numeric("Axial", 11, force),
        text("in case", 28),
        numeric("Lateral", 11, force),
        text("in case ", 28),
        numeric("Friction", 11, force),
        numeric("Moment", 11, display.unit("moment")),
        triple("Move E / N / U", 30, display.unit("movement")),
    ]
    caption = "Loads along and across the pipe, friction and movement, the largest of all cases"
    return sheets.table(caption, *without_empty(columns, rows))


def _sideways_row(tag: str, loads: Sequence[SupportLoad], display: Display) -> list[str]:
    axial, lateral = (max(loads, key=lambda x: abs(getattr(x, name))) for name in ("axial", "lateral"))
    friction = max(loads, key=lambda x: abs(x.friction)).friction
    moment = max(sum(v * v for v in x.moment) ** 0.5 for x in loads)
    moves = [max((x.move[i] for x in loads), key=abs) for i in range(3)]
    return [
        tag,
        display.number("force", axial.axial),
        axial.case if round(axial.axial) else "",
        display.number("force", lateral.lateral),
        lateral.case if round(lateral.lateral) else "",
        display.number("force", friction),
        display.number("moment", moment) if moment > 0 else fmt.NONE,
        display.triple("movement", (moves[0], moves[1], moves[2])),
    ]


def _checks(sheets: Sheets, notes: Notes) -> Table | None:
    """Of every check on a support but its load the worst case: lift-off, spring variation, shell at its attachment."""
    grouped: dict[tuple[str, str], list[Check]] = {}
    for c in sheets.results.checks:
        if c.subject in sheets.plant.supports and c.check != LOAD_CHECK:
            grouped.setdefault((c.check, c.subject), []).append(c)
    rows = [_check(same, sheets.display, notes) for _key, same in sorted(grouped.items(), key=lambda item: item[0][0])]
    columns = [
        text("Support", 13),
        text("Check", 30),
        text("Case", 40),
        numeric("Demand", 15),
        numeric("Limit", 15),
        numeric("Ratio", 8),
        status(12),
        text("Notes, remark", 44),
    ]
    caption = "Lift-off, springs, shells at attachments and what else was checked at supports"
    return sheets.table(caption, *without_empty(columns, rows))


def _check(same: Sequence[Check], display: Display, notes: Notes) -> list[str]:
    worst = governing(same) or max(same, key=lambda c: c.demand if isfinite(c.demand) else 0.0)
    demand, limit = demand_and_limit(worst, display)
    name = f"{worst.check} (screening)" if worst.screening else worst.check
    cases = list(dict.fromkeys(c.case for c in same if c.case))
    others = f" and {len(cases) - 1} more" if len(cases) > 1 else ""
    return [
        worst.subject,
        name,
        f"{worst.case}{others}",
        demand,
        limit,
        fmt.ratio(worst.ratio),
        worst.status.value,
        notes.of(worst),
    ]


def _springs(sheets: Sheets) -> Table | None:
    display = sheets.display
    rows = [
        [
            x.support,
            x.kind,
            display.number("force", x.hot_load),
            display.number("force", x.cold_load),
            display.number("movement", x.travel),
            display.number("stiffness", x.rate),
            display.number("share", x.variation),
        ]
        for x in sheets.results.springs
    ]
    force = display.unit("force")
    columns = (
        text("Support", 16),
        text("Kind", 22),
        numeric("Hot load", 13, force),
        numeric("Cold load", 13, force),
        numeric("Travel", 12, display.unit("movement")),
        numeric("Rate", 12, display.unit("stiffness")),
        numeric("Variation", 12, display.unit("share")),
    )
    return sheets.table("Springs and constant-load supports", columns, rows)


def _worked(sheets: Sheets) -> Iterator[Group]:
    """Cold load and variation of every spring, and the worst attachment of every item, with their numbers."""
    told: set[tuple[str, str]] = set()
    for worst in worst_attachments(sheets.plant, sheets.results):
        yield from worked_shell(worst, sheets.display, told)
    for check in sheets.results.checks:
        steps = tuple(worked_check(check, sheets.display)) if check.check == SPRING_CHECK else ()
        if steps:
            where = tuple(explained(steps, told))
            yield Group(f"Spring {check.subject}", steps, where, check.case, judged(check, sheets.display))


def worst_attachments(plant: Plant, results: Results) -> Iterator[Check]:
    """Of the shells at the attachments of an item the one with the highest ratio, for every item."""
    grouped: dict[str, list[Check]] = {}
    for check in results.checks:
        if check.check == ATTACHMENT and check.subject in plant.supports:
            grouped.setdefault(plant.supports[check.subject].attached_to, []).append(check)
    yield from (worst for same in grouped.values() if (worst := governing(same)))
