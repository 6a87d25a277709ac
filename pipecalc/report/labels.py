"""Placing labels so that none covers another, a line or a symbol: a search near the anchor on a raster of the sheet."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, cos, hypot, inf, pi, sin

from pipecalc.report.svg import INK, XY, Drawing
from pipecalc.report.type_width import text_rise, text_width

_PER_MM = 2  # cells of the raster
_STEP = 1.0  # between the rings of places that are tried [mm]
_NEAR = 1.2  # farther than this beyond the distance to keep, a leader shows what is labelled [mm]
_CROSSED = 2.0  # what a leader over a drawn line costs, as a length for each cell of it [mm]
_AT_ANCHOR = 1.4  # what is drawn so near the anchor does not count [mm]
LONGEST_LEADER = 26.0  # [mm]
WIDEST_LABEL = 46.0  # longer words are set in several lines [mm]
_SPACED = 0.02  # between the lines of a label, as a share of the type size


def _shift(way: float) -> float:
    """Share of a box that lies before the anchor: 0 ahead of it, 1 behind it, half beside it."""
    return -0.5 if abs(way) < 1e-6 else (0.0 if way > 0 else -1.0)


#: Ways from the anchor to a label, up and right first, with the shares of its box that lie before the anchor.
_PLACES = tuple(
    (cos(turn), sin(turn), _shift(cos(turn)), _shift(sin(turn))) for turn in ((i - 2) * pi / 8 for i in range(16))
)


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
        words: Text; lines are parted by line feeds.
        anchor: What it labels [mm].
        size: Type size [mm].
        bold: Semibold face.
        clear: Distance to keep from the anchor [mm].
        reach: Longest distance from the anchor [mm].
        about: What to call it where there is no room; empty for its words.
        tints: Colour of each line, where they differ.
    """

    words: str
    anchor: XY
    size: float = 2.3
    bold: bool = False
    clear: float = 1.2
    colour: str = INK
    reach: float = LONGEST_LEADER
    about: str = ""
    tints: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Placed:
    """A label with its box; ``leader`` is True where a thin line should lead to the anchor."""

    label: Wanted
    box: Box
    leader: bool

    def write(self, drawing: Drawing) -> None:
        """Draw the label, with its leader."""
        label = self.label
        if self.leader:
            drawing.line("hair", label.anchor, nearest(self.box, label.anchor))
        above, below = text_rise(label.words.replace("\n", " "))
        lines = label.words.split("\n")
        for i, (words, colour) in enumerate(zip(lines, label.tints or [label.colour] * len(lines), strict=True)):
            y = self.box.top + label.size * (above + i * (above + below + _SPACED))
            drawing.text((self.box.left, y), words, label.size, "start", "600" if label.bold else "400", colour)


def text_size(words: str, size: float, bold: bool = False) -> tuple[float, float]:
    """Width and height of a text of one or more lines [mm]."""
    lines = words.split("\n")
    above, below = text_rise(words.replace("\n", " "))
    height = size * (len(lines) * (above + below + _SPACED) - _SPACED)
    return max(text_width(line, size, bold) for line in lines), height


def wrapped(words: str, size: float, bold: bool = False, most: float = WIDEST_LABEL) -> str:
    """Words in as many lines as keep each within a width [mm], broken after a sign or space where there is one."""
    return "\n".join(part for line in words.split("\n") for part in _lines_of(line, size, bold, most))


def _lines_of(line: str, size: float, bold: bool, most: float) -> Iterator[str]:
    while text_width(line, size, bold) > most and len(line) > 1:
        end = next(n for n in range(len(line) - 1, 0, -1) if n == 1 or text_width(line[:n], size, bold) <= most)
        signs = [n for n in range(end, end // 2, -1) if line[n - 1] in " -/_.,;:"]
        cut = signs[0] if signs else end
        yield line[:cut].rstrip()
        line = line[cut:].lstrip()
    yield line


def nearest(box: Box, to: XY) -> XY:
    """The place of a box nearest to another place."""
    return (min(max(to[0], box.left), box.right), min(max(to[1], box.top), box.bottom))


class Board:
    """A sheet on which labels are placed one after the other, clear of what is drawn and of one another.

    The sheet is a raster of half millimetres, a row being the bits of one number: for words with their leaders, and for
    these together with what is drawn.

    Attributes:
        frame: Labels stay inside it; its left and top edges are not below zero.
    """

    def __init__(self, frame: Box) -> None:
        self.frame = frame
        self._rows = ceil(frame.bottom * _PER_MM) + 2
        self._words = [0] * self._rows
        self._all = [0] * self._rows

    def draw(self, points: Iterable[XY], grow: float = 0.1) -> None:
        """Keep labels off a polyline of some half width [mm]."""
        for a, b in pairwise(points):
            for row, mask in self._cells(a, b, grow):
                self._all[row] |= mask

    def draw_all(self, drawing: Drawing) -> None:
        """Keep labels off all that a drawing holds so far."""
        for points, half in drawing.marks:
            self.draw(points, half + 0.1)

    def fill(self, box: Box) -> None:
        """Keep labels, but not leaders, out of a box."""
        self._mark((self._all,), box)

    def block(self, box: Box) -> None:
        """Keep labels and leaders out of a box."""
        self._mark((self._all, self._words), box)

    def free(self, box: Box) -> bool:
        """True where a text has room."""
        return box.inside(self.frame) and self._blank(box)

    def open(self, a: XY, b: XY, grow: float = 0.2) -> bool:
        """True where a thin line meets neither words nor lines."""
        f = self.frame
        if not all(f.left <= x <= f.right and f.top <= y <= f.bottom for x, y in (a, b)):
            return False
        rows = self._all
        return not any(rows[row] & mask for row, mask in self._cells(a, b, grow))

    def place(self, label: Wanted) -> Placed | None:
        """The best free place, or None where there is none within the label's reach."""
        best: Box | None = None
        lowest, led = inf, False
        for box, distance in self._candidates(label):
            if distance >= lowest:
                break
            leader = distance > label.clear + _NEAR
            cost = distance + (self._leader(box, label, lowest - distance) if leader else 0.0)
            if cost < lowest:
                best, lowest, led = box, cost, leader
        if best is None:
            return None
        placed = Placed(label, best, led)
        self.keep(placed)
        return placed

    def keep(self, placed: Placed) -> None:
        """Keep further labels off one that has its place."""
        self.block(placed.box)
        if placed.leader:
            for row, mask in self._cells(placed.label.anchor, nearest(placed.box, placed.label.anchor), 0.1):
                self._words[row] |= mask
                self._all[row] |= mask

    def _leader(self, box: Box, label: Wanted, most: float) -> float:
        """What a leader costs beside its length, as far as it is below a limit; infinite where it would cross words."""
        (x0, y0), (x1, y1) = label.anchor, nearest(box, label.anchor)
        skip = min(_AT_ANCHOR / max(hypot(x1 - x0, y1 - y0), 1e-9), 0.9)
        begin = (x0 + (x1 - x0) * skip, y0 + (y1 - y0) * skip)
        cost = 0.0
        for row, mask in self._cells(begin, (x1, y1), 0.1):
            if self._words[row] & mask:
                return inf
            cost += _CROSSED * (self._all[row] & mask).bit_count()
            if cost >= most:
                return inf
        return cost

    def _candidates(self, label: Wanted) -> Iterator[tuple[Box, float]]:
        """Free places around the anchor, the nearest first."""
        width, height = text_size(label.words, label.size, label.bold)
        f, (x, y) = self.frame, label.anchor
        most_left, most_top = f.right - width, f.bottom - height
        reach = label.clear
        while reach <= label.reach:
            for step, (east, south, before, above) in enumerate(_PLACES):
                left, top = x + reach * east + width * before, y + reach * south + height * above
                if f.left <= left <= most_left and f.top <= top <= most_top:
                    box = Box(left, top, left + width, top + height)
                    if self._blank(box):
                        yield box, reach + 0.02 * step
            reach += _STEP if reach < 10.0 else 2.0 * _STEP

    def _blank(self, box: Box) -> bool:
        """True where nothing stands in a box inside the frame."""
        first = int(box.left * _PER_MM)
        mask = (1 << (int(box.right * _PER_MM) - first + 1)) - 1
        rows = self._all
        for row in range(int(box.top * _PER_MM), int(box.bottom * _PER_MM) + 1):
            if rows[row] >> first & mask:
                return False
        return True

    def _mark(self, layers: tuple[list[int], ...], box: Box) -> None:
        mask = _mask(box.left, box.right)
        for row in range(max(int(box.top * _PER_MM), 0), min(int(box.bottom * _PER_MM) + 1, self._rows)):
            for layer in layers:
                layer[row] |= mask

    def _cells(self, a: XY, b: XY, grow: float) -> Iterator[tuple[int, int]]:
        """Rows that a thick line passes, with the cells of each that it touches."""
        (x0, y0), (x1, y1) = (a, b) if a[1] <= b[1] else (b, a)
        slope = (x1 - x0) / (y1 - y0) if y1 - y0 > 1e-9 else 0.0
        first, last = max(int((y0 - grow) * _PER_MM), 0), min(int((y1 + grow) * _PER_MM), self._rows - 1)
        low, high = (x0, x1) if x0 <= x1 else (x1, x0)
        if not slope:
            mask = _mask(low - grow, high + grow)
            yield from ((row, mask) for row in range(first, last + 1))
            return
        widest = abs(slope) * (1.0 / _PER_MM + 2 * grow)  # along the row while the line passes it
        at = x0 + slope * (first / _PER_MM - grow - y0)
        if slope < 0:
            at -= widest
        per_row = slope / _PER_MM
        for row in range(first, last + 1):
            left, right = at if at > low else low, at + widest if at + widest < high else high
            yield row, _mask(left - grow, right + grow)
            at += per_row


def _mask(left: float, right: float) -> int:
    first, last = (int(left * _PER_MM) if left > 0 else 0), int(right * _PER_MM)
    return ((1 << (last - first + 1)) - 1) << first if last >= first else 0
