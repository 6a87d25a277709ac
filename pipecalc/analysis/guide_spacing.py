"""Distance of guides: on risers against wind and buckling, on horizontal runs against wind.

The ends of a straight run count as held sideways by what the line turns into. On a riser the limit is the least of: the
wind span by a quarter of the allowable stress and by the project's sag; the Euler length with a safety factor of 3 for
the largest compression; and one and a half times the published span of the size (common practice, 1.3 to 2 times).
Horizontal runs are checked where the project gives a wind pressure.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import pairwise
from math import isfinite, nan

from pipecalc.analysis.lines import segment_mass
from pipecalc.analysis.span_runs import StraightRun, straight_runs
from pipecalc.analysis.spans import STRESS_SHARE, published_spans
from pipecalc.calc.column import guide_spacing_by_buckling, standing_height
from pipecalc.calc.material import allowable_at, modulus_at
from pipecalc.calc.section import PipeSection
from pipecalc.calc.span import END_CONDITIONS, span_by_sag, span_by_stress
from pipecalc.calc.weight import GRAVITY
from pipecalc.model import Item, Plant, Segment
from pipecalc.results import Check, MemberForce, Status, status_of

GUIDE_CHECK = "guide spacing"
STANDING_CHECK = "vertical run"
GUIDE_CLAUSE = (
    "Timoshenko and Gere, Theory of Elastic Stability, 2.1, with a factor of 3; "
    "wind and 1.5 published spans: common practice"
)
STANDING_CLAUSE = "Timoshenko and Gere, Theory of Elastic Stability, 2.12, with a factor of 3 on the weight"
BUCKLING_FACTOR = 3.0
PRACTICE_FACTOR = 1.5


def guide_checks(plant: Plant, members: Sequence[MemberForce] = ()) -> Iterator[Check]:
    """Unguided lengths of all straight runs that need guides, and risers that stand without any; screening.

    Args:
        plant: The plant.
        members: Section forces, from which the largest compression of a riser is taken beside its own weight.
    """
    pushed = _compressions(members)
    for run in straight_runs(plant):
        if run.upright or plant.project.wind_pressure:
            yield from _spacings(run, plant, pushed)
        if run.upright and not any(tag for _, _, tag in run.stations):
            yield _standing(run, plant)


def _compressions(members: Iterable[MemberForce]) -> Mapping[tuple[str, str, str], float]:
    """Largest compression by line and ends of the segment [N]."""
    found: dict[tuple[str, str, str], float] = {}
    for member in members:
        if member.part == "run":
            key = (member.line, member.from_, member.to)
            found[key] = max(found.get(key, 0.0), -member.axial)
    return found


def _spacings(run: StraightRun, plant: Plant, pushed: Mapping[tuple[str, str, str], float]) -> Iterator[Check]:
    limits = _limits(run, plant, pushed)
    known = {name: value for name, value in limits.items() if isfinite(value)}
    governs = min(known, key=known.__getitem__) if known else ""
    # Wind without an allowable stress is not judged by the rest alone.
    limit = known[governs] if len(known) == len(limits) and governs else nan
    for (a, start, tag_a), (b, end, tag_b) in pairwise(run.stations):
        yield Check(
            check=GUIDE_CHECK,
            subject=run.line,
            line=run.line,
            point=f"{start[1]} to {end[1]}",
            case="wind and weight" if plant.project.wind_pressure else "weight",
            demand=b - a,
            limit=limit,
            unit="m",
            ratio=(b - a) / limit if limit > 0 else nan,
            status=status_of(b - a, limit),
            clause=GUIDE_CLAUSE,
            reason=_reason(governs, limits, tag_a, tag_b),
            inputs={**_numbers(run, plant, pushed), **{f"spacing by {k}": v for k, v in limits.items()}},
            source=run.segments[0].source,
            rows=_rows(run, a, b),
            screening=True,
        )


def _reason(governs: str, limits: Mapping[str, float], tag_a: str, tag_b: str) -> str:
    missing = [name for name, value in limits.items() if not isfinite(value)]
    if missing:
        return f"not checked: nothing known by {', '.join(missing)}"
    return f"{governs} governs; between {tag_a or 'a turn'} and {tag_b or 'a turn'}"


def _rows(run: StraightRun, a: float, b: float) -> tuple[int, ...]:
    rows, at = [], 0.0
    for segment in run.segments:
        if at < b and at + segment.length > a:
            rows.append(segment.source.row)
        at += segment.length
    return tuple(rows)


def _limits(run: StraightRun, plant: Plant, pushed: Mapping[tuple[str, str, str], float]) -> dict[str, float]:
    numbers = _numbers(run, plant, pushed)
    ends = END_CONDITIONS["continuous"]
    limits = {}
    if plant.project.wind_pressure:
        limits["wind stress"] = span_by_stress(numbers["S_w"], numbers["Z"], numbers["w_wind"], ends.n)
        limits["wind sag"] = span_by_sag(plant.project.limit_sag, numbers["E"], numbers["I"], numbers["w_wind"], ends.c)
    if run.upright:
        limits["buckling"] = guide_spacing_by_buckling(numbers["E"], numbers["I"], numbers["P_c"], BUCKLING_FACTOR)
        published = published_spans(plant.lines[run.line].section.nps)["published span, water"]
        # A size that is not printed has no practice to follow; its own limits stand alone.
        if isfinite(published):
            limits["practice"] = PRACTICE_FACTOR * published
    return limits


def _numbers(run: StraightRun, plant: Plant, pushed: Mapping[tuple[str, str, str], float]) -> dict[str, float]:
    line = plant.lines[run.line]
    pipe = min(_pipes(run), key=lambda s: s.section.outside_diameter)
    section = PipeSection(pipe.section.outside_diameter, pipe.section.wall)
    weight = _weight(run, plant)
    wide = max(s.section.outside_diameter for s in run.segments) + 2.0 * line.insulation_thickness
    wind = (plant.project.wind_pressure or 0.0) * plant.project.wind_shape_factor * wide
    compressed = max((pushed.get((run.line, s.start, s.end), 0.0) for s in run.segments), default=0.0)
    return {
        "E": modulus_at(pipe.material, plant.states[0].segment_temperature(pipe)),
        "I": section.moment_of_inertia,
        "Z": section.corroded(line.corrosion_allowance).section_modulus,
        "S_w": STRESS_SHARE * allowable_at(pipe.material, line.design_temperature),
        "w": weight / run.length,
        "w_wind": wind,
        "P_c": max(weight if run.upright else 0.0, compressed),
    }


def _pipes(run: StraightRun) -> list[Segment]:
    return [s for s in run.segments if s.item in (Item.PIPE, Item.REDUCER)] or list(run.segments)


def _weight(run: StraightRun, plant: Plant) -> float:
    """Weight of a run with its items and contents [N]."""
    line = plant.lines[run.line]
    return GRAVITY * sum(segment_mass(line, segment, line.fluid_density) for segment in run.segments)


def _standing(run: StraightRun, plant: Plant) -> Check:
    """A riser that nothing guides: how high it may stand on its foot, should the line above not hold it."""
    numbers = _numbers(run, plant, {})
    limit = standing_height(numbers["E"], numbers["I"], numbers["w"], BUCKLING_FACTOR)
    return Check(
        check=STANDING_CHECK,
        subject=run.line,
        line=run.line,
        point=f"{run.stations[0][1][1]} to {run.stations[-1][1][1]}",
        case="weight",
        demand=run.length,
        limit=limit,
        unit="m",
        ratio=run.length / limit if limit > 0 else nan,
        status=status_of(run.length, limit) if isfinite(limit) else Status.NOT_CHECKED,
        clause=STANDING_CLAUSE,
        reason="no guide, anchor or nozzle holds it sideways",
        inputs=numbers,
        source=run.segments[0].source,
        rows=tuple(segment.source.row for segment in run.segments),
        screening=True,
    )
