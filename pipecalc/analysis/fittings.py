"""Pressure design of fittings: bends by 304.2.1, fabricated branches by area replacement of 304.3.3."""

from collections import defaultdict
from collections.abc import Iterator
from math import acos, nan

import numpy as np

from pipecalc.calc.material import allowable_at
from pipecalc.calc.pressure import (
    bend_design_thickness,
    bend_factor_extrados,
    bend_factor_intrados,
    nominal_thickness_needed,
    nominal_thickness_needed_absolute,
    required_thickness,
    y_coefficient,
)
from pipecalc.calc.reinforcement import Branch, Pad, reinforcement
from pipecalc.model import Line, Plant, Section, Segment
from pipecalc.results import Check, Status, status_of

BEND_CHECK = "wall of bends"
BEND_CLAUSE = "ASME B31.3 304.2.1, eq. (3c) to (3e)"
BRANCH_CHECK = "branch reinforcement"
BRANCH_CLAUSE = "ASME B31.3 304.3.3, eq. (6) to (8)"
FABRICATED = ("reinforced fabricated tee", "unreinforced fabricated tee")
_RIGHT_ANGLE = np.pi / 2


def bend_checks(line: Line) -> Iterator[Check]:
    """Wall of every pipe bend at inside and outside of the turn; elbows to ASME B16.9 are rated as their pipe."""
    for segment in line.segments:
        if segment.turn is not None and segment.turn.kind == "bend":
            yield _bend_check(line, segment)


def _bend_check(line: Line, segment: Segment) -> Check:
    section, radius = segment.end_section, segment.turn.radius if segment.turn else nan
    D, P = section.outside_diameter, line.design_pressure
    S = allowable_at(segment.material, line.design_temperature)
    Y = y_coefficient(segment.material.family, line.design_temperature)
    sides = {"intrados": bend_factor_intrados(radius, D), "extrados": bend_factor_extrados(radius, D)}
    t = {name: bend_design_thickness(max(P, 0.0), D, S, line.weld_factor, 1.0, Y, I_b) for name, I_b in sides.items()}
    side = max(t, key=lambda name: (np.isnan(t[name]), t[name]))
    needed = nan if P < 0 else _nominal(required_thickness(t[side], line.corrosion_allowance), line)
    status = status_of(needed, section.wall)
    return Check(
        check=BEND_CHECK,
        subject=line.name,
        line=line.name,
        point=f"{segment.end}, {side}",
        case="design",
        demand=needed,
        limit=section.wall,
        unit="m",
        ratio=needed / section.wall,
        status=status,
        clause=BEND_CLAUSE,
        reason="outside the formula, or no allowable stress" if status is Status.NOT_CHECKED else "",
        inputs={"P": P, "D": D, "S": S, "E": line.weld_factor, "W": 1.0, "Y": Y, "I_b": sides[side], "t": t[side]},
        source=segment.source,
        rows=(segment.source.row,),
    )


def _nominal(t_m: float, line: Line) -> float:
    if line.mill_tolerance_length is not None:
        return nominal_thickness_needed_absolute(t_m, line.mill_tolerance_length)
    return nominal_thickness_needed(t_m, line.mill_tolerance)


def branch_checks(plant: Plant) -> Iterator[Check]:
    """Area replacement of every fabricated branch; other kinds are proven by their own standards."""
    starting: dict[tuple[str, str], list[Segment]] = defaultdict(list)
    for line in plant.lines.values():
        for segment in line.segments:
            starting[segment.start_key].append(segment)
            starting[segment.end_key].append(segment)
    for line in plant.lines.values():
        for segment in line.segments:
            if segment.branch in FABRICATED:
                others = [s for s in starting[segment.end_key] if s.source != segment.source]
                yield _branch_check(line, segment, others, plant)


def _branch_check(line: Line, segment: Segment, others: list[Segment], plant: Plant) -> Check:
    leg = next((s for s in others if abs(_cosine(segment, s)) < 1 - 1e-6), None)
    if leg is None:
        return _branch_verdict(line, segment, nan, nan, "no branch leaves the header there", {})
    if segment.branch == "reinforced fabricated tee" and segment.pad_width is None:
        return _branch_verdict(line, segment, nan, nan, "the pad's width is not given", {})
    found = reinforcement(_branch(line, segment, leg, plant))
    return _branch_verdict(line, segment, found.required, found.available, "; ".join(found.reasons), found.inputs)


def _cosine(a: Segment, b: Segment) -> float:
    first, second = np.asarray(a.vector), np.asarray(b.vector)
    return float(first @ second / (a.length * b.length))


def _branch(line: Line, header: Segment, leg: Segment, plant: Plant) -> Branch:
    branch_line = plant.lines[leg.line]
    angle = acos(abs(_cosine(header, leg)))
    S_h = allowable_at(header.material, line.design_temperature) * line.weld_factor
    S_b = allowable_at(leg.material, line.design_temperature) * branch_line.weld_factor
    pad = None
    if header.branch == "reinforced fabricated tee":
        width = leg.section.outside_diameter + 2.0 * (header.pad_width or 0.0)
        pad = Pad(header.pad_thickness, width, allowable_at(header.material, line.design_temperature))
    return Branch(
        pressure=line.design_pressure,
        angle=min(angle, _RIGHT_ANGLE),
        header_diameter=header.end_section.outside_diameter,
        header_wall=_least(header.end_section, line),
        header_strength=S_h,
        branch_diameter=leg.section.outside_diameter,
        branch_wall=_least(leg.section, branch_line),
        branch_strength=S_b,
        allowance=max(line.corrosion_allowance, branch_line.corrosion_allowance),
        y=y_coefficient(header.material.family, line.design_temperature),
        pad=pad,
    )


def _least(section: Section, line: Line) -> float:
    """Wall less mill tolerance [m]."""
    if line.mill_tolerance_length is not None:
        return section.wall - line.mill_tolerance_length
    return section.wall * (1.0 - line.mill_tolerance)


def _branch_verdict(
    line: Line, segment: Segment, required: float, available: float, reason: str, inputs: dict[str, float]
) -> Check:
    return Check(
        check=BRANCH_CHECK,
        subject=line.name,
        line=line.name,
        point=segment.end,
        case="design",
        demand=required,
        limit=available,
        unit="m**2",
        ratio=required / available if available > 0 else nan,
        status=_area_status(required, available),
        clause=BRANCH_CLAUSE,
        reason=reason or "fillet welds are not counted",
        inputs=inputs,
        source=segment.source,
        rows=(segment.source.row,),
    )


def _area_status(required: float, available: float) -> Status:
    """No area at all is a fail where some is required."""
    if np.isfinite(required) and np.isfinite(available) and available <= 0:
        return Status.PASS if required <= 0 else Status.FAIL
    return status_of(required, available)
