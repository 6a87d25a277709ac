"""Section forces of members in their own axes: at both ends and anywhere between.

Section forces are what the part beyond (toward j) does to the part before: tension, and the moments with their
right-hand rule, positive on the face that looks toward j.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from pipecalc.calc.bend_element import arc_axes, arc_load_arm, arc_point, arc_section
from pipecalc.calc.elements import BLOCK, chords
from pipecalc.calc.frame import Array, Frame, Loads, by_freedom, by_row
from pipecalc.calc.pipe_element import cross_lanes

AXIAL, SHEAR_Y, SHEAR_Z, TORSION, MOMENT_Y, MOMENT_Z = range(6)
# In a bend y points to the centre of curvature and z is the axis of turning.
OUT_OF_PLANE, IN_PLANE = MOMENT_Y, MOMENT_Z

_UPRIGHT = 1e-3


def straight_axes(x: Array) -> Array:
    """Return local axes (rows) of straight pipes: x along, z upward, y level; z East for risers.

    Args:
        x: Unit axes from i to j, shape (m, 3).

    Returns:
        Shape (m, 3, 3).
    """
    along = np.ascontiguousarray(x.T)
    riser = np.hypot(along[0], along[1]) < _UPRIGHT
    nil = np.zeros(len(x))
    # up x x, for risers east x x
    y = np.where(riser, [nil, -along[2], along[1]], [-along[1], along[0], nil])
    y /= np.sqrt((y**2).sum(axis=0))
    out = np.empty((3, 3, len(x)))
    out[0], out[1], out[2] = along, y, cross_lanes(along, y[:, None])[:, 0]
    return by_row(out)


def section_axes(frame: Frame, fraction: npt.ArrayLike) -> Array:
    """Return local axes (rows) of members at a fraction of their length from i.

    Args:
        frame: The frame.
        fraction: 0 at i, 1 at j; scalar or shape (m,).

    Returns:
        Shape (m, 3, 3).
    """
    t = np.broadcast_to(np.asarray(fraction, float), (len(frame.ends),))
    chord = chords(frame).T
    axes = straight_axes((chord / np.sqrt((chord**2).sum(axis=0))).T)
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
    axes, actions = by_freedom(section_axes(frame, t)), by_freedom(end_actions)
    out = np.empty((6, *actions.shape[1:]))
    at_i, at_j = bool((t == 0.0).all()), bool((t == 1.0).all())
    if at_i or at_j:
        # what an end feels; at i the pipe before it is on the other side
        turned, sign = (actions[0:6], -1.0) if at_i else (actions[6:12], 1.0)
        for some in _blocks(len(t)):
            _turn(axes[:, :, some], turned[0:3, :, some], out[0:3, :, some], sign)
            _turn(axes[:, :, some], turned[3:6, :, some], out[3:6, :, some], sign)
        return by_row(out)
    reach, arm = (np.ascontiguousarray(v.T) for v in _beyond(frame, t))
    left = (1.0 - t) * frame.length
    for some in _blocks(len(t)):
        w, force, turn = by_freedom(loads.distributed[some]), actions[6:9, :, some], axes[:, :, some]
        _turn(turn, force + left[some] * w, out[0:3, :, some])
        moment = actions[9:12, :, some] + cross_lanes(reach[:, some], force) + cross_lanes(arm[:, some], w)
        _turn(turn, moment, out[3:6, :, some])
    return by_row(out)


def _blocks(count: int) -> list[slice]:
    """Some members at a time, so that they stay in the cache."""
    return [slice(first, min(first + BLOCK, count)) for first in range(0, count, BLOCK)]


def _turn(axes: Array, vector: Array, out: Array, sign: float = 1.0) -> None:
    """Write vectors (3, cases, m) in local axes (3, 3, m), times the sign."""
    for row in range(3):
        part = sign * axes[row]
        np.multiply(part[0], vector[0], out=out[row])
        out[row] += part[1] * vector[1]
        out[row] += part[2] * vector[2]


def _beyond(frame: Frame, t: Array) -> tuple[Array, Array]:
    """From the section to j [m], and first moment of the centreline beyond about the section [m2]."""
    chord = chords(frame)
    reach = (1.0 - t)[:, None] * chord
    arm = (0.5 * (1.0 - t) * frame.length)[:, None] * reach
    bend = np.flatnonzero(frame.is_bend)
    if len(bend):
        at_j = arc_axes(frame.nodes[frame.ends[bend, 1]] - frame.centre[bend], frame.normal[bend])
        R, theta = frame.radius[bend], frame.angle[bend] * (1.0 - t[bend])
        reach[bend] = -np.einsum("bi,bij->bj", arc_point(R, theta), at_j)
        arm[bend] = np.einsum("bi,bij->bj", arc_load_arm(R, theta), at_j)
    return reach, arm
