"""Stiffness and loads of all members and springs: straight pipes in closed form, bends and springs as matrices.

Values at nodes and member ends have the shape (rows, freedoms, cases) but lie in memory with the rows adjacent, see
`by_freedom`. No loop runs over members.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from pipecalc.calc.bend_element import arc_axes, bend_flexibility, bend_load, bend_load_movement, bend_stiffness
from pipecalc.calc.frame import Array, Frame, Index, Loads, by_freedom, by_row
from pipecalc.calc.pipe_element import Straight, cross_lanes, spring_stiffness, straight_pipes
from pipecalc.calc.remembered import remembered

BLOCK = 2048  # members worked on together, so that their values stay in the cache
_SUMMED = 2**14  # values summed at nodes in one call


@dataclass(frozen=True, slots=True, eq=False)
class Elements:
    """Stiffness of members and springs.

    Attributes:
        ends: Nodes i and j, members then springs, shape (e, 2).
        pipes: Which of them are kept in closed form, shape (b,).
        straight: These in closed form, global axes.
        others: All others, shape (o,).
        k: Their stiffness, shape (o, 12, 12).
    """

    ends: Index
    pipes: Index
    straight: Straight
    others: Index
    k: Array

    def matrices(self, rows: Index) -> Array:
        """Return the stiffness of some elements as matrices, shape (rows, 12, 12)."""
        number = np.empty(len(self.ends), np.intp)
        number[self.pipes] = np.arange(len(self.pipes))
        number[self.others] = ~np.arange(len(self.others))
        at = number[rows]
        closed = at >= 0
        out = np.empty((len(rows), 12, 12))
        out[closed] = self.straight.pick(at[closed]).matrices()
        out[~closed] = self.k[~at[~closed]]
        return out

    def blocks(self) -> Iterator[tuple[Straight, Index | slice]]:
        """Yield pipes in closed form some at a time, and which elements they are."""
        whole = len(self.pipes) > 0 and self.pipes[-1] - self.pipes[0] + 1 == len(self.pipes)
        for first in range(0, len(self.pipes), BLOCK):
            some = slice(first, min(first + BLOCK, len(self.pipes)))
            yield self.straight.pick(some), some if whole and not self.pipes[0] else self.pipes[some]

    def actions(self, moved: Array, loads: Array) -> tuple[Array, Array]:
        """Return the forces on all ends and the largest of each case.

        Args:
            moved: Movements of nodes, shape (n, 6, cases).
            loads: End loads, shape (e, 12, cases).

        Returns:
            Shapes (e, 12, cases) and (cases,).
        """
        at_nodes, held = by_freedom(moved), by_freedom(loads)
        out, largest = np.empty_like(held), np.zeros(held.shape[1])
        for straight, some in self.blocks():
            ends = self.ends[some]
            force, moment = straight.forces(at_nodes.take(ends[:, 0], axis=2), at_nodes.take(ends[:, 1], axis=2))
            lever = cross_lanes(straight.half, force)
            part = np.empty((12, *force.shape[1:]))
            np.negative(force, out=part[0:3])
            np.add(moment, lever, out=part[3:6])
            np.negative(part[3:6], out=part[3:6])
            part[6:9] = force
            np.subtract(moment, lever, out=part[9:12])
            part -= held[:, :, some]
            out[:, :, some] = part
            np.maximum(largest, largest_of(part), out=largest)
        if len(self.others):
            part = by_freedom(self.k @ gather(moved, self.ends[self.others])) - held[:, :, self.others]
            out[:, :, self.others] = part
            np.maximum(largest, largest_of(part), out=largest)
        return by_row(out), largest


def largest_of(values: Array) -> Array:
    """Return the largest size of each case in values (freedoms, cases, rows), shape (cases,)."""
    high, low = values.max(axis=2, initial=0.0), values.min(axis=2, initial=0.0)
    return np.asarray(np.maximum(high, -low).max(axis=0, initial=0.0))


@dataclass(frozen=True, slots=True, eq=False)
class Stack:
    """Stiffness of all elements and loads of those that are not straight, global axes.

    Attributes:
        elements: Stiffness of members, then springs.
        bends: Which members are bends, shape (b,).
        load: End loads of bends of a unit uniform load along each axis, shape (b, 12, 3).
        strain: End loads of bends of a unit free strain, shape (b, 12).
        free: End loads of a unit free relative movement of springs, shape (s, 12, 6).
    """

    elements: Elements
    bends: Index
    load: Array
    strain: Array
    free: Array


def chords(frame: Frame) -> Array:
    """Return vectors from i to j of all members, shape (m, 3) [m]."""
    return frame.nodes[frame.ends[:, 1]] - frame.nodes[frame.ends[:, 0]]


@remembered(2)
def build_stack(frame: Frame) -> Stack:
    """Return stiffness and loads of all members and springs; a frame is solved several times in a row."""
    m, s = len(frame.ends), len(frame.spring_ends)
    chord = chords(frame)
    is_bend = frame.is_bend
    bends, pipes = np.flatnonzero(is_bend), np.flatnonzero(~is_bend)
    section = (getattr(frame, name)[pipes] for name in ("length", "E", "G", "A", "I", "J", "shear_area"))
    straight = straight_pipes(chord[pipes], *section)
    k, load, strain = _bends(frame, bends, chord[bends])
    springs, free = _springs(frame)
    others = np.concatenate([bends, np.arange(m, m + s)])
    elements = Elements(frame.all_ends, pipes, straight, others, np.concatenate([k, springs]))
    return Stack(elements, bends, load, strain, free)


def _bends(frame: Frame, bends: Index, chord: Array) -> tuple[Array, Array, Array]:
    """Stiffness, end loads of unit uniform loads and of unit free strain of bends."""
    if not len(bends):
        return np.zeros((0, 12, 12)), np.zeros((0, 12, 3)), np.zeros((0, 12))
    names = ("radius", "angle", "E", "G", "A", "I", "J", "shear_area", "k_in", "k_out")
    values = [getattr(frame, name)[bends] for name in names]
    flexibility = bend_flexibility(*values)
    axes = arc_axes(frame.nodes[frame.ends[bends, 1]] - frame.centre[bends], frame.normal[bends])
    k = bend_stiffness(flexibility, axes, chord)
    load = bend_load(flexibility, bend_load_movement(*values), axes, chord, values[0], values[1])
    return k, load, np.matmul(k[:, :, 6:9], chord[:, :, None])[:, :, 0]


def _springs(frame: Frame) -> tuple[Array, Array]:
    xyz = frame.nodes[frame.spring_ends]
    middle = xyz.mean(axis=1)
    k, b = spring_stiffness(middle - xyz[:, 0], middle - xyz[:, 1], frame.spring_axes, frame.spring_stiffness)
    return k, b.transpose(0, 2, 1) @ frame.spring_stiffness


def element_loads(stack: Stack, loads: Loads) -> Array:
    """Return end loads of members and springs (held ends, sign reversed), shape (e, 12, cases)."""
    elements, m = stack.elements, len(loads.distributed)
    out = np.empty((12, loads.cases, len(elements.ends)))
    warm = bool(loads.strain.any())
    for straight, some in elements.blocks():
        force, moment = straight.uniform(by_freedom(loads.distributed[some]))
        out[0:3, :, some] = out[6:9, :, some] = force
        out[3:6, :, some], out[9:12, :, some] = moment, -moment
        if warm:
            pull = (2.0 * straight.axial * straight.half)[:, None] * loads.strain[some].T
            out[0:3, :, some] -= pull
            out[6:9, :, some] += pull
    bends, springs = stack.bends, np.arange(m, len(elements.ends))
    if len(bends):
        bent = stack.load @ loads.distributed[bends] + stack.strain[:, :, None] * loads.strain[bends, None, :]
        out[:, :, bends] = by_freedom(bent)
    if len(springs):
        out[:, :, springs] = by_freedom(stack.free @ loads.spring_free)
    return by_row(out)


def gather(values: Array, ends: Index) -> Array:
    """Return values of the two ends of each member, shape (m, 12, cases) from (n, 6, cases)."""
    return values[ends.reshape(-1)].reshape(len(ends), 12, values.shape[2])


def scatter(actions: Array, ends: Index, n: int) -> Array:
    """Return sums at nodes of values at member ends, shape (n, 6, cases) from (m, 12, cases)."""
    cases = actions.shape[2]
    rows = by_freedom(actions).reshape(2, 6 * cases, len(ends))
    return by_row((sums_at(ends[:, 0], rows[0], n) + sums_at(ends[:, 1], rows[1], n)).reshape(6, cases, n))


def sums_at(node: Index, values: Array, n: int) -> Array:
    """Return sums of values at nodes, shape (rows, n) from (rows, m)."""
    out = np.empty((len(values), n))
    together = max(1, _SUMMED // max(len(node), 1))  # short rows several at a time: a call costs more than their sums
    where = (n * np.arange(together)[:, None] + node).reshape(-1)
    for first in range(0, len(values), together):
        some = values[first : first + together]
        total = np.bincount(where[: some.size], some.reshape(-1), n * len(some))
        out[first : first + together] = total.reshape(len(some), n)
    return out
