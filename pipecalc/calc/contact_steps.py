"""Newton's method on the laws of contacts with forces of rows carried as unknowns beside the movements.

The derivative of a law has only the rows of one support in it, so that forces of rows are eliminated support by
support and what is left is the narrow band of the frame. A sliding force turns no faster than the stiffness of the
frame lets it, not that of the sticking support; a step is shortened by what is left of the laws, a length. Both make
the way from sticking to sliding short.

Rigid supports have their exact law and a very large stiffness in its derivative alone.

Source of the form of the laws: see `contact_law`.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from scipy.linalg import LinAlgError

from pipecalc.calc.contact_energy import EnergyProblem
from pipecalc.calc.frame import Array, Index, Mask

_WEIGHT = 10.0  # of gap against force in telling states: the way depends on it, the solution does not
_ROUNDS = 40
_PATIENCE = 12
_PROGRESS = 0.9
_SETTLED = 1e-11
_LENGTHS = (1.0, 0.3, 0.09, 0.027)
_DESCENT = 1e-4
_TINY = 1e-300


@dataclass(frozen=True, slots=True, eq=False)
class Laws:
    """What the laws of some cases need, in the form the rounds use it (everything that does not change, once).

    Attributes:
        problem: Frame and supports.
        lower: Lower end of free travel, -inf where nothing stops the pipe, shape (cases, c) [m].
        upper: Upper end, shape (cases, c) [m].
        both: Rows stopped both ways without free travel, shape (cases, c).
        per_force: Length per force where a support does not act, shape (cases, c) [m/N].
        give: How much a closed support gives way, zero where rigid, shape (c,) [m/N].
        lead: Give less the weight of force against gap, shape (c,) [m/N].
        turning: Stiffness against which sliding forces turn, zero across a line of friction, shape (f, 2) [N/m].
        slide_give: How much sticking gives way, shape (f, 2) [m/N].
        slack: 1 less the product of both, shape (f,).
        plane: 1 for friction in a plane, 0 along a line, shape (f,).
        line: 1 for directions with friction, else 0, shape (f, 2).
        auxiliary: Stiffness of the frame as tangents feel it, shape (f, 1) [N/m].
        scale: Largest movement that loads and ground give, shape (cases,) [m].
    """

    problem: EnergyProblem
    lower: Array
    upper: Array
    both: Mask
    per_force: Array
    give: Array
    lead: Array
    turning: Array
    slide_give: Array
    slack: Array
    plane: Array
    line: Array
    auxiliary: Array
    scale: Array

    def pick(self, cases: Mask) -> Laws:
        """Return the same for some of the cases."""
        names = ("lower", "upper", "both", "per_force", "scale")
        part: dict[str, Any] = {name: getattr(self, name)[cases] for name in names}
        return replace(self, problem=self.problem.pick(cases), **part)


@dataclass(frozen=True, slots=True, eq=False)
class Iterate:
    """Where a round stands.

    Attributes:
        w: Positions of rows, shape (cases, R) [m].
        r: Forces of rows, shape (cases, R) [N].
        stop: Where closed supports stop, shape (cases, c) [m].
        closed: Shape (cases, c).
        tied: How much the limit of friction grows with the normal force, signed, shape (cases, f).
        limit: Limit of friction, shape (cases, f) [N].
        slide: Shape (cases, f).
        trial: Friction without limit, shape (cases, f, 2) [N].
        share: Part of it that the limit lets through, shape (cases, f).
        left: What is left of the laws, shape (cases, R) [m].
        size: Its size, shape (cases,) [m].
    """

    w: Array
    r: Array
    stop: Array
    closed: Mask
    tied: Array
    limit: Array
    slide: Mask
    trial: Array
    share: Array
    left: Array
    size: Array

    def pick(self, cases: Mask) -> Iterate:
        """Return the same for some of the cases."""
        return Iterate(*(getattr(self, name)[cases] for name in Iterate.__slots__))


def _laws(problem: EnergyProblem, give: Array, auxiliary: Array, scale: Array) -> Laws:
    c, acts = len(problem.lower), problem.normal > 0.0
    line = (problem.tangential > 0.0).astype(float)
    slide_give = np.divide(1.0, problem.tangential, out=np.zeros_like(line), where=line > 0.0)
    felt = auxiliary[c:].reshape(-1, 2)
    turning = _WEIGHT * felt * line
    return Laws(
        problem,
        np.where(acts, problem.lower, -np.inf),
        np.where(acts, problem.upper, np.inf),
        acts & (problem.lower == problem.upper),
        1.0 / (auxiliary[:c] + problem.rate),
        give,
        give - 1.0 / (_WEIGHT * auxiliary[:c]),
        turning,
        slide_give,
        1.0 - turning[:, 0] * slide_give[:, 0],
        line[:, 1],
        line,
        felt[:, :1],
        scale,
    )


def _look(laws: Laws, w: Array, r: Array) -> Iterate:
    """Tell states and what is left of the laws at positions and forces of rows."""
    p, c = laws.problem, laws.lower.shape[1]
    x, push = w[:, :c], r[:, :c]
    ahead = x + laws.lead * push
    stop = np.minimum(np.maximum(ahead, laws.lower), laws.upper)
    beyond = stop - ahead
    closed = (beyond != 0.0) | laws.both
    left = np.empty_like(w)
    idle = (push + p.rate * x - p.preload) * laws.per_force
    left[:, :c] = np.where(closed, x + laws.give * push - stop, idle)
    by = push[:, p.rubbing]
    pressed = (beyond[:, p.rubbing] * by > 0.0) | laws.both[:, p.rubbing]
    tied = p.mu * np.sign(by) * pressed
    limit = tied * by
    drag = r[:, c:].reshape(p.anchor.shape)
    away = (w[:, c:].reshape(p.anchor.shape) + laws.slide_give * drag - p.anchor) * laws.line
    trial = drag - laws.turning * away
    size = np.hypot(trial[:, :, 0], trial[:, :, 1])
    slide = size >= limit
    share = limit / np.maximum(np.maximum(size, limit), _TINY)
    slid = (drag - share[:, :, None] * trial) / laws.auxiliary
    left[:, c:] = np.where(slide[:, :, None], slid, away).reshape(len(w), -1)
    total = np.sqrt(np.einsum("qr,qr->q", left, left))
    return Iterate(w, r, stop, closed, tied, limit, slide, trial, share, left, total)


def _linear(laws: Laws, at: Iterate) -> tuple[Array, Array, Array]:
    """The laws about an iterate: forces of rows once nothing moved, and how they fall with movements.

    Returns:
        Forces, shape (cases, R), fall of normal forces, shape (cases, c), and of both friction forces with movements
        along normal and tangents, shape (cases, f, 2, 3).
    """
    p, c = laws.problem, laws.lower.shape[1]
    x = at.w[:, :c]
    rate = np.where(at.closed, p.normal, p.rate)
    aim = np.empty_like(at.r)
    # where a support is rigid its law is exact and only the derivative has the stiffness of the energy problem
    push = at.r[:, :c]
    aim[:, :c] = np.where(at.closed, push + p.normal * (at.stop - x - laws.give * push), p.preload - p.rate * x)
    limit = at.limit + at.tied * (aim[:, :c] - push)[:, p.rubbing]
    drag = at.r[:, c:].reshape(p.anchor.shape)
    way = at.trial / np.maximum(np.hypot(at.trial[:, :, 0], at.trial[:, :, 1]), _TINY)[:, :, None]
    across = way[:, :, ::-1] * (-1.0, 1.0)
    turn = at.share * laws.plane
    turn = turn / (1.0 - laws.slack * turn)
    turned = -laws.slack * turn * (across * drag).sum(axis=2)
    slides = at.slide[:, :, None]
    sliding = limit[:, :, None] * way + turned[:, :, None] * across
    sticking = p.tangential * (p.anchor - at.w[:, c:].reshape(p.anchor.shape))
    aim[:, c:] = np.where(slides, sliding, sticking).reshape(len(x), -1)
    rub = np.zeros((*way.shape, 3))
    rub[:, :, :, 0] = np.where(slides, (at.tied * rate[:, p.rubbing])[:, :, None] * way, 0.0)
    side = (laws.turning[:, 0] * turn)[:, :, None] * across
    rub[:, :, 0, 1] = np.where(at.slide, side[:, :, 0] * across[:, :, 0], p.tangential[:, 0])
    rub[:, :, 1, 2] = np.where(at.slide, side[:, :, 1] * across[:, :, 1], p.tangential[:, 1])
    rub[:, :, 0, 2] = rub[:, :, 1, 1] = np.where(at.slide, side[:, :, 0] * across[:, :, 1], 0.0)
    return aim, rate, rub


def settle(
    problem: EnergyProblem, u: Array, r: Array, give: Array, auxiliary: Array, scale: Array
) -> tuple[Array, Array, Mask]:
    """Newton's method on the laws of contacts, friction limits following the normal forces, all cases together.

    Args:
        problem: The problem.
        u: Movements to start from, shape (cases, 6 q).
        r: Forces of rows to start from, shape (cases, R).
        give: How much a closed support gives way, zero where rigid, shape (c,) [m/N].
        auxiliary: Stiffness of the frame as each row feels it, one value for both tangents, shape (R,) [N/m].
        scale: Largest movement that loads and ground give, shape (cases,) [m].

    Returns:
        Positions of rows less the offset and forces of rows, both of shape (cases, R), and which cases settled.
    """
    seats = problem.seats
    moved, force, done = np.zeros_like(r), r.copy(), np.zeros(len(u), bool)
    live = np.arange(len(u))
    laws = _laws(problem, give, auxiliary, scale)
    at = _look(laws, seats.positions(u) + problem.offset, r)
    # movements are needed in the rows alone: what is missing of equilibrium shrinks by the length of each step
    missing = problem.load + seats.gathered(r) - problem.band.times(u)
    best, since = np.full(len(u), np.inf), np.zeros(len(u), int)
    for turn in range(_ROUNDS):
        good = (at.size <= _SETTLED * laws.scale) & (turn > 0)
        since = np.where(at.size < _PROGRESS * best, turn, since)
        best = np.minimum(best, at.size)
        going = ~good & (turn - since <= _PATIENCE)
        if not going.all():
            done[live[good]] = True
            ended = ~going
            moved[live[ended]], force[live[ended]] = at.w[ended] - laws.problem.offset[ended], at.r[ended]
            live, laws, at = live[going], laws.pick(going), at.pick(going)
            missing, best, since = missing[going], best[going], since[going]
        if not len(live):
            break
        aim, rate, rub = _linear(laws, at)
        push = missing + seats.gathered(aim - at.r)
        step = np.zeros_like(push)
        for i, blocks in enumerate(seats.blocks(rate, rub)):
            # a singular case stays where it is and does not settle
            with suppress(LinAlgError):
                step[i] = laws.problem.band.solve_skew(blocks, push[i])
        along = seats.positions(step)
        change = aim - at.r - _fall(laws.problem.rubbing, rate, rub, along)
        # the first step is taken whole: the start need not be in equilibrium, which the laws do not see
        lengths = _LENGTHS[:1] if turn == 0 else _LENGTHS
        at, length = _shorten(laws, at, along, change, lengths)
        missing *= 1.0 - length[:, None]
    return moved, force, done


def _fall(rubbing: Index, rate: Array, rub: Array, along: Array) -> Array:
    """How much forces of rows fall with movements of the rows, shape (cases, R)."""
    c = rate.shape[1]
    out = np.empty_like(along)
    out[:, :c] = rate * along[:, :c]
    local = np.concatenate([along[:, rubbing, None], along[:, c:].reshape(len(along), -1, 2)], axis=2)
    out[:, c:] = np.einsum("qfij,qfj->qfi", rub, local).reshape(len(along), -1)
    return out


def _shorten(laws: Laws, at: Iterate, along: Array, change: Array, lengths: tuple[float, ...]) -> tuple[Iterate, Array]:
    """Shorten the step of each case until what is left of its laws shrinks; the best length tried where it does not."""
    length, best = np.ones(len(along)), np.full(len(along), np.inf)
    now, trial = at, length
    for shorter in (*lengths[1:], None):
        now = _look(laws, at.w + trial[:, None] * along, at.r + trial[:, None] * change)
        better = now.size < best
        length, best = np.where(better, trial, length), np.where(better, now.size, best)
        late = best > (1.0 - _DESCENT * length) * at.size
        if shorter is None or not late.any():
            break
        trial = np.where(late, shorter, length)
    if (trial != length).any():
        now = _look(laws, at.w + length[:, None] * along, at.r + length[:, None] * change)
    return now, length
