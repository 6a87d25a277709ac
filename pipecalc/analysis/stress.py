"""Code stresses at every section: sustained, displacement range, occasional and test, each with its governing case.

The code itself — equations, limits, factors by edition — is a record of ``checks/stress``; nothing here knows which.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from math import isfinite, nan
from typing import TypeVar

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
from pipecalc.checks.stress.interface import (
    NO_OPTIONS,
    Event,
    Factors,
    Forces,
    Geometry,
    Kind,
    StressParts,
    array_form,
    scalar_form,
)
from pipecalc.model import Item, Line, Plant, Segment
from pipecalc.results import Case, Check, Status, status_of

Records = TypeVar("Records", Geometry, Factors, Forces)

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
    """Stresses and limits of all cases of one kind at all sections: k rows of n sections, one row after the other.

    Attributes:
        cases: Name of the case of each row.
        parts: The stresses with their parts, each of shape (k n,).
        limit: Their limits [Pa], shape (k n,).
        inputs: Numbers behind the limits by symbol, shape (k n,); NaN where one does not act.
        beside: The sustained case that the event of each row is added to, or empty.
        cycles: What the cycles come from, for displacement ranges.
    """

    cases: tuple[str, ...]
    parts: StressParts
    limit: Array
    inputs: Mapping[str, Array]
    beside: tuple[str, ...]
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
        if same is not None:
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


def _forces(forces: PointForces, columns: Sequence[int]) -> Forces:
    """Forces of cases row after row."""
    return Forces(*(getattr(forces, f.name)[:, columns].T.ravel() for f in fields(Forces)))


def _repeated(record: Records, times: int) -> Records:
    """Numbers of all sections once for every row."""
    return type(record)(*(np.tile(getattr(record, f.name), times) for f in fields(record)))


def _columns(cases: Sequence[Case], kind: str) -> list[int]:
    return [number for number, case in enumerate(cases) if case.kind == kind]


def _ends_of_pressure(s: Setting) -> list[Array]:
    """Full pressure, and none or vacuum, which counts where the axial force of other loads is compressive."""
    return [s.highest, s.lowest]


def _sustained(s: Setting, forces: PointForces, cases: Sequence[Case]) -> Found | None:
    columns = [c for c in _columns(cases, "sustained") for _ in _ends_of_pressure(s)]
    if not columns:
        return None
    k = len(columns)
    pressure = np.tile(np.concatenate(_ends_of_pressure(s)), k // 2)
    sections = _repeated(s.geometry, k), _forces(forces, columns), _repeated(s.factors, k)
    parts = s.code.sustained(*sections, pressure, s.edition, NO_OPTIONS)
    limit = np.tile(s.code.limit_sustained(s.S_d, s.W), k)
    inputs = {"S_h": np.tile(s.S_d, k), "W": np.tile(s.W, k)}
    return Found(tuple(cases[c].case for c in columns), parts, limit, inputs, ("",) * k)


def _event(case: str) -> Event:
    if case.startswith("seismic"):
        return Event.EARTHQUAKE
    return Event.WIND if case.startswith(("wind", "sway")) else Event.RELIEF


def _occasional(s: Setting, forces: PointForces, cases: Sequence[Case]) -> Found | None:
    """The event is what its case differs in from the cold one; it is added to the forces of every sustained case."""
    bases, columns = _columns(cases, "sustained"), _columns(cases, "occasional")
    cold = next((c for c in bases if cases[c].case == COLD), None)
    if cold is None or not columns:
        return None
    rows = [(c, base, end) for c in columns for base in bases for end in _ends_of_pressure(s)]
    k, events, beside = len(rows), [c for c, _, _ in rows], [base for _, base, _ in rows]
    parts = s.code.occasional(
        _repeated(s.geometry, k),
        _forces(forces, beside),
        _forces(forces, events).minus(_repeated(_forces(forces, [cold]), k)),
        _repeated(s.factors, k),
        np.concatenate([end for _, _, end in rows]),
        s.edition,
        NO_OPTIONS,
    )
    limits = {event: s.code.limit_occasional(s.S_d, event) for event in {_event(cases[c].case) for c in columns}}
    limit = np.concatenate([limits[_event(cases[c].case)] for c in events])
    names = tuple(cases[c].case for c in events)
    return Found(names, parts, limit, {"S_h": np.tile(s.S_d, k)}, tuple(cases[c].case for c in beside))


def _test(s: Setting, forces: PointForces, cases: Sequence[Case]) -> Found | None:
    columns = _columns(cases, "test")
    if not columns:
        return None
    k = len(columns)
    sections = _repeated(s.geometry, k), _forces(forces, columns), _repeated(s.factors, k)
    parts = s.code.test(*sections, np.tile(s.test_pressure, k), s.edition, NO_OPTIONS)
    limit = np.tile(s.code.limit_test(s.S_y), k)
    return Found(tuple(cases[c].case for c in columns), parts, limit, {"S_y": np.tile(s.S_y, k)}, ("",) * k)


def _range(s: Setting, forces: PointForces, cases: Sequence[Case], sustained: Found | None) -> Found | None:
    columns = _columns(cases, "range")
    if not columns:
        return None
    k, names = len(columns), tuple(cases[c].case for c in columns)
    named = {range_name(a, b): (a, b) for a, b in range_pairs(s.plant)}
    pairs = [named[name] for name in names]
    sections = _repeated(s.geometry, k), _forces(forces, columns), _repeated(s.factors, k)
    parts = s.code.displacement_range(*sections, s.edition)
    cycles = equivalent_cycles(s, pairs, names, parts.total.reshape(k, -1))
    f = s.code.cycle_factor(cycles.total, s.f_m, s.edition)
    S_L = _sustained_margin(s, sustained, cases)
    inputs = {"f": np.tile(f, k), "f_m": np.tile(s.f_m, k), "N": np.tile(cycles.total, k)}
    limit, more = _allowed(s, pairs, parts.total, inputs, None if S_L is None else np.tile(S_L, k))
    return Found(names, parts, limit, inputs | more, ("",) * k, cycles)


def _sustained_margin(s: Setting, sustained: Found | None, cases: Sequence[Case]) -> Array | None:
    """Sustained stress at the same section, the highest of all conditions; None where it may not be used."""
    hot = {case.state for case in cases if case.kind == "sustained"}
    if sustained is None or not s.plant.project.use_sustained_margin:
        return None
    if not {state.name for state in s.plant.states} <= hot or COLD not in sustained.cases:
        return None
    highest: Array = np.max(sustained.parts.total.reshape(len(sustained.cases), -1), axis=0)
    return highest


def _allowed(
    s: Setting, pairs: Sequence[tuple[str, str]], S_E: Array, given: Mapping[str, Array], S_L: Array | None
) -> tuple[Array, dict[str, Array]]:
    """Allowable ranges of pairs of states, row after row, with the numbers behind them."""
    cold, hot = (np.concatenate(ends) for ends in zip(*(s.at_pair(*pair) for pair in pairs), strict=True))
    E_ratio = np.tile(s.E_ratio, len(pairs))
    allowed = s.code.allowable_range(given["f"], cold, hot, S_L, E_ratio)
    may = cycles_allowed(s, S_E, (cold, hot), S_L, E_ratio, given["f_m"])
    inputs = {
        "S_c": cold,
        "S_h": hot,
        "N_allowed": may,
        "U": array_form(usage(scalar_form(given["N"]), scalar_form(may))),
    }
    if S_L is not None:
        inputs["S_L"] = np.where(allowed.with_sustained_margin, S_L, nan)
    return allowed.value, inputs


def _worst(found: Found) -> NDArray[np.intp]:
    """Row of the case that governs each section: one without a number first, then the highest ratio."""
    ratios = (found.parts.total / found.limit).reshape(len(found.cases), -1)
    index: NDArray[np.intp] = np.argmax(np.where(np.isnan(ratios), np.inf, ratios), axis=0)
    return index


def _checks(kind: Kind, found: Found, s: Setting) -> Iterator[Check]:
    clause = f"{s.code.clause(kind, s.edition)}; {s.code.limit_clause(kind, s.edition)}"
    worst = _worst(found)
    at = worst * len(s.points) + np.arange(len(s.points))
    demands, limits = found.parts.total[at].tolist(), found.limit[at].tolist()
    arrays = {symbol: array[at] for symbol, array in (*found.parts.inputs.items(), *found.inputs.items())}
    symbols, rows = tuple(arrays), [*zip(*(array.tolist() for array in arrays.values()), strict=True)]
    whole = all(np.isfinite(array).all() for array in arrays.values())
    for n, (point, row) in enumerate(zip(s.points, worst.tolist(), strict=True)):
        if kind is Kind.TEST and not isfinite(s.test_pressure[n]):
            continue
        demand, limit = demands[n], limits[n]
        status = status_of(demand, limit)
        yield Check(
            check=CHECK_NAMES[kind],
            subject=point.segment.line,
            line=point.segment.line,
            point=point.where,
            case=found.cases[row],
            demand=demand,
            limit=limit,
            unit="Pa",
            ratio=demand / limit if status is not Status.NOT_CHECKED else nan,
            status=status,
            clause=clause,
            reason=_reason(s, n, kind, status, demand),
            inputs=_words(found, row, point, n)
            | _finite(point.factors.numbers, zip(symbols, rows[n], strict=True), whole=whole),
            source=point.segment.source,
            rows=(point.segment.source.row,),
        )


def _reason(s: Setting, n: int, kind: Kind, status: Status, demand: float) -> str:
    if status is Status.NOT_CHECKED:
        return why_unknown(s, n, isfinite(demand), test=kind is Kind.TEST)
    factors = s.points[n].factors
    return f"factors of {factors.source}" if factors.is_unverified else ""


def _words(found: Found, row: int, point: StressPoint, n: int) -> dict[str, float | str]:
    """What is said in words beside the numbers of a section."""
    factors = point.factors
    words: dict[str, float | str] = {"part": point.part, "factors": f"{factors.kind}: {factors.source}"}
    if found.beside[row]:
        words["added to"] = found.beside[row]
    if found.cycles is not None:
        words |= {"cycles": found.cycles.words(n), "m": found.cycles.exponent}
    return words


def _finite(factors: Mapping[str, float], numbers: Iterable[tuple[str, float]], *, whole: bool) -> dict[str, float]:
    """Everything that the worked lines need, by symbol; what does not act at the section is left out.

    Args:
        factors: Numbers of the factors.
        numbers: Numbers of the section, with their symbols.
        whole: Whether the numbers of the section are known to be finite.
    """
    every = {**factors, **dict(numbers)}
    if whole and all(map(isfinite, factors.values())):
        return every
    return {symbol: number for symbol, number in every.items() if isfinite(number)}
