"""Code stresses at every section: sustained, displacement range, occasional and test, each with its governing case.

The code itself — equations, limits, factors by edition — is a record of ``checks/stress``; nothing here knows which.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import isfinite, nan

import numpy as np

from pipecalc.analysis.frame_cases import range_name, range_pairs
from pipecalc.analysis.ranges import temperatures
from pipecalc.analysis.stress_points import PointForces, StressPoint, is_known, line_of
from pipecalc.calc.frame import Array
from pipecalc.calc.material import allowable_at, modulus_at, yield_at
from pipecalc.calc.pressure import weld_strength_reduction
from pipecalc.checks.stress import code
from pipecalc.checks.stress.interface import NO_OPTIONS, Event, Factors, Forces, Geometry, Kind, StressCode, StressParts
from pipecalc.model import INSTALLED, Plant
from pipecalc.results import Case, Check, Status, status_of

SUSTAINED, RANGE, OCCASIONAL, TEST = (
    "sustained stress",
    "displacement stress range",
    "occasional stress",
    "test stress",
)
CHECK_NAMES: Mapping[Kind, str] = {
    Kind.SUSTAINED: SUSTAINED,
    Kind.RANGE: RANGE,
    Kind.OCCASIONAL: OCCASIONAL,
    Kind.TEST: TEST,
}


@dataclass(frozen=True, slots=True, eq=False)
class Setting:
    """What is the same for all cases: one entry for each section, shape (n,).

    Attributes:
        S_c: Allowable at the cold end of the cycle [Pa].
        S_h: Allowable at the hot end of the cycle [Pa].
        S_d: Allowable at design temperature, for sustained and occasional stress [Pa].
        S_y: Yield at installation temperature, for the test [Pa].
        W: Weld strength reduction at girth welds.
        pressure: Design pressure, not below zero [Pa].
        test_pressure: Test pressure [Pa]; NaN where none is given.
        f_m: Largest stress range factor.
        E_ratio: Modulus at the hot end over that at installation.
        cycles: Full cycles of the line.
    """

    code: StressCode
    edition: str
    geometry: Geometry
    factors: Factors
    S_c: Array
    S_h: Array
    S_d: Array
    S_y: Array
    W: Array
    pressure: Array
    test_pressure: Array
    f_m: Array
    E_ratio: Array
    cycles: Array


@dataclass(frozen=True, slots=True, eq=False)
class Verdicts:
    """Stress, limit and governing case of one kind for all sections, shape (n,)."""

    kind: Kind
    total: Array
    limit: Array
    case: tuple[str, ...]
    parts: tuple[StressParts | None, ...]
    extra: Mapping[str, Array]


def stress_checks(
    points: Sequence[StressPoint], forces: PointForces, cases: Sequence[Case], plant: Plant
) -> Iterator[Check]:
    """One verdict for every section and kind of check, of the case in which it is highest.

    Args:
        points: Sections.
        forces: Their forces, columns in the order of ``cases``.
        cases: Settled cases.
        plant: The plant.
    """
    if not points:
        return
    setting = _setting(points, plant)
    sustained = _sustained(setting, forces, cases)
    found = [sustained, _occasional(setting, forces, cases), _test(setting, forces, cases)]
    found.append(_range(setting, forces, cases, sustained, plant))
    for verdicts in found:
        if verdicts is not None:
            yield from _checks(verdicts, points, setting, plant)


def _setting(points: Sequence[StressPoint], plant: Plant) -> Setting:
    lines = [line_of(p, plant) for p in points]
    ends = {line.name: temperatures(line, plant) for line in plant.lines.values()}
    materials = [p.segment.material for p in points]
    ambient = plant.project.installation_temperature
    stress_code = code(plant.project.code, plant.project.edition)

    def each(value: Callable[[int], float]) -> Array:
        return np.array([value(n) for n in range(len(points))], dtype=float)

    hot = [ends[line.name][1] for line in lines]
    return Setting(
        code=stress_code,
        edition=plant.project.edition,
        geometry=Geometry.of(
            [p.section.outside_diameter for p in points],
            [p.section.wall for p in points],
            [line.corrosion_allowance for line in lines],
            [p.header.wall if p.header else nan for p in points],
            [p.header_allowance for p in points],
        ),
        factors=Factors.of(
            [p.factors.i_in for p in points],
            [p.factors.i_out for p in points],
            [p.part == "bend" for p in points],
            [p.factors.i_t for p in points],
        ),
        S_c=each(lambda n: allowable_at(materials[n], ends[lines[n].name][0])),
        S_h=each(lambda n: allowable_at(materials[n], hot[n])),
        S_d=each(lambda n: allowable_at(materials[n], lines[n].design_temperature)),
        S_y=each(lambda n: yield_at(materials[n], ambient)),
        W=each(lambda n: weld_strength_reduction(lines[n].design_temperature, materials[n].family)),
        pressure=each(lambda n: max(lines[n].design_pressure, 0.0)),
        test_pressure=each(lambda n: nan if lines[n].test_pressure is None else float(lines[n].test_pressure or 0.0)),
        f_m=each(
            lambda n: stress_code.largest_cycle_factor(materials[n].tensile_strength, hot[n], materials[n].family)
        ),
        E_ratio=each(lambda n: modulus_at(materials[n], hot[n]) / modulus_at(materials[n], ambient)),
        cycles=each(lambda n: lines[n].cycles),
    )


def _forces(forces: PointForces, column: int) -> Forces:
    return Forces.of(
        forces.axial[:, column], forces.torsion[:, column], forces.in_plane[:, column], forces.out_of_plane[:, column]
    )


def _columns(cases: Sequence[Case], kind: str) -> list[int]:
    return [number for number, case in enumerate(cases) if case.kind == kind]


def _highest(
    kind: Kind, found: Sequence[tuple[str, StressParts, Array]], extra: Mapping[str, Array] | None = None
) -> Verdicts | None:
    """Of several cases the one with the highest ratio at each section; a section without a number keeps NaN."""
    if not found:
        return None
    totals = np.array([parts.total for _, parts, _ in found])
    limits = np.array([limit for _, _, limit in found])
    ratios = totals / limits
    worst = np.argmax(np.where(np.isnan(ratios), -1.0, ratios), axis=0)
    pick = np.arange(totals.shape[1])
    return Verdicts(
        kind,
        totals[worst, pick],
        limits[worst, pick],
        tuple(found[w][0] for w in worst),
        tuple(found[w][1] for w in worst),
        extra or {},
    )


def _sustained(s: Setting, forces: PointForces, cases: Sequence[Case]) -> Verdicts | None:
    limit = s.code.limit_sustained(s.S_d, s.W)
    found = [
        (
            cases[c].case,
            s.code.sustained(s.geometry, _forces(forces, c), s.factors, s.pressure, s.edition, NO_OPTIONS),
            limit,
        )
        for c in _columns(cases, "sustained")
    ]
    return _highest(Kind.SUSTAINED, found, {"S_h": s.S_d, "W": s.W})


def _event(case: str) -> Event:
    if case.startswith("seismic"):
        return Event.EARTHQUAKE
    return Event.WIND if case.startswith("wind") else Event.RELIEF


def _occasional(s: Setting, forces: PointForces, cases: Sequence[Case]) -> Verdicts | None:
    """Cases hold sustained and occasional loads together; the event alone is the difference to the cold case."""
    weight = _columns(cases, "sustained")
    if not weight:
        return None
    base = _forces(forces, weight[0])
    found = []
    for c in _columns(cases, "occasional"):
        event = _forces(forces, c).minus(base)
        parts = s.code.occasional(s.geometry, base, event, s.factors, s.pressure, s.edition, NO_OPTIONS)
        found.append((cases[c].case, parts, s.code.limit_occasional(s.S_d, _event(cases[c].case))))
    return _highest(Kind.OCCASIONAL, found, {"S_h": s.S_d})


def _test(s: Setting, forces: PointForces, cases: Sequence[Case]) -> Verdicts | None:
    limit = s.code.limit_test(s.S_y)
    found = [
        (
            cases[c].case,
            s.code.test(s.geometry, _forces(forces, c), s.factors, s.test_pressure, s.edition, NO_OPTIONS),
            limit,
        )
        for c in _columns(cases, "test")
    ]
    return _highest(Kind.TEST, found, {"S_y": s.S_y})


def _range(
    s: Setting, forces: PointForces, cases: Sequence[Case], sustained: Verdicts | None, plant: Plant
) -> Verdicts | None:
    columns = _columns(cases, "range")
    if not columns:
        return None
    stresses = [s.code.displacement_range(s.geometry, _forces(forces, c), s.factors, s.edition) for c in columns]
    cycles = _equivalent_cycles(s, [cases[c].case for c in columns], stresses, plant)
    f = s.code.cycle_factor(cycles, s.f_m, s.edition)
    S_L = sustained.total if plant.project.use_sustained_margin and sustained is not None else None
    allowed = s.code.allowable_range(f, s.S_c, s.S_h, S_L, s.E_ratio)
    found = [(cases[c].case, parts, allowed.value) for c, parts in zip(columns, stresses, strict=True)]
    extra = {"f": f, "N": cycles, "f_m": s.f_m, "S_c": s.S_c, "S_h": s.S_h}
    if S_L is not None:
        extra["S_L"] = S_L
    return _highest(Kind.RANGE, found, extra)


def _equivalent_cycles(s: Setting, names: Sequence[str], stresses: Sequence[StressParts], plant: Plant) -> Array:
    """N = sum of r^m N over the ranges from the installed state, with those of the largest pair of states on top.

    The reference range is the largest of all pairs. A pair of states that exceeds every range from the installed
    state counts with the smaller number of cycles of its two states; that is on the safe side, since the same cycles
    are in the sum already.
    """
    totals = np.array([parts.total for parts in stresses])
    reference = totals.max(axis=0)
    exponent = s.code.editions[s.edition].exponent
    share = np.divide(totals, reference, out=np.zeros_like(totals), where=reference > 0)
    counts = {
        state.name: s.cycles if state.cycles is None else np.full(len(reference), state.cycles)
        for state in plant.states
    }
    pairs = {range_name(a, b): (a, b) for a, b in range_pairs(plant)}
    total = np.zeros(len(reference))
    for row, name in enumerate(names):
        a, b = pairs[name]
        if a == INSTALLED:
            total += share[row] ** exponent * counts[b]
        else:
            leads = (share[row] >= 1.0) & (reference > 0)
            total += np.where(leads, np.minimum(counts[a], counts[b]), 0.0)
    return np.where(reference > 0, total, s.cycles)


def _checks(verdicts: Verdicts, points: Sequence[StressPoint], s: Setting, plant: Plant) -> Iterator[Check]:
    name = CHECK_NAMES[verdicts.kind]
    clause = f"{s.code.clause(verdicts.kind, s.edition)}; {s.code.limit_clause(verdicts.kind, s.edition)}"
    for n, point in enumerate(points):
        demand, limit = float(verdicts.total[n]), float(verdicts.limit[n])
        if verdicts.kind is Kind.TEST and not isfinite(s.test_pressure[n]):
            continue
        status = status_of(demand, limit)
        yield Check(
            check=name,
            subject=point.segment.line,
            line=point.segment.line,
            point=point.where,
            case=verdicts.case[n],
            demand=demand,
            limit=limit,
            unit="Pa",
            ratio=demand / limit if limit > 0 else nan,
            status=status,
            clause=clause,
            reason=_reason(point, status),
            inputs=_inputs(verdicts, point, n),
            source=point.segment.source,
            rows=(point.segment.source.row,),
        )


def _reason(point: StressPoint, status: Status) -> str:
    if status is not Status.NOT_CHECKED:
        return ""
    if not is_known(point):
        return f"no intensification factor: {point.factors.kind}"
    return "no allowable stress, or the wall less allowances leaves nothing"


def _inputs(verdicts: Verdicts, point: StressPoint, n: int) -> dict[str, float | str]:
    found: dict[str, float | str] = {"part": point.part, "factors": f"{point.factors.kind}: {point.factors.source}"}
    parts = verdicts.parts[n]
    if parts is not None:
        values = {symbol: float(array[n]) for symbol, array in parts.inputs.items()}
        found |= {symbol: value for symbol, value in values.items() if isfinite(value)}
    found |= {symbol: float(array[n]) for symbol, array in verdicts.extra.items()}
    return found
