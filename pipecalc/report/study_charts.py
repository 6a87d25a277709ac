"""Pictures of studies: a line of ratios over one variable, or a shaded grid over two; readable in black and white."""

from collections.abc import Sequence
from math import isfinite

from pipecalc.report.format import ratio
from pipecalc.report.svg import QUIET, Drawing
from pipecalc.results import Study, StudyRow

_WIDE, _HIGH = 150.0, 62.0
_LEFT, _BOTTOM, _TOP = 16.0, 12.0, 6.0
_SIZE = 2.3
_CELL_WIDE, _CELL_HIGH = 20.0, 8.0
#: Pens of the shades: darker is higher, and over the limit is darkest; the number stands in every cell.
_SHADES = ((0.5, "shade-1"), (0.8, "shade-2"), (1.0, "shade-3"))


def study_picture(study: Study) -> str:
    """A line chart of a study of one variable, a shaded grid of one of two."""
    return _grid(study) if len(study.variables) == 2 else _curve(study)


def _curve(study: Study) -> str:
    drawing = Drawing(_WIDE, _HIGH, f"{study.study}: ratio over {study.variables[0]}")
    rows = study.rows
    finite = [row.ratio for row in rows if isfinite(row.ratio)]
    most = 1.15 * max([1.0, *finite])
    places = _places(rows)
    _axes(drawing, study, most)
    marks = [(x, _height(row.ratio, most)) for x, row in zip(places, rows, strict=True) if isfinite(row.ratio)]
    if len(marks) > 1:
        drawing.line("pipe", *marks)
    for x, row in zip(places, rows, strict=True):
        drawing.text((x, _HIGH - _BOTTOM + 4.0), row.values[0], _SIZE, "middle")
        if isfinite(row.ratio):
            y = _height(row.ratio, most)
            drawing.circle("solid", (x, y), 0.8)
            drawing.text((x, y - 1.8), ratio(row.ratio), _SIZE, "middle")
        else:
            drawing.text((x, _HIGH - _BOTTOM - 1.5), "none", _SIZE, "middle", colour=QUIET)
    return drawing.svg()


def _places(rows: Sequence[StudyRow]) -> list[float]:
    """Where the values stand: by their size where all are plain numbers, else evenly."""
    numbers = [_number(row.values[0]) for row in rows]
    if all(isfinite(n) for n in numbers) and len(set(numbers)) > 1:
        low, high = min(numbers), max(numbers)
        shares = [(n - low) / (high - low) for n in numbers]
    else:
        shares = [i / max(len(rows) - 1, 1) for i in range(len(rows))]
    return [_LEFT + 6.0 + share * (_WIDE - _LEFT - 16.0) for share in shares]


def _number(typed: str) -> float:
    try:
        return float(typed)
    except ValueError:
        return float("nan")


def _height(value: float, most: float) -> float:
    return _HIGH - _BOTTOM - value / most * (_HIGH - _BOTTOM - _TOP)


def _axes(drawing: Drawing, study: Study, most: float) -> None:
    floor, right = _HIGH - _BOTTOM, _WIDE - 4.0
    drawing.line("hair", (_LEFT, _TOP), (_LEFT, floor), (right, floor))
    limit = _height(1.0, most)
    drawing.line("dashed", (_LEFT, limit), (right, limit))
    drawing.text((_LEFT - 1.5, limit + 0.8), "limit 1.0", 2.1, "end", colour=QUIET)
    drawing.text((_LEFT - 1.5, floor + 0.8), "0", 2.1, "end", colour=QUIET)
    drawing.text((right, _HIGH - 2.5), study.variables[0], _SIZE, "end")
    drawing.text((_LEFT, _TOP - 2.0), "governing ratio", _SIZE)


def _grid(study: Study) -> str:
    across = list(dict.fromkeys(row.values[1] for row in study.rows))
    down = list(dict.fromkeys(row.values[0] for row in study.rows))
    left, top = 34.0, 14.0
    width = max(left + _CELL_WIDE * len(across) + 4.0, 80.0)
    drawing = Drawing(width, top + _CELL_HIGH * len(down) + 4.0, f"{study.study}: ratio over both variables")
    drawing.text((left, 4.0), study.variables[1], _SIZE)
    drawing.text((1.0, top - 2.0), study.variables[0], _SIZE)
    for i, value in enumerate(across):
        drawing.text((left + _CELL_WIDE * (i + 0.5), top - 2.0), value, _SIZE, "middle")
    for j, value in enumerate(down):
        drawing.text((left - 2.0, top + _CELL_HIGH * (j + 0.62)), value, _SIZE, "end")
    for row in study.rows:
        corner = (left + _CELL_WIDE * across.index(row.values[1]), top + _CELL_HIGH * down.index(row.values[0]))
        _cell(drawing, corner, row.ratio)
    return drawing.svg()


def _cell(drawing: Drawing, corner: tuple[float, float], value: float) -> None:
    x, y = corner
    right, below = x + _CELL_WIDE, y + _CELL_HIGH
    drawing.line(_pen(value), (x, y), (right, y), (right, below), (x, below), closed=True)
    words = ratio(value) if isfinite(value) else "none"
    over = isfinite(value) and value > 1.0
    drawing.text(
        (x + _CELL_WIDE / 2, y + _CELL_HIGH * 0.62), words, _SIZE, "middle", "600" if over else "400",
        "#ffffff" if over else "#1c1f22",
    )  # fmt: skip


def _pen(value: float) -> str:
    if not isfinite(value):
        return "white"
    return next((pen for limit, pen in _SHADES if value <= limit), "shade-over")
