"""Thermal states, resolved for every line and item."""

from collections import defaultdict
from collections.abc import Iterable, Mapping

from pipecalc import fluid
from pipecalc.model import OPERATING, Equipment, Line, LineState, State
from pipecalc.problems import Problems, error, note
from pipecalc.workbook.rows import Book, Row

ALL = "all"


def build_states(
    book: Book, lines: Mapping[str, Line], equipment: Mapping[str, Equipment], problems: Problems
) -> tuple[State, ...]:
    """The operating state and those of the States sheet, in order of first appearance."""
    rows = [row for row in book.rows["States"] if not row.bad]
    operating = _operating(lines, equipment)
    names = dict.fromkeys(str(row["state"]) for row in rows)
    return (
        operating,
        *(
            _state(name, [r for r in rows if r["state"] == name], operating, lines, equipment, problems)
            for name in names
        ),
    )


def _operating(lines: Mapping[str, Line], equipment: Mapping[str, Equipment]) -> State:
    return State(
        name=OPERATING,
        cycles=None,
        lines={
            name: LineState(line.operating_temperature, line.operating_pressure, line.fluid_density)
            for name, line in lines.items()
        },
        overridden=frozenset(),
        equipment={name: item.temperature for name, item in equipment.items()},
        zones={
            (name, number): zone.temperature
            for name, item in equipment.items()
            for number, zone in enumerate(item.zones)
        },
    )


def _state(
    name: str,
    rows: list[Row],
    operating: State,
    lines: Mapping[str, Line],
    equipment: Mapping[str, Equipment],
    problems: Problems,
) -> State:
    line_states = dict(operating.lines)
    temperatures = dict(operating.equipment)
    zones = dict(operating.zones)
    zones_of: dict[str, list[tuple[str, int]]] = defaultdict(list)
    for key in zones:
        zones_of[key[0]].append(key)
    overridden: set[str] = set()
    # From the general to the particular, so that the narrower row wins whatever the order of rows.
    for row in sorted(rows, key=lambda r: _narrowness(str(r["applies_to"]), equipment)):
        target = str(row["applies_to"])
        for line in _lines_meant(target, lines):
            line_states[line.name] = _line_state(row, line, line_states[line.name], problems)
            if row["temperature"] is not None:
                overridden.add(line.name)
        if row["temperature"] is not None:
            for tag in _items_meant(target, equipment):
                temperatures[tag] = row["temperature"]
                zones.update(dict.fromkeys(zones_of[tag], row["temperature"]))
            zones.update(dict.fromkeys(_zones_meant(target, equipment), row["temperature"]))
    untouched = [n for n in lines if line_states[n] == operating.lines[n]]
    touched = {key[0] for key, temperature in zones.items() if temperature != operating.zones[key]}
    touched |= {n for n, temperature in temperatures.items() if temperature != operating.equipment[n]}
    untouched += [n for n in equipment if n not in touched]
    if untouched:
        problems.add(
            note(
                "state-operating",
                rows[0].address("state"),
                f"state {name!r} says nothing of {', '.join(untouched)}",
                "as in the operating state",
                "no row of the state applies to them",
            )
        )
    cycles = [float(row["cycles"]) for row in rows if row["cycles"] is not None]
    return State(name, max(cycles) if cycles else None, line_states, frozenset(overridden), temperatures, zones)


def _narrowness(target: str, equipment: Mapping[str, Equipment]) -> int:
    """0 for all, 1 for a line or an item, 2 for a zone of an item."""
    if target == ALL:
        return 0
    return 2 if _zones_meant(target, equipment) else 1


def _lines_meant(target: str, lines: Mapping[str, Line]) -> Iterable[Line]:
    return lines.values() if target == ALL else [lines[target]] if target in lines else []


def _items_meant(target: str, equipment: Mapping[str, Equipment]) -> Iterable[str]:
    return list(equipment) if target == ALL else [target] if target in equipment else []


def _zones_meant(target: str, equipment: Mapping[str, Equipment]) -> list[tuple[str, int]]:
    tag, slash, zone_name = target.partition("/")
    if not slash or tag not in equipment:
        return []
    return [(tag, i) for i, zone in enumerate(equipment[tag].zones) if zone.name == zone_name]


def _line_state(row: Row, line: Line, before: LineState, problems: Problems) -> LineState:
    temperature = before.temperature if row["temperature"] is None else row["temperature"]
    pressure = before.pressure if row["pressure"] is None else row["pressure"]
    return LineState(temperature, pressure, _density(row, line, temperature, pressure, before.density, problems))


def _density(row: Row, line: Line, temperature: float, pressure: float, before: float, problems: Problems) -> float:
    typed = row["fluid_density"]
    if typed is None and not line.fluid:
        return before
    if isinstance(typed, int | float):
        return float(typed)
    word = typed or line.fluid
    try:
        return fluid.density(word, temperature, pressure)
    except ValueError as reason:
        if typed is not None:
            problems.add(
                error("density-phase", row.address("fluid_density"), f"{word}: {reason}", "a density with unit")
            )
        else:
            problems.add(
                note(
                    "density-kept",
                    row.address(),
                    f"{line.name} in state {row['state']!r}: {word} does not exist as such there ({reason})",
                    "its operating density",
                    "no density is typed for the state",
                )
            )
        return before
