"""The hand method beside the frame method for a line: nozzle loads, governing ratios, and what makes them differ."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import isfinite, sqrt

from pipecalc.checks.stress.interface import Kind
from pipecalc.model import Line, Plant, Support, Vector
from pipecalc.report import format as fmt
from pipecalc.report.format import Display
from pipecalc.report.parts import Sheets, Table, numeric, text, triple
from pipecalc.report.stress_sections import KINDS, point_name
from pipecalc.results import Check, Leg, NozzleLoad, Results, governing


@dataclass(frozen=True, slots=True)
class Compared:
    """The governing ratios of a line by both methods; None where a method gave none."""

    leg: Leg | None
    frame: Check | None


def compared(results: Results, line: str) -> Compared:
    """Governing leg and governing displacement range of a line."""
    legs = [leg for leg in results.legs if leg.line == line and isfinite(leg.ratio)]
    return Compared(max(legs, key=lambda leg: leg.ratio, default=None), governing(_ranges(results, line)))


def _ranges(results: Results, line: str) -> Iterator[Check]:
    return (c for c in results.checks if c.line == line and KINDS.get(c.check) is Kind.RANGE)


def leg_in_frame(results: Results, leg: Leg) -> float:
    """Highest displacement range ratio of the frame at the points of a leg; NaN where there is none."""
    own = {leg.from_, leg.to, *leg.points}
    ratios = [c.ratio for c in _ranges(results, leg.line) if point_name(c.point) in own and isfinite(c.ratio)]
    return max(ratios, default=float("nan"))


def nozzle_table(sheets: Sheets, line: Line) -> Table | None:
    """Thermal loads by hand beside those of the frame, for every nozzle of a line and state."""
    rows = [_nozzle_row(hand, frame, sheets.display) for hand, frame in _pairs(sheets, line)]
    force, moment = sheets.display.unit("force"), sheets.display.unit("moment")
    columns = (
        text("Nozzle", 16),
        text("State", 26),
        triple("By hand, force E / N / U", 32, force),
        triple("By frame, force E / N / U", 32, force),
        numeric("Force, hand / frame", 16),
        triple("Moment by hand / by frame", 26, moment),
    )
    caption = f"Thermal loads on the nozzles of line {line.name} by both methods"
    return sheets.table(caption, columns, rows)


def _pairs(sheets: Sheets, line: Line) -> Iterator[tuple[NozzleLoad, NozzleLoad]]:
    """Load by hand, and what heating adds in the frame: the hot case less the first sustained one."""
    results = sheets.results
    by_frame = {(x.nozzle, x.case): x for x in results.nozzle_loads if x.method == "frame"}
    cold = next((c.case for c in results.cases if c.kind == "sustained"), "")
    own = {tag for tag, n in sheets.plant.nozzles.items() if n.point and n.point[0] == line.name}
    for hand in results.nozzle_loads:
        hot, base = by_frame.get((hand.nozzle, hand.case)), by_frame.get((hand.nozzle, cold))
        if hand.method == "hand" and hand.nozzle in own and hot and base:
            yield hand, _difference(hot, base)


def _difference(hot: NozzleLoad, base: NozzleLoad) -> NozzleLoad:
    parts = {name: value - base.components[name] for name, value in hot.components.items()}
    return NozzleLoad(
        nozzle=hot.nozzle,
        case=hot.case,
        **parts,
        force=_minus(hot.force, base.force),
        moment=_minus(hot.moment, base.moment),
        method="frame",
    )


def _minus(a: Vector, b: Vector) -> Vector:
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def _size(v: Vector) -> float:
    return sqrt(v[0] ** 2 + v[1] ** 2 + v[2] ** 2)


def _nozzle_row(hand: NozzleLoad, frame: NozzleLoad, display: Display) -> list[str]:
    share = _size(hand.force) / _size(frame.force) if _size(frame.force) > 0 else float("nan")
    return [
        hand.nozzle,
        hand.case,
        display.triple("force", hand.force),
        display.triple("force", frame.force),
        fmt.ratio(share),
        fmt.beside((display.number("moment", _size(x.moment)) for x in (hand, frame)), 8),
    ]


def words(sheets: Sheets, line: Line) -> list[str]:
    """What differs between both methods on this line, and why, as sentences."""
    both = compared(sheets.results, line.name)
    if both.leg is None or both.frame is None:
        return []
    return [_ratios(both.leg, both.frame), *_reasons(sheets.plant, line, sheets.display)]


def _ratios(leg: Leg, frame: Check) -> str:
    said = (
        f"By hand the governing ratio is {fmt.ratio(leg.ratio)}, leg {leg.from_} to {leg.to} giving way towards "
        f"{leg.direction}; by frame it is {fmt.ratio(frame.ratio)} at {frame.point}, case “{frame.case}”."
    )
    if leg.ratio > frame.ratio:
        return f"{said} The hand method is the higher: it is the screening, the frame decides."
    return f"{said} The frame is the higher, so the hand method alone would not have been safe here; the frame decides."


def _reasons(plant: Plant, line: Line, display: Display) -> Iterator[str]:
    turns = sum(s.turn is not None and s.turn.radius > 0 for s in line.segments)
    yield (
        f"Corner rotation: by hand both ends of a leg are kept from turning and one leg takes a movement alone; in the "
        f"frame the {turns} turns of the line rotate and give way by their flexibility factors, and all legs share."
    )
    own = [s for s in plant.supports.values() if s.point[0] == line.name]
    rests = _tags(own, "rest", "hanger rod")
    if rests:
        yield f"One way: {rests} hold downward only in the frame; by hand each counts while the pipe comes down on it."
    gaps = ", ".join(f"{s.name} {display.text('movement', s.gap)}" for s in own if s.gap > 0)
    if gaps:
        yield f"Gaps: the frame uses up {gaps} before a guide or stop holds; by hand they count as closed."
    if any(s.friction > 0 for s in own if "rest" in s.type):
        yield "Friction: the frame lets the pipe rub on its rests, which holds movement back; by hand there is none."
    springs = _tags(own, "spring", "constant load")
    if springs:
        yield f"Springs: {springs} have their rate in the frame; by hand they do not hold."
    yield (
        "Weight: by hand there is none. The loads by frame above are those of the hot case less those of the cold "
        "sustained case, so weight shows only where supports open or close between the two."
    )


def _tags(supports: Sequence[Support], *kinds: str) -> str:
    return ", ".join(s.name for s in supports if any(kind in s.type for kind in kinds))


def summary_table(sheets: Sheets) -> Table | None:
    """One row for every line: the governing ratios by both methods."""
    rows = [row for line in sheets.plant.lines.values() if (row := _summary(compared(sheets.results, line.name)))]
    columns = (
        text("Line", 20),
        text("By hand: leg", 24),
        text("State", 22),
        numeric("Ratio", 9),
        text("By frame: section", 30),
        text("Case", 34),
        numeric("Ratio", 9),
        numeric("Hand / frame", 12),
    )
    return sheets.table("Hand method beside frame method: governing displacement stress of every line", columns, rows)


def legs_table(sheets: Sheets) -> Table | None:
    """One row for every line: how its legs by hand compare with the frame, leg by leg."""
    rows = [row for line in sheets.plant.lines.values() if (row := _legs_row(sheets, line.name))]
    columns = (
        text("Line", 20),
        numeric("Legs compared", 11),
        numeric("Hand higher", 11),
        numeric("Frame higher", 11),
        text("Highest of these by frame", 58),
        text("Leg by leg in", 16),
    )
    caption = "Every leg by both methods; where the frame is higher, the hand method alone would not be safe"
    return sheets.table(caption, columns, rows)


def _legs_row(sheets: Sheets, line: str) -> list[str]:
    legs = [leg for leg in sheets.results.legs if leg.line == line and isfinite(leg.ratio)]
    pairs = [(leg, by) for leg in legs if isfinite(by := leg_in_frame(sheets.results, leg))]
    if not pairs:
        return []
    over = [(leg, by) for leg, by in pairs if by > leg.ratio]
    worst = max(over, key=lambda pair: pair[1], default=None)
    told = fmt.NONE
    if worst is not None:
        leg, by = worst
        told = f"{leg.from_} – {leg.to}, {leg.direction}: {fmt.ratio(by)} by frame, {fmt.ratio(leg.ratio)} by hand"
    number = sheets.numbers.get(f"legs of {line}", "")
    counts = (len(pairs), len(pairs) - len(over), len(over))
    return [line, *map(str, counts), told, f"Table {number}" if number else fmt.NONE]


def _summary(both: Compared) -> list[str]:
    if both.leg is None or both.frame is None:
        return []
    share = both.leg.ratio / both.frame.ratio if both.frame.ratio > 0 else float("nan")
    leg = f"{both.leg.from_} – {both.leg.to}, {both.leg.direction}"
    hand = [both.leg.line, leg, both.leg.state, fmt.ratio(both.leg.ratio)]
    return [*hand, both.frame.point, both.frame.case, fmt.ratio(both.frame.ratio), fmt.ratio(share)]
