"""The axes of a nozzle beside East, North and Up, in the same projection as the isometric sheets."""

from pipecalc.model import Nozzle, Vector
from pipecalc.report import symbols
from pipecalc.report.labels import Board, Box, Wanted
from pipecalc.report.projection import View
from pipecalc.report.svg import ACCENT, QUIET, XY, Drawing
from pipecalc.report.symbols import Place, unit

SIDE = 36.0
_PLANT: tuple[tuple[str, Vector], ...] = (("E", (1.0, 0.0, 0.0)), ("N", (0.0, 1.0, 0.0)), ("U", (0.0, 0.0, 1.0)))
_VIEW = View("south-east")


def axes_sketch(nozzle: Nozzle) -> str:
    """Thin lines for East, North, Up; arrows for R, L and C, with the nozzle's stub against R."""
    drawing = Drawing(SIDE, SIDE, f"Axes of nozzle {nozzle.name}")
    centre = (SIDE / 2, SIDE / 2)
    wanted = []
    for letter, axis in _PLANT:
        tip = symbols.shifted(centre, unit(_VIEW.flat(axis)), 8.0)
        drawing.line("hair", centre, tip)
        wanted.append(Wanted(letter, tip, 2.2, clear=0.7, colour=QUIET))
    for letter, axis in zip("RLC", nozzle.axes, strict=True):
        direction = unit(_VIEW.flat(axis))
        tip = symbols.shifted(centre, direction, 12.5)
        drawing.line("accent", centre, tip)
        symbols.arrow(drawing, Place(tip, direction, (-direction[1], direction[0])))
        wanted.append(Wanted(letter, tip, 2.8, bold=True, clear=1.4, colour=ACCENT))
    _stub(drawing, nozzle, centre)
    board = Board(Box(0.3, 0.3, SIDE - 0.3, SIDE - 0.3))
    board.draw_all(drawing)
    for label in wanted:
        placed = board.place(label)
        if placed is not None:
            placed.write(drawing)
    return drawing.svg()


def _stub(drawing: Drawing, nozzle: Nozzle, centre: XY) -> None:
    """The nozzle itself: its stub runs inward from the flange face."""
    direction = unit(_VIEW.flat(nozzle.axes[0]))
    symbols.nozzle(drawing, Place(centre, direction, (-direction[1], direction[0])))
