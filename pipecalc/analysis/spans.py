"""Support spans of every line by stress, sag and natural frequency, beside the published table.

Limits, each common practice unless a source stands with it:

* Stress from weight: a quarter of the basic allowable stress at design temperature. Pressure may take half of it along
  the pipe; half of the rest is left to whatever else acts. The wall is taken without its corrosion allowance.
* Sag: the project's limit, with the nominal wall and the modulus in operation.
* Frequency: 4 Hz.
* Three quarters of all that where a span turns or climbs.

The published table (MSS SP-58) stands beside for comparison: standard wall, 10.35 MPa, 2.54 mm of sag, no concentrated
load. Spans differ from it because they have their own wall, contents, insulation, limits and loads.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping
from math import isfinite, nan

from pipecalc import tables
from pipecalc.analysis.span_runs import Span, spans
from pipecalc.calc import span_loads
from pipecalc.calc.material import allowable_at, modulus_at
from pipecalc.calc.section import PipeSection
from pipecalc.calc.span import END_CONDITIONS, EndCondition
from pipecalc.calc.weight import GRAVITY
from pipecalc.model import Item, Line, Plant, Segment
from pipecalc.results import Check, status_of

SPAN_CHECK = "span"
SPAN_CLAUSE = (
    "MSS SP-58 for the kind of limit; a quarter of the allowable stress, the project's sag and 4 Hz: common practice"
)
STRESS_SHARE = 0.25
LEAST_FREQUENCY = 4.0  # Hz, ordinary piping; 6 to 8 Hz where machines or two-phase flow shake it
TURNED = 0.75
#: Contents lighter than this count as steam, gas or air in the published table.
LIQUID_FROM = 500.0  # kg/m3
_OVERHANG = EndCondition(2.0, 8.0, 3.5160)  # Roark, 8th ed., Tables 8.1 and 16.1: one end fixed, the other free
_FOOT = 0.3048


def span_checks(plant: Plant, leave_out: Collection[str] = ()) -> Iterator[Check]:
    """Length of every span against what stress, sag and frequency allow; screening.

    Args:
        plant: The plant.
        leave_out: Supports that do not act, such as rests that the hot pipe leaves.
    """
    return (span_check(span, plant) for span in spans(plant, leave_out))


def span_check(span: Span, plant: Plant) -> Check:
    """Verdict on one span."""
    line = plant.lines[span.line]
    inputs = span_inputs(span, line, plant)
    limits = {name: float(inputs[f"span by {name}"]) for name in ("stress", "sag", "frequency")}
    known = all(isfinite(value) for value in limits.values())
    governs = min(limits, key=limits.__getitem__) if known else ""
    limit = limits[governs] if governs else nan
    return Check(
        check=SPAN_CHECK,
        subject=span.line,
        line=span.line,
        point=f"{span.keys[0][1]} to {span.keys[1][1]}",
        case="weight in operation",
        demand=span.length,
        limit=limit,
        unit="m",
        ratio=span.length / limit if limit > 0 else nan,
        status=status_of(span.length, limit),
        clause=SPAN_CLAUSE,
        reason=_reason(span, governs, inputs),
        inputs=inputs,
        source=span.segments[0].source,
        rows=span.rows,
        screening=True,
    )


def _reason(span: Span, governs: str, inputs: Mapping[str, float | str]) -> str:
    if not governs:
        missing = "no allowable stress" if not isfinite(float(inputs["S_w"])) else "outside the formulas"
        return f"not checked: {missing}"
    words = [f"{governs} governs"]
    if span.overhangs:
        words.append(f"overhang beyond {span.held_by[0]}")
    if inputs["factor"] != 1.0:
        words.append("it turns or climbs: three quarters of the straight span")
    if span.loads:
        words.append(f"{sum(mass for _, mass in span.loads):.0f} kg concentrated")
    return "; ".join(words)


def span_inputs(span: Span, line: Line, plant: Plant) -> dict[str, float | str]:
    """Every number of a span by symbol, SI, and its three lengths with the factor for turns in them."""
    ends = _OVERHANG if span.overhangs else END_CONDITIONS["continuous"]
    factor = 1.0 if span.straight else TURNED
    numbers = _section_numbers(span, line, plant)
    w, P_m, P_y, M_d = span.uniform * GRAVITY, *_load_sums(span)
    E, I, Z, S_w = (numbers[key] for key in ("E", "I", "Z", "S_w"))
    y, m = plant.project.limit_sag, span.uniform
    by_stress = (
        span_loads.overhang_by_stress(S_w, Z, w, P_m)
        if span.overhangs
        else span_loads.loaded_span_by_stress(S_w, Z, w, ends.n, P_m)
    )
    lengths = {
        "span by stress": by_stress,
        "span by sag": _by_sag(span, y, E, I, w, ends, P_y),
        "span by frequency": span_loads.loaded_span_by_frequency(LEAST_FREQUENCY, E, I, m, M_d, ends.lambda_squared),
    }
    return {
        **numbers,
        "w": w,
        "P": sum(mass for _, mass in span.loads) * GRAVITY,
        "L": span.length,
        "y": y,
        "n": ends.n,
        "c": ends.c,
        "lambda_squared": ends.lambda_squared,
        "factor": factor,
        **{name: factor * length for name, length in lengths.items()},
        "stress": _stress(span, w, Z, ends, P_m),
        "sag": _sag(span, w, E, I, ends, P_y),
        "frequency": span_loads.loaded_frequency(span.length, E, I, m, M_d, ends.lambda_squared),
        **published_spans(line.section.nps),
        "published for": "water" if line.fluid_density >= LIQUID_FROM else "steam, gas or air",
        "held by": " and ".join(name or "nothing" for name in span.held_by),
    }


def _stress(span: Span, w: float, Z: float, ends: EndCondition, P_m: float) -> float:
    if span.overhangs:
        return (w * span.length**2 / 2.0 + P_m * span.length) / Z
    return span_loads.loaded_span_stress(w, span.length, Z, ends.n, P_m)


def _sag(span: Span, w: float, E: float, I: float, ends: EndCondition, P_y: float) -> float:
    if span.overhangs:
        return (w * span.length**4 / 8.0 + P_y * span.length**3) / (E * I)
    return span_loads.loaded_span_sag(w, span.length, E, I, ends.c, P_y)


def _by_sag(span: Span, y: float, E: float, I: float, w: float, ends: EndCondition, P_y: float) -> float:
    if span.overhangs:
        return span_loads.length_by_quartic(w / (8.0 * E * I), P_y / (E * I), y)
    return span_loads.loaded_span_by_sag(y, E, I, w, ends.c, P_y)


def _load_sums(span: Span) -> tuple[float, float, float]:
    """Sums of the concentrated loads for moment [N], sag [N] and frequency [kg]."""
    if span.overhangs:
        moment = sum(mass * s for s, mass in span.loads)
        # Roark, 8th ed., Table 8.1: P a² (3 L - a)/(6 E I) at the free end.
        sag = sum(mass * s**2 * (3.0 - s) / 6.0 for s, mass in span.loads)
        return moment * GRAVITY, sag * GRAVITY, sum(mass * s**3 for s, mass in span.loads)
    moment = sum(mass * span_loads.load_moment_share(s) for s, mass in span.loads)
    sag = sum(mass * span_loads.load_sag_share(min(s, 1.0 - s)) for s, mass in span.loads)
    return moment * GRAVITY, sag * GRAVITY, sum(mass * (s * (1.0 - s)) ** 2 for s, mass in span.loads)


def _section_numbers(span: Span, line: Line, plant: Plant) -> dict[str, float]:
    """The weakest pipe of a span stands for all of it; a span of items alone takes the line's own."""
    pipes = [s for s in span.segments if s.item in (Item.PIPE, Item.REDUCER)] or list(span.segments)
    return {
        "Z": _lowest(_modulus(s, line) for s in pipes),
        "I": _lowest(_inertia(s) for s in pipes),
        "E": _lowest(modulus_at(s.material, plant.states[0].segment_temperature(s)) for s in pipes),
        "S_w": STRESS_SHARE * _lowest(allowable_at(s.material, line.design_temperature) for s in pipes),
    }


def _lowest(values: Iterable[float]) -> float:
    """The lowest value; NaN where one is missing."""
    found = list(values)
    return min(found) if all(isfinite(value) for value in found) else nan


def _modulus(segment: Segment, line: Line) -> float:
    sections = (segment.section, segment.end_section)
    c = line.corrosion_allowance
    return _lowest(PipeSection(s.outside_diameter, s.wall).corroded(c).section_modulus for s in sections)


def _inertia(segment: Segment) -> float:
    sections = (segment.section, segment.end_section)
    return _lowest(PipeSection(s.outside_diameter, s.wall).moment_of_inertia for s in sections)


def published_spans(nps: float | None) -> dict[str, float]:
    """Printed spans for a size [m]; NaN where the table has none.

    Source: MSS SP-58 (former SP-69), suggested spans.
    """
    rows = tables.load("spans_mss_sp_58").where("NPS [-]", f"{nps:g}").rows if nps is not None else ()
    if not rows:
        return {"published span, water": nan, "published span, gas": nan}
    return {f"published span, {what}": tables.number(rows[0][f"span {what} [ft]"]) * _FOOT for what in ("water", "gas")}
