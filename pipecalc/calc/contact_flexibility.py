"""The frame as the rows of contacts feel it: a narrow band of stiffness, and the flexibility of the rows from it."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
import numpy.typing as npt
from scipy.linalg import LinAlgError
from scipy.linalg.blas import dsbmv
from scipy.linalg.lapack import dgbsv, dpbsv, dpbtrf, dpbtrs
from scipy.sparse import csc_array, csr_array

from pipecalc.calc.frame import Array, Index, Mask

_I, _J = np.tril_indices(3)


def some_cases(values: npt.NDArray[Any], cases: Index | Mask) -> npt.NDArray[Any]:
    """Return the values of some cases; values that are the same in all cases keep their leading axis of one."""
    return values if len(values) == 1 else values[cases]


@dataclass(frozen=True, slots=True, eq=False)
class Seats:
    """Where rows act on the kept nodes: the normals of all contacts first, then two tangents of each with friction.

    What is done in every round goes through sparse matrices made once, each application of which is one call.

    Attributes:
        node: Place of the node of each row among the kept nodes, shape (R,).
        unit: Direction of each row over the free translations of its node, node axes, shape (R, 3).
        rubbing: Contacts with friction, shape (f,).
        size: Number of freedoms of the kept nodes, 6 q.
    """

    node: Index
    unit: Array
    rubbing: Index
    size: int
    to_rows: csr_array = field(init=False)
    to_freedoms: csc_array = field(init=False)
    to_cells: csc_array = field(init=False)
    to_system: csc_array = field(init=False)

    def __post_init__(self) -> None:
        """Make the matrices that take movements to rows, forces to freedoms and stiffness of rows to blocks."""
        count, f = len(self.node), len(self.rubbing)
        c = count - 2 * f
        freedom = (6 * self.node[:, None] + np.arange(3)).reshape(-1)
        to_rows = csr_array((self.unit.reshape(-1), freedom, 3 * np.arange(count + 1)), shape=(count, self.size))
        normal, both = np.arange(c), np.arange(c, count)
        force = np.concatenate([normal, both, both[::2], np.repeat(both[::2], 2)])
        value = np.empty((len(force), 3, 3))
        moved = np.concatenate([normal, np.repeat(self.rubbing, 2)])
        value[:count] = self.unit[:, :, None] * self.unit[moved][:, None, :]
        tangents = self.unit[c:].reshape(f, 2, 3)
        own = tangents[:, :, :, None] * tangents[:, :, None, :]
        cross = tangents[:, 0, :, None] * tangents[:, 1, None, :]
        value[count : count + f] = own[:, 0] + own[:, 1]
        value[count + f :: 2] = own[:, 1] - own[:, 0]
        value[count + f + 1 :: 2] = -cross - cross.transpose(0, 2, 1)
        cell = (9 * self.node[force][:, None] + np.arange(9)).reshape(-1)
        cells, columns = 3 * self.size // 2, len(force)
        ends = 9 * np.arange(columns + 1)
        object.__setattr__(self, "to_rows", to_rows)
        object.__setattr__(self, "to_freedoms", to_rows.T)
        to_cells = csc_array((value.reshape(-1), cell, ends), shape=(cells, columns))
        object.__setattr__(self, "to_cells", to_cells)
        whole = np.concatenate([value.reshape(-1), self.unit.reshape(-1)]), np.concatenate([cell, cells + freedom])
        ends = np.concatenate([ends, ends[-1] + 3 * np.arange(1, count + 1)])
        to_system = csc_array((*whole, ends), shape=(cells + self.size, columns + count))
        object.__setattr__(self, "to_system", to_system)

    def positions(self, u: Array) -> Array:
        """Return movements of rows, shape (cases, R), from movements of the kept nodes, shape (cases, 6 q)."""
        return np.ascontiguousarray((self.to_rows @ u.T).T)

    def gathered(self, r: Array) -> Array:
        """Return forces on the freedoms of the kept nodes, shape (cases, 6 q), from forces of rows, (cases, R)."""
        return np.ascontiguousarray((self.to_freedoms @ r.T).T)

    def blocks(self, falls: Array) -> Array:
        """Return the 3 x 3 blocks that supports add to the stiffness of each kept node, shape (cases, q, 9).

        Args:
            falls: How much forces fall with movements, shape (cases, c + 5 f) [N/m]: each normal force with its
                normal; each friction force with the normal; each pair of tangents with itself, mean of both; then in
                turn for each pair how much more than the mean the second has, and how much less than nothing each
                falls with the other.
        """
        return np.ascontiguousarray((self.to_cells @ falls.T).T).reshape(len(falls), -1, 9)

    def system(self, falls: Array, r: Array) -> tuple[Array, Array]:
        """Return `blocks` and `gathered` in one."""
        cells = 3 * self.size // 2
        both = np.ascontiguousarray((self.to_system @ np.concatenate([falls, r], axis=1).T).T)
        return both[:, :cells].reshape(len(r), -1, 9), both[:, cells:]


@dataclass(frozen=True, slots=True, eq=False)
class Band:
    """Stiffness of the frame at the kept nodes in band storage, one row per freedom.

    Attributes:
        lower: Diagonal and below, shape (6 q, width + 1).
        whole: Below, diagonal and above, after `width` cells of work space, shape (6 q, 3 width + 1).
        in_lower: Cells of `lower` of the lower halves of translation blocks, shape (6 q, ) flat.
        in_whole: Cells of `whole` of the translation blocks, flat.
    """

    lower: Array
    whole: Array
    in_lower: Index
    in_whole: Index

    def times(self, u: Array) -> Array:
        """Return stiffness times movements, both of shape (cases, 6 q)."""
        width, matrix = self.lower.shape[1] - 1, self.lower.T
        return np.array([dsbmv(width, 1.0, matrix, one, lower=1) for one in u]).reshape(u.shape)

    def solve(self, blocks: Array, push: Array, soft: float) -> Array:
        """Return movements with symmetric blocks added and the diagonal raised by the part `soft`.

        Args:
            blocks: See `Seats.blocks`, shape (q, 9).
            push: Forces, one row each, shape (cases, 6 q).
            soft: Part of the diagonal.

        Returns:
            Movements, shape (cases, 6 q).

        Raises:
            LinAlgError: The stiffness is not positive.
        """
        matrix = self.lower.copy()
        matrix.reshape(-1)[self.in_lower] += blocks[:, 3 * _I + _J].reshape(-1)
        matrix[:, 0] += soft * self.lower[:, 0]
        _, found, info = dpbsv(matrix.T, push.T, lower=1, overwrite_ab=1)
        if info:
            raise LinAlgError("stiffness not positive")
        return np.asarray(found).T

    def solve_skew(self, blocks: Array, push: Array) -> Array:
        """Return movements under `push` with blocks added that need not be symmetric.

        Raises:
            LinAlgError: The stiffness is singular.
        """
        width = self.lower.shape[1] - 1
        matrix = self.whole.copy()
        matrix.reshape(-1)[self.in_whole] += blocks.reshape(-1)
        _, _, found, info = dgbsv(width, width, matrix.T, push, overwrite_ab=1)
        if info:
            raise LinAlgError("stiffness singular")
        return np.asarray(found)


def build_band(stiffness: Array) -> Band:
    """Return band storage of a symmetric stiffness.

    Args:
        stiffness: Blocks on and below the diagonal, see `condense.Condensed`, shape (q, 1 + nodes apart, 6, 6).
    """
    q, count = stiffness.shape[:2]
    width, size = 6 * count - 1, 6 * q
    by_column = np.zeros((q, 6, width + 1))
    for column in range(6):
        by_column[:, column, : width + 1 - column] = stiffness[:, :, :, column].reshape(q, -1)[:, column:]
    lower = by_column.reshape(size, width + 1)
    whole = np.zeros((size, 3 * width + 1))
    whole[:, 2 * width :] = lower
    for above in range(1, min(width + 1, size)):
        whole[above:, 2 * width - above] = lower[:-above, above]
    first = 6 * np.arange(q)[:, None]
    in_lower = (first + _J) * (width + 1) + _I - _J
    i, j = np.divmod(np.arange(9), 3)
    in_whole = (first + j) * (3 * width + 1) + 2 * width + i - j
    return Band(lower, whole, in_lower.reshape(-1), in_whole.reshape(-1))


@dataclass(frozen=True, slots=True, eq=False)
class Flexibility:
    """The frame as seen from the contact rows, with auxiliary springs that keep it from floating.

    Attributes:
        band: Condensed stiffness of the frame without these springs.
        seats: Where rows act.
        load: Loads on its freedoms, shape (cases, 6 q).
        offset: What to add to movements for the position relative to the ground, shape (cases, R) [m].
        auxiliary: Stiffness of the auxiliary spring of each row, shape (R,) [N/m].
        start: Movement of the freedoms without contact forces, shape (cases, 6 q).
        p0: Movement of rows without contact forces, shape (cases, R) [m].
    """

    band: Band
    seats: Seats
    load: Array
    offset: Array
    auxiliary: Array
    start: Array
    p0: Array
    base: Array
    known: dict[str, Array] = field(default_factory=dict)

    @property
    def F(self) -> Array:
        """Movement of rows from unit forces on rows, shape (R, R) [m/N]."""
        if "F" not in self.known:
            unit = self.seats.to_freedoms.toarray()
            self.known["F"] = self.seats.positions(self._solved(unit).T).T
        return self.known["F"]

    def _solved(self, right: Array) -> Array:
        return np.asarray(dpbtrs(self.base.T, right, lower=1)[0])

    def movements(self, s: Array) -> Array:
        """Return movements of the freedoms, shape (cases, 6 q), from forces of rows, shape (cases, R)."""
        return self.start + self._solved(self.seats.gathered(s).T).T

    def row_movements(self, s: Array) -> Array:
        """Return movements of rows from forces of rows, both of shape (cases, R)."""
        if "F" in self.known:
            return np.asarray(self.p0 + s @ self.F.T)
        return self.seats.positions(self.movements(s))

    def pick(self, cases: Index) -> Flexibility:
        """Return the same for some of the cases."""
        part = {name: getattr(self, name)[cases] for name in ("load", "offset", "start", "p0")}
        return replace(self, **part)


def build_flexibility(stiffness: Array, seats: Seats, load: Array, offset: Array, auxiliary: Array) -> Flexibility:
    """Return the frame as seen from the contact rows.

    Args:
        stiffness: Condensed stiffness at the kept nodes, see `condense.Condensed`, shape (q, 1 + nodes apart, 6, 6).
        seats: Where rows act.
        load: Loads, shape (cases, 6 q).
        offset: See `Flexibility`, shape (cases, R) [m].
        auxiliary: Stiffness of auxiliary springs, shape (R,) [N/m].

    Raises:
        LinAlgError: The frame floats in spite of the auxiliary springs.
    """
    band = build_band(stiffness)
    f = len(seats.rubbing)
    c = len(auxiliary) - 2 * f
    falls = [auxiliary[:c], np.zeros(2 * f), auxiliary[c::2], np.zeros(2 * f)]
    blocks = seats.blocks(np.concatenate(falls)[None])[0]
    base = band.lower.copy()
    base.reshape(-1)[band.in_lower] += blocks[:, 3 * _I + _J].reshape(-1)
    factor, info = dpbtrf(base.T, lower=1)
    if info:
        raise LinAlgError("stiffness not positive")
    start = np.asarray(dpbtrs(factor, load.T, lower=1)[0]).T
    return Flexibility(band, seats, load, offset, auxiliary, start, seats.positions(start), factor.T)
