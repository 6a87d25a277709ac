"""The figures of a line's chapter: isometric sheets, the shape it moves to, and its stress ratios."""

from collections.abc import Iterator, Mapping, Sequence

from pipecalc.model import Line, Vector
from pipecalc.report import format as fmt
from pipecalc.report.iso_scene import Overlay, Sketch, magnified
from pipecalc.report.isometric import PAIR, WIDTH, isometric_sheets
from pipecalc.report.parts import Figure, Sheets
from pipecalc.report.stress_sections import Section, class_key, is_stress, point_name, ratio_pens, sections
from pipecalc.results import Check, Status

LABELLED = 4  # points whose ratio is written, the worst first
_BESIDE = 12  # a line of more runs has its figures one below the other
_LOWER = (WIDTH, 92.0)  # largest width and height of a figure without dimensions [mm]


def isometrics(sheets: Sheets, line: Line) -> list[Figure]:
    """The isometric sheets."""
    unit = sheets.display.unit("dimension")
    found = isometric_sheets(sheets.plant, line, sheets.display)
    captions = (f"isometric seen from {s.view}{_of(i, found)}; dimensions in {unit}" for i, s in enumerate(found))
    return list(_figures(sheets, line, found, captions, ""))


def overlays(sheets: Sheets, line: Line, checks: Sequence[Check]) -> tuple[list[Figure], bool]:
    """Figures of stress ratios and of the moved shape, as far as there are results; True where they fit in a row."""
    if not line.segments:
        return [], False
    beside = len(line.segments) <= _BESIDE
    size = PAIR if beside else _LOWER
    found = [*_stress(sheets, line, checks, size), *_deflected(sheets, line, size)]
    return found, beside and len(found) == 2


def _of(index: int, sketches: Sequence[Sketch]) -> str:
    return f", sheet {index + 1} of {len(sketches)}" if len(sketches) > 1 else ""


def _figures(
    sheets: Sheets, line: Line, sketches: Sequence[Sketch], captions: Iterator[str], suffix: str
) -> Iterator[Figure]:
    """Numbered figures; each caption ends with what is not to scale and what had no room."""
    for i, (sketch, caption) in enumerate(zip(sketches, captions, strict=True)):
        number = f"-{i + 1}" if len(sketches) > 1 else ""
        words = f"Line {line.name}, {caption}{_remarks(sketch)}"
        yield sheets.figure(words, sketch.svg, f"line-{line.name}{suffix}{number}")


def _remarks(sketch: Sketch) -> str:
    words = "" if sketch.to_scale else "; not to scale, short runs are stretched"
    words += ", long ones broken where marked" if sketch.broken else ""
    return words + (f"; no room for the labels {', '.join(sketch.missing)}" if sketch.missing else "")


def _stress(sheets: Sheets, line: Line, checks: Sequence[Check], size: tuple[float, float]) -> list[Figure]:
    """The line drawn by its highest stress ratio; nothing without stress checks."""
    found = [s for s in sections(checks) if is_stress(s.governing)]
    if not found:
        return []
    over = Overlay(pen_of=ratio_pens(line, checks), values=_ratios(found), key=class_key())
    drawn = isometric_sheets(sheets.plant, line, sheets.display, over, size)
    captions = (f"highest stress ratio{_of(i, drawn)}, the heavier the line the higher" for i in range(len(drawn)))
    return list(_figures(sheets, line, drawn, captions, "-stress"))


def _ratios(found: Sequence[Section]) -> dict[str, str]:
    """Words for the points where the ratio is highest, and for the first that were not checked."""
    highest: dict[str, float] = {}
    for section in found:
        name, ratio = point_name(section.where), section.governing.ratio
        if name and ratio == ratio:
            highest[name] = max(highest.get(name, 0.0), ratio)
    unknown = list(dict.fromkeys(point_name(s.where) for s in found if s.unknown and point_name(s.where)))
    words = dict.fromkeys(unknown[:LABELLED], Status.NOT_CHECKED.value)
    for name in sorted(highest, key=lambda name: -highest[name])[:LABELLED]:
        verdict = f" {Status.FAIL.value}" if highest[name] > 1.0 else ""
        rest = f", other {Status.NOT_CHECKED.value}" if name in unknown else ""
        words[name] = f"{fmt.ratio(highest[name])}{verdict}{rest}"
    return words


def _deflected(sheets: Sheets, line: Line, size: tuple[float, float]) -> list[Figure]:
    """Shape in the case with the largest movement, where a frame analysis gave point movements."""
    by_case: dict[str, dict[str, Vector]] = {}
    for p in sheets.results.points:
        if p.line == line.name:
            by_case.setdefault(p.case, {})[p.point] = (p.east, p.north, p.up)
    if not by_case:
        return []
    case = max(by_case, key=lambda c: max(_size(v) for v in by_case[c].values()))
    moved = by_case[case]
    over = Overlay(moved, values=_largest(sheets, moved))
    drawn = isometric_sheets(sheets.plant, line, sheets.display, over, size)
    captions = (
        f"moved, case “{case}”{_of(i, drawn)}; {magnified(s.magnification, sheets.display)}"
        for i, s in enumerate(drawn)
    )
    return list(_figures(sheets, line, drawn, captions, "-moved"))


def _largest(sheets: Sheets, moved: Mapping[str, Vector]) -> dict[str, str]:
    point = max(moved, key=lambda name: _size(moved[name]))
    return {point: sheets.display.text("movement", _size(moved[point]))}


def _size(v: Vector) -> float:
    return float((v[0] ** 2 + v[1] ** 2 + v[2] ** 2) ** 0.5)
