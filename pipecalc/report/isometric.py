"""The isometric sheet of a line: pipe, elbows, items, supports, nozzles, labels, key and north arrow, as line work."""

from collections.abc import Container, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from math import hypot

from pipecalc.model import Item, Line, Nozzle, Plant, Support, Vector
from pipecalc.report import symbols
from pipecalc.report.format import Display
from pipecalc.report.iso_key import MOVED, draw_key, draw_north
from pipecalc.report.iso_sheet import NARROW, PenOf, Sheet, between, draw_pipe, drawn_length, laid_out, plain_pen
from pipecalc.report.labels import Board, Box, Placed, Wanted, along
from pipecalc.report.projection import Key
from pipecalc.report.svg import ACCENT, QUIET, XY, Drawing

WIDTH = 174.0
FULL = (WIDTH, 108.0)  # largest width and height [mm]
PAIR = (85.0, 74.0)  # two sheets side by side
NORTH_CORNER = 19.0
_MOVED_AT_MOST = 11.0  # largest movement on a deflected shape [mm]


@dataclass(frozen=True, slots=True)
class Sketch:
    """A finished figure.

    Attributes:
        labels: Every label with its box, for those who check that none covers another.
        to_scale: False where runs were stretched or broken.
        broken: True where a run is drawn shorter than it is.
        view: The viewer's corner of the plan.
        missing: Labels for which the sheet had no room.
        magnification: Millimetres of movement that one millimetre of the sheet stands for; 0 without movements.
    """

    svg: str
    labels: tuple[Placed, ...]
    to_scale: bool
    view: str
    broken: bool = False
    missing: tuple[str, ...] = ()
    magnification: float = 0.0


@dataclass(frozen=True, slots=True)
class Overlay:
    """What is drawn over the plain sheet instead of its dimensions.

    Attributes:
        moved: Movement [m] by point name, for a deflected shape.
        pen_of: Pen of each part of the pipe.
        values: Words at points, by point name.
        key: Pens with their words, for the key.
    """

    moved: Mapping[str, Vector] = field(default_factory=dict)
    pen_of: PenOf = plain_pen
    values: Mapping[str, str] = field(default_factory=dict)
    key: tuple[tuple[str, str], ...] = ()


def isometric(
    plant: Plant,
    line: Line,
    display: Display,
    over: Overlay | None = None,
    sheet_size: tuple[float, float] = FULL,
) -> Sketch:
    """Isometric sheet of one line.

    A small sheet names nozzles and what the overlay names, and explains no symbols: it stands beside a full one.

    Args:
        plant: The plant the line belongs to.
        line: The line; needs at least one segment.
        display: Units of dimensions.
        over: What to draw over it; None for the plain sheet with dimensions.
        sheet_size: Largest width and height [mm].

    Returns:
        The sketch.
    """
    sheet = laid_out(line, sheet_size)
    small, over_it = sheet_size[0] <= NARROW, over or Overlay()
    supports = [s for s in plant.supports.values() if s.point[0] == line.name and s.point in sheet.layout.at]
    nozzles = [plant.nozzles[n] for k, n in _nozzle_points(plant) if k in sheet.layout.at and n in plant.nozzles]
    per_millimetre = _deflected(sheet, over_it.moved) if over_it.moved else 0.0
    draw_pipe(sheet, over_it.pen_of)
    _items(sheet)
    _draw_supports(sheet, supports)
    _draw_nozzles(sheet, nozzles)
    wanted = [
        *_tags(sheet, nozzles, [] if small else supports),
        *_values(sheet, over_it.values),
        *_point_names(sheet, nozzles, named=not small, taken=over_it.values),
        *(_dimensions(sheet, display) if over is None else []),
    ]
    lines = [_stub(sheet, n) for n in nozzles if n.point is not None]
    lines += list(_moved_lines(sheet, over_it.moved)) if over_it.moved else []
    placed = _label(sheet, wanted, lines, [sheet.at(s.point) for s in supports])
    draw_north(sheet.drawing, sheet.view, (sheet.drawing.width - NORTH_CORNER / 2, NORTH_CORNER / 2 + 2))
    words = [] if small else _words_of_key(sheet, supports, nozzles)
    draw_key(sheet.drawing, words, [*([("moved", MOVED)] if over_it.moved else []), *over_it.key])
    found = {p.label for p in placed}
    missing = tuple(w.words for w in wanted if w.must and w not in found)
    return Sketch(
        sheet.drawing.svg(),
        tuple(placed),
        sheet.layout.to_scale,
        sheet.view.name,
        bool(sheet.layout.broken),
        missing,
        per_millimetre,
    )


def _nozzle_points(plant: Plant) -> Iterator[tuple[Key, str]]:
    yield from plant.nozzle_at.items()
    known = set(plant.nozzle_at.values())
    yield from ((n.point, n.name) for n in plant.nozzles.values() if n.point and n.name not in known)


def _items(sheet: Sheet) -> None:
    """Valves, flanges, rigid parts, reducers and joints; an arrow on the longest plain run."""
    for segment in sheet.segments:
        draw = symbols.ITEM_SYMBOLS.get(segment.item.value)
        if draw is not None:
            a, b = sheet.ends(segment)
            half = min(2.6, 0.38 * hypot(b[0] - a[0], b[1] - a[1]))
            draw(sheet.drawing, sheet.place(sheet.middle(segment), segment.vector, standing=True), half)
    plain = [s for s in sheet.segments if s.item is Item.PIPE]
    if plain:
        longest = max(plain, key=lambda s: drawn_length(sheet, s))
        a, b = sheet.ends(longest)
        symbols.arrow(sheet.drawing, sheet.place(between(a, b, 0.36), longest.vector, standing=True))


def _draw_supports(sheet: Sheet, supports: Iterable[Support]) -> None:
    for s in supports:
        place = sheet.place(sheet.at(s.point), s.pipe_direction, s.direction)
        symbols.support(sheet.drawing, s.type, place)


def _draw_nozzles(sheet: Sheet, nozzles: Iterable[Nozzle]) -> None:
    for n in nozzles:
        if n.point is not None:
            symbols.nozzle(sheet.drawing, sheet.place(sheet.at(n.point), n.direction, standing=True))


def _tags(sheet: Sheet, nozzles: list[Nozzle], supports: list[Support]) -> Iterator[Wanted]:
    for n in nozzles:
        if n.point is not None:
            yield Wanted(f"{n.name} ({n.point[1]})", sheet.at(n.point), 2.6, bold=True, clear=2.4)
    for s in supports:
        yield Wanted(s.name, sheet.at(s.point), 2.3, clear=2.6, colour=ACCENT)


def _point_names(sheet: Sheet, nozzles: list[Nozzle], named: bool, taken: Container[str] = ()) -> Iterator[Wanted]:
    """Names of the points; those at a nozzle stand with its tag."""
    tagged = {n.point for n in nozzles}
    for key in sheet.layout.at:
        sheet.drawing.circle("solid", sheet.at(key), 0.42)
        words = key[1] if key[0] == sheet.segments[0].line else "/".join(key)
        if named and key not in tagged and key[1] not in taken:
            yield Wanted(words, sheet.at(key), 2.2, clear=1.1)


def _values(sheet: Sheet, values: Mapping[str, str]) -> Iterator[Wanted]:
    """Words of an overlay at their points, the point's name in front."""
    for key in sheet.layout.at:
        if key[1] in values:
            yield Wanted(f"{key[1]}: {values[key[1]]}", sheet.at(key), 2.3, bold=True, clear=1.6)


def _dimensions(sheet: Sheet, display: Display) -> Iterator[Wanted]:
    for segment in sorted(sheet.segments, key=lambda s: -s.length):
        words = display.number("dimension", segment.length)
        yield Wanted(words, sheet.middle(segment), 2.0, must=False, clear=0.9, colour=QUIET)


def _label(sheet: Sheet, wanted: list[Wanted], lines: list[tuple[XY, XY]], supports: list[XY]) -> list[Placed]:
    width = sheet.drawing.width
    frame = Box(0.5, 0.5, width - 0.5, sheet.drawing.height - 0.5)
    north = Box(width - NORTH_CORNER, 0.0, width, NORTH_CORNER + 2)
    drawn = [xy for s in sheet.segments for xy in along(sheet.ends(s))]
    drawn += [xy for w in wanted if w.clear > 2.0 for xy in _patch(w.anchor)]
    drawn += [xy for at in supports for xy in _patch(at)]
    items = [sheet.middle(s) for s in sheet.segments if s.item is not Item.PIPE]
    drawn += [(x + dx, y + dy) for x, y in items for dx in (-1.2, 0.0, 1.2) for dy in (-1.2, 0.0, 1.2)]
    drawn += [xy for ends in lines for xy in along(ends)]
    board = Board(frame, [north], drawn)
    placed = [p for p in (board.place(w) for w in wanted) if p is not None]
    for p in placed:
        _write(sheet.drawing, p)
    return placed


def _stub(sheet: Sheet, n: Nozzle) -> tuple[XY, XY]:
    """The places that a nozzle's stub covers."""
    at = sheet.at(n.point or ("", ""))
    return at, symbols.shifted(at, sheet.direction(n.direction), -4.0)


def _patch(at: XY) -> Iterator[XY]:
    """The places that a symbol covers."""
    yield from ((at[0] + dx, at[1] + dy) for dx in (-1.2, 0.0, 1.2) for dy in (-1.2, 0.0, 1.2, 2.4, 3.6))


def _write(drawing: Drawing, placed: Placed) -> None:
    label = placed.label
    if placed.leader:
        drawing.line("hair", label.anchor, _nearest(placed.box, label.anchor))
    weight = "600" if label.bold else "400"
    drawing.text(placed.baseline, label.words, label.size, weight=weight, colour=label.colour)


def _nearest(box: Box, to: XY) -> XY:
    return (min(max(to[0], box.left), box.right), min(max(to[1], box.top), box.bottom))


def _words_of_key(sheet: Sheet, supports: list[Support], nozzles: list[Nozzle]) -> list[str]:
    items = [s.item.value for s in sheet.segments if s.item is not Item.PIPE]
    parts = [p for s in supports for p in symbols.support_parts(s.type)]
    rest = ["nozzle"] * bool(nozzles) + ["break"] * bool(sheet.layout.broken)
    return list(dict.fromkeys([*rest, *sorted(set(items)), *sorted(set(parts)), "order"]))


def _deflected(sheet: Sheet, moved: Mapping[str, Vector]) -> float:
    """Dashed line through the moved points; returns millimetres of movement per millimetre of the sheet."""
    for ends in _moved_lines(sheet, moved):
        sheet.drawing.line("moved", *ends)
    factor = _magnification(sheet, moved)
    return 1000.0 / factor if factor > 0 else 0.0


def _magnification(sheet: Sheet, moved: Mapping[str, Vector]) -> float:
    """Millimetres of the sheet for a metre of movement; 0 where nothing moves."""
    largest = max((hypot(*sheet.view.flat(moved[k[1]])) for k in sheet.layout.at if k[1] in moved), default=0.0)
    return _MOVED_AT_MOST / largest if largest > 0 else 0.0


def _moved_lines(sheet: Sheet, moved: Mapping[str, Vector]) -> Iterator[tuple[XY, XY]]:
    factor = _magnification(sheet, moved)
    for segment in sheet.segments:
        keys = [k for k in (segment.start_key, segment.end_key) if k[1] in moved]
        if factor > 0 and len(keys) == 2:
            a, b = (symbols.shifted(sheet.at(k), sheet.view.flat(moved[k[1]]), factor) for k in keys)
            yield a, b
