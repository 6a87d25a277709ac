"""Newton's method on the laws of contacts with forces of rows carried as unknowns beside the movements.

The derivative of a law has only the rows of one support in it, so that forces of rows are eliminated support by
support and what is left is the narrow band of the frame. A sliding force turns no faster than the stiffness of the
frame lets it, not that of the sticking support; a step is shortened by what is left of the laws, a length. Both make
the way from sticking to sliding short.

Rigid supports have their exact law and a very large stiffness in its derivative alone. What lies along the two
tangents of a support is one complex number here, the second tangent imaginary.

Source of the form of the laws: see `contact_law`.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import numpy.typing as npt
from scipy.linalg import LinAlgError

from pipecalc.calc.contact_energy import EnergyProblem
from pipecalc.calc.contact_flexibility import some_cases
from pipecalc.calc.frame import Array, Index, Mask

_Complex = npt.NDArray[np.complex128]

_WEIGHT = 1.0  # of gap against force in telling states: the way depends on it, the solution does not
_ROUNDS = 40
_PATIENCE = 12
_PROGRESS = 0.9
_SETTLED = 1e-11
_SHORTER = np.array([0.3, 0.1, 0.03, 0.01, 0.003])
_DESCENT = 1e-4
_TINY = 1e-300


@dataclass(frozen=True, slots=True, eq=False)
class Laws:
    """What the laws of some cases need, in the form the rounds use it (everything that does not change, once).

    Values that are the same in all cases have a leading axis of one.

    Attributes:
        lower: Lower end of free travel, -inf where nothing stops the pipe, shape (cases, c) [m].
        upper: Upper end, shape (cases, c) [m].
        both: Rows stopped both ways without free travel, shape (cases, c).
        normal: Stiffness of closed supports in the derivative, shape (cases, c) [N/m].
        rate: Rate of springs, shape (cases, c) [N/m].
        preload: Force of springs at position zero, shape (cases, c) [N].
        idle: Force per length where a support does not act, shape (cases, c) [N/m].
        lead: Give of a closed support less the weight of force against gap, shape (c,) [m/N].
        soft: The weight of force against gap, shape (c,) [m/N].
        springs: Contacts that are springs, shape (s,).
        rubbing: Contacts with friction, shape (f,).
        line: Those of them with friction along a line, shape (l,).
        mu: Coefficients of friction, shape (cases, f).
        anchor: Positions of zero friction, complex, shape (cases, f) [m].
        tangential: Sticking stiffness, shape (f,) [N/m].
        slide_give: How much sticking gives way, shape (f,) [m/N].
        turning: Stiffness against which sliding forces turn, shape (f,) [N/m].
        slack: 1 less what both do together, shape (f,).
        plane: 1 for friction in a plane, 0 along a line, shape (f,).
        per_felt: Movement per force as tangents feel the frame, shape (f,) [m/N].
        scale: Largest movement that loads and ground give, shape (cases,) [m].
    """

    lower: Array
    upper: Array
    both: Mask
    normal: Array
    rate: Array
    preload: Array
    idle: Array
    lead: Array
    soft: Array
    springs: Index
    rubbing: Index
    line: Index
    mu: Array
    anchor: _Complex
    tangential: Array
    slide_give: Array
    turning: Array
    slack: Array
    plane: Array
    per_felt: Array
    scale: Array

    def pick(self, cases: Index | Mask) -> Laws:
        """Return the same for some of the cases."""
        names = ("lower", "upper", "both", "normal", "rate", "preload", "idle", "mu", "anchor", "scale")
        part: dict[str, Any] = {name: some_cases(getattr(self, name), cases) for name in names}
        return replace(self, **part)


@dataclass(frozen=True, slots=True, eq=False)
class Iterate:
    """Where a round stands.

    Attributes:
        at: Forces of rows [N], then positions of rows [m], shape (cases, 2 R).
        closed: Shape (cases, c).
        limit: Limit of friction, shape (cases, f) [N].
        slide: Shape (cases, f).
        trial: Friction without limit, complex, shape (cases, f) [N].
        reach: Its size, shape (cases, f) [N].
        share: Part of it that the limit lets through, shape (cases, f).
        left: What is left of the laws, shape (cases, R) [m].
        size: Its size, shape (cases,) [m].
    """

    at: Array
    closed: Mask
    limit: Array
    slide: Mask
    trial: _Complex
    reach: Array
    share: Array
    left: Array
    size: Array

    def pick(self, cases: Mask) -> Iterate:
        """Return the same for some of the cases."""
        return Iterate(*(getattr(self, name)[cases] for name in Iterate.__slots__))

    def put(self, cases: Index, other: Iterate, rows: Index) -> None:
        """Replace some cases by rows of another iterate."""
        for name in Iterate.__slots__:
            getattr(self, name)[cases] = getattr(other, name)[rows]


def _laws(problem: EnergyProblem, give: Array, auxiliary: Array, scale: Array) -> Laws:
    c, acts = len(problem.lower), problem.normal > 0.0
    felt = auxiliary[c::2]
    tangential, turning = problem.tangential[:, 0], _WEIGHT * felt
    soft = 1.0 / (_WEIGHT * auxiliary[:c])
    in_plane = problem.tangential[:, 1] > 0.0
    return Laws(
        np.where(acts, problem.lower, -np.inf),
        np.where(acts, problem.upper, np.inf),
        acts & (problem.lower == problem.upper),
        problem.normal,
        problem.rate,
        problem.preload,
        auxiliary[:c] + problem.rate,
        give - soft,
        soft,
        np.flatnonzero(((problem.rate > 0.0) | (problem.preload != 0.0)).any(axis=0)),
        problem.rubbing,
        np.flatnonzero(~in_plane),
        problem.mu,
        _tangents(problem.anchor.reshape(len(problem.anchor), -1)),
        tangential,
        1.0 / tangential,
        turning,
        1.0 - turning / tangential,
        in_plane.astype(float),
        1.0 / felt,
        scale,
    )


def _tangents(values: Array) -> _Complex:
    """See pairs of tangents as complex numbers, nothing is copied, shape (cases, f) from (cases, 2 f)."""
    return values.view(np.complex128)


def _look(laws: Laws, at: Array) -> Iterate:
    """Tell states and what is left of the laws at forces and positions of rows, shape (cases, 2 R)."""
    c, rows, rub = laws.lower.shape[1], at.shape[1] // 2, laws.rubbing
    push, drag = at[:, :c], _tangents(at[:, c:rows])
    x, moved = at[:, rows : rows + c], _tangents(at[:, rows + c :])
    ahead = x + laws.lead * push
    beyond = np.minimum(np.maximum(ahead, laws.lower), laws.upper) - ahead
    closed = (beyond != 0.0) | laws.both
    left = np.empty((len(at), rows))
    left[:, :c] = np.where(closed, laws.soft * push - beyond, push / laws.idle)
    if len(laws.springs):
        of = laws.springs
        missing = laws.rate[:, of] * x[:, of] - laws.preload[:, of]
        left[:, of] += np.where(closed[:, of], 0.0, missing / laws.idle[:, of])
    by = push.take(rub, axis=1)
    pressed = (beyond.take(rub, axis=1) * by > 0.0) | laws.both.take(rub, axis=1)
    limit = np.abs(by) * laws.mu * pressed
    away = moved + laws.slide_give * drag - laws.anchor
    if len(laws.line):
        away.imag[:, laws.line] = 0.0
    trial = drag - laws.turning * away
    reach = np.abs(trial)
    slide = reach >= limit
    share = limit / np.maximum(np.maximum(reach, limit), _TINY)
    _tangents(left[:, c:])[:] = np.where(slide, (drag - share * trial) * laws.per_felt, away)
    return Iterate(at, closed, limit, slide, trial, reach, share, left, np.sqrt(np.einsum("qr,qr->q", left, left)))


def settle(
    problem: EnergyProblem, w: Array, r: Array, missing: Array, give: Array, auxiliary: Array, scale: Array
) -> tuple[Array, Array, Mask]:
    """Newton's method on the laws of contacts, friction limits following the normal forces, all cases together.

    Args:
        problem: The problem.
        w: Positions of rows to start from, shape (cases, R) [m].
        r: Forces of rows to start from, shape (cases, R) [N].
        missing: What is missing of equilibrium there, freedoms of the kept nodes, shape (cases, 6 q).
        give: How much a closed support gives way, zero where rigid, shape (c,) [m/N].
        auxiliary: Stiffness of the frame as each row feels it, one value for both tangents, shape (R,) [N/m].
        scale: Largest movement that loads and ground give, shape (cases,) [m].

    Returns:
        Positions and forces of rows, both of shape (cases, R), and which cases settled.
    """
    ended, done = np.concatenate([r, w], axis=1), np.zeros(len(w), bool)
    live = np.arange(len(w))
    laws = _laws(problem, give, auxiliary, scale)
    at = _look(laws, ended.copy())
    best, since = np.full(len(w), np.inf), np.zeros(len(w), int)
    for turn in range(_ROUNDS):
        good = (at.size <= _SETTLED * laws.scale) & (turn > 0)
        since[at.size < _PROGRESS * best] = turn
        best = np.minimum(best, at.size)
        going = ~good & (turn - since <= _PATIENCE)
        if not going.all():
            done[live[good]] = True
            ended[live[~going]] = at.at[~going]
            live, laws, at = live[going], laws.pick(going), at.pick(going)
            missing, best, since = missing[going], best[going], since[going]
        if not len(live):
            break
        # movements are needed in the rows alone: what is missing of equilibrium shrinks by the length of each step;
        # the first step is taken whole, as the start need not be in equilibrium, which the laws do not see
        at, length = _shorten(laws, at, _step(problem, laws, at, missing), turn > 0)
        missing = missing * (1.0 - length)[:, None]
    rows = r.shape[1]
    return ended[:, rows:], ended[:, :rows], done


def _step(problem: EnergyProblem, laws: Laws, at: Iterate, missing: Array) -> Array:
    """The step of forces and positions of rows to where the laws about an iterate hold, shape (cases, 2 R)."""
    c, f, rub, seats = laws.lower.shape[1], len(laws.rubbing), laws.rubbing, problem.seats
    rows, stuck = c + 2 * f, ~at.slide
    rate = np.where(at.closed, laws.normal, laws.rate)
    out = np.empty_like(at.at)
    change, along = out[:, :rows], out[:, rows:]
    # where a support is rigid its law is exact and only the derivative has the stiffness of the energy problem
    np.multiply(at.left[:, :c], -np.where(at.closed, laws.normal, laws.idle), out=change[:, :c])
    drag = _tangents(at.at[:, c:rows])
    tied = np.where(at.limit > 0.0, np.copysign(laws.mu, at.at[:, :c].take(rub, axis=1)), 0.0)
    way = at.trial / np.maximum(at.reach, _TINY)
    back = way.conj()
    turn = at.share * laws.plane
    turn /= 1.0 - laws.slack * turn
    sliding = np.empty_like(way)
    sliding.real = at.limit + tied * change[:, :c].take(rub, axis=1)
    sliding.imag = -laws.slack * turn * (back * drag).imag
    rub_change = _tangents(change[:, c:])
    rub_change[:] = np.where(at.slide, way * sliding - drag, -laws.tangential * _tangents(at.left[:, c:]))
    side, tied = laws.turning * turn, tied * rate.take(rub, axis=1)
    values = np.empty((len(rate), c + 5 * f))
    values[:, :c] = rate
    _tangents(values[:, c : c + 2 * f])[:] = at.slide * tied * way
    values[:, c + 2 * f : c + 3 * f] = np.where(stuck, laws.tangential, side * way.imag**2)
    values[:, c + 3 * f : c + 4 * f] = np.where(stuck, laws.tangential * laws.plane, side * way.real**2)
    values[:, c + 4 * f :] = np.where(stuck, 0.0, -side * way.real * way.imag)
    push = missing + seats.gathered(change)
    moved = np.zeros_like(push)
    for i, blocks in enumerate(seats.blocks(values)):
        # a singular case stays where it is and does not settle
        with suppress(LinAlgError):
            moved[i] = problem.band.solve_skew(blocks, push[i])
    along[:] = seats.positions(moved)
    x, across = along[:, :c], _tangents(along[:, c:])
    change[:, :c] -= rate * x
    sliding.real = tied * x.take(rub, axis=1)
    sliding.imag = side * (back * across).imag
    rub_change -= np.where(at.slide, way * sliding, laws.tangential * across)
    if len(laws.line):
        rub_change.imag[:, laws.line] = 0.0
    return out


def _shorten(laws: Laws, at: Iterate, step: Array, may_shorten: bool) -> tuple[Iterate, Array]:
    """Shorten the step of each case until what is left of its laws shrinks; the best length tried where it does not."""
    now, length = _look(laws, at.at + step), np.ones(len(step))
    late = np.flatnonzero(~(now.size <= (1.0 - _DESCENT) * at.size)) if may_shorten else np.zeros(0, np.intp)
    if not len(late):
        return now, length
    # all shorter lengths at once: a look costs little more for many cases than for one
    count = len(_SHORTER)
    many, trial = np.repeat(late, count), np.tile(_SHORTER, len(late))
    tried = _look(laws.pick(many), at.at[many] + trial[:, None] * step[many])
    size = tried.size.reshape(-1, count)
    good = size <= (1.0 - _DESCENT * _SHORTER) * at.size[late, None]
    chosen = np.where(good.any(axis=1), good.argmax(axis=1), size.argmin(axis=1))
    rows = np.arange(0, len(many), count) + chosen
    shorter = ~(now.size[late] <= tried.size[rows])
    late, rows = late[shorter], rows[shorter]
    now.put(late, tried, rows)
    length[late] = trial[rows]
    return now, length
