"""API 610 / ISO 13709: loads on the nozzles of centrifugal pumps with a horizontal shaft, Table 5.

A pump whose nozzles keep to the table needs no further proof; one that does not may still be accepted by the annex,
which is a set of its own.
"""

from pipecalc.checks.nozzles.geometry import Axes, is_along, is_square, shaft_axes
from pipecalc.checks.nozzles.interface import (
    Connection,
    Item,
    Limits,
    NozzleFinding,
    NozzleStandard,
    each_component_verdict,
    no_limits,
)
from pipecalc.checks.nozzles.table_rows import size_limits
from pipecalc.tables import load

SMALLEST_ROW = 2.0  # "NPS 2 and smaller"
_TABLE = "nozzle_api_610"


def axes(connection: Connection, item: Item) -> Axes:
    """X shaft, Y horizontal across it, Z Up.

    Source: API 610 / ISO 13709 since the 8th ed. (axes of ISO 1503); other axes before.
    """
    return shaft_axes(item.axis, item.name, "Z")


def orientation(connection: Connection, item: Item) -> tuple[str, str]:
    """How the nozzle points: ``"top"``, ``"side"`` or ``"end"``; else empty with a reason."""
    found, outward = axes(connection, item), connection.axes[0]
    if found.reason:
        return "", found.reason
    if is_along(outward, found.Z):
        return ("top", "") if outward[2] > 0 else ("", "the table has no row for a nozzle that points down")
    if is_along(outward, found.X):
        return "end", ""
    if is_along(outward, found.Y) and is_square(outward, found.X):
        return "side", ""
    return "", "the nozzle points along no axis of the pump; the table has top, side and end nozzles"


def limits(connection: Connection, item: Item) -> Limits:
    """Row of Table 5 for the nozzle's size and orientation.

    Returns:
        Six limits and the two resultants. None beyond NPS 16 (by agreement), between sizes, or without a shaft.

    Source: API 610 / ISO 13709 Table 5; the row NPS 2 holds for smaller nozzles too.
    """
    how, reason = orientation(connection, item)
    if reason:
        return no_limits(reason)
    nps = SMALLEST_ROW if 0 < connection.nps <= SMALLEST_ROW else connection.nps
    return size_limits(load(_TABLE).where("orientation", how), nps, f"{how} nozzle")


def verdict(connection: Connection, item: Item) -> NozzleFinding:
    """Every component against Table 5."""
    return each_component_verdict(connection, item, STANDARD)


STANDARD = NozzleStandard(
    title="API 610",
    source="API 610 8th to 12th ed. / ISO 13709, Table 5",
    kinds=("fixed",),
    confidence="confirmed",
    axes_in_words="X along the shaft, Y horizontal across it, Z up",
    axis_needed="shaft",
    axes=axes,
    limits=limits,
    verdict=verdict,
    notes=(
        "Table 5 is for pumps with a horizontal shaft, steel or alloy casing and the standard's baseplate.",
        "Sizes above NPS 16 are by agreement; sizes between the rows are not interpolated.",
        'Loads above the table may be acceptable by the annex: choose the set "API 610 annex F".',
    ),
)
