"""The sheet an isometric is drawn on: where points lie, elbows as arcs, and what of a run is seen."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise
from math import dist, hypot, tan

from pipecalc.model import Line, Segment, Turn, Vector
from pipecalc.report import symbols
from pipecalc.report.projection import SHORTEST, Key, Layout, View, crossing, fit, layout
from pipecalc.report.svg import XY, Drawing, on_curve
from pipecalc.report.symbols import Place, unit

MARGIN, SMALL_MARGIN = 17.0, 12.0
SHORTEST_SMALL = 1.5  # drawn length of the shortest run where points carry no names [mm]
LOWEST = 62.0  # least height of a sheet [mm]
NARROW = 100.0  # a sheet up to this width is a small one [mm]
_SMALLEST_ELBOW = 1.6  # tangent length on the sheet [mm]
_TANGENTS_FROM = 2.4  # tangent length from which an elbow's corner is drawn too [mm]
_CUT = 1.1  # half the gap where a pipe passes behind another [mm]


@dataclass(frozen=True, slots=True)
class Cut:
    """Which runs of a line one of its sheets shows.

    Attributes:
        sheet_of: Number of the sheet, from 1, by run; empty where one sheet shows the whole line.
        number: This sheet.
    """

    sheet_of: tuple[int, ...] = ()
    number: int = 1

    @property
    def count(self) -> int:
        """Number of sheets."""
        return max(self.sheet_of, default=1)

    def shows(self, run: int) -> bool:
        """True where the run is on this sheet."""
        return not self.sheet_of or self.sheet_of[run] == self.number


WHOLE = Cut()


@dataclass(frozen=True, slots=True)
class Sheet:
    """A drawing with a line, or some of its runs, laid out on it.

    Attributes:
        segments: The runs on the sheet.
        runs: Number of each in the line, from 0.
        places: Points on the sheet [mm].
    """

    drawing: Drawing
    view: View
    scale: float
    offset: XY
    layout: Layout
    segments: tuple[Segment, ...]
    runs: tuple[int, ...]
    places: Mapping[Key, XY]

    def at(self, key: Key) -> XY:
        """A point of the line on the sheet."""
        return self.places[key]

    def on(self, place: Vector) -> XY:
        """A place in space, as laid out, on the sheet."""
        return _mapped(self.view.flat(place), self.scale, self.offset)

    def direction(self, vector: Vector) -> XY:
        """A direction of space on the sheet."""
        return unit(self.view.flat(vector))

    def ends(self, segment: Segment) -> tuple[XY, XY]:
        """Both ends of a run on the sheet."""
        return self.at(segment.start_key), self.at(segment.end_key)

    def middle(self, segment: Segment) -> XY:
        """Middle of a run on the sheet."""
        (ax, ay), (bx, by) = self.ends(segment)
        return ((ax + bx) / 2, (ay + by) / 2)

    def place(self, at: XY, pipe: Vector, given: Vector | None = None, standing: bool = False) -> Place:
        """Place for a symbol on a pipe that runs in a direction of space; ``standing`` puts it in the upright plane."""
        level = hypot(pipe[0], pipe[1]) > 0.7 * hypot(*pipe)
        across = (0.0, 0.0, 1.0) if standing and level else _square_to(pipe)
        own = given if given is not None else across
        return Place(at, self.direction(pipe), self.direction(across), self.direction(own))


def laid_out(line: Line, size: tuple[float, float], view: View, cut: Cut = WHOLE) -> Sheet:
    """A sheet of at most a size [mm] with the points of a line on it."""
    runs = tuple(i for i in range(len(line.segments)) if cut.shows(i))
    segments = tuple(line.segments[i] for i in runs)
    margin, shortest = (MARGIN, SHORTEST) if size[0] > NARROW else (SMALL_MARGIN, SHORTEST_SMALL)
    room = (size[0] - 2 * margin, size[1] - 2 * margin)
    where = layout(segments, *room, view, shortest)
    flat = {key: view.flat(p) for key, p in where.at.items()}
    scale, _offset = fit(list(flat.values()), *room)
    tall = max(y for _x, y in flat.values()) - min(y for _x, y in flat.values())
    height = max(2 * margin + scale * tall, LOWEST)
    scale, (right, down) = fit(list(flat.values()), room[0], height - 2 * margin)
    offset = (right + margin, down + margin)
    drawing = Drawing(size[0], height, f"Isometric sketch of line {line.name}")
    places = {key: _mapped(p, scale, offset) for key, p in flat.items()}
    return Sheet(drawing, view, scale, offset, where, segments, runs, places)


def _mapped(flat: XY, scale: float, offset: XY) -> XY:
    return (offset[0] + scale * flat[0], offset[1] + scale * flat[1])


def shortest_drawn(sheet: Sheet) -> float:
    """Length of the shortest run on the sheet [mm]."""
    return min(dist(*sheet.ends(s)) for s in sheet.segments)


def _square_to(pipe: Vector) -> Vector:
    """Horizontal direction square to a pipe; East for a vertical one."""
    east, north, _up = pipe
    level = hypot(east, north)
    return (north / level, -east / level, 0.0) if level > 1e-6 else (1.0, 0.0, 0.0)


#: Pen for a part of a run, by the run's number and the part: "start", "middle", "end" or "bend", the turn at its end.
PenOf = Callable[[int, str], str]
_PARTS = (("start", 0.0, 1 / 3), ("middle", 1 / 3, 2 / 3), ("end", 2 / 3, 1.0))


def plain_pen(_run: int, _part: str) -> str:
    """One pen for all pipe."""
    return "pipe"


def draw_pipe(sheet: Sheet, pen_of: PenOf = plain_pen) -> None:
    """Centreline with elbows as arcs, interrupted where it passes behind a nearer run."""
    trims = tangents(sheet)
    for i, segment in enumerate(sheet.segments):
        a, b = sheet.ends(segment)
        length = max(hypot(b[0] - a[0], b[1] - a[1]), 1e-9)
        before = trims.get((i, "start"), 0.0) / length
        after = 1.0 - trims.get((i, "end"), 0.0) / length
        for start, end in visible(sheet, i, before, after):
            for pen, low, high in _pieces(sheet.runs[i], start, end, pen_of):
                sheet.drawing.line(pen, between(a, b, low), between(a, b, high))
        if i in sheet.layout.broken:
            symbols.break_mark(sheet.drawing, sheet.place(between(a, b, 0.68), segment.vector, standing=True))
    for i, j, turn in joints(sheet.segments):
        points = arc(sheet, i, j, turn, trims)
        if min(trims[i, "end"], trims[j, "start"]) > _TANGENTS_FROM:
            sheet.drawing.line("hair", points[0], sheet.at(sheet.segments[i].end_key), points[-1])
        pen = pen_of(sheet.runs[i], "bend")
        if turn.mitre_cuts:
            pieces = turn.mitre_cuts + 1
            sheet.drawing.line(pen, *(on_curve(points, n / pieces) for n in range(pieces + 1)))
        else:
            sheet.drawing.curve(pen, *points)


def _pieces(run: int, start: float, end: float, pen_of: PenOf) -> Iterator[tuple[str, float, float]]:
    """Pieces of a run with one pen each; neighbours of the same pen are one piece."""
    pens = [(pen_of(run, part), max(low, start), min(high, end)) for part, low, high in _PARTS]
    shown = [piece for piece in pens if piece[1] < piece[2]]
    while shown:
        pen, low, high = shown.pop(0)
        while shown and shown[0][0] == pen:
            high = shown.pop(0)[2]
        yield pen, low, high


def joints(segments: tuple[Segment, ...]) -> Iterator[tuple[int, int, Turn]]:
    """Runs that follow one another at a turn, and the turn."""
    for i, (one, other) in enumerate(pairwise(segments)):
        if one.turn is not None and one.turn.radius > 0 and one.end_key == other.start_key:
            yield i, i + 1, one.turn


def tangents(sheet: Sheet) -> dict[tuple[int, str], float]:
    """Length on the sheet that an elbow takes from each of its runs; equal shares in space."""
    found: dict[tuple[int, str], float] = {}
    for i, j, turn in joints(sheet.segments):
        one, other = sheet.segments[i], sheet.segments[j]
        reach = [drawn_length(sheet, s) for s in (one, other)]
        wanted = turn.radius * tan(turn.angle / 2)
        tangent = min(max(wanted, _SMALLEST_ELBOW / sheet.scale), 0.42 * min(reach))
        for index, side, segment, drawn in ((i, "end", one, reach[0]), (j, "start", other, reach[1])):
            a, b = sheet.ends(segment)
            found[index, side] = tangent * hypot(b[0] - a[0], b[1] - a[1]) / drawn
    return found


def drawn_length(sheet: Sheet, segment: Segment) -> float:
    """Length of a run as laid out [m]."""
    a, b = sheet.layout.at[segment.start_key], sheet.layout.at[segment.end_key]
    return max(dist(a, b), 1e-9)


def arc(sheet: Sheet, i: int, j: int, turn: Turn, trims: Mapping[tuple[int, str], float]) -> list[XY]:
    """Points of a projected circular arc; a Bezier curve stays one under projection."""
    one, other = sheet.segments[i], sheet.segments[j]
    corner = sheet.at(one.end_key)
    handle = 4.0 / 3.0 * tan(turn.angle / 4) / max(tan(turn.angle / 2), 1e-9)
    back, ahead = unit(_to(corner, sheet.at(one.start_key))), unit(_to(corner, sheet.at(other.end_key)))
    a, b = trims[i, "end"], trims[j, "start"]
    return [
        symbols.shifted(corner, back, a),
        symbols.shifted(corner, back, a * (1 - handle)),
        symbols.shifted(corner, ahead, b * (1 - handle)),
        symbols.shifted(corner, ahead, b),
    ]


def _to(a: XY, b: XY) -> XY:
    return (b[0] - a[0], b[1] - a[1])


def between(a: XY, b: XY, share: float) -> XY:
    """A place on the way from one to the other."""
    return (a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share)


def visible(sheet: Sheet, index: int, start: float, end: float) -> Iterator[tuple[float, float]]:
    """Shares of a run that are seen: cut where a run nearer to the viewer crosses it."""
    segment = sheet.segments[index]
    a, b = sheet.ends(segment)
    half = _CUT / max(hypot(b[0] - a[0], b[1] - a[1]), 1e-9)
    for at in sorted(_hidden_at(sheet, index)):
        if start < at - half < at + half < end:
            yield start, at - half
            start = at + half
    yield start, end


def _hidden_at(sheet: Sheet, index: int) -> Iterator[float]:
    segment = sheet.segments[index]
    keys = {segment.start_key, segment.end_key}
    for other in sheet.segments:
        if keys & {other.start_key, other.end_key}:
            continue
        met = crossing(*sheet.ends(segment), *sheet.ends(other))
        if met and _depth(sheet, segment, met[0]) < _depth(sheet, other, met[1]):
            yield met[0]


def _depth(sheet: Sheet, segment: Segment, share: float) -> float:
    a, b = (sheet.view.depth(sheet.layout.at[k]) for k in (segment.start_key, segment.end_key))
    return a + (b - a) * share
