"""A start for Newton's method where it does not settle by itself: friction limits held, the rest is a convex problem.

With the limits of friction held, forces at supports derive from a convex energy of the movements: half of stiffness
times movement squared, less the work of the loads, plus the energy of supports. Its minimum is found from anywhere
by Newton's method with an exact search along each step. The limits are then renewed from the normal forces found.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from scipy.linalg import LinAlgError

from pipecalc.calc.contact_flexibility import Band, Seats
from pipecalc.calc.frame import Array, Index, Mask

_RIGID = 1e4  # stiffness of rigid supports, as multiple of that of the frame, in this start only
_SOFT = 1e-11
_ROUNDS = 60
_SECANTS = 12
_FURTHEST = 4.0
_SEARCHED = 0.1
_POLISHINGS = 12
_DIVERGED = 30.0
_POLISHED = 1e-12
_TINY = 1e-300


@dataclass(frozen=True, slots=True, eq=False)
class EnergyProblem:
    """Frame and supports of some cases (leading axis) in the freedoms of the kept nodes.

    Attributes:
        band: Condensed stiffness of the frame.
        seats: Where rows act; normals first, then pairs of tangents.
        load: Load on its freedoms, shape (cases, 6 q).
        offset: What to add for the position relative to the ground, shape (cases, R) [m].
        lower: Lower end of free travel, shape (c,) [m].
        upper: Upper end, shape (c,) [m].
        normal: Stiffness of normals, zero where absent, shape (cases, c) [N/m].
        rate: Rate of springs, shape (cases, c) [N/m].
        preload: Force of springs at position zero, shape (cases, c) [N].
        tangential: Sticking stiffness, second column zero for friction along a line, shape (f, 2) [N/m].
        anchor: Positions of zero friction, shape (cases, f, 2) [m].
        limit: Limits of friction, shape (cases, f) [N].
        mu: Coefficients of friction, shape (cases, f).
        rubbing: Contacts with friction, shape (f,).
    """

    band: Band
    seats: Seats
    load: Array
    offset: Array
    lower: Array
    upper: Array
    normal: Array
    rate: Array
    preload: Array
    tangential: Array
    anchor: Array
    limit: Array
    mu: Array
    rubbing: Index

    def pick(self, cases: Index | Mask) -> EnergyProblem:
        """Return the same for some of the cases."""
        names = ("load", "offset", "normal", "rate", "preload", "anchor", "limit", "mu")
        part: dict[str, Any] = {name: getattr(self, name)[cases] for name in names}
        return replace(self, **part)


def finite(stiffness: Array, auxiliary: Array) -> Array:
    """Return stiffness with rigid ones replaced by very stiff ones."""
    return np.where(np.isinf(stiffness), _RIGID * auxiliary, stiffness)


@dataclass(frozen=True, slots=True, eq=False)
class Forces:
    """Forces of rows at known positions, and what they come from.

    Attributes:
        r: Forces of all rows, shape (cases, R).
        over: How far beyond the free travel, signed, shape (cases, c) [m].
        trial: Friction without limit, shape (cases, f, 2).
        size: Its size, shape (cases, f).
        share: Part of it that the limit lets through, shape (cases, f).
    """

    r: Array
    over: Array
    trial: Array
    size: Array
    share: Array

    def pick(self, cases: Mask) -> Forces:
        """Return the same for some of the cases."""
        return Forces(self.r[cases], self.over[cases], self.trial[cases], self.size[cases], self.share[cases])


def forces(problem: EnergyProblem, w: Array, *, limits_follow: bool = False) -> Forces:
    """Return the forces of all rows at positions `w`, shape (cases, R).

    Args:
        problem: The problem.
        w: Positions, shape (cases, R) [m].
        limits_follow: Take the limits of friction from the normal forces instead of the limits held.
    """
    c = len(problem.lower)
    x = w[:, :c]
    over = x - np.minimum(np.maximum(x, problem.lower), problem.upper)
    push = problem.normal * over
    limit = problem.mu * np.abs(push[:, problem.rubbing]) if limits_follow else problem.limit
    r = np.empty_like(w)
    r[:, :c] = problem.preload - push - problem.rate * x
    trial = problem.tangential * (problem.anchor - w[:, c:].reshape(problem.anchor.shape))
    size = np.hypot(trial[:, :, 0], trial[:, :, 1])
    share = limit / np.maximum(np.maximum(size, limit), _TINY)
    r[:, c:] = (share[:, :, None] * trial).reshape(len(w), -1)
    return Forces(r, over, trial, size, share)


def _acting(problem: EnergyProblem, at: Forces, *, limits_follow: bool = False) -> Array:
    """How much the force of each row falls with the translations of its node, shape (cases, R, 3)."""
    c, unit = len(problem.lower), problem.seats.unit
    rate = np.where(at.over != 0.0, problem.normal, 0.0)
    out = np.empty((len(rate), *unit.shape))
    out[:, :c] = (rate + problem.rate)[:, :, None] * unit[:c]
    slides = at.share < 1.0
    along = np.where(slides, 1.0 / np.where(at.size > 0.0, at.size, 1.0), 0.0)[:, :, None] * at.trial
    pairs = unit[c:].reshape(-1, 2, 3) * problem.tangential[:, :, None]
    pull = along[:, :, :1] * pairs[:, 0] + along[:, :, 1:] * pairs[:, 1]
    rows = at.share[:, :, None, None] * (pairs - along[:, :, :, None] * pull[:, :, None, :])
    if limits_follow:
        rub = problem.rubbing
        tied = (problem.mu * rate[:, rub] * -np.sign(at.over[:, rub]))[:, :, None] * unit[rub]
        rows += along[:, :, :, None] * tied[:, :, None, :]
    out[:, c:] = rows.reshape(len(rows), -1, 3)
    return out


def _sizes(values: Array) -> Array:
    return np.asarray(np.abs(values).max(axis=1, initial=0.0))


def polish(problem: EnergyProblem, u: Array) -> tuple[Array, Array, Mask]:
    """Newton's method with the friction limits following the normal forces, from close by, all cases together.

    Args:
        problem: The problem.
        u: Movements to start from, shape (cases, 6 q).

    Returns:
        Movements, forces of rows, shape (cases, R), and which cases settled.
    """
    u, r, close = u.copy(), np.zeros(problem.offset.shape), np.zeros(len(u), bool)
    live, first = np.arange(len(u)), np.zeros(len(u))
    size = np.maximum(_sizes(problem.load), _sizes(problem.band.times(u)))
    for turn in range(_POLISHINGS):
        here = u[live]
        at = forces(problem, problem.seats.positions(here) + problem.offset, limits_follow=True)
        pull = problem.load + problem.seats.gathered(at.r, here.shape[1]) - problem.band.times(here)
        left = _sizes(pull)
        first = left if turn == 0 else first
        good = left <= _POLISHED * size
        close[live[good]], r[live[good]] = True, at.r[good]
        going = ~good & (left <= _DIVERGED * np.maximum(first, 1e-3 * size))
        if not going.all():
            live, first, size, pull = live[going], first[going], size[going], pull[going]
            problem, at = problem.pick(going), at.pick(going)
        if not len(live):
            break
        blocks = problem.seats.blocks(_acting(problem, at, limits_follow=True), pull.shape[1])
        for i, case in enumerate(live):
            # a singular case stays where it is and does not settle
            with suppress(LinAlgError):
                u[case] += problem.band.solve_skew(blocks[i], pull[i])
    return u, r, close


def minimise(problem: EnergyProblem, u: Array, tolerance: float) -> Array:
    """Return the movements of least energy, friction limits held, all cases together.

    Args:
        problem: The problem.
        u: Movements to start from, shape (cases, 6 q).
        tolerance: Imbalance left, relative to the largest force.

    Returns:
        Movements, shape (cases, 6 q).
    """
    found, live = u.copy(), np.arange(len(u))
    carried = problem.band.times(u)
    size = np.maximum(_sizes(problem.load), _sizes(carried))
    w = problem.seats.positions(u) + problem.offset
    at = forces(problem, w)
    stuck = np.zeros(len(u), bool)
    for _ in range(_ROUNDS):
        pull = problem.load + problem.seats.gathered(at.r, u.shape[1]) - carried
        going = (_sizes(pull) > tolerance * size) & ~stuck
        if not going.all():
            found[live] = u
            live, u, w, carried, size = live[going], u[going], w[going], carried[going], size[going]
            pull, stuck, problem, at = pull[going], stuck[going], problem.pick(going), at.pick(going)
        if not len(live):
            return found
        step = np.zeros_like(u)
        blocks = problem.seats.blocks(_acting(problem, at), u.shape[1])
        for i in range(len(live)):
            try:
                step[i] = problem.band.solve(blocks[i], pull[i], _SOFT)
            except LinAlgError:
                stuck[i] = True
        stiff, along = problem.band.times(step), problem.seats.positions(step)
        length, at = _search(problem, u, w, at, step, stiff, along)
        u, w, carried = (old + length[:, None] * way for old, way in ((u, step), (w, along), (carried, stiff)))
    found[live] = u
    return found


def _search(
    problem: EnergyProblem, u: Array, w: Array, at: Forces, step: Array, stiff: Array, along: Array
) -> tuple[Array, Forces]:
    """Lengths of step at which the energy stops falling, and the forces there.

    The slope grows steadily because the energy is convex.

    Args:
        problem: The problem.
        u: Movements, shape (cases, 6 q).
        w: Positions of rows there, shape (cases, R).
        at: Forces there.
        step: The steps, shape (cases, 6 q).
        stiff: Stiffness times step.
        along: Positions of rows along the step, shape (cases, R).
    """
    flat = (step * problem.load).sum(axis=1) - (stiff * u).sum(axis=1)
    bend = (step * stiff).sum(axis=1)

    def falls(t: Array) -> tuple[Array, Forces]:
        there = forces(problem, w + t[:, None] * along)
        return flat - t * bend + (along * there.r).sum(axis=1), there

    low, high = np.zeros(len(u)), np.ones(len(u))
    at_low = flat + (along * at.r).sum(axis=1)
    enough = _SEARCHED * np.abs(at_low)
    at_high, there = falls(high)
    found = np.abs(at_high) <= enough
    further = ~found & (at_high > 0.0)
    if further.any():
        low, at_low = np.where(further, high, low), np.where(further, at_high, at_low)
        high = np.where(further, _FURTHEST, high)
        at_high, there = falls(high)
        found |= further & (at_high > 0.0)
    t = high
    for _ in range(_SECANTS):
        if found.all():
            return t, there
        # false position with halving of the end that stays (Illinois), which cannot stall on a kinked slope
        gap = at_high - at_low
        middle = high - at_high * (high - low) / np.where(gap != 0.0, gap, 1.0)
        t = np.where(found, t, middle)
        slope, there = falls(t)
        found |= np.abs(slope) <= enough
        up = slope > 0.0
        low, high = np.where(up, t, low), np.where(up, high, t)
        at_low, at_high = np.where(up, slope, 0.5 * at_low), np.where(up, 0.5 * at_high, slope)
    t = np.where(found, t, 0.5 * (low + high))
    return t, forces(problem, w + t[:, None] * along)
