"""Reduce a frame to the freedoms of its supported nodes.

With the supported nodes held, the frame falls apart into runs that do not know of each other. Unit movements of
nodes that share no run are therefore solved in one column, so that the cost does not grow with the number of
supports.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from pipecalc.calc.frame import Array, Index, Mask
from pipecalc.calc.mechanism import systems


@dataclass(frozen=True, slots=True, eq=False)
class Touch:
    """Members between a kept node and an inner node.

    Attributes:
        kept: Number of the kept node, shape (t,).
        inner: The inner node, shape (t,).
        run: Run of the inner node, shape (t,).
        block: Stiffness, rows inner, columns kept, held freedoms silenced, shape (t, 6, 6).
    """

    kept: Index
    inner: Index
    run: Index
    block: Array


def find_touches(k: Array, ends: Index, kept: Index, held: Mask) -> Touch:
    """Return members between kept and inner nodes.

    Args:
        k: Element stiffness in node axes, shape (m, 12, 12).
        ends: Nodes of elements, shape (m, 2).
        kept: Kept nodes, shape (q,).
        held: Freedoms without equation, shape (n, 6).
    """
    n = len(held)
    number = np.full(n, -1, np.intp)
    number[kept] = np.arange(len(kept))
    inside = (number[ends] < 0).all(axis=1)
    run = systems(ends[inside], n)
    parts = []
    for side in (0, 1):
        rows = np.flatnonzero((number[ends[:, side]] >= 0) & (number[ends[:, 1 - side]] < 0))
        other = slice(6 - 6 * side, 12 - 6 * side)
        parts.append((ends[rows, side], ends[rows, 1 - side], k[rows, other, 6 * side : 6 * side + 6]))
    near, inner = np.concatenate([p[0] for p in parts]), np.concatenate([p[1] for p in parts])
    block = np.concatenate([p[2] for p in parts])
    block[held[inner][:, :, None] | held[near][:, None, :]] = 0.0
    return Touch(number[near], inner, run[inner], block)


def colour_kept(touch: Touch, count: int) -> Index:
    """Return a colour for each kept node such that nodes of one colour share no run, shape (count,)."""
    runs: list[set[int]] = [set() for _ in range(count)]
    for node, run in zip(touch.kept, touch.run, strict=True):
        runs[node].add(int(run))
    used: dict[int, set[int]] = {}
    colour = np.zeros(count, np.intp)
    for node in range(count):
        taken = set().union(*(used.get(run, set()) for run in runs[node]))
        colour[node] = next(c for c in range(count + 1) if c not in taken)
        for run in runs[node]:
            used.setdefault(run, set()).add(int(colour[node]))
    return colour


def condensed_stiffness(
    k: Array,
    ends: Index,
    kept: Index,
    held: Mask,
    blocks: tuple[Index, Array],
    touch: Touch,
    solve_inner: Callable[[Array], Array],
) -> Array:
    """Return the stiffness of the frame at the kept nodes, inner nodes free to follow.

    Args:
        k: Element stiffness in node axes, shape (m, 12, 12).
        ends: Nodes of elements, shape (m, 2).
        kept: Kept nodes, shape (q,).
        held: Freedoms without equation, shape (n, 6).
        blocks: Further nodes and their stiffness (elastic restraints).
        touch: Members between kept and inner nodes.
        solve_inner: Movements (n, 6, columns) of inner nodes, kept nodes held, from loads of the same shape.

    Returns:
        Shape (6 q, 6 q), symmetric; held freedoms have a unit diagonal.
    """
    q = len(kept)
    out = _direct(k, ends, kept, held, blocks)
    colour = colour_kept(touch, q)
    columns = int(colour.max(initial=-1)) + 1
    load = np.zeros((len(held), 6, columns, 6))
    np.add.at(load.transpose(0, 2, 1, 3), (touch.inner, colour[touch.kept]), touch.block)
    shape = solve_inner(load.reshape(len(held), 6, 6 * columns)).reshape(load.shape)
    pair, near = _neighbours(touch, q)
    value = touch.block[pair].transpose(0, 2, 1) @ shape[touch.inner[pair], :, colour[near]]
    np.add.at(out.transpose(0, 2, 1, 3), (touch.kept[pair], near), -value)
    flat = out.reshape(6 * q, 6 * q)
    return 0.5 * (flat + flat.T)


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


def _neighbours(touch: Touch, count: int) -> tuple[Index, Index]:
    """Pairs of a touch and a kept node that share a run."""
    key = np.unique(touch.run * count + touch.kept)
    run, node = key // count, key % count
    first, last = np.searchsorted(run, touch.run, "left"), np.searchsorted(run, touch.run, "right")
    size = last - first
    pair = np.repeat(np.arange(len(touch.run)), size)
    step = np.arange(len(pair)) - np.repeat(np.cumsum(size) - size, size)
    return pair, node[np.repeat(first, size) + step]
