"""Bend or elbow as one circular beam: exact flexibility along the arc, any angle, all bends at once.

Local axes at the end B: x along the tangent leaving the bend, y toward the centre of curvature, z = x cross y, which
is the axis about which the bend turns. A section of the arc is named by the angle theta measured back from B.
"""

from __future__ import annotations

import numpy as np

from pipecalc.calc.frame import Array
from pipecalc.calc.pipe_element import cross_matrix

_GAUSS = np.polynomial.legendre.leggauss(24)  # integrates the trigonometric terms to rounding up to a full circle


def bend_flexibility(
    R: Array, phi: Array, E: Array, G: Array, A: Array, I: Array, J: Array, A_s: Array, k_i: Array, k_o: Array
) -> Array:
    """Return the flexibility of end B of a bend held at A, local axes at B.

    The flexibility factors multiply bending only, not torsion, shear or axial deformation.

    Args:
        R: Bend radius, shape (b,) [m].
        phi: Angle of the bend, shape (b,) [rad].
        E: Modulus of elasticity, shape (b,) [Pa].
        G: Shear modulus, shape (b,) [Pa].
        A: Metal area, shape (b,) [m2].
        I: Moment of inertia, shape (b,) [m4].
        J: Torsion constant, shape (b,) [m4].
        A_s: Area in shear, shape (b,) [m2].
        k_i: Flexibility factor in the plane, shape (b,).
        k_o: Flexibility factor out of the plane, shape (b,).

    Returns:
        Shape (b, 6, 6): movements (x, y, z, about x, y, z) from forces and moments in the same order [m/N ...].

    Valid for: angles above zero up to a full circle.

    Source: virtual work on a circular arc (S. Timoshenko, Strength of Materials, Part I, 3rd ed., 1955, chapter XII).
    """
    sin, cos = np.sin(phi), np.cos(phi)
    a, s, t = R / (E * A), R / (G * A_s), R / (G * J)
    b_i, b_o = k_i * R / (E * I), k_o * R / (E * I)
    C2, S2 = phi / 2.0 + sin * cos / 2.0, phi / 2.0 - sin * cos / 2.0
    CS = sin**2 / 2.0
    Q = 1.5 * phi - 2.0 * sin + sin * cos / 2.0
    V, W = (1.0 - cos) - CS, sin - C2
    f = np.zeros((len(R), 6, 6))
    f[:, 0, 0] = a * C2 + s * S2 + b_i * R**2 * Q
    f[:, 1, 1] = a * S2 + s * C2 + b_i * R**2 * S2
    f[:, 5, 5] = b_i * phi
    f[:, 2, 2] = s * phi + t * R**2 * Q + b_o * R**2 * S2
    f[:, 3, 3] = t * C2 + b_o * S2
    f[:, 4, 4] = t * S2 + b_o * C2
    f[:, 0, 1] = f[:, 1, 0] = (s - a) * CS + b_i * R**2 * V
    f[:, 0, 5] = f[:, 5, 0] = b_i * R * (phi - sin)
    f[:, 1, 5] = f[:, 5, 1] = b_i * R * (1.0 - cos)
    f[:, 3, 4] = f[:, 4, 3] = (b_o - t) * CS
    f[:, 2, 3] = f[:, 3, 2] = t * R * W - b_o * R * S2
    f[:, 2, 4] = f[:, 4, 2] = -t * R * V - b_o * R * CS
    return f


def arc_axes(radial: Array, normal: Array) -> Array:
    """Return local axes (rows x, y, z) at points of bends.

    Args:
        radial: From the centre of curvature to the point, shape (b, 3) [m].
        normal: Unit axis about which the bend turns, shape (b, 3).

    Returns:
        Shape (b, 3, 3).
    """
    out = radial / np.linalg.norm(radial, axis=1, keepdims=True)
    return np.stack([np.cross(normal, out), -out, normal], axis=1)


def _six(axes: Array) -> Array:
    out = np.zeros((len(axes), 6, 6))
    out[:, 0:3, 0:3] = out[:, 3:6, 3:6] = axes
    return out


def bend_stiffness(flexibility: Array, axes: Array, chord: Array) -> Array:
    """Return stiffness matrices of bends in global axes.

    Args:
        flexibility: Flexibility of B held at A, local axes at B, shape (b, 6, 6).
        axes: Local axes at B, shape (b, 3, 3).
        chord: From A to B, global axes, shape (b, 3) [m].

    Returns:
        Shape (b, 12, 12), symmetric, freedoms of A first.
    """
    turn = _six(axes)
    k_bb = turn.transpose(0, 2, 1) @ np.linalg.inv(flexibility) @ turn
    k_bb = 0.5 * (k_bb + k_bb.transpose(0, 2, 1))
    carry = np.zeros_like(k_bb)
    carry[:] = np.eye(6)
    carry[:, 3:6, 0:3] = cross_matrix(chord)
    k_ab = -carry @ k_bb
    k = np.empty((len(chord), 12, 12))
    k[:, 6:, 6:], k[:, :6, 6:], k[:, 6:, :6] = k_bb, k_ab, k_ab.transpose(0, 2, 1)
    k[:, :6, :6] = -k_ab @ carry.transpose(0, 2, 1)
    return k


def arc_point(R: Array, theta: Array) -> Array:
    """Return the point at an angle back from B, local axes and origin at B, shape (..., 3) [m]."""
    return np.stack([-R * np.sin(theta), R * (1.0 - np.cos(theta)), 0.0 * theta * R], axis=-1)


def arc_section(theta: Array) -> Array:
    """Return the section axes (rows) at an angle back from B, in local axes at B, shape (..., 3, 3)."""
    sin, cos, nil = np.sin(theta), np.cos(theta), np.zeros_like(theta)
    rows = [[cos, -sin, nil], [sin, cos, nil], [nil, nil, nil + 1.0]]
    return np.stack([np.stack(row, axis=-1) for row in rows], axis=-2)


def arc_load_arm(R: Array, theta: Array) -> Array:
    """Return the first moment of the arc between B and the section about the section.

    Args:
        R: Bend radius [m].
        theta: Angle of the section back from B [rad].

    Returns:
        Shape (..., 3) [m2], local axes at B: its vector product with a uniform load is the moment of that load about
        the section.
    """
    swept = np.stack([-(1.0 - np.cos(theta)), theta - np.sin(theta), 0.0 * theta], axis=-1)
    return (R**2)[..., None] * swept - (R * theta)[..., None] * arc_point(R, theta)


def _section_of_end(R: Array, theta: Array) -> Array:
    """Section forces from unit forces and moments at B, shape (..., 6, 6)."""
    section = arc_section(theta)
    out = np.zeros((*theta.shape, 6, 6))
    out[..., 0:3, 0:3] = out[..., 3:6, 3:6] = section
    out[..., 3:6, 0:3] = -section @ cross_matrix(arc_point(R, theta))
    return out


def _section_of_load(R: Array, theta: Array) -> Array:
    """Section forces from a unit uniform load along each local axis at B, shape (..., 6, 3)."""
    section = arc_section(theta)
    out = np.empty((*theta.shape, 6, 3))
    out[..., 0:3, :] = (R * theta)[..., None, None] * section
    out[..., 3:6, :] = section @ cross_matrix(arc_load_arm(R, theta))
    return out


def bend_load_movement(
    R: Array, phi: Array, E: Array, G: Array, A: Array, I: Array, J: Array, A_s: Array, k_i: Array, k_o: Array
) -> Array:
    """Return the movement of end B, held at A, under a uniform load of 1 N/m along each local axis at B.

    Virtual work along the arc, integrated by Gauss points to rounding.

    Args:
        R: Bend radius, shape (b,) [m].
        phi: Angle of the bend, shape (b,) [rad].
        E: Modulus of elasticity, shape (b,) [Pa].
        G: Shear modulus, shape (b,) [Pa].
        A: Metal area, shape (b,) [m2].
        I: Moment of inertia, shape (b,) [m4].
        J: Torsion constant, shape (b,) [m4].
        A_s: Area in shear, shape (b,) [m2].
        k_i: Flexibility factor in the plane, shape (b,).
        k_o: Flexibility factor out of the plane, shape (b,).

    Returns:
        Shape (b, 6, 3).
    """
    points, weights = _GAUSS
    theta = 0.5 * phi[:, None] * (points + 1.0)
    step = 0.5 * (phi * R)[:, None] * weights
    radius = np.broadcast_to(R[:, None], theta.shape)
    shear = 1.0 / (G * A_s)
    compliance = np.stack([1.0 / (E * A), shear, shear, 1.0 / (G * J), k_o / (E * I), k_i / (E * I)], axis=-1)
    weighted = (step[:, :, None] * compliance[:, None, :])[..., None] * _section_of_load(radius, theta)
    end = _section_of_end(radius, theta)
    b = len(R)
    return end.reshape(b, -1, 6).transpose(0, 2, 1) @ weighted.reshape(b, -1, 3)


def bend_load(flexibility: Array, movement: Array, axes: Array, chord: Array, R: Array, phi: Array) -> Array:
    """Return the end loads equivalent to a uniform load of 1 N/m along each global axis.

    Args:
        flexibility: Flexibility of B held at A, local axes at B, shape (b, 6, 6).
        movement: Movement of B under unit loads, local axes at B, shape (b, 6, 3).
        axes: Local axes at B, shape (b, 3, 3).
        chord: From A to B, global axes, shape (b, 3) [m].
        R: Bend radius, shape (b,) [m].
        phi: Angle of the bend, shape (b,) [rad].

    Returns:
        Shape (b, 12, 3): multiply by the load per length in global axes.
    """
    back = axes.transpose(0, 2, 1)
    at_b = _six(axes).transpose(0, 2, 1) @ np.linalg.solve(flexibility, movement) @ axes
    arm = back @ cross_matrix(arc_load_arm(R, phi)) @ axes
    q = np.empty((len(R), 12, 3))
    q[:, 6:] = at_b
    q[:, 0:3] = (R * phi)[:, None, None] * np.eye(3) - at_b[:, 0:3]
    q[:, 3:6] = arm - at_b[:, 3:6] - cross_matrix(chord) @ at_b[:, 0:3]
    return q
