"""A frame in parts: lines that no pipe joins do not know of each other and are solved apart.

The work of supports that lift or rub grows with the third power of their number, so a plant of many lines costs in
proportion to its lines only where they are not solved as one.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from pipecalc.calc.contact import ContactResult, Contacts
from pipecalc.calc.frame import Array, Frame, Index, Loads, Restraints
from pipecalc.calc.mechanism import Mechanism, systems
from pipecalc.calc.recovery import Solution
from pipecalc.calc.solve import solve

#: Systems are solved together up to this many directions of supports: fewer, larger problems cost less overhead.
_DIRECTIONS = 80
_BY_MEMBER = ("E", "G", "A", "I", "J", "shear_area", "centre", "normal", "k_in", "k_out", "radius", "angle", "length")


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """Rows of the whole frame that belong to some of its connected systems, in the order of the whole."""

    nodes: Index
    members: Index
    springs: Index
    place: Index

    def of_frame(self, frame: Frame) -> Frame:
        """The part as a frame of its own."""
        return replace(
            frame,
            nodes=frame.nodes[self.nodes],
            ends=self.place[frame.ends[self.members]],
            **{name: getattr(frame, name)[self.members] for name in _BY_MEMBER},
            spring_ends=self.place[frame.spring_ends[self.springs]],
            spring_axes=frame.spring_axes[self.springs],
            spring_stiffness=frame.spring_stiffness[self.springs],
        )

    def rows(self, node: Index) -> Index:
        """Rows of restraints or contacts that stand on nodes of the part."""
        return np.flatnonzero(self.place[node] >= 0)

    def of_restraints(self, restraints: Restraints) -> Restraints:
        """Restraints of the part."""
        rows = self.rows(restraints.node)
        found = Restraints(*(getattr(restraints, name)[rows] for name in Restraints.__slots__))
        return replace(found, node=self.place[found.node])

    def of_contacts(self, contacts: Contacts) -> Contacts:
        """Contacts of the part."""
        rows = self.rows(contacts.node)
        found = Contacts(*(getattr(contacts, name)[rows] for name in Contacts.__slots__))
        return replace(found, node=self.place[found.node])

    def of_loads(self, loads: Loads) -> Loads:
        """Loads of the part."""
        return Loads(
            loads.nodal[self.nodes],
            loads.distributed[self.members],
            loads.strain[self.members],
            loads.spring_free[self.springs],
        )


def part_of(frame: Frame, of: Index, labels: Sequence[int]) -> Part:
    """The part of a frame made of the systems with some labels.

    Args:
        frame: The frame.
        of: Label of the system of each node.
        labels: The systems wanted.
    """
    inside = np.isin(of, labels)
    nodes = np.flatnonzero(inside)
    place = np.full(len(of), -1, np.intp)
    place[nodes] = np.arange(len(nodes))
    members, springs = inside[frame.ends[:, 0]], inside[frame.spring_ends[:, 0]]
    return Part(nodes, np.flatnonzero(members), np.flatnonzero(springs), place)


def parts_of(frame: Frame, contacts: Contacts) -> list[Part]:
    """Parts of one or more whole systems, none with many more directions of supports than one system has by itself."""
    of = systems(frame)
    weight = np.bincount(of[contacts.node], 1.0 + 2.0 * (contacts.friction > 0.0), minlength=int(of.max()) + 1)
    batches: list[list[int]] = [[]]
    for label in range(len(weight)):
        if batches[-1] and weight[[*batches[-1], label]].sum() > _DIRECTIONS:
            batches.append([])
        batches[-1].append(label)
    return [part_of(frame, of, batch) for batch in batches]


def solve_in_parts(
    frame: Frame, restraints: Restraints, loads: Loads, contacts: Contacts, follows: Sequence[int]
) -> Solution:
    """Solve a frame part by part; a case is settled where it is in every part."""
    parts = parts_of(frame, contacts)
    if len(parts) == 1:
        return solve(frame, restraints, loads, contacts, follows)
    found = [
        solve(p.of_frame(frame), p.of_restraints(restraints), p.of_loads(loads), p.of_contacts(contacts), follows)
        for p in parts
    ]
    return _joined(parts, found, restraints, contacts)


def _joined(parts: list[Part], found: list[Solution], restraints: Restraints, contacts: Contacts) -> Solution:
    def whole(rows: Iterable[Index], values: Iterable[Array]) -> Array:
        at, stacked = np.concatenate([*rows]), np.concatenate([*values])
        out = np.empty_like(stacked)
        out[at] = stacked
        return out

    def together(field: str, rows: list[Index]) -> Array:
        return whole(rows, (getattr(s, field) for s in found))

    nodes, members = [p.nodes for p in parts], [p.members for p in parts]
    touching = [p.rows(contacts.node) for p in parts]
    by_row = [name for name in ContactResult.__slots__ if name != "settled"]
    return Solution(
        movements=together("movements", nodes),
        end_actions=together("end_actions", members),
        spring_actions=together("spring_actions", [p.springs for p in parts]),
        reactions=together("reactions", nodes),
        restraint_forces=together("restraint_forces", [p.rows(restraints.node) for p in parts]),
        contacts=ContactResult(
            settled=np.all([s.contacts.settled for s in found], axis=0),
            **{name: whole(touching, (getattr(s.contacts, name) for s in found)) for name in by_row},  # type: ignore[arg-type]
        ),
        mechanisms=tuple(
            _renumbered(free, part) for part, s in zip(parts, found, strict=True) for free in s.mechanisms
        ),
        settled=np.all([s.settled for s in found], axis=0),
        balance=np.max([s.balance for s in found], axis=0),
        residual=np.max([s.residual for s in found], axis=0),
    )


def _renumbered(free: Mechanism, part: Part) -> Mechanism:
    return replace(free, node=int(part.nodes[free.node]), nodes=part.nodes[free.nodes])
