"""Pressure design of fittings: bends by 304.2.1, branches by area replacement of 304.3.3; hoop stress in the test."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from math import acos, cos, isfinite, nan, pi, radians, sin

import numpy as np

from pipecalc.analysis.stress_setting import weld_strength
from pipecalc.calc.material import Material, allowable_at, yield_at
from pipecalc.calc.pressure import (
    bend_design_thickness,
    bend_factor_extrados,
    bend_factor_intrados,
    nominal_thickness_needed,
    nominal_thickness_needed_absolute,
    required_thickness,
    y_coefficient,
)
from pipecalc.calc.reinforcement import Branch, Pad, Reinforcement, reinforcement
from pipecalc.calc.stress import hoop_stress
from pipecalc.checks.stress import code
from pipecalc.checks.stress.interface import Kind
from pipecalc.model import Item, Line, Plant, Section, Segment
from pipecalc.results import Check, Status, status_of

#: The code that the rules of this file belong to.
RULES = "ASME B31.3"
BEND_CHECK = "wall of bends"
BEND_CLAUSE = "ASME B31.3 304.2.1, eq. (3c) to (3e)"
MITRE_CLAUSE = "ASME B31.3 304.2.3"
BRANCH_CHECK = "branch reinforcement"
BRANCH_CLAUSE = "ASME B31.3 304.3.3, eq. (6) to (8)"
HOOP_CHECK = "test hoop stress"
PADDED = "reinforced fabricated tee"
FABRICATED = (PADDED, "unreinforced fabricated tee")
LISTED = ("welding tee", "welded-on fitting")
Key = tuple[str, str]
_STRAIGHT = cos(radians(0.5))


def hoop_checks(plant: Plant) -> Iterator[Check]:
    """Circumferential stress in the pressure test, pipe as new, of every different pipe of a tested line."""
    rules = code(plant.project.code, plant.project.edition)
    clause = rules.limit_clause(Kind.TEST, plant.project.edition)
    for line in plant.lines.values():
        if not line.test_pressure:
            continue
        pipes: dict[tuple[float, float, str], list[Segment]] = defaultdict(list)
        for segment in line.segments:
            for section in {segment.section, segment.end_section}:
                if segment.item in (Item.PIPE, Item.REDUCER):
                    pipes[section.outside_diameter, section.wall, segment.material.name].append(segment)
        for (D, T, _), same in pipes.items():
            S_y = yield_at(same[0].material, plant.project.installation_temperature)
            limit = float(rules.limit_test(S_y))
            yield _hoop_check(line, same, {"P": line.test_pressure, "D": D, "t": T, "S_y": S_y}, limit, clause)


def _hoop_check(line: Line, same: Sequence[Segment], inputs: dict[str, float], limit: float, clause: str) -> Check:
    demand = float(hoop_stress(inputs["P"], inputs["D"], inputs["t"]))
    status = status_of(demand, limit)
    return Check(
        check=HOOP_CHECK,
        subject=line.name,
        line=line.name,
        point=f"from {same[0].start}",
        case="pressure test",
        demand=demand,
        limit=limit,
        unit="Pa",
        ratio=demand / limit,
        status=status,
        clause=f"{clause}; S = P D/(2 t)",
        reason="yield strength at installation temperature is not known" if status is Status.NOT_CHECKED else "",
        inputs={name: value for name, value in inputs.items() if isfinite(value)},
        source=same[0].source,
        rows=tuple(segment.source.row for segment in same),
    )


def bend_checks(line: Line, title: str = RULES) -> Iterator[Check]:
    """Wall of every pipe bend at inside and outside of the turn; elbows to ASME B16.9 are rated as their pipe.

    Args:
        line: The line.
        title: The project's code; the rule is of one code only.
    """
    for segment in line.segments:
        turn = segment.turn
        if turn is None or turn.kind not in ("bend", "mitre", "none"):
            continue
        if turn.kind != "bend":
            reason = "mitred bends are not computed (304.2.3)" if title == RULES else _foreign(title)
            yield _verdict(BEND_CHECK, MITRE_CLAUSE, line, segment, nan, nan, "m", reason, {})
        else:
            yield _bend_check(line, segment, title)


def _foreign(title: str) -> str:
    return f"the rule is one of {RULES}, not of {title}"


def _bend_check(line: Line, segment: Segment, title: str) -> Check:
    section, radius = segment.end_section, segment.turn.radius if segment.turn else nan
    D, P, E = section.outside_diameter, line.design_pressure, line.weld_factor
    S = allowable_at(segment.material, line.design_temperature)
    Y = y_coefficient(segment.material.family, line.design_temperature)
    W = weld_strength(line, segment.material)
    sides = {"intrados": bend_factor_intrados(radius, D), "extrados": bend_factor_extrados(radius, D)}
    t = {name: bend_design_thickness(max(P, 0.0), D, S, E, W, Y, I_b) for name, I_b in sides.items()}
    side = max(t, key=lambda name: (np.isnan(t[name]), t[name]))
    c = line.corrosion_allowance
    needed = nan if P < 0 else _nominal(required_thickness(t[side], c), line)
    inputs = {"P": P, "D": D, "S": S, "E": E, "W": W, "Y": Y, "R1": radius, "I_b": sides[side], "t": t[side], "c": c}
    inputs |= {"u": line.mill_tolerance} if line.mill_tolerance_length is None else {"u_t": line.mill_tolerance_length}
    reason = _bend_reason(line, S, W)
    if title != RULES:
        needed, reason = nan, _foreign(title)
    elif isfinite(needed):
        reason = "thinning by bending is not deducted: the bend's own least wall must meet t + c"
    found = _verdict(BEND_CHECK, BEND_CLAUSE, line, segment, needed, section.wall, "m", reason, inputs)
    return replace(found, point=f"{segment.end}, {side}")


def _bend_reason(line: Line, S: float, W: float) -> str:
    if line.design_pressure < 0:
        return "external pressure, which 304.1.3 covers and this check does not"
    if not isfinite(S):
        return "no allowable stress is known at design temperature"
    if not isfinite(W):
        return "weld strength reduction factor W is not known at design temperature: give it on Lines"
    return "outside the thin-wall formula of 304.1.2(a), or a radius below half the diameter"


def _nominal(t_m: float, line: Line) -> float:
    if line.mill_tolerance_length is not None:
        return nominal_thickness_needed_absolute(t_m, line.mill_tolerance_length)
    return nominal_thickness_needed(t_m, line.mill_tolerance)


def branch_checks(plant: Plant) -> Iterator[Check]:
    """Area replacement of every fabricated branch; of other kinds, how they are proven."""
    meeting: dict[Key, list[Segment]] = defaultdict(list)
    for line in plant.lines.values():
        for segment in line.segments:
            meeting[segment.start_key].append(segment)
            meeting[segment.end_key].append(segment)
    for key, found in meeting.items():
        named = [segment for segment in found if segment.branch and segment.end_key == key]
        pair = _header(found, key)
        legs = [s for s in found if pair is not None and s not in pair]
        if named and pair is not None and len(legs) == 1:
            yield _branch_check(named[0], pair, legs[0], key, plant)
        elif named or (pair is not None and legs):
            segment = (named or found)[0]
            reason = "no kind is named in Branch at To" if not named else "no header with one branch meets there"
            line = plant.lines[segment.line]
            yield _at(_verdict(BRANCH_CHECK, BRANCH_CLAUSE, line, segment, nan, nan, "m**2", reason, {}), key)


def _at(found: Check, key: Key) -> Check:
    return replace(found, point=key[1] if key[0] == found.line else "/".join(key))


def _away(segment: Segment, key: Key) -> np.ndarray:
    """Unit vector of a run leading away from one of its points."""
    unit = np.asarray(segment.vector) / segment.length
    return -unit if segment.end_key == key else unit


def _header(found: Sequence[Segment], key: Key) -> tuple[Segment, Segment] | None:
    """The two runs that lead straight through a point where three or more meet."""
    if len(found) < 3:
        return None
    for n, a in enumerate(found):
        for b in found[n + 1 :]:
            if float(_away(a, key) @ _away(b, key)) <= -_STRAIGHT:
                return a, b
    return None


def _branch_check(named: Segment, pair: tuple[Segment, Segment], leg: Segment, key: Key, plant: Plant) -> Check:
    kind, line = named.branch, plant.lines[named.line]
    if plant.project.code != RULES:
        reason = _foreign(plant.project.code)
    elif kind in LISTED:
        found = _verdict(BRANCH_CHECK, "ASME B31.3 304.3.2", line, named, nan, nan, "m**2", "", {})
        proven = f"a {kind} is proven by its own standard, which must cover the design pressure"
        return _at(replace(found, status=Status.NOT_APPLICABLE, reason=proven), key)
    elif kind not in FABRICATED:
        reason = f"{kind}: its rule (304.3.4) is not computed"
    elif kind == PADDED and named.pad_width is None:
        reason = "the pad's width is not given"
    else:
        areas = reinforcement(_branch(named, pair, leg, key, plant))
        return _at(_area_check(line, named, areas), key)
    return _at(_verdict(BRANCH_CHECK, BRANCH_CLAUSE, line, named, nan, nan, "m**2", reason, {}), key)


def _section_at(segment: Segment, key: Key) -> Section:
    return segment.end_section if segment.end_key == key else segment.section


def _branch(named: Segment, pair: tuple[Segment, Segment], leg: Segment, key: Key, plant: Plant) -> Branch:
    """Header with its thinner wall; pressure and temperature the higher of both lines."""
    run, own = plant.lines[pair[0].line], plant.lines[leg.line]
    header = min((_section_at(s, key) for s in pair), key=lambda s: s.wall)
    branch = _section_at(leg, key)
    temperature = max(run.design_temperature, own.design_temperature)
    angle = acos(min(1.0, abs(float(_away(pair[0], key) @ _away(leg, key)))))
    return Branch(
        pressure=max(run.design_pressure, own.design_pressure),
        angle=min(angle, pi / 2),
        header_diameter=header.outside_diameter,
        header_wall=_least(header, run),
        header_strength=_strength(pair[0].material, run, temperature),
        branch_diameter=branch.outside_diameter,
        branch_wall=_least(branch, own),
        branch_strength=_strength(leg.material, own, temperature),
        allowance=max(run.corrosion_allowance, own.corrosion_allowance),
        y=y_coefficient(pair[0].material.family, temperature),
        pad=_pad(named, pair[0], branch, angle, temperature),
    )


def _strength(material: Material, line: Line, temperature: float) -> float:
    """Allowable stress with quality factor and W [Pa]."""
    return allowable_at(material, temperature) * line.weld_factor * weld_strength(line, material)


def _pad(named: Segment, header: Segment, branch: Section, angle: float, temperature: float) -> Pad | None:
    """The ring, of the header's material; its width is measured along the header."""
    if named.branch != PADDED:
        return None
    reach = branch.outside_diameter / sin(angle) + 2.0 * (named.pad_width or 0.0)
    return Pad(named.pad_thickness, reach, allowable_at(header.material, temperature))


def _least(section: Section, line: Line) -> float:
    """Wall less mill tolerance [m]."""
    if line.mill_tolerance_length is not None:
        return section.wall - line.mill_tolerance_length
    return section.wall * (1.0 - line.mill_tolerance)


def _area_check(line: Line, segment: Segment, areas: Reinforcement) -> Check:
    """Required against available area; no area at all is a fail where some is required."""
    reason = "; ".join(areas.reasons) or "fillet welds are not counted; the pad is taken as of the header's material"
    found = _verdict(
        BRANCH_CHECK, BRANCH_CLAUSE, line, segment, areas.required, areas.available, "m**2", reason, areas.inputs
    )
    if isfinite(areas.required) and isfinite(areas.available) and areas.available <= 0:
        return replace(found, status=Status.PASS if areas.required <= 0 else Status.FAIL)
    return found


def _verdict(
    check: str,
    clause: str,
    line: Line,
    segment: Segment,
    demand: float,
    limit: float,
    unit: str,
    reason: str,
    inputs: Mapping[str, float],
) -> Check:
    return Check(
        check=check,
        subject=line.name,
        line=line.name,
        point=segment.end,
        case="design",
        demand=demand,
        limit=limit,
        unit=unit,
        ratio=demand / limit if limit > 0 else nan,
        status=status_of(demand, limit),
        clause=clause,
        reason=reason,
        inputs={name: float(value) for name, value in inputs.items() if isfinite(value)},
        source=segment.source,
        rows=(segment.source.row,),
    )
