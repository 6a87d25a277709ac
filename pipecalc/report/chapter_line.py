"""One chapter per line: isometric, checks, stresses, legs with the governing one worked, both methods, spans."""

from collections.abc import Iterator, Sequence
from math import inf, isfinite
from typing import Any

from pipecalc.model import Line
from pipecalc.report import chapter_compare, chapter_spans, chapter_stress, chapter_supports, line_figures
from pipecalc.report import format as fmt
from pipecalc.report.chapter_verdict import Verdict, demand_and_limit, verdicts
from pipecalc.report.format import Display
from pipecalc.report.parts import Sheets, Table, numeric, status, text, triple, without_empty
from pipecalc.report.stress_sections import is_stress
from pipecalc.report.worked import CONSISTENT_UNITS, Group, explained, judged, sentence, worked_check, worked_leg
from pipecalc.results import Check, Expansion, Leg, Status, governing

OTHERS = 8  # checks of one kind that do not pass, printed beside the worst


def chapter(sheets: Sheets, line: Line) -> dict[str, Any]:
    """Content of a line's chapter."""
    results = sheets.results
    verdict = next(v for v in verdicts(sheets.plant, results) if v.kind == "Line" and v.tag == line.name)
    legs = [leg for leg in results.legs if leg.line == line.name]
    told: set[tuple[str, str]] = set()
    head = _head(sheets, line, verdict)
    overlays, beside = line_figures.overlays(sheets, line, verdict.checks)
    return {
        **head,
        "overlays": overlays,
        "beside": beside,
        "sections": chapter_stress.table(sheets, line, verdict.checks),
        "units": CONSISTENT_UNITS[sheets.display.system],
        "worked_stress": list(chapter_stress.worked(sheets, verdict.checks, told)),
        "legs": _legs(sheets, legs),
        "worked_leg": list(_worked_leg(legs, sheets.display, told)),
        "restrained": _restrained(sheets, line),
        "loops": _loops(sheets, line),
        "nozzles": chapter_compare.nozzle_table(sheets, line),
        "differences": chapter_compare.words(sheets, line),
        "supports": chapter_supports.of_line(sheets, line),
        "spans": [t for t in chapter_spans.tables(sheets, line) if t],
        "worked_checks": list(_worked_checks(verdict, sheets.display, told)),
        "growth": _growth(sheets, line),
        "weights": _weights(sheets, line),
    }


def _head(sheets: Sheets, line: Line, verdict: Verdict) -> dict[str, Any]:
    """The first page: verdict, isometric sheet, and of each check the worst."""
    clauses = tuple(dict.fromkeys(c.clause for c in verdict.checks if c.clause))
    return {
        "summary": _summary(line, sheets.display),
        "status": verdict.status.value,
        "governs": _governs(verdict, sheets.display),
        "isometrics": line_figures.isometrics(sheets, line) if line.segments else [],
        "checks": _checks(sheets, verdict, clauses),
        "clauses": [(str(i), clause) for i, clause in enumerate(clauses, 1)],
    }


def _summary(line: Line, display: Display) -> str:
    size = fmt.size(display, line.section.nps, line.section.outside_diameter)
    operating = display.text("temperature", line.operating_temperature)
    design = display.text("temperature", line.design_temperature)
    pressure = display.text("pressure", line.design_pressure)
    service = f"{line.service}, " if line.service else ""
    return f"{service}{size}, {line.material.name}, operating at {operating}; design {design}, {pressure}."


def _governs(v: Verdict, display: Display) -> str:
    if v.check is None:
        return "No check gave a ratio."
    demand, limit = demand_and_limit(v.check, display)
    where = f" {fmt.at(v.check.point)}" if v.check.point else ""
    return f"Governed by {v.check.check}{where}: {demand} against {limit}, ratio {fmt.ratio(v.check.ratio)}."


def _checks(sheets: Sheets, verdict: Verdict, clauses: tuple[str, ...]) -> Table | None:
    """Of each check the worst, and what else does not pass; a row says of how many."""
    kinds = sorted(_kinds(verdict).values(), key=lambda same: all(c.status is Status.NOT_APPLICABLE for c in same))
    rows = [row for same in kinds for row in _shown(same, clauses, sheets.display)]
    columns = [
        text("Check", 42),
        text("At", 20),
        text("Case", 34),
        numeric("Demand", 16),
        numeric("Limit", 16),
        numeric("Ratio", 8),
        status(12),
        text("Clause, remark", 42),
    ]
    return sheets.table(
        f"Checks of line {verdict.tag}: of each the worst, and all that do not pass", *without_empty(columns, rows)
    )


def _kinds(verdict: Verdict) -> dict[str, list[Check]]:
    kinds: dict[str, list[Check]] = {}
    for c in verdict.checks:
        kinds.setdefault(c.check, []).append(c)
    return kinds


def _told_elsewhere(check: Check) -> bool:
    """Screening lengths and stresses have tables of their own with every verdict."""
    return check.check in chapter_spans.LENGTH_CHECKS or is_stress(check)


def _shown(same: list[Check], clauses: tuple[str, ...], display: Display) -> Iterator[list[str]]:
    worst = governing(same) or same[0]
    others = [c for c in same if c is not worst and c.status in (Status.FAIL, Status.NOT_CHECKED)]
    others = [c for c in others if not _told_elsewhere(c)]
    others.sort(key=lambda c: -c.ratio if isfinite(c.ratio) else -inf)
    first = _check(worst, clauses, display)
    if len(same) > 1:
        first[0] += f", worst of {len(same)}"
    yield first
    yield from (_check(c, clauses, display) for c in others[:OTHERS])
    if len(others) > OTHERS:
        yield [f"{worst.check}: {len(others) - OTHERS} more do not pass; all stand in the workbook."]


def _check(c: Check, clauses: tuple[str, ...], display: Display) -> list[str]:
    demand, limit = demand_and_limit(c, display)
    screening = "screening" if c.screening else ""
    mark = f"[{clauses.index(c.clause) + 1}]" if c.clause else ""
    reason = "" if c.check in chapter_spans.LENGTH_CHECKS else display.words(c.reason)
    remark = "; ".join(r for r in (mark, screening, reason) if r)
    return [c.check, c.point, c.case, demand, limit, fmt.ratio(c.ratio), c.status.value, remark]


def _growth(sheets: Sheets, line: Line) -> Table | None:
    """One row for the runs that share a strain; each run with its length and growth."""
    display = sheets.display
    grouped: dict[tuple[str, float, float], list[Expansion]] = {}
    for e in sheets.results.expansions:
        if e.line == line.name:
            grouped.setdefault((e.state, e.temperature, e.strain), []).append(e)
    rows = [
        (state, display.number("temperature", t), display.number("strain", strain), "; ".join(_grown(same, display)))
        for (state, t, strain), same in grouped.items()
    ]
    length, growth = display.unit("length"), display.unit("movement")
    columns = (
        text("State", 18),
        numeric("Temperature", 13, display.unit("temperature")),
        numeric("Strain", 12, display.unit("strain")),
        text(f"Run: length in {length} → growth in {growth}", 100),
    )
    return sheets.table("Free growth of the runs, length × strain", columns, rows)


def _grown(same: Sequence[Expansion], display: Display) -> Iterator[str]:
    for e in same:
        length, growth = display.number("length", e.length), display.number("movement", e.expansion)
        yield f"{e.from_}–{e.to}: {length} → {growth}"


def _governing_leg(legs: list[Leg]) -> Leg | None:
    rated = [leg for leg in legs if isfinite(leg.ratio)]
    return max(rated, key=lambda leg: leg.ratio) if rated else None


def _worked_leg(legs: list[Leg], display: Display, told: set[tuple[str, str]]) -> Iterator[Group]:
    leg = _governing_leg(legs)
    if leg is not None:
        steps = tuple(worked_leg(leg, display))
        title = f"Governing leg {leg.from_} to {leg.to} (along {leg.along}), giving way towards {leg.direction}"
        both = [display.text("stress", v) for v in (leg.stress, leg.limit)]
        relation = "≤" if leg.stress <= leg.limit else ">"
        verdict = sentence(f"{both[0]} {relation} {both[1]}, ratio {fmt.ratio(leg.ratio)}; screening.")
        yield Group(f"{title}, state {leg.state}", steps, tuple(explained(steps, told)), "", verdict)


def _legs(sheets: Sheets, legs: list[Leg]) -> Table | None:
    display = sheets.display
    ordered = sorted(legs, key=lambda x: -x.ratio if isfinite(x.ratio) else 1.0)
    rows = [_leg(leg, chapter_compare.leg_in_frame(sheets.results, leg), display) for leg in ordered]
    columns = [
        text("Leg, along, gives", 30),
        text("Shared between", 26),
        numeric("Absorbs", 10, display.unit("movement")),
        numeric("Length / needed", 17, display.unit("length")),
        numeric("i", 6),
        triple("Force / moment", 21, f"{display.unit('force')}, {display.unit('moment')}"),
        numeric("Stress / limit", 16, display.unit("stress")),
        triple("Ratio / by frame", 14),
    ]
    caption = "Legs by the guided cantilever method (screening), worst first, beside the frame's ratio at their points"
    made = sheets.table(caption, *without_empty(columns, rows))
    if made and legs:
        sheets.numbers[f"legs of {legs[0].line}"] = made.number
    return made


def _leg(leg: Leg, by_frame: float, display: Display) -> tuple[str, ...]:
    return (
        f"{leg.from_} – {leg.to}, {leg.along}, {leg.direction}",
        " – ".join(leg.stretch),
        display.number("movement", leg.absorbs),
        f"{display.number('length', leg.length)} / {display.number('length', leg.length_needed)}",
        fmt.ratio(leg.intensification),
        fmt.beside((display.number("force", leg.force), display.number("moment", leg.moment)), 7),
        f"{display.number('stress', leg.stress)} / {display.number('stress', leg.limit)}",
        fmt.beside((fmt.ratio(leg.ratio), fmt.ratio(by_frame)), 6),
    )


def _restrained(sheets: Sheets, line: Line) -> Table | None:
    display = sheets.display
    rows = [
        (
            f"{r.from_} – {r.to}",
            r.direction,
            r.state,
            display.number("movement", r.growth),
            display.number("force", r.force),
            display.number("stress", r.stress),
            display.number("stress", r.limit),
        )
        for r in sheets.results.restrained
        if r.line == line.name
    ]
    columns = (
        text("Stretch", 22),
        text("Direction", 12),
        text("State", 18),
        numeric("Growth held", 14, display.unit("movement")),
        numeric("Thrust", 14, display.unit("force")),
        numeric("Stress", 12, display.unit("stress")),
        numeric("Limit", 12, display.unit("stress")),
    )
    return sheets.table("Stretches that nothing lets grow", columns, rows)


def _loops(sheets: Sheets, line: Line) -> Table | None:
    display = sheets.display
    rows = [
        (
            f"{x.from_} – {x.to}",
            x.direction,
            display.number("movement", x.growth),
            display.number("length", x.height),
            display.number("length", x.width),
        )
        for x in sheets.results.loops
        if x.line == line.name
    ]
    columns = (
        text("Between", 24),
        text("Direction", 14),
        numeric("Growth", 14, display.unit("movement")),
        numeric("Legs of the loop", 18, display.unit("length")),
        numeric("Their distance", 18, display.unit("length")),
    )
    return sheets.table("U loops that would bring the run within its limit", columns, rows)


def _worked_checks(verdict: Verdict, display: Display, told: set[tuple[str, str]]) -> Iterator[Group]:
    """The governing check of each other kind written out, where its formula is known."""
    for kind, same in _kinds(verdict).items():
        worst = governing(same) or same[0]
        steps = tuple(worked_check(worst, display))
        if steps:
            where = f", {worst.point}" if worst.point else ""
            case = f", case “{worst.case}”" if worst.case and worst.case != "design" else ""
            title = f"{kind[:1].upper()}{kind[1:]}{where}{case}"
            yield Group(title, steps, tuple(explained(steps, told)), "", judged(worst, display))


def _weights(sheets: Sheets, line: Line) -> Table | None:
    display = sheets.display
    rows = [
        (
            *(display.number("mass per length", v) for v in (w.metal, w.fluid, w.insulation, w.operating, w.test)),
            display.number("mass", w.total),
        )
        for w in sheets.results.weights
        if w.line == line.name
    ]
    unit = display.unit("mass per length")
    heads = ("Metal", "Fluid", "Insulation", "In operation", "Under test")
    columns = (*(numeric(h, 15, unit) for h in heads), numeric("Whole line", 17, display.unit("mass")))
    return sheets.table("Mass of the line's own pipe, and of the whole line with its items", columns, rows)
