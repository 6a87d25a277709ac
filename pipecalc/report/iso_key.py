"""The key and the north arrow of an isometric sheet."""

from collections.abc import Callable, Mapping, Sequence

from pipecalc.report import symbols
from pipecalc.report.labels import Board, Box
from pipecalc.report.projection import View
from pipecalc.report.svg import PENS, QUIET, Drawing
from pipecalc.report.symbols import Place, unit
from pipecalc.report.type_width import text_width

_NORTH = 19.0  # width and height that the north arrow takes [mm]
_ROW, _PEN_ROW = 9.2, 5.4  # height of a row of symbols, of a row of pens only [mm]
_SIZE = 2.1
_SAMPLE = 9.0  # width of a symbol with its distance to the words [mm]
_AXES = (("E", (1.0, 0.0, 0.0)), ("N", (0.0, 1.0, 0.0)), ("U", (0.0, 0.0, 1.0)))

#: What a symbol stands for, where it is more than its name.
WORDS: Mapping[str, str] = {
    "break": "drawn shorter than it is",
    "branch": "joint with another line",
    "match line": "match line: goes on on another sheet",
    "flow": "flow, taken from start to end of the line",
    "slope": "slope, wedge thin at the low end",
    "skew": "East, North, Up parts of a skew run",
}
#: Symbols that show more than a thing on a straight pipe.
_ALONE: Mapping[str, Callable[[Drawing, Place], None]] = {
    "elbow": symbols.elbow,
    "mitred bend": symbols.mitred,
    "skew": symbols.skew,
}
_ON_PIPE: Mapping[str, Callable[[Drawing, Place], None]] = {
    "nozzle": symbols.nozzle,
    "break": symbols.break_mark,
    "branch": symbols.branch,
    "match line": symbols.match_line,
    "flow": symbols.arrow,
    "slope": symbols.slope,
}


def draw_north(drawing: Drawing, view: View, board: Board) -> None:
    """Three axes with their letters where there is room at the edge of the sheet, North as a solid arrow."""
    corner = _room(drawing, board)
    centre = (corner.left + _NORTH / 2, corner.top + _NORTH / 2)
    for letter, axis in _AXES:
        direction = unit(view.flat(axis))
        tip = symbols.shifted(centre, direction, 5.6)
        drawing.line("symbol" if letter == "N" else "hair", centre, tip)
        if letter == "N":
            symbols.arrow(drawing, Place(tip, direction, (-direction[1], direction[0])))
        x, y = symbols.shifted(tip, direction, 2.8)
        drawing.text((x, y + 0.9), letter, 2.4, "middle", "600" if letter == "N" else "400")
    board.block(corner)


def _room(drawing: Drawing, board: Board) -> Box:
    """The first free place along the upper edge from the right, then along the lower; the corner where none is free."""
    right, lower = drawing.width - _NORTH - 0.6, drawing.height - _NORTH - 0.6
    lefts = [right - 6.0 * i for i in range(int((right - 1.0) // 6.0) + 1)]
    places = [Box(left, top, left + _NORTH, top + _NORTH) for top in (0.6, lower) for left in lefts]
    return next((box for box in places if board.free(box)), places[0])


def draw_key(drawing: Drawing, words: Sequence[str], pens: Sequence[tuple[str, str]] = ()) -> None:
    """Add a strip below the drawing that explains symbols and pens; the drawing grows by it.

    Args:
        drawing: The drawing.
        words: Names of symbols.
        pens: Pens of lines, with their meaning.
    """
    if not words and not pens:
        return
    top = drawing.height + 1.0
    row = _ROW if words else _PEN_ROW
    x, y = 2.0, top + 0.5 + row / 2
    for name, meaning in (*((name, WORDS.get(name, name)) for name in words), *pens):
        wide = _SAMPLE + text_width(meaning, _SIZE) + 3.0
        if x + wide > drawing.width + 2.5 and x > 2.0:
            x, y = 2.0, y + row
        _sample(drawing, name, Place((x + 3.5, y), (1.0, 0.0), (0.0, 1.0), (0.0, -1.0)))
        drawing.text((x + _SAMPLE, y + 0.8), meaning, _SIZE, colour=QUIET)
        x += wide
    drawing.line("hair", (0.0, top - 0.5), (drawing.width, top - 0.5))
    drawing.height = y + row / 2 + 0.4


def _sample(drawing: Drawing, name: str, place: Place) -> None:
    if name in PENS:
        drawing.line(name, place.to(-3.5, 0), place.to(3.5, 0))
        return
    if name in _ALONE:
        _ALONE[name](drawing, place)
        return
    drawing.line("pipe", place.to(-3, 0), place.to(3, 0))
    if name in symbols.ITEM_SYMBOLS:
        symbols.ITEM_SYMBOLS[name](drawing, place, 2.0)
    elif name in _ON_PIPE:
        _ON_PIPE[name](drawing, place)
    else:
        symbols.support(drawing, name, place)
