"""Every temperature used must lie inside the tables of its material: nothing is extrapolated."""

from collections.abc import Callable, Iterator, Mapping
from math import isfinite

import numpy as np

from pipecalc.analysis.equipment import HORIZONTAL, profile, support_temperature
from pipecalc.calc.material import Curve, Material, allowable_at, modulus_at, strain_between
from pipecalc.model import Equipment, Line, Project, Segment, State
from pipecalc.problems import Address, Problems, warning
from pipecalc.workbook.building.materials import outside_table


def check_tables(
    project: Project,
    lines: Mapping[str, Line],
    equipment: Mapping[str, Equipment],
    states: tuple[State, ...],
    problems: Problems,
) -> None:
    """Report every property that is needed at a temperature its table does not cover."""
    covered = _Covered()
    for line in lines.values():
        for material, source in _materials(line).values():
            _check_allowable(material, line, source, problems)
            _check_modulus(material, project.installation_temperature, source, problems)
        for segment in line.segments:
            for state in states:
                _check_segment(segment, state, project, covered, problems)
    for item in equipment.values():
        for state in states:
            _check_item(item, state, project, covered, problems)


def _materials(line: Line) -> dict[str, tuple[Material, Address]]:
    """Materials of a line, each with the first row that it comes from."""
    found = {line.material.name: (line.material, line.source)}
    for segment in line.segments:
        found.setdefault(segment.material.name, (segment.material, segment.source))
    return found


def _check_allowable(material: Material, line: Line, source: Address, problems: Problems) -> None:
    if material.allowable is None:
        problems.add(
            warning(
                "allowable-unknown",
                source,
                f"no allowable stress is known for {material.name}: its wall and stresses are not checked",
                "allowable stresses on the Materials sheet",
            )
        )
    elif not np.isfinite(allowable_at(material, line.design_temperature)):
        outside_table("allowable stress", material, line.design_temperature, material.allowable, source, problems)


class _Covered:
    """Tables and temperatures that were looked up and found: many runs of few materials have few temperatures."""

    def __init__(self) -> None:
        self._found: dict[tuple[int, float], bool] = {}

    def strain(self, material: Material, at: float) -> bool:
        """Whether the expansion is known at a temperature [°C]."""
        return self._known(material.expansion, at, lambda: strain_between(material, at, at))

    def modulus(self, material: Material, at: float) -> bool:
        """Whether the modulus is known at a temperature [°C]."""
        return self._known(material.modulus, at, lambda: modulus_at(material, at))

    def _known(self, curve: Curve, at: float, read: Callable[[], float]) -> bool:
        key = id(curve), at  # the plant keeps its curves while it is looked through
        if key not in self._found:
            self._found[key] = isfinite(read())
        return self._found[key]


def _check_segment(segment: Segment, state: State, project: Project, covered: _Covered, problems: Problems) -> None:
    temperature = state.segment_temperature(segment)
    _check_strain(segment.material, temperature, project, segment.source, covered, problems)
    if not covered.modulus(segment.material, temperature):
        _check_modulus(segment.material, temperature, segment.source, problems)


def _check_modulus(material: Material, temperature: float, source: Address, problems: Problems) -> None:
    if not np.isfinite(modulus_at(material, temperature)):
        outside_table("modulus", material, temperature, material.modulus, source, problems)


def _check_item(item: Equipment, state: State, project: Project, covered: _Covered, problems: Problems) -> None:
    for material, temperature, source in _grown(item, state, project):
        _check_strain(material, temperature, project, source, covered, problems)


def _grown(item: Equipment, state: State, project: Project) -> Iterator[tuple[Material, float, Address]]:
    """Everything of an item that grows in a state: its zones, its own shell, and its support."""
    for number, zone in enumerate(item.zones):
        yield zone.material, state.zones[item.name, number], zone.source
    for part in profile(item, state, project):
        yield part.material, part.temperature, item.source
    yield item.material, state.equipment[item.name], item.source
    if item.kind == HORIZONTAL:
        yield item.material, support_temperature(item, state, project), item.source


def _check_strain(
    material: Material, temperature: float, project: Project, address: Address, covered: _Covered, problems: Problems
) -> None:
    for at in (project.installation_temperature, temperature):
        if not covered.strain(material, at):
            outside_table("expansion", material, at, material.expansion, address, problems)
