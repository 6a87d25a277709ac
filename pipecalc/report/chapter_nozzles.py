"""Nozzles: loads by case in their own axes, allowables, ratios, rule and what governs; bars of the ratios."""

from collections.abc import Iterator
from typing import Any

from pipecalc.model import Nozzle
from pipecalc.report import format as fmt
from pipecalc.report.chapter_verdict import Verdict, demand_and_limit, verdicts
from pipecalc.report.charts import ratio_bars
from pipecalc.report.format import Display
from pipecalc.report.parts import Figure, Sheets, Table, numeric, status, text, triple, without_empty
from pipecalc.results import Check, NozzleLoad, governing

COMPONENTS = ("FR", "FL", "FC", "MR", "ML", "MC")
METHODS = {
    "hand": "thermal loads of the end legs by the guided cantilever method, without weight, friction and pressure",
    "frame": "loads of the frame analysis",
}


def chapter(sheets: Sheets) -> dict[str, Any] | None:
    """Content of the nozzle chapter; None where the plant has no nozzles."""
    if not sheets.plant.nozzles:
        return None
    found = [v for v in verdicts(sheets.plant, sheets.results) if v.kind == "Nozzle"]
    by_tag = {v.tag: v for v in found}
    methods = dict.fromkeys(x.method for x in sheets.results.nozzle_loads)
    return {
        "methods": [METHODS.get(m, m) for m in methods],
        "bars": _bars(sheets, found),
        "nozzles": [_nozzle(sheets, n, by_tag[tag]) for tag, n in sheets.plant.nozzles.items()],
    }


def _bars(sheets: Sheets, found: list[Verdict]) -> Figure:
    rows = [(v.tag, v.ratio, v.status.value) for v in found]
    return sheets.figure(
        "Governing ratio of every nozzle, worst first; dark bars are over the limit",
        ratio_bars(rows, "Governing ratio of every nozzle"),
        "nozzle-ratios",
    )


def _nozzle(sheets: Sheets, n: Nozzle, v: Verdict) -> dict[str, Any]:
    return {
        "name": n.name,
        "status": v.status.value,
        "words": _words(n, v, sheets.display),
        "axes": _axes(n),
        "loads": _loads(sheets, n),
        "checks": _checks(sheets, n, v),
    }


def _words(n: Nozzle, v: Verdict, display: Display) -> str:
    connected = f", line {n.point[0]} at point {n.point[1]}" if n.point else ", no line connected"
    head = f"On {n.equipment}, NPS {fmt.nps_text(n.nps)}{connected}."
    if v.check is None:
        return head
    demand, limit = demand_and_limit(v.check, display)
    by = f"set {v.check.set}" if v.check.set else v.check.check
    return (
        f"{head} Governed by {by}, case “{v.check.case}”: {demand} against {limit}, ratio {fmt.ratio(v.check.ratio)}."
    )


def _axes(n: Nozzle) -> str:
    return "; ".join(f"{name} = {fmt.direction(axis)}" for name, axis in zip("RLC", n.axes, strict=True))


def _loads(sheets: Sheets, n: Nozzle) -> Table | None:
    display = sheets.display
    rows = [list(_load(x, display)) for x in sheets.results.nozzle_loads if x.nozzle == n.name]
    force, moment = display.unit("force"), display.unit("moment")
    columns = [
        text("Case, method", 42),
        triple("FR / FL / FC", 32, force),
        triple("MR / ML / MC", 32, moment),
        triple("Force E / N / U", 32, force),
    ]
    return sheets.table(f"Loads on nozzle {n.name}, the pipe's action on it at the flange face", columns, rows)


def _load(x: NozzleLoad, display: Display) -> Iterator[str]:
    yield f"{x.case}, {x.method}"
    yield display.triple("force", (x.FR, x.FL, x.FC))
    yield display.triple("moment", (x.MR, x.ML, x.MC))
    yield display.triple("force", x.force)


def _checks(sheets: Sheets, n: Nozzle, v: Verdict) -> Table | None:
    """One row per set and check, in the case that governs it."""
    grouped: dict[tuple[str, str], list[Check]] = {}
    for c in v.checks:
        grouped.setdefault((c.check, c.set), []).append(c)
    rows = [_check(sheets, n, governing(same) or same[0]) for same in grouped.values()]
    display = sheets.display
    units = {"F": display.unit("force"), "M": display.unit("moment")}
    columns = [
        text("Check, set", 24),
        *(numeric(f"{c} max", 11, units[c[0]]) for c in COMPONENTS),
        numeric("Force max", 11, units["F"]),
        numeric("Moment max", 11, units["M"]),
        text("Case", 20),
        numeric("Ratio", 8),
        status(12),
        text("Document, rule, remark", 34),
    ]
    return sheets.table(f"Nozzle {n.name} against its allowables", *without_empty(columns, rows))


def _check(sheets: Sheets, n: Nozzle, c: Check) -> list[str]:
    display = sheets.display
    row = next((r for r in sheets.plant.allowables.get(c.set, ()) if r.nps in (None, n.nps)), None)
    factor = n.allowable_factor
    limits = [fmt.NONE] * 8
    if row is not None:
        given = [*(row.limits.get(name) for name in COMPONENTS), row.force, row.moment]
        kinds = [*("force" if name[0] == "F" else "moment" for name in COMPONENTS), "force", "moment"]
        limits = [display.number(k, v * factor if v is not None else None) for k, v in zip(kinds, given, strict=True)]
    name = f"{c.check}, {c.set}" if c.set else c.check
    remark = "; ".join(x for x in (c.clause, c.reason, f"factor {factor:g}" if factor != 1 else "") if x)
    return [name, *limits, c.case, fmt.ratio(c.ratio), c.status.value, remark]
