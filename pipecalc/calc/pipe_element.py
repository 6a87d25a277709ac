"""Straight pipe as a three-dimensional beam with shear deformation, in global axes, all members at once."""

from __future__ import annotations

import numpy as np

from pipecalc.calc.frame import Array


def cross_matrix(v: Array) -> Array:
    """Return the matrices that form the vector product v x (.), shape (..., 3, 3) from (..., 3)."""
    out = np.zeros((*v.shape[:-1], 3, 3))
    out[..., 0, 1], out[..., 0, 2] = -v[..., 2], v[..., 1]
    out[..., 1, 0], out[..., 1, 2] = v[..., 2], -v[..., 0]
    out[..., 2, 0], out[..., 2, 1] = -v[..., 1], v[..., 0]
    return out


def cross_columns(arm: Array, force: Array) -> Array:
    """Return arm x force for forces of several cases, shape (m, 3, cases) from (m, 3) and (m, 3, cases)."""
    x, y, z = arm[:, 0, None], arm[:, 1, None], arm[:, 2, None]
    out = np.empty_like(force)
    out[:, 0] = y * force[:, 2] - z * force[:, 1]
    out[:, 1] = z * force[:, 0] - x * force[:, 2]
    out[:, 2] = x * force[:, 1] - y * force[:, 0]
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


def straight_stiffness(x: Array, L: Array, E: Array, G: Array, A: Array, I: Array, J: Array, A_s: Array) -> Array:
    """Return stiffness matrices of straight pipes in global axes.

    A round section has no preferred plane, so each 3 x 3 block is a sum of the projections along and across the axis
    and of the vector product with the axis; no local triad is needed.

    Args:
        x: Unit axes from i to j, shape (m, 3).
        L: Lengths, shape (m,) [m].
        E: Modulus of elasticity, shape (m,) [Pa].
        G: Shear modulus, shape (m,) [Pa].
        A: Metal area, shape (m,) [m2].
        I: Moment of inertia, shape (m,) [m4].
        J: Torsion constant, shape (m,) [m4].
        A_s: Area in shear, shape (m,) [m2].

    Returns:
        Shape (m, 12, 12), symmetric.

    Source: J. S. Przemieniecki, Theory of Matrix Structural Analysis, 1968, eq. (5.116).
    """
    phi = shear_parameter(E, I, G, A_s, L)
    b = E * I / (L * (1.0 + phi))
    along = x[:, :, None] * x[:, None, :]
    across = np.eye(3) - along
    cross = cross_matrix(x)

    def block(axial: Array, lateral: Array) -> Array:
        return axial[:, None, None] * along + lateral[:, None, None] * across

    push = block(E * A / L, 12.0 * b / L**2)
    tilt = (6.0 * b / L)[:, None, None] * cross
    torsion = G * J / L
    near, far = block(torsion, (4.0 + phi) * b), block(-torsion, (2.0 - phi) * b)
    k = np.empty((len(L), 12, 12))
    k[:, 0:3, 0:3] = k[:, 6:9, 6:9] = push
    k[:, 0:3, 6:9] = k[:, 6:9, 0:3] = -push
    k[:, 0:3, 3:6] = k[:, 0:3, 9:12] = k[:, 3:6, 6:9] = k[:, 9:12, 6:9] = -tilt
    k[:, 3:6, 0:3] = k[:, 9:12, 0:3] = k[:, 6:9, 3:6] = k[:, 6:9, 9:12] = tilt
    k[:, 3:6, 3:6] = k[:, 9:12, 9:12] = near
    k[:, 3:6, 9:12] = k[:, 9:12, 3:6] = far
    return k


def straight_load(x: Array, L: Array) -> Array:
    """Return the end loads equivalent to a uniform load of 1 N/m along each global axis.

    The pair w*L/2, w*L**2/12 holds with and without shear deformation, because a uniform load on a uniform member is
    symmetric.

    Args:
        x: Unit axes from i to j, shape (m, 3).
        L: Lengths, shape (m,) [m].

    Returns:
        Shape (m, 12, 3): multiply by the load per length in global axes.

    Source: J. S. Przemieniecki, Theory of Matrix Structural Analysis, 1968, chapter 5.
    """
    q = np.zeros((len(L), 12, 3))
    half = 0.5 * L[:, None, None] * np.eye(3)
    twelfth = (L**2 / 12.0)[:, None, None] * cross_matrix(x)
    q[:, 0:3], q[:, 6:9] = half, half
    q[:, 3:6], q[:, 9:12] = twelfth, -twelfth
    return q


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
