"""API 661 / ISO 13706: loads on the nozzles of air-cooled heat exchangers, with the sums of a header and a bay.

Values and axes are from memory: verify against the edition of record and the vendor's drawing.
"""

from collections.abc import Sequence

from pipecalc.checks.nozzles.geometry import Axes, cross, is_along, is_square, no_axes, norm, plus, square_to, unit
from pipecalc.checks.nozzles.interface import (
    Connection,
    Item,
    Limits,
    NozzleFinding,
    NozzleStandard,
    common_factor,
    component_parts,
    components,
    each_component_verdict,
    highest,
    loads_of,
    not_rated,
)
from pipecalc.checks.nozzles.table_rows import row_limits, size_limits
from pipecalc.tables import load

_TABLE = "nozzle_api_661"


def axes(connection: Connection, item: Item) -> Axes:
    """Y along the nozzle, X along the header, Z along the tubes.

    Source: API 661 / ISO 13706, figure of nozzle loads, reading from memory.
    """
    if item.axis is None or not norm(item.axis) > 0:
        return no_axes(f"the direction of the header of {item.name} is not given")
    Y, header = connection.axes[0], unit(item.axis)
    if not is_square(Y, header):
        return no_axes(f"nozzle {connection.name} is not square to the header of {item.name}")
    X = square_to(header, Y)
    return Axes(X, Y, cross(X, Y))


def limits(connection: Connection, item: Item) -> Limits:
    """Row of the table for the nozzle's size, NPS 1 1/2 to 14; never between sizes."""
    return size_limits(load(_TABLE).where("scope", "nozzle"), connection.nps, "nozzle")


def verdict(connection: Connection, item: Item) -> NozzleFinding:
    """Every component against the table."""
    return each_component_verdict(connection, item, STANDARD)


def equipment_verdict(connections: Sequence[Connection], item: Item) -> tuple[NozzleFinding, ...]:
    """Sum of every component over the nozzles of each header, and over the bay where there are several headers.

    Components are added with their signs and not moved: the standard adds up what acts on the nozzles. Nozzles
    without a header's name are one header together.

    Source: API 661 / ISO 13706 7.1.10.2 and 7.1.10.3, from memory.
    """
    reason = _unsummable(connections, item)
    if reason:
        return (NozzleFinding("header", not_rated(), STANDARD.source, reason),)
    headers = sorted({c.group for c in connections})
    found = [
        _sum([c for c in connections if c.group == header], item, "header", f"header {header or item.name}")
        for header in headers
    ]
    bay = [_sum(connections, item, "bay", f"bay {item.name}")] if len(headers) > 1 else []
    return tuple(found + bay)


def _sum(connections: Sequence[Connection], item: Item, scope: str, name: str) -> NozzleFinding:
    row = load(_TABLE).where("scope", scope).rows[0]
    factor, remark = common_factor(connections)
    force, moment = (0.0, 0.0, 0.0), (0.0, 0.0, 0.0)
    for connection in connections:
        own_force, own_moment = loads_of(connection)
        force, moment = plus(force, own_force), plus(moment, own_moment)
    total = components(force, moment, axes(connections[0], item))
    parts = component_parts(total, row_limits(row, scope).components, factor)
    allowed = {f"allowable {part}": limit for part, (_, limit, _) in parts.items()}
    inputs = {**total, **allowed}
    return NozzleFinding(f"{name}: sum of components", highest(parts), row["source"], remark, inputs)


def _unsummable(connections: Sequence[Connection], item: Item) -> str:
    if not connections:
        return f"{item.name} has no nozzles"
    blind = next((a.reason for a in (axes(c, item) for c in connections) if a.reason), "")
    if blind:
        return blind
    first = connections[0].axes[0]
    if not all(is_along(c.axes[0], first) for c in connections):
        return f"the nozzles of {item.name} point in different directions: their components have no common axes"
    named = [c for c in connections if c.group]
    return "a header is named for some nozzles only" if 0 < len(named) < len(connections) else ""


STANDARD = NozzleStandard(
    title="API 661",
    source="API 661 6th and 7th ed. / ISO 13706, 7.1.10, from memory",
    kinds=("fixed",),
    confidence="memory",
    axes_in_words="Y along the nozzle, X along the header, Z along the tubes",
    axis_needed="length of the header",
    axes=axes,
    limits=limits,
    verdict=verdict,
    equipment_verdict=equipment_verdict,
    notes=(
        "Values and axes are from memory: verify against the edition of record and the vendor's drawing.",
        "Purchasers often agree on two or three times these values (common practice): use the factor on allowables.",
    ),
)
