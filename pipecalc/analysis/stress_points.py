"""Sections whose stress is checked: ends of runs, ends and middle of bends, and the faces of branch points."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import nan

import numpy as np

from pipecalc.analysis.factors import (
    B31J,
    OWN,
    STRAIGHT,
    PointFactors,
    TeeFactors,
    reducer_factors,
    tee_factors,
    turn_factors,
    unknown,
    weld_factors,
    with_own,
)
from pipecalc.analysis.frame import FrameRun
from pipecalc.analysis.frame_nodes import Member, is_arc, vector
from pipecalc.analysis.frame_tees import COLLINEAR, Arm, arms_of, header_pair, named_kind, no_tee, thinnest
from pipecalc.model import Item, Plant, Section, Segment, Vector

Key = tuple[str, str]
_SAME = 1e-9  # relative difference of diameters and walls that is rounding


@dataclass(frozen=True, slots=True)
class StressPoint:
    """One section.

    Attributes:
        member: Number of the member.
        fraction: Where on the member: 0 at its start, 1 at its end.
        segment: Its segment.
        section: Its section.
        where: Name of the point, with what is meant where several sections share it.
        part: ``"run"`` or ``"bend"``.
        factors: Intensification factors, NaN where no rule covers the geometry.
        normal: Axis about which in-plane moments turn where a branch or corner decides, else None.
        turns: Whether it is a bend or mitre, whose axial factor is one.
        header: Section of the header, on the leg of a reducing branch of the older set only.
        header_allowance: Allowance of that header [m].
    """

    member: int
    fraction: float
    segment: Segment
    section: Section
    where: str
    part: str
    factors: PointFactors
    normal: Vector | None = None
    turns: bool = False
    header: Section | None = None
    header_allowance: float = nan


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What decides the factors at the nodes.

    Attributes:
        plant: The plant.
        keys: Point of a node, where it is one.
        arms: Members at every node.
        branches: Rows that name a branch connection, by point.
        own: Rows with the user's own factors at a point without a turn.
        joints: Factors of welds and reducers that a node lies at.
    """

    plant: Plant
    keys: Mapping[int, Key]
    arms: Mapping[int, Sequence[Arm]]
    branches: Mapping[Key, Sequence[Segment]]
    own: Mapping[Key, Segment]
    joints: Mapping[int, PointFactors]


def stress_points(run: FrameRun, plant: Plant) -> list[StressPoint]:
    """All sections of pipe at the ends of members, in their order; stiff items have one only at a branch."""
    around = _surroundings(run, plant)
    found: list[StressPoint] = []
    for number, member in enumerate(run.net.members):
        if member.part == "bend":
            found += _bend_points(number, member, around)
        else:
            seats = [run.net.seat(n) for n in (member.i, member.j)]
            for node, arm in ((n, next(a for a in around.arms[n] if a.number == number)) for n in seats):
                if member.segment.item in (Item.PIPE, Item.REDUCER) or len(around.arms[node]) > 2:
                    found.append(_run_point(arm, node, around))
    return found


def _surroundings(run: FrameRun, plant: Plant) -> Surroundings:
    segments = [segment for line in plant.lines.values() for segment in line.segments]
    branches: dict[Key, list[Segment]] = defaultdict(list)
    for segment in segments:
        if segment.branch:
            branches[segment.end_key].append(segment)
    own = {s.end_key: s for s in segments if s.turn is None and (s.own.i_in is not None or s.own.i_out is not None)}
    keys = {node: key for key, node in run.net.node_of.items()}
    return Surroundings(plant, keys, arms_of(run.net), branches, own, _joints(run, plant))


def _joints(run: FrameRun, plant: Plant) -> Mapping[int, PointFactors]:
    """Factors of both faces of a node: of the weld at a run's end or beside both ends of a turn, and of reducers."""
    found: dict[int, PointFactors] = {}

    def put(node: int, factors: PointFactors) -> None:
        node = run.net.seat(node)
        found[node] = factors if node not in found else _larger(found[node], factors)

    for member in run.net.members:
        segment = member.segment
        if segment.item is Item.REDUCER:
            factors = reducer_factors(segment, plant.project.intensification)
            put(member.i, factors)
            put(member.j, factors)
        if segment.weld and is_arc(segment):
            if member.half:
                put(member.i if member.half == 1 else member.j, weld_factors(segment.weld))
        elif segment.weld and member.ends[1] == "to":
            put(member.j, weld_factors(segment.weld))
    return found


def _larger(a: PointFactors, b: PointFactors) -> PointFactors:
    """The set with the larger factor; an unknown one counts as larger than any."""
    return a if not a.is_known or (b.is_known and a.largest_i >= b.largest_i) else b


def _bend_points(number: int, member: Member, around: Surroundings) -> Iterator[StressPoint]:
    factors = turn_factors(member.segment)
    point = member.segment.end
    ends = [(0.0, "start"), (1.0, "middle")] if member.half == 1 else [(1.0, "end")]
    for fraction, name in ends:
        joined = name == "middle" and len(around.arms[member.j]) > 2 and OWN not in factors.source
        taken = unknown("branch or bracket on a bend: no rule, give your own factors") if joined else factors
        where = f"{point}, {name} of the turn"
        yield StressPoint(number, fraction, member.segment, member.section, where, "bend", taken, turns=True)


def _run_point(arm: Arm, node: int, around: Surroundings) -> StressPoint:
    arms, key = around.arms[node], around.keys.get(node)
    runs = all(a.member.part == "run" for a in arms)
    if len(arms) > 2:
        return _junction_point(arm, arms, key, around)
    if len(arms) == 2 and runs and float(arms[0].outward @ arms[1].outward) > COLLINEAR:
        return _corner_point(arm, arms, key, around)
    return _point(arm, _name(key, arm), _straight_factors(arms, node, key, around))


def _point(arm: Arm, where: str, factors: PointFactors, **more: object) -> StressPoint:
    member = arm.member
    return StressPoint(
        arm.number, float(arm.at_end), member.segment, arm.section, where, "run", factors, **more  # type: ignore[arg-type]
    )  # fmt: skip


def _name(key: Key | None, arm: Arm) -> str:
    """Name of a point, with its line where it belongs to another one."""
    segment = arm.member.segment
    if key is not None:
        return key[1] if key[0] == segment.line else "/".join(key)
    if is_arc(segment) and arm.at_end and arm.member.ends[1] == "to":
        return f"{segment.end}, before the turn"
    if arm.member.ends[0] == "from" and not arm.at_end:
        return f"{segment.start}, after the turn"
    return f"between {segment.start} and {segment.end}"


def _straight_factors(arms: Sequence[Arm], node: int, key: Key | None, around: Surroundings) -> PointFactors:
    """Welds, reducers, a branch connection that nothing leaves from; the user's own factors win."""
    found = around.joints.get(node, STRAIGHT)
    if key is None:
        return found
    named = around.branches.get(key, ())
    if named:
        found = _larger(found, _bare_branch(arms, named, around))
    own = around.own.get(key)
    # Nothing says which plane is meant: the larger factor holds in both.
    return found if own is None else with_own(found, own).without_plane()


def _bare_branch(arms: Sequence[Arm], named: Sequence[Segment], around: Surroundings) -> PointFactors:
    if around.plant.project.intensification == B31J:
        return unknown(f"{named[0].branch}: nothing is joined there, so the size of the branch is not known")
    header = thinnest(arms)
    return tee_factors("", named[0].branch, header, header, named[0].pad_thickness).run.without_plane()


def _corner_point(arm: Arm, arms: Sequence[Arm], key: Key | None, around: Surroundings) -> StressPoint:
    """A corner without an arc is a single mitre, where the row says that it is one."""
    turned = [a.member.segment for a in arms if a.member.segment.end_key == key and a.member.segment.turn is not None]
    factors = turn_factors(turned[0]) if turned else unknown("corner without a turn: no rule")
    if not turned and key is not None and key in around.own:
        factors = with_own(factors, around.own[key])
    normal = _normal(arms[0], arms[1])
    return _point(arm, _name(key, arm), factors, normal=normal, turns=True)


def _normal(a: Arm, b: Arm) -> Vector:
    square = np.cross(a.outward, b.outward)
    return vector(square / np.linalg.norm(square))


def _junction_point(arm: Arm, arms: Sequence[Arm], key: Key | None, around: Surroundings) -> StressPoint:
    pair = header_pair(arms)
    where = _name(key, arm)
    own = around.own.get(key) if key is not None else None
    why = no_tee(arms, pair)
    if why or pair is None:
        factors = unknown(f"{why}, give your own factors")
        return _point(arm, where, factors if own is None else with_own(factors, own).without_plane())
    leg = next(a for a in arms if a not in pair)
    is_leg = leg.number == arm.number
    header = thinnest(pair)
    tee = _tee(key, header, leg.section, around)
    factors = tee.branch if is_leg else tee.run
    normal = _normal(pair[0], leg)
    if not is_leg:
        return _point(arm, f"{where}, run of the tee", factors, normal=normal)
    # The effective section modulus belongs to the legacy set: the other one takes the branch's own.
    if around.plant.project.intensification == B31J or _same_size(leg.section, header):
        return _point(arm, f"{where}, branch of the tee", factors, normal=normal)
    allowance = max(around.plant.lines[a.member.segment.line].corrosion_allowance for a in pair)
    where = f"{where}, branch of the tee"
    return _point(arm, where, factors, normal=normal, header=header, header_allowance=allowance)


def _same_size(a: Section, b: Section) -> bool:
    pairs = ((a.outside_diameter, b.outside_diameter), (a.wall, b.wall))
    return all(abs(x - y) <= _SAME * max(x, y) for x, y in pairs)


def _tee(key: Key | None, header: Section, leg: Section, around: Surroundings) -> TeeFactors:
    """Factors of the branch kind that a row names at this point; the user's own win."""
    named = around.branches.get(key, ()) if key is not None else ()
    kind, pad, words = named_kind(named)
    if not words:
        found = tee_factors(around.plant.project.intensification, kind, header, leg, pad)
    else:
        found = TeeFactors(unknown(f"branch of unknown kind: {words}"), unknown(f"branch of unknown kind: {words}"))
    own = around.own.get(key) if key is not None else None
    return found if own is None else TeeFactors(with_own(found.run, own), with_own(found.branch, own))
