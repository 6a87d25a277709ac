"""What the stress equations need besides forces: sections, factors, allowables, pressures and cycles, as arrays."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import isfinite, nan

import numpy as np

from pipecalc.analysis.stress_points import StressPoint
from pipecalc.calc.frame import Array
from pipecalc.calc.material import Material, allowable_at, modulus_at, yield_at
from pipecalc.calc.pressure import weld_strength_reduction
from pipecalc.checks.stress import code
from pipecalc.checks.stress.interface import Factors, Geometry, StressCode
from pipecalc.model import INSTALLED, Line, Plant

#: A line or state that gives no cycles at all still is heated once.
FEWEST_CYCLES = 1.0


@dataclass(frozen=True, slots=True, eq=False)
class Setting:
    """What is the same for all cases: one entry for each section, shape (n,).

    Attributes:
        points: The sections.
        plant: The plant.
        code: The project's code.
        edition: Its edition.
        S_d: Lowest allowable stress of the design temperature and of all states, for sustained and occasional stress
            [Pa].
        S_y: Yield at installation temperature, for the test [Pa].
        W: Weld strength reduction at girth welds.
        highest: Highest pressure of design and all states, not below zero [Pa].
        lowest: Lowest pressure of design and all states, not above zero [Pa].
        test_pressure: Test pressure [Pa]; NaN where none is given.
        f_m: Largest stress range factor.
        E_ratio: Modulus at the highest temperature over that at installation.
        temperature: Metal temperature by state, the installed one among them [°C].
        allowable: Allowable stress by state, the installed one among them [Pa].
        cycles: Cycles by state.
    """

    points: tuple[StressPoint, ...]
    plant: Plant
    code: StressCode
    edition: str
    geometry: Geometry
    factors: Factors
    S_d: Array
    S_y: Array
    W: Array
    highest: Array
    lowest: Array
    test_pressure: Array
    f_m: Array
    E_ratio: Array
    temperature: Mapping[str, Array]
    allowable: Mapping[str, Array]
    cycles: Mapping[str, Array]

    def line(self, n: int) -> Line:
        """The line of a section."""
        return self.plant.lines[self.points[n].segment.line]

    def at_pair(self, a: str, b: str) -> tuple[Array, Array]:
        """Allowable stresses at the cold and the hot end of the cycle between two states [Pa]."""
        first_is_hot = self.temperature[a] > self.temperature[b]
        cold = np.where(first_is_hot, self.allowable[b], self.allowable[a])
        hot = np.where(first_is_hot, self.allowable[a], self.allowable[b])
        return cold, hot


def setting_of(points: Sequence[StressPoint], plant: Plant) -> Setting:
    """The setting of all sections."""
    lines = [plant.lines[p.segment.line] for p in points]
    materials = [p.segment.material for p in points]
    project = plant.project
    rules = code(project.code, project.edition)
    temperature = _temperatures(points, plant)
    hottest = np.max(np.array([*temperature.values()]), axis=0)
    allowable = {state: _each(allowable_at, materials, at) for state, at in temperature.items()}
    design = _each(allowable_at, materials, np.array([line.design_temperature for line in lines]))
    working = [allowable[state.name] for state in plant.states]
    highest, lowest = _pressures(lines, plant)
    ambient = np.full(len(points), project.installation_temperature)
    return Setting(
        points=tuple(points),
        plant=plant,
        code=rules,
        edition=project.edition,
        geometry=_geometry(points, lines),
        factors=Factors.of(
            [p.factors.i_in for p in points],
            [p.factors.i_out for p in points],
            [p.turns for p in points],
            [p.factors.i_t for p in points],
        ),
        S_d=np.min(np.array([design, *working]), axis=0),
        S_y=_each(yield_at, materials, ambient),
        W=np.array([weld_strength(line, material) for line, material in zip(lines, materials, strict=True)]),
        highest=highest,
        lowest=lowest,
        test_pressure=np.array([nan if line.test_pressure is None else line.test_pressure for line in lines], float),
        f_m=_each(lambda m, t: rules.largest_cycle_factor(m.tensile_strength, t, m.family), materials, hottest),
        E_ratio=_each(modulus_at, materials, hottest) / _each(modulus_at, materials, ambient),
        temperature=temperature,
        allowable=allowable,
        cycles=_cycles(lines, plant),
    )


def _geometry(points: Sequence[StressPoint], lines: Sequence[Line]) -> Geometry:
    return Geometry.of(
        [p.section.outside_diameter for p in points],
        [p.section.wall for p in points],
        [line.corrosion_allowance for line in lines],
        [p.header.wall if p.header else nan for p in points],
        [p.header_allowance for p in points],
    )


def _each(value: Callable[[Material, float], float], materials: Sequence[Material], at: Array) -> Array:
    """A property of every section's material at its temperature, found once for each pair, shape (n,)."""
    known: dict[tuple[int, float], float] = {}
    found = np.empty(len(materials))
    for n, material in enumerate(materials):
        key = (id(material), float(at[n]))
        if key not in known:
            known[key] = float(value(material, key[1]))
        found[n] = known[key]
    return found


def _temperatures(points: Sequence[StressPoint], plant: Plant) -> dict[str, Array]:
    installed = np.full(len(points), plant.project.installation_temperature)
    states = {s.name: np.array([s.segment_temperature(p.segment) for p in points], float) for s in plant.states}
    return {INSTALLED: installed, **states}


def _pressures(lines: Sequence[Line], plant: Plant) -> tuple[Array, Array]:
    """Highest and lowest pressure of design and all states; zero is always among them [Pa]."""
    ends = {
        line.name: [0.0, line.design_pressure, *(state.lines[line.name].pressure for state in plant.states)]
        for line in plant.lines.values()
    }
    highest = {name: max(found) for name, found in ends.items()}
    lowest = {name: min(found) for name, found in ends.items()}
    return np.array([highest[li.name] for li in lines], float), np.array([lowest[li.name] for li in lines], float)


def weld_strength(line: Line, material: Material) -> float:
    """Factor W at girth welds: as given for the line, else one up to where creep begins and unknown beyond."""
    if line.weld_strength is not None:
        return line.weld_strength
    return float(weld_strength_reduction(line.design_temperature, material.family))


def _cycles(lines: Sequence[Line], plant: Plant) -> dict[str, Array]:
    own = np.array([line.cycles for line in lines], float)
    return {s.name: own if s.cycles is None else np.full(len(lines), float(s.cycles)) for s in plant.states}


def why_unknown(setting: Setting, n: int, limit: bool, *, test: bool) -> str:
    """Why a section could not be checked, in words.

    Args:
        setting: The setting.
        n: Number of the section.
        limit: Whether it is the limit that is missing, not the stress.
        test: Whether it is the pressure test.
    """
    point, line = setting.points[n], setting.line(n)
    if not limit:
        if not point.factors.is_known:
            return f"no stress intensification factor: {point.factors.kind}"
        if point.section.wall <= line.corrosion_allowance:
            return "the allowances take the whole wall"
        return "no stress was found: a force or a dimension is missing"
    if test:
        return f"yield strength of {point.segment.material.name} at installation temperature is not known"
    return _no_limit(setting, n)


def _no_limit(setting: Setting, n: int) -> str:
    material = setting.points[n].segment.material
    if material.allowable is None:
        title = setting.code.title
        return f"no allowable stress of {title} is known for {material.name}: give it on Materials"
    used = [setting.line(n).design_temperature, *(float(at[n]) for at in setting.temperature.values())]
    missing = [t for t in used if not isfinite(allowable_at(material, t))]
    if missing:
        table = material.allowable.temperature
        return (
            f"allowable stress of {material.name} is not known at {', '.join(f'{t:g}' for t in missing)} °C; "
            f"its table holds {table[0]:.0f} to {table[-1]:.0f} °C"
        )
    if not isfinite(setting.W[n]):
        return "weld strength reduction factor W is not known at design temperature: give it on Lines"
    return "the stress range factor is not known for this number of cycles"
