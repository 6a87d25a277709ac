"""Factor the stiffness of a frame once: banded Cholesky, or a general sparse factor where the band is wide."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.linalg.lapack import dpbtrf, dpbtrs
from scipy.sparse import coo_array
from scipy.sparse.linalg import splu

from pipecalc.calc.assembly import band_matrix, order_nodes
from pipecalc.calc.frame import Array, Index, Mask

_BAND_WORK = 3e10  # multiplications above which a general sparse factorisation is used instead


class SingularStiffnessError(ArithmeticError):
    """The stiffness cannot be factored although no free motion was found."""


@dataclass(frozen=True, slots=True, eq=False)
class Factor:
    """A factored stiffness of the inner nodes.

    Attributes:
        place: Position of each node, -1 for kept nodes, shape (n,).
        fixed: Freedoms without equation, shape (n, 6).
        order: Inner nodes in the order of the band, shape (N,).
        silent: Places in the band of freedoms without equation.
        band: Cholesky factor in lower band storage, or None when `general` is used.
        general: General sparse factor.
    """

    place: Index
    fixed: Mask
    order: Index
    silent: Index
    band: Array | None
    general: Any

    def solve(self, load: Array) -> Array:
        """Return movements (n, 6, columns) in node axes, zero at kept nodes and held freedoms."""
        columns = load.shape[2]
        right = self.solve_packed(load[self.order].reshape(6 * len(self.order), columns))
        out = np.zeros(load.shape)
        out[self.order] = right.reshape(len(self.order), 6, columns)
        return out

    def solve_packed(self, right: Array) -> Array:
        """Return movements of the freedoms in the order of the band, zero where held.

        Args:
            right: Loads of the leading freedoms, up to the end of a run, changed in place, shape (rows, columns).
        """
        rows = len(right)
        right[self.silent[: np.searchsorted(self.silent, rows)]] = 0.0
        if not right.size:
            return right
        if self.band is not None:
            return np.asarray(dpbtrs(self.band[:, :rows], right, lower=1)[0])
        whole = np.zeros((6 * len(self.order), right.shape[1]))
        whole[:rows] = right
        return np.asarray(self.general.solve(whole)[:rows])


def factor(k: Array, ends: Index, fixed: Mask, kept: Mask, blocks: tuple[Index, Array]) -> Factor:
    """Factor the stiffness of all nodes but the kept ones.

    Args:
        k: Element stiffness in node axes, shape (m, 12, 12).
        ends: Nodes of elements, shape (m, 2).
        fixed: Freedoms without equation, shape (n, 6).
        kept: Nodes left out, shape (n,).
        blocks: Further nodes and their stiffness (elastic restraints).

    Raises:
        SingularStiffnessError: The stiffness is singular to rounding.
    """
    place = order_nodes(ends, len(fixed), kept)
    order = np.argsort(place)[int(np.sum(kept)) :]
    silent = np.flatnonzero(fixed[order])
    at = place[ends]
    inside = (at >= 0).all(axis=1)
    width = 6 * int(np.max(np.abs(at[inside, 0] - at[inside, 1]), initial=0)) + 6
    size = 6 * len(order)
    if not size:
        return Factor(place, fixed, order, silent, np.zeros((1, 0)), None)
    if float(size) * width**2 <= _BAND_WORK:
        band = band_matrix(k, ends, place, fixed, blocks)
        lower, info = dpbtrf(band.T, lower=1, overwrite_ab=1)
        if not info:
            return Factor(place, fixed, order, silent, lower, None)
    return Factor(place, fixed, order, silent, None, _general(k, ends, place, fixed, blocks))


def _general(k: Array, ends: Index, place: Index, fixed: Mask, blocks: tuple[Index, Array]) -> Any:
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
