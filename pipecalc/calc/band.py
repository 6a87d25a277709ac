"""One banded stiffness matrix from all members: order of nodes, sums at nodes, couplings. No loop runs over members."""

from __future__ import annotations

import numpy as np
from scipy.sparse import coo_array, csr_array
from scipy.sparse.csgraph import breadth_first_order, connected_components

from pipecalc.calc.elements import Elements, sums_at
from pipecalc.calc.frame import Array, Index, Mask, both
from pipecalc.calc.pipe_element import LOWER_THREE

END_SEARCHES = 2  # ends from which to start anew: the last found far away is a better start than the first
_AT_J, _AHEAD, _BEHIND = 78, 6, 72  # first cells in a member's matrix of the blocks jj, ij and ji
# entries of the matrix of a vector product: row, column, component, sign
TILT = ((0, 1, 2, -1.0), (0, 2, 1, 1.0), (1, 0, 2, 1.0), (1, 2, 0, -1.0), (2, 0, 1, -1.0), (2, 1, 0, 1.0))


def order_nodes(ends: Index, n: int, kept: Mask) -> tuple[Index, Index]:
    """Return positions of nodes that keep the band narrow, and the number of the run of each; -1 for kept nodes.

    Breadth first from an end of each connected run, backward (reverse Cuthill-McKee), one run after the other.
    Starting in the middle of a run would carry both its halves side by side and double the band. Runs that touch
    more kept nodes come first.

    Args:
        ends: Nodes i and j of members and springs, shape (m, 2).
        n: Number of nodes.
        kept: Nodes left out of the band, shape (n,).
    """
    inner = np.flatnonzero(~kept)
    place, run_of = np.full(n, -1, np.intp), np.full(n, -1, np.intp)
    if not len(inner):
        return place, run_of
    place[inner] = np.arange(len(inner))
    at = place[ends]
    pair = at[both(at >= 0)]
    graph = _graph(pair, len(inner))
    number = connected_components(graph, directed=False)[1]
    run = _most_touched_last(np.asarray(number, np.intp), at, ends, n)
    start = np.unique(run, return_index=True)[1]
    for _ in range(END_SEARCHES):
        found = _breadth_first(graph, run, start)
        start = found[np.diff(run[found], append=-1) != 0]
    place[inner[_breadth_first(graph, run, start)[::-1]]] = np.arange(len(inner))
    run_of[inner] = run
    return place, run_of


def inner_order(place: Index) -> Index:
    """Return the nodes in the order of their places, nodes outside the band left out, shape (N,)."""
    inner = np.flatnonzero(place >= 0)
    out = np.empty(len(inner), np.intp)
    out[place[inner]] = inner
    return out


def _most_touched_last(run: Index, at: Index, ends: Index, n: int) -> Index:
    """Number runs anew, those that touch more kept nodes last."""
    single = np.flatnonzero((at[:, 0] >= 0) != (at[:, 1] >= 0))
    if not len(single):
        return run
    near = np.where(at[single, 0] < 0, ends[single, 0], ends[single, 1])
    key = np.unique(run[at[single].max(axis=1)] * n + near)
    touched = np.bincount(key // n, minlength=int(run.max()) + 1)
    rank = np.empty(len(touched), np.intp)
    rank[np.argsort(touched, kind="stable")] = np.arange(len(touched))
    return np.asarray(rank[run])


def _graph(pair: Index, count: int) -> csr_array:
    """Which nodes each node is tied to, both ways."""
    row, column = np.concatenate([pair[:, 0], pair[:, 1]]), np.concatenate([pair[:, 1], pair[:, 0]])
    return coo_array((np.ones(len(row)), (row, column)), shape=(count, count)).tocsr()


def _breadth_first(graph: csr_array, run: Index, start: Index) -> Index:
    """Nodes run by run, each run breadth first from its start."""
    # one more node that leads to all starts, so that one search goes through all runs
    count, ties = len(run), len(graph.indices)
    indices = np.concatenate([graph.indices, start.astype(graph.indices.dtype)])
    reach = np.append(graph.indptr, ties + len(start)).astype(graph.indptr.dtype)
    rooted = csr_array((np.ones(len(indices)), indices, reach), shape=(count + 1, count + 1))
    order = breadth_first_order(rooted, count, directed=True, return_predecessors=False)[1:]
    return np.asarray(order[np.argsort(run[order], kind="stable")], np.intp)


def band_matrix(elements: Elements, place: Index, held_freedoms: Mask, blocks: tuple[Index, Array]) -> Array:
    """Return the stiffness in lower band storage, one row per freedom, shape (6 N, width + 1).

    Held freedoms get a unit diagonal and no coupling.

    Args:
        elements: Element stiffness in node axes.
        place: Position of each node, -1 for nodes outside the band, shape (n,).
        held_freedoms: Freedoms without equation, shape (n, 6).
        blocks: Further nodes and their stiffness (elastic restraints).
    """
    order = inner_order(place)
    at = place[elements.ends]
    inside = both(at >= 0)
    gap = np.where(inside, np.abs(at[:, 0] - at[:, 1]), 0)
    width = 6 * int(np.max(gap, initial=0)) + 6
    band = np.zeros((6 * len(order), width))
    _add_pipes(band, elements, place, order)
    _add_matrices(band, elements.k, at[elements.others], gap[elements.others], inside[elements.others])
    node, value = blocks
    rows = np.flatnonzero(place[node] >= 0)
    source, target = _own_cells(width)
    _add(band, 6 * width * place[node[rows]], target, value, 36 * rows, source // 12 * 6 + source % 12)
    _silence(band, np.flatnonzero(held_freedoms[order]))
    return band


def _add_pipes(band: Array, elements: Elements, place: Index, order: Index) -> None:
    """Put pipes in closed form into an empty band: sums of their distinct entries at nodes, then the couplings.

    Args:
        band: The band, changed in place.
        elements: All elements.
        place: Position of each node, shape (n,).
        order: Nodes in the order of the band, shape (N,).
    """
    width, n, ends = band.shape[1], len(place), elements.ends[elements.pipes]
    push, arm, near, far = elements.straight.cells()
    own = np.concatenate([push, near, arm])
    total = sums_at(ends[:, 0], own, n)
    own[12:] *= -1.0
    total += sums_at(ends[:, 1], own, n)
    total = total[:, order]
    cells = band.reshape(-1, 6, width)
    for cell, (row, column) in enumerate(LOWER_THREE):
        cells[:, column, row - column] = total[cell]
        cells[:, 3 + column, row - column] = total[6 + cell]
    for row, column, axis, sign in TILT:
        cells[:, column, 3 + row - column] = sign * total[12 + axis]
    at = place[ends]
    inside = np.flatnonzero(both(at >= 0))
    at = at[inside]
    first, gap = np.minimum(at[:, 0], at[:, 1]), np.abs(at[:, 0] - at[:, 1])
    arm = np.where(place[ends[:, 0]] < place[ends[:, 1]], arm, -arm)
    values = np.concatenate([push, arm, far])[:, inside]
    # pipes side by side between the same two nodes add up: the last of each pair is put, the others are added to it
    pair = width // 6 * first + gap
    last = np.empty(len(order) * width // 6, np.intp)
    last[pair] = np.arange(len(pair))
    beside = np.flatnonzero(last[pair] != np.arange(len(pair)))
    flat, begin = band.reshape(-1), 6 * (width * first + gap)
    for value, sign, cell in _couplings(width):
        entry = sign * values[value]
        flat[begin + cell] = entry
        np.add.at(flat, begin[beside] + cell, entry[beside])


def _couplings(width: int) -> list[tuple[int, float, int]]:
    """Entries of the block between the nodes of a pipe: value (of push, arm, far), sign, cell in the band."""
    out = []
    for cell, (row, column) in enumerate(LOWER_THREE):
        for r, c in {(row, column), (column, row)}:
            out += [(cell, -1.0, c * (width - 1) + r), (9 + cell, 1.0, (3 + c) * (width - 1) + 3 + r)]
    for row, column, axis, sign in TILT:
        out += [(6 + axis, sign, (3 + column) * (width - 1) + row), (6 + axis, sign, column * (width - 1) + 3 + row)]
    return out


def _add_matrices(band: Array, k: Array, at: Index, gap: Index, inside: Mask) -> None:
    """Add elements given as matrices.

    Args:
        band: The band, changed in place.
        k: Stiffness, shape (o, 12, 12).
        at: Places of their ends, shape (o, 2).
        gap: Places between the ends, shape (o,).
        inside: Whether both ends are in the band, shape (o,).
    """
    width = band.shape[1]
    start = 6 * (width * np.minimum(at[:, 0], at[:, 1]) + gap)
    # (elements, where their block starts in the band, its cells in k, its cells in the band)
    own, square = _own_cells(width), _coupling_cells(width)
    groups = [
        (at[:, 0] >= 0, 6 * width * at[:, 0], own[0], own[1]),
        (at[:, 1] >= 0, 6 * width * at[:, 1], own[0] + _AT_J, own[1]),
        (inside & (at[:, 0] < at[:, 1]), start, square[0] + _AHEAD, square[1]),
        (inside & (at[:, 0] > at[:, 1]), start, square[0] + _BEHIND, square[1]),
        (inside & (gap == 0), start, own[0] + _AHEAD, own[1]),
        (inside & (gap == 0), start, own[0] + _BEHIND, own[1]),
    ]
    for which, begin, source, target in groups:
        rows = np.flatnonzero(which)
        _add(band, begin[rows], target, k, 144 * rows, source)


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
