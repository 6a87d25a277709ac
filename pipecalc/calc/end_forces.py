"""Section forces of members in their own axes: at both ends and anywhere between.

Section forces are what the part beyond (toward j) does to the part before: tension, and the moments with their
right-hand rule, positive on the face that looks toward j.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from pipecalc.calc.bend_element import arc_axes, arc_load_arm, arc_point, arc_section
from pipecalc.calc.frame import Array, Frame, Loads
from pipecalc.calc.pipe_element import cross_columns, cross_matrix

AXIAL, SHEAR_Y, SHEAR_Z, TORSION, MOMENT_Y, MOMENT_Z = range(6)
# In a bend y points to the centre of curvature and z is the axis of turning.
OUT_OF_PLANE, IN_PLANE = MOMENT_Y, MOMENT_Z

_UPRIGHT = 1e-3
_BLOCK = 512


def straight_axes(x: Array) -> Array:
    """Return local axes (rows) of straight pipes: x along, z upward, y level; z East for risers.

    Args:
        x: Unit axes from i to j, shape (m, 3).

    Returns:
        Shape (m, 3, 3).
    """
    up, east = np.array([0.0, 0.0, 1.0]), np.array([1.0, 0.0, 0.0])
    riser = np.hypot(x[:, 0], x[:, 1]) < _UPRIGHT
    seed = np.where(riser[:, None], east, up)
    y = cross_columns(seed, x[:, :, None])[:, :, 0]
    y /= np.linalg.norm(y, axis=1, keepdims=True)
    return np.stack([x, y, cross_columns(x, y[:, :, None])[:, :, 0]], axis=1)


def section_axes(frame: Frame, fraction: npt.ArrayLike) -> Array:
    """Return local axes (rows) of members at a fraction of their length from i.

    Args:
        frame: The frame.
        fraction: 0 at i, 1 at j; scalar or shape (m,).

    Returns:
        Shape (m, 3, 3).
    """
    t = np.broadcast_to(np.asarray(fraction, float), (len(frame.ends),))
    chord = frame.nodes[frame.ends[:, 1]] - frame.nodes[frame.ends[:, 0]]
    axes = straight_axes(chord / np.linalg.norm(chord, axis=1, keepdims=True))
    bend = np.flatnonzero(frame.is_bend)
    if len(bend):
        at_j = arc_axes(frame.nodes[frame.ends[bend, 1]] - frame.centre[bend], frame.normal[bend])
        axes[bend] = arc_section(frame.angle[bend] * (1.0 - t[bend])) @ at_j
    return axes


def section_forces(frame: Frame, end_actions: Array, loads: Loads, fraction: npt.ArrayLike) -> Array:
    """Return section forces in local axes at a fraction of the length of each member.

    Args:
        frame: The frame.
        end_actions: Forces and moments on member ends, global axes, shape (m, 12, cases) [N, N·m].
        loads: The loads that belong to them.
        fraction: 0 at i, 1 at j; scalar or shape (m,).

    Returns:
        Shape (m, 6, cases): axial (tension positive), shear y, shear z, torsion, moment about y, moment about z. For
        bends the moment about y is out of plane, about z in plane (positive when it closes the bend's far end toward
        the centre).
    """
    t = np.broadcast_to(np.asarray(fraction, float), (len(frame.ends),))
    axes = section_axes(frame, t)
    reach, arm = _beyond(frame, t)
    left = ((1.0 - t) * frame.length)[:, None, None]
    out = np.empty((len(axes), 6, end_actions.shape[2]))
    # some members at a time, so that they stay in the cache
    for first in range(0, len(axes), _BLOCK):
        some = slice(first, first + _BLOCK)
        w, at_j, turn = loads.distributed[some], end_actions[some, 6:9], axes[some]
        np.matmul(turn, at_j + left[some] * w, out=out[some, 0:3])
        moment = end_actions[some, 9:12] + cross_matrix(reach[some]) @ at_j + cross_matrix(arm[some]) @ w
        np.matmul(turn, moment, out=out[some, 3:6])
    return out


def _beyond(frame: Frame, t: Array) -> tuple[Array, Array]:
    """From the section to j [m], and first moment of the centreline beyond about the section [m2]."""
    chord = frame.nodes[frame.ends[:, 1]] - frame.nodes[frame.ends[:, 0]]
    reach = (1.0 - t)[:, None] * chord
    arm = (0.5 * (1.0 - t) * frame.length)[:, None] * reach
    bend = np.flatnonzero(frame.is_bend)
    if len(bend):
        at_j = arc_axes(frame.nodes[frame.ends[bend, 1]] - frame.centre[bend], frame.normal[bend])
        R, theta = frame.radius[bend], frame.angle[bend] * (1.0 - t[bend])
        reach[bend] = -np.einsum("bi,bij->bj", arc_point(R, theta), at_j)
        arm[bend] = np.einsum("bi,bij->bj", arc_load_arm(R, theta), at_j)
    return reach, arm
