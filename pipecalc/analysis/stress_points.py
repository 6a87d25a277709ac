"""Sections whose stress is checked: ends of runs, ends and middle of bends, and the faces of branch points."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import isfinite, nan

import numpy as np

from pipecalc.analysis.factors import OWN, SET_B31J, STRAIGHT, PointFactors, TeeFactors, tee_factors, turn_factors
from pipecalc.analysis.frame import FrameRun
from pipecalc.analysis.frame_nodes import Member
from pipecalc.analysis.frame_results import SectionForces
from pipecalc.calc.end_forces import section_axes
from pipecalc.calc.frame import Array, Frame
from pipecalc.model import Item, Line, Plant, Section, Segment

Key = tuple[str, str]
_COLLINEAR = -1 + 1e-6


@dataclass(frozen=True, slots=True)
class StressPoint:
    """One section.

    Attributes:
        member: Number of the member.
        at_end: False at the member's start, True at its end.
        segment: Its segment.
        section: Its section.
        where: Point name, with "arc" words for the ends of a bend.
        end: ``"from"``, ``"to"`` or ``"middle"``.
        part: ``"run"`` or ``"bend"``.
        factors: Intensification factors, NaN where no rule covers the geometry.
        normal: Axis about which in-plane moments turn where a branch plane decides, else None.
        header: Section of the header, on the leg of a reducing branch only.
        header_allowance: Allowance of that header [m].
    """

    member: int
    at_end: bool
    segment: Segment
    section: Section
    where: str
    end: str
    part: str
    factors: PointFactors
    normal: tuple[float, float, float] | None = None
    header: Section | None = None
    header_allowance: float = nan


def stress_points(run: FrameRun, plant: Plant) -> list[StressPoint]:
    """All sections of pipe, in the order of members; stiff items carry no check of their own."""
    meeting = _meeting(run)
    keys = {node: key for key, node in run.net.node_of.items()}
    found: list[StressPoint] = []
    for number, member in enumerate(run.net.members):
        if member.part == "bend":
            found += _bend_points(number, member)
        elif member.segment.item in (Item.PIPE, Item.REDUCER):
            for at_end in (False, True):
                node = member.j if at_end else member.i
                found.append(_run_point(number, member, at_end, keys.get(node), meeting.get(node, []), plant))
    return found


def _bend_points(number: int, member: Member) -> Iterator[StressPoint]:
    factors = turn_factors(member.segment)
    point = member.segment.end
    ends = ((False, f"{point}, start of the turn", "from"), (True, f"{point}, middle of the turn", "middle"))
    if member.half == 2:
        ends = ((True, f"{point}, end of the turn", "to"),)  # type: ignore[assignment]
    for at_end, where, end in ends:
        yield StressPoint(number, at_end, member.segment, member.section, where, end, "bend", factors)


@dataclass(frozen=True, slots=True)
class Arm:
    """A member as seen from a node where it meets others: direction pointing away from the node."""

    number: int
    member: Member
    outward: Array


def _meeting(run: FrameRun) -> Mapping[int, list[Arm]]:
    """Members at every node where three or more meet."""
    arms: dict[int, list[Arm]] = defaultdict(list)
    at = run.net.at
    for number, member in enumerate(run.net.members):
        for here, there in ((member.i, member.j), (member.j, member.i)):
            vector = at[there] - at[here]
            arms[here].append(Arm(number, member, vector / np.linalg.norm(vector)))
    return {node: found for node, found in arms.items() if len(found) >= 3}


def _run_point(
    number: int, member: Member, at_end: bool, key: Key | None, arms: Sequence[Arm], plant: Plant
) -> StressPoint:
    segment = member.segment
    where = key[1] if key else f"between {segment.start} and {segment.end}"
    end = "to" if at_end else "from"
    if arms:
        return _branch_point(number, at_end, member, where, end, arms, plant)
    return StressPoint(number, at_end, segment, member.section, where, end, "run", _plain_factors(segment, key, at_end))


def _plain_factors(segment: Segment, key: Key | None, at_end: bool) -> PointFactors:
    """Girth welds and reducers have factor 1; the user's own factors at To win."""
    own = segment.own
    if at_end and key == segment.end_key and segment.turn is None and (own.i_in or own.i_out):
        return PointFactors(own.i_in or 1.0, own.i_out or 1.0, 1.0, "given", OWN)
    return STRAIGHT


def _branch_point(
    number: int, at_end: bool, member: Member, where: str, end: str, arms: Sequence[Arm], plant: Plant
) -> StressPoint:
    pair = _header_pair(arms)
    if pair is None or len(arms) != 3:
        unknown = PointFactors(nan, nan, 1.0, "junction that is no tee", "")
        return StressPoint(number, at_end, member.segment, member.section, where, end, "run", unknown)
    branch = next(arm for arm in arms if arm not in pair)
    is_branch = branch.number == number
    tee = _tee(arms, pair[0].member.section, branch.member.section, where, plant.project.intensification)
    factors = tee.branch if is_branch else tee.run
    normal = np.cross(pair[0].outward, branch.outward)
    normal = normal / np.linalg.norm(normal)
    header = pair[0].member
    # The effective section modulus belongs to the legacy set: the other one takes the branch's own.
    reducing = is_branch and branch.member.section != header.section and factors.source != SET_B31J
    return StressPoint(
        number,
        at_end,
        member.segment,
        member.section,
        where,
        end,
        "run",
        factors,
        (float(normal[0]), float(normal[1]), float(normal[2])),
        header.section if reducing else None,
        plant.lines[header.segment.line].corrosion_allowance if reducing else nan,
    )


def _header_pair(arms: Sequence[Arm]) -> tuple[Arm, Arm] | None:
    """The two arms that run straight through."""
    for n, a in enumerate(arms):
        for b in arms[n + 1 :]:
            if float(a.outward @ b.outward) < _COLLINEAR:
                return a, b
    return None


def _tee(arms: Sequence[Arm], header: Section, leg: Section, where: str, basis: str) -> TeeFactors:
    """Factors of the branch kind that a row names at this point; the user's own win."""
    named = [arm.member.segment for arm in arms if arm.member.segment.end == where and arm.member.segment.branch]
    if not named:
        unknown = PointFactors(nan, nan, 1.0, "branch of unnamed kind", "")
        return TeeFactors(unknown, unknown)
    segment = named[0]
    found = tee_factors(basis, segment.branch, header, leg, segment.pad_thickness)
    return TeeFactors(_own(found.run, segment), _own(found.branch, segment))


def _own(computed: PointFactors, segment: Segment) -> PointFactors:
    own = segment.own
    if own.i_in is None and own.i_out is None:
        return computed
    return PointFactors(own.i_in or computed.i_in, own.i_out or computed.i_out, 1.0, computed.kind, OWN)


@dataclass(frozen=True, slots=True, eq=False)
class PointForces:
    """Forces at every section in every case, each of shape (points, cases)."""

    axial: Array
    torsion: Array
    in_plane: Array
    out_of_plane: Array


def point_forces(points: Sequence[StressPoint], frame: Frame, forces: SectionForces) -> PointForces:
    """Section forces resolved for stress: in and out of the plane of the bend or branch."""
    rows = np.array([p.member for p in points], np.intp)
    at_end = np.array([p.at_end for p in points], bool)
    local = np.where(at_end[:, None, None], forces.end[rows], forces.start[rows])
    axial, torsion, about_y, about_z = local[:, 0], local[:, 3], local[:, 4], local[:, 5]
    bend = np.array([p.part == "bend" for p in points], bool)[:, None]
    in_plane, out_of_plane = np.where(bend, about_z, about_y), np.where(bend, about_y, about_z)
    for number, point in enumerate(points):
        if point.normal is not None:
            axes = section_axes(frame, 1.0 if point.at_end else 0.0)[point.member]
            normal = axes @ np.asarray(point.normal)
            in_plane[number] = normal[1] * about_y[number] + normal[2] * about_z[number]
            out_of_plane[number] = normal[1] * about_z[number] - normal[2] * about_y[number]
    return PointForces(axial, torsion, in_plane, out_of_plane)


def is_known(point: StressPoint) -> bool:
    """Whether intensification factors are known at a section."""
    return isfinite(point.factors.i_in) and isfinite(point.factors.i_out)


def line_of(point: StressPoint, plant: Plant) -> Line:
    """The line a section belongs to."""
    return plant.lines[point.segment.line]
