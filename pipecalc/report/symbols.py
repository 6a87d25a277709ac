"""Drafting symbols of the trade, drawn in the plane of the pipe: valves, flanges, reducers, supports, nozzles."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import hypot

from pipecalc.report.svg import XY, Drawing

UP: XY = (0.0, -1.0)


@dataclass(frozen=True, slots=True)
class Place:
    """Where a symbol stands and how the pipe runs there.

    Attributes:
        at: [mm].
        along: Unit vector of the pipe on the sheet.
        across: Unit vector square to the pipe in space, on the sheet.
        given: Unit vector of a support's own direction on the sheet.
    """

    at: XY
    along: XY
    across: XY
    given: XY = UP

    def to(self, along: float, across: float) -> XY:
        """A place reached along and across the pipe [mm]."""
        return shifted(shifted(self.at, self.along, along), self.across, across)

    def down(self, right: float, down: float) -> XY:
        """A place right of and below this one on the sheet [mm]."""
        return (self.at[0] + right, self.at[1] + down)


def shifted(at: XY, direction: XY, by: float) -> XY:
    """A place moved along a direction [mm]."""
    return (at[0] + direction[0] * by, at[1] + direction[1] * by)


def unit(vector: XY, fallback: XY = (1.0, 0.0)) -> XY:
    """Unit vector on the sheet; the fallback where the vector points at the viewer."""
    length = hypot(*vector)
    return (vector[0] / length, vector[1] / length) if length > 1e-9 else fallback


def valve(drawing: Drawing, p: Place, half: float) -> None:
    """Two triangles, tip to tip, between flange ticks."""
    tall = min(1.5, 0.7 * half + 0.4)
    corners = (p.to(-half, -tall), p.to(half, tall), p.to(half, -tall), p.to(-half, tall))
    drawing.line("white", *corners, closed=True)
    for end in (-half - 0.5, half + 0.5):
        drawing.line("symbol", p.to(end, -1.3), p.to(end, 1.3))


def flange(drawing: Drawing, p: Place, half: float) -> None:
    """A pair of ticks across the pipe."""
    del half
    for end in (-0.35, 0.35):
        drawing.line("symbol", p.to(end, -1.4), p.to(end, 1.4))


def rigid(drawing: Drawing, p: Place, half: float) -> None:
    """A box around the pipe."""
    corners = (p.to(-half, -0.9), p.to(half, -0.9), p.to(half, 0.9), p.to(-half, 0.9))
    drawing.line("white", *corners, closed=True)


def reducer(drawing: Drawing, p: Place, half: float) -> None:
    """A box that narrows towards the end of the run."""
    corners = (p.to(-half, -1.3), p.to(half, -0.6), p.to(half, 0.6), p.to(-half, 1.3))
    drawing.line("white", *corners, closed=True)


def expansion_joint(drawing: Drawing, p: Place, half: float) -> None:
    """A bellows: waves between two ticks."""
    steps = 6
    waves = [p.to(-half + 2 * half * i / steps, 1.2 if i % 2 else -1.2) for i in range(steps + 1)]
    rigid(drawing, p, half)
    drawing.line("symbol", *waves)


ITEM_SYMBOLS: Mapping[str, Callable[[Drawing, Place, float], None]] = {
    "valve": valve,
    "flange": flange,
    "rigid": rigid,
    "reducer": reducer,
    "expansion joint": expansion_joint,
}


def rest(drawing: Drawing, p: Place) -> None:
    """A triangle under the pipe on a base line."""
    drawing.line("white", p.down(0, 0.3), p.down(1.25, 2.5), p.down(-1.25, 2.5), closed=True)
    drawing.line("symbol", p.down(-1.8, 2.5), p.down(1.8, 2.5))


def guide(drawing: Drawing, p: Place) -> None:
    """Two bars beside the pipe."""
    for side in (-1.25, 1.25):
        drawing.line("symbol", p.to(-1.5, side), p.to(1.5, side))


def line_stop(drawing: Drawing, p: Place) -> None:
    """Two bars across the pipe with a tick between their ends."""
    for end in (-0.8, 0.8):
        drawing.line("symbol", p.to(end, -1.7), p.to(end, 1.7))
    drawing.line("symbol", p.to(-0.8, 1.7), p.to(0.8, 1.7))


def anchor(drawing: Drawing, p: Place) -> None:
    """A crossed square."""
    corners = (p.down(-1.3, -1.3), p.down(1.3, -1.3), p.down(1.3, 1.3), p.down(-1.3, 1.3))
    drawing.line("white", *corners, closed=True)
    drawing.line("white", corners[0], corners[2])
    drawing.line("white", corners[1], corners[3])


def hanger_rod(drawing: Drawing, p: Place) -> None:
    """A rod up to a plate."""
    drawing.line("symbol", p.at, p.down(0, -4.0))
    drawing.line("symbol", p.down(-1.5, -4.0), p.down(1.5, -4.0))


def spring(drawing: Drawing, p: Place) -> None:
    """A zigzag down to a plate."""
    drawing.line("symbol", p.at, p.down(0, 0.8), *_zigzag(p), p.down(0, 4.2))
    drawing.line("symbol", p.down(-1.5, 4.2), p.down(1.5, 4.2))


def constant_load(drawing: Drawing, p: Place) -> None:
    """A ring on a rod down to a plate."""
    drawing.line("symbol", p.at, p.down(0, 4.2))
    drawing.circle("white", p.down(0, 2.2), 1.1)
    drawing.line("symbol", p.down(-1.5, 4.2), p.down(1.5, 4.2))


def strut(drawing: Drawing, p: Place) -> None:
    """A bar with a pin at each end, along the support's direction."""
    far = shifted(p.at, p.given, 4.5)
    drawing.line("symbol", p.at, far)
    drawing.circle("white", far, 0.5)


def snubber(drawing: Drawing, p: Place) -> None:
    """A strut with a cylinder."""
    strut(drawing, p)
    a, b = shifted(p.at, p.given, 1.4), shifted(p.at, p.given, 3.3)
    side = (-p.given[1], p.given[0])
    corners = (shifted(a, side, 0.6), shifted(b, side, 0.6), shifted(b, side, -0.6), shifted(a, side, -0.6))
    drawing.line("white", *corners, closed=True)


def _zigzag(p: Place) -> list[XY]:
    return [p.down(1.0 if i % 2 else -1.0, 1.1 + 0.45 * i) for i in range(6)]


_PARTS: tuple[tuple[str, Callable[[Drawing, Place], None]], ...] = (
    ("rest", rest),
    ("guide", guide),
    ("line stop", line_stop),
    ("anchor", anchor),
    ("hanger rod", hanger_rod),
    ("spring", spring),
    ("constant load", constant_load),
    ("strut", strut),
    ("snubber", snubber),
)


def support_parts(kind: str) -> list[str]:
    """The simple supports that a type is made of: ``"rest and guide"`` gives rest and guide."""
    return [name for name, _draw in _PARTS if name in kind]


def support(drawing: Drawing, kind: str, p: Place) -> None:
    """Draw a support of any type; a type without a symbol is drawn as a ring."""
    parts = support_parts(kind)
    for name, draw in _PARTS:
        if name in parts:
            draw(drawing, p)
    if not parts:
        drawing.circle("white", p.at, 1.3)


def nozzle(drawing: Drawing, p: Place) -> None:
    """Flange ticks and the stub into the equipment; ``along`` points outward."""
    flange(drawing, Place(p.at, p.along, p.across), 0.0)
    stub = (p.to(-0.35, -0.8), p.to(-3.2, -0.8), p.to(-3.2, 0.8), p.to(-0.35, 0.8))
    drawing.line("white", *stub)
    drawing.line("symbol", p.to(-3.2, -2.6), p.to(-3.2, 2.6))


def break_mark(drawing: Drawing, p: Place) -> None:
    """Two slanted strokes with a gap: the run is longer than drawn."""
    corners = (p.to(-0.9, -1.2), p.to(-0.1, 1.2), p.to(0.9, 1.2), p.to(0.1, -1.2))
    drawing.line("gap", *corners, closed=True)
    drawing.line("symbol", corners[0], corners[1])
    drawing.line("symbol", corners[3], corners[2])


def arrow(drawing: Drawing, p: Place) -> None:
    """A solid arrow head along the pipe."""
    drawing.line("solid", p.to(1.3, 0), p.to(-1.0, 0.85), p.to(-1.0, -0.85), closed=True)


def branch(drawing: Drawing, p: Place) -> None:
    """A dot at the joint and the other pipe, going away square to this one."""
    drawing.line("other", p.at, p.to(0, -3.2))
    drawing.circle("solid", p.at, 0.8)


def elbow(drawing: Drawing, p: Place) -> None:
    """A quarter turn of the centreline."""
    drawing.curve("pipe", p.down(-2.6, -1.6), p.down(0.4, -1.6), p.down(2.0, 0.0), p.down(2.0, 2.4))


def mitred(drawing: Drawing, p: Place) -> None:
    """A turn in straight pieces."""
    drawing.line("pipe", p.down(-2.6, -1.6), p.down(-0.4, -1.6), p.down(1.4, 0.2), p.down(1.4, 2.4))


def match_line(drawing: Drawing, p: Place) -> None:
    """A chain line across the pipe where the drawing goes on on another sheet."""
    drawing.line("match", p.to(0, -4.2), p.to(0, 4.2))


def slope(drawing: Drawing, p: Place) -> None:
    """A slim wedge beside the pipe, thin towards its low end; ``along`` points downhill."""
    drawing.line("symbol", p.to(-3.0, 0.6), p.to(-3.0, 1.7), p.to(3.0, 0.6), closed=True)


def skew(drawing: Drawing, p: Place) -> None:
    """Sides of the box whose corners a skew run joins."""
    drawing.line("dashed", p.down(-3, 0), p.down(-3, 2.0), p.down(3, 2.0), p.down(3, 0))
