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
        band: Cholesky factor in lower band storage, or None when `general` is used.
        general: General sparse factor.
    """

    place: Index
    fixed: Mask
    band: Array | None
    general: Any

    def solve(self, load: Array) -> Array:
        """Return movements (n, 6, columns) in node axes, zero at kept nodes and held freedoms."""
        inner = self.place >= 0
        columns = load.shape[2]
        packed = np.empty((columns, int(inner.sum()), 6))
        value = np.where(self.fixed[:, :, None], 0.0, load) if self.fixed.any() else load
        packed[:, self.place[inner]] = value[inner].transpose(2, 0, 1)
        right = packed.reshape(columns, -1).T
        if self.band is not None and right.size:
            right = dpbtrs(self.band, right, lower=1, overwrite_b=1)[0]
        elif right.size:
            right = self.general.solve(np.ascontiguousarray(right))
        out = np.zeros(load.shape)
        back = right.T.reshape(columns, -1, 6)
        out[inner] = back[:, self.place[inner]].transpose(1, 2, 0)
        return out


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
    at = place[ends]
    inside = (at >= 0).all(axis=1)
    width = 6 * int(np.max(np.abs(at[inside, 0] - at[inside, 1]), initial=0)) + 6
    size = 6 * int(np.sum(place >= 0))
    if float(size) * width**2 > _BAND_WORK:
        return Factor(place, fixed, None, _general(k, ends, place, fixed, blocks))
    if not size:
        return Factor(place, fixed, np.zeros((1, 0)), None)
    band = band_matrix(k, ends, place, fixed, blocks)
    lower, info = dpbtrf(band.T, lower=1, overwrite_ab=1)
    if info:
        return Factor(place, fixed, None, _general(k, ends, place, fixed, blocks))
    return Factor(place, fixed, lower, None)


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
