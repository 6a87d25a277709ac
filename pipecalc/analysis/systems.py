"""Connected systems: lines that share points and move together, and lines judged together at one machine."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from pipecalc.calc.remembered import remembered
from pipecalc.model import Plant, State

Key = tuple[str, str]
Record = TypeVar("Record")


def systems_of(plant: Plant) -> tuple[tuple[str, ...], ...]:
    """Names of the lines of each connected system, in workbook order.

    Nozzles of one item of equipment tie their lines together where a standard stands among their allowables: it may sum
    the loads of all nozzles of a machine.
    """
    systems: list[tuple[set[str], set[Key]]] = []
    summed = {n.equipment for n in plant.nozzles.values() if any(name not in plant.allowables for name in n.sets)}
    machines = {n.point: n.equipment for n in plant.nozzles.values() if n.point is not None and n.equipment in summed}
    for line in plant.lines.values():
        names, keys = {line.name}, {key for s in line.segments for key in (s.start_key, s.end_key)}
        keys |= {("", machines[key]) for key in keys if key in machines}
        for system in [s for s in systems if s[1] & keys]:
            systems.remove(system)
            names |= system[0]
            keys |= system[1]
        systems.append((names, keys))
    order = {name: number for number, name in enumerate(plant.lines)}
    found = [tuple(sorted(names, key=order.__getitem__)) for names, _ in systems]
    return tuple(sorted(found, key=lambda names: order[names[0]]))


def system_of(plant: Plant, line: str) -> tuple[str, ...]:
    """The connected system that a line belongs to."""
    return next(names for names in systems_of(plant) if line in names)


def part_of(plant: Plant, lines: Collection[str]) -> Plant:
    """The plant with some lines only, what holds and loads them, and the equipment that does.

    Whole systems stand for themselves: taking one of them out of the plant changes none of its numbers.
    """
    order = _order(plant)
    kept = sorted(lines, key=order.lines.__getitem__)
    points = {key for name in kept for s in plant.lines[name].segments for key in (s.start_key, s.end_key)}
    there = sorted(points & order.points.keys(), key=order.points.__getitem__)
    nozzles = _at(order.nozzles_at, points, plant.nozzles)
    supports = _at(order.supports_at, points, plant.supports)
    used = {nozzle.equipment for nozzle in nozzles.values()} | {support.attached_to for support in supports.values()}
    tags = sorted(used & order.equipment.keys(), key=order.equipment.__getitem__)
    return replace(
        plant,
        lines={name: plant.lines[name] for name in kept},
        nozzles=nozzles,
        equipment={tag: plant.equipment[tag] for tag in tags},
        supports=supports,
        states=tuple(_state_of(state, kept, tags, plant) for state in plant.states),
        point_loads=tuple(load for load in plant.point_loads if load.point in points),
        points={key: plant.points[key] for key in there},
        nozzle_at={key: plant.nozzle_at[key] for key in there if key in plant.nozzle_at},
    )


def _state_of(state: State, lines: Collection[str], equipment: Collection[str], plant: Plant) -> State:
    zones = [(tag, number) for tag in equipment for number in range(len(plant.equipment[tag].zones))]
    return replace(
        state,
        lines={name: state.lines[name] for name in lines if name in state.lines},
        overridden=state.overridden & frozenset(lines),
        equipment={tag: state.equipment[tag] for tag in equipment if tag in state.equipment},
        zones={key: state.zones[key] for key in zones if key in state.zones},
    )


@dataclass(frozen=True, slots=True)
class _Order:
    """Numbers in the workbook by name, and numbers and names of what stands at each point."""

    lines: Mapping[str, int]
    equipment: Mapping[str, int]
    points: Mapping[Key, int]
    nozzles_at: Mapping[Key, Sequence[tuple[int, str]]]
    supports_at: Mapping[Key, Sequence[tuple[int, str]]]


@remembered(1)
def _order(plant: Plant) -> _Order:
    nozzles: dict[Key, list[tuple[int, str]]] = defaultdict(list)
    supports: dict[Key, list[tuple[int, str]]] = defaultdict(list)
    for number, nozzle in enumerate(plant.nozzles.values()):
        if nozzle.point is not None:
            nozzles[nozzle.point].append((number, nozzle.name))
    for number, support in enumerate(plant.supports.values()):
        supports[support.point].append((number, support.name))
    numbered = [{name: n for n, name in enumerate(names)} for names in (plant.lines, plant.equipment)]
    return _Order(numbered[0], numbered[1], {key: n for n, key in enumerate(plant.points)}, nozzles, supports)


def _at(
    standing: Mapping[Key, Sequence[tuple[int, str]]], points: Collection[Key], records: Mapping[str, Record]
) -> dict[str, Record]:
    """Records that stand at some points, in the order of the workbook."""
    found = sorted(pair for key in points for pair in standing.get(key, ()))
    return {name: records[name] for _, name in found}


def parts_of(plant: Plant, touching: Iterable[str] | None = None) -> tuple[Plant, ...]:
    """Every system as a plant of its own; only those that hold one of the lines ``touching``, where given."""
    wanted = None if touching is None else set(touching)
    return tuple(part_of(plant, names) for names in systems_of(plant) if wanted is None or wanted & set(names))
