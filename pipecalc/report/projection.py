"""True isometric projection, and lengths adjusted so that short and long runs stay readable on one sheet."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import hypot, sqrt
from statistics import median

from pipecalc.model import Segment, Vector
from pipecalc.report.svg import XY

Key = tuple[str, str]

SHORTEST = 7.0  # drawn length of the shortest run [mm]; below, labels cannot be told apart
LONGEST_SHARE = 0.42  # a run longer than this share of the whole is broken when short runs need room
_ROUNDS = 8

_C = sqrt(0.5)  # share of a plan axis that goes sideways
_S = sqrt(1.0 / 6.0)  # share of a plan axis that goes up the sheet
_U = sqrt(2.0 / 3.0)  # share of the vertical axis that goes up the sheet

# Plan axes on the sheet for a viewer above each corner of the plan: (right, up) of East and of North.
VIEWS: Mapping[str, tuple[XY, XY]] = {
    "south-east": ((_C, -_S), (_C, _S)),
    "south-west": ((_C, _S), (-_C, _S)),
    "north-east": ((-_C, -_S), (_C, -_S)),
    "north-west": ((-_C, _S), (-_C, -_S)),
}


@dataclass(frozen=True, slots=True)
class View:
    """A viewer's place: three equal angles between the axes on the sheet, y downward."""

    name: str

    def flat(self, vector: Vector) -> XY:
        """A vector of space on the sheet, in the same unit."""
        (ex, ey), (nx, ny) = VIEWS[self.name]
        east, north, up = vector
        return (ex * east + nx * north, -(ey * east + ny * north + _U * up))

    def depth(self, vector: Vector) -> float:
        """Distance towards the viewer; the larger one hides the smaller."""
        (_ex, ey), (_nx, ny) = VIEWS[self.name]
        return -(ey * vector[0] + ny * vector[1]) * sqrt(2.0) + vector[2] / sqrt(3.0)


@dataclass(frozen=True, slots=True)
class Layout:
    """Where the points of a line are drawn.

    Attributes:
        at: Position by point key, in drawn metres.
        broken: Indices of segments drawn shorter than they are.
        to_scale: False where any length was changed.
    """

    at: Mapping[Key, Vector]
    broken: frozenset[int]
    to_scale: bool


def best_view(segments: Sequence[Segment]) -> View:
    """The view with the fewest crossings and coverings; the first of VIEWS among equals."""
    return min((View(name) for name in VIEWS), key=lambda v: _disorder(v, segments))


def layout(segments: Sequence[Segment], width: float, height: float, view: View, shortest: float = SHORTEST) -> Layout:
    """Positions for drawing on a sheet of ``width`` by ``height`` [mm].

    Runs that would be drawn shorter than ``shortest`` [mm] are stretched; if that is not enough, long ones are broken.
    A ring of segments keeps its true shape, since stretched sides would no longer meet.
    """
    true = {k: p for s in segments for k, p in ((s.start_key, s.start_at), (s.end_key, s.end_at))}
    lengths = [s.length for s in segments]
    if not segments or len(true) != len(segments) + 1 or min(lengths) <= 0:
        return Layout(true, frozenset(), to_scale=True)
    drawn = _readable(segments, lengths, (width, height), view, shortest)
    if max(abs(a - b) for a, b in zip(drawn, lengths, strict=True)) < 1e-9:
        return Layout(true, frozenset(), to_scale=True)
    walked = _walk(segments, drawn)
    if len(walked) != len(true):
        return Layout(true, frozenset(), to_scale=True)
    broken = frozenset(i for i, (a, b) in enumerate(zip(drawn, lengths, strict=True)) if a < 0.999 * b)
    return Layout(walked, broken, to_scale=False)


def fit(places: Sequence[XY], width: float, height: float) -> tuple[float, XY]:
    """Scale [mm per unit] and offset that centre places on a sheet."""
    xs, ys = [p[0] for p in places], [p[1] for p in places]
    spans = (max(xs) - min(xs), max(ys) - min(ys))
    scale = min(width / max(spans[0], 1e-9), height / max(spans[1], 1e-9))
    offset = (width / 2 - scale * (max(xs) + min(xs)) / 2, height / 2 - scale * (max(ys) + min(ys)) / 2)
    return scale, offset


def _readable(
    segments: Sequence[Segment], lengths: list[float], sheet: tuple[float, float], view: View, shortest: float
) -> list[float]:
    drawn = list(lengths)
    for _ in range(_ROUNDS):
        at = _walk(segments, drawn)
        scale, _offset = fit([view.flat(p) for p in at.values()], *sheet)
        scale = min(scale, 60.0 / median(drawn))
        least = shortest / scale / _U
        if min(drawn) >= 0.999 * least:
            break
        most = max(LONGEST_SHARE * sum(drawn), least)
        drawn = [min(max(length, least), most) for length in drawn]
    return drawn


def _walk(segments: Sequence[Segment], drawn: Sequence[float]) -> dict[Key, Vector]:
    """Positions reached by laying the drawn lengths one after the other, in the true directions."""
    at: dict[Key, Vector] = {segments[0].start_key: (0.0, 0.0, 0.0)}
    waiting = list(zip(segments, drawn, strict=True))
    while waiting:
        later = [(s, d) for s, d in waiting if not _reach(at, s, d)]
        if len(later) == len(waiting):
            break
        waiting = later
    return at


def _reach(at: dict[Key, Vector], segment: Segment, drawn: float) -> bool:
    share = drawn / segment.length
    if segment.start_key in at:
        at[segment.end_key] = _moved(at[segment.start_key], segment.vector, share)
    elif segment.end_key in at:
        at[segment.start_key] = _moved(at[segment.end_key], segment.vector, -share)
    else:
        return False
    return True


def _moved(at: Vector, by: Vector, share: float) -> Vector:
    return (at[0] + share * by[0], at[1] + share * by[1], at[2] + share * by[2])


def _disorder(view: View, segments: Sequence[Segment]) -> float:
    flat = [(view.flat(s.start_at), view.flat(s.end_at), s) for s in segments]
    pairs = combinations(flat, 2)
    crossings = sum(crossing(a, b, c, d) is not None for (a, b, s), (c, d, t) in pairs if not _share_a_point(s, t))
    hidden = sum(hypot(b[0] - a[0], b[1] - a[1]) < 0.3 * s.length for a, b, s in flat)
    return crossings + 3.0 * hidden


def _share_a_point(one: Segment, other: Segment) -> bool:
    return bool({one.start_key, one.end_key} & {other.start_key, other.end_key})


def crossing(a: XY, b: XY, c: XY, d: XY) -> tuple[float, float] | None:
    """Shares along ab and cd at which they cross, or just miss each other, or None."""
    if _apart(a[0], b[0], c[0], d[0]) or _apart(a[1], b[1], c[1], d[1]):
        return None
    rx, ry, sx, sy = b[0] - a[0], b[1] - a[1], d[0] - c[0], d[1] - c[1]
    across = rx * sy - ry * sx
    if abs(across) < 1e-12:
        return None
    qx, qy = c[0] - a[0], c[1] - a[1]
    t, u = (qx * sy - qy * sx) / across, (qx * ry - qy * rx) / across
    return (t, u) if -0.02 < t < 1.02 and -0.02 < u < 1.02 else None


def _apart(a: float, b: float, c: float, d: float) -> bool:
    """True where the stretches ab and cd, each made a little longer, do not meet."""
    if a > b:
        a, b = b, a
    if c > d:
        c, d = d, c
    slack = 0.02 * (b - a + d - c) + 1e-9
    return c > b + slack or a > d + slack
