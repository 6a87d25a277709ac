"""Spans between supports and unguided lengths of a line: screening by stress, sag, frequency and buckling."""

from collections.abc import Iterator

from pipecalc.model import Line
from pipecalc.report import format as fmt
from pipecalc.report.format import NONE, Display
from pipecalc.report.parts import Sheets, Table, numeric, status, text, triple, without_empty
from pipecalc.results import Check

SPAN_CHECK, GUIDE_CHECK, STANDING_CHECK = "span", "guide spacing", "vertical run"
LENGTH_CHECKS = (SPAN_CHECK, GUIDE_CHECK, STANDING_CHECK)


def tables(sheets: Sheets, line: Line) -> Iterator[Table | None]:
    """Spans, then unguided lengths; none where there are no such checks."""
    own = [c for c in sheets.results.checks if c.line == line.name]
    yield _spans(sheets, [c for c in own if c.check == SPAN_CHECK])
    yield _guides(sheets, [c for c in own if c.check in (GUIDE_CHECK, STANDING_CHECK)])


def _spans(sheets: Sheets, found: list[Check]) -> Table | None:
    length = sheets.display.unit("length")
    columns = [
        text("Span", 14),
        triple("Length / by stress / sag / frequency / published", 46, length),
        text("Governs, remark", 46),
        numeric("Ratio", 8),
        status(),
    ]
    rows = [_span(c, sheets.display) for c in found]
    return sheets.table("Spans against what is allowed; screening", *without_empty(columns, rows))


def _span(c: Check, display: Display) -> list[str]:
    gas = "gas" in str(c.inputs.get("published for", ""))
    published = _length(c, "published span, gas" if gas else "published span, water", display)
    limits = [_length(c, f"span by {name}", display) for name in ("stress", "sag", "frequency")]
    return [
        c.point,
        fmt.beside((display.number("length", c.demand), *limits, published), 8),
        display.words(c.reason),
        fmt.ratio(c.ratio),
        c.status.value,
    ]


def _length(c: Check, name: str, display: Display) -> str:
    value = c.inputs.get(name)
    return display.number("length", value) if isinstance(value, float) else NONE


def _guides(sheets: Sheets, found: list[Check]) -> Table | None:
    display = sheets.display
    columns = [
        text("Check, stretch", 36),
        triple("Length / allowed", 20, display.unit("length")),
        text("Governs, remark", 56),
        numeric("Ratio", 8),
        status(),
    ]
    rows = [_guide(c, display) for c in found]
    return sheets.table("Unguided lengths against what is allowed; screening", *without_empty(columns, rows))


def _guide(c: Check, display: Display) -> list[str]:
    both = [display.number("length", v) for v in (c.demand, c.limit)]
    return [f"{c.check}, {c.point}", fmt.beside(both, 8), display.words(c.reason), fmt.ratio(c.ratio), c.status.value]
