"""The isometric sheets of a line: on how many it is drawn, and where it is cut."""

from collections.abc import Iterable, Iterator

from pipecalc.model import Item, Line, Plant
from pipecalc.report.format import Display
from pipecalc.report.iso_scene import Overlay, Scene, Sketch, drawn
from pipecalc.report.iso_sheet import NARROW, Cut, laid_out, shortest_drawn
from pipecalc.report.projection import best_view

WIDTH = 174.0
FULL = (WIDTH, 108.0)  # largest width and height [mm]
PAIR = (85.0, 74.0)  # two sheets side by side
_TIGHT = 6.0  # a sheet whose shortest run is drawn shorter is too full [mm]
_TIGHT_OVERLAY = 3.5  # the same without dimensions [mm]
_TALLER = 1.4  # height of a single sheet that is too full otherwise, as a multiple of the usual
_RUNS_AT_LEAST = 4  # of a sheet of several
_TRIES = 6  # numbers of sheets that are drawn, at most


def isometric_sheets(
    plant: Plant, line: Line, display: Display, over: Overlay | None = None, sheet_size: tuple[float, float] = FULL
) -> tuple[Sketch, ...]:
    """Isometric of one line on as many sheets as it needs to be read, with match marks where it goes on.

    A taller sheet, then more sheets are taken until every label has its place and no run is drawn too short for its
    symbol, or until a sheet would hold only a few runs; what even then has no room is named in its sketch.
    An overlay explains its pens only: it stands after the plain sheets. A small sheet names nozzles and what the
    overlay names, and is never followed by another.

    Args:
        plant: The plant the line belongs to.
        line: The line; needs at least one segment.
        display: Units of dimensions.
        over: What to draw over it; None for the plain sheet with dimensions.
        sheet_size: Largest width and height [mm].

    Returns:
        One sketch for each sheet.
    """
    view = best_view(line.segments)
    small = sheet_size[0] <= NARROW
    most = 1 if small else max(1, len(line.segments) // _RUNS_AT_LEAST)
    tight = _TIGHT if over is None else _TIGHT_OVERLAY
    tries = 0
    for count, size in _sizes(sheet_size, most, small):
        sheet_of = _shared_out(line, count)
        scenes = [Scene(plant, line, display, size, view, over, Cut(sheet_of, n)) for n in range(1, count + 1)]
        if count < most and any(shortest_drawn(laid_out(line, size, view, s.cut)) < tight for s in scenes):
            continue
        found = _all_with_room(scenes)
        tries += 1
        if found or tries == _TRIES:
            break
    return found or tuple(drawn(scene) for scene in scenes)


def _sizes(size: tuple[float, float], most: int, small: bool) -> Iterator[tuple[int, tuple[float, float]]]:
    """Numbers of sheets with their size, in the order in which they are tried: a taller sheet before several."""
    yield 1, size
    if not small:
        yield 1, (size[0], _TALLER * size[1])
        yield from ((count, size) for count in range(2, most + 1))


def _all_with_room(scenes: Iterable[Scene]) -> tuple[Sketch, ...]:
    """The sheets, or none as soon as a label has no room."""
    found: list[Sketch] = []
    for scene in scenes:
        sketch = drawn(scene, or_stop=True)
        if sketch.missing:
            return ()
        found.append(sketch)
    return tuple(found)


def isometric(
    plant: Plant, line: Line, display: Display, over: Overlay | None = None, sheet_size: tuple[float, float] = FULL
) -> Sketch:
    """Isometric of one line on one sheet, however full; arguments as for ``isometric_sheets``."""
    return drawn(Scene(plant, line, display, sheet_size, best_view(line.segments), over))


def _shared_out(line: Line, count: int) -> tuple[int, ...]:
    """Number of the sheet of every run: equal shares, cut where the line runs straight between plain pipes."""
    if count == 1:
        return ()
    runs = len(line.segments)
    share = runs / count
    slack = max(0, min(2, int(share / 3)))
    ends = []
    for i in range(1, count):
        target = round(i * share)
        near = range(max(target - slack, 1), min(target + slack, runs - 1) + 1)
        ends.append(min(near, key=lambda n: (_cost_of_cut(line, n), abs(n - target))))
    return tuple(1 + sum(run >= end for end in ends) for run in range(runs))


def _cost_of_cut(line: Line, at: int) -> int:
    before, after = line.segments[at - 1], line.segments[at]
    turns = before.turn is not None or before.end_key != after.start_key
    return 2 * turns + sum(s.item is not Item.PIPE for s in (before, after))
