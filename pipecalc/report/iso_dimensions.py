"""Dimension lines of an isometric sheet, drawn along the isometric axes beside the pipe."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from math import hypot

from pipecalc.model import Segment
from pipecalc.report.format import Display
from pipecalc.report.iso_marks import straight_legs
from pipecalc.report.iso_sheet import Sheet, between
from pipecalc.report.labels import Board, Box, Placed, Wanted, text_size
from pipecalc.report.svg import QUIET, XY
from pipecalc.report.symbols import shifted, unit

SIZE = 2.1
_OFFSETS = (5.0, 7.5, 10.5, 14.0)  # of the dimension line from the pipe, along the axis [mm]
_STARTS = (1.5, 2.7, 3.9)  # of the extension line, from the pipe [mm]
_PAST = 0.8  # the extension line goes past the dimension line [mm]
_TICK = 0.8
_LEAST_LINE = 0.8  # seen at each side of the number [mm]


@dataclass(slots=True)
class _Chain:
    """A chain of dimensions that has room, before it is drawn; ``slant`` is the way of its ticks."""

    slant: XY
    lines: list[tuple[XY, XY]] = field(default_factory=list)
    ticks: list[XY] = field(default_factory=list)
    texts: list[Placed] = field(default_factory=list)


def dimensioned(sheet: Sheet, board: Board, display: Display) -> tuple[list[Placed], list[Wanted]]:
    """Draw dimension lines where they have room.

    Returns:
        The numbers written, and those of runs without room for a dimension line, as labels of the run itself.
    """
    placed: list[Placed] = []
    rest: list[Wanted] = []
    for leg in sorted(straight_legs(sheet.segments), key=lambda leg: -_drawn(sheet, leg)):
        for group in _first_that_fits(sheet, board, display, [sheet.segments[i] for i in leg]):
            if isinstance(group, Segment):
                rest.append(_label(sheet, group, display))
            else:
                placed += _draw(sheet, board, group)
    return placed, rest


def _drawn(sheet: Sheet, leg: Sequence[int]) -> float:
    a, b = sheet.at(sheet.segments[leg[0]].start_key), sheet.at(sheet.segments[leg[-1]].end_key)
    return hypot(b[0] - a[0], b[1] - a[1])


def _label(sheet: Sheet, segment: Segment, display: Display) -> Wanted:
    words = display.number("dimension", segment.length)
    about = f"dimension {segment.start} to {segment.end}"
    return Wanted(words, sheet.middle(segment), SIZE, clear=1.0, colour=QUIET, about=about)


def _first_that_fits(
    sheet: Sheet, board: Board, display: Display, leg: Sequence[Segment]
) -> Iterator["_Chain | Segment"]:
    """The leg in one chain; else in halves; a run alone where it has no room."""
    chain = _chain_of(sheet, board, display, leg)
    if chain is not None:
        yield chain
    elif len(leg) == 1:
        yield leg[0]
    else:
        half = len(leg) // 2
        yield from _first_that_fits(sheet, board, display, leg[:half])
        yield from _first_that_fits(sheet, board, display, leg[half:])


def _chain_of(sheet: Sheet, board: Board, display: Display, leg: Sequence[Segment]) -> _Chain | None:
    corners = [sheet.at(leg[0].start_key), *(sheet.at(s.end_key) for s in leg)]
    words = [display.number("dimension", s.length) for s in leg]
    way = unit((corners[-1][0] - corners[0][0], corners[-1][1] - corners[0][1]))
    sides = _sides(sheet, corners, way)
    for offset in _OFFSETS:
        for side in sides:
            found = _fitted(board, corners, words, way, side, offset)
            if found is not None:
                return found
    return None


def _sides(sheet: Sheet, corners: Sequence[XY], way: XY) -> list[XY]:
    """Axes across the leg on the sheet, the one away from the middle of the sheet first."""
    axes = [sheet.direction(v) for v in ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))]
    across = [a for a in axes if abs(a[0] * way[1] - a[1] * way[0]) > 0.4]
    middle = between(corners[0], corners[-1], 0.5)
    out = (middle[0] - sheet.drawing.width / 2, middle[1] - sheet.drawing.height / 2)
    both = [side for x, y in across for side in ((x, y), (-x, -y))]
    return sorted(both, key=lambda side: -(side[0] * out[0] + side[1] * out[1]))


def _fitted(
    board: Board, corners: Sequence[XY], words: Sequence[str], way: XY, side: XY, offset: float
) -> _Chain | None:
    """The chain at one side and distance, or None where anything would be covered."""
    chain = _Chain(unit((way[0] + side[0], way[1] + side[1])), ticks=[shifted(p, side, offset) for p in corners])
    for i, text in enumerate(words):
        a, b = chain.ticks[i], chain.ticks[i + 1]
        piece = _piece(a, b, text, way, side)
        if piece is None or not board.free(piece[0]) or not all(board.open(*line) for line in piece[1]):
            return None
        if any(piece[0].meets(t.box) for t in chain.texts):
            return None
        label = Wanted(text, between(a, b, 0.5), SIZE, colour=QUIET)
        chain.texts.append(Placed(label, piece[0], leader=False))
        chain.lines += piece[1]
    for corner, tick in zip(corners, chain.ticks, strict=True):
        line = _extension(board, corner, tick, side, offset)
        if line is None:
            return None
        chain.lines.append(line)
    return chain


def _piece(a: XY, b: XY, text: str, way: XY, side: XY) -> tuple[Box, list[tuple[XY, XY]]] | None:
    """Box of a number on the middle of its dimension line, with the line at both sides of it; beyond a short line."""
    width, height = text_size(text, SIZE)
    half = min(0.5 * width / max(abs(way[0]), 1e-9), 0.5 * height / max(abs(way[1]), 1e-9)) + 0.4
    length = hypot(b[0] - a[0], b[1] - a[1])
    x, y = between(a, b, 0.5)
    if length >= 2 * (half + _LEAST_LINE):
        share = half / length
        lines = [(a, between(a, b, 0.5 - share)), (between(a, b, 0.5 + share), b)]
    else:
        normal = (-way[1], way[0])
        reach = 0.5 * (width * abs(normal[0]) + height * abs(normal[1])) + 0.5
        along = side[0] * normal[0] + side[1] * normal[1]
        x, y = shifted((x, y), side, reach / max(abs(along), 0.3))
        lines = [(a, b)]
    return Box(x - width / 2, y - height / 2, x + width / 2, y + height / 2), lines


def _extension(board: Board, corner: XY, tick: XY, side: XY, offset: float) -> tuple[XY, XY] | None:
    end = shifted(tick, side, _PAST)
    for start in _STARTS:
        if start + 1.0 <= offset and board.open(shifted(corner, side, start), end):
            return shifted(corner, side, start), end
    return None


def _draw(sheet: Sheet, board: Board, chain: _Chain) -> list[Placed]:
    for a, b in chain.lines:
        sheet.drawing.line("hair", a, b)
        board.draw((a, b))
    for at in chain.ticks:
        stroke = (shifted(at, chain.slant, -_TICK), shifted(at, chain.slant, _TICK))
        sheet.drawing.line("symbol", *stroke)
        board.draw(stroke)
    for text in chain.texts:
        board.keep(text)
        text.write(sheet.drawing)
    return chain.texts
