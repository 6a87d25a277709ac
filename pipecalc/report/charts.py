"""Bar pictures of ratios: a bar per item against the line at 1.0, readable in black and white."""

from collections.abc import Sequence
from math import isfinite

from pipecalc.report.format import ratio
from pipecalc.report.svg import QUIET, Drawing
from pipecalc.report.type_width import text_width

WIDE = 174.0
_ROW = 5.0
_SIZE = 2.4
_RIGHT = 24.0
_SHOWN_AT_MOST = 2.5  # longer bars are cut and say so


def ratio_bars(rows: Sequence[tuple[str, float, str]], title: str, wide: float = WIDE) -> str:
    """Bars of (name, ratio, status) from the top, with the limit of 1.0 marked, on a drawing of a width [mm].

    What is no number is written in words without a bar. A bar over the limit is dark; its number says the rest.
    """
    left = 6.0 + max((text_width(name, _SIZE) for name, _r, _s in rows), default=0.0)
    left = min(left, 0.5 * wide)
    drawing = Drawing(wide, _ROW * len(rows) + 8.0, title)
    finite = [r for _n, r, _s in rows if isfinite(r)]
    most = min(max([1.15, *finite]), _SHOWN_AT_MOST)
    scale = (wide - left - _RIGHT) / most
    for i, (name, value, status) in enumerate(rows):
        y = 4.0 + _ROW * i
        drawing.text((left - 2.0, y + 3.1), name, _SIZE, "end")
        _bar(drawing, (left, y), scale * min(value, most) if isfinite(value) else 0.0, value)
        words = f"{ratio(value)} {status}".strip() if isfinite(value) else status
        end = left + (scale * min(value, most) if isfinite(value) else 0.0)
        drawing.text((max(end, left + scale * 1.0 if value > 0.85 else end) + 1.5, y + 3.1), words, _SIZE)
    _limit(drawing, left, left + scale, len(rows))
    return drawing.svg()


def _bar(drawing: Drawing, at: tuple[float, float], length: float, value: float) -> None:
    x, y = at
    if length <= 0:
        return
    pen = "bar-over" if value > 1.0 else "bar"
    drawing.line(pen, (x, y + 0.9), (x + length, y + 0.9), (x + length, y + 3.9), (x, y + 3.9), closed=True)
    if value > _SHOWN_AT_MOST:
        drawing.line("gap", (x + length - 4, y + 4.2), (x + length - 3, y + 0.6), (x + length - 2, y + 0.6),
                     (x + length - 3, y + 4.2), closed=True)  # fmt: skip


def _limit(drawing: Drawing, zero: float, one: float, rows: int) -> None:
    bottom = 4.0 + _ROW * rows
    drawing.line("hair", (zero, 3.6), (zero, bottom))
    drawing.line("symbol", (one, 3.6), (one, bottom))
    drawing.text((one, 2.8), "limit 1.0", 2.1, "middle", colour=QUIET)
