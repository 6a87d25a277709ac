"""Bar pictures of ratios: a bar per item against the line at 1.0, readable in black and white."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite

from pipecalc.report.format import ratio
from pipecalc.report.labels import text_size, wrapped
from pipecalc.report.svg import QUIET, Drawing
from pipecalc.report.type_width import text_width
from pipecalc.results import Status

WIDE = 174.0
_ROW = 5.0
_LINE = 2.6  # height of each further line of a name [mm]
_SIZE = 2.4
_TOP = 4.0
_NAMES_AT_MOST = 0.4  # share of the width
_SHOWN_AT_MOST = 2.5  # longer bars are cut and say so


@dataclass(frozen=True, slots=True)
class _Scale:
    """Where a ratio of 0 and one of 1.0 stand [mm], and the longest bar shown."""

    zero: float
    one: float
    most: float

    def end(self, value: float) -> float:
        """End of the bar of a ratio."""
        share = min(value, self.most) if isfinite(value) else 0.0
        return self.zero + (self.one - self.zero) * share


def ratio_bars(rows: Sequence[tuple[str, float, str]], title: str, wide: float = WIDE) -> str:
    """Bars of (name, ratio, status) from the top, with the limit of 1.0 marked, on a drawing of a width [mm].

    What is no number is written in words without a bar. A bar over the limit is dark, that of something not checked is
    empty; the words beside it say the rest.
    """
    names = [wrapped(name, _SIZE, most=_NAMES_AT_MOST * wide) for name, _r, _s in rows]
    words = [f"{ratio(value)} {status}".strip() if isfinite(value) else status for _n, value, status in rows]
    left = 6.0 + max((text_size(name, _SIZE)[0] for name in names), default=0.0)
    right = 3.0 + max((text_width(w, _SIZE) for w in words), default=0.0)
    most = min(max([1.15, *(r for _n, r, _s in rows if isfinite(r))]), _SHOWN_AT_MOST)
    scale = _Scale(left, left + (wide - left - right) / most, most)
    tall = [_ROW + _LINE * name.count("\n") for name in names]
    drawing = Drawing(wide, sum(tall) + 8.0, title)
    y = _TOP
    for (_name, value, status), name, said, height in zip(rows, names, words, tall, strict=True):
        for i, part in enumerate(name.split("\n")):
            drawing.text((left - 2.0, y + 3.1 + _LINE * i), part, _SIZE, "end")
        _bar(drawing, scale, y, value, open_=status == Status.NOT_CHECKED)
        drawing.text((_words_at(scale, value, said), y + 3.1), said, _SIZE)
        y += height
    _limit(drawing, scale, y)
    return drawing.svg()


def _words_at(scale: _Scale, value: float, words: str) -> float:
    """Start of the words beside a bar, beyond the limit line where they would cross it."""
    start = scale.end(value) + 1.5
    crosses = start < scale.one + 0.8 and start + text_width(words, _SIZE) > scale.one - 0.8
    return scale.one + 1.5 if crosses else start


def _bar(drawing: Drawing, scale: _Scale, y: float, value: float, *, open_: bool) -> None:
    x, end = scale.zero, scale.end(value)
    if end <= x:
        return
    pen = "bar-open" if open_ else ("bar-over" if value > 1.0 else "bar")
    drawing.line(pen, (x, y + 0.9), (end, y + 0.9), (end, y + 3.9), (x, y + 3.9), closed=True)
    if value > scale.most:
        drawing.line("gap", (end - 4, y + 4.2), (end - 3, y + 0.6), (end - 2, y + 0.6), (end - 3, y + 4.2), closed=True)


def _limit(drawing: Drawing, scale: _Scale, bottom: float) -> None:
    drawing.line("hair", (scale.zero, 3.6), (scale.zero, bottom))
    drawing.line("symbol", (scale.one, 3.6), (scale.one, bottom))
    drawing.text((scale.one, 2.8), "limit 1.0", 2.1, "middle", colour=QUIET)
