"""Allowable displacement stress range of a line, by the project's code, for the hand method."""

from dataclasses import dataclass

from pipecalc.analysis.stress_setting import FEWEST_CYCLES
from pipecalc.calc.material import Material, allowable_at, modulus_at
from pipecalc.checks.stress import code
from pipecalc.checks.stress.interface import Kind
from pipecalc.model import Line, Plant


@dataclass(frozen=True, slots=True)
class AllowableRange:
    """S_A of a line with the numbers it comes from.

    Attributes:
        S_A: [Pa]; NaN where an allowable stress is missing.
        f: Stress range factor.
        S_c: Allowable at the cold end [Pa].
        S_h: Allowable at the hot end [Pa].
        cold: Lowest metal temperature of all states and the installed one [°C].
        hot: Highest [°C].
        cycles: Full cycles.
        clause: Code, edition and clause.
    """

    S_A: float
    f: float
    S_c: float
    S_h: float
    cold: float
    hot: float
    cycles: float
    clause: str


def temperatures(line: Line, plant: Plant) -> tuple[float, float]:
    """Lowest and highest metal temperature of a line over all states and the installed one [°C]."""
    found = [plant.project.installation_temperature]
    for state in plant.states:
        found += [state.segment_temperature(segment) for segment in line.segments]
    return min(found), max(found)


def cycles(line: Line, plant: Plant) -> float:
    """Cycles of the line with those of every further state, all taken as full ones, which is on the safe side.

    A state that gives none has those of the line; a line is heated once at least.
    """
    further = (line.cycles if state.cycles is None else state.cycles for state in plant.states[1:])
    return max(FEWEST_CYCLES, line.cycles + sum(further))


def allowable_range(line: Line, material: Material, plant: Plant) -> AllowableRange:
    """The basic form, for the line's cycles and the largest temperature range; the other needs the sustained stress.

    Between two hot states the cold end is warmer than taken here: the frame's displacement range takes each pair's own.
    """
    rules, edition = code(plant.project.code, plant.project.edition), plant.project.edition
    cold, hot = temperatures(line, plant)
    number = cycles(line, plant)
    f_m = rules.largest_cycle_factor(material.tensile_strength, hot, material.family)
    f = float(rules.cycle_factor(number, f_m, edition))
    S_c, S_h = allowable_at(material, cold), allowable_at(material, hot)
    ratio = modulus_at(material, hot) / modulus_at(material, plant.project.installation_temperature)
    S_A = float(rules.allowable_range(f, S_c, S_h, None, ratio).value)
    return AllowableRange(S_A, f, S_c, S_h, cold, hot, number, rules.limit_clause(Kind.RANGE, edition))
