"""Straight pipe as a three-dimensional beam with shear deformation, in global axes, all members at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pipecalc.calc.frame import Array, Index

LOWER_THREE = ((0, 0), (1, 0), (1, 1), (2, 0), (2, 1), (2, 2))  # cells of the lower half of a 3 x 3 block


def cross_matrix(v: Array) -> Array:
    """Return the matrices that form the vector product v x (.), shape (..., 3, 3) from (..., 3)."""
    out = np.zeros((*v.shape[:-1], 3, 3))
    out[..., 0, 1], out[..., 0, 2] = -v[..., 2], v[..., 1]
    out[..., 1, 0], out[..., 1, 2] = v[..., 2], -v[..., 0]
    out[..., 2, 0], out[..., 2, 1] = -v[..., 1], v[..., 0]
    return out


def cross_lanes(arm: Array, force: Array) -> Array:
    """Return arm x force with members along the last axis, shape (3, cases, m) from (3, m) and (3, cases, m)."""
    out = np.empty_like(force)
    for a, b, c in ((0, 1, 2), (1, 2, 0), (2, 0, 1)):
        np.multiply(arm[b], force[c], out=out[a])
        out[a] -= arm[c] * force[b]
    return out


def shear_parameter(E: Array, I: Array, G: Array, A_s: Array, L: Array) -> Array:
    """Return the ratio of bending to shear stiffness that corrects a beam for shear deformation.

    Formula:
        Phi = 12*E*I / (G*A_s*L**2)

    Args:
        E: Modulus of elasticity [Pa].
        I: Moment of inertia [m4].
        G: Shear modulus [Pa].
        A_s: Area in shear, infinite for none [m2].
        L: Length [m].

    Returns:
        The parameter, dimensionless.

    Source: J. S. Przemieniecki, Theory of Matrix Structural Analysis, 1968, section 5.6.
    """
    return 12.0 * E * I / (G * A_s * L**2)


@dataclass(frozen=True, slots=True, eq=False)
class Straight:
    """Straight pipes in closed form, global axes, pipes along the last axis.

    A round section has no preferred plane, so that the axis and four numbers say all that a pipe does. With h half
    the chord from i to j, d and t the movement and the rotation of j less those of i, and r the sum of both rotations::

        w = d + h x r
        F = lateral * w + (axial - lateral) * x * (x . w)
        M = bending * t + (torsion - bending) * x * (x . t)

    The actions on the ends are -F and -M - h x F at i, F and M - h x F at j.

    Attributes:
        x: Unit axes from i to j, shape (3, b).
        half: Half the chord from i to j, shape (3, b) [m].
        axial: E A / L, shape (b,) [N/m].
        lateral: 12 E I / (L^3 (1 + Phi)), shape (b,) [N/m].
        bending: E I / L, shape (b,) [N·m].
        torsion: G J / L, shape (b,) [N·m].

    Source: J. S. Przemieniecki, Theory of Matrix Structural Analysis, 1968, eq. (5.116).
    """

    x: Array
    half: Array
    axial: Array
    lateral: Array
    bending: Array
    torsion: Array

    def pick(self, some: Index | slice) -> Straight:
        """Return some of the pipes."""
        return Straight(*(getattr(self, name)[..., some] for name in Straight.__slots__))

    def forces(self, at_i: Array, at_j: Array) -> tuple[Array, Array]:
        """Return the forces on ends j and the moments at the middle, each of shape (3, cases, b).

        Args:
            at_i: Movements of ends i, shape (6, cases, b) [m, rad].
            at_j: Movements of ends j, shape (6, cases, b) [m, rad].
        """
        way = at_j[0:3] - at_i[0:3]
        way += cross_lanes(self.half, at_i[3:6] + at_j[3:6])
        turn = at_j[3:6] - at_i[3:6]
        return self._resisted(way, self.axial, self.lateral), self._resisted(turn, self.torsion, self.bending)

    def _resisted(self, way: Array, along: Array, across: Array) -> Array:
        """Multiply the parts of vectors along and across the axis by their stiffness."""
        x = self.x
        part = x[0] * way[0]
        part += x[1] * way[1]
        part += x[2] * way[2]
        part *= along - across
        out = across * way
        out += x[:, None] * part
        return out

    def cells(self) -> tuple[Array, Array, Array, Array]:
        """Return the distinct entries of the stiffness.

        Returns:
            push: Force from movement of the same end, lower half of a symmetric block, shape (6, b) [N/m].
            arm: Moment on end i from movement of i is arm x movement, shape (3, b) [N].
            near: Moment from rotation of the same end, lower half, shape (6, b) [N·m].
            far: Moment from rotation of the other end, lower half, shape (6, b) [N·m].
        """
        sway = self.lateral * (self.half**2).sum(axis=0)
        push = self._block(self.axial, self.lateral)
        near = self._block(self.torsion, sway + self.bending)
        far = self._block(-self.torsion, sway - self.bending)
        return push, self.lateral * self.half, near, far

    def _block(self, along: Array, across: Array) -> Array:
        out = np.empty((6, len(along)))
        for cell, (row, column) in enumerate(LOWER_THREE):
            np.multiply((along - across) * self.x[row], self.x[column], out=out[cell])
            if row == column:
                out[cell] += across
        return out

    def matrices(self) -> Array:
        """Return stiffness matrices, shape (b, 12, 12), symmetric."""
        push, arm, near, far = self.cells()
        row, column = np.array(LOWER_THREE).T
        k = np.empty((len(self.axial), 12, 12))
        for (first, other), value in (((0, 0), push), ((3, 3), near), ((3, 9), far)):
            k[:, first + row, other + column] = k[:, first + column, other + row] = value.T
        tilt = cross_matrix(arm.T)
        k[:, 6:9, 6:9], k[:, 9:12, 9:12], k[:, 9:12, 3:6] = k[:, 0:3, 0:3], k[:, 3:6, 3:6], k[:, 3:6, 9:12]
        k[:, 0:3, 6:9] = k[:, 6:9, 0:3] = -k[:, 0:3, 0:3]
        k[:, 0:3, 3:6] = k[:, 0:3, 9:12] = k[:, 3:6, 6:9] = k[:, 9:12, 6:9] = -tilt
        k[:, 3:6, 0:3] = k[:, 9:12, 0:3] = k[:, 6:9, 3:6] = k[:, 6:9, 9:12] = tilt
        return k

    def uniform(self, load: Array) -> tuple[Array, Array]:
        """Return the end loads equivalent to uniform loads: force on each end, moment on i (and reversed on j).

        The pair w L / 2, w L^2 / 12 holds with and without shear deformation, because a uniform load on a uniform
        member is symmetric.

        Args:
            load: Force per length, global axes, shape (3, cases, b) [N/m].

        Returns:
            Forces and moments, each of shape (3, cases, b).

        Source: J. S. Przemieniecki, Theory of Matrix Structural Analysis, 1968, chapter 5.
        """
        half = np.sqrt((self.half**2).sum(axis=0))
        force = half * load
        return force, cross_lanes(self.half / 3.0, force)


def straight_pipes(chord: Array, L: Array, E: Array, G: Array, A: Array, I: Array, J: Array, A_s: Array) -> Straight:
    """Return straight pipes in closed form.

    Args:
        chord: From i to j, shape (b, 3) [m].
        L: Lengths, shape (b,) [m].
        E: Modulus of elasticity, shape (b,) [Pa].
        G: Shear modulus, shape (b,) [Pa].
        A: Metal area, shape (b,) [m2].
        I: Moment of inertia, shape (b,) [m4].
        J: Torsion constant, shape (b,) [m4].
        A_s: Area in shear, shape (b,) [m2].
    """
    way = np.ascontiguousarray(chord.T)
    phi = shear_parameter(E, I, G, A_s, L)
    bending = E * I / L
    return Straight(way / L, 0.5 * way, E * A / L, 12.0 * bending / (L**2 * (1.0 + phi)), bending, G * J / L)


def straight_mass(x: Array, L: Array, mass: Array) -> Array:
    """Return consistent mass matrices of straight members without rotary inertia of the section.

    Args:
        x: Unit axes from i to j, shape (m, 3).
        L: Lengths, shape (m,) [m].
        mass: Mass per length, shape (m,) [kg/m].

    Returns:
        Shape (m, 12, 12), symmetric.

    Source: J. S. Przemieniecki, Theory of Matrix Structural Analysis, 1968, chapter 11 (beam without shear).
    """
    total = mass * L
    along = x[:, :, None] * x[:, None, :]
    across = np.eye(3) - along
    cross = cross_matrix(x)

    def block(axial: float, lateral: float, length_power: int) -> Array:
        scale = (total * L**length_power)[:, None, None]
        return scale * (axial * along + lateral * across)

    def arm(factor: float) -> Array:
        return (factor * total * L)[:, None, None] * cross

    out = np.zeros((len(L), 12, 12))
    out[:, 0:3, 0:3] = out[:, 6:9, 6:9] = block(1.0 / 3.0, 156.0 / 420.0, 0)
    out[:, 0:3, 6:9] = out[:, 6:9, 0:3] = block(1.0 / 6.0, 54.0 / 420.0, 0)
    out[:, 3:6, 3:6] = out[:, 9:12, 9:12] = block(0.0, 4.0 / 420.0, 2)
    out[:, 3:6, 9:12] = out[:, 9:12, 3:6] = block(0.0, -3.0 / 420.0, 2)
    out[:, 0:3, 3:6], out[:, 3:6, 0:3] = arm(-22.0 / 420.0), arm(22.0 / 420.0)
    out[:, 6:9, 9:12], out[:, 9:12, 6:9] = arm(22.0 / 420.0), arm(-22.0 / 420.0)
    out[:, 0:3, 9:12], out[:, 9:12, 0:3] = arm(13.0 / 420.0), arm(-13.0 / 420.0)
    out[:, 6:9, 3:6], out[:, 3:6, 6:9] = arm(-13.0 / 420.0), arm(13.0 / 420.0)
    return out


def spring_stiffness(arm_i: Array, arm_j: Array, axes: Array, stiffness: Array) -> tuple[Array, Array]:
    """Return stiffness of six-freedom springs in global axes and the matrix that gives their deformation.

    The spring acts between the two nodes at one point; rigid arms carry the movement of each node to that point, so
    that forces and moments balance also when the nodes do not coincide.

    Args:
        arm_i: From node i to the point, shape (s, 3) [m].
        arm_j: From node j to the point, shape (s, 3) [m].
        axes: Rows are local axes, shape (s, 3, 3).
        stiffness: Local stiffness, shape (s, 6, 6).

    Returns:
        Stiffness (s, 12, 12) and deformation matrix (s, 6, 12): local movement of j relative to i.
    """
    b = np.zeros((len(axes), 6, 12))
    b[:, 0:3, 0:3] = b[:, 3:6, 3:6] = -axes
    b[:, 0:3, 6:9] = b[:, 3:6, 9:12] = axes
    b[:, 0:3, 3:6] = axes @ cross_matrix(arm_i)
    b[:, 0:3, 9:12] = -axes @ cross_matrix(arm_j)
    return b.transpose(0, 2, 1) @ stiffness @ b, b
