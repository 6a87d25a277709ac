"""The rule shared by NEMA SM 23 and API 617: a reduced size times a constant limits force and moment together."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import nan, sqrt

from pipecalc.checks.nozzles.geometry import Axes, norm, shaft_axes
from pipecalc.checks.nozzles.interface import (
    COMPONENTS,
    Connection,
    Item,
    Limits,
    NozzleFinding,
    common_factor,
    component_parts,
    components,
    highest,
    loads_of,
    not_rated,
    resultant_at,
)
from pipecalc.checks.nozzles.rules import Rated

INCH = 0.0254  # m


@dataclass(frozen=True, slots=True)
class SumRule:
    """a*F + b*M <= c*D: one check of force and moment resultants against a size.

    Attributes:
        a: Factor of the force.
        b: Factor of the moment.
        c: Limit per size [unit/m].
        unit: Unit of both sides.
        full_size: Up to this size [m] the size counts in full.
    """

    a: float
    b: float
    c: float
    unit: str
    full_size: float


@dataclass(frozen=True, slots=True)
class MachineRule:
    """The checks of one standard.

    Attributes:
        source: Document with edition.
        single: Each connection.
        combined: All connections at the reference connection.
        per_size: Limit of each component of the combined load, per size [N/m, N·m/m].
    """

    source: str
    single: SumRule
    combined: SumRule
    per_size: Mapping[str, float]


def reduced_size(D: float, D_full: float) -> float:
    """Size that a connection counts with: its own up to a full size, less than its own beyond.

    Formula:
        D_e = min(D, (2*D_full + D)/3)

    Args:
        D: Nominal size, or equivalent size of several openings [m].
        D_full: Up to this size it counts in full [m].

    Returns:
        Reduced size [m]; NaN unless the size is above zero.

    Source: NEMA SM 23-1991 (R2002), part 8; API 617 annex. The printed forms (16 + D)/3 beyond 8 in and (18 + D)/3
    beyond 9 in are this one.
    """
    return min(D, (2 * D_full + D) / 3) if D > 0 else nan


def equivalent_size(sizes: Sequence[float]) -> float:
    """Diameter of one circle with the area of all openings.

    D_eq is the square root of the sum of the squared sizes.

    Args:
        sizes: Nominal sizes [m].

    Returns:
        Equivalent size [m].
    """
    return sqrt(sum(D * D for D in sizes))


def nominal_size(connection: Connection) -> float:
    """Nominal size of a connection [m]: its NPS in inches."""
    return connection.nps * INCH


def axes(connection: Connection, item: Item) -> Axes:
    """X horizontal along the shaft, Y up, Z horizontal across the shaft."""
    return shaft_axes(item.axis, item.name, "Y")


def alone_limits(connection: Connection, rule: MachineRule) -> Limits:
    """What force and moment of one connection could each be without the other.

    Args:
        connection: The connection.
        rule: The standard's rule.

    Returns:
        Resultants only [N, N·m]: force and moment act together, there is no limit by component for one connection.
    """
    alone = rule.single.c * reduced_size(nominal_size(connection), rule.single.full_size)
    row = f"NPS {connection.nps:g}"
    return Limits(dict.fromkeys(COMPONENTS, nan), row, alone / rule.single.a, alone / rule.single.b)


def single_verdict(connection: Connection, rule: MachineRule) -> NozzleFinding:
    """Resultants of one connection against its reduced size."""
    force, moment = loads_of(connection)
    size = reduced_size(nominal_size(connection), rule.single.full_size)
    rated = _together(norm(force), norm(moment), size, rule.single, connection.factor)
    return NozzleFinding(connection.name, rated, f"{rule.source}, each connection, NPS {connection.nps:g}")


def item_verdict(
    connections: Sequence[Connection],
    item: Item,
    rule: MachineRule,
    references: Callable[[Sequence[Connection], Item], tuple[Sequence[Connection], str]],
) -> tuple[NozzleFinding, ...]:
    """All connections moved to a reference connection: resultants together, and each component.

    Where several connections could be the reference, the worst of them counts.
    """
    if len(connections) < 2:
        reason = f"{item.name} has {len(connections)} nozzle; the sum needs all connections of the machine"
        return (NozzleFinding("all connections", not_rated(), rule.source, reason),)
    candidates, remark = references(connections, item)
    factor, raised = common_factor(connections)
    size = reduced_size(equivalent_size([nominal_size(c) for c in connections]), rule.combined.full_size)
    found = [_at(c, connections, item, rule, size, factor) for c in candidates]
    reason = "; ".join(part for part in (remark, raised) if part)
    blind = axes(connections[0], item).reason
    return (
        NozzleFinding(
            "all connections: resultants",
            _worst([together for together, _ in found]),
            f"{rule.source}, combined",
            reason,
        ),
        NozzleFinding(
            "all connections: components",
            _worst([each for _, each in found]),
            f"{rule.source}, components of the combined load",
            blind or reason,
        ),
    )


def _at(
    reference: Connection,
    connections: Sequence[Connection],
    item: Item,
    rule: MachineRule,
    size: float,
    factor: float,
) -> tuple[Rated, Rated]:
    force, moment = resultant_at(connections, reference.at)
    limits = {name: value * size for name, value in rule.per_size.items()}
    found = components(force, moment, axes(reference, item))
    together = _together(norm(force), norm(moment), size, rule.combined, factor)
    return together, highest(component_parts(found, limits, factor))


def _together(force: float, moment: float, size: float, rule: SumRule, factor: float) -> Rated:
    part = (rule.a * force + rule.b * moment, rule.c * size * factor, rule.unit)
    return highest({"force and moment together": part})


def _worst(found: Sequence[Rated]) -> Rated:
    blind = next((rated for rated in found if not rated.ratios), None)
    return blind or max(found, key=lambda rated: rated.ratio)


def largest(connections: Sequence[Connection]) -> tuple[Connection, ...]:
    """The connection of the largest size; several where sizes are equal."""
    top = max(c.nps for c in connections)
    return tuple(c for c in connections if c.nps == top)
