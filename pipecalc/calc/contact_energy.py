"""A start for Newton's method where it does not settle by itself: friction limits held, the rest is a convex problem.

With the limits of friction held, forces at supports derive from a convex energy of the movements: half of stiffness
times movement squared, less the work of the loads, plus the energy of supports. Its minimum is found from anywhere
by Newton's method with an exact search along each step. The limits are then renewed from the normal forces found.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.linalg import LinAlgError, cho_factor, cho_solve

from pipecalc.calc.frame import Array, Index, Mask

_RIGID = 1e4  # stiffness of rigid supports, as multiple of that of the frame, in this start only
_SOFT = 1e-11
_ROUNDS = 60
_SECANTS = 12
_SEARCHED = 0.01
_POLISHINGS = 12
_DIVERGED = 1e3
_POLISHED = 1e-12


@dataclass(frozen=True, slots=True, eq=False)
class EnergyProblem:
    """Frame and supports of one case in the freedoms of the kept nodes.

    Attributes:
        stiffness: Condensed stiffness of the frame, shape (d, d).
        load: Load on its freedoms, shape (d,).
        node: Place of the node of each row among the kept nodes; normals first, then pairs of tangents, shape (R,).
        unit: Direction of each row in node axes, shape (R, 3).
        offset: What to add for the position relative to the ground, shape (R,) [m].
        lower: Lower end of free travel, shape (c,) [m].
        upper: Upper end, shape (c,) [m].
        normal: Stiffness of normals, zero where absent, shape (c,) [N/m].
        rate: Rate of springs, shape (c,) [N/m].
        preload: Force of springs at position zero, shape (c,) [N].
        tangential: Sticking stiffness, second column zero for friction along a line, shape (f, 2) [N/m].
        anchor: Positions of zero friction, shape (f, 2) [m].
        limit: Limits of friction, shape (f,) [N].
        rubbing: Contacts with friction, shape (f,).
    """

    stiffness: Array
    load: Array
    node: Index
    unit: Array
    offset: Array
    lower: Array
    upper: Array
    normal: Array
    rate: Array
    preload: Array
    tangential: Array
    anchor: Array
    limit: Array
    rubbing: Index


def finite(stiffness: Array, auxiliary: Array) -> Array:
    """Return stiffness with rigid ones replaced by very stiff ones."""
    return np.where(np.isinf(stiffness), _RIGID * auxiliary, stiffness)


def positions(problem: EnergyProblem, u: Array) -> Array:
    """Return movements of all rows, shape (R,), from movements of the freedoms."""
    return np.asarray(np.einsum("ri,ri->r", problem.unit, u.reshape(-1, 3)[problem.node]))


def _gathered(problem: EnergyProblem, r: Array) -> Array:
    """Forces of rows summed on the freedoms, shape (d,)."""
    out = np.zeros((len(problem.load) // 3, 3))
    np.add.at(out, problem.node, r[:, None] * problem.unit)
    return out.reshape(-1)


def forces(problem: EnergyProblem, w: Array) -> Array:
    """Return the forces of all rows at positions `w`, shape (R,)."""
    c = len(problem.lower)
    below, above = np.minimum(w[:c] - problem.lower, 0.0), np.maximum(w[:c] - problem.upper, 0.0)
    r = np.empty_like(w)
    r[:c] = -problem.normal * (below + above) + problem.preload - problem.rate * w[:c]
    r[c:] = _friction(problem, w)[0].reshape(-1)
    return r


def _friction(problem: EnergyProblem, w: Array) -> tuple[Array, Array, Array]:
    """Friction, its untouched trial value and the share of the trial that the limit lets through."""
    trial = -problem.tangential * (w[len(problem.lower) :].reshape(-1, 2) - problem.anchor)
    size = np.sqrt(trial[:, 0] ** 2 + trial[:, 1] ** 2)
    share = np.minimum(1.0, problem.limit / np.where(size > 0.0, size, 1.0))
    return share[:, None] * trial, trial, share


def _curvature(problem: EnergyProblem, w: Array, mu: Array | None = None) -> Array:
    """Stiffness of frame and supports at positions `w`, shape (d, d); with `mu` the limits follow the normals."""
    c, unit = len(problem.lower), problem.unit
    touching: Mask = (w[:c] < problem.lower) | (w[:c] > problem.upper)
    rate = np.where(touching, problem.normal, 0.0)
    acting = (rate + problem.rate)[:, None] * unit[:c]
    _, trial, share = _friction(problem, w)
    size = np.linalg.norm(trial, axis=1, keepdims=True)
    way = trial / np.where(size > 0.0, size, 1.0)
    slides = (share < 1.0)[:, None]
    along = np.where(slides, way, 0.0)
    pairs = unit[c:].reshape(-1, 2, 3) * problem.tangential[:, :, None]
    pull = np.einsum("fi,fid->fd", along, pairs)
    rows = share[:, None, None] * (pairs - along[:, :, None] * pull[:, None, :])
    if mu is not None:
        side = np.where(w[problem.rubbing] < problem.lower[problem.rubbing], 1.0, -1.0)
        tied = (mu * side * rate[problem.rubbing])[:, None] * unit[problem.rubbing]
        rows = rows + along[:, :, None] * tied[:, None, :]
    acting = np.concatenate([acting, rows.reshape(-1, 3)])
    blocks = np.zeros((len(problem.load) // 3, 3, 3))
    np.add.at(blocks, problem.node, unit[:, :, None] * acting[:, None, :])
    out = problem.stiffness.copy()
    q = np.arange(len(blocks))
    out.reshape(len(q), 3, len(q), 3).transpose(0, 2, 1, 3)[q, q] += blocks
    return out


def polish(problem: EnergyProblem, mu: Array, u: Array) -> tuple[Array, EnergyProblem, bool]:
    """Newton's method with the friction limits following the normal forces, from close by.

    Args:
        problem: The problem; its limits are where it starts.
        mu: Coefficients of friction, shape (f,).
        u: Movements to start from, shape (d,).

    Returns:
        Movements, the problem with the limits found, and whether it settled.
    """
    size = max(float(np.abs(problem.load).max(initial=0.0)), float(np.abs(problem.stiffness @ u).max(initial=0.0)))
    c = len(problem.lower)
    first = 0.0
    for turn in range(_POLISHINGS):
        w = positions(problem, u) + problem.offset
        over = np.minimum(w[:c] - problem.lower, 0.0) + np.maximum(w[:c] - problem.upper, 0.0)
        problem = replace(problem, limit=mu * np.abs(problem.normal * over)[problem.rubbing])
        pull = problem.load + _gathered(problem, forces(problem, w)) - problem.stiffness @ u
        left = float(np.abs(pull).max(initial=0.0))
        if left <= _POLISHED * size:
            return u, problem, True
        first = left if turn == 0 else first
        if left > _DIVERGED * max(first, 1e-3 * size):
            break
        try:
            u = u + np.linalg.solve(_curvature(problem, w, mu), pull)
        except LinAlgError:
            break
    return u, problem, False


def minimise(problem: EnergyProblem, u: Array, tolerance: float) -> Array:
    """Return the movements of least energy, friction limits held.

    Args:
        problem: The problem.
        u: Movements to start from, shape (d,).
        tolerance: Imbalance left, relative to the largest force.

    Returns:
        Movements, shape (d,).
    """
    soft = _SOFT * np.diag(np.diag(problem.stiffness))
    size = max(float(np.abs(problem.load).max(initial=0.0)), float(np.abs(problem.stiffness @ u).max(initial=0.0)))
    for _ in range(_ROUNDS):
        w = positions(problem, u) + problem.offset
        pull = problem.load + _gathered(problem, forces(problem, w)) - problem.stiffness @ u
        if np.abs(pull).max(initial=0.0) <= tolerance * size:
            break
        try:
            step = cho_solve(cho_factor(_curvature(problem, w) + soft, lower=True), pull)
        except LinAlgError:
            break
        u = u + _search(problem, u, w, step) * step
    return u


def _search(problem: EnergyProblem, u: Array, w: Array, step: Array) -> float:
    """Length of step at which the energy stops falling; its slope grows steadily because the energy is convex."""
    along = positions(problem, step)
    flat = float(step @ (problem.load - problem.stiffness @ u))
    bend = float(step @ problem.stiffness @ step)

    def falls(t: float) -> float:
        return flat - t * bend + float(along @ forces(problem, w + t * along))

    low, at_low, high, at_high = 0.0, falls(0.0), 1.0, falls(1.0)
    enough = _SEARCHED * abs(at_low)
    if abs(at_high) <= enough:
        return 1.0
    if at_high > 0.0:
        low, at_low, high = 1.0, at_high, 4.0
        at_high = falls(high)
    if at_high > 0.0:
        return high
    for _ in range(_SECANTS):
        middle = high - at_high * (high - low) / (at_high - at_low)
        slope = falls(middle)
        if abs(slope) <= enough:
            return middle
        # false position with halving of the end that stays (Illinois), which cannot stall on a kinked slope
        if slope > 0.0:
            low, at_low, at_high = middle, slope, 0.5 * at_high
        else:
            high, at_high, at_low = middle, slope, 0.5 * at_low
    return 0.5 * (low + high)
