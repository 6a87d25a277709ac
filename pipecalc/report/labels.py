"""Placing labels so that none covers another: boxes of text and a search for a free place near the anchor."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, cos, floor, hypot, pi, sin

from pipecalc.report.svg import XY
from pipecalc.report.type_width import text_width

_ABOVE, _BELOW = 0.76, 0.24  # share of the type size above and below the baseline


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle [mm], y downward."""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: "Box") -> bool:
        """True where the two share area."""
        apart = self.right <= other.left or other.right <= self.left
        return not (apart or self.bottom <= other.top or other.bottom <= self.top)

    def grown(self, by: float) -> "Box":
        """The box with a margin on every side."""
        return Box(self.left - by, self.top - by, self.right + by, self.bottom + by)

    def inside(self, other: "Box") -> bool:
        """True where this box lies wholly within the other."""
        across = self.left >= other.left and self.right <= other.right
        return across and self.top >= other.top and self.bottom <= other.bottom


@dataclass(frozen=True, slots=True)
class Wanted:
    """A label that wants a place.

    Attributes:
        words: Text.
        anchor: What it labels [mm].
        size: Type size [mm].
        bold: Semibold face.
        must: False where the label is left out rather than put far away.
        clear: Distance to keep from the anchor [mm].
    """

    words: str
    anchor: XY
    size: float = 2.3
    bold: bool = False
    must: bool = True
    clear: float = 1.2
    colour: str = "#1c1f22"


@dataclass(frozen=True, slots=True)
class Placed:
    """A label with its box; ``leader`` is True where a thin line should lead to the anchor."""

    label: Wanted
    box: Box
    leader: bool

    @property
    def baseline(self) -> XY:
        """Start of the baseline."""
        return (self.box.left, self.box.top + _ABOVE * self.label.size)


def text_box(words: str, left: float, baseline: float, size: float, bold: bool = False) -> Box:
    """Box of a text whose baseline starts at a place."""
    width = text_width(words, size, bold)
    return Box(left, baseline - _ABOVE * size, left + width, baseline + _BELOW * size)


class Board:
    """A sheet on which labels are placed one after the other, never over another label.

    Attributes:
        frame: Labels stay inside it.
        drawn: Places that lines and symbols pass; covering one costs, covering a label is forbidden.
    """

    def __init__(self, frame: Box, taken: Iterable[Box] = (), drawn: Iterable[XY] = ()) -> None:
        self.frame = frame
        self._taken = list(taken)
        self._cells = {(floor(x), floor(y)) for x, y in drawn}

    def place(self, label: Wanted) -> Placed | None:
        """The best free place, or None where an optional label has none nearby or the sheet is full."""
        best: tuple[float, Box, float] | None = None
        for box, distance in self._candidates(label):
            if best is not None and distance >= best[0]:
                break
            if not self._free(box):
                continue
            covered = self._covered(box)
            if covered and not label.must:
                continue
            cost = distance + 5.0 * covered
            if best is None or cost < best[0]:
                best = (cost, box, distance)
        if best is None or (not label.must and best[0] > label.clear + 4.0):
            return None
        self._taken.append(best[1].grown(0.15))
        return Placed(label, best[1], leader=best[2] > label.clear + 3.2)

    def _candidates(self, label: Wanted) -> Iterator[tuple[Box, float]]:
        width = text_width(label.words, label.size, label.bold)
        height = label.size * (_ABOVE + _BELOW)
        reach = label.clear
        farthest = hypot(self.frame.right - self.frame.left, self.frame.bottom - self.frame.top)
        while reach < (farthest if label.must else label.clear + 4.0):
            for step in range(16):
                yield _box_at(label.anchor, reach, step * pi / 8, width, height), reach + 0.02 * step
            reach += 1.0 if reach < 12.0 else 3.0

    def _free(self, box: Box) -> bool:
        return box.inside(self.frame) and not any(box.meets(t) for t in self._taken)

    def _covered(self, box: Box) -> int:
        columns = range(floor(box.left - 0.3), floor(box.right + 0.3) + 1)
        rows = range(floor(box.top - 0.3), floor(box.bottom + 0.3) + 1)
        return sum((x, y) in self._cells for x in columns for y in rows)


def _box_at(anchor: XY, reach: float, angle: float, width: float, height: float) -> Box:
    """Box whose nearest edge or corner lies at a distance from the anchor, in a direction (0 up-right, clockwise)."""
    turned = angle - pi / 4
    east, south = cos(turned), sin(turned)
    centre_x = anchor[0] + reach * east + 0.5 * width * _sign(east)
    centre_y = anchor[1] + reach * south + 0.5 * height * _sign(south)
    return Box(centre_x - width / 2, centre_y - height / 2, centre_x + width / 2, centre_y + height / 2)


def _sign(value: float) -> float:
    """-1, 0 or 1 with a dead band, so that straight above means centred above."""
    return 0.0 if abs(value) < 1e-6 else (1.0 if value > 0 else -1.0)


def along(points: Iterable[XY], every: float = 0.7) -> Iterator[XY]:
    """Places along a polyline, close enough to leave no millimetre out."""
    corners = list(points)
    for a, b in pairwise(corners):
        count = max(1, ceil(hypot(b[0] - a[0], b[1] - a[1]) / every))
        for i in range(count + 1):
            yield (a[0] + (b[0] - a[0]) * i / count, a[1] + (b[1] - a[1]) * i / count)
