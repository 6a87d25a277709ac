"""Reduce a frame to the freedoms of its supported nodes.

With the supported nodes held, the frame falls apart into runs that do not know of each other. Unit movements of
nodes that share no run are therefore solved in one column, so that the cost does not grow with the number of
supports. Along a pipe each support then knows only its neighbours: the stiffness that is left has a narrow band.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pipecalc.calc.assembly import order_nodes
from pipecalc.calc.factor import Factor
from pipecalc.calc.frame import Array, Index, Mask
from pipecalc.calc.mechanism import systems


@dataclass(frozen=True, slots=True, eq=False)
class Touch:
    """Members between a kept node and an inner node.

    Attributes:
        kept: Number of the kept node, shape (t,).
        inner: The inner node, shape (t,).
        run: Run of the inner node, shape (t,).
        slot: Rank of the kept node among those of the run, shape (t,).
        block: Stiffness, rows inner, columns kept, held freedoms silenced, shape (t, 6, 6).
        of_run: Kept node in each slot of each run, -1 for none, shape (runs, slots).
        run_of: Run of each node, shape (n,).
    """

    kept: Index
    inner: Index
    run: Index
    slot: Index
    block: Array
    of_run: Index
    run_of: Index


@dataclass(frozen=True, slots=True, eq=False)
class Condensed:
    """A frame as the kept nodes feel it.

    Attributes:
        stiffness: Stiffness at the kept nodes, inner nodes free to follow, symmetric, shape (6 q, 6 q); held freedoms
            have a unit diagonal.
        width: Freedoms below the diagonal beyond which the stiffness is zero.
        touch: Members between kept and inner nodes.
        shapes: Per slot: movements of the leading inner nodes (order of the factor) from unit movements of the kept
            node in that slot of their run, with the sign of the force, shape (leading, 6, 6).
    """

    stiffness: Array
    width: int
    touch: Touch
    shapes: tuple[Array, ...]

    def seen(self, load: Array, first: Array, kept: Index) -> Array:
        """Return loads at the kept nodes once inner nodes have moved, shape (q, 6, cases).

        Args:
            load: Loads of all nodes, shape (n, 6, cases).
            first: Movements of inner nodes, kept nodes held, shape (n, 6, cases).
            kept: Kept nodes, shape (q,).
        """
        touch = self.touch
        out = load[kept]
        np.subtract.at(out, touch.kept, touch.block.transpose(0, 2, 1) @ first[touch.inner])
        return out

    def follow(self, order: Index, first: Array, at_kept: Array) -> None:
        """Add to the movements of inner nodes what they follow of the kept ones.

        Args:
            order: Inner nodes in the order of the factor.
            first: Movements (n, 6, cases), changed in place.
            at_kept: Movements of the kept nodes, shape (q, 6, cases).
        """
        for slot, shape in enumerate(self.shapes):
            node = order[: len(shape)]
            first[node] -= shape @ at_kept[self.touch.of_run[self.touch.run_of[node], slot]]


def find_touches(k: Array, ends: Index, kept: Index, held: Mask, run_of: Index) -> Touch:
    """Return members between kept and inner nodes.

    Args:
        k: Element stiffness in node axes, shape (m, 12, 12).
        ends: Nodes of elements, shape (m, 2).
        kept: Kept nodes, shape (q,).
        held: Freedoms without equation, shape (n, 6).
        run_of: Run of each node, shape (n,).
    """
    n, q = len(held), len(kept)
    number = np.full(n, -1, np.intp)
    number[kept] = np.arange(q)
    outside = number[ends] < 0
    parts = []
    for side in (0, 1):
        rows = np.flatnonzero(~outside[:, side] & outside[:, 1 - side])
        other = slice(6 - 6 * side, 12 - 6 * side)
        parts.append((ends[rows, side], ends[rows, 1 - side], k[rows, other, 6 * side : 6 * side + 6]))
    near, inner = np.concatenate([p[0] for p in parts]), np.concatenate([p[1] for p in parts])
    block = np.concatenate([p[2] for p in parts])
    block[held[inner][:, :, None] | held[near][:, None, :]] = 0.0
    of, run = number[near], run_of[inner]
    key, where = np.unique(run * q + of, return_inverse=True)
    owner = key // max(q, 1)
    rank = np.arange(len(key)) - np.searchsorted(owner, owner)
    of_run = np.full((int(run_of.max(initial=-1)) + 1, int(rank.max(initial=-1)) + 1), -1, np.intp)
    of_run[owner, rank] = key % max(q, 1)
    return Touch(of, inner, run, rank[where.reshape(-1)], block, of_run, run_of)


def runs_between(ends: Index, n: int, kept: Index) -> Index:
    """Return the number of the run of each node, kept nodes taken out (each then a run of its own), shape (n,).

    Args:
        ends: Nodes of elements, shape (m, 2).
        n: Number of nodes.
        kept: Kept nodes, shape (q,).
    """
    out = np.zeros(n, bool)
    out[kept] = True
    return systems(ends[~out[ends].any(axis=1)], n)


def order_kept(ends: Index, kept: Index, run_of: Index) -> Index:
    """Return the kept nodes in an order in which those that know of each other stand close.

    Args:
        ends: Nodes of elements, shape (m, 2).
        kept: Kept nodes, shape (q,).
        run_of: Run of each node, shape (n,).
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
    count = q + len(touched)
    place = order_nodes(np.concatenate([through, direct]), count, np.zeros(count, bool))
    return np.asarray(kept[np.argsort(place[:q])], np.intp)


def condense(
    k: Array, ends: Index, kept: Index, held: Mask, blocks: tuple[Index, Array], inner: Factor, run_of: Index
) -> Condensed:
    """Return the frame as the kept nodes feel it.

    Args:
        k: Element stiffness in node axes, shape (m, 12, 12).
        ends: Nodes of elements, shape (m, 2).
        kept: Kept nodes, shape (q,).
        held: Freedoms without equation, shape (n, 6).
        blocks: Further nodes and their stiffness (elastic restraints).
        inner: The factored stiffness of the inner nodes.
        run_of: Run of each node, shape (n,).
    """
    q = len(kept)
    touch = find_touches(k, ends, kept, held, run_of)
    out = _direct(k, ends, kept, held, blocks)
    pairs = out.transpose(0, 2, 1, 3)
    slots = (touch.of_run >= 0).sum(axis=1)
    needed = slots[touch.run_of[inner.order]]
    shapes = []
    for slot in range(touch.of_run.shape[1]):
        here = np.flatnonzero(touch.slot == slot)
        leading = int(np.max(np.flatnonzero(needed > slot), initial=-1)) + 1
        right = np.zeros((leading, 6, 6))
        np.add.at(right, inner.place[touch.inner[here]], touch.block[here])
        shape = inner.solve_packed(right.reshape(6 * leading, 6)).reshape(leading, 6, 6)
        some = np.flatnonzero(slots[touch.run] > slot)
        value = touch.block[some].transpose(0, 2, 1) @ shape[inner.place[touch.inner[some]]]
        np.subtract.at(pairs, (touch.kept[some], touch.of_run[touch.run[some], slot]), value)
        shapes.append(shape)
    flat = out.reshape(6 * q, 6 * q)
    flat = 0.5 * (flat + flat.T)
    row, column = np.nonzero(flat)
    width = 6 * int(np.max(row // 6 - column // 6, initial=0)) + 5
    return Condensed(flat, width, touch, tuple(shapes))


def _direct(k: Array, ends: Index, kept: Index, held: Mask, blocks: tuple[Index, Array]) -> Array:
    q = len(kept)
    number = np.full(len(held), -1, np.intp)
    number[kept] = np.arange(q)
    out = np.zeros((q, 6, q, 6))
    for a in (0, 1):
        for b in (0, 1):
            rows = np.flatnonzero((number[ends[:, a]] >= 0) & (number[ends[:, b]] >= 0))
            block = k[rows, 6 * a : 6 * a + 6, 6 * b : 6 * b + 6]
            np.add.at(out.transpose(0, 2, 1, 3), (number[ends[rows, a]], number[ends[rows, b]]), block)
    here = np.flatnonzero(number[blocks[0]] >= 0)
    at = number[blocks[0][here]]
    np.add.at(out.transpose(0, 2, 1, 3), (at, at), blocks[1][here])
    flat, pinned = out.reshape(6 * q, 6 * q), np.flatnonzero(held[kept].reshape(-1))
    flat[pinned, :] = flat[:, pinned] = 0.0
    flat[pinned, pinned] = 1.0
    return out
