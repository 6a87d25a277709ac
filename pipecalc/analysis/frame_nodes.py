"""Plant -> nodes and members of the frame: runs shortened by their arcs, bends, items, reducers in steps, joints."""

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from math import cos, isfinite, tan

import numpy as np
from numpy.typing import NDArray

from pipecalc.analysis.factors import turn_factors
from pipecalc.calc.mitre import mitre_radius_wide
from pipecalc.calc.section import mean_radius
from pipecalc.model import Item, Line, Plant, Section, Segment, Turn, Vector

Array = NDArray[np.float64]
Key = tuple[str, str]
#: One side of a point: ``"in"`` and ``"out"`` are the ends of its arc, ``"at"`` is the point itself.
Side = tuple[str, Key]

#: A valve, flange or rigid item is this many times as stiff as its pipe; common practice, no source.
RIGID_FACTOR = 10.0
REDUCER_STEPS = 4
_SHORTEST = 1e-6  # a run whose arcs leave less than this is all arc [m]


@dataclass(frozen=True, slots=True)
class Member:
    """One member of the frame.

    Attributes:
        i: Node at the start.
        j: Node at the end.
        segment: The segment it belongs to (for a bend: the arriving one).
        section: Its section.
        part: ``"run"`` or ``"bend"``.
        ends: What its two ends are of the run or bend: ``"from"``, ``"middle"``, ``"to"`` or empty for an inner joint.
        stiffer: Multiplies area and inertia.
        centre: Centre of curvature of a bend, else None.
        normal: Axis of turning of a bend, else None.
        k: Flexibility factor of a bend without pressure.
        share: Part of the arc's length that has the factor: 1 but for single and widely spaced mitres, whose equivalent
            radius differs from that of the arc.
        radius: Bend radius [m], 0 for a run.
        own_metal: Whether the pipe's metal weighs here (not where an item's own mass stands for it).
        half: 0 for a run, 1 and 2 for the halves of a bend.
    """

    i: int
    j: int
    segment: Segment
    section: Section
    part: str
    ends: tuple[str, str] = ("from", "to")
    stiffer: float = 1.0
    centre: Vector | None = None
    normal: Vector | None = None
    k: float = 1.0
    share: float = 1.0
    radius: float = 0.0
    own_metal: bool = True
    half: int = 0


@dataclass(frozen=True, slots=True)
class JointSpring:
    """An expansion joint as a spring between two nodes."""

    i: int
    j: int
    segment: Segment


@dataclass(frozen=True, slots=True)
class BranchSpring:
    """A branch leg that turns on its header: a spring without length between two nodes at one place.

    Attributes:
        i: Node of the header, that of the point.
        j: Node of the leg.
        segment: The leg's segment.
        section: Section of the leg.
        axes: Rows are the branch's axis, the normal of the tee's plane, and the header's axis square to the branch.
        k: Flexibility factors about these: in torsion, in plane, out of plane.
        kind: Word of the column "Branch at To"; empty where the factor is the user's own.
    """

    i: int
    j: int
    segment: Segment
    section: Section
    axes: tuple[Vector, Vector, Vector]
    k: tuple[float, float, float]
    kind: str


@dataclass(frozen=True, slots=True, eq=False)
class Arc:
    """The arc at a point: where it begins, its middle, where it ends, all [m]."""

    segment: Segment
    following: Segment
    turn: Turn
    centre: Array
    normal: Array
    begin: Array
    middle: Array
    end: Array


@dataclass(slots=True)
class Net:
    """Nodes and members while they are being laid out.

    Attributes:
        at: Positions [m].
        node_of: Node of every point; of a turn, the middle of its arc.
        members: In the order of the rows.
        joints: Expansion joints.
        masses: Extra masses at nodes ``(node, kg)``.
        joined_on_arc: Segments of other lines that join a line where it turns, at the middle of its arc.
        without_factor: Segments that end in a bend or mitre for which no rule gives a flexibility factor.
        branch_springs: Branch legs that turn on their header.
        seats: Node of the point that the own node of such a leg stands on.
        stiff_tees: Points whose branch stays stiff though the project asks for its flexibility, with the reason.
    """

    at: list[Array] = field(default_factory=list)
    node_of: dict[Key, int] = field(default_factory=dict)
    members: list[Member] = field(default_factory=list)
    joints: list[JointSpring] = field(default_factory=list)
    masses: list[tuple[int, float]] = field(default_factory=list)
    joined_on_arc: list[Segment] = field(default_factory=list)
    without_factor: list[Segment] = field(default_factory=list)
    branch_springs: list[BranchSpring] = field(default_factory=list)
    seats: dict[int, int] = field(default_factory=dict)
    stiff_tees: list[tuple[Key, str]] = field(default_factory=list)

    def seat(self, node: int) -> int:
        """The node of the point where the end of a member is: for a branch leg with a node of its own, the header's."""
        return self.seats.get(node, node)

    def add(self, position: Array) -> int:
        """A new node."""
        self.at.append(np.asarray(position, dtype=float))
        return len(self.at) - 1


def lay_out(plant: Plant) -> Net:
    """Nodes and members of all lines, joined where they share points; the order of rows has no bearing on them."""
    net = Net()
    arcs = _arcs(plant)
    for line in plant.lines.values():
        for segment in line.segments:
            _points(net, segment, arcs)
    nodes = _arc_ends(net, plant, arcs)
    for line in plant.lines.values():
        for segment in line.segments:
            _run(net, segment, arcs, nodes)
            arc = arcs.get(segment.end_key)
            if arc is not None and arc.segment is segment:
                _bend(net, arc, nodes["in", segment.end_key], nodes["out", segment.end_key])
    return net


def is_arc(segment: Segment) -> bool:
    """Whether the segment ends in a turn with a radius."""
    return segment.turn is not None and segment.turn.radius > 0


def _arcs(plant: Plant) -> dict[Key, Arc]:
    """Arcs by point: only where exactly one run of a line arrives and one goes on."""
    found: dict[Key, Arc] = {}
    for line in plant.lines.values():
        for segment, following in _with_following(line):
            if is_arc(segment):
                found[segment.end_key] = _arc(segment, following)
    return found


def _with_following(line: Line) -> Iterator[tuple[Segment, Segment]]:
    """Pairs of segments of a line of which the second alone goes on where the first alone arrives."""
    starts = Counter(segment.start_key for segment in line.segments)
    ends = Counter(segment.end_key for segment in line.segments)
    by_start = {segment.start_key: segment for segment in line.segments}
    for segment in line.segments:
        if starts[segment.end_key] == 1 and ends[segment.end_key] == 1:
            yield segment, by_start[segment.end_key]


def _arc(segment: Segment, following: Segment) -> Arc:
    turn = segment.turn
    if turn is None:
        raise ValueError(f"{segment.source}: no turn")
    corner, into, out = np.asarray(segment.end_at), _unit(segment), _unit(following)
    tangent = turn.radius * tan(turn.angle / 2.0)
    bisector = (out - into) / np.linalg.norm(out - into)
    centre = corner + bisector * (turn.radius / cos(turn.angle / 2.0))
    return Arc(
        segment,
        following,
        turn,
        centre,
        np.cross(into, out),
        corner - into * tangent,
        centre - bisector * turn.radius,
        corner + out * tangent,
    )


def _unit(segment: Segment) -> Array:
    return np.asarray(np.asarray(segment.vector) / segment.length)


def _points(net: Net, segment: Segment, arcs: Mapping[Key, Arc]) -> None:
    """Nodes of the points of a segment; that of a turn is the middle of its arc."""
    for key, position in ((segment.start_key, segment.start_at), (segment.end_key, segment.end_at)):
        if key not in net.node_of:
            net.node_of[key] = net.add(arcs[key].middle if key in arcs else np.asarray(position))


def _sides(segment: Segment, arcs: Mapping[Key, Arc]) -> tuple[Side, Side]:
    """Where the straight part of a segment begins and ends: at its points, or at the ends of its own line's arcs."""
    before, after = arcs.get(segment.start_key), arcs.get(segment.end_key)
    return (
        ("out" if before is not None and before.following is segment else "at", segment.start_key),
        ("in" if after is not None and after.segment is segment else "at", segment.end_key),
    )


def _position(net: Net, side: Side, arcs: Mapping[Key, Arc]) -> Array:
    where, key = side
    if where == "at":
        return net.at[net.node_of[key]]
    return arcs[key].begin if where == "in" else arcs[key].end


def _arc_ends(net: Net, plant: Plant, arcs: Mapping[Key, Arc]) -> dict[Side, int]:
    """Nodes of all sides; the two sides of a run are one node where its arcs leave nothing of it."""
    nodes: dict[Side, int] = {("at", key): node for key, node in net.node_of.items()}
    for line in plant.lines.values():
        for segment in line.segments:
            start, end = _sides(segment, arcs)
            meet = np.linalg.norm(_position(net, start, arcs) - _position(net, end, arcs)) < _SHORTEST
            known = nodes.get(start, nodes.get(end)) if meet else None
            for side in (start, end):
                if side not in nodes:
                    nodes[side] = net.add(_position(net, side, arcs)) if known is None else known
                    known = nodes[side] if meet else None
    return nodes


def _run(net: Net, segment: Segment, arcs: Mapping[Key, Arc], nodes: Mapping[Side, int]) -> None:
    sides = _sides(segment, arcs)
    if any(where == "at" and key in arcs for where, key in sides):
        net.joined_on_arc.append(segment)
    start, end = nodes[sides[0]], nodes[sides[1]]
    if start == end:
        return
    if segment.joint is not None:
        net.joints.append(JointSpring(start, end, segment))
        net.masses += [(start, segment.mass / 2.0), (end, segment.mass / 2.0)]
    elif segment.item is Item.REDUCER:
        _reducer(net, segment, start, end)
    else:
        _pipe(net, segment, start, end)


def _pipe(net: Net, segment: Segment, start: int, end: int) -> None:
    """A run of pipe or a stiff item; an own mass acts at its middle."""
    stiffer = 1.0 if segment.item is Item.PIPE else RIGID_FACTOR
    own_metal = segment.item is Item.PIPE or not segment.mass
    nodes, names = [start, end], ["from", "to"]
    if segment.mass:
        nodes.insert(1, net.add((net.at[start] + net.at[end]) / 2.0))
        names.insert(1, "middle")
        net.masses.append((nodes[1], segment.mass))
    for (i, j), ends in zip(pairwise(nodes), _told_once(names), strict=True):
        net.members.append(Member(i, j, segment, segment.section, "run", ends, stiffer, own_metal=own_metal))


def _told_once(names: list[str]) -> list[tuple[str, str]]:
    """Names of the ends of pieces in a row; what two pieces share is told by the first."""
    return [(name if n == 0 else "", names[n + 1]) for n, name in enumerate(names[:-1])]


def _reducer(net: Net, segment: Segment, start: int, end: int) -> None:
    """A cone in steps of even length, each with the section of its middle."""
    a, b = segment.section, segment.end_section
    nodes = [start, *(net.add(_between(net, start, end, n / REDUCER_STEPS)) for n in range(1, REDUCER_STEPS)), end]
    names = ["from", *("middle" if 2 * n == REDUCER_STEPS else "" for n in range(1, REDUCER_STEPS)), "to"]
    for number, ((i, j), ends) in enumerate(zip(pairwise(nodes), _told_once(names), strict=True)):
        share = (number + 0.5) / REDUCER_STEPS
        section = Section(
            a.outside_diameter + share * (b.outside_diameter - a.outside_diameter),
            a.wall + share * (b.wall - a.wall),
        )
        net.members.append(Member(i, j, segment, section, "run", ends, own_metal=not segment.mass))
    if segment.mass:
        net.masses.append((nodes[REDUCER_STEPS // 2], segment.mass))


def _between(net: Net, start: int, end: int, share: float) -> Array:
    return net.at[start] + share * (net.at[end] - net.at[start])


def _bend(net: Net, arc: Arc, start: int, end: int) -> None:
    """Two half arcs with the point's node between them."""
    segment = arc.segment
    k = turn_factors(segment).k
    if not isfinite(k):
        net.without_factor.append(segment)
        k = 1.0
    middle = net.node_of[segment.end_key]
    centre = _centre(arc, net.at[start], net.at[end])
    for half, (i, j, ends) in enumerate(((start, middle, ("from", "middle")), (middle, end, ("", "to"))), start=1):
        net.members.append(
            Member(
                i,
                j,
                segment,
                segment.end_section,
                "bend",
                ends,
                centre=vector(centre),
                normal=vector(arc.normal),
                k=k,
                share=_share(segment, arc.turn),
                radius=arc.turn.radius,
                half=half,
            )
        )


def _centre(arc: Arc, begin: Array, end: Array) -> Array:
    """Centre of curvature; anew where an end was drawn to the node of a run that its arcs leave nothing of."""
    if np.array_equal(begin, arc.begin) and np.array_equal(end, arc.end):
        return arc.centre
    a, b = begin - arc.middle, end - arc.middle
    square = np.cross(a, b)
    to_centre = np.cross(a @ a * b - b @ b * a, square) / (2.0 * square @ square)
    return np.asarray(arc.middle + to_centre)


def _share(segment: Segment, turn: Turn) -> float:
    """Equivalent radius over the radius of the arc; above 1 where a single mitre is drawn with a tight arc."""
    if turn.kind != "mitre" or segment.own.k is not None:
        return 1.0
    section = segment.end_section
    radius = mean_radius(section.outside_diameter, section.wall)
    half = turn.angle / (2 * max(turn.mitre_cuts, 1))
    close = turn.mitre_cuts > 1 and 2.0 * turn.radius * tan(half) < radius * (1.0 + tan(half))
    equivalent = mitre_radius_wide(half, radius)
    return 1.0 if close or not isfinite(equivalent) else equivalent / turn.radius


def vector(array: Array) -> Vector:
    """An array of three as a plain vector."""
    return (float(array[0]), float(array[1]), float(array[2]))
