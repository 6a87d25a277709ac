"""Tees of the frame: the members that meet at a point, and branch legs that turn on their header."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import cos, radians, sin

import numpy as np

from pipecalc.analysis.factors import B31J, OWN, SET_B31J, tee_b31j
from pipecalc.analysis.frame_nodes import BranchSpring, Key, Member, Net, vector
from pipecalc.calc.frame import Array
from pipecalc.model import Item, Plant, Section, Segment, Vector
from pipecalc.results import Assumption

#: Cosine between two arms that count as one straight line: they differ by no more than half a degree, as for turns.
COLLINEAR = -cos(radians(0.5))
#: A branch leans by no more than 5 degrees where the flexibility of the table holds; from memory of its notes.
_SQUARE = sin(radians(5.0))

Factors = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Arm:
    """A member as seen from one of its nodes: direction pointing away from the node, and its section there."""

    number: int
    member: Member
    at_end: bool
    outward: Array

    @property
    def section(self) -> Section:
        """Section at the node; the ends of a reducer have those of the pipes they join."""
        segment = self.member.segment
        if segment.item is Item.REDUCER and self.member.ends[self.at_end] in ("from", "to"):
            return segment.end_section if self.at_end else segment.section
        return self.member.section


def arms_of(net: Net) -> Mapping[int, list[Arm]]:
    """Members at every node; a branch leg with a node of its own is at that of its point."""
    arms: dict[int, list[Arm]] = defaultdict(list)
    at = np.array(net.at)
    along = np.array([at[m.j] - at[m.i] for m in net.members]).reshape(-1, 3)
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    for number, member in enumerate(net.members):
        arms[net.seat(member.i)].append(Arm(number, member, False, along[number]))
        arms[net.seat(member.j)].append(Arm(number, member, True, -along[number]))
    return arms


def header_pair(arms: Sequence[Arm]) -> tuple[Arm, Arm] | None:
    """The two arms that run straight through."""
    for n, a in enumerate(arms):
        for b in arms[n + 1 :]:
            if float(a.outward @ b.outward) <= COLLINEAR:
                return a, b
    return None


def thinnest(arms: Sequence[Arm]) -> Section:
    """Of the header's two sides the one with the thinner wall, which gives the larger factors."""
    return max((a.section for a in arms), key=lambda s: s.outside_diameter / s.wall)


def no_tee(arms: Sequence[Arm], pair: tuple[Arm, Arm] | None) -> str:
    """Why arms that meet at a point are no tee; empty where they are one."""
    if any(a.member.part == "bend" for a in arms):
        return "branch or bracket on a bend: no rule"
    return "junction that is no tee: no rule" if pair is None or len(arms) != 3 else ""


def named_kind(named: Sequence[Segment]) -> tuple[str, float, str]:
    """Kind of branch and pad thickness [m] that rows name for one point, or why there is none."""
    kinds = {(segment.branch, segment.pad_thickness) for segment in named}
    if len(kinds) == 1:
        return *next(iter(kinds)), ""
    return "", 0.0, "two rows name different branches" if kinds else "no row names the kind in Branch at To"


def join_branches(net: Net, plant: Plant) -> None:
    """Give every branch leg that turns on its header a node of its own there, with a spring between.

    The user's own flexibility factor at a tee holds for the three turns of its branch, whatever the set; else the
    set of ASME B31J gives them, and the older set none.
    """
    named, own = _named(plant), _own_factors(plant)
    wanted = {*own, *(named if plant.project.intensification == B31J else ())}
    if not wanted:
        return
    arms = arms_of(net)
    for key in (key for key in net.node_of if key in wanted):
        here = arms[net.node_of[key]]
        if len(here) > 2:
            _join(net, key, here, named.get(key, []), own.get(key))


def _named(plant: Plant) -> Mapping[Key, list[Segment]]:
    """Rows that name a branch, by point."""
    found: dict[Key, list[Segment]] = defaultdict(list)
    for line in plant.lines.values():
        for segment in line.segments:
            if segment.branch:
                found[segment.end_key].append(segment)
    return found


def _own_factors(plant: Plant) -> Mapping[Key, float]:
    """The user's own flexibility factors at points without a turn; the smallest where rows differ."""
    found: dict[Key, float] = {}
    for line in plant.lines.values():
        for segment in line.segments:
            if segment.turn is None and segment.own.k is not None:
                found[segment.end_key] = min(segment.own.k, found.get(segment.end_key, segment.own.k))
    return found


def _join(net: Net, key: Key, arms: Sequence[Arm], named: Sequence[Segment], own: float | None) -> None:
    pair = header_pair(arms)
    why = no_tee(arms, pair)
    if why or pair is None:
        net.stiff_tees.append((key, why))
        return
    leg = next(a for a in arms if a not in pair)
    kind = "" if own is not None else named_kind(named)[0]
    k, why = ((own,) * 3, "") if own is not None else _computed(named, pair, leg)
    if abs(float(leg.outward @ pair[0].outward)) > _SQUARE:
        k, why = None, "the branch is not square to its header: no rule"
    if k is None:
        net.stiff_tees.append((key, why))
    elif max(k) > 1.0:
        _split(net, net.node_of[key], leg, _axes(pair[0], leg), k, kind)


def _computed(named: Sequence[Segment], pair: Sequence[Arm], leg: Arm) -> tuple[Factors | None, str]:
    kind, pad, why = named_kind(named)
    found = None if why else tee_b31j(kind, thinnest(pair), leg.section, pad)
    if found is None:
        return None, why or f"{kind}: no factors in this set"
    if found.reasons:
        return None, f"{kind}: {'; '.join(found.reasons)}"
    return (found.branch.k_t, found.branch.k_i, found.branch.k_o), ""


def _axes(header: Arm, leg: Arm) -> tuple[Vector, Vector, Vector]:
    """Right-handed axes: of the branch, normal to the tee, and along the header."""
    normal = np.cross(header.outward, leg.outward)
    normal /= np.linalg.norm(normal)
    return vector(leg.outward), vector(normal), vector(np.cross(leg.outward, normal))


def _split(net: Net, node: int, leg: Arm, axes: tuple[Vector, Vector, Vector], k: Factors, kind: str) -> None:
    own = net.add(net.at[node])
    net.seats[own] = node
    member = net.members[leg.number]
    net.members[leg.number] = replace(member, j=own) if leg.at_end else replace(member, i=own)
    net.branch_springs.append(BranchSpring(node, own, leg.member.segment, leg.section, axes, k, kind))


def branch_assumptions(net: Net, plant: Plant) -> list[Assumption]:
    """How branches act in the frame."""
    found: list[Assumption] = []
    computed = [_point(net, spring) for spring in net.branch_springs if spring.kind]
    own = [_point(net, spring) for spring in net.branch_springs if not spring.kind]
    left_out = "stiff where a factor is one; the header's own flexibility and the stiff length from the header's axis "
    left_out += "to its surface are left out"
    if computed:
        what = f"flexibility of branches at {', '.join(computed)}"
        found.append(Assumption(what, f"k M d/(E I) about each axis of the branch; {left_out}", SET_B31J, "Segments"))
    if own:
        what = f"flexibility of branches at {', '.join(own)}"
        found.append(
            Assumption(what, f"{OWN} for bending and torsion of the branch; {left_out}", "typed there", "Segments")
        )
    for key, why in net.stiff_tees:
        found.append(Assumption(f"branch at {'/'.join(key)} in the frame", "stiff", why, "Segments"))
    if any(segment.branch for line in plant.lines.values() for segment in line.segments) and not computed:
        found.append(
            Assumption(
                "branch connections in the frame" + (" without an own factor" if own else ""),
                "stiff at the intersection of axes, flexibility factor 1",
                "flexibility of branches is not modelled, which as a rule overstates loads",
                "Segments",
            )
        )
    return found


def _point(net: Net, spring: BranchSpring) -> str:
    return "/".join(next(key for key, node in net.node_of.items() if node == spring.i))
