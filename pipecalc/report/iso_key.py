"""The key and the north arrow of an isometric sheet."""

from collections.abc import Sequence

from pipecalc.report import symbols
from pipecalc.report.projection import View
from pipecalc.report.svg import PENS, QUIET, XY, Drawing
from pipecalc.report.symbols import Place, unit
from pipecalc.report.type_width import text_width

_ROW = 8.5
_SIZE = 2.1
_AXES = (("E", (1.0, 0.0, 0.0)), ("N", (0.0, 1.0, 0.0)), ("U", (0.0, 0.0, 1.0)))

MOVED = "position in the case shown"
WORDS = {
    "break": "drawn shorter than it is",
    "order": "order of the points",
}


def draw_north(drawing: Drawing, view: View, centre: XY) -> None:
    """Three axes with their letters; North as a solid arrow."""
    for letter, axis in _AXES:
        direction = unit(view.flat(axis))
        tip = symbols.shifted(centre, direction, 6.0)
        drawing.line("symbol" if letter == "N" else "hair", centre, tip)
        if letter == "N":
            symbols.arrow(drawing, Place(tip, direction, (-direction[1], direction[0])))
        x, y = symbols.shifted(tip, direction, 3.0)
        drawing.text((x, y + 0.9), letter, 2.4, "middle", "600" if letter == "N" else "400")


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
    x, y = 4.0, top + 4.0
    for name, meaning in (*((name, WORDS.get(name, name)) for name in words), *pens):
        wide = 9.0 + text_width(meaning, _SIZE) + 4.0
        if x + wide > drawing.width:
            x, y = 4.0, y + _ROW
        _sample(drawing, name, (x + 3.0, y))
        drawing.text((x + 8.0, y + 0.8), meaning, _SIZE, colour=QUIET)
        x += wide
    drawing.line("hair", (0.0, top - 0.5), (drawing.width, top - 0.5))
    drawing.height = y + 5.0


def _sample(drawing: Drawing, name: str, at: XY) -> None:
    place = Place(at, (1.0, 0.0), (0.0, 1.0), (0.0, -1.0))
    if name in PENS:
        drawing.line(name, place.to(-3.5, 0), place.to(3.5, 0))
        return
    drawing.line("pipe", place.to(-3, 0), place.to(3, 0))
    if name in symbols.ITEM_SYMBOLS:
        symbols.ITEM_SYMBOLS[name](drawing, place, 2.0)
    elif name == "nozzle":
        symbols.nozzle(drawing, place)
    elif name == "break":
        symbols.break_mark(drawing, place)
    elif name == "order":
        symbols.arrow(drawing, place)
    else:
        symbols.support(drawing, name, place)
