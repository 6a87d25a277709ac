"""A start for Newton's method where it does not settle by itself: friction limits held, the rest is a convex problem.

With the limits of friction held, forces at supports derive from a convex energy of the movements: half of stiffness
times movement squared, less the work of the loads, plus the energy of supports. Its minimum is found from anywhere
by Newton's method with an exact search along each step. The limits are then renewed from the normal forces found.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from scipy.linalg import LinAlgError

from pipecalc.calc.contact_flexibility import Band, Seats, some_cases
from pipecalc.calc.frame import Array, Index, Mask

_RIGID = 1e4  # stiffness of rigid supports, as multiple of that of the frame, in this start only
_SOFT = 1e-11
_ROUNDS = 60
_SECANTS = 12
_FURTHEST = 4.0
_SEARCHED = 0.1
_TINY = 1e-300


@dataclass(frozen=True, slots=True, eq=False)
class EnergyProblem:
    """Frame and supports of some cases (leading axis) in the freedoms of the kept nodes.

    Values of supports that are the same in all cases have a leading axis of one.

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
        part: dict[str, Any] = {name: some_cases(getattr(self, name), cases) for name in names}
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


def forces(problem: EnergyProblem, w: Array) -> Forces:
    """Return the forces of all rows at positions `w`, shape (cases, R).

    Args:
        problem: The problem.
        w: Positions, shape (cases, R) [m].
    """
    c = len(problem.lower)
    x = w[:, :c]
    over = x - np.minimum(np.maximum(x, problem.lower), problem.upper)
    push = problem.normal * over
    r = np.empty_like(w)
    r[:, :c] = problem.preload - push - problem.rate * x
    trial = problem.tangential * (problem.anchor - w[:, c:].reshape(problem.anchor.shape))
    size = np.hypot(trial[:, :, 0], trial[:, :, 1])
    share = problem.limit / np.maximum(np.maximum(size, problem.limit), _TINY)
    r[:, c:] = (share[:, :, None] * trial).reshape(len(w), -1)
    return Forces(r, over, trial, size, share)


def _falls(problem: EnergyProblem, at: Forces) -> Array:
    """How forces fall with movements of their rows, in the form that `Seats.blocks` takes."""
    c, f = len(problem.lower), len(problem.rubbing)
    out = np.zeros((len(at.r), c + 5 * f))
    out[:, :c] = np.where(at.over != 0.0, problem.normal, 0.0) + problem.rate
    along = at.trial * np.where(at.share < 1.0, 1.0 / np.maximum(at.size, _TINY), 0.0)[:, :, None]
    one, other = along[:, :, 0], along[:, :, 1]
    # friction along a line has its second component zero, in stiffness and in force
    own = at.share[:, :, None] * problem.tangential
    first, second = own[:, :, 0] * (1.0 - one * one), own[:, :, 1] * (1.0 - other * other)
    out[:, c + 2 * f : c + 3 * f] = 0.5 * (first + second)
    out[:, c + 3 * f :: 2] = 0.5 * (second - first)
    out[:, c + 3 * f + 1 :: 2] = own[:, :, 1] * one * other
    return out


def _alike(blocks: Array) -> list[list[int]]:
    """Group cases whose supports stand alike, so that their stiffness is factored once."""
    groups: dict[bytes, list[int]] = {}
    for case, block in enumerate(blocks):
        groups.setdefault(block.tobytes(), []).append(case)
    return list(groups.values())


def _sizes(values: Array) -> Array:
    return np.asarray(np.abs(values).max(axis=1, initial=0.0))


@dataclass(frozen=True, slots=True, eq=False)
class Least:
    """Where the energy is least.

    Attributes:
        u: Movements, shape (cases, 6 q).
        w: Positions of rows, shape (cases, R) [m].
        r: Forces of rows, shape (cases, R) [N].
        missing: What is missing of equilibrium, shape (cases, 6 q).
    """

    u: Array
    w: Array
    r: Array
    missing: Array


def minimise(problem: EnergyProblem, u: Array, tolerance: float) -> Least:
    """Return the movements of least energy, friction limits held, all cases together.

    Args:
        problem: The problem.
        u: Movements to start from, shape (cases, 6 q).
        tolerance: Imbalance left, relative to the largest force.

    Returns:
        Where the energy is least; where that is not found, the last place seen.
    """
    live = np.arange(len(u))
    carried = problem.band.times(u)
    size = np.maximum(_sizes(problem.load), _sizes(carried))
    w = problem.seats.positions(u) + problem.offset
    at = forces(problem, w)
    found = Least(u.copy(), w.copy(), at.r.copy(), np.zeros_like(u))
    stuck = np.zeros(len(u), bool)
    for turn in range(_ROUNDS + 1):
        pull = problem.load + problem.seats.gathered(at.r) - carried
        going = (_sizes(pull) > tolerance * size) & ~stuck & (turn < _ROUNDS)
        if not going.all():
            found.u[live], found.w[live], found.r[live], found.missing[live] = u, w, at.r, pull
            live, u, w, carried, size = live[going], u[going], w[going], carried[going], size[going]
            pull, stuck, problem, at = pull[going], stuck[going], problem.pick(going), at.pick(going)
        if not len(live):
            return found
        step = np.zeros_like(u)
        blocks = problem.seats.blocks(_falls(problem, at))
        for cases in _alike(blocks):
            try:
                step[cases] = problem.band.solve(blocks[cases[0]], pull[cases], _SOFT)
            except LinAlgError:
                stuck[cases] = True
        stiff, along = problem.band.times(step), problem.seats.positions(step)
        length, at = _search(problem, u, w, at, step, stiff, along)
        u, w, carried = (old + length[:, None] * way for old, way in ((u, step), (w, along), (carried, stiff)))
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
