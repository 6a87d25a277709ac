"""Pictures of studies: a line of ratios over one variable, or a shaded grid over two; readable in black and white."""

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby, pairwise
from math import isfinite

from pipecalc.report.format import ratio
from pipecalc.report.labels import Board, Box, Wanted, text_size, wrapped
from pipecalc.report.svg import INK, QUIET, Drawing
from pipecalc.results import Study, StudyRow

_WIDE = 150.0
_LEFT, _RIGHT, _TOP = 16.0, 10.0, 6.0
_FLOOR = 50.0  # the axis of the variable, from the top [mm]
_SIZE = 2.3
_LINE = 2.6  # from one line of words to the next [mm]
_PAGE = 174.0
_VALUE_WIDE = 24.0  # widest words below the axis [mm]
_HEADS = 34.0  # widest name of a row of a grid [mm]
_CELL_WIDE, _CELL_NARROW, _CELL_HIGH = 20.0, 13.0, 8.0
#: Pens of the shades: darker is higher, and over the limit is darkest; the number stands in every cell.
_SHADES = ((0.5, "shade-1"), (0.8, "shade-2"), (1.0, "shade-3"))


def study_picture(study: Study) -> str:
    """A line chart of a study of one variable, a shaded grid of one of two."""
    return _grid(study) if len(study.variables) == 2 else _curve(study)


def _curve(study: Study) -> str:
    rows, places = study.rows, _places(study.rows)
    most = 1.15 * max([1.0, *(row.ratio for row in rows if isfinite(row.ratio))])
    values, every = _values(rows, places)
    lines = max(v.count("\n") for v in values)
    drawing = Drawing(_WIDE, _FLOOR + 4.0 + _LINE * (lines + 1), f"{study.study}: ratio over {study.variables[0]}")
    for i, (x, words) in enumerate(zip(places, values, strict=True)):
        if i % every == 0:
            for n, part in enumerate(words.split("\n")):
                drawing.text((x, _FLOOR + 4.0 + _LINE * n), part, _SIZE, "middle")
    board = Board(Box(0.3, 0.3, _WIDE - 0.3, _FLOOR - 0.3))
    _axes(drawing, most)
    for known, group in groupby(zip(places, rows, strict=True), key=lambda pair: isfinite(pair[1].ratio)):
        marks = [(x, _height(row.ratio, most)) for x, row in group] if known else []
        if len(marks) > 1:
            drawing.line("pipe", *marks)
        for mark in marks:
            drawing.circle("solid", mark, 0.8)
    board.draw_all(drawing)
    left_out = list(_ratios(drawing, board, rows, places, most))
    rest = ". What has no room here stands in the table." if every > 1 or left_out else ""
    words = wrapped(f"Across: {study.variables[0]}{rest}", _SIZE, most=_WIDE - _LEFT - 1.0)
    drawing.height = _lines(drawing, (_LEFT, drawing.height + 1.5), words)
    return drawing.svg()


def _values(rows: Sequence[StudyRow], places: Sequence[float]) -> tuple[list[str], int]:
    """The values in words as wide as their distance allows, and of how many one is written."""
    apart = min((b - a for a, b in pairwise(places)), default=_VALUE_WIDE)
    words = [wrapped(row.values[0], _SIZE, most=min(max(apart - 1.5, 12.0), _VALUE_WIDE)) for row in rows]
    widest = max(text_size(w, _SIZE)[0] for w in words)
    every = next((n for n in range(1, len(rows) + 1) if n * apart > widest + 1.0), len(rows))
    return words, every


def _ratios(
    drawing: Drawing, board: Board, rows: Sequence[StudyRow], places: Sequence[float], most: float
) -> Iterator[str]:
    """Write the ratio at every point; yields those without room."""
    for x, row in zip(places, rows, strict=True):
        at = (x, _height(row.ratio, most)) if isfinite(row.ratio) else (x, _FLOOR)
        words = ratio(row.ratio) if isfinite(row.ratio) else "none"
        placed = board.place(Wanted(words, at, _SIZE, clear=1.3, reach=9.0))
        if placed is None:
            yield words
        else:
            placed.write(drawing)


def _places(rows: Sequence[StudyRow]) -> list[float]:
    """Where the values stand: by their size where all are plain numbers in order, else evenly."""
    numbers = [_number(row.values[0]) for row in rows]
    if all(isfinite(n) for n in numbers) and len(rows) > 1 and sorted(set(numbers)) == numbers:
        shares = [(n - numbers[0]) / (numbers[-1] - numbers[0]) for n in numbers]
    else:
        shares = [i / max(len(rows) - 1, 1) for i in range(len(rows))]
    return [_LEFT + 8.0 + share * (_WIDE - _LEFT - _RIGHT - 12.0) for share in shares]


def _number(typed: str) -> float:
    try:
        return float(typed)
    except ValueError:
        return float("nan")


def _height(value: float, most: float) -> float:
    return _FLOOR - value / most * (_FLOOR - _TOP)


def _axes(drawing: Drawing, most: float) -> None:
    right = _WIDE - 4.0
    drawing.line("hair", (_LEFT, _TOP), (_LEFT, _FLOOR), (right, _FLOOR))
    limit = _height(1.0, most)
    drawing.line("dashed", (_LEFT, limit), (right, limit))
    drawing.text((_LEFT - 1.5, limit + 0.8), "limit 1.0", 2.1, "end", colour=QUIET)
    drawing.text((_LEFT - 1.5, _FLOOR + 0.8), "0", 2.1, "end", colour=QUIET)
    drawing.text((_LEFT, _TOP - 2.0), "governing ratio", _SIZE)


def _grid(study: Study) -> str:
    """A cell for every combination; what is wider than the page goes on below."""
    across = list(dict.fromkeys(row.values[1] for row in study.rows))
    down = list(dict.fromkeys(row.values[0] for row in study.rows))
    names = {value: wrapped(value, _SIZE, most=_HEADS) for value in down}
    left = max(text_size(name, _SIZE)[0] for name in names.values()) + 4.0
    room = int((_PAGE - left - 2.0) / _CELL_NARROW)
    wide = min((_PAGE - left - 2.0) / min(room, len(across)), _CELL_WIDE)
    drawing = Drawing(_PAGE, 0.0, f"{study.study}: ratio over both variables")
    y = 3.5
    for way, variable in zip(("down", "across"), study.variables, strict=True):
        y = _lines(drawing, (1.0, y), wrapped(f"{way}: {variable}", _SIZE, most=_PAGE - 4.0))
    found = {row.values: row.ratio for row in study.rows}
    for block in (across[i : i + room] for i in range(0, len(across), room)):
        y = _block(drawing, (left, y + 1.0), wide, block, names, found)
    drawing.height = y + 1.0
    return drawing.svg()


def _lines(drawing: Drawing, at: tuple[float, float], words: str, anchor: str = "start") -> float:
    """Write words of several lines; returns where the next line would stand."""
    x, y = at
    for part in words.split("\n"):
        drawing.text((x, y), part, _SIZE, anchor)
        y += _LINE
    return y


def _block(
    drawing: Drawing,
    corner: tuple[float, float],
    wide: float,
    across: Sequence[str],
    names: Mapping[str, str],
    ratios: Mapping[tuple[str, ...], float],
) -> float:
    """Heads and rows of cells from a corner down; returns where the next block begins."""
    left, y = corner
    heads = [wrapped(value, _SIZE, most=wide - 1.0) for value in across]
    tallest = max(head.count("\n") for head in heads)
    for i, head in enumerate(heads):
        _lines(drawing, (left + wide * (i + 0.5), y + 2.0 + _LINE * (tallest - head.count("\n"))), head, "middle")
    y += _LINE * (tallest + 1) + 0.6
    for value, name in names.items():
        high = max(_CELL_HIGH, 3.0 + _LINE * (name.count("\n") + 1))
        _lines(drawing, (left - 2.0, y + high / 2 + 0.8 - _LINE / 2 * name.count("\n")), name, "end")
        for i, other in enumerate(across):
            if (value, other) in ratios:
                _cell(drawing, Box(left + wide * i, y, left + wide * (i + 1), y + high), ratios[value, other])
        y += high
    return y + 1.5


def _cell(drawing: Drawing, box: Box, value: float) -> None:
    corners = ((box.left, box.top), (box.right, box.top), (box.right, box.bottom), (box.left, box.bottom))
    drawing.line(_pen(value), *corners, closed=True)
    over = isfinite(value) and value > 1.0
    words = ratio(value) if isfinite(value) else "none"
    at = ((box.left + box.right) / 2, (box.top + box.bottom) / 2 + 0.8)
    drawing.text(at, words, _SIZE, "middle", "600" if over else "400", "#ffffff" if over else INK)


def _pen(value: float) -> str:
    if not isfinite(value):
        return "white"
    return next((pen for limit, pen in _SHADES if value <= limit), "shade-over")
