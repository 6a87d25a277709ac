"""Factor the stiffness of a frame once: banded Cholesky, or a general sparse factor where the band is wide."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
from scipy.linalg.lapack import dpbtrf, dpbtrs, dtbtrs
from scipy.sparse import coo_array
from scipy.sparse.linalg import splu

from pipecalc.calc.band import band_matrix, inner_order, order_nodes
from pipecalc.calc.elements import Elements
from pipecalc.calc.frame import Array, Index, Mask, both, by_freedom, by_row

_BAND_WORK = 3e10  # multiplications above which a general sparse factorisation is used instead


class SingularStiffnessError(ArithmeticError):
    """The stiffness cannot be factored although no free motion was found."""


@dataclass(frozen=True, slots=True, eq=False)
class Factor:
    """A factored stiffness of the inner nodes.

    Attributes:
        place: Position of each node, -1 for kept nodes, shape (n,).
        fixed: Freedoms without equation, shape (n, 6).
        run: Number of the run of each node, -1 for kept nodes, shape (n,).
        order: Inner nodes in the order of the band, shape (N,).
        silent: Places in the band of freedoms without equation.
        band: Cholesky factor in lower band storage, or None when `general` is used.
        general: General sparse factor.
    """

    place: Index
    fixed: Mask
    run: Index
    order: Index
    silent: Index
    band: Array | None
    general: Any

    def solve(self, load: Array) -> Array:
        """Return movements (n, 6, columns) in node axes, zero at kept nodes and held freedoms."""
        right = self.pack(load)
        if self.band is None:
            return self.unpack(self._solved(right))
        return self.unpack(dpbtrs(self.band, right, lower=1, overwrite_b=1)[0] if right.size else right)

    def pack(self, load: Array) -> Array:
        """Return loads (n, 6, columns) in the order of the band, zero where held, shape (6 N, columns)."""
        columns, count = load.shape[2], len(self.order)
        right = np.empty((columns, count, 6))
        right.transpose(2, 0, 1)[:] = by_freedom(load).take(self.order, axis=2)
        packed = right.reshape(columns, 6 * count).T
        packed[self.silent] = 0.0
        return packed

    def unpack(self, found: Array) -> Array:
        """Return movements (n, 6, columns), zero at kept nodes, from those in the order of the band."""
        columns, count = found.shape[1], len(self.order)
        out = np.zeros((6, columns, len(self.place)))
        if count:
            out[:] = found.T.reshape(columns, count, 6).take(self.place, axis=1).transpose(2, 0, 1)
            out[:, :, self.place < 0] = 0.0
        return by_row(out)

    def forward(self, right: Array) -> Array:
        """Return loads after the first half of a solution, in place; a general factor does all in the second half.

        Args:
            right: Loads of the leading freedoms, up to the end of a run, zero where held, shape (rows, columns).
        """
        if self.band is None or not right.size:
            return right
        return np.asarray(dtbtrs(self.band[:, : len(right)], right, uplo="L", overwrite_b=1)[0])

    def back(self, half: Array) -> Array:
        """Return movements of all freedoms from `forward`, in place."""
        if self.band is None or not half.size:
            return self._solved(half)
        return np.asarray(dtbtrs(self.band, half, uplo="L", trans="T", overwrite_b=1)[0])

    def mirror(self, half: Array) -> Array:
        """Return what the halves of other solutions are multiplied with for their work on the loads of this one."""
        return half if self.band is not None else self._solved(half)

    def last_block(self, node: Index) -> Array:
        """Return the triangular blocks of a band factor at places of nodes, shape (q, 6, 6)."""
        if self.band is None:
            raise TypeError("a general factor has no blocks")
        row, column = np.tril_indices(6)
        out = np.zeros((len(node), 6, 6))
        out[:, row, column] = self.band[row - column, 6 * node[:, None] + column]
        return out

    def _solved(self, right: Array) -> Array:
        if not right.size:
            return right
        whole = np.zeros((6 * len(self.order), right.shape[1]))
        whole[: len(right)] = right
        return np.asarray(self.general.solve(whole)[: len(right)])


def factor(elements: Elements, fixed: Mask, kept: Mask, blocks: tuple[Index, Array]) -> Factor:
    """Factor the stiffness of all nodes but the kept ones; asked for the same again, the latest one is given.

    Args:
        elements: Element stiffness in node axes.
        fixed: Freedoms without equation, shape (n, 6).
        kept: Nodes left out, shape (n,).
        blocks: Further nodes and their stiffness (elastic restraints).

    Raises:
        SingularStiffnessError: The stiffness is singular to rounding.
    """
    asked = (fixed, kept, *blocks)
    if _latest and _latest[0][0] is elements and all(map(np.array_equal, _latest[0][1], asked)):
        return _latest[0][2]
    found = _factored(elements, fixed, kept, blocks)
    _latest[:] = [(elements, asked, found)]
    return found


#: Elements, further arguments and factor: a frame is solved several times in a row with other loads on its supports.
_latest: list[tuple[Elements, tuple[npt.NDArray[Any], ...], Factor]] = []


def _factored(elements: Elements, fixed: Mask, kept: Mask, blocks: tuple[Index, Array]) -> Factor:
    ends = elements.ends
    place, run = order_nodes(ends, len(fixed), kept)
    order = inner_order(place)
    silent = np.flatnonzero(fixed[order])
    at = place[ends]
    inside = both(at >= 0)
    width = 6 * int(np.max(np.abs(at[inside, 0] - at[inside, 1]), initial=0)) + 6
    size = 6 * len(order)
    if not size:
        return Factor(place, fixed, run, order, silent, np.zeros((1, 0)), None)
    if float(size) * width**2 <= _BAND_WORK:
        band = band_matrix(elements, place, fixed, blocks)
        lower, info = dpbtrf(band.T, lower=1, overwrite_ab=1)
        if not info:
            return Factor(place, fixed, run, order, silent, lower, None)
    return Factor(place, fixed, run, order, silent, None, _general(elements, place, fixed, blocks))


def _general(elements: Elements, place: Index, fixed: Mask, blocks: tuple[Index, Array]) -> Any:
    ends = elements.ends
    k = elements.matrices(np.arange(len(ends)))
    number = np.where(fixed, -1, 6 * place[:, None] + np.arange(6))
    number[place < 0] = -1
    of = number[ends].reshape(len(ends), 12)
    row = np.concatenate([np.repeat(of, 12, axis=1).ravel(), np.repeat(number[blocks[0]], 6, axis=1).ravel()])
    col = np.concatenate([np.tile(of, (1, 12)).ravel(), np.tile(number[blocks[0]], (1, 6)).ravel()])
    value = np.concatenate([k.ravel(), blocks[1].ravel()])
    keep = (row >= 0) & (col >= 0)
    inner = place >= 0
    alone = np.flatnonzero(fixed[inner].reshape(-1))
    alone = (6 * place[inner][:, None] + np.arange(6)).reshape(-1)[alone]
    size = 6 * int(inner.sum())
    matrix = coo_array(
        (
            np.concatenate([value[keep], np.ones(len(alone))]),
            (np.concatenate([row[keep], alone]), np.concatenate([col[keep], alone])),
        ),
        shape=(size, size),
    )
    try:
        return splu(matrix.tocsc(), permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.01, options={"SymmetricMode": True})
    except RuntimeError as error:
        raise SingularStiffnessError("stiffness singular to rounding") from error
