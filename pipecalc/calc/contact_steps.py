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
        both: Rows stopped both ways without free travel, shape (cases, c); None for none.
        normal: Stiffness of closed supports in the derivative, shape (cases, c) [N/m].
        rate: Rate of springs, shape (cases, c) [N/m].
        preload: Force of springs at position zero, shape (cases, c) [N].
        idle: Force per length where a support does not act, shape (cases, c) [N/m].
        per_idle: Its inverse, shape (cases, c) [m/N].
        shift: Movement per force of the rows: give of a closed support less the weight of force against gap, give of
            a sticking support, shape (R,) [m/N].
        soft: The weight of force against gap, shape (c,) [m/N].
        springs: Contacts that are springs, shape (s,).
        rubbing: Contacts with friction, shape (f,), or all of them.
        line: Those of them with friction along a line, shape (l,).
        mu: Coefficients of friction, shape (cases, f).
        origin: Positions of zero friction, zero for normals, shape (cases, R) [m].
        tangential: Sticking stiffness, shape (f,) [N/m].
        even: Sticking stiffness that both tangents have, mean, shape (f,) [N/m].
        uneven: What the second tangent has more than the mean, shape (f,) [N/m].
        turning: Stiffness against which sliding forces turn, shape (f,) [N/m].
        slack: 1 less what sticking and turning do together, shape (f,).
        plane: 1 for friction in a plane, 0 along a line, shape (f,).
        felt: Stiffness of the frame as tangents feel it, shape (f,) [N/m].
        scale: Largest movement that loads and ground give, shape (cases,) [m].
    """

    lower: Array
    upper: Array
    both: Mask | None
    normal: Array
    rate: Array
    preload: Array
    idle: Array
    per_idle: Array
    shift: Array
    soft: Array
    springs: Index
    rubbing: Index | slice
    line: Index
    mu: Array
    origin: Array
    tangential: Array
    even: Array
    uneven: Array
    turning: Array
    slack: Array
    plane: Array
    felt: Array
    scale: Array

    def pick(self, cases: Index | Mask) -> Laws:
        """Return the same for some of the cases."""
        names = ["lower", "upper", "normal", "rate", "preload", "idle", "per_idle", "mu", "origin", "scale"]
        names += [] if self.both is None else ["both"]
        part: dict[str, Any] = {name: some_cases(getattr(self, name), cases) for name in names}
        return replace(self, **part)


@dataclass(frozen=True, slots=True, eq=False)
class Iterate:
    """Where a round stands.

    Attributes:
        at: Forces of rows [N], then positions of rows [m], shape (cases, 2 R).
        closed: Shape (cases, c).
        tied: How much the limit of friction grows with the normal force, signed, shape (cases, f).
        limit: Limit of friction, shape (cases, f) [N].
        slide: Shape (cases, f).
        reach: Size of the friction without limit, shape (cases, f) [N].
        way: Its direction, complex, shape (cases, f).
        left: What is left of the laws, shape (cases, R) [m].
        size: Its size, shape (cases,) [m].
    """

    at: Array
    closed: Mask
    tied: Array
    limit: Array
    slide: Mask
    reach: Array
    way: _Complex
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
    c, f, acts = len(problem.lower), len(problem.rubbing), problem.normal > 0.0
    felt = auxiliary[c::2]
    tangential, turning = problem.tangential[:, 0], _WEIGHT * felt
    soft = 1.0 / (_WEIGHT * auxiliary[:c])
    anchor = problem.anchor.reshape(len(problem.anchor), 2 * f)
    both = acts & (problem.lower == problem.upper)
    return Laws(
        np.where(acts, problem.lower, -np.inf),
        np.where(acts, problem.upper, np.inf),
        both if both.any() else None,
        problem.normal,
        problem.rate,
        problem.preload,
        auxiliary[:c] + problem.rate,
        1.0 / (auxiliary[:c] + problem.rate),
        np.concatenate([give - soft, np.repeat(1.0 / tangential, 2)]),
        soft,
        np.flatnonzero(((problem.rate > 0.0) | (problem.preload != 0.0)).any(axis=0)),
        problem.rubbing if f < c else slice(None),
        np.flatnonzero(problem.tangential[:, 1] == 0.0),
        problem.mu,
        np.concatenate([np.zeros((len(anchor), c)), anchor], axis=1),
        tangential,
        0.5 * (tangential + problem.tangential[:, 1]),
        0.5 * (problem.tangential[:, 1] - tangential),
        turning,
        1.0 - turning / tangential,
        (problem.tangential[:, 1] > 0.0).astype(float),
        felt,
        scale,
    )


def _tangents(values: Array) -> _Complex:
    """See pairs of tangents as complex numbers, nothing is copied, shape (cases, f) from (cases, 2 f)."""
    return values.view(np.complex128)


def _look(laws: Laws, at: Array) -> Iterate:
    """Tell states and what is left of the laws at forces and positions of rows, shape (cases, 2 R)."""
    c, rows, rub = laws.lower.shape[1], at.shape[1] // 2, laws.rubbing
    push, drag = at[:, :c], _tangents(at[:, c:rows])
    shifted = laws.shift * at[:, :rows]
    shifted += at[:, rows:]
    shifted -= laws.origin
    ahead, away = shifted[:, :c], _tangents(shifted[:, c:])
    beyond = np.minimum(np.maximum(ahead, laws.lower), laws.upper)
    beyond -= ahead
    closed = beyond != 0.0
    by, pressed = push[:, rub], (push * beyond)[:, rub] > 0.0
    if laws.both is not None:
        closed |= laws.both
        pressed |= laws.both[:, rub]
    left = np.empty((len(at), rows))
    np.multiply(push, np.where(closed, laws.soft, laws.per_idle), out=left[:, :c])
    left[:, :c] -= beyond
    if len(laws.springs):
        of = laws.springs
        missing = laws.rate[:, of] * at[:, rows + of] - laws.preload[:, of]
        left[:, of] += np.where(closed[:, of], 0.0, missing * laws.per_idle[:, of])
    tied = np.where(pressed, np.copysign(laws.mu, by), 0.0)
    limit = tied * by
    if len(laws.line):
        away.imag[:, laws.line] = 0.0
    trial = drag - laws.turning * away
    reach = np.abs(trial)
    slide = reach >= limit
    way = trial / np.maximum(reach, _TINY)
    _tangents(left[:, c:])[:] = np.where(slide, (drag - limit * way) / laws.felt, away)
    return Iterate(at, closed, tied, limit, slide, reach, way, left, np.sqrt((left * left).sum(axis=1)))


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
    c, f, rub, slide = laws.lower.shape[1], len(laws.turning), laws.rubbing, at.slide
    rows, falls = c + 2 * f, np.empty((len(slide), c + 5 * f))
    rate = falls[:, :c]
    rate[:] = np.where(at.closed, laws.normal, laws.rate)
    out = np.empty_like(at.at)
    change, along = out[:, :rows], out[:, rows:]
    # where a support is rigid its law is exact and only the derivative has the stiffness of the energy problem
    np.multiply(at.left[:, :c], -np.where(at.closed, laws.normal, laws.idle), out=change[:, :c])
    left, dragged, back = _tangents(at.left[:, c:]), _tangents(change[:, c:]), at.way.conj()
    # sliding forces in their own axes: along the way they follow the limit, across it they turn
    turn = at.limit * laws.plane * slide
    turn /= np.maximum(at.reach - laws.slack * turn, _TINY)
    side = laws.turning * turn
    own = laws.felt * back * left
    own.real -= at.tied * change[:, :c][:, rub]
    own.imag *= 1.0 + laws.slack * turn
    dragged[:] = np.where(slide, -at.way * own, -laws.tangential * left)
    pull = at.tied * rate[:, rub] * slide
    _tangents(falls[:, c:rows])[:] = pull * at.way
    falls[:, rows : rows + f] = np.where(slide, 0.5 * side, laws.even)
    _tangents(falls[:, rows + f :])[:] = np.where(slide, 0.5 * side * at.way * at.way, laws.uneven)
    blocks, push = problem.seats.system(falls, change)
    push += missing
    moved = np.zeros_like(push)
    for case, block in enumerate(blocks):
        # a singular case stays where it is and does not settle
        with suppress(LinAlgError):
            moved[case] = problem.band.solve_skew(block, push[case])
    along[:] = problem.seats.positions(moved)
    x, across = along[:, :c], _tangents(along[:, c:])
    change[:, :c] -= rate * x
    own.real = pull * x[:, rub]
    own.imag = side * (back * across).imag
    dragged -= np.where(slide, at.way * own, laws.tangential * across)
    if len(laws.line):
        dragged.imag[:, laws.line] = 0.0
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
    size = np.where(np.isnan(tried.size), np.inf, tried.size).reshape(-1, count)
    good = size <= (1.0 - _DESCENT * _SHORTER) * at.size[late, None]
    chosen = np.where(good.any(axis=1), good.argmax(axis=1), size.argmin(axis=1))
    rows = np.arange(0, len(many), count) + chosen
    shorter = ~(now.size[late] <= tried.size[rows])
    late, rows = late[shorter], rows[shorter]
    now.put(late, tried, rows)
    length[late] = trial[rows]
    return now, length
