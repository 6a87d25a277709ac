"""Code stresses at every section: sustained, displacement range, occasional and test, each with its governing case.

The code itself — equations, limits, factors by edition — is a record of ``checks/stress``; nothing here knows which.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import isfinite, nan

import numpy as np
from numpy.typing import NDArray

from pipecalc.analysis.frame_cases import SUSTAINED as COLD
from pipecalc.analysis.frame_cases import range_name, range_pairs
from pipecalc.analysis.stress_cycles import Cycles, cycles_allowed, equivalent_cycles
from pipecalc.analysis.stress_forces import PointForces
from pipecalc.analysis.stress_points import StressPoint
from pipecalc.analysis.stress_setting import Setting, setting_of, why_unknown
from pipecalc.calc.fatigue import usage
from pipecalc.calc.frame import Array
from pipecalc.checks.stress.interface import NO_OPTIONS, Event, Forces, Kind, StressParts, array_form, scalar_form
from pipecalc.model import Item, Line, Plant, Segment
from pipecalc.results import Case, Check, Status, status_of

SUSTAINED, RANGE, OCCASIONAL, TEST = (
    "sustained stress",
    "displacement stress range",
    "occasional stress",
    "test stress",
)
ITEMS = "stress of items"
CHECK_NAMES: Mapping[Kind, str] = {
    Kind.SUSTAINED: SUSTAINED,
    Kind.RANGE: RANGE,
    Kind.OCCASIONAL: OCCASIONAL,
    Kind.TEST: TEST,
}
_KINDS = {"sustained": Kind.SUSTAINED, "range": Kind.RANGE, "occasional": Kind.OCCASIONAL, "test": Kind.TEST}


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """Stress and limit of one case at all sections.

    Attributes:
        case: Name of the case.
        parts: The stress with its parts.
        limit: Its limit [Pa], shape (n,).
        inputs: Numbers behind the limit by symbol, shape (n,); NaN where one does not act.
        beside: The sustained case that an event is added to, or empty.
        cycles: What the cycles come from, for displacement ranges.
    """

    case: str
    parts: StressParts
    limit: Array
    inputs: Mapping[str, Array]
    beside: str = ""
    cycles: Cycles | None = None


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
    yield from _items(plant)
    if not points:
        return
    setting = setting_of(points, plant)
    sustained = _sustained(setting, forces, cases)
    found = [sustained, _occasional(setting, forces, cases), _test(setting, forces, cases)]
    found.append(_range(setting, forces, cases, sustained))
    for same, kind in zip(found, (Kind.SUSTAINED, Kind.OCCASIONAL, Kind.TEST, Kind.RANGE), strict=True):
        if same:
            yield from _checks(kind, same, setting)


def left_out_checks(cases: Sequence[Case], settled: Sequence[Case], plant: Plant) -> Iterator[Check]:
    """Stresses of cases that did not settle are not checked, whatever the others gave."""
    usable = {case.case for case in settled}
    for case in cases:
        if case.case not in usable and case.kind in _KINDS:
            for line in plant.lines.values():
                found = _without(CHECK_NAMES[_KINDS[case.kind]], line, "the case did not settle")
                yield replace(found, case=case.case)


def _items(plant: Plant) -> Iterator[Check]:
    """Valves, flanges and rigid items are rated by their own standards; the movements of joints by their makers."""
    for line in plant.lines.values():
        for segment in line.segments:
            if segment.item in (Item.VALVE, Item.FLANGE, Item.RIGID):
                reason = f"a {segment.item} is rated by its own standard; the pipe at its ends is checked"
                yield replace(_without(ITEMS, line, reason, segment), status=Status.NOT_APPLICABLE)
            elif segment.item is Item.EXPANSION_JOINT:
                yield _without(ITEMS, line, "movements of the expansion joint are for its maker to accept", segment)


def _without(check: str, line: Line, reason: str, segment: Segment | None = None) -> Check:
    """Nothing was checked of a segment, or of the whole line."""
    meant = line.segments if segment is None else (segment,)
    return Check(
        check=check,
        subject=line.name,
        line=line.name,
        point=segment.end if segment else "",
        case="",
        demand=nan,
        limit=nan,
        unit="Pa",
        ratio=nan,
        status=Status.NOT_CHECKED,
        clause="",
        reason=reason,
        source=segment.source if segment else line.source,
        rows=tuple(s.source.row for s in meant),
    )


def _forces(forces: PointForces, column: int) -> Forces:
    return Forces.of(
        forces.axial[:, column], forces.torsion[:, column], forces.in_plane[:, column], forces.out_of_plane[:, column]
    )


def _columns(cases: Sequence[Case], kind: str) -> list[int]:
    return [number for number, case in enumerate(cases) if case.kind == kind]


def _ends_of_pressure(s: Setting) -> list[Array]:
    """Full pressure, and none or vacuum, which counts where the axial force of other loads is compressive."""
    return [s.highest, s.lowest]


def _sustained(s: Setting, forces: PointForces, cases: Sequence[Case]) -> list[Found]:
    limit, inputs = s.code.limit_sustained(s.S_d, s.W), {"S_h": s.S_d, "W": s.W}
    return [
        Found(
            cases[c].case,
            s.code.sustained(s.geometry, _forces(forces, c), s.factors, pressure, s.edition, NO_OPTIONS),
            limit,
            inputs,
        )
        for c in _columns(cases, "sustained")
        for pressure in _ends_of_pressure(s)
    ]


def _event(case: str) -> Event:
    if case.startswith("seismic"):
        return Event.EARTHQUAKE
    return Event.WIND if case.startswith(("wind", "sway")) else Event.RELIEF


def _occasional(s: Setting, forces: PointForces, cases: Sequence[Case]) -> list[Found]:
    """The event is what its case differs in from the cold one; it is added to the forces of every sustained case."""
    bases = {cases[c].case: _forces(forces, c) for c in _columns(cases, "sustained")}
    found: list[Found] = []
    for c in _columns(cases, "occasional") if COLD in bases else ():
        limit, inputs = s.code.limit_occasional(s.S_d, _event(cases[c].case)), {"S_h": s.S_d}
        event = _forces(forces, c).minus(bases[COLD])
        for name, base in bases.items():
            for pressure in _ends_of_pressure(s):
                parts = s.code.occasional(s.geometry, base, event, s.factors, pressure, s.edition, NO_OPTIONS)
                found.append(Found(cases[c].case, parts, limit, inputs, name))
    return found


def _test(s: Setting, forces: PointForces, cases: Sequence[Case]) -> list[Found]:
    limit = s.code.limit_test(s.S_y)
    return [
        Found(
            cases[c].case,
            s.code.test(s.geometry, _forces(forces, c), s.factors, s.test_pressure, s.edition, NO_OPTIONS),
            limit,
            {"S_y": s.S_y},
        )
        for c in _columns(cases, "test")
    ]


def _range(s: Setting, forces: PointForces, cases: Sequence[Case], sustained: Sequence[Found]) -> list[Found]:
    columns = _columns(cases, "range")
    if not columns:
        return []
    pairs = {range_name(a, b): (a, b) for a, b in range_pairs(s.plant)}
    names = [cases[c].case for c in columns]
    stresses = [s.code.displacement_range(s.geometry, _forces(forces, c), s.factors, s.edition) for c in columns]
    cycles = equivalent_cycles(s, [pairs[name] for name in names], names, [parts.total for parts in stresses])
    f = s.code.cycle_factor(cycles.total, s.f_m, s.edition)
    S_L = _sustained_margin(s, sustained, cases)
    return [
        Found(name, parts, *_allowed(s, pairs[name], parts.total, cycles.total, f, S_L), cycles=cycles)
        for name, parts in zip(names, stresses, strict=True)
    ]


def _sustained_margin(s: Setting, sustained: Sequence[Found], cases: Sequence[Case]) -> Array | None:
    """Sustained stress at the same section, the highest of all conditions; None where it may not be used."""
    hot = {case.state for case in cases if case.kind == "sustained"}
    complete = {state.name for state in s.plant.states} <= hot and any(found.case == COLD for found in sustained)
    if not s.plant.project.use_sustained_margin or not complete:
        return None
    highest: Array = np.max(np.array([found.parts.total for found in sustained]), axis=0)
    return highest


def _allowed(
    s: Setting, pair: tuple[str, str], S_E: Array, N: Array, f: Array, S_L: Array | None
) -> tuple[Array, Mapping[str, Array]]:
    """Allowable range of a pair of states with the numbers behind it."""
    ends = s.at_pair(*pair)
    allowed = s.code.allowable_range(f, *ends, S_L, s.E_ratio)
    may = cycles_allowed(s, S_E, ends, S_L)
    inputs = {
        "f": f,
        "f_m": s.f_m,
        "N": N,
        "S_c": ends[0],
        "S_h": ends[1],
        "N_allowed": may,
        "U": array_form(usage(scalar_form(N), scalar_form(may))),
    }
    if S_L is not None:
        inputs["S_L"] = np.where(allowed.with_sustained_margin, S_L, nan)
    return allowed.value, inputs


def _worst(found: Sequence[Found]) -> NDArray[np.intp]:
    """Index of the case that governs each section: one without a number first, then the highest ratio."""
    ratios = np.array([case.parts.total / case.limit for case in found])
    index: NDArray[np.intp] = np.argmax(np.where(np.isnan(ratios), np.inf, ratios), axis=0)
    return index


def _checks(kind: Kind, found: Sequence[Found], s: Setting) -> Iterator[Check]:
    clause = f"{s.code.clause(kind, s.edition)}; {s.code.limit_clause(kind, s.edition)}"
    worst = _worst(found)
    for n, point in enumerate(s.points):
        if kind is Kind.TEST and not isfinite(s.test_pressure[n]):
            continue
        governing = found[worst[n]]
        demand, limit = float(governing.parts.total[n]), float(governing.limit[n])
        status = status_of(demand, limit)
        yield Check(
            check=CHECK_NAMES[kind],
            subject=point.segment.line,
            line=point.segment.line,
            point=point.where,
            case=governing.case,
            demand=demand,
            limit=limit,
            unit="Pa",
            ratio=demand / limit if status is not Status.NOT_CHECKED else nan,
            status=status,
            clause=clause,
            reason=_reason(s, n, kind, status, demand),
            inputs=_inputs(governing, point, n),
            source=point.segment.source,
            rows=(point.segment.source.row,),
        )


def _reason(s: Setting, n: int, kind: Kind, status: Status, demand: float) -> str:
    if status is Status.NOT_CHECKED:
        return why_unknown(s, n, isfinite(demand), test=kind is Kind.TEST)
    factors = s.points[n].factors
    return f"factors of {factors.source}" if factors.is_unverified else ""


def _inputs(found: Found, point: StressPoint, n: int) -> dict[str, float | str]:
    """Everything that the worked lines need, by symbol; what does not act at the section is left out."""
    factors = point.factors
    words: dict[str, float | str] = {"part": point.part, "factors": f"{factors.kind}: {factors.source}"}
    if found.beside:
        words["added to"] = found.beside
    if found.cycles is not None:
        words |= {"cycles": found.cycles.words(n), "m": found.cycles.exponent}
    numbers = {symbol: array[n] for symbol, array in (*found.parts.inputs.items(), *found.inputs.items())}
    return words | {k: float(v) for k, v in {**factors.numbers, **numbers}.items() if isfinite(v)}
