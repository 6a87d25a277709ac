"""Verdicts on nozzle loads: every case against every allowable set."""

from collections.abc import Iterable, Iterator, Sequence
from math import isfinite, nan

from pipecalc.checks.nozzles.interface import standards
from pipecalc.checks.nozzles.rules import RULES, Rated
from pipecalc.model import AllowableRow, Nozzle, Plant
from pipecalc.results import Case, Check, NozzleLoad, Status, status_of

NOZZLE_CHECK = "nozzle load"
_SAME_SIZE = 1e-6


def nozzle_checks(plant: Plant, loads: Sequence[NozzleLoad], cases: Sequence[Case]) -> Iterator[Check]:
    """One verdict for every nozzle, set and case; a nozzle that cannot be judged says why.

    Allowables hold for the states a nozzle works in: the pressure test is listed but not held against them.
    """
    tested = {case.case for case in cases if case.kind != "test"}
    for nozzle in plant.nozzles.values():
        own = [load for load in loads if load.nozzle == nozzle.name and load.case in tested]
        if nozzle.point is None:
            yield _without(nozzle, Status.NOT_APPLICABLE, "no line connects here")
        elif not nozzle.sets:
            yield _without(nozzle, Status.NOT_CHECKED, "no allowable set is given")
        elif not own:
            yield _without(nozzle, Status.NOT_CHECKED, "no load was found for this nozzle")
        else:
            for name in nozzle.sets:
                # A standard is judged elsewhere; a vendor's set that bears its name goes before it.
                if name in plant.allowables or name not in standards():
                    yield from _against(nozzle, name, own, plant)


def allowable_row(rows: Iterable[AllowableRow], nps: float) -> AllowableRow | None:
    """The row of a set for a size: its own if there is one, else the row for any size."""
    found = list(rows)
    own = [row for row in found if row.nps is not None and abs(row.nps - nps) < _SAME_SIZE]
    return next(iter(own), next((row for row in found if row.nps is None), None))


def _against(nozzle: Nozzle, name: str, loads: Sequence[NozzleLoad], plant: Plant) -> Iterator[Check]:
    row = allowable_row(plant.allowables.get(name, ()), nozzle.nps)
    if row is None:
        yield _without(nozzle, Status.NOT_CHECKED, f"set {name!r} has no row for NPS {nozzle.nps:g}", name)
        return
    for load in loads:
        yield _verdict(nozzle, row, load, plant.project.limit_nozzle)


def _verdict(nozzle: Nozzle, row: AllowableRow, load: NozzleLoad, limit_nozzle: float) -> Check:
    rated = RULES[row.rule](load, row, nozzle.allowable_factor)
    known = all(isfinite(value) for value in load.components.values())
    limit = rated.limit * limit_nozzle if known else nan
    ratio = rated.demand / limit if isfinite(limit) and limit > 0 else nan
    return Check(
        check=NOZZLE_CHECK,
        subject=nozzle.name,
        line=nozzle.point[0] if nozzle.point else "",
        point=nozzle.point[1] if nozzle.point else "",
        case=load.case,
        demand=rated.demand,
        limit=limit,
        unit=rated.unit,
        ratio=ratio,
        status=_status(rated, limit),
        clause=f"{row.document}; rule: {row.rule}",
        set=row.set,
        reason=_reason(rated) if known else "not every component of the load is known",
        inputs={
            **load.components,
            **{f"ratio {part}": value for part, value in rated.ratios.items()},
            **_allowed(row, nozzle.allowable_factor),
            "factor on allowables": nozzle.allowable_factor,
            "limit of the ratio": limit_nozzle,
        },
        source=nozzle.source,
    )


def _allowed(row: AllowableRow, factor: float) -> dict[str, float]:
    """Allowables of a set that are given, times the nozzle's factor, by the names of ``Check.inputs``."""
    given = {**row.limits, "resultant force": row.force, "resultant moment": row.moment}
    return {f"allowable {name}": value * factor for name, value in given.items() if value is not None}


def _status(rated: Rated, limit: float) -> Status:
    """A missing allowable cannot pass; what is there may still fail."""
    status = status_of(rated.demand, limit)
    return Status.NOT_CHECKED if status is Status.PASS and rated.missing else status


def _reason(rated: Rated) -> str:
    parts = [f"{rated.governs} governs"] if rated.governs else []
    if rated.missing:
        parts.append(f"no allowable for {', '.join(rated.missing)}")
    return "; ".join(parts)


def _without(nozzle: Nozzle, status: Status, reason: str, name: str = "") -> Check:
    return Check(
        check=NOZZLE_CHECK,
        subject=nozzle.name,
        line=nozzle.point[0] if nozzle.point else "",
        point=nozzle.point[1] if nozzle.point else "",
        case="",
        demand=nan,
        limit=nan,
        unit="N",
        ratio=nan,
        status=status,
        clause="",
        set=name,
        reason=reason,
        source=nozzle.source,
    )
