"""Results by row and column key, in base units: what the result columns show."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from math import isfinite

from pipecalc.analysis.flanges import FLANGE_CHECK
from pipecalc.analysis.lines import QUICK_CHECK, WALL_CHECK
from pipecalc.analysis.nozzles import NOZZLE_CHECK
from pipecalc.analysis.shells import SHELL_CHECK
from pipecalc.calc.remembered import remembered
from pipecalc.checks.nozzles.rules import resultant_force, resultant_moment
from pipecalc.model import Equipment, Line, Nozzle, Plant, Support
from pipecalc.results import Check, Leg, Movement, NozzleLoad, Results, SupportLoad, governing, worst_status

Values = Mapping[int, Mapping[str, object]]

#: Checks whose ratio has a column of its own in Segments.
_RATIO_COLUMNS = {
    "result_sustained": ("sustained stress",),
    "result_range": ("displacement stress range",),
    "result_occasional": ("occasional stress",),
    "result_test": ("test stress", "test hoop stress"),
    "result_span": ("span",),
}


def segment_values(plant: Plant, results: Results) -> Values:
    """By row of Segments."""
    checks = _by_row(results.checks)
    legs: dict[int, list[Leg]] = defaultdict(list)
    for leg in results.legs:
        for row in leg.rows:
            legs[row].append(leg)
    segments = [segment for line in plant.lines.values() for segment in line.segments]
    return {
        segment.source.row: {
            "result_length": segment.length,
            "result_expansion": expansion.expansion,
            **_leg_values(legs[segment.source.row]),
            **_check_values(checks[segment.source.row]),
        }
        for segment, expansion in zip(segments, results.expansions, strict=True)
    }


def _by_row(checks: Iterable[Check]) -> dict[int, list[Check]]:
    found: dict[int, list[Check]] = defaultdict(list)
    for check in checks:
        for row in check.rows:
            found[row].append(check)
    return found


def _leg_values(legs: Sequence[Leg]) -> dict[str, object]:
    if not legs:
        return {}
    # A leg whose ratio is not known gives way to one with a number; its status says so all the same.
    worst = max(legs, key=lambda leg: (isfinite(leg.ratio), leg.ratio, leg.absorbs))
    return {"result_absorbs": worst.absorbs, "result_needed": worst.length_needed}


def _check_values(checks: Sequence[Check]) -> dict[str, object]:
    counted = [check for check in checks if not check.screening]
    worst = governing(counted)
    values: dict[str, object] = {
        "result_quick": _highest(checks, (QUICK_CHECK,), "demand"),
        "result_wall": _highest(checks, (WALL_CHECK,), "demand"),
        "result_governing": worst.check if worst else "",
        "result_status": str(worst_status(counted)),
    }
    return values | {key: _highest(checks, names, "ratio") for key, names in _RATIO_COLUMNS.items()}


def _highest(checks: Iterable[Check], names: Collection[str], what: str) -> float | None:
    found = [float(getattr(check, what)) for check in checks if check.check in names]
    return max((value for value in found if isfinite(value)), default=None)


def checks_of(results: Results, record: Line | Nozzle | Support | Equipment) -> list[Check]:
    """Checks of one line, nozzle or support; a tag may stand on several sheets, so the sheet counts too."""
    deciding = _deciding(results)
    if not isinstance(record, Line):
        return deciding.get((record.name, record.source.sheet), [])
    return deciding.get((record.name, "Lines or Segments"), [])


@remembered(1)
def _deciding(results: Results) -> Mapping[tuple[str, str], list[Check]]:
    """Checks that count by subject and sheet; those of a line stand on two sheets."""
    found: dict[tuple[str, str], list[Check]] = defaultdict(list)
    for check in results.checks:
        if not check.screening:
            found[check.subject, check.source.sheet].append(check)
            if check.source.sheet in ("Lines", "Segments"):
                found[check.subject, "Lines or Segments"].append(check)
    return dict(found)


@remembered(1)
def checks_by_subject(results: Results) -> Mapping[str, Sequence[Check]]:
    """All checks by tag, screening too."""
    found: dict[str, list[Check]] = defaultdict(list)
    for check in results.checks:
        found[check.subject].append(check)
    return dict(found)


@remembered(1)
def nozzle_loads_by_tag(results: Results) -> Mapping[str, Sequence[NozzleLoad]]:
    """Loads by nozzle."""
    found: dict[str, list[NozzleLoad]] = defaultdict(list)
    for load in results.nozzle_loads:
        found[load.nozzle].append(load)
    return dict(found)


@remembered(1)
def support_loads_by_tag(results: Results) -> Mapping[str, Sequence[SupportLoad]]:
    """Loads by support."""
    found: dict[str, list[SupportLoad]] = defaultdict(list)
    for load in results.support_loads:
        found[load.support].append(load)
    return dict(found)


@remembered(2)
def _movements_by_tag(movements: tuple[Movement, ...]) -> Mapping[str, Sequence[Movement]]:
    found: dict[str, list[Movement]] = defaultdict(list)
    for movement in movements:
        found[movement.nozzle].append(movement)
    return dict(found)


def nozzle_values(plant: Plant, results: Results) -> Values:
    """By row of Nozzles."""
    method = load_method(results)
    loads = {(load.nozzle, load.case): load for load in results.nozzle_loads if load.method == method}
    values = {}
    for nozzle in plant.nozzles.values():
        own = checks_of(results, nozzle)
        worst = governing(c for c in own if c.check == NOZZLE_CHECK)
        load = loads.get((nozzle.name, worst.case)) if worst else _largest(results, nozzle.name)
        values[nozzle.source.row] = {
            **_movement_values(results.movements, nozzle.name),
            **(_load_values(load) if load else {}),
            "result_ratio": worst.ratio if worst else None,
            "result_set": worst.set if worst else "",
            "result_case": worst.case if worst else load.case if load else "",
            "result_flange": _ratio(own, FLANGE_CHECK),
            "result_shell": _ratio(_shell_checks(results, nozzle), SHELL_CHECK),
            "result_status": str(worst_status(own)),
        }
    return values


@remembered(1)
def load_method(results: Results) -> str:
    """The method whose nozzle loads count: the frame's where there are any."""
    return "frame" if any(load.method == "frame" for load in results.nozzle_loads) else "hand"


def _largest(results: Results, nozzle: str) -> NozzleLoad | None:
    own = [load for load in nozzle_loads_by_tag(results).get(nozzle, ()) if load.method == load_method(results)]
    return max(own, key=resultant_force, default=None)


def _shell_checks(results: Results, nozzle: Nozzle) -> list[Check]:
    """Estimates of the shell: screening, so not among the checks that decide."""
    return [c for c in checks_by_subject(results).get(nozzle.name, ()) if c.check == SHELL_CHECK]


def _ratio(checks: Iterable[Check], name: str) -> float | None:
    worst = governing(c for c in checks if c.check == name)
    return worst.ratio if worst else None


def _load_values(load: NozzleLoad) -> dict[str, object]:
    return {
        **{f"result_{name}": value for name, value in load.components.items()},
        "result_force": resultant_force(load),
        "result_moment": resultant_moment(load),
    }


def _movement_values(movements: tuple[Movement, ...], name: str) -> dict[str, object]:
    """The largest movement over the states."""
    own = _movements_by_tag(movements).get(name)
    if not own:
        return {}
    largest = max(own, key=lambda m: m.east**2 + m.north**2 + m.up**2)
    return {"result_move_east": largest.east, "result_move_north": largest.north, "result_move_up": largest.up}


def support_values(plant: Plant, results: Results) -> Values:
    """By row of Supports."""
    kinds = {case.case: case.kind for case in results.cases}
    springs = {spring.support: spring for spring in results.springs}
    loads, values = support_loads_by_tag(results), {}
    for support in plant.supports.values():
        spring, own = springs.get(support.name), loads.get(support.name, ())
        values[support.source.row] = {
            **_support_loads(own, kinds),
            **_support_movement(support, results, own),
            "result_lifts": _lifts(support, own, kinds),
            "result_spring_hot": spring.hot_load if spring else None,
            "result_spring_cold": spring.cold_load if spring else None,
            "result_travel": spring.travel if spring else None,
            "result_variation": spring.variation if spring else None,
            "result_status": str(worst_status(checks_of(results, support))),
        }
    return values


def _support_loads(loads: Sequence[SupportLoad], kinds: Mapping[str, str]) -> dict[str, object]:
    """The load of greatest size in each kind of case, with its sign."""
    values: dict[str, object] = {}
    for kind in ("sustained", "operating", "occasional", "test"):
        own = [load for load in loads if kinds.get(load.case) == kind]
        for part in ("vertical", "lateral", "axial"):
            found = max((float(getattr(load, part)) for load in own), key=abs, default=None)
            values[f"result_{part}_{kind}"] = found
    return values


def _support_movement(support: Support, results: Results, loads: Sequence[SupportLoad]) -> dict[str, object]:
    if loads:
        move = max((load.move for load in loads), key=lambda m: sum(part**2 for part in m))
        return dict(zip(("result_move_east", "result_move_north", "result_move_up"), move, strict=True))
    return _movement_values(results.support_movements, support.name)


def _lifts(support: Support, loads: Sequence[SupportLoad], kinds: Mapping[str, str]) -> str:
    if "rest" not in support.type:
        return ""
    return ", ".join(
        load.case for load in loads if not load.acting and kinds.get(load.case) in ("sustained", "operating")
    )
