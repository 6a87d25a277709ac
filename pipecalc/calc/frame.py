"""The arrays that describe a three-dimensional piping frame: members, restraints and loads.

Sign conventions: axes East, North, Up; each node has six freedoms in the order (u_E, u_N, u_U, r_E, r_N, r_U),
moments and rotations by the right-hand rule. A load acts on the pipe; a reaction is the action of the support on the
pipe. Load cases are always the last axis.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
Index = npt.NDArray[np.intp]
Mask = npt.NDArray[np.bool_]

POISSON = 0.3
RADIUS_MISMATCH = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class Frame:
    """Nodes, members (straight pipes and bends) and springs of one stiffness.

    Attributes:
        nodes: Positions, shape (n, 3) [m].
        ends: Nodes i and j of each member, shape (m, 2).
        E: Modulus of elasticity, shape (m,) [Pa].
        G: Shear modulus, shape (m,) [Pa].
        A: Metal area, shape (m,) [m2].
        I: Moment of inertia, the same in both planes, shape (m,) [m4].
        J: Polar moment of inertia for torsion, shape (m,) [m4].
        shear_area: Area in shear, infinite for no shear deformation, shape (m,) [m2].
        centre: Centre of curvature of a bend, NaN for a straight pipe, shape (m, 3) [m].
        normal: Unit axis about which a bend turns from i to j, NaN for a straight pipe, shape (m, 3).
        k_in: Flexibility factor in the plane of a bend, shape (m,).
        k_out: Flexibility factor out of the plane of a bend, shape (m,).
        radius: Bend radius, infinite for a straight pipe, shape (m,) [m].
        angle: Angle turned from i to j, zero for a straight pipe, shape (m,) [rad].
        length: Length along the centreline, shape (m,) [m].
        spring_ends: Nodes i and j of each spring, shape (s, 2).
        spring_axes: Rows are the local axes of each spring, shape (s, 3, 3).
        spring_stiffness: Local stiffness of each spring, shape (s, 6, 6) [N/m, N, N·m/rad].
    """

    nodes: Array
    ends: Index
    E: Array
    G: Array
    A: Array
    I: Array
    J: Array
    shear_area: Array
    centre: Array
    normal: Array
    k_in: Array
    k_out: Array
    radius: Array
    angle: Array
    length: Array
    spring_ends: Index
    spring_axes: Array
    spring_stiffness: Array

    @property
    def is_bend(self) -> Mask:
        """Which members are bends, shape (m,)."""
        return self.angle > 0.0

    @property
    def all_ends(self) -> Index:
        """Ends of members followed by ends of springs, shape (m + s, 2)."""
        return np.concatenate([self.ends, self.spring_ends])


@dataclass(frozen=True, slots=True, eq=False)
class Restraints:
    """Directions held at nodes, rigidly or by a two-way stiffness; the ground may move.

    Attributes:
        node: Node held, shape (r,).
        direction: Unit direction, shape (r, 3).
        rotational: Whether the direction is an axis of rotation, shape (r,).
        stiffness: Infinite for rigid, shape (r,) [N/m or N·m/rad].
        movement: Movement of the ground along the direction, shape (r, cases) [m or rad].
    """

    node: Index
    direction: Array
    rotational: Mask
    stiffness: Array
    movement: Array


@dataclass(frozen=True, slots=True, eq=False)
class Loads:
    """Loads of all cases.

    Attributes:
        nodal: Forces and moments at nodes, shape (n, 6, cases) [N, N·m].
        distributed: Force per length of centreline, global axes, shape (m, 3, cases) [N/m].
        strain: Free strain along the centreline (heat, pressure, cold spring), shape (m, cases).
        spring_free: Free relative movement of springs, local axes, shape (s, 6, cases) [m, rad].
    """

    nodal: Array
    distributed: Array
    strain: Array
    spring_free: Array

    @property
    def cases(self) -> int:
        """Number of load cases."""
        return int(self.nodal.shape[2])


def by_freedom(values: Array) -> Array:
    """Return values (rows, freedoms, cases) as (freedoms, cases, rows), rows adjacent in memory.

    Sums over freedoms and products with numbers of members then run along long rows. Nothing is copied where the
    values are kept this way already, as all values of nodes and members made here are.
    """
    return np.ascontiguousarray(values.transpose(1, 2, 0))


def by_row(values: Array) -> Array:
    """Return values (freedoms, cases, rows) as (rows, freedoms, cases), seen otherwise but not copied."""
    return values.transpose(2, 0, 1)


def lengths(vectors: Array) -> Array:
    """Return lengths of vectors, shape (q,) from (q, 3) (several times faster than a reduction over short rows)."""
    return np.asarray(np.sqrt(np.einsum("ij,ij->i", vectors, vectors)))


def both(holds: Mask) -> Mask:
    """Return where something holds at both ends, shape (m,) from (m, 2)."""
    return np.asarray(holds[:, 0] & holds[:, 1])


def _column(value: npt.ArrayLike, count: int) -> Array:
    return np.array(np.broadcast_to(np.asarray(value, float), (count,)))


def _vectors(value: npt.ArrayLike | None, count: int) -> Array:
    if value is None:
        return np.full((count, 3), np.nan)
    return np.array(value, float).reshape(count, 3)


def _sealed(array: npt.NDArray[np.generic]) -> None:
    array.flags.writeable = False


def _require(holds: npt.ArrayLike, what: str) -> None:
    wrong = np.flatnonzero(~np.atleast_1d(np.asarray(holds, bool)))
    if len(wrong):
        raise ValueError(f"{what}: rows {wrong[:8].tolist()}")


def _bend_geometry(nodes: Array, ends: Index, centre: Array, normal: Array) -> tuple[Array, Array, Array]:
    """Radius, angle and centreline length of members, each of shape (m,)."""
    chord = nodes[ends[:, 1]] - nodes[ends[:, 0]]
    length = lengths(chord)
    radius, angle = np.full(len(ends), np.inf), np.zeros(len(ends))
    bend = np.flatnonzero(np.isfinite(centre[:, 0]))
    start, end = nodes[ends[bend, 0]] - centre[bend], nodes[ends[bend, 1]] - centre[bend]
    r_start, r_end = lengths(start), lengths(end)
    _require(np.abs(r_start - r_end) <= RADIUS_MISMATCH * r_start, "ends of a bend not on one circle")
    for side in (start, end):
        off_plane = np.abs(np.einsum("ij,ij->i", side, normal[bend]))
        _require(off_plane <= RADIUS_MISMATCH * r_start, "normal of a bend not square to its plane")
    sine = np.einsum("ij,ij->i", np.cross(start, end), normal[bend])
    angle[bend] = np.arctan2(sine, np.einsum("ij,ij->i", start, end)) % (2.0 * np.pi)
    radius[bend] = 0.5 * (r_start + r_end)
    length[bend] = radius[bend] * angle[bend]
    return radius, angle, length


def build_frame(
    nodes: npt.ArrayLike,
    ends: npt.ArrayLike,
    *,
    E: npt.ArrayLike,
    A: npt.ArrayLike,
    I: npt.ArrayLike,
    J: npt.ArrayLike,
    G: npt.ArrayLike | None = None,
    shear_area: npt.ArrayLike | None = None,
    centre: npt.ArrayLike | None = None,
    normal: npt.ArrayLike | None = None,
    k_in: npt.ArrayLike = 1.0,
    k_out: npt.ArrayLike = 1.0,
    spring_ends: npt.ArrayLike | None = None,
    spring_axes: npt.ArrayLike | None = None,
    spring_stiffness: npt.ArrayLike | None = None,
) -> Frame:
    """Return a frame from arrays; scalars stand for all members.

    Args:
        nodes: Positions, shape (n, 3) [m].
        ends: Nodes i and j of members, shape (m, 2).
        E: Modulus of elasticity [Pa].
        A: Metal area [m2].
        I: Moment of inertia [m4].
        J: Torsion constant [m4].
        G: Shear modulus [Pa]; E / 2.6 when not given (Poisson's ratio 0.3).
        shear_area: Area in shear [m2]; A / 2, the thin tube, when not given; infinite for no shear deformation.
        centre: Centre of curvature, NaN rows for straight pipes, shape (m, 3) [m].
        normal: Axis about which the bend turns from i to j (any length), shape (m, 3).
        k_in: Flexibility factor in the plane of bends, at least 1.
        k_out: Flexibility factor out of the plane of bends, at least 1.
        spring_ends: Nodes i and j of springs, shape (s, 2).
        spring_axes: Rows are local axes, shape (s, 3, 3); the global axes when not given.
        spring_stiffness: Shape (s, 6) for the diagonal or (s, 6, 6); acts on the movement of j relative to i at the
            middle between the two.

    Returns:
        The frame, arrays sealed against writing.

    Raises:
        ValueError: A node index outside the frame, a member without length, a property not above zero, a flexibility
            factor below 1, or a bend whose ends do not lie on one circle.

    Source: Poisson's ratio 0.3 for flexibility, ASME B31.3 para. 319.3.3; shear area of a thin tube A/2, J. S.
        Przemieniecki, Theory of Matrix Structural Analysis, 1968.
    """
    xyz = np.array(nodes, float).reshape(-1, 3)
    pairs = np.array(ends, np.intp).reshape(-1, 2)
    m = len(pairs)
    E_, A_ = _column(E, m), _column(A, m)
    G_ = E_ / (2.0 * (1.0 + POISSON)) if G is None else _column(G, m)
    shear = 0.5 * A_ if shear_area is None else _column(shear_area, m)
    c, axis = _vectors(centre, m), _vectors(normal, m)
    with np.errstate(invalid="ignore"):
        axis = axis / lengths(axis)[:, None]
    s_ends = np.zeros((0, 2), np.intp) if spring_ends is None else np.array(spring_ends, np.intp).reshape(-1, 2)
    _require(both((pairs >= 0) & (pairs < len(xyz))), "member end outside the nodes")
    _require(both((s_ends >= 0) & (s_ends < len(xyz))), "spring end outside the nodes")
    radius, angle, length = _bend_geometry(xyz, pairs, c, axis)
    s = len(s_ends)
    axes = np.broadcast_to(np.eye(3), (s, 3, 3)) if spring_axes is None else np.asarray(spring_axes, float)
    frame = Frame(
        nodes=xyz,
        ends=pairs,
        E=E_,
        G=G_,
        A=A_,
        I=_column(I, m),
        J=_column(J, m),
        shear_area=shear,
        centre=c,
        normal=axis,
        k_in=_column(k_in, m),
        k_out=_column(k_out, m),
        radius=radius,
        angle=angle,
        length=length,
        spring_ends=s_ends,
        spring_axes=np.array(axes, float).reshape(s, 3, 3),
        spring_stiffness=_square(spring_stiffness, s),
    )
    _check(frame)
    return frame


def _square(stiffness: npt.ArrayLike | None, count: int) -> Array:
    if stiffness is None:
        return np.zeros((count, 6, 6))
    given = np.array(stiffness, float)
    if given.ndim == 3:
        return given.reshape(count, 6, 6)
    return given.reshape(count, 6)[:, :, None] * np.eye(6)


def _check(frame: Frame) -> None:
    if not np.all(np.isfinite(frame.nodes)):
        raise ValueError("a node has no position")
    _require(frame.length > 0.0, "member without length")
    for name in ("E", "G", "A", "I", "J", "shear_area"):
        _require(getattr(frame, name) > 0.0, f"{name} not above zero")
    for name in ("k_in", "k_out"):
        _require(getattr(frame, name) >= 1.0, f"{name} below 1")
    for name in Frame.__slots__:
        _sealed(getattr(frame, name))


def build_restraints(
    node: npt.ArrayLike,
    direction: npt.ArrayLike,
    *,
    rotational: npt.ArrayLike = False,
    stiffness: npt.ArrayLike = np.inf,
    movement: npt.ArrayLike = 0.0,
    cases: int = 1,
) -> Restraints:
    """Return restraints; directions are brought to unit length.

    Args:
        node: Nodes held, shape (r,).
        direction: Directions held, shape (r, 3), any length above zero.
        rotational: Whether a rotation about the direction is held, shape (r,).
        stiffness: Infinite for rigid [N/m or N·m/rad].
        movement: Movement of the ground along the (unit) direction, broadcast to (r, cases) [m or rad].
        cases: Number of load cases.

    Raises:
        ValueError: A direction without length or a stiffness below zero.
    """
    where = np.atleast_1d(np.array(node, np.intp))
    count = len(where)
    way = np.array(direction, float).reshape(count, 3)
    size = np.linalg.norm(way, axis=1)
    _require(size > 0.0, "direction without length")
    rate = _column(stiffness, count)
    _require(rate >= 0.0, "stiffness below zero")
    kind = np.array(np.broadcast_to(np.asarray(rotational, bool), (count,)))
    moved = np.array(np.broadcast_to(np.asarray(movement, float), (count, cases)))
    return Restraints(where, way / size[:, None], kind, rate, moved)


def anchors(nodes: npt.ArrayLike, movement: npt.ArrayLike = 0.0, cases: int = 1) -> Restraints:
    """Return the six rigid restraints of each anchored node, in the order of its freedoms.

    Args:
        nodes: Anchored nodes, shape (a,).
        movement: Movement of the anchors, broadcast to (a, 6, cases) [m, rad].
        cases: Number of load cases.
    """
    where = np.atleast_1d(np.array(nodes, np.intp))
    moved = np.broadcast_to(np.asarray(movement, float), (len(where), 6, cases)).reshape(-1, cases)
    return build_restraints(
        np.repeat(where, 6),
        np.tile(np.vstack([np.eye(3), np.eye(3)]), (len(where), 1)),
        rotational=np.tile([False] * 3 + [True] * 3, len(where)),
        movement=moved,
        cases=cases,
    )


def join_restraints(*parts: Restraints) -> Restraints:
    """Return several sets of restraints (of equal case count) as one, rows in the order given."""
    return Restraints(
        np.concatenate([p.node for p in parts]),
        np.concatenate([p.direction for p in parts]),
        np.concatenate([p.rotational for p in parts]),
        np.concatenate([p.stiffness for p in parts]),
        np.concatenate([p.movement for p in parts]),
    )


def build_loads(
    frame: Frame,
    cases: int = 1,
    *,
    nodal: npt.ArrayLike = 0.0,
    distributed: npt.ArrayLike = 0.0,
    strain: npt.ArrayLike = 0.0,
    spring_free: npt.ArrayLike = 0.0,
) -> Loads:
    """Return loads, each array broadcast to its full shape (see `Loads`)."""
    n, m, s = len(frame.nodes), len(frame.ends), len(frame.spring_ends)
    return Loads(
        np.broadcast_to(np.asarray(nodal, float), (n, 6, cases)),
        np.broadcast_to(np.asarray(distributed, float), (m, 3, cases)),
        np.broadcast_to(np.asarray(strain, float), (m, cases)),
        np.broadcast_to(np.asarray(spring_free, float), (s, 6, cases)),
    )


def group_cases(modulus: npt.ArrayLike) -> list[Index]:
    """Return groups of cases that share one stiffness, so that each is factored once.

    Args:
        modulus: Modulus of each member in each case, shape (m, cases) [Pa].

    Returns:
        Index arrays of cases; together they hold each case once, in the order of their first case.
    """
    columns = np.array(modulus, float).T
    _, first, label = np.unique(columns, axis=0, return_index=True, return_inverse=True)
    flat = label.reshape(-1)
    return [np.flatnonzero(flat == group) for group in np.argsort(first)]
