"""Verdicts on nozzle loads by published standards: every nozzle, and the sums over a machine's nozzles."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from math import ceil, isfinite, nan

from pipecalc.analysis.findings import DOUBT, known, told_once
from pipecalc.analysis.nozzles import NOZZLE_CHECK
from pipecalc.checks.finding import sentence
from pipecalc.checks.nozzles.interface import (
    COMPONENTS,
    Connection,
    Item,
    NozzleFinding,
    NozzleStandard,
    components,
    connection_of,
    judge,
    judge_item,
    loads_of,
    standards,
)
from pipecalc.model import Equipment, Nozzle, Plant
from pipecalc.problems import Address
from pipecalc.results import Advice, Case, Check, NozzleLoad, Status, governing, status_of

EQUIPMENT_CHECK = "equipment nozzle loads"
Loads = Mapping[tuple[str, str], NozzleLoad]


def standard_checks(plant: Plant, loads: Sequence[NozzleLoad], cases: Sequence[Case]) -> Iterator[Check]:
    """Every case against every standard that a nozzle names; then the sums over the items whose nozzles name one.

    As with vendors' allowables, the pressure test is listed but not held against them.
    """
    working = [case.case for case in cases if case.kind not in ("test", "range")]
    found = {(load.nozzle, load.case): load for load in loads if load.case in working}
    acting = [case for case in working if any(key[1] == case for key in found)]
    for nozzle in plant.nozzles.values():
        item = item_of(plant.equipment[nozzle.equipment])
        for standard in named(nozzle, plant) if nozzle.point else ():
            yield from told_once(_nozzle(nozzle, standard, item, found, acting, plant))
    for equipment in plant.equipment.values():
        for standard in _sums_of(equipment, plant):
            yield from told_once(_equipment(equipment, standard, found, acting, plant))


def named(nozzle: Nozzle, plant: Plant) -> list[NozzleStandard]:
    """Standards among a nozzle's sets; a vendor's set of the same name goes before."""
    return [standards()[name] for name in nozzle.sets if name in standards() and name not in plant.allowables]


def item_of(equipment: Equipment) -> Item:
    """What a standard must know of an item."""
    return Item(equipment.name, equipment.kind, equipment.machine_axis, equipment.machine_centre, equipment.exhaust)


def _nozzle(
    nozzle: Nozzle, standard: NozzleStandard, item: Item, found: Loads, cases: Sequence[str], plant: Plant
) -> Iterator[Check]:
    line, point = nozzle.point or ("", "")
    for case in cases:
        connection = connection_of(nozzle, found.get((nozzle.name, case)), nozzle.header)
        finding = judge(standard, connection, item)
        inputs = {**_in_axes(connection, standard, item), "factor on allowables": nozzle.allowable_factor}
        yield _check(NOZZLE_CHECK, nozzle.name, line, point, case, finding, standard, inputs, nozzle.source, plant)


def _in_axes(connection: Connection, standard: NozzleStandard, item: Item) -> dict[str, float]:
    """Loads and allowables in the standard's own axes."""
    force, moment = loads_of(connection)
    limits = standard.limits(connection, item)
    allowed = {f"allowable {name}": limits.components[name] * connection.factor for name in COMPONENTS}
    alone = {"allowable force alone": limits.force, "allowable moment alone": limits.moment}
    return {
        **components(force, moment, standard.axes(connection, item)),
        **allowed,
        **{name: value * connection.factor for name, value in alone.items()},
    }


def _sums_of(equipment: Equipment, plant: Plant) -> list[NozzleStandard]:
    """Standards with rules for all nozzles of an item together, that any of its nozzles names."""
    own = [n for n in plant.nozzles.values() if n.equipment == equipment.name]
    by_title = {standard.title: standard for nozzle in own for standard in named(nozzle, plant)}
    return [standard for standard in by_title.values() if standard.equipment_verdict is not None]


def _equipment(
    equipment: Equipment, standard: NozzleStandard, found: Loads, cases: Sequence[str], plant: Plant
) -> Iterator[Check]:
    own = [n for n in plant.nozzles.values() if n.equipment == equipment.name]
    factors = {f"factor on allowables of {n.name}": n.allowable_factor for n in own}
    factors |= {f"NPS of {n.name}": n.nps for n in own}
    for case in cases:
        connections = [connection_of(n, found.get((n.name, case)), n.header) for n in own]
        for finding in judge_item(standard, connections, item_of(equipment)) or ():
            yield _check(
                EQUIPMENT_CHECK,
                equipment.name,
                "",
                finding.name,
                case,
                finding,
                standard,
                factors,
                equipment.source,
                plant,
            )


def _check(
    check: str,
    subject: str,
    line: str,
    point: str,
    case: str,
    finding: NozzleFinding,
    standard: NozzleStandard,
    inputs: Mapping[str, float],
    source: Address,
    plant: Plant,
) -> Check:
    rated = finding.rated
    limit = rated.limit * plant.project.limit_nozzle
    status = status_of(rated.demand, limit)
    return Check(
        check=check,
        subject=subject,
        line=line,
        point=point,
        case=case,
        demand=rated.demand,
        limit=limit,
        unit=rated.unit,
        ratio=nan if status is Status.NOT_CHECKED else rated.demand / limit,
        status=status,
        clause=finding.clause,
        set=standard.title,
        reason=_reason(finding, standard),
        inputs=known(
            {
                **inputs,
                **finding.inputs,
                **{f"ratio {part}": value for part, value in rated.ratios.items()},
                "limit of the ratio": plant.project.limit_nozzle,
            }
        ),
        source=source,
    )


def _reason(finding: NozzleFinding, standard: NozzleStandard) -> str:
    governs = f"{finding.rated.governs} governs" if finding.rated.governs else ""
    return sentence(governs, finding.reason, DOUBT.get(standard.confidence, ""))


def increase_requests(plant: Plant, checks: Iterable[Check]) -> Iterator[Advice]:
    """For every nozzle and set over its limit: by which factor the allowables would have to be raised."""
    over: dict[tuple[str, str], list[Check]] = {}
    for check in checks:
        if check.check == NOZZLE_CHECK and check.status is Status.FAIL and isfinite(check.ratio):
            over.setdefault((check.subject, check.set), []).append(check)
    for (tag, name), found in over.items():
        worst = governing(found)
        if worst is not None:
            yield _request(plant.nozzles[tag], name, worst)


def _request(nozzle: Nozzle, name: str, worst: Check) -> Advice:
    factor = rounded_up(worst.ratio)
    return Advice(
        nozzle.name,
        f"The loads would need {factor:.2f} times the allowables of set {name} (case {worst.case}): to be asked of the "
        f"maker of {nozzle.equipment}, whose written consent alone allows a higher factor on allowables.",
        0.0,
        "Nozzles",
        nozzle.source.row,
        "Factor on allowables",
        f"{rounded_up(worst.ratio * nozzle.allowable_factor):.2f}",
    )


def rounded_up(factor: float) -> float:
    """A factor with two decimals, never below itself."""
    return ceil(factor * 100 - 1e-9) / 100
