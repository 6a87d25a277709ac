"""A sketch of one item of equipment: outline, fixed point, temperature zones and nozzles, as line work."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from pipecalc.model import Equipment, Nozzle, Vector
from pipecalc.report.format import Display
from pipecalc.report.labels import Board, Box, Placed, Wanted, text_size, wrapped
from pipecalc.report.svg import ACCENT, QUIET, XY, Drawing

WIDE = 84.0
TALL, LOW = 66.0, 42.0  # height of the sketch of an upright item, of a horizontal one
_EDGE = 24.0  # room for labels at each side [mm]
_TOP = 9.0
_LISTED = 2.3  # type size of the list below [mm]


@dataclass(frozen=True, slots=True)
class EquipmentSketch:
    """The drawing with its label boxes."""

    svg: str
    labels: tuple[Placed, ...]
    missing: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Frame:
    """Elevation of an item: ``along`` its axis and ``off`` it, both in metres, mapped to the sheet."""

    item: Equipment
    upright: bool
    low: float
    high: float
    radius: float
    scale: float
    stretch: float

    def at(self, along_axis: float, off_axis: float) -> XY:
        """A place on the sheet."""
        if self.upright:
            return (WIDE / 2 + self.stretch * off_axis, self.height - 12 - self.scale * (along_axis - self.low))
        return (_EDGE / 2 + self.scale * (along_axis - self.low), LOW / 2 - 1 - self.stretch * off_axis)

    @property
    def height(self) -> float:
        """Height of the sketch [mm]."""
        return TALL if self.upright and self.item.kind != "fixed" else LOW


def equipment_sketch(item: Equipment, nozzles: Sequence[Nozzle], display: Display) -> EquipmentSketch:
    """Sketch of an item with its nozzles; heights to scale along the axis, diameters not.

    Where their names have no room, nozzles are numbered and a list below the sketch names them.
    """
    named = _sketch(item, nozzles, display, [n.name for n in nozzles])
    if not named.missing:
        return named
    return _sketch(item, nozzles, display, [str(i) for i in range(1, len(nozzles) + 1)])


def _sketch(item: Equipment, nozzles: Sequence[Nozzle], display: Display, tags: Sequence[str]) -> EquipmentSketch:
    frame = _frame(item, nozzles)
    drawing = Drawing(WIDE, frame.height, f"Sketch of {item.name}")
    _shell(drawing, frame)
    _fixed_point(drawing, frame)
    zones = list(_zone_lines(drawing, frame, display))
    wanted = [_nozzle(drawing, frame, n, tag) for n, tag in zip(nozzles, tags, strict=True)]
    x, y = _fixed_at(frame)
    fixed = Wanted("fixed point", (x + 4.6, y + 2.6), 2.1, clear=0.8, colour=ACCENT)
    placed, missing = _labels(drawing, frame, [fixed, *wanted, *zones])
    _list(drawing, [f"{tag}: {n.name}" for n, tag in zip(nozzles, tags, strict=True) if tag != n.name])
    return EquipmentSketch(drawing.svg(), placed, missing)


def _list(drawing: Drawing, entries: Sequence[str]) -> None:
    """Write entries one after the other below the sketch, which grows by them."""
    x, y = 1.0, drawing.height + 2.0
    for entry in entries:
        words = wrapped(entry, _LISTED, most=WIDE - 2.0)
        width, high = text_size(words, _LISTED)
        if x > 1.0 and x + width > WIDE - 1.0:
            x, y = 1.0, y + high + 0.6
        for i, part in enumerate(words.split("\n")):
            drawing.text((x, y + i * high / (words.count("\n") + 1)), part, _LISTED)
        if "\n" in words:
            x, y = 1.0, y + high + 0.6
        else:
            x += width + 3.0
        drawing.height = y + 1.0


def _frame(item: Equipment, nozzles: Sequence[Nozzle]) -> _Frame:
    upright = abs(item.axis[2]) > 0.5
    radius = (item.outside_diameter or 0.0) / 2
    heights = [_along(item, n.at) for n in nozzles]
    ends = [v for z in item.zones for v in (z.start, z.end)]
    values = [0.0, item.support_height or 0.0, *heights, *ends]
    low, high = min(values), max(values)
    extra = 0.06 * max(high - low, 0.5)
    low, high = (0.0 if upright and low == 0.0 else low - extra), high + extra
    tall = LOW if item.kind == "fixed" else TALL
    room = tall - 12 - _TOP if upright else WIDE - _EDGE
    half = 9.0 if upright else 10.0
    stretch = half / radius if radius > 0 else half
    return _Frame(item, upright, low, high, radius or 1.0, room / max(high - low, 1e-6), stretch)


def _along(item: Equipment, at: Vector) -> float:
    return sum((a - b) * x for a, b, x in zip(at, item.base, item.axis, strict=True))


def _off(item: Equipment, nozzle: Nozzle, upright: bool) -> float:
    """Side on which a nozzle is drawn: right or up positive."""
    east, north, up = nozzle.direction
    if not upright:
        return up
    return east if abs(east) >= abs(north) else north


def _shell(drawing: Drawing, f: _Frame) -> None:
    bottom = f.item.support_height or f.low
    corners = [(bottom, -f.radius), (f.high, -f.radius), (f.high, f.radius), (bottom, f.radius)]
    drawing.line("outline", *(f.at(a, o) for a, o in corners), closed=True)
    drawing.line("centre", f.at(f.low, 0.0), f.at(f.high, 0.0))
    if f.upright and bottom > 0:
        foot = [(bottom, -f.radius), (0.0, -1.15 * f.radius), (0.0, 1.15 * f.radius), (bottom, f.radius)]
        drawing.line("symbol", *(f.at(a, o) for a, o in foot))


def _fixed_at(f: _Frame) -> XY:
    x, y = f.at(0.0, 0.0)
    return (x, y) if f.upright else (x, y + f.stretch * f.radius + 6.0)


def _fixed_point(drawing: Drawing, f: _Frame) -> None:
    """A solid triangle on a hatched line; for a horizontal item below the fixed saddle, with the sliding side open."""
    x, y = _fixed_at(f)
    if not f.upright:
        top = y - 6.0
        drawing.line("symbol", (x - 3, top), (x - 2, y), (x + 2, y), (x + 3, top))
    drawing.line("accent-solid", (x, y), (x + 1.6, y + 2.6), (x - 1.6, y + 2.6), closed=True)
    drawing.line("accent", (x - 4.5, y + 2.6), (x + 4.5, y + 2.6))
    for i in range(8):
        drawing.line("accent", (x - 4 + 1.1 * i, y + 2.6), (x - 4.9 + 1.1 * i, y + 3.8))


def _zone_lines(drawing: Drawing, f: _Frame, display: Display) -> Iterable[Wanted]:
    for zone in f.item.zones:
        for end in (zone.start, zone.end):
            drawing.line("dashed", f.at(end, -f.radius), f.at(end, f.radius))
        words = f"{zone.name} {display.text('temperature', zone.temperature)}".strip()
        yield Wanted(words, f.at((zone.start + zone.end) / 2, -f.radius), 2.1, clear=1.0, colour=QUIET)
    if not f.item.zones:
        words = display.text("temperature", f.item.temperature)
        yield Wanted(words, f.at((f.low + f.high) / 2, -f.radius), 2.1, clear=1.0, colour=QUIET)


def _nozzle(drawing: Drawing, f: _Frame, n: Nozzle, tag: str) -> Wanted:
    """A stub with a flange tick on the side it points to; an open ring where it points at or from the viewer."""
    height = _along(f.item, n.at)
    off = _off(f.item, n, f.upright)
    ends = sum(a * b for a, b in zip(n.direction, f.item.axis, strict=True))
    if abs(ends) > 0.7:
        base = f.at(height, 0.0)
        tip = f.at(height + ends * 5.0 / f.scale, 0.0)
    elif abs(off) < 0.3:
        base = tip = f.at(height, 0.0)
        drawing.circle("white", base, 1.5)
    else:
        side = 1.0 if off > 0 else -1.0
        base = f.at(height, side * f.radius)
        tip = f.at(height, side * (f.radius + 4.0 / f.stretch))
    _stub(drawing, base, tip)
    return Wanted(tag, tip, 2.4, bold=True, clear=1.9)


def _stub(drawing: Drawing, base: XY, tip: XY) -> None:
    if base == tip:
        return
    drawing.line("pipe", base, tip)
    level = abs(tip[0] - base[0]) > abs(tip[1] - base[1])
    dx, dy = (0.0, 1.5) if level else (1.5, 0.0)
    drawing.line("pipe", (tip[0] - dx, tip[1] - dy), (tip[0] + dx, tip[1] + dy))


def _labels(drawing: Drawing, f: _Frame, wanted: Sequence[Wanted]) -> tuple[tuple[Placed, ...], tuple[str, ...]]:
    board = Board(Box(0.3, 0.3, WIDE - 0.3, f.height - 0.3))
    board.draw_all(drawing)
    (x0, y0), (x1, y1) = f.at(f.low, -f.radius), f.at(f.high, f.radius)
    board.fill(Box(min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)))
    placed: list[Placed] = []
    missing: list[str] = []
    for label in wanted:
        words = wrapped(label.words, label.size, label.bold, _EDGE + 8.0)
        found = board.place(replace(label, words=words, reach=40.0))
        if found is None:
            missing.append(label.words)
        else:
            found.write(drawing)
            placed.append(found)
    return tuple(placed), tuple(missing)
