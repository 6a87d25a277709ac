"""Line drawings as SVG text: one path per class of lines, sizes in millimetres.

Coordinates are millimetres with y downward. Every drawing stands alone, so it can be saved as a file of its own.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from html import escape

from pipecalc.report.assets import FAMILY
from pipecalc.report.type_width import text_width

XY = tuple[float, float]

INK = "#1c1f22"
QUIET = "#5b646c"
ACCENT = "#1f4e66"
PALE = "#dfe6ea"


@dataclass(frozen=True, slots=True)
class Pen:
    """How a class of lines is drawn: width [mm], colour, fill and dash pattern, and a core of a third along the middle.

    Attributes:
        core: Colour of the core; empty for none.
    """

    width: float
    colour: str = INK
    fill: str = "none"
    dash: str = ""
    core: str = ""


PENS: dict[str, Pen] = {
    "outline": Pen(0.18, QUIET, PALE),
    "hair": Pen(0.13, QUIET),
    "dashed": Pen(0.18, QUIET, dash="1.2 0.8"),
    "centre": Pen(0.13, QUIET, dash="2.4 0.7 0.5 0.7"),
    "match": Pen(0.35, INK, dash="3 0.8 0.6 0.8"),
    "other": Pen(0.35, QUIET, dash="2 0.8"),
    "moved": Pen(0.35, ACCENT, dash="1.6 0.9"),
    "pipe": Pen(0.55),
    # Stress ratio along the pipe: heavier is higher, each with a dash pattern of its own.
    "unrated": Pen(0.25, QUIET, dash="0.5 0.7"),
    "unchecked": Pen(1.9, INK, dash="0.18 0.9", core=INK),
    "class-1": Pen(0.4, "#5b646c"),
    "class-2": Pen(0.8, "#2b6c8f", dash="1.1 0.6"),
    "class-3": Pen(1.2, "#9a6a00", dash="3.2 0.7"),
    "class-4": Pen(1.6, "#a33c12"),
    "class-5": Pen(2.4, "#7d1128", core="#ffffff"),
    "bar": Pen(0.0, "none", "#9fb4c0"),
    "bar-over": Pen(0.0, "none", "#1f4e66"),
    "bar-open": Pen(0.25, INK, "#ffffff", dash="0.8 0.6"),
    "gap": Pen(0.0, "none", "#ffffff"),
    "white": Pen(0.25, INK, "#ffffff"),
    "symbol": Pen(0.25),
    "solid": Pen(0.1, INK, INK),
    "accent": Pen(0.25, ACCENT),
    "accent-solid": Pen(0.1, ACCENT, ACCENT),
    # Shaded grids of studies: darker is higher.
    "shade-1": Pen(0.13, QUIET, "#eef2f4"),
    "shade-2": Pen(0.13, QUIET, "#d5dfe5"),
    "shade-3": Pen(0.13, QUIET, "#b4c6d0"),
    "shade-over": Pen(0.13, QUIET, ACCENT),
}


def number(value: float) -> str:
    """Shortest text of a coordinate to a hundredth of a millimetre."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def line_path(points: Iterable[XY], closed: bool = False) -> str:
    """Path data of a polyline."""
    steps = [f"{'L' if i else 'M'}{number(x)} {number(y)}" for i, (x, y) in enumerate(points)]
    return "".join(steps) + ("Z" if closed else "")


def circle_path(centre: XY, radius: float) -> str:
    """Path data of a circle."""
    x, y, r = centre[0] - radius, centre[1], number(radius)
    across = number(2 * radius)
    return f"M{number(x)} {number(y)}a{r} {r} 0 1 0 {across} 0a{r} {r} 0 1 0 -{across} 0Z"


def on_curve(points: Sequence[XY], share: float) -> XY:
    """A place on a cubic Bezier curve."""
    t, u = share, 1.0 - share
    weights = (u * u * u, 3 * t * u * u, 3 * t * t * u, t * t * t)
    x = sum(w * p[0] for w, p in zip(weights, points, strict=True))
    return (x, sum(w * p[1] for w, p in zip(weights, points, strict=True)))


@dataclass(slots=True)
class Drawing:
    """A figure under construction.

    Attributes:
        width: [mm].
        height: [mm].
        title: Read out where the picture cannot be seen.
        marks: Every line drawn so far with half its width [mm], so that words can be kept clear of it.
    """

    width: float
    height: float
    title: str
    marks: list[tuple[tuple[XY, ...], float]] = field(default_factory=list)
    _paths: dict[str, list[str]] = field(default_factory=dict)
    _texts: dict[tuple[float, str, str], list[str]] = field(default_factory=dict)

    def line(self, pen: str, *points: XY, closed: bool = False) -> None:
        """Add a polyline to the lines of a pen."""
        self._add(pen, line_path(points, closed), (*points, points[0]) if closed else points)

    def circle(self, pen: str, centre: XY, radius: float) -> None:
        """Add a circle to the lines of a pen."""
        (x, y), r = centre, radius
        corners = ((x - r, y - r), (x + r, y - r), (x + r, y + r), (x - r, y + r), (x - r, y - r))
        self._add(pen, circle_path(centre, radius), corners)

    def curve(self, pen: str, *points: XY) -> None:
        """Add a cubic Bezier curve, given by its four points, to the lines of a pen."""
        texts = [f"{number(x)} {number(y)}" for x, y in points]
        self._add(pen, f"M{texts[0]}C{' '.join(texts[1:])}", tuple(on_curve(points, i / 4) for i in range(5)))

    def _add(self, pen: str, data: str, points: tuple[XY, ...]) -> None:
        self._paths.setdefault(pen, []).append(data)
        self.marks.append((points, PENS[pen].width / 2))

    def text(
        self,
        at: XY,
        words: str,
        size: float = 2.3,
        anchor: str = "start",
        weight: str = "400",
        colour: str = INK,
    ) -> None:
        """Write words with their baseline at a place: its start, ``"middle"`` or ``"end"``.

        The start is worked out here: the renderer of the PDF cuts glyphs of text that it has to shift by itself.
        """
        share = {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor]
        x = at[0] - share * text_width(words, size, bold=weight != "400")
        item = f'<text x="{number(x)}" y="{number(at[1])}">{escape(words)}</text>'
        self._texts.setdefault((size, weight, colour), []).append(item)

    def svg(self) -> str:
        """The drawing as SVG text; pens are painted in the order of PENS, text on top."""
        w, h = number(self.width), number(self.height)
        head = (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {w} {h}" width="{w}mm" height="{h}mm" '
            f'style="width:{w}mm;height:{h}mm" role="img" font-family="\'{FAMILY}\', sans-serif">'
        )
        return head + f"<title>{escape(self.title)}</title>" + self._lines() + self._words() + "</svg>"

    def _lines(self) -> str:
        return "".join(_pen_path(PENS[p], "".join(self._paths[p])) for p in PENS if p in self._paths)

    def _words(self) -> str:
        return "".join(_text_group(how, items) for how, items in self._texts.items())


def _pen_path(pen: Pen, data: str) -> str:
    dash = f' stroke-dasharray="{pen.dash}"' if pen.dash else ""
    stroke = f' stroke="{pen.colour}" stroke-width="{number(pen.width)}"' if pen.width else ""
    joins = ' stroke-linejoin="round"' if pen.width > 0.3 else ""
    core = ""
    if pen.core:
        width = number(pen.width / 3 if pen.core != pen.colour else 0.25)
        core = f'<path d="{data}" fill="none" stroke="{pen.core}" stroke-width="{width}"/>'
    return f'<path d="{data}" fill="{pen.fill}"{stroke}{dash}{joins}/>{core}'


def _text_group(how: tuple[float, str, str], items: list[str]) -> str:
    size, weight, colour = how
    bold = f' font-weight="{weight}"' if weight != "400" else ""
    return f'<g font-size="{number(size)}" fill="{colour}"{bold}>{"".join(items)}</g>'
