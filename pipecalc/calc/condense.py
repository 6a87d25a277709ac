"""Reduce a frame to the freedoms of its supported nodes.

With the supported nodes held, the frame falls apart into runs that do not know of each other. Unit movements of
nodes that share no run are therefore solved in one column, so that the cost does not grow with the number of
supports. Along a pipe each support then knows only its neighbours: the stiffness that is left has a narrow band.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pipecalc.calc.band import END_SEARCHES
from pipecalc.calc.elements import Elements
from pipecalc.calc.factor import Factor
from pipecalc.calc.frame import Array, Index, Mask, both


@dataclass(frozen=True, slots=True, eq=False)
class Reaches:
    """What unit movements of kept nodes call up in the runs they touch, halfway through the solution.

    One reach for each run and each kept node that it touches. The forward half of a solution fills only what comes
    after the node touched, so that of a reach that begins at the last node of its run six rows are all; such short
    ones are worked on together, the others one by one.

    Attributes:
        run: Run of each reach, counted along the band, ascending, shape (p,).
        kept: Number of the kept node of each, shape (p,).
        long: Which reaches are not short, shape (l,).
        rows: Freedoms of the runs of the long ones, order of the factor.
        half: Half-solved forces of the long ones, six columns, each of shape (rows, 6).
        mirror: What other halves are multiplied with, see `Factor.mirror`, each of shape (rows, 6).
        short: Which reaches are short, shape (t,).
        last: Place of the last node of the run of each reach, shape (p,).
        tail: Half-solved forces at the last node of the run of each reach, shape (p, 6, 6).
    """

    run: Index
    kept: Index
    long: Index
    rows: list[slice]
    half: list[Array]
    mirror: list[Array]
    short: Index
    last: Index
    tail: Array

    def work(self) -> tuple[Index, Index, Array]:
        """Return pairs of kept nodes of one run, and how the run gives way between them, shapes (w,), (w, 6, 6)."""
        pairs = [np.zeros((2, 0), np.intp)]
        for apart in range(int(np.bincount(self.run).max(initial=0))):
            first = np.flatnonzero(self.run[: len(self.run) - apart] == self.run[apart:])
            pairs.append(np.stack([first, first + apart]))
        one, other = np.concatenate(pairs, axis=1)
        value = self.tail[one].transpose(0, 2, 1) @ self.tail[other]
        number = np.full(len(self.run), -1)
        number[self.long] = np.arange(len(self.long))
        whole = np.flatnonzero((number[one] >= 0) & (number[other] >= 0))
        for i, a, b in zip(whole.tolist(), number[one[whole]].tolist(), number[other[whole]].tolist(), strict=True):
            value[i] = self.half[a].T @ self.mirror[b]
        return self.kept[one], self.kept[other], value

    def seen(self, at_kept: Array, half: Array) -> Array:
        """Return loads at the kept nodes once inner nodes have moved, shape (q, 6, cases).

        Args:
            at_kept: Loads of the kept nodes, shape (q, 6, cases).
            half: Loads of inner nodes, half solved, shape (6 N, cases).
        """
        out = at_kept.copy()
        for node, rows, mirror in zip(self.kept[self.long].tolist(), self.rows, self.mirror, strict=True):
            out[node] -= mirror.T @ half[rows]
        at_last = 6 * self.last[self.short, None] + np.arange(6)
        np.subtract.at(out, self.kept[self.short], self.tail[self.short].transpose(0, 2, 1) @ half[at_last])
        return out

    def follow(self, half: Array, moved: Array) -> None:
        """Take from half-solved loads of inner nodes what movements of the kept ones call up, in place.

        Args:
            half: Loads of inner nodes, half solved, shape (6 N, cases).
            moved: Movements of the kept nodes, shape (q, 6, cases).
        """
        for node, rows, own in zip(self.kept[self.long].tolist(), self.rows, self.half, strict=True):
            half[rows] -= own @ moved[node]
        at_last = 6 * self.last[self.short, None] + np.arange(6)
        np.subtract.at(half, at_last, self.tail[self.short] @ moved[self.kept[self.short]])


@dataclass(frozen=True, slots=True, eq=False)
class Condensed:
    """A frame as the kept nodes feel it.

    Attributes:
        stiffness: Stiffness at the kept nodes, inner nodes free to follow, as blocks on and below the diagonal: entry
            (i, d) has the rows of node i + d and the columns of node i, all others are zero; held freedoms have a unit
            diagonal, shape (q, 1 + nodes apart, 6, 6).
        local: Stiffness against translation of the members at each kept node, mean of the directions, shape (q,) [N/m].
        reaches: What kept nodes call up in the runs they touch.
    """

    stiffness: Array
    local: Array
    reaches: Reaches


def find_touches(at: Index, k: Array, ends: Index, held: Mask) -> tuple[Index, Index, Array]:
    """Return members between a kept node and an inner node.

    Args:
        at: Numbers of the kept nodes among the ends of members, -1 for inner nodes, shape (m, 2).
        k: Stiffness of the members in node axes, shape (m, 12, 12).
        ends: Nodes of the members, shape (m, 2).
        held: Freedoms without equation, shape (n, 6).

    Returns:
        Number of the kept node and the inner node, both of shape (t,), and the stiffness, rows inner, columns kept,
        held freedoms silenced, shape (t, 6, 6).
    """
    rows = np.flatnonzero((at[:, 0] < 0) != (at[:, 1] < 0))
    inner_first = at[rows, 0] < 0
    inner = np.where(inner_first, ends[rows, 0], ends[rows, 1])
    near = np.where(inner_first, ends[rows, 1], ends[rows, 0])
    block = np.where(inner_first[:, None, None], k[rows, :6, 6:], k[rows, 6:, :6])
    block[held[inner][:, :, None] | held[near][:, None, :]] = 0.0
    return at[rows].max(axis=1), inner, block


def order_kept(ends: Index, kept: Index, run_of: Index) -> Index:
    """Return the kept nodes in an order in which those that know of each other stand close.

    Args:
        ends: Nodes of elements, shape (m, 2).
        kept: Kept nodes, shape (q,).
        run_of: Run of each inner node, shape (n,).
    """
    q = len(kept)
    number = np.full(len(run_of), -1, np.intp)
    number[kept] = np.arange(q)
    outside = number[ends] < 0
    single = np.flatnonzero(outside.sum(axis=1) == 1)
    near, inner = np.where(outside[single, 0], ends[single].T[::-1], ends[single].T)
    touched, run = np.unique(run_of[inner], return_inverse=True)
    through = np.stack([number[near], q + run.reshape(-1)], axis=1)
    direct = number[ends[~outside.any(axis=1)]]
    order = _from_ends(np.concatenate([through, direct]), q + len(touched))
    return kept[[place for place in order if place < q]]


def _from_ends(pairs: Index, count: int) -> list[int]:
    """Vertices of each connected part breadth first from one of its ends, as `order_nodes` does it for many nodes."""
    tied: list[list[int]] = [[] for _ in range(count)]
    for one, other in pairs.tolist():
        tied[one].append(other)
        tied[other].append(one)
    order: list[int] = []
    done = [False] * count
    for first in range(count):
        if not done[first]:
            found = [first]
            for _ in range(END_SEARCHES + 1):
                found = _reached(tied, found[-1])
            order += found
            for vertex in found:
                done[vertex] = True
    return order


def _reached(tied: list[list[int]], start: int) -> list[int]:
    """Vertices reached from one, breadth first."""
    found, seen = [start], {start}
    for vertex in found:
        for other in tied[vertex]:
            if other not in seen:
                seen.add(other)
                found.append(other)
    return found


def condense(elements: Elements, kept: Index, held: Mask, blocks: tuple[Index, Array], inner: Factor) -> Condensed:
    """Return the frame as the kept nodes feel it.

    Args:
        elements: Element stiffness in node axes.
        kept: Kept nodes, shape (q,).
        held: Freedoms without equation, shape (n, 6).
        blocks: Further nodes and their stiffness (elastic restraints).
        inner: The factored stiffness of the inner nodes.
    """
    q = len(kept)
    number = np.full(len(held), -1, np.intp)
    number[kept] = np.arange(q)
    at = number[elements.ends]
    near = np.flatnonzero((at[:, 0] >= 0) | (at[:, 1] >= 0))
    at, k = at[near], elements.matrices(near)
    reaches = _reaches(find_touches(at, k, elements.ends[near], held), inner, inner.run[inner.order], q)
    one, other, value = reaches.work()
    apart = np.abs(one - other)
    furthest = max(apart.max(initial=0), np.abs(at[:, 0] - at[:, 1])[both(at >= 0)].max(initial=0))
    out = _direct(at, k, number, held[kept], blocks, int(furthest))
    ahead = (one < other)[:, None, None]
    np.subtract.at(out, (np.minimum(one, other), apart), np.where(ahead, value.transpose(0, 2, 1), value))
    flat = at.reshape(-1)
    push = np.einsum("mii->mi", k).reshape(-1, 2, 6)[:, :, :3].mean(axis=2).reshape(-1)
    return Condensed(out, np.asarray(np.bincount(flat[flat >= 0], push[flat >= 0], q), float), reaches)


def _reaches(touches: tuple[Index, Index, Array], inner: Factor, run: Index, q: int) -> Reaches:
    """What kept nodes call up, run by run.

    Args:
        touches: Members between kept and inner nodes, see `find_touches`.
        inner: The factored stiffness of the inner nodes.
        run: Run of each inner node, in the order of the factor, shape (N,).
        q: Number of kept nodes.
    """
    of, node, block = touches
    place = inner.place[node]
    bounds = np.append(np.flatnonzero(np.diff(run, prepend=-1)), len(run))
    number = np.searchsorted(bounds, place, side="right") - 1
    key, where = np.unique(number * q + of, return_inverse=True)
    owner, kept = np.divmod(key, max(q, 1))
    end = bounds[owner + 1]
    first = end.copy()
    np.minimum.at(first, where, place)
    is_short = (first == end - 1) & (inner.band is not None)
    long, short = np.flatnonzero(~is_short), np.flatnonzero(is_short)
    # kept nodes that share no run are moved in one solution
    slot = np.full(len(key), -1)
    slot[long] = np.arange(len(long)) - np.searchsorted(owner[long], owner[long])
    halves, mirrors = [], []
    for s in range(int(slot.max(initial=-1)) + 1):
        here = slot[where] == s
        leading = int(end[slot == s].max())
        right = np.zeros((6, leading, 6))
        np.add.at(right.transpose(1, 2, 0), place[here], block[here])
        halves.append(inner.forward(right.reshape(6, 6 * leading).T))
        mirrors.append(inner.mirror(halves[-1]))
    rows = [slice(*ends) for ends in zip((6 * bounds[owner[long]]).tolist(), (6 * end[long]).tolist(), strict=True)]
    from_slot = slot[long].tolist()
    half = [halves[s][some] for s, some in zip(from_slot, rows, strict=True)]
    mirror = [mirrors[s][some] for s, some in zip(from_slot, rows, strict=True)]
    tail = np.zeros((len(key), 6, 6))
    at_last = is_short[where]
    np.add.at(tail, where[at_last], block[at_last])
    if len(short):
        tail[short] = np.linalg.solve(inner.last_block(end[short] - 1), tail[short])
    for i, own in zip(long.tolist(), half, strict=True):
        tail[i] = own[-6:]
    return Reaches(owner, kept, long, rows, half, mirror, short, end - 1, tail)


def _direct(ends: Index, k: Array, number: Index, held: Mask, blocks: tuple[Index, Array], furthest: int) -> Array:
    """Stiffness at the kept nodes with all inner nodes held, see `Condensed`, shape (q, 1 + furthest, 6, 6).

    Args:
        ends: Numbers of the kept nodes among the ends of members, -1 for inner nodes, shape (m, 2).
        k: Stiffness of the members in node axes, shape (m, 12, 12).
        number: Number of each node among the kept ones, else -1, shape (n,).
        held: Freedoms of the kept nodes without equation, shape (q, 6).
        blocks: Further nodes and their stiffness (elastic restraints).
        furthest: How far apart nodes of one block are at most.
    """
    out = np.zeros((len(held), furthest + 1, 6, 6))
    for end, here in ((0, slice(0, 6)), (1, slice(6, 12))):
        rows = np.flatnonzero(ends[:, end] >= 0)
        np.add.at(out[:, 0], ends[rows, end], k[rows, here, here])
    rows = np.flatnonzero(both(ends >= 0))
    one, other = ends[rows].T
    ahead = (one < other)[:, None, None]
    np.add.at(out, (np.minimum(one, other), np.abs(one - other)), np.where(ahead, k[rows, 6:, :6], k[rows, :6, 6:]))
    here_too = np.flatnonzero(number[blocks[0]] >= 0)
    np.add.at(out[:, 0], number[blocks[0][here_too]], blocks[1][here_too])
    node, freedom = np.nonzero(held)
    out[node, :, :, freedom] = 0.0
    for apart in range(furthest + 1):
        above = node >= apart
        out[node[above] - apart, apart, freedom[above]] = 0.0
    out[node, 0, freedom, freedom] = 1.0
    return out
