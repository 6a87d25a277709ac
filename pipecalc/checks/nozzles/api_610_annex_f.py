"""API 610 / ISO 13709, annex on loads above Table 5: the factor-of-two rule with the sums at the pump's centre.

From memory, verify against the edition of record. The annex is informative: purchaser and vendor agree to it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from pipecalc.calc import machine_load as formula
from pipecalc.checks.nozzles import api_610
from pipecalc.checks.nozzles.interface import (
    Connection,
    Item,
    Limits,
    NozzleFinding,
    NozzleStandard,
    by_direction,
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
TOGETHER = "resultants together"


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
    inputs = by_direction(force, moment)
    F, M = _sizes(inputs)
    F_T, M_T = connection.factor * allowed.force, connection.factor * allowed.moment
    sum_of_two = formula.interaction(F, M, F_T, M_T)
    rated = highest({**parts, TOGETHER: (sum_of_two, INTERACTION, "1")})
    clause = f"{STANDARD.source}; {allowed.row}" if allowed.row else STANDARD.source
    numbers = {**inputs, "F": F, "M": M, "F_T": F_T, "M_T": M_T, "s": sum_of_two}
    return NozzleFinding(connection.name, rated, clause, allowed.reason, numbers)


def _sizes(inputs: Mapping[str, float]) -> tuple[float, float]:
    """Size of the force [N] and of the moment [N·m]."""
    F = formula.total_force(*(inputs[name] for name in ("FE", "FN", "FU")))
    return F, formula.total_moment(*(inputs[name] for name in ("ME", "MN", "MU")))


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
    first, second = (api_610.limits(connection, item) for connection in connections)
    n, remark = common_factor(connections)
    force, moment = resultant_at(connections, centre)
    inputs = by_direction(force, moment)
    F, M = _sizes(inputs)
    MY = components(force, moment, api_610.axes(connections[0], item))["MY"]
    rows = {"F_1": first.force, "F_2": second.force, "M_1": first.moment, "M_2": second.moment}
    axis = {"MY_1": first.components["MY"], "MY_2": second.components["MY"]}
    reason = first.reason or second.reason or remark
    numbers = {**inputs, "F": F, "M": M, "MY": MY, **rows, **axis, "n": n}
    lines = (
        ("resultant force", "F.3", (F, formula.two_forces(n, first.force, second.force), "N")),
        ("moment about Y", "F.4", (abs(MY), formula.two_axis_moments(n, *axis.values()), "N*m")),
        ("resultant moment", "F.5", (M, formula.two_moments(n, first.moment, second.moment), "N*m")),
    )
    return tuple(
        NozzleFinding(
            f"pump centre: {what}", highest({what: part}), f"{STANDARD.source}, eq. ({number})", reason, numbers
        )
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
