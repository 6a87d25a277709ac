"""Verdicts on flanged joints: at every nozzle that has a class, and at every flange in a line."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from math import hypot, isfinite, nan

from pipecalc.analysis.findings import About, segment_at, state_of, told_once, verdict
from pipecalc.calc.material import yield_at
from pipecalc.checks.finding import sentence
from pipecalc.checks.flanges.joint import Flange, JointLoad, accepted_by, flange_check, nozzle_joint_load
from pipecalc.model import FlangeFacts, Item, Line, Nozzle, Plant, Segment
from pipecalc.results import Case, Check, MemberForce, NozzleLoad
from pipecalc.schema.flange_columns import WELDING_NECK

FLANGE_CHECK = "flange"
DESIGN = "design"
DESIGN_ALONE = "design pressure at design temperature alone"
NO_LOAD = JointLoad(0.0, 0.0, 0.0)


def flange_checks(
    plant: Plant, loads: Sequence[NozzleLoad], members: Sequence[MemberForce], cases: Sequence[Case]
) -> Iterator[Check]:
    """One verdict for every joint and case, and one for the design pressure alone; none for a joint without a class.

    Args:
        plant: The plant.
        loads: Loads on nozzles, of the frame.
        members: Section forces.
        cases: The cases; displacement ranges are no state of a joint and are left out.
    """
    counted = {case.case: case for case in cases if case.kind != "range"}
    yield from told_once(_at_nozzles(plant, loads, counted))
    yield from told_once(_in_lines(plant, members, counted))


def _at_nozzles(plant: Plant, loads: Sequence[NozzleLoad], cases: Mapping[str, Case]) -> Iterator[Check]:
    by_nozzle: dict[str, list[NozzleLoad]] = defaultdict(list)
    for load in loads:
        if load.case in cases:
            by_nozzle[load.nozzle].append(load)
    for nozzle in plant.nozzles.values():
        segment = segment_at(nozzle.point, plant) if nozzle.point and nozzle.flange.pressure_class else None
        if segment is not None:
            line = plant.lines[segment.line]
            about = About(FLANGE_CHECK, nozzle.name, nozzle.source, line.name, _point(nozzle))
            joints = [(load.case, nozzle_joint_load(load)) for load in by_nozzle[nozzle.name]]
            yield from _joint(about, _nozzle_facts(nozzle, line), nozzle.nps, segment, joints, plant, cases)


def _point(nozzle: Nozzle) -> str:
    return nozzle.point[1] if nozzle.point else ""


def _nozzle_facts(nozzle: Nozzle, line: Line) -> FlangeFacts:
    """The nozzle's flange; its bolts are those of the line's where the nozzle names none."""
    own = nozzle.flange
    bolts = own.bolt_allowable if own.bolt_allowable is not None else line.flange.bolt_allowable
    return FlangeFacts(own.pressure_class, own.group, own.type, bolts, own.gasket_diameter)


def _in_lines(plant: Plant, members: Sequence[MemberForce], cases: Mapping[str, Case]) -> Iterator[Check]:
    by_run: dict[tuple[str, str, str], list[MemberForce]] = defaultdict(list)
    for force in members:
        if force.part == "run" and force.end in ("from", "to") and force.case in cases:
            by_run[force.line, force.from_, force.to].append(force)
    for line in plant.lines.values():
        for segment in line.segments:
            if segment.item is Item.FLANGE and segment.flange.pressure_class:
                where = f"{segment.start} to {segment.end}"
                about = About(FLANGE_CHECK, line.name, segment.source, line.name, where, (segment.source.row,))
                joints = [(f.case, _joint_load(f)) for f in by_run[segment.line, segment.start, segment.end]]
                nps = segment.section.nps if segment.section.nps is not None else nan
                yield from _joint(about, segment.flange, nps, segment, joints, plant, cases)


def _joint_load(force: MemberForce) -> JointLoad:
    return JointLoad(force.axial, hypot(force.bending_in_plane, force.bending_out_of_plane), abs(force.torsion))


def _joint(
    about: About,
    facts: FlangeFacts,
    nps: float,
    segment: Segment,
    joints: Iterable[tuple[str, JointLoad]],
    plant: Plant,
    cases: Mapping[str, Case],
) -> Iterator[Check]:
    """Design pressure alone, then every case; of two faces in one case the one with the higher demand."""
    line = plant.lines[segment.line]
    flange = _flange(facts, nps, segment, line.design_temperature)
    remark = sentence(DESIGN_ALONE, _remark(facts))
    yield _verdict(about, DESIGN, flange, NO_LOAD, line.design_pressure, line.design_temperature, remark)
    found: dict[str, Check] = {}
    for name, load in joints:
        service = _service(cases[name], segment, plant)
        if service is not None:
            pressure, temperature, in_test = service
            flange = _flange(facts, nps, segment, temperature)
            check = _verdict(about, name, flange, load, pressure, temperature, _remark(facts), in_test=in_test)
            found[name] = _higher(found.get(name), check)
    yield from found.values()


def _higher(one: Check | None, other: Check) -> Check:
    """The verdict with the higher ratio; one without a ratio counts as the highest."""
    if one is None:
        return other
    return one if not isfinite(one.ratio) or one.ratio >= other.ratio else other


def _service(case: Case, segment: Segment, plant: Plant) -> tuple[float, float, bool] | None:
    """Pressure [Pa], temperature [°C], and whether it is the test; None for a test in which the line takes no part.

    A cold case is held against the rating of the state whose pressure acts, which is the lower one.
    """
    line = plant.lines[segment.line]
    if case.kind == "test":
        ambient = plant.project.installation_temperature
        return (line.test_pressure, ambient, True) if line.test_pressure else None
    state = state_of(case, plant)
    return state.lines[line.name].pressure, state.segment_temperature(segment), False


def _flange(facts: FlangeFacts, nps: float, segment: Segment, temperature: float) -> Flange:
    """The flange with the pipe's material; a group of its own leaves its yield strength unknown."""
    return Flange(
        nps=nps,
        pressure_class=facts.pressure_class,
        group=facts.group or segment.material.flange_group,
        is_welding_neck=facts.type == WELDING_NECK if facts.type else None,
        yield_strength=nan if facts.group else float(yield_at(segment.material, temperature)),
        bolt_allowable=nan if facts.bolt_allowable is None else facts.bolt_allowable,
        gasket_diameter=nan if facts.gasket_diameter is None else facts.gasket_diameter,
    )


def _remark(facts: FlangeFacts) -> str:
    return "" if facts.group else "flange taken as of the pipe's material"


def _verdict(
    about: About,
    case: str,
    flange: Flange,
    load: JointLoad,
    pressure: float,
    temperature: float,
    remark: str,
    *,
    in_test: bool = False,
) -> Check:
    lines = flange_check(flange, load, pressure, temperature, in_test=in_test)
    return verdict(about, case, accepted_by(lines), lines, remark, one_is_enough=True)


def flanges_not_checked(plant: Plant) -> Iterator[str]:
    """Joints that are not checked, in sentences."""
    bare = [n.name for n in plant.nozzles.values() if n.point is not None and not n.flange.pressure_class]
    if bare:
        yield f"Flanges of nozzles {', '.join(bare)}: no flange class is given."
    rated = {n.point for n in plant.nozzles.values() if n.flange.pressure_class}
    for line in plant.lines.values():
        found = [s for s in line.segments if s.item is Item.FLANGE and not s.flange.pressure_class]
        # A flange that meets a nozzle with a class is one joint with it, which is checked there.
        apart = [f"{s.start} to {s.end}" for s in found if not {s.start_key, s.end_key} & rated]
        if apart:
            yield f"Flanges of line {line.name}, {', '.join(apart)}: no flange class is given."
    if any(s.item is Item.VALVE for line in plant.lines.values() for s in line.segments):
        yield "Flanged ends of valves, except where a row of Segments is a flange."
