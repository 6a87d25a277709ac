"""Nozzles: loads by case in their own axes, allowables, what governs, flanges and shells; sums over an item."""

from collections.abc import Iterator, Mapping, Sequence
from math import hypot, isfinite
from typing import Any

from pipecalc.model import Nozzle, Plant
from pipecalc.report import format as fmt
from pipecalc.report.chapter_verdict import Verdict, demand_and_limit, verdicts
from pipecalc.report.charts import ratio_bars
from pipecalc.report.format import Display
from pipecalc.report.notes import Notes
from pipecalc.report.nozzle_axes import axes_sketch
from pipecalc.report.parts import Figure, Sheets, Table, numeric, status, text, triple, without_empty
from pipecalc.report.worked import CONSISTENT_UNITS, Group, explained, judged, worked_check
from pipecalc.report.worked_nozzle import worked_set
from pipecalc.report.worked_shell import NOZZLE_SHELL, worked_shell
from pipecalc.results import Check, NozzleLoad, Results, governing

COMPONENTS = ("FR", "FL", "FC", "MR", "ML", "MC")
NOZZLE_CHECK = "nozzle load"
FLANGE_CHECK = "flange"
RIGID = "frame, rigid nozzle"
METHODS = {
    "hand": "thermal loads of the end legs by the guided cantilever method, without weight, friction and pressure",
    "frame": "loads of the frame analysis",
}
BARS = 126.0  # width of the picture beside the axes [mm]
ALWAYS = ("sustained", "operating", "test")  # kinds of case that are always printed


def chapter(sheets: Sheets) -> dict[str, Any] | None:
    """Content of the nozzle chapter; None where the plant has no nozzles."""
    if not sheets.plant.nozzles:
        return None
    found = [v for v in verdicts(sheets.plant, sheets.results) if v.kind == "Nozzle"]
    by_tag = {v.tag: v for v in found}
    method = _method(sheets)
    return {
        "method": METHODS.get(method, method),
        "bars": _bars(sheets, found),
        "items": [_item(sheets, item, by_tag, method) for item in _items(sheets)],
        "sums": _sums(sheets),
        "worked_sums": list(_worked_sums(sheets)),
        "units": CONSISTENT_UNITS[sheets.display.system],
    }


def _items(sheets: Sheets) -> list[str]:
    """Equipment with nozzles, in the order of the nozzles."""
    return list(dict.fromkeys(n.equipment for n in sheets.plant.nozzles.values()))


def _item(sheets: Sheets, name: str, by_tag: Mapping[str, Verdict], method: str) -> dict[str, Any]:
    """What goes to the maker of one item: its nozzles, one after the other."""
    item = sheets.plant.equipment[name]
    own = [(tag, n) for tag, n in sheets.plant.nozzles.items() if n.equipment == name]
    notes, told = Notes(sheets.display), set[tuple[str, str]]()
    return {
        "title": f"Nozzle load data sheet: {name}, {item.kind}",
        "nozzles": [
            {**_nozzle(sheets, n, by_tag[tag], method, notes), "worked": _worked(by_tag[tag], sheets.display, told)}
            for tag, n in own
        ],
        "shell": _shell(sheets, [tag for tag, _ in own], told),
        "notes": notes.told,
    }


def _method(sheets: Sheets) -> str:
    """The frame's loads where there are any; the hand method stands beside them in the chapters of the lines."""
    methods = [x.method for x in sheets.results.nozzle_loads]
    return "frame" if "frame" in methods else next(iter(methods), "")


def _bars(sheets: Sheets, found: list[Verdict]) -> Figure:
    rows = [(v.tag, v.ratio, v.status.value) for v in found]
    return sheets.figure(
        "Governing ratio of every nozzle, worst first; dark bars are over the limit",
        ratio_bars(rows, "Governing ratio of every nozzle"),
        "nozzle-ratios",
    )


def _nozzle(sheets: Sheets, n: Nozzle, v: Verdict, method: str, notes: Notes) -> dict[str, Any]:
    loads = [x for x in sheets.results.nozzle_loads if x.nozzle == n.name and x.method == method]
    against = [c for c in v.checks if c.check == NOZZLE_CHECK]
    return {
        "name": n.name,
        "key": f"nozzle-{list(sheets.plant.nozzles).index(n.name) + 1}",
        "status": v.status.value,
        "words": _words(n, v, sheets.display),
        "axes": sheets.figure(f"Axes of {n.name}", axes_sketch(n), f"nozzle-{n.name}-axes"),
        "set": _set_bars(sheets, n, governing(against)),
        **_loads(sheets, n, loads, against),
        "checks": _checks(sheets, n, against),
        "others": _others(sheets, n.name, [c for c in v.checks if c.check != NOZZLE_CHECK], notes),
    }


def _worked(v: Verdict, display: Display, told: set[tuple[str, str]]) -> list[Group]:
    """The governing allowable set and the governing flange check with their numbers."""
    worst = governing(c for c in v.checks if c.check == NOZZLE_CHECK)
    found = list(worked_set(worst, display, told)) if worst else []
    flange = governing(c for c in v.checks if c.check == FLANGE_CHECK)
    steps = tuple(worked_check(flange, display)) if flange else ()
    if flange and steps:
        title = f"Flange, case “{flange.case}”"
        found.append(Group(title, steps, tuple(explained(steps, told)), "", judged(flange, display)))
    return found


def _shell(sheets: Sheets, tags: Sequence[str], told: set[tuple[str, str]]) -> list[Group]:
    """Of the shells at the nozzles of an item the worst, with its numbers."""
    worst = worst_shell(sheets.results, tags)
    return worked_shell(worst, sheets.display, told) if worst else []


def worst_shell(results: Results, tags: Sequence[str]) -> Check | None:
    """The check of a shell at any of the nozzles that has the highest ratio."""
    return governing(c for c in results.checks if c.check == NOZZLE_SHELL and c.subject in tags)


def _worked_sums(sheets: Sheets) -> Iterator[Group]:
    """Every sum of every item and set in its governing case, with its numbers."""
    told: set[tuple[str, str]] = set()
    for worst in worst_sums(sheets.plant, sheets.results):
        yield from worked_set(worst, sheets.display, told)


def worst_sums(plant: Plant, results: Results) -> Iterator[Check]:
    """Of every rule for all nozzles of an item together the case that governs."""
    grouped: dict[tuple[str, str, str], list[Check]] = {}
    for c in results.checks:
        if c.subject in plant.equipment:
            grouped.setdefault((c.subject, c.set, c.point), []).append(c)
    yield from (worst for same in grouped.values() if (worst := governing(same)))


def _words(n: Nozzle, v: Verdict, display: Display) -> str:
    connected = f", line {n.point[0]} at point {n.point[1]}" if n.point else ", no line connected"
    head = f"On {n.equipment}, NPS {fmt.nps_text(n.nps)}{connected}; {_axes(n)}."
    if v.check is None:
        return head
    demand, limit = demand_and_limit(v.check, display)
    by = f"set {v.check.set}" if v.check.set else v.check.check
    return (
        f"{head} Governed by {by}, case “{v.check.case}”: {demand} against {limit}, ratio {fmt.ratio(v.check.ratio)}."
    )


def _axes(n: Nozzle) -> str:
    return "; ".join(f"{name} = {fmt.direction(axis)}" for name, axis in zip("RLC", n.axes, strict=True))


def _set_bars(sheets: Sheets, n: Nozzle, check: Check | None) -> Figure | None:
    """Every part of the governing set with its load and allowable; None where the check carries no parts."""
    parts = list(_parts(check, sheets.display)) if check else []
    if check is None or not parts:
        return None
    caption = f"Governing set {check.set}, case “{check.case}”: load over allowable"
    return sheets.figure(caption, ratio_bars(parts, f"{n.name}, {check.set}", BARS), f"nozzle-{n.name}-set")


def _parts(check: Check, display: Display) -> Iterator[tuple[str, float, str]]:
    numbers = {k: v for k, v in check.inputs.items() if isinstance(v, float | int)}
    most = numbers.get("limit of the ratio", 1.0)
    ratios = {k.removeprefix("ratio "): v for k, v in numbers.items() if k.startswith("ratio ")}
    for name, ratio in ratios.items():
        yield _part_words(name, ratio, numbers, display), ratio / most, ""
    if check.unit == "1" and ratios:
        yield check.reason.removesuffix(" governs") or "together", check.ratio, ""


def _part_words(name: str, ratio: float, numbers: dict[str, float], display: Display) -> str:
    """Load and allowable of a part: ``FR 4825 / 3000 N``."""
    quantity = "moment" if name[0] == "M" or name.endswith("moment") else "force"
    demand = abs(numbers[name]) if name in numbers else _resultant(numbers, quantity)
    limit = numbers.get(f"allowable {name}", demand / ratio if ratio > 0 else float("nan"))
    if not isfinite(demand):
        return name
    return f"{name}  {display.number(quantity, demand)} / {display.text(quantity, limit)}"


def _resultant(numbers: dict[str, float], quantity: str) -> float:
    own = [numbers[k] for k in COMPONENTS if k in numbers and (k[0] == "F") == (quantity == "force")]
    return hypot(*own) if own else float("nan")


def _loads(sheets: Sheets, n: Nozzle, loads: Sequence[NozzleLoad], against: Sequence[Check]) -> dict[str, Any]:
    shown = _telling(loads, {c.case: c.kind for c in sheets.results.cases}, _governing_cases(against))
    caption = f"Loads on nozzle {n.name}, the pipe's action on it at the flange face"
    told = {x.case for x in shown}
    rigid = [x for x in sheets.results.nozzle_loads if x.nozzle == n.name and x.method == RIGID and x.case in told]
    return {
        "loads": _load_table(sheets, caption, shown),
        "left_out": len(loads) - len(shown),
        "rigid": _load_table(
            sheets,
            f"For comparison: the loads on {n.name} if its shell did not give way",
            [x for x in rigid if isfinite(x.FR)],
        ),
        "no_rigid": "; ".join(x.case for x in rigid if not isfinite(x.FR)),
    }


def _load_table(sheets: Sheets, caption: str, shown: Sequence[NozzleLoad]) -> Table | None:
    """Loads by case, equal ones told once."""
    display = sheets.display
    rows: dict[tuple[str, ...], list[str]] = {}
    for x in shown:
        rows.setdefault(tuple(_load(x, display)), []).append(x.case)
    force, moment = display.unit("force"), display.unit("moment")
    columns = [
        text("Case", 46),
        triple("FR / FL / FC", 32, force),
        triple("MR / ML / MC", 32, moment),
        triple("Force E / N / U", 32, force),
    ]
    return sheets.table(caption, columns, [("; ".join(cases), *row) for row, cases in rows.items()])


def _governing_cases(against: Sequence[Check]) -> set[str]:
    by_set: dict[str, list[Check]] = {}
    for c in against:
        by_set.setdefault(c.set, []).append(c)
    return {worst.case for same in by_set.values() if (worst := governing(same))}


def _telling(loads: Sequence[NozzleLoad], kinds: dict[str, str], governing_cases: set[str]) -> list[NozzleLoad]:
    """Of the occasional cases those that govern or hold the largest of a component; of the others all."""
    kept = {x.case for x in loads if kinds.get(x.case, "operating") in ALWAYS} | governing_cases
    for name in COMPONENTS:
        rated = [x for x in loads if isfinite(x.components[name])]
        if rated:
            kept.add(max(rated, key=lambda x: abs(x.components[name])).case)
    return [x for x in loads if x.case in kept]


def _load(x: NozzleLoad, display: Display) -> Iterator[str]:
    yield display.triple("force", (x.FR, x.FL, x.FC))
    yield display.triple("moment", (x.MR, x.ML, x.MC))
    yield display.triple("force", x.force)


def _checks(sheets: Sheets, n: Nozzle, against: Sequence[Check]) -> Table | None:
    """One row per set and check, in the case that governs it."""
    grouped: dict[str, list[Check]] = {}
    for c in against:
        grouped.setdefault(c.set, []).append(c)
    rows = [_check(sheets, n, governing(same) or same[0]) for same in grouped.values()]
    display = sheets.display
    units = {"F": display.unit("force"), "M": display.unit("moment")}
    columns = [
        text("Set", 20),
        triple("FR / FL / FC max", 30, units["F"]),
        triple("MR / ML / MC max", 30, units["M"]),
        triple("Force max", 11, units["F"]),
        triple("Moment max", 11, units["M"]),
        text("Case", 27),
        numeric("Ratio", 8),
        status(11),
        text("Document, rule, remark", 36),
    ]
    return sheets.table(f"Nozzle {n.name} against its allowables", *without_empty(columns, rows))


def _check(sheets: Sheets, n: Nozzle, c: Check) -> list[str]:
    display = sheets.display
    row = next((r for r in sheets.plant.allowables.get(c.set, ()) if r.nps in (None, n.nps)), None)
    factor = n.allowable_factor
    limits = [""] * 4
    if row is not None:
        forces, moments = ([row.limits.get(name) for name in COMPONENTS if name[0] == kind] for kind in "FM")
        limits = [
            _allowed(quantity, given, factor, display)
            for quantity, given in (
                ("force", forces),
                ("moment", moments),
                ("force", [row.force]),
                ("moment", [row.moment]),
            )
        ]
    reason = display.words(c.reason)
    remark = "; ".join(x for x in (c.clause, reason, f"factor {factor:g}" if factor != 1 else "") if x)
    return [c.set or "none", *limits, c.case, fmt.ratio(c.ratio), c.status.value, remark]


def _allowed(quantity: str, given: Sequence[float | None], factor: float, display: Display) -> str:
    """Allowables side by side; blank where none is given."""
    shown = [display.number(quantity, v * factor if v is not None else None) for v in given]
    return "" if set(shown) == {fmt.NONE} else fmt.beside(shown)


def _others(sheets: Sheets, tag: str, checks: Sequence[Check], notes: Notes) -> Table | None:
    """Flange, shell and what else was checked at a nozzle: of each check and place the worst case, with how many."""
    grouped: dict[tuple[str, str], list[Check]] = {}
    for c in checks:
        grouped.setdefault((c.check, c.point), []).append(c)
    rows = [_other(governing(same) or same[0], len(same), sheets.display, notes) for same in grouped.values()]
    columns = [
        text("Check", 40),
        text("Case", 40),
        numeric("Demand", 14),
        numeric("Limit", 14),
        numeric("Ratio", 8),
        status(11),
        text("Notes, remark", 44),
    ]
    return sheets.table(f"Flange and shell at {tag}, the worst of all cases", *without_empty(columns, rows))


def _other(c: Check, count: int, display: Display, notes: Notes) -> list[str]:
    demand, limit = demand_and_limit(c, display)
    name = f"{c.check}, worst of {count}" if count > 1 else c.check
    name += " (screening)" if c.screening else ""
    return [name, c.case, demand, limit, fmt.ratio(c.ratio), c.status.value, notes.of(c)]


def _sums(sheets: Sheets) -> Table | None:
    """Rules for all nozzles of an item together, the worst case of each."""
    grouped: dict[tuple[str, str, str], list[Check]] = {}
    for c in sheets.results.checks:
        if c.subject in sheets.plant.equipment:
            grouped.setdefault((c.subject, c.set, c.point), []).append(c)
    rows = [_sum(tag, _part(part, rule), governing(same) or same[0], sheets.display)
            for (tag, rule, part), same in grouped.items()]  # fmt: skip
    columns = [
        text("Equipment", 16),
        text("Sum, set", 30),
        text("Case", 24),
        numeric("Demand", 13),
        numeric("Limit", 13),
        numeric("Ratio", 8),
        status(11),
        text("Clause, remark", 54),
    ]
    return sheets.table("All nozzles of an item together", *without_empty(columns, rows))


def _sum(tag: str, part: str, c: Check, display: Display) -> list[str]:
    demand, limit = demand_and_limit(c, display)
    remark = "; ".join(x for x in (c.clause, display.words(c.reason)) if x)
    return [tag, part, c.case, demand, limit, fmt.ratio(c.ratio), c.status.value, remark]


def _part(part: str, rule: str) -> str:
    return ", ".join(x for x in (part, rule) if x)
