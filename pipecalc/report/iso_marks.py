"""Marks on an isometric sheet: joints with other lines, match marks, flow, levels, slopes and skew runs."""

from collections.abc import Iterator, Sequence
from math import hypot

from pipecalc.model import Item, Plant, Segment, Vector
from pipecalc.report import symbols
from pipecalc.report.format import MINUS, Display
from pipecalc.report.iso_sheet import Cut, Sheet, between
from pipecalc.report.labels import Wanted
from pipecalc.report.projection import Key
from pipecalc.report.svg import QUIET

_STUB = 6.0  # drawn length of a pipe that goes on elsewhere [mm]
_ARROW_FROM = 11.0  # drawn length of a run that carries a flow arrow [mm]
_LEVEL = 1e-4  # points are on one level within this height [m]
_STEEPEST_SLOPE = 0.25  # rise over length; a steeper run is skew, not sloped
_FLAT = 1e-6


def straight_legs(segments: Sequence[Segment]) -> list[list[int]]:
    """Runs that follow one another in one direction, as numbers on the sheet."""
    legs: list[list[int]] = []
    for i, segment in enumerate(segments):
        if i and segments[i - 1].end_key == segment.start_key and _same_way(segments[i - 1], segment):
            legs[-1].append(i)
        else:
            legs.append([i])
    return legs


def _same_way(one: Segment, other: Segment) -> bool:
    dot = sum(p * q for p, q in zip(one.vector, other.vector, strict=True))
    return dot > 0.99999 * one.length * other.length


def joints_with_others(sheet: Sheet, plant: Plant, own: str) -> Iterator[Wanted]:
    """A stub of every other line that meets this one, with its name."""
    at = sheet.layout.at
    for other in plant.lines.values():
        if other.name == own:
            continue
        for segment in other.segments:
            for key, sign in ((segment.start_key, 1.0), (segment.end_key, -1.0)):
                if key in at:
                    place = sheet.at(key)
                    tip = symbols.shifted(place, sheet.direction(segment.vector), sign * _STUB)
                    sheet.drawing.line("other", place, tip)
                    sheet.drawing.circle("solid", place, 0.8)
                    yield Wanted(f"line {other.name}", tip, 2.2, clear=0.8, colour=QUIET)


def match_marks(sheet: Sheet, segments: Sequence[Segment], cut: Cut) -> Iterator[Wanted]:
    """A stub and a match mark wherever a run of another sheet begins or ends at a point of this one."""
    for run, segment in enumerate(segments):
        if cut.shows(run):
            continue
        for key, sign in ((segment.start_key, 1.0), (segment.end_key, -1.0)):
            if key in sheet.layout.at:
                way = sheet.direction(segment.vector)
                way = (sign * way[0], sign * way[1])
                place = sheet.at(key)
                tip = symbols.shifted(place, way, _STUB)
                sheet.drawing.line("pipe", place, tip)
                symbols.match_line(sheet.drawing, sheet.place(tip, segment.vector, standing=True))
                words = f"continued on\nsheet {cut.sheet_of[run]}"
                yield Wanted(words, tip, 2.3, bold=True, clear=1.4, about=f"continued on sheet {cut.sheet_of[run]}")


def flow_arrows(sheet: Sheet) -> None:
    """An arrow on every leg with room for it, and on the longest run of all."""
    plain = [i for i, s in enumerate(sheet.segments) if s.item is Item.PIPE]
    length = {i: hypot(*_minus(*sheet.ends(sheet.segments[i]))) for i in plain}
    longest = [max((i for i in leg if i in length), key=length.__getitem__, default=-1) for leg in _legs(sheet)]
    wanted = {i for i in longest if i >= 0 and length[i] >= _ARROW_FROM}
    wanted |= {max(plain, key=length.__getitem__)} if plain else set()
    for i in sorted(wanted):
        segment = sheet.segments[i]
        a, b = sheet.ends(segment)
        symbols.arrow(sheet.drawing, sheet.place(between(a, b, 0.36), segment.vector, standing=True))


def _legs(sheet: Sheet) -> list[list[int]]:
    return straight_legs(sheet.segments)


def _minus(a: tuple[float, float], b: tuple[float, float]) -> tuple[float, float]:
    return (b[0] - a[0], b[1] - a[1])


def levels(sheet: Sheet, display: Display) -> dict[Key, str]:
    """Elevation in words where the line begins and at the first corner of every further level."""
    heights = {k: at[2] for s in sheet.segments for k, at in ((s.start_key, s.start_at), (s.end_key, s.end_at))}
    corners = [k for leg in _legs(sheet) for k in (sheet.segments[leg[0]].start_key, sheet.segments[leg[-1]].end_key)]
    found: dict[Key, str] = {}
    told: float | None = None
    for key in dict.fromkeys(corners):
        if told is None or abs(heights[key] - told) > _LEVEL:
            told = heights[key]
            found[key] = f"EL {MINUS if told < 0 else '+'}{display.number('coordinate', abs(told))}"
    return found


def slopes(sheet: Sheet, display: Display) -> Iterator[Wanted]:
    """Words for sloped and skew legs; draws a wedge beside a slope and the box of a skew run."""
    for leg in _legs(sheet):
        first, last = sheet.segments[leg[0]], sheet.segments[leg[-1]]
        vector = _between(first.start_at, last.end_at)
        middle = between(sheet.at(first.start_key), sheet.at(last.end_key), 0.5)
        if _sloped(vector):
            down = vector if vector[2] < 0 else (-vector[0], -vector[1], -vector[2])
            symbols.slope(
                sheet.drawing,
                sheet.place(between(sheet.at(first.start_key), sheet.at(last.end_key), 0.66), down, standing=True),
            )
            run = hypot(vector[0], vector[1]) / abs(vector[2])
            low = last.end_key if vector[2] < 0 else first.start_key
            yield Wanted(f"1:{run:.0f} down to {low[1]}", middle, 2.0, clear=2.6, colour=QUIET)
        elif _skew(vector):
            sheet.drawing.line("dashed", *_box_way(sheet, first.start_key, last.end_key))
            parts = [
                f"{axis} {MINUS if v < 0 else '+'}{display.number('dimension', abs(v))}"
                for axis, v in zip("ENU", vector, strict=True)
                if abs(v) > _FLAT
            ]
            yield Wanted("skew: " + ", ".join(parts), middle, 2.0, clear=1.2, colour=QUIET)


def has_slope(sheet: Sheet) -> bool:
    """True where a leg falls or rises gently."""
    return any(_sloped(s.vector) for s in sheet.segments)


def has_skew(sheet: Sheet) -> bool:
    """True where a leg follows none of the axes."""
    return any(_skew(s.vector) and not _sloped(s.vector) for s in sheet.segments)


def _sloped(vector: Vector) -> bool:
    level = hypot(vector[0], vector[1])
    return _FLAT * level < abs(vector[2]) <= _STEEPEST_SLOPE * level


def _skew(vector: Vector) -> bool:
    length = hypot(*vector)
    return sum(abs(v) > 1e-4 * length for v in vector) > 1


def _between(a: Vector, b: Vector) -> Vector:
    return (b[0] - a[0], b[1] - a[1], b[2] - a[2])


def _box_way(sheet: Sheet, start: Key, end: Key) -> list[tuple[float, float]]:
    """From one point to another along East, North and Up, as far as each differs."""
    at = list(sheet.layout.at[start])
    goal = sheet.layout.at[end]
    way = [sheet.at(start)]
    for axis in range(3):
        if abs(goal[axis] - at[axis]) > _FLAT:
            at[axis] = goal[axis]
            way.append(sheet.on((at[0], at[1], at[2])))
    return way
