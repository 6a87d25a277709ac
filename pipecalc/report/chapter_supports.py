"""The schedule of supports and springs that civil work and the spring maker need."""

from collections.abc import Sequence
from typing import Any

from pipecalc.model import Support
from pipecalc.report import format as fmt
from pipecalc.report.format import Display
from pipecalc.report.parts import Sheets, Table, numeric, status, text, triple, without_empty
from pipecalc.results import SupportLoad, worst_status


def chapter(sheets: Sheets) -> dict[str, Any] | None:
    """Content of the schedule; None where the plant has no supports."""
    if not sheets.plant.supports:
        return None
    return {
        "schedule": _schedule(sheets),
        "loads": _loads(sheets),
        "springs": _springs(sheets),
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
        status(13),
    ]
    return sheets.table("Support schedule", *without_empty(columns, rows))


def _row(s: Support, sheets: Sheets, display: Display) -> list[str]:
    line = sheets.plant.lines.get(s.point[0])
    checks = [c for c in sheets.results.checks if c.subject == s.name]
    return [
        s.name,
        "/".join(s.point),
        s.type,
        display.triple("coordinate", s.at),
        s.attached_to,
        fmt.size(display, line.section.nps, line.section.outside_diameter) if line else fmt.NONE,
        display.number("movement", s.gap) if s.gap else fmt.NONE,
        worst_status(checks).value,
    ]


def _loads(sheets: Sheets) -> Table | None:
    """One row for each support and kind of case: extremes over the cases of that kind."""
    kinds = {c.case: c.kind for c in sheets.results.cases}
    grouped: dict[tuple[str, str], list[SupportLoad]] = {}
    for load in sheets.results.support_loads:
        grouped.setdefault((load.support, kinds.get(load.case, load.case)), []).append(load)
    order = {tag: i for i, tag in enumerate(sheets.plant.supports)}
    keys = sorted(grouped, key=lambda key: order.get(key[0], len(order)))
    rows = [_envelope(*key, grouped[key], sheets.display) for key in keys]
    force, move = sheets.display.unit("force"), sheets.display.unit("movement")
    columns = [
        text("Support, cases", 26),
        numeric("Vertical, least … most", 20, force),
        text("most in case", 32),
        triple("Axial / lateral / friction, most", 32, force),
        triple("Move E / N / U, largest", 32, move),
        text("Does not act in", 26),
    ]
    return sheets.table(
        "Support loads, the pipe's action on the support, extremes by kind of case", *without_empty(columns, rows)
    )


def _envelope(support: str, kind: str, loads: Sequence[SupportLoad], display: Display) -> list[str]:
    most = max(loads, key=lambda x: abs(x.vertical))
    idle = [x.case for x in loads if not x.acting]
    moves = [max((x.move[i] for x in loads), key=abs) for i in range(3)]
    least = min((x.vertical for x in loads), key=abs)
    held = [max((getattr(x, name) for x in loads), key=abs) for name in ("axial", "lateral", "friction")]
    return [
        f"{support}, {kind}",
        f"{display.number('force', least)} … {display.number('force', most.vertical)}",
        most.case,
        display.triple("force", (held[0], held[1], held[2])),
        display.triple("movement", (moves[0], moves[1], moves[2])),
        "all" if idle and len(idle) == len(loads) else "; ".join(idle),
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
