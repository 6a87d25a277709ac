"""API 610 / ISO 13709, annex on loads above Table 5: the factor-of-two rule with the sums at the pump's centre.

From memory, verify against the edition of record. The annex is informative: purchaser and vendor agree to it.
"""

from collections.abc import Sequence
from dataclasses import replace
from math import nan

from pipecalc.checks.nozzles import api_610
from pipecalc.checks.nozzles.geometry import norm
from pipecalc.checks.nozzles.interface import (
    Connection,
    Item,
    Limits,
    NozzleFinding,
    NozzleStandard,
    common_factor,
    component_parts,
    components,
    highest,
    loads_of,
    not_rated,
    resultant_at,
)
from pipecalc.model import Vector

SINGLE = 2.0  # times Table 5, each component
INTERACTION = 2.0  # limit of the sum of the two resultant ratios
RESULTANT = 1.5  # times Table 5, resultants
SUM_MY = 2.0  # times the two nozzles' Table 5, moment about the horizontal axis across the shaft


def interaction(F_R: float, M_R: float, F_T: float, M_T: float) -> float:
    """Sum of the two resultant ratios of one nozzle; accepted up to 2.

    Formula:
        s = F_R/(1.5*F_T) + M_R/(1.5*M_T)

    Args:
        F_R: Resultant force [N].
        M_R: Resultant moment [N·m].
        F_T: Resultant force of Table 5 [N].
        M_T: Resultant moment of Table 5 [N·m].

    Returns:
        Sum [-]; NaN without limits.

    Source: API 610 / ISO 13709 annex F, eq. (F.1) and (F.2), from memory.
    """
    return F_R / (RESULTANT * F_T) + M_R / (RESULTANT * M_T) if F_T > 0 and M_T > 0 else nan


def limits(connection: Connection, item: Item) -> Limits:
    """Twice Table 5 for the components; the resultants stay those of the table."""
    table = api_610.limits(connection, item)
    return replace(
        table,
        components={name: SINGLE * value for name, value in table.components.items()},
        row=f"twice Table 5, {table.row}" if table.row else "",
    )


def verdict(connection: Connection, item: Item) -> NozzleFinding:
    """One nozzle: each component within twice Table 5, and the sum of the two resultant ratios within 2."""
    axes, allowed = api_610.axes(connection, item), limits(connection, item)
    force, moment = loads_of(connection)
    parts = component_parts(components(force, moment, axes), allowed.components, connection.factor)
    sum_of_two = interaction(
        norm(force), norm(moment), connection.factor * allowed.force, connection.factor * allowed.moment
    )
    rated = highest({**parts, "resultants together": (sum_of_two, INTERACTION, "1")})
    clause = f"{STANDARD.source}; {allowed.row}" if allowed.row else STANDARD.source
    return NozzleFinding(connection.name, rated, clause, allowed.reason)


def equipment_verdict(connections: Sequence[Connection], item: Item) -> tuple[NozzleFinding, ...]:
    """Suction and discharge together, moved to the pump's centre.

    Returns:
        Resultant force, resultant moment, and moment about the horizontal axis across the shaft.

    Source: API 610 / ISO 13709 annex F, eq. (F.3), (F.4) and (F.5), from memory.
    """
    reason = _unsummable(connections, item)
    if reason or item.centre is None:
        return (NozzleFinding("pump centre", not_rated(), STANDARD.source, reason),)
    return _sums(connections, item, item.centre)


def _sums(connections: Sequence[Connection], item: Item, centre: Vector) -> tuple[NozzleFinding, ...]:
    tables = [api_610.limits(connection, item) for connection in connections]
    factor, remark = common_factor(connections)
    force, moment = resultant_at(connections, centre)
    about_y = abs(components(force, moment, api_610.axes(connections[0], item))["MY"])
    allowed_force = factor * RESULTANT * sum(t.force for t in tables)
    allowed_moment = factor * RESULTANT * sum(t.moment for t in tables)
    allowed_my = factor * SUM_MY * sum(t.components["MY"] for t in tables)
    reason = next((t.reason for t in tables if t.reason), remark)
    lines = (
        ("resultant force", "F.3", (norm(force), allowed_force, "N")),
        ("moment about Y", "F.4", (about_y, allowed_my, "N*m")),
        ("resultant moment", "F.5", (norm(moment), allowed_moment, "N*m")),
    )
    return tuple(
        NozzleFinding(f"pump centre: {what}", highest({what: part}), f"{STANDARD.source}, eq. ({number})", reason)
        for what, number, part in lines
    )


def _unsummable(connections: Sequence[Connection], item: Item) -> str:
    if len(connections) != 2:
        return f"the sums are of one suction and one discharge nozzle; {item.name} has {len(connections)}"
    return "" if item.centre else f"the centre of pump {item.name} is not given"


STANDARD = NozzleStandard(
    title="API 610 annex F",
    source="API 610 / ISO 13709 annex F (informative), from memory",
    kinds=("fixed",),
    confidence="memory",
    axes_in_words=api_610.STANDARD.axes_in_words,
    axis_needed="shaft",
    axes=api_610.axes,
    limits=limits,
    verdict=verdict,
    equipment_verdict=equipment_verdict,
    notes=(
        "The annex is informative: loads above Table 5 need the agreement of purchaser and vendor.",
        "It holds only when every condition is met: both nozzles, and the three sums at the pump's centre.",
        "Its factors are from memory: verify against the edition of record.",
    ),
)
