"""From members to one banded stiffness matrix: element stacks, node axes at skewed restraints, order of nodes, scatter.

No loop runs over members; the few loops run over nodes with skewed or doubled restraints.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_array, csr_array
from scipy.sparse.csgraph import reverse_cuthill_mckee

from pipecalc.calc.bend_element import (
    arc_axes,
    bend_flexibility,
    bend_load,
    bend_load_movement,
    bend_stiffness,
)
from pipecalc.calc.frame import Array, Frame, Index, Loads, Mask, Restraints
from pipecalc.calc.pipe_element import spring_stiffness, straight_load, straight_stiffness

_SAME_DIRECTION = 1e-9
_INCONSISTENT = 1e-9
_LOWER = np.tril_indices(6)


@dataclass(frozen=True, slots=True, eq=False)
class Stack:
    """Stiffness and load matrices of all members and springs, global axes.

    Attributes:
        ends: Nodes i and j, members then springs, shape (m + s, 2).
        k: Stiffness, shape (m + s, 12, 12).
        load: End loads of a unit uniform load along each axis, shape (m, 12, 3).
        strain: End loads of a unit free strain, shape (m, 12).
        free: End loads of a unit free relative movement of springs, shape (s, 12, 6).
    """

    ends: Index
    k: Array
    load: Array
    strain: Array
    free: Array


def chords(frame: Frame) -> Array:
    """Return vectors from i to j of all members, shape (m, 3) [m]."""
    return frame.nodes[frame.ends[:, 1]] - frame.nodes[frame.ends[:, 0]]


def build_stack(frame: Frame) -> Stack:
    """Return stiffness and load matrices of all members and springs."""
    m, s = len(frame.ends), len(frame.spring_ends)
    k, load = np.empty((m + s, 12, 12)), np.empty((m, 12, 3))
    chord = chords(frame)
    bend = np.flatnonzero(frame.is_bend)
    straight = np.flatnonzero(~frame.is_bend) if len(bend) else slice(0, m)
    length = frame.length[straight]
    x = chord[straight] / length[:, None]
    section = [getattr(frame, name)[straight] for name in ("E", "G", "A", "I", "J", "shear_area")]
    k[:m][straight] = straight_stiffness(x, length, *section)
    load[straight] = straight_load(x, length)
    if len(bend):
        names = ("radius", "angle", "E", "G", "A", "I", "J", "shear_area", "k_in", "k_out")
        values = [getattr(frame, name)[bend] for name in names]
        flexibility = bend_flexibility(*values)
        axes = arc_axes(frame.nodes[frame.ends[bend, 1]] - frame.centre[bend], frame.normal[bend])
        k[bend] = bend_stiffness(flexibility, axes, chord[bend])
        movement = bend_load_movement(*values)
        load[bend] = bend_load(flexibility, movement, axes, chord[bend], values[0], values[1])
    strain = np.matmul(k[:m, :, 6:9], chord[:, :, None])[:, :, 0]
    k[m:], free = _springs(frame)
    return Stack(frame.all_ends, k, load, strain, free)


def _springs(frame: Frame) -> tuple[Array, Array]:
    xyz = frame.nodes[frame.spring_ends]
    middle = xyz.mean(axis=1)
    k, b = spring_stiffness(middle - xyz[:, 0], middle - xyz[:, 1], frame.spring_axes, frame.spring_stiffness)
    return k, b.transpose(0, 2, 1) @ frame.spring_stiffness


def member_loads(stack: Stack, loads: Loads) -> Array:
    """Return end loads of members and springs (held ends, sign reversed), shape (m + s, 12, cases)."""
    m = len(stack.load)
    out = np.empty((len(stack.k), 12, loads.cases))
    np.matmul(stack.load, loads.distributed, out=out[:m])
    if loads.strain.any():
        out[:m] += stack.strain[:, :, None] * loads.strain[:, None, :]
    np.matmul(stack.free, loads.spring_free, out=out[m:])
    return out


def gather(values: Array, ends: Index) -> Array:
    """Return values of the two ends of each member, shape (m, 12, cases) from (n, 6, cases)."""
    return values[ends.reshape(-1)].reshape(len(ends), 12, values.shape[2])


def scatter(actions: Array, ends: Index, n: int) -> Array:
    """Return sums at nodes of values at member ends, shape (n, 6, cases) from (m, 12, cases)."""
    count, cases = 2 * len(ends), actions.shape[2]
    where = ends.reshape(-1)
    incidence = coo_array((np.ones(count), (where, np.arange(count))), shape=(n, count)).tocsr()
    return np.asarray(incidence @ actions.reshape(count, 6 * cases)).reshape(n, 6, cases)


@dataclass(frozen=True, slots=True, eq=False)
class Held:
    """How restraints hold the nodes, in axes of each node.

    Attributes:
        turned: Nodes whose axes differ from the global ones, shape (t,).
        axes: Their axes, rows local, shape (t, 6, 6).
        fixed: Which freedoms (node axes) are rigid, shape (n, 6).
        moved: Movement of the fixed freedoms, node axes, shape (n, 6, cases).
        plain: Rows of restraints along a global axis, with their freedom and sign, each shape (p,).
        skewed: Per turned triad: rows, node, first freedom, matrix from node-axis force to row forces.
        elastic: Rows of restraints of finite stiffness, shape (e,).
        unit: Their unit direction as six freedoms, global axes, shape (e, 6).
    """

    turned: Index
    axes: Array
    fixed: Mask
    moved: Array
    plain: tuple[Index, Index, Array]
    skewed: tuple[tuple[Index, int, int, Array], ...]
    elastic: Index
    unit: Array

    def to_node_axes(self, values: Array) -> Array:
        """Return vectors (n, 6, cases) in node axes from global axes."""
        return self._turn(values, self.axes)

    def to_global(self, values: Array) -> Array:
        """Return vectors (n, 6, cases) in global axes from node axes."""
        return self._turn(values, self.axes.transpose(0, 2, 1))

    def _turn(self, values: Array, axes: Array) -> Array:
        if not len(self.turned):
            return values
        out = values.copy()
        out[self.turned] = axes @ values[self.turned]
        return out


def six_freedoms(direction: Array, rotational: Mask) -> Array:
    """Return directions as rows over the six freedoms of a node, shape (r, 6)."""
    out = np.zeros((len(direction), 6))
    out[~rotational, 0:3] = direction[~rotational]
    out[rotational, 3:6] = direction[rotational]
    return out


def hold(n: int, restraints: Restraints, cases: int) -> Held:
    """Return how restraints hold `n` nodes.

    Raises:
        ValueError: Two rigid restraints of a node hold one direction at different movements.
    """
    rigid = np.isinf(restraints.stiffness)
    axis = np.argmax(np.abs(restraints.direction), axis=1)
    sign = np.take_along_axis(restraints.direction, axis[:, None], axis=1)[:, 0]
    freedom = axis + 3 * restraints.rotational
    triad = 2 * restraints.node + restraints.rotational
    key = 6 * restraints.node + freedom
    skew = rigid & (np.abs(np.abs(sign) - 1.0) > _SAME_DIRECTION)
    seen = np.bincount(key[rigid], minlength=6 * n)
    awkward = np.unique(triad[skew | (rigid & (seen[key] > 1))])
    plain = np.flatnonzero(rigid & ~np.isin(triad, awkward))
    fixed, moved = np.zeros((n, 6), bool), np.zeros((n, 6, cases))
    fixed[restraints.node[plain], freedom[plain]] = True
    unit_sign = np.sign(sign[plain])
    moved[restraints.node[plain], freedom[plain]] = unit_sign[:, None] * restraints.movement[plain]
    turned = np.unique(awkward // 2)
    axes = np.zeros((len(turned), 6, 6))
    axes[:] = np.eye(6)
    skewed = []
    for label in awkward:
        node, first = int(label) // 2, 3 * (int(label) % 2)
        rows = np.flatnonzero(rigid & (triad == label))
        basis, pinned, back = _triad(restraints.direction[rows], restraints.movement[rows])
        axes[np.searchsorted(turned, node), first : first + 3, first : first + 3] = basis
        fixed[node, first : first + len(pinned)] = True
        moved[node, first : first + len(pinned)] = pinned
        skewed.append((rows, node, first, back))
    elastic = np.flatnonzero(~rigid)
    unit = six_freedoms(restraints.direction[elastic], restraints.rotational[elastic])
    return Held(turned, axes, fixed, moved, (plain, freedom[plain], unit_sign), tuple(skewed), elastic, unit)


def _triad(directions: Array, movement: Array) -> tuple[Array, Array, Array]:
    """Axes of which the first span the directions, movements along them, and the way back to row forces."""
    u, size, v = np.linalg.svd(directions)
    rank = int(np.sum(size > _SAME_DIRECTION * size[0]))
    back = u[:, :rank] / size[:rank]
    pinned = back.T @ movement
    misfit = np.abs(directions @ v[:rank].T @ pinned - movement)
    if misfit.size and misfit.max() > _INCONSISTENT * np.abs(movement).max():
        raise ValueError("rigid restraints of one node hold one direction at different movements")
    return v, pinned, back


def solver_stiffness(stack: Stack, held: Held) -> Array:
    """Return element stiffness in node axes, shape (m + s, 12, 12)."""
    if not len(held.turned):
        return stack.k
    k = stack.k.copy()
    n = len(held.fixed)
    place = np.full(n, -1)
    place[held.turned] = np.arange(len(held.turned))
    for side in (0, 1):
        touched = np.flatnonzero(place[stack.ends[:, side]] >= 0)
        turn = held.axes[place[stack.ends[touched, side]]]
        part = slice(6 * side, 6 * side + 6)
        block = k[touched]
        block[:, part, :] = turn @ block[:, part, :]
        block[:, :, part] = block[:, :, part] @ turn.transpose(0, 2, 1)
        k[touched] = block
    return k


def restraint_blocks(restraints: Restraints, held: Held) -> tuple[Index, Array]:
    """Return nodes and stiffness in node axes of elastic restraints, shapes (e,) and (e, 6, 6)."""
    node = restraints.node[held.elastic]
    unit = held.unit
    if len(held.turned) and len(node):
        turn = np.zeros((len(node), 6, 6))
        turn[:] = np.eye(6)
        for t, where in enumerate(held.turned):
            turn[node == where] = held.axes[t]
        unit = np.einsum("eij,ej->ei", turn, unit)
    rate = restraints.stiffness[held.elastic]
    return node, rate[:, None, None] * unit[:, :, None] * unit[:, None, :]


def order_nodes(ends: Index, n: int, kept: Mask) -> Index:
    """Return positions of nodes that keep the band narrow (reverse Cuthill-McKee); -1 for kept nodes.

    Args:
        ends: Nodes i and j of members and springs, shape (m, 2).
        n: Number of nodes.
        kept: Nodes left out of the band, shape (n,).
    """
    inner = np.flatnonzero(~kept)
    place = np.full(n, -1, np.intp)
    place[inner] = np.arange(len(inner))
    pair = place[ends]
    pair = pair[(pair >= 0).all(axis=1)].astype(np.int32)
    i, j = np.concatenate([pair[:, 0], pair[:, 1]]), np.concatenate([pair[:, 1], pair[:, 0]])
    graph = csr_array((np.ones(len(i), np.int8), (i, j)), shape=(len(inner), len(inner)))
    if len(inner):
        order = reverse_cuthill_mckee(graph, symmetric_mode=True)
        place[inner[order]] = np.arange(len(inner))
    return place


def band_matrix(k: Array, ends: Index, place: Index, held_freedoms: Mask, blocks: tuple[Index, Array]) -> Array:
    """Return the stiffness in lower band storage, one row per freedom, shape (6 N, width + 1).

    Held freedoms get a unit diagonal and no coupling.

    Args:
        k: Element stiffness in node axes, shape (m, 12, 12).
        ends: Nodes of the elements, shape (m, 2).
        place: Position of each node, -1 for nodes outside the band, shape (n,).
        held_freedoms: Freedoms without equation, shape (n, 6).
        blocks: Further nodes and their stiffness (elastic restraints).
    """
    count = int(np.sum(place >= 0))
    at = place[ends]
    inside = np.asarray((at >= 0).all(axis=1), bool)
    width = 6 * int(np.max(np.abs(at[inside, 0] - at[inside, 1]), initial=0)) + 5
    where, value = _diagonal_entries(k, ends, place, held_freedoms, blocks, width)
    off_where, off_value = _coupling_entries(k, ends, at, inside, held_freedoms, width)
    flat = np.concatenate([where, off_where])
    total = np.bincount(flat, np.concatenate([value, off_value]), minlength=6 * count * (width + 1))
    band: Array = np.asarray(total, float).reshape(6 * count, width + 1)
    holder = np.empty((count, 6), bool)
    holder[place[place >= 0]] = held_freedoms[place >= 0]
    band[holder.reshape(-1), 0] = 1.0
    return band


def _diagonal_entries(
    k: Array, ends: Index, place: Index, held: Mask, blocks: tuple[Index, Array], width: int
) -> tuple[Index, Array]:
    """Where in the band the blocks of single nodes go, and their values (lower halves)."""
    row, col = _LOWER
    node = np.concatenate([ends[:, 0], ends[:, 1], blocks[0]])
    flat_k = k.reshape(len(k), 144)
    value = np.concatenate(
        [
            np.take(flat_k, 12 * row + col, axis=1),
            np.take(flat_k, 12 * (row + 6) + col + 6, axis=1),
            np.take(blocks[1].reshape(-1, 36), 6 * row + col, axis=1),
        ]
    )
    at = place[node]
    some: Mask = np.asarray(held.any(axis=1), bool)
    touched = np.flatnonzero(some[node])
    value[touched] *= ~(held[node[touched]][:, row] | held[node[touched]][:, col])
    return _placed(6 * at * (width + 1), col * (width + 1) + row - col, value, at >= 0)


def _coupling_entries(k: Array, ends: Index, at: Index, inside: Mask, held: Mask, width: int) -> tuple[Index, Array]:
    """Where in the band the blocks between two nodes go, and their values (rows j, columns i)."""
    value = k[:, 6:, :6].reshape(-1, 36)
    row, col = np.divmod(np.arange(36), 6)
    straight, crossed = col * (width + 1) + row - col, row * (width + 1) + col - row
    inner = np.where((at[:, 0] > at[:, 1])[:, None], crossed, straight)
    some: Mask = np.asarray(held.any(axis=1), bool)
    touched = np.flatnonzero(some[ends].any(axis=1))
    value[touched] *= ~(held[ends[touched, 1]][:, row] | held[ends[touched, 0]][:, col])
    first, last = np.minimum(at[:, 0], at[:, 1]), np.maximum(at[:, 0], at[:, 1])
    return _placed(6 * first * (width + 1) + 6 * (last - first), inner, value, inside)


def _placed(start: Index, inner: Index, value: Array, inside: Mask) -> tuple[Index, Array]:
    flat = start[:, None] + inner
    if inside.all():
        return flat.reshape(-1), value.reshape(-1)
    return flat[inside].reshape(-1), value[inside].reshape(-1)
