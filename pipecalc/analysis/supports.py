"""Verdicts on supports: loads against what the structure accepts, and lift-off."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from math import hypot, nan

from pipecalc.model import Plant, Support
from pipecalc.results import Case, Check, Status, SupportLoad, status_of

SUPPORT_CHECK = "support load"
LIFT_CHECK = "lift-off"
_CLAUSE = "allowable of the Supports sheet"


def support_checks(plant: Plant, loads: Sequence[SupportLoad], cases: Sequence[Case]) -> Iterator[Check]:
    """One verdict for each support, case and allowable that is given; a support without one says so."""
    by_support: dict[str, list[SupportLoad]] = defaultdict(list)
    for load in loads:
        by_support[load.support].append(load)
    kinds = {case.case: case.kind for case in cases}
    for support in plant.supports.values():
        own = by_support[support.name]
        given = [a for a in (support.allowable_vertical, support.allowable_horizontal) if a is not None]
        if not given or not own:
            reason = "no load was found" if not own else "no allowable is given; its loads are listed for the structure"
            yield _check(support, SUPPORT_CHECK, "", nan, nan, Status.NOT_CHECKED, reason)
        for load in own:
            yield from _against(support, load)
        yield from _lift(support, own, kinds)


def _against(support: Support, load: SupportLoad) -> Iterator[Check]:
    for what, demand, limit in (
        ("vertical", abs(load.vertical), support.allowable_vertical),
        ("horizontal", hypot(load.force[0], load.force[1]), support.allowable_horizontal),
    ):
        if limit is not None:
            status = status_of(demand, limit)
            yield _check(support, SUPPORT_CHECK, load.case, demand, limit, status, f"{what} load")


def _lift(support: Support, loads: Sequence[SupportLoad], kinds: Mapping[str, str]) -> Iterator[Check]:
    """A rest that the pipe leaves is no fail in itself: it asks for a look at the sustained case without it."""
    if "rest" not in support.type:
        return
    for load in loads:
        if kinds.get(load.case) in ("sustained", "operating") and not load.acting:
            rise = load.move[2]
            yield _check(
                support,
                LIFT_CHECK,
                load.case,
                rise,
                nan,
                Status.NOT_APPLICABLE,
                f"the pipe leaves the rest and stands {rise * 1000:.1f} mm above where it was installed",
                unit="m",
            )


def _check(
    support: Support,
    check: str,
    case: str,
    demand: float,
    limit: float,
    status: Status,
    reason: str,
    unit: str = "N",
) -> Check:
    return Check(
        check=check,
        subject=support.name,
        line=support.point[0],
        point=support.point[1],
        case=case,
        demand=demand,
        limit=limit,
        unit=unit,
        ratio=demand / limit if limit > 0 else nan,
        status=status,
        clause=_CLAUSE if check == SUPPORT_CHECK else "common practice, no source",
        reason=reason,
        source=support.source,
    )
