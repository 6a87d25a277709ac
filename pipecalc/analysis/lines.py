"""What every note of a line holds: free expansion, wall thickness, weight, and the code's quick check."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import combinations
from math import nan

import numpy as np

from pipecalc.analysis.chains import Chain, chains_of, ends_at, growth_along, holds
from pipecalc.analysis.frame_cases import range_name
from pipecalc.analysis.intensification import Key, largest, point_factors
from pipecalc.analysis.ranges import AllowableRange, allowable_range
from pipecalc.analysis.stress_setting import weld_strength
from pipecalc.calc.material import allowable_at, modulus_at, strain_between
from pipecalc.calc.pressure import (
    nominal_thickness_needed,
    nominal_thickness_needed_absolute,
    pressure_design_thickness,
    required_thickness,
    y_coefficient,
)
from pipecalc.calc.quick_check import (
    QuickCheckLine,
    quick_check_limit,
    quick_check_obstacles,
    quick_check_value,
)
from pipecalc.calc.weight import line_mass
from pipecalc.model import INSTALLED, Item, Line, Plant, Segment, State
from pipecalc.results import Check, Expansion, LineWeight, Status, status_of

WALL_CHECK = "wall thickness"
WALL_CLAUSE = "ASME B31.3 304.1.1 eq. (2), 304.1.2 eq. (3a)"
QUICK_CHECK = "quick check (319.4.1)"
QUICK_CODE = "ASME B31.3"
QUICK_CLAUSE = "ASME B31.3 319.4.1(c), eq. (16)"
_WATER = 1000.0  # test water [kg/m3]


def expansions(line: Line, plant: Plant) -> Iterator[Expansion]:
    """Free expansion of every segment in the state in which it is largest."""
    for segment in line.segments:
        yield max((_expansion(segment, plant, state) for state in plant.states), key=lambda e: abs(e.expansion))


def _expansion(segment: Segment, plant: Plant, state: State) -> Expansion:
    temperature = state.segment_temperature(segment)
    strain = strain_between(segment.material, plant.project.installation_temperature, temperature)
    return Expansion(
        segment.line,
        segment.start,
        segment.end,
        state.name,
        temperature,
        strain,
        segment.length,
        strain * segment.length,
    )


def wall_checks(line: Line, code: str = "ASME B31.3") -> Iterator[Check]:
    """Wall thickness of every different section and material of the line, at design pressure and temperature.

    The rule is one of ASME B31.3; under another code the wall is not checked.
    """
    seen = set()
    for segment in line.segments:
        for section in (segment.section, segment.end_section):
            key = (section.outside_diameter, section.wall, segment.material.name)
            if key not in seen and segment.item in (Item.PIPE, Item.REDUCER):
                seen.add(key)
                found = wall_check(line, segment, section.outside_diameter, section.wall)
                yield found if code == "ASME B31.3" else _foreign(found, code)


def _foreign(check: Check, code: str) -> Check:
    reason = f"the rule is one of ASME B31.3, not of {code}"
    return replace(check, demand=nan, ratio=nan, status=Status.NOT_CHECKED, reason=reason)


def wall_check(line: Line, segment: Segment, outside_diameter: float, wall: float) -> Check:
    """Nominal wall against what pressure, allowance and mill tolerance need."""
    inputs = _wall_inputs(line, segment, outside_diameter)
    needed = wall_needed(line, segment, outside_diameter)
    status = status_of(needed, wall)
    return Check(
        check=WALL_CHECK,
        subject=line.name,
        line=line.name,
        point=f"from {segment.start}",
        case="design",
        demand=needed,
        limit=wall,
        unit="m",
        ratio=needed / wall,
        status=status,
        clause=WALL_CLAUSE,
        reason=_wall_reason(line, inputs) if status is Status.NOT_CHECKED else "",
        inputs=inputs,
        source=segment.source,
        rows=tuple(s.source.row for s in line.segments if _same_pipe(s, segment, outside_diameter, wall)),
    )


def _wall_reason(line: Line, inputs: Mapping[str, float]) -> str:
    """Why the wall could not be checked."""
    if line.design_pressure < 0:
        return "external pressure, which 304.1.3 covers and this check does not"
    if np.isnan(inputs["S"]):
        return "no allowable stress is known at design temperature"
    if np.isnan(inputs["W"]):
        return "weld strength reduction factor not known at design temperature"
    return "outside the thin-wall formula of 304.1.2(a)"


def _same_pipe(segment: Segment, like: Segment, outside_diameter: float, wall: float) -> bool:
    sections = {(s.outside_diameter, s.wall) for s in (segment.section, segment.end_section)}
    return (outside_diameter, wall) in sections and segment.material.name == like.material.name


def _wall_inputs(line: Line, segment: Segment, outside_diameter: float) -> dict[str, float]:
    S = allowable_at(segment.material, line.design_temperature)
    Y = y_coefficient(segment.material.family, line.design_temperature)
    P, E = line.design_pressure, line.weld_factor
    W = weld_strength(line, segment.material)
    t = pressure_design_thickness(max(P, 0.0), outside_diameter, S, E, W, Y)
    inputs = {
        "P": P,
        "D": outside_diameter,
        "S": S,
        "E": E,
        "W": W,
        "Y": Y,
        "t": t,
        "c": line.corrosion_allowance,
    }
    inputs["t_m"] = required_thickness(t, line.corrosion_allowance)
    if line.mill_tolerance_length is None:
        inputs["u"] = line.mill_tolerance
    else:
        inputs["u_t"] = line.mill_tolerance_length
    return inputs


def wall_needed(line: Line, segment: Segment, outside_diameter: float) -> float:
    """Nominal wall needed [m]; NaN outside the formula, and for vacuum, which this formula does not cover."""
    if line.design_pressure < 0:
        return nan
    t_m = _wall_inputs(line, segment, outside_diameter)["t_m"]
    if line.mill_tolerance_length is None:
        return nominal_thickness_needed(t_m, line.mill_tolerance)
    return nominal_thickness_needed_absolute(t_m, line.mill_tolerance_length)


def weight(line: Line) -> LineWeight:
    """Mass per metre of the line's main pipe, and the mass of all its runs and items in operation."""
    mass = line_mass(
        line.section.outside_diameter,
        line.section.wall,
        line.material.density,
        line.fluid_density,
        line.insulation_thickness,
        line.insulation_density,
    )
    test = line_mass(
        line.section.outside_diameter,
        line.section.wall,
        line.material.density,
        _WATER,
        line.insulation_thickness,
        line.insulation_density,
    )
    total = sum(segment_mass(line, segment, line.fluid_density) for segment in line.segments)
    return LineWeight(line.name, mass.metal, mass.contents, mass.insulation, mass.total, test.total, total)


def segment_mass(line: Line, segment: Segment, fluid_density: float) -> float:
    """Mass of a segment with its contents, insulation and own mass [kg]; an item without a mass weighs as pipe."""
    mean = line_mass(
        (segment.section.outside_diameter + segment.end_section.outside_diameter) / 2.0,
        (segment.section.wall + segment.end_section.wall) / 2.0,
        segment.material.density,
        fluid_density,
        line.insulation_thickness,
        line.insulation_density,
    )
    # A valve's or flange's own mass stands for its metal; contents and insulation go on.
    metal = 0.0 if segment.mass and segment.item is not Item.PIPE else mean.metal
    return (metal + mean.contents + mean.insulation) * segment.length + segment.mass


def quick_checks(line: Line, plant: Plant) -> Iterator[Check]:
    """The code's quick check for every chain of a line, with the reasons where it may not be used.

    Of all displacement ranges the one that speaks most against the line: where it may not be used in one range, it may
    not be used.
    """
    factors = point_factors(line, plant)
    ranges = [(None, state) for state in plant.states] + list(combinations(plant.states, 2))
    for chain in chains_of(line):
        known = _quick_chain(chain, line, plant, factors)
        yield max((_quick_check(known, line, plant, a, b) for a, b in ranges), key=_rank)


def _rank(check: Check) -> tuple[int, float]:
    worst = {Status.NOT_APPLICABLE: 2, Status.NOT_CHECKED: 1}.get(check.status, 0)
    return (worst, check.ratio if np.isfinite(check.ratio) else 0.0)


@dataclass(frozen=True, slots=True)
class _QuickChain:
    """What the quick check needs of a chain in all displacement ranges.

    Attributes:
        facts: What decides whether it may be used, but for the displacement.
        D: Largest outside diameter [m].
        S_A: Allowable displacement range [Pa].
        E_a: Largest modulus at installation temperature [Pa].
    """

    chain: Chain
    facts: QuickCheckLine
    D: float
    S_A: float
    E_a: float


def _quick_chain(chain: Chain, line: Line, plant: Plant, factors: Mapping[Key, float]) -> _QuickChain:
    return _QuickChain(
        chain,
        _quick_facts(chain, plant, factors),
        max(s.section.outside_diameter for s in chain.segments),
        _lowest_range(chain, line, plant).S_A,
        max(modulus_at(s.material, plant.project.installation_temperature) for s in chain.segments),
    )


def _quick_check(known: _QuickChain, line: Line, plant: Plant, reference: State | None, state: State) -> Check:
    chain, facts = known.chain, known.facts
    displaced = _end_displacement(chain, plant, state)
    if reference is not None:
        displaced = displaced - _end_displacement(chain, plant, reference)
    numbers = {
        "D": known.D,
        "y": float(np.linalg.norm(displaced)),
        "L": facts.developed_length,
        "U": facts.anchor_distance,
    }
    value = quick_check_value(numbers["D"], numbers["y"], numbers["L"], numbers["U"]) if numbers["y"] else 0.0
    limit = quick_check_limit(known.S_A, known.E_a)
    reasons = _obstacles(plant, replace(facts, extraneous_share=_extraneous(chain, displaced)))
    status = Status.NOT_APPLICABLE if reasons else status_of(value, limit)
    return Check(
        check=QUICK_CHECK,
        subject=line.name,
        line=line.name,
        point=f"{chain.keys[0][1]} to {chain.keys[-1][1]}",
        case=range_name(INSTALLED if reference is None else reference.name, state.name),
        demand=value,
        limit=limit,
        unit="m*m/m**2",
        ratio=value / limit if not reasons else nan,
        status=status,
        clause=QUICK_CLAUSE,
        reason="; ".join(reasons) or _quick_reason(status),
        inputs={**numbers, "S_A": known.S_A, "E_a": known.E_a},
        source=chain.segments[0].source,
        rows=tuple(s.source.row for s in chain.segments),
        screening=True,
    )


def _quick_reason(status: Status) -> str:
    if status is Status.NOT_CHECKED:
        return "no modulus, expansion or allowable stress is known"
    return "go on to a frame analysis" if status is Status.FAIL else ""


def _lowest_range(chain: Chain, line: Line, plant: Plant) -> AllowableRange:
    """Of the chain's materials the lowest allowable range; one that is not known wins."""
    found = [allowable_range(line, s.material, plant) for s in {s.material.name: s for s in chain.segments}.values()]
    return min(found, key=lambda limit: limit.S_A if np.isfinite(limit.S_A) else -1.0)


def _obstacles(plant: Plant, facts: QuickCheckLine) -> tuple[str, ...]:
    """Why the quick check may not be used."""
    own = (
        (f"the check is one of {QUICK_CODE}, not of {plant.project.code}",) if plant.project.code != QUICK_CODE else ()
    )
    return own + quick_check_obstacles(facts)


def _end_displacement(chain: Chain, plant: Plant, state: State) -> np.ndarray:
    """Displacement that the line between its ends has to absorb [m], shape (3,)."""
    moves = np.zeros((2, 3))
    for hold in holds(chain, plant, state):
        if hold.index in (0, len(chain.keys) - 1) and not hold.one_way:
            moves[0 if hold.index == 0 else 1] += chain.axes[hold.axis] * hold.move
    displaced: np.ndarray = moves[1] - moves[0] - growth_along(chain, plant, state)[-1]
    return displaced


def _quick_facts(chain: Chain, plant: Plant, factors: Mapping[Key, float]) -> QuickCheckLine:
    held = holds(chain, plant, plant.states[0])
    last = len(chain.keys) - 1
    # A point of fixation is held both ways in all three directions; a rest or a guide at an end is not one.
    fixed = [e for e in (0, last) if len({h.axis for h in held if h.index == e and not h.one_way}) == 3]
    others = {(h.index, h.name) for h in held if h.index not in fixed}
    return QuickCheckLine(
        sizes=len({(s.outside_diameter, s.wall) for run in chain.segments for s in (run.section, run.end_section)}),
        anchors=len(fixed),
        restraints_between=len(others),
        developed_length=sum(s.length for s in chain.segments),
        anchor_distance=float(np.linalg.norm(chain.at[-1] - chain.at[0])),
        unequal_u_bend=_unequal_u(chain),
        largest_intensification=largest([1.0, *(factors.get(key, 1.0) for key in chain.keys)]),
        extraneous_share=0.0,
        branches=_branches(chain, plant),
    )


def _unequal_u(chain: Chain) -> bool:
    """Three legs, the outer two antiparallel and of different length."""
    directions: list[np.ndarray] = []
    lengths: list[float] = []
    for segment in chain.segments:
        unit = np.asarray(segment.vector) / segment.length
        if directions and float(unit @ directions[-1]) > 1 - 1e-6:
            lengths[-1] += segment.length
        else:
            directions.append(unit)
            lengths.append(segment.length)
    is_u = len(lengths) == 3 and float(directions[0] @ directions[2]) < -1 + 1e-6
    return is_u and abs(lengths[0] - lengths[2]) > 0.01 * max(lengths)


def _extraneous(chain: Chain, displaced: np.ndarray) -> float:
    """Share of the displacement that does not lie along the line between the ends; 0 where nothing moves."""
    size = float(np.linalg.norm(displaced))
    between = chain.at[-1] - chain.at[0]
    distance = float(np.linalg.norm(between))
    if size < 1e-9 or distance < 1e-9:
        return 0.0
    along = float(displaced @ between) / distance
    return float(np.sqrt(max(0.0, size**2 - along**2)) / size)


def _branches(chain: Chain, plant: Plant) -> int:
    """Other segments that start or end at an inner point of the chain."""
    own = {s.source for s in chain.segments}
    ends = ends_at(plant)
    return sum(segment.source not in own for key in set(chain.keys[1:-1]) for segment, _ in ends[key])
