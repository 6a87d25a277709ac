"""From members to one banded stiffness matrix: element stacks, node axes at skewed restraints, order of nodes, scatter.

No loop runs over members; the few loops run over nodes with skewed or doubled restraints.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_array, csr_array
from scipy.sparse.csgraph import breadth_first_order, connected_components

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
BLOCK = 512  # members whose matrices are worked on together, so that they stay in the cache
_END_SEARCHES = 2  # ends from which to start anew: the last found far away is a better start than the first
_AT_J, _AHEAD, _BEHIND = 78, 6, 72  # first cells in a member's matrix of the blocks jj, ij and ji


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
    k, load, strain = np.empty((m + s, 12, 12)), np.empty((m, 12, 3)), np.empty((m, 12))
    chord = chords(frame)
    bend = np.flatnonzero(frame.is_bend)
    straight = np.flatnonzero(~frame.is_bend)
    for first in range(0, len(straight), BLOCK):
        some = straight[first : first + BLOCK] if len(bend) else slice(first, min(first + BLOCK, m))
        length = frame.length[some]
        x = chord[some] / length[:, None]
        section = [getattr(frame, name)[some] for name in ("E", "G", "A", "I", "J", "shear_area")]
        part = straight_stiffness(x, length, *section)
        k[some], load[some] = part, straight_load(x, length)
        strain[some] = np.matmul(part[:, :, 6:9], chord[some, :, None])[:, :, 0]
    if len(bend):
        names = ("radius", "angle", "E", "G", "A", "I", "J", "shear_area", "k_in", "k_out")
        values = [getattr(frame, name)[bend] for name in names]
        flexibility = bend_flexibility(*values)
        axes = arc_axes(frame.nodes[frame.ends[bend, 1]] - frame.centre[bend], frame.normal[bend])
        k[bend] = bend_stiffness(flexibility, axes, chord[bend])
        movement = bend_load_movement(*values)
        load[bend] = bend_load(flexibility, movement, axes, chord[bend], values[0], values[1])
        strain[bend] = np.matmul(k[bend][:, :, 6:9], chord[bend, :, None])[:, :, 0]
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
    """Return positions of nodes that keep the band narrow; -1 for kept nodes.

    Breadth first from an end of each connected run, backward (reverse Cuthill-McKee), one run after the other.
    Starting in the middle of a run would carry both its halves side by side and double the band. Runs that touch
    more kept nodes come first.

    Args:
        ends: Nodes i and j of members and springs, shape (m, 2).
        n: Number of nodes.
        kept: Nodes left out of the band, shape (n,).
    """
    inner = np.flatnonzero(~kept)
    place = np.full(n, -1, np.intp)
    if not len(inner):
        return place
    place[inner] = np.arange(len(inner))
    at = place[ends]
    pair = at[(at >= 0).all(axis=1)]
    number = connected_components(_graph(pair, len(inner)), directed=False)[1]
    run = _most_touched_last(np.asarray(number, np.intp), at, ends, n)
    start = np.unique(run, return_index=True)[1]
    for _ in range(_END_SEARCHES):
        found = _breadth_first(pair, run, start)
        start = found[np.diff(run[found], append=-1) != 0]
    place[inner[_breadth_first(pair, run, start)[::-1]]] = np.arange(len(inner))
    return place


def _most_touched_last(run: Index, at: Index, ends: Index, n: int) -> Index:
    """Number runs anew, those that touch more kept nodes last."""
    single = np.flatnonzero((at >= 0).sum(axis=1) == 1)
    if not len(single):
        return run
    near = np.where(at[single, 0] < 0, ends[single, 0], ends[single, 1])
    key = np.unique(run[at[single].max(axis=1)] * n + near)
    touched = np.bincount(key // n, minlength=int(run.max()) + 1)
    rank = np.empty(len(touched), np.intp)
    rank[np.argsort(touched, kind="stable")] = np.arange(len(touched))
    return np.asarray(rank[run])


def _graph(pair: Index, count: int) -> csr_array:
    return coo_array((np.ones(len(pair)), (pair[:, 0], pair[:, 1])), shape=(count, count)).tocsr()


def _breadth_first(pair: Index, run: Index, start: Index) -> Index:
    """Nodes run by run, each run breadth first from its start."""
    count = len(run)
    root = np.stack([np.full(len(start), count), start], axis=1)
    graph = _graph(np.concatenate([pair, root]), count + 1)
    order = breadth_first_order(graph, count, directed=False, return_predecessors=False)[1:]
    return np.asarray(order[np.argsort(run[order], kind="stable")], np.intp)


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
    inside = (at[:, 0] >= 0) & (at[:, 1] >= 0)
    gap = np.where(inside, np.abs(at[:, 0] - at[:, 1]), 0)
    width = 6 * int(np.max(gap, initial=0)) + 6
    band = np.zeros((6 * count, width))
    start = 6 * width * at.min(axis=1) + 6 * gap
    ahead, behind = inside & (at[:, 0] < at[:, 1]), inside & (at[:, 0] > at[:, 1])
    # (members, where their block starts in the band, its cells in k, its cells in the band)
    own, square = _own_cells(width), _coupling_cells(width)
    groups = [
        (at[:, 0] >= 0, 6 * width * at[:, 0], own[0], own[1]),
        (at[:, 1] >= 0, 6 * width * at[:, 1], own[0] + _AT_J, own[1]),
        (ahead, start, square[0] + _AHEAD, square[1]),
        (behind, start, square[0] + _BEHIND, square[1]),
        (inside & (gap == 0), start, own[0] + _AHEAD, own[1]),
        (inside & (gap == 0), start, own[0] + _BEHIND, own[1]),
    ]
    # some members at a time, so that each is fetched once from far memory
    for first in range(0, len(ends), BLOCK):
        for which, begin, source, target in groups:
            rows = first + np.flatnonzero(which[first : first + BLOCK])
            _add(band, begin[rows], target, k, 144 * rows, source)
    node, value = blocks
    rows = np.flatnonzero(place[node] >= 0)
    row, column = np.tril_indices(6)
    _add(band, 6 * width * place[node[rows]], own[1], value, 36 * rows, 6 * row + column)
    holder = np.empty((count, 6), bool)
    holder[place[place >= 0]] = held_freedoms[place >= 0]
    _silence(band, np.flatnonzero(holder))
    return band


def _own_cells(width: int) -> tuple[Index, Index]:
    """Cells of the lower half of the first block of a member (12 x 12), and where they go in a band."""
    row, column = np.tril_indices(6)
    return 12 * row + column, column * width + row - column


def _coupling_cells(width: int) -> tuple[Index, Index]:
    """Cells of a whole block of a member, transposed, and where they go in a band."""
    column, row = np.divmod(np.arange(36), 6)
    return 12 * column + row, column * (width - 1) + row


def _add(band: Array, begin: Index, target: Index, values: Array, first: Index, source: Index) -> None:
    """Add cells of matrices to cells of a band, both flat (adding along one axis only is several times faster)."""
    where = (begin[:, None] + target).reshape(-1)
    np.add.at(band.reshape(-1), where, values.reshape(-1)[(first[:, None] + source).reshape(-1)])


def _silence(band: Array, held: Index) -> None:
    """Take held freedoms out of a band: unit diagonal, no coupling."""
    band[held] = 0.0
    band[held, 0] = 1.0
    width = band.shape[1]
    step = np.arange(1, width)
    row = held[:, None] - step
    band.reshape(-1)[(row * width + step)[row >= 0]] = 0.0
