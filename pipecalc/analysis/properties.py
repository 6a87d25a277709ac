"""Every property value that the calculation uses, with source and confidence, for the note."""

from collections import defaultdict
from collections.abc import Iterator

from pipecalc.analysis.equipment import HORIZONTAL, profile, support_temperature
from pipecalc.analysis.ranges import temperatures
from pipecalc.calc.material import Material, value_used
from pipecalc.model import Line, Plant
from pipecalc.results import PropertyUse

_UNITS = {"modulus": "Pa", "total strain": "m/m", "allowable stress": "Pa", "yield": "Pa"}


def properties_used(plant: Plant) -> tuple[PropertyUse, ...]:
    """Modulus, total strain and allowable stress by material and temperature, in that order."""
    wanted: dict[tuple[str, str], set[float]] = defaultdict(set)
    materials: dict[str, Material] = {}
    for material, quantity, temperature in _uses(plant):
        materials[material.name] = material
        wanted[material.name, quantity].add(temperature)
    return tuple(
        _use(materials[name], quantity, temperature)
        for (name, quantity), found in sorted(wanted.items())
        for temperature in sorted(found)
    )


def _use(material: Material, quantity: str, temperature: float) -> PropertyUse:
    used = value_used(material, quantity, temperature)
    return PropertyUse(material.name, quantity, temperature, used.value, _UNITS[quantity], used.source, used.confidence)


def _uses(plant: Plant) -> Iterator[tuple[Material, str, float]]:
    ambient = plant.project.installation_temperature
    for line in plant.lines.values():
        yield from _of_line(line, plant, ambient)
    for item in plant.equipment.values():
        for state in plant.states:
            # The skirt and the saddle are slices and terms of their own, at the support's temperature.
            parts = [(part.material, part.temperature) for part in profile(item, state, plant.project)]
            if item.kind == HORIZONTAL:
                parts.append((item.material, support_temperature(item, state, plant.project)))
            for material, temperature in parts:
                yield material, "total strain", ambient
                yield material, "total strain", temperature


def _of_line(line: Line, plant: Plant, ambient: float) -> Iterator[tuple[Material, str, float]]:
    cold, hot = temperatures(line, plant)
    hot_loads = plant.project.modulus_for_reactions != "installation"
    for segment in line.segments:
        for temperature in (line.design_temperature, cold, hot):
            yield segment.material, "allowable stress", temperature
        if line.test_pressure is not None:
            yield segment.material, "yield", ambient
        yield segment.material, "modulus", ambient
        yield segment.material, "total strain", ambient
        for state in plant.states:
            at = state.segment_temperature(segment)
            yield segment.material, "total strain", at
            yield segment.material, "allowable stress", at
            if hot_loads:
                yield segment.material, "modulus", at
