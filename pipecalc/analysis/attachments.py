"""Verdicts on a vessel's shell where it carries a pipe support: estimates for clip, bracket or trunnion."""

from collections import defaultdict
from collections.abc import Iterator, Sequence

from pipecalc.analysis.findings import About, not_made, state_of, told_once, verdict
from pipecalc.analysis.shells import cylinder_at, from_axis, inside_pressure, no_shell
from pipecalc.checks.finding import each_where_it_holds, sentence
from pipecalc.checks.nozzles.geometry import cross, norm, unit
from pipecalc.checks.shells.attachment import Attachment, attachment_check
from pipecalc.checks.shells.vessel import attachment_load
from pipecalc.model import Equipment, Plant, Support, Vector
from pipecalc.results import Case, Check, SupportLoad

ATTACHMENT_CHECK = "shell at attachment"
#: Times the allowable stress, for bending and pressure together; printed with every verdict.
STRESS_FACTOR = 1.5
_STRESS_FACTOR_WORDS = (
    f"{STRESS_FACTOR:g} times the allowable stress for bending and pressure together, common practice, no source"
)


def attachment_checks(plant: Plant, loads: Sequence[SupportLoad], cases: Sequence[Case]) -> Iterator[Check]:
    """One verdict for every support on a vessel and case, as screening; the pressure test is left out."""
    working = {case.case: case for case in cases if case.kind not in ("test", "range")}
    by_support: dict[str, list[SupportLoad]] = defaultdict(list)
    for load in loads:
        if load.case in working:
            by_support[load.support].append(load)
    for support in plant.supports.values():
        item = plant.equipment.get(support.attached_to)
        if item is not None:
            line, point = support.point
            about = About(ATTACHMENT_CHECK, support.name, support.source, line, point, screening=True)
            yield from told_once(_of_support(about, support, item, by_support[support.name], plant, working))


def _of_support(
    about: About,
    support: Support,
    item: Equipment,
    loads: Sequence[SupportLoad],
    plant: Plant,
    cases: dict[str, Case],
) -> Iterator[Check]:
    lacking = _lacking(support, item, loads)
    if lacking or support.attachment_radius is None:
        yield not_made(about, lacking, "Pa")
        return
    place = cylinder_at(item, support.at)
    arm = place.to_shell if support.attachment_arm is None else support.attachment_arm
    told = "" if support.attachment_arm is not None else f"arm from coordinates, {arm * 1e3:.0f} mm"
    for load in loads:
        pressure, source = inside_pressure(item, plant, state_of(cases[load.case], plant))
        lines = attachment_check(
            place.shell,
            Attachment(support.attachment_radius),
            attachment_load(load.force, load.moment, attachment_axes(support, item), arm),
            pressure,
            stress_factor=STRESS_FACTOR,
        )
        remark = sentence(place.reason, place.remark, told, source, _STRESS_FACTOR_WORDS)
        yield verdict(about, load.case, each_where_it_holds(lines), lines, remark)


def _lacking(support: Support, item: Equipment, loads: Sequence[SupportLoad]) -> str:
    """Why no estimate can be made; empty where it can."""
    without = no_shell(item)
    if without:
        return without
    if not loads:
        return "no load was found for this support"
    if support.attachment_radius is None:
        return "Attachment radius is not given; the loads are listed for the vessel's maker"
    place = cylinder_at(item, support.at)
    if support.attachment_arm is None and place.to_shell < 0:
        return "the point lies inside the shell and Attachment arm is not given"
    return place.reason


def attachment_axes(support: Support, item: Equipment) -> tuple[Vector, Vector, Vector]:
    """R from the shell outward to the support, L along the item's axis, C = R x L; NaN for a point on the axis."""
    _, offset = from_axis(item, support.at)
    R = unit(offset if norm(offset) > 0 else (0.0, 0.0, 0.0))
    return R, item.axis, cross(R, item.axis)
