"""Connected systems: lines that share points and move together, and lines judged together at one machine."""

from collections.abc import Collection, Iterable
from dataclasses import replace

from pipecalc.model import Plant, State

Key = tuple[str, str]


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
    kept = set(lines)
    points = {key for name in lines for s in plant.lines[name].segments for key in (s.start_key, s.end_key)}
    nozzles = {name: nozzle for name, nozzle in plant.nozzles.items() if nozzle.point in points}
    supports = {name: support for name, support in plant.supports.items() if support.point in points}
    tags = {nozzle.equipment for nozzle in nozzles.values()} | {support.attached_to for support in supports.values()}
    return replace(
        plant,
        lines={name: line for name, line in plant.lines.items() if name in kept},
        nozzles=nozzles,
        equipment={tag: item for tag, item in plant.equipment.items() if tag in tags},
        supports=supports,
        states=tuple(_state_of(state, kept, tags) for state in plant.states),
        point_loads=tuple(load for load in plant.point_loads if load.point in points),
        points={key: at for key, at in plant.points.items() if key in points},
        nozzle_at={key: name for key, name in plant.nozzle_at.items() if key in points},
    )


def _state_of(state: State, lines: Collection[str], equipment: Collection[str]) -> State:
    return replace(
        state,
        lines={name: found for name, found in state.lines.items() if name in lines},
        overridden=state.overridden & frozenset(lines),
        equipment={tag: found for tag, found in state.equipment.items() if tag in equipment},
        zones={key: found for key, found in state.zones.items() if key[0] in equipment},
    )


def parts_of(plant: Plant, touching: Iterable[str] | None = None) -> tuple[Plant, ...]:
    """Every system as a plant of its own; only those that hold one of the lines ``touching``, where given."""
    wanted = None if touching is None else set(touching)
    return tuple(part_of(plant, names) for names in systems_of(plant) if wanted is None or wanted & set(names))
