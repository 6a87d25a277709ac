"""The rule shared by NEMA SM 23 and API 617: a reduced size times a constant limits force and moment together."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import nan, sqrt

from pipecalc.calc import machine_load as formula
from pipecalc.checks.nozzles.geometry import Axes, shaft_axes
from pipecalc.checks.nozzles.interface import (
    COMPONENTS,
    FORCES,
    Connection,
    Item,
    Limits,
    NozzleFinding,
    by_direction,
    common_factor,
    component_parts,
    components,
    highest,
    loads_of,
    not_rated,
    resultant_at,
)
from pipecalc.checks.nozzles.rules import Rated
from pipecalc.model import Vector

INCH = 0.0254  # m


@dataclass(frozen=True, slots=True)
class SumRule:
    """Force and moment resultants together against a size: a*F + M as a moment, or F + b*M as a force.

    Attributes:
        c: Limit per size [unit/m].
        full_size: Up to this size [m] the size counts in full.
        a: Lever of the force [m], where the sum is a moment; 0 where it is a force.
        b: Force per moment [1/m], where the sum is a force; 0 where it is a moment.
    """

    c: float
    full_size: float
    a: float = 0.0
    b: float = 0.0

    @property
    def unit(self) -> str:
        """Unit of both sides."""
        return "N*m" if self.a else "N"

    @property
    def alone(self) -> tuple[float, float]:
        """Limit per size of a force alone [N/m] and of a moment alone [N·m/m]."""
        return (self.c / self.a, self.c) if self.a else (self.c, self.c / self.b)

    @property
    def symbols(self) -> dict[str, float]:
        """Its constants by the symbols of ``calc/machine_load.py``."""
        return {"c": self.c, "D_full": self.full_size, **({"a": self.a} if self.a else {"b": self.b})}


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


def equivalent_size(sizes: Sequence[float]) -> float:
    """Diameter of one circle with the area of all openings.

    D_eq is the square root of the sum of the squared sizes.

    Args:
        sizes: Nominal sizes [m].

    Returns:
        Equivalent size [m].

    Source: NEMA SM 23-1991 (R2002), part 8; API 617, annex on nozzle loads.
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
    size = formula.reduced_size(nominal_size(connection), rule.single.full_size)
    force, moment = (value * size for value in rule.single.alone)
    return Limits(dict.fromkeys(COMPONENTS, nan), f"NPS {connection.nps:g}", force, moment)


def single_verdict(connection: Connection, rule: MachineRule) -> NozzleFinding:
    """Resultants of one connection against its reduced size."""
    rated, inputs = _together(*loads_of(connection), nominal_size(connection), rule.single, connection.factor)
    return NozzleFinding(
        connection.name, rated, f"{rule.source}, each connection, NPS {connection.nps:g}", inputs=inputs
    )


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
    size = equivalent_size([nominal_size(c) for c in connections])
    at = [(c, resultant_at(connections, c.at)) for c in candidates]
    reason = "; ".join(part for part in (remark, raised) if part)
    both = [_together(*load, size, rule.combined, factor) for _, load in at]
    each = [_components(axes(c, item), *load, size, rule, factor) for c, load in at]
    blind = axes(connections[0], item).reason
    return (
        _worst("all connections: resultants", both, f"{rule.source}, combined", reason),
        _worst("all connections: components", each, f"{rule.source}, components of the combined load", blind or reason),
    )


Judged = tuple[Rated, Mapping[str, float]]


def _components(own: Axes, force: Vector, moment: Vector, size: float, rule: MachineRule, factor: float) -> Judged:
    """Each component of the combined load against its own limit, with the numbers of the one that governs."""
    D_full = rule.combined.full_size
    D_e = formula.reduced_size(size, D_full)
    found = components(force, moment, own)
    limits = {
        name: (formula.force_by_size if name in FORCES else formula.moment_by_size)(1.0, value, D_e)
        for name, value in rule.per_size.items()
    }
    rated = highest(component_parts(found, limits, factor))
    constants = {"D": size, "D_full": D_full, "D_e": D_e, "n": factor}
    governing = {"c": rule.per_size[rated.governs]} if rated.governs else {}
    return rated, {**found, **constants, **governing}


def _together(force: Vector, moment: Vector, size: float, rule: SumRule, factor: float) -> Judged:
    """Force and moment together against the size, with the numbers used."""
    D_e = formula.reduced_size(size, rule.full_size)
    inputs = by_direction(force, moment)
    F = formula.total_force(*(inputs[name] for name in ("FE", "FN", "FU")))
    M = formula.total_moment(*(inputs[name] for name in ("ME", "MN", "MU")))
    if rule.a:
        demand, limit = formula.moment_with_force(F, M, rule.a), formula.moment_by_size(factor, rule.c, D_e)
    else:
        demand, limit = formula.force_with_moment(F, M, rule.b), formula.force_by_size(factor, rule.c, D_e)
    numbers = {**inputs, "F": F, "M": M, **rule.symbols, "D": size, "D_e": D_e, "n": factor, "W": demand, "W_a": limit}
    return highest({"force and moment together": (demand, limit, rule.unit)}), numbers


def _worst(name: str, found: Sequence[Judged], clause: str, reason: str) -> NozzleFinding:
    """The worst of several references; one that cannot be rated goes before."""
    blind = next((one for one in found if not one[0].ratios), None)
    rated, inputs = blind or max(found, key=lambda one: one[0].ratio)
    return NozzleFinding(name, rated, clause, reason, inputs)


def largest(connections: Sequence[Connection]) -> tuple[Connection, ...]:
    """The connection of the largest size; several where sizes are equal."""
    top = max(c.nps for c in connections)
    return tuple(c for c in connections if c.nps == top)
