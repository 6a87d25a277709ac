"""One isometric sheet: pipe, elbows, items, supports, nozzles, dimensions, levels, labels, key and north arrow."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from math import hypot

from pipecalc.model import Item, Line, Nozzle, Plant, Support, Vector
from pipecalc.report import iso_labels, iso_marks, symbols
from pipecalc.report.format import Display
from pipecalc.report.iso_dimensions import dimensioned
from pipecalc.report.iso_key import draw_key, draw_north
from pipecalc.report.iso_sheet import NARROW, WHOLE, Cut, PenOf, Sheet, draw_pipe, laid_out, plain_pen
from pipecalc.report.labels import Board, Box, Placed, Wanted
from pipecalc.report.projection import Key, View
from pipecalc.report.svg import XY

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


@dataclass(frozen=True, slots=True)
class Scene:
    """What is drawn on one sheet."""

    plant: Plant
    line: Line
    display: Display
    size: tuple[float, float]
    view: View
    over: Overlay | None = None
    cut: Cut = WHOLE

    @property
    def small(self) -> bool:
        """True for a sheet that stands beside another and names few points."""
        return self.size[0] <= NARROW


def drawn(scene: Scene, *, or_stop: bool = False) -> Sketch:
    """The sheet; an unfinished one where it may stop at the first label without room."""
    sheet = laid_out(scene.line, scene.size, scene.view, scene.cut)
    supports, nozzles = _supports(scene, sheet), _nozzles(scene, sheet)
    moved = scene.over.moved if scene.over else {}
    magnification = _deflected(sheet, moved)
    draw_pipe(sheet, scene.over.pen_of if scene.over else plain_pen)
    _draw_symbols(sheet, supports, nozzles)
    marks = [
        *iso_marks.joints_with_others(sheet, scene.plant, scene.line.name),
        *iso_marks.match_marks(sheet, scene.line.segments, scene.cut),
        *(iso_marks.slopes(sheet, scene.display) if scene.over is None else ()),
    ]
    if scene.over is None:
        iso_marks.flow_arrows(sheet)
    board = Board(Box(0.5, 0.5, sheet.drawing.width - 0.5, sheet.drawing.height - 0.5))
    board.draw_all(sheet.drawing)
    remarks = iso_labels.write_remarks(sheet, board, scene.cut, scene.display, plain=scene.over is None)
    draw_north(sheet.drawing, sheet.view, board)
    writer = _Writer(sheet, board, or_stop)
    _words(scene, writer, marks, supports, nozzles)
    _key(scene, sheet, supports, nozzles, magnification)
    layout = sheet.layout
    return Sketch(
        sheet.drawing.svg(),
        (remarks, *writer.placed),
        layout.to_scale,
        sheet.view.name,
        bool(layout.broken),
        tuple(writer.missing),
        magnification,
    )


def _supports(scene: Scene, sheet: Sheet) -> list[Support]:
    at = sheet.layout.at
    return [s for s in scene.plant.supports.values() if s.point[0] == scene.line.name and s.point in at]


def _nozzles(scene: Scene, sheet: Sheet) -> list[Nozzle]:
    named = dict.fromkeys(n for key, n in scene.plant.nozzle_at.items() if key in sheet.layout.at)
    named |= dict.fromkeys(n.name for n in scene.plant.nozzles.values() if n.point in sheet.layout.at)
    return [scene.plant.nozzles[n] for n in named if n in scene.plant.nozzles]


def _draw_symbols(sheet: Sheet, supports: Iterable[Support], nozzles: Iterable[Nozzle]) -> None:
    """Items of the line, supports, nozzles and points."""
    for segment in sheet.segments:
        draw = symbols.ITEM_SYMBOLS.get(segment.item.value)
        if draw is not None:
            a, b = sheet.ends(segment)
            half = min(2.6, 0.38 * hypot(b[0] - a[0], b[1] - a[1]))
            draw(sheet.drawing, sheet.place(sheet.middle(segment), segment.vector, standing=True), half)
    for s in supports:
        symbols.support(sheet.drawing, s.type, sheet.place(sheet.at(s.point), s.pipe_direction, s.direction))
    for n in nozzles:
        if n.point is not None:
            symbols.nozzle(sheet.drawing, sheet.place(sheet.at(n.point), n.direction, standing=True))
    for key in sheet.layout.at:
        sheet.drawing.circle("solid", sheet.at(key), 0.42)


@dataclass(slots=True)
class _Writer:
    """Writes labels and keeps count of those without room; may stop at the first of these."""

    sheet: Sheet
    board: Board
    or_stop: bool
    placed: list[Placed] = field(default_factory=list)
    missing: list[str] = field(default_factory=list)

    def write(self, wanted: Iterable[Wanted]) -> None:
        """Write each label where it has room."""
        for label in wanted:
            if self.or_stop and self.missing:
                return
            found = self.board.place(label)
            if found is None:
                self.missing.append(label.about or label.words)
            else:
                found.write(self.sheet.drawing)
                self.placed.append(found)


def _words(
    scene: Scene, writer: _Writer, marks: Iterable[Wanted], supports: Iterable[Support], nozzles: list[Nozzle]
) -> None:
    """Write every label: tags and values first, then dimensions, then the names of points."""
    sheet, values = writer.sheet, scene.over.values if scene.over else {}
    levels = iso_marks.levels(sheet, scene.display) if scene.over is None else {}
    further = {} if scene.small else iso_labels.told_of_points(supports, levels)
    tagged = {n.point for n in nozzles if n.point is not None}
    writer.write(marks)
    writer.write(iso_labels.nozzle_tags(sheet, nozzles, further))
    writer.write(iso_labels.values(sheet, values))
    rest: list[Wanted] = []
    if scene.over is None:
        numbers, rest = dimensioned(sheet, writer.board, scene.display)
        writer.placed += numbers
    if not scene.small:
        further = {key: lines for key, lines in further.items() if key not in tagged}
        taken = tagged | {key for key in sheet.layout.at if key[1] in values}
        writer.write(iso_labels.point_names(sheet, taken, further))
    writer.write(rest)


def _key(scene: Scene, sheet: Sheet, supports: list[Support], nozzles: list[Nozzle], magnification: float) -> None:
    words = list(_symbols_shown(scene, sheet, supports, nozzles)) if scene.over is None else []
    pens = list(scene.over.key) if scene.over else []
    if magnification:
        pens.insert(0, ("moved", f"position in the case shown: {magnified(magnification, scene.display)}"))
    draw_key(sheet.drawing, words, pens)


def _symbols_shown(scene: Scene, sheet: Sheet, supports: list[Support], nozzles: list[Nozzle]) -> Iterator[str]:
    """Names of the symbols on a sheet, for its key."""
    turns = [s.turn for s in sheet.segments if s.turn is not None and s.turn.radius > 0]
    keys = set(sheet.layout.at)
    lines = [other for other in scene.plant.lines.values() if other.name != scene.line.name]
    joined = any(keys & {s.start_key, s.end_key} for other in lines for s in other.segments)
    yield from ["nozzle"] * bool(nozzles)
    yield from ["elbow"] * any(not t.mitre_cuts for t in turns)
    yield from ["mitred bend"] * any(t.mitre_cuts > 0 for t in turns)
    yield from ["branch"] * joined
    yield from sorted({s.item.value for s in sheet.segments if s.item is not Item.PIPE})
    yield from sorted({part for s in supports for part in symbols.support_parts(s.type)})
    yield from ["break"] * bool(sheet.layout.broken)
    yield from ["match line"] * (scene.cut.count > 1)
    yield from ["slope"] * iso_marks.has_slope(sheet)
    yield from ["skew"] * iso_marks.has_skew(sheet)
    yield "flow"


def magnified(magnification: float, display: Display) -> str:
    """What a length on the sheet of a deflected shape stands for."""
    words, on_sheet = ("1 in", 0.0254) if display.system == "US" else ("10 mm", 0.01)
    return f"{words} of the figure is {display.text('movement', magnification * on_sheet)} of movement"


def _deflected(sheet: Sheet, moved: Mapping[str, Vector]) -> float:
    """Dashed line through the moved points; returns millimetres of movement per millimetre of the sheet, 0 for none."""
    largest = max((hypot(*sheet.view.flat(v)) for v in moved.values()), default=0.0)
    if largest <= 0:
        return 0.0
    factor = _MOVED_AT_MOST / largest
    for ends in _moved_lines(sheet, moved, factor):
        sheet.drawing.line("moved", *ends)
    return 1000.0 / factor


def _moved_lines(sheet: Sheet, moved: Mapping[str, Vector], factor: float) -> Iterator[tuple[XY, XY]]:
    for segment in sheet.segments:
        keys: list[Key] = [k for k in (segment.start_key, segment.end_key) if k[1] in moved]
        if len(keys) == 2:
            a, b = (symbols.shifted(sheet.at(k), sheet.view.flat(moved[k[1]]), factor) for k in keys)
            yield a, b
