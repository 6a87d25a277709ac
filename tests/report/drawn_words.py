"""What stands in a finished drawing: boxes of every text by the font files, and every stroke as a polyline."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from xml.etree import ElementTree

from fontTools.ttLib import TTFont

from pipecalc.report.assets import FACES, FONTS
from pipecalc.report.labels import Box

SVG = "{http://www.w3.org/2000/svg}"
XY = tuple[float, float]


@dataclass(frozen=True)
class Face:
    """Of every character of a face: advance width, lowest and highest point in shares of the type size."""

    of: dict[str, tuple[float, float, float]]


@cache
def face(weight: int) -> Face:
    file = next(file for file, w, style in FACES if w == weight and style == "normal")
    with TTFont(FONTS / file) as font:
        cmap, widths, glyphs, em = font.getBestCmap(), font["hmtx"], font["glyf"], font["head"].unitsPerEm
        found = {
            chr(code): (
                widths[name][0] / em,
                getattr(glyphs[name], "yMin", 0) / em,
                getattr(glyphs[name], "yMax", 0) / em,
            )
            for code, name in cmap.items()
        }
    return Face(found)


@dataclass(frozen=True)
class Word:
    words: str
    box: Box
    size: float
    colour: str


def words_of(svg: str) -> list[Word]:
    """Every text with the box its glyphs fill."""
    root = ElementTree.fromstring(svg)  # noqa: S314 - our own text
    return [
        _word(text, float(group.get("font-size")), int(group.get("font-weight", 400)), group.get("fill"))
        for group in root.iter(f"{SVG}g")
        for text in group.iter(f"{SVG}text")
    ]


def _word(element: ElementTree.Element, size: float, weight: int, colour: str) -> Word:
    words, x, y = element.text or "", float(element.get("x")), float(element.get("y"))
    glyphs = [face(weight).of[c] for c in words]
    width = sum(g[0] for g in glyphs) * size
    low, high = min(g[1] for g in glyphs) * size, max(g[2] for g in glyphs) * size
    return Word(words, Box(x, y - high, x + width, y - low), size, colour)


def sheet_of(svg: str) -> Box:
    width, height = ElementTree.fromstring(svg).get("viewBox").split()[2:]  # noqa: S314 - our own text
    return Box(0.0, 0.0, float(width), float(height))


@dataclass(frozen=True)
class Stroke:
    points: tuple[XY, ...]
    width: float


def strokes_of(svg: str) -> Iterator[Stroke]:
    """Every line drawn with a pen, curves and circles as polylines."""
    for path in ElementTree.fromstring(svg).iter(f"{SVG}path"):  # noqa: S314 - our own text
        for part in re.findall(r"M[^M]*", path.get("d")):
            yield Stroke(tuple(_points(part)), float(path.get("stroke-width", 0)))


def _points(part: str) -> list[XY]:
    found: list[XY] = []
    for letter, text in re.findall(r"([MLCaZ])([^MLCaZ]*)", part):
        v = [float(n) for n in text.split()]
        if letter in "ML":
            found.append((v[0], v[1]))
        elif letter == "C":
            corners = [found[-1], *zip(v[::2], v[1::2], strict=True)]
            found += [_on_curve(corners, i / 8) for i in range(1, 9)]
        elif letter == "a":
            (x, y), r, across = found[-1], v[0], v[5]
            found += [(x + across / 2, y - r), (x + across, y)]
        else:
            found.append(found[0])
    return found


def _on_curve(corners: list[XY], t: float) -> XY:
    while len(corners) > 1:
        corners = [((1 - t) * a[0] + t * b[0], (1 - t) * a[1] + t * b[1]) for a, b in pairwise(corners)]
    return corners[0]


def crosses(stroke: Stroke, box: Box) -> bool:
    """True where a stroke passes a box, by exact clipping of each of its pieces."""
    wide = box.grown(stroke.width / 2)
    return any(_clipped(a, b, wide) for a, b in pairwise(stroke.points))


def _clipped(a: XY, b: XY, box: Box) -> bool:
    (x, y), (u, v) = a, b
    if (x <= box.left >= u) or (x >= box.right <= u) or (y <= box.top >= v) or (y >= box.bottom <= v):
        return False
    start, end = 0.0, 1.0
    for at, way, low, high in (
        (a[0], b[0] - a[0], box.left, box.right),
        (a[1], b[1] - a[1], box.top, box.bottom),
    ):
        if abs(way) < 1e-12:
            if not low < at < high:
                return False
            continue
        one, other = (low - at) / way, (high - at) / way
        start, end = max(start, min(one, other)), min(end, max(one, other))
    return start < end
