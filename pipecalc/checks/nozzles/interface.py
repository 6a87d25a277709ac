"""What a nozzle-load standard is, and the list of those in this folder.

A standard is one module that exports ``STANDARD``. Loads are the pipe's action ON the nozzle at the flange face,
East, North, Up. Every value of every standard here holds in either sense, so signs matter only where the loads of
several nozzles are added up.

Reading a load in the standard's axes::

            Up (Z of API 610, Y of NEMA SM 23)
             |
             |   / North
             |  /
             | /
             +-------- East = shaft (X): the other horizontal axis follows by the right-hand rule

A force pushing the nozzle along an axis is positive; a moment is positive when a right-hand screw turned by it would
move along the axis. A force Up at a nozzle to the North of the reference point adds a moment about East:
r x F = North x Up = East.
"""

import pkgutil
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from importlib import import_module
from math import isfinite, nan
from types import MappingProxyType

from pipecalc.checks.nozzles.geometry import Axes, cross, dot, minus, plus
from pipecalc.checks.nozzles.rules import Rated
from pipecalc.model import Nozzle, Vector
from pipecalc.results import NozzleLoad

FORCES = ("FX", "FY", "FZ")
MOMENTS = ("MX", "MY", "MZ")
COMPONENTS = FORCES + MOMENTS

SAME_SIZE = 1e-6


@dataclass(frozen=True, slots=True)
class Limits:
    """Allowables of one nozzle in the standard's axes.

    Attributes:
        components: FX, FY, FZ [N] and MX, MY, MZ [N·m]; NaN where there is none.
        row: Row of the table in words, such as ``"side nozzle, NPS 6"``.
        force: Resultant force [N]; NaN where the standard has none.
        moment: Resultant moment [N·m]; likewise.
        reason: Why there is no value.
    """

    components: Mapping[str, float]
    row: str
    force: float = nan
    moment: float = nan
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Connection:
    """A nozzle and its load in one case.

    Attributes:
        at: Centre of the flange face [m].
        axes: Unit vectors R (outward), L, C.
        force: Pipe's action on the nozzle, East, North, Up [N]; None where no load is known.
        moment: Likewise [N·m].
        factor: Multiplies every allowable of the nozzle.
        group: Header it belongs to, for air coolers; empty where the item is one header.
    """

    name: str
    nps: float
    at: Vector
    axes: tuple[Vector, Vector, Vector]
    force: Vector | None
    moment: Vector | None
    factor: float = 1.0
    group: str = ""

    @property
    def has_load(self) -> bool:
        """Whether all six components are finite numbers."""
        return (
            self.force is not None and self.moment is not None and all(isfinite(v) for v in (*self.force, *self.moment))
        )


@dataclass(frozen=True, slots=True)
class Item:
    """What a standard must know of the equipment.

    Attributes:
        name: Tag.
        kind: As in the Equipment sheet.
        axis: Shaft of a machine, or length of an air cooler's header; either sense. None where not given.
        centre: Pump centre: the shaft's centre line in the middle plane of the pedestals [m]. None where not given.
        exhaust: Nozzle tag of a turbine's exhaust, or empty.
    """

    name: str
    kind: str
    axis: Vector | None = None
    centre: Vector | None = None
    exhaust: str = ""


@dataclass(frozen=True, slots=True)
class NozzleFinding:
    """What a standard found for a nozzle or for an item as a whole.

    Attributes:
        name: Nozzle tag, or the sum in words.
        rated: Demand, limit and ratios; NaN where not checked.
        clause: Standard, table or clause, and row.
        reason: Why it was not checked, and what the reader must know.
        inputs: Numbers used, by the symbols of ``calc/machine_load.py``, SI.
    """

    name: str
    rated: Rated
    clause: str
    reason: str = ""
    inputs: Mapping[str, float] = field(default_factory=dict)


Verdict = Callable[[Connection, Item], NozzleFinding]
ItemVerdict = Callable[[Sequence[Connection], Item], tuple[NozzleFinding, ...]]


@dataclass(frozen=True, slots=True)
class NozzleStandard:
    """One standard.

    Attributes:
        title: As typed in the workbook.
        source: Document with edition.
        kinds: Kinds of equipment that it fits.
        confidence: "confirmed" or "memory".
        axes_in_words: Its axes, for the note.
        axis_needed: What ``Item.axis`` means for it, or empty where it needs none.
        axes: Its axes at a nozzle.
        limits: Allowables of a nozzle without the nozzle's own factor; NaN with a reason outside its table.
        verdict: Single nozzle; see ``judge``.
        equipment_verdict: All nozzles of an item together, or None; see ``judge_item``.
        notes: Sentences for the note.
    """

    title: str
    source: str
    kinds: tuple[str, ...]
    confidence: str
    axes_in_words: str
    axis_needed: str
    axes: Callable[[Connection, Item], Axes]
    limits: Callable[[Connection, Item], Limits]
    verdict: Verdict
    equipment_verdict: ItemVerdict | None = None
    notes: tuple[str, ...] = field(default=())


@cache
def standards() -> Mapping[str, NozzleStandard]:
    """All standards of this folder by title, sorted by module name.

    Raises:
        ValueError: Two modules export the same title.
    """
    found: dict[str, NozzleStandard] = {}
    package = __name__.rpartition(".")[0]
    for module in sorted(m.name for m in pkgutil.iter_modules(import_module(package).__path__)):
        standard = getattr(import_module(f"{package}.{module}"), "STANDARD", None)
        if isinstance(standard, NozzleStandard):
            if standard.title in found:
                raise ValueError(f"two nozzle standards are called {standard.title!r}")
            found[standard.title] = standard
    return MappingProxyType(found)


def connection_of(nozzle: Nozzle, load: NozzleLoad | None, group: str = "") -> Connection:
    """A nozzle of the plant with its load in one case, or without one."""
    force, moment = (load.force, load.moment) if load else (None, None)
    return Connection(nozzle.name, nozzle.nps, nozzle.at, nozzle.axes, force, moment, nozzle.allowable_factor, group)


def judge(standard: NozzleStandard, connection: Connection, item: Item) -> NozzleFinding:
    """One nozzle against a standard; NaN with a reason for an item or load that it cannot judge."""
    reason = _unfit(standard, item)
    if not connection.has_load:
        reason = reason or "no load was found for this nozzle"
    if reason:
        return NozzleFinding(connection.name, not_rated(), standard.source, reason)
    return standard.verdict(connection, item)


def judge_item(
    standard: NozzleStandard, connections: Sequence[Connection], item: Item
) -> tuple[NozzleFinding, ...] | None:
    """All nozzles of an item together, in one case; None where the standard has no such rule."""
    if standard.equipment_verdict is None:
        return None
    bare = [c.name for c in connections if not c.has_load]
    reason = _unfit(standard, item)
    if not reason and bare:
        reason = f"no load was found for {', '.join(bare)}; the sum needs every nozzle of {item.name}"
    if reason:
        return (NozzleFinding("all nozzles", not_rated(), standard.source, reason),)
    return standard.equipment_verdict(connections, item)


def _unfit(standard: NozzleStandard, item: Item) -> str:
    if item.kind in standard.kinds:
        return ""
    return f"{standard.title} is for equipment of kind {' or '.join(standard.kinds)}; {item.name} is {item.kind!r}"


def not_rated() -> Rated:
    """A rating without numbers."""
    return Rated(nan, nan, "1", "", (), {})


def highest(parts: Mapping[str, tuple[float, float, str]]) -> Rated:
    """The part with the highest ratio.

    Args:
        parts: Demand, limit and unit by name.

    Returns:
        The governing part; without numbers where any part has no finite ratio, so that a gap never passes.
    """
    gaps = tuple(name for name, (demand, limit, _) in parts.items() if not _has_ratio(demand, limit))
    if gaps or not parts:
        return Rated(nan, nan, "1", "", gaps, {})
    ratios = {name: demand / limit for name, (demand, limit, _) in parts.items()}
    worst = max(ratios, key=ratios.__getitem__)
    demand, limit, unit = parts[worst]
    return Rated(demand, limit, unit, worst, (), ratios)


def _has_ratio(demand: float, limit: float) -> bool:
    return isfinite(demand) and isfinite(limit) and limit > 0


def component_parts(
    found: Mapping[str, float], limits: Mapping[str, float], factor: float
) -> dict[str, tuple[float, float, str]]:
    """Six components with their limits, for ``highest``."""
    return {name: (abs(found[name]), limits[name] * factor, "N" if name in FORCES else "N*m") for name in COMPONENTS}


def components(force: Vector, moment: Vector, axes: Axes) -> dict[str, float]:
    """A force [N] and moment [N·m] in a standard's axes, by name."""
    directions = (axes.X, axes.Y, axes.Z)
    found = {name: dot(force, axis) for name, axis in zip(FORCES, directions, strict=True)}
    return found | {name: dot(moment, axis) for name, axis in zip(MOMENTS, directions, strict=True)}


def each_component_verdict(connection: Connection, item: Item, standard: "NozzleStandard") -> NozzleFinding:
    """Every component against its own limit; the highest ratio governs."""
    axes, limits = standard.axes(connection, item), standard.limits(connection, item)
    force, moment = loads_of(connection)
    rated = highest(component_parts(components(force, moment, axes), limits.components, connection.factor))
    return NozzleFinding(
        connection.name,
        rated,
        f"{standard.source}; {limits.row}" if limits.row else standard.source,
        limits.reason or axes.reason,
    )


def loads_of(connection: Connection) -> tuple[Vector, Vector]:
    """Force and moment; NaN where there is no load."""
    return connection.force or (nan,) * 3, connection.moment or (nan,) * 3


def resultant_at(connections: Sequence[Connection], point: Vector) -> tuple[Vector, Vector]:
    """Sum of all loads, moved to a point.

    A force that moves from its flange face to the point adds the moment r x F, r being the arm from the point to the
    flange face.

    Args:
        connections: Nozzles with loads.
        point: East, North, Up [m].

    Returns:
        Force [N] and moment [N·m], East, North, Up.
    """
    total_force, total_moment = (0.0, 0.0, 0.0), (0.0, 0.0, 0.0)
    for one in connections:
        force, moment = loads_of(one)
        arm = minus(one.at, point)
        total_force = plus(total_force, force)
        total_moment = plus(plus(total_moment, moment), cross(arm, force))
    return total_force, total_moment


def by_direction(force: Vector, moment: Vector) -> dict[str, float]:
    """A force and a moment by the symbols of ``calc/machine_load.py``: East, North, Up [N, N·m]."""
    names = ("FE", "FN", "FU", "ME", "MN", "MU")
    return dict(zip(names, (*force, *moment), strict=True))


def common_factor(connections: Sequence[Connection]) -> tuple[float, str]:
    """Factor on the allowables of a sum: the lowest of the nozzles', with a remark where it is not 1."""
    factor = min(c.factor for c in connections)
    return factor, "" if factor == 1.0 else f"allowables multiplied by {factor:g}"


def no_limits(reason: str, row: str = "") -> Limits:
    """Limits that do not exist."""
    return Limits(dict.fromkeys(COMPONENTS, nan), row, reason=reason)
