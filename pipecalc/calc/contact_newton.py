"""Solve the laws of all contacts on the freedoms of the supports alone.

Unknown are only the forces at supports; the frame enters as a small dense flexibility. The laws (force or gap zero;
friction inside its cone, or at its limit against the sliding) are solved by Newton's method on their complementarity
form, all cases of a stage together.

Source: P. Alart, A. Curnier, A mixed formulation for frictional contact problems prone to Newton like solution
    methods, Computer Methods in Applied Mechanics and Engineering 92, 1991, pp. 353-375.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from pipecalc.calc.contact import (
    CLOSED,
    CLOSED_UPPER,
    INACTIVE,
    NO_FRICTION,
    OPEN,
    SLIP,
    SPRING,
    STICK,
    ContactResult,
    Contacts,
    Rows,
    stages,
)
from pipecalc.calc.frame import Array, Index, Mask

_ROUNDS = 40
_PATIENCE = 12  # rounds without progress after which a way is given up
_PROGRESS = 0.9
# Weight of gap against force in telling closed from open and stuck from sliding: the solution does not depend on it,
# the way there does. Cases that do not settle with one weight are tried with the next.
_WEIGHTS = (0.1, 1.0, 0.01, 0.3)
_SETTLED = 1e-11
_REACH = 20.0
_FREE = 1e-8
_HALVINGS = 6
_DESCENT = 1e-4
_RAMP = (0.0, 0.25, 0.5, 0.75, 0.9, 1.0)
_BOUND_ROUNDS = 20
_BOUND_SETTLED = 1e-10


@dataclass(frozen=True, slots=True, eq=False)
class Flexibility:
    """The frame as seen from the contact rows, with auxiliary springs that keep it from floating.

    Attributes:
        F: Movement of rows from unit forces on rows, shape (R, R) [m/N].
        p0: Movement of rows without contact forces, shape (cases, R) [m].
        offset: What to add to p for the position relative to the ground, shape (cases, R) [m].
        auxiliary: Stiffness of the auxiliary spring of each row, shape (R,) [N/m].
    """

    F: Array
    p0: Array
    offset: Array
    auxiliary: Array


@dataclass(frozen=True, slots=True, eq=False)
class _Law:
    """Laws of all contacts for some cases (leading axis), with the flexibility of the frame."""

    flex: Flexibility
    rubbing: Index
    line: Mask
    lower: Array
    upper: Array
    give: Array
    slide_give: Array
    is_spring: Mask
    rate: Array
    preload: Array
    active: Mask
    mu: Array
    anchor: Array
    bound: Array | None = None
    weight: float = _WEIGHTS[0]


@dataclass(frozen=True, slots=True, eq=False)
class _State:
    """Everything at one iterate: forces and positions of rows and what the laws say of them."""

    r: Array
    w: Array
    state: npt.NDArray[np.int8]
    sign: Array
    limit: Array
    slide: Mask
    z: Array
    size: Array
    left: Array


def _law(contacts: Contacts, rows: Rows, flex: Flexibility, cases: Index, anchor: Array) -> _Law:
    rub = rows.rubbing
    with np.errstate(divide="ignore"):
        give, slide_give = 1.0 / contacts.stiffness, 1.0 / contacts.friction_stiffness[rub]
    part = replace(flex, p0=flex.p0[cases], offset=flex.offset[cases])
    return _Law(
        part,
        rub,
        np.isfinite(contacts.tangent[rub, 0]),
        contacts.lower,
        contacts.upper,
        np.where(contacts.is_spring, 0.0, give),
        slide_give,
        contacts.is_spring,
        np.where(contacts.is_spring, contacts.stiffness, 0.0),
        contacts.preload[:, cases].T,
        contacts.active[:, cases].T,
        contacts.friction[rub],
        anchor,
    )


def _evaluate(law: _Law, s: Array) -> _State:
    """States and what is left of each law [m] at the forces `s` (contact plus auxiliary), shape (cases, R)."""
    ka, c = law.flex.auxiliary, len(law.lower)
    p = law.flex.p0 + s @ law.flex.F.T
    r, w = s - ka * p, p + law.flex.offset
    rn, y = r[:, :c], w[:, :c] + law.give * r[:, :c]
    low = rn / ka[:c] - law.weight * (y - law.lower) > 0.0
    high = rn / ka[:c] - law.weight * (y - law.upper) < 0.0
    low = low | (law.lower == law.upper)
    state = np.where(low, CLOSED, np.where(high, CLOSED_UPPER, OPEN))
    state = np.where(law.is_spring, SPRING, state)
    state = np.where(law.active, state, INACTIVE).astype(np.int8)
    left = np.empty_like(s)
    stop = np.where(state == CLOSED, law.lower, law.upper)
    closed = (state == CLOSED) | (state == CLOSED_UPPER)
    with np.errstate(invalid="ignore"):
        left[:, :c] = np.where(closed, y - stop, rn / ka[:c])
    spring = (rn + law.rate * w[:, :c] - law.preload) / (ka[:c] + law.rate)
    left[:, :c] = np.where(state == SPRING, spring, left[:, :c])
    sign = np.where(state == CLOSED_UPPER, -1.0, np.where(closed, 1.0, 0.0))
    sign = np.where(closed & (law.lower == law.upper), np.where(rn < 0.0, -1.0, 1.0), sign)
    sign = np.where(sign * rn > 0.0, sign, 0.0)[:, law.rubbing]
    limit = law.mu * sign * rn[:, law.rubbing] if law.bound is None else law.bound
    limit = np.where(closed[:, law.rubbing], limit, 0.0)
    rt, yt = _pairs(r[:, c:]), _pairs(w[:, c:]) + law.slide_give[:, None] * _pairs(r[:, c:])
    kt = _pairs(ka[None, c:])
    z = rt - law.weight * kt * (yt - law.anchor)
    z[:, law.line, 1] = 0.0
    size = np.linalg.norm(z, axis=2)
    slide = (size > limit) | ~closed[:, law.rubbing]
    direction = z / np.where(size > 0.0, size, 1.0)[:, :, None]
    slid = (rt - limit[:, :, None] * direction) / kt
    tangential = np.where(slide[:, :, None], slid, yt - law.anchor)
    tangential[:, law.line, 1] = rt[:, law.line, 1] / kt[0, law.line, 1]
    left[:, c:] = tangential.reshape(len(s), -1)
    return _State(r, w, state, sign, limit, slide, direction, size, left)


def _pairs(values: Array) -> Array:
    return values.reshape(len(values), -1, 2)


def _slope(law: _Law, at: _State) -> Array:
    """Derivative of what is left of the laws by the forces, shape (cases, R, R)."""
    ka, c, F = law.flex.auxiliary, len(law.lower), law.flex.F
    count, total = at.r.shape
    on_w, on_r = np.zeros((count, total)), np.zeros((count, total))
    closed = (at.state == CLOSED) | (at.state == CLOSED_UPPER)
    on_w[:, :c] = np.where(closed, 1.0, 0.0)
    on_r[:, :c] = np.where(closed, law.give, 1.0 / ka[:c])
    spring = at.state == SPRING
    whole = np.broadcast_to(ka[:c] + law.rate, spring.shape)
    on_w[:, :c][spring] = np.broadcast_to(law.rate, spring.shape)[spring] / whole[spring]
    on_r[:, :c][spring] = 1.0 / whole[spring]
    if not len(law.rubbing):
        return _rows_of(on_w, on_r, ka, F)
    kt = ka[c::2]
    turn = np.where(at.slide, at.limit / np.where(at.size > 0.0, at.size, 1.0), 0.0)
    turn[:, law.line] = 0.0
    m = turn[:, :, None, None] * (np.eye(2) - at.z[..., :, None] * at.z[..., None, :])
    own_r = (1.0 - law.weight * kt * law.slide_give)[:, None, None] * m / kt[:, None, None]
    own_w = law.weight * m
    slid = at.slide[:, :, None]
    self_r = np.where(slid, 1.0 / kt[:, None] - np.einsum("qfii->qfi", own_r), law.slide_give[:, None])
    self_w = np.where(slid, np.einsum("qfii->qfi", own_w), 1.0)
    self_r[:, law.line, 1], self_w[:, law.line, 1] = 1.0 / kt[law.line], 0.0
    on_r[:, c:], on_w[:, c:] = self_r.reshape(count, -1), self_w.reshape(count, -1)
    out = _rows_of(on_w, on_r, ka, F)
    tied = at.sign * law.mu if law.bound is None else np.zeros_like(at.limit)
    for i in (0, 1):
        row, other = np.arange(c + i, total, 2), np.arange(c + 1 - i, total, 2)
        cross_r = np.where(at.slide, -own_r[:, :, i, 1 - i], 0.0)
        cross_w = np.where(at.slide, own_w[:, :, i, 1 - i], 0.0)
        cross_r[:, law.line] = cross_w[:, law.line] = 0.0
        pull = np.where(at.slide, -tied * at.z[:, :, i] / kt, 0.0)
        out[:, row] += (cross_w - cross_r * ka[other])[:, :, None] * F[other]
        out[:, row, other] += cross_r
        out[:, row] += (-pull * ka[law.rubbing])[:, :, None] * F[law.rubbing]
        out[:, row, law.rubbing] += pull
    return out


def _rows_of(on_w: Array, on_r: Array, ka: Array, F: Array) -> Array:
    out: Array = (on_w - on_r * ka)[:, :, None] * F
    row = np.arange(F.shape[0])
    out[:, row, row] += on_r
    return out


def _step(slope: Array, left: Array) -> Array:
    try:
        return np.asarray(np.linalg.solve(slope, -left[:, :, None])[:, :, 0])
    except np.linalg.LinAlgError:
        return np.stack([np.linalg.lstsq(a, -b, rcond=1e-13)[0] for a, b in zip(slope, left, strict=True)])


def _scale(law: _Law) -> Array:
    """Largest movement that loads and ground give the rows of each case, shape (cases,) [m]."""
    c = len(law.lower)
    pre = np.abs(law.preload / law.flex.auxiliary[:c]).max(axis=1, initial=0.0)
    size = np.maximum(np.abs(law.flex.p0), np.abs(law.flex.offset)).max(axis=1, initial=0.0)
    size = np.maximum(size, pre)
    return np.where(size > 0.0, size, 1.0)


def _measure(law: _Law, at: _State) -> Array:
    """What is left of the laws relative to the largest movement of the case, shape (cases, R)."""
    return np.abs(at.left) / _scale(law)[:, None]


def _within_reach(law: _Law, slope: Array, left: Array, step: Array) -> Array:
    """Replace steps that an almost free motion has made absurdly long by the shortest that does the same, or cut them."""
    ka, limit = law.flex.auxiliary, _REACH * _scale(law)
    for case in np.flatnonzero(np.abs(step / ka).max(axis=1, initial=0.0) > limit):
        step[case] = np.linalg.lstsq(slope[case] * ka, -left[case], rcond=_FREE)[0] * ka
    reach = np.abs(step / ka).max(axis=1, initial=0.0)
    return np.asarray(step * np.minimum(1.0, limit / np.where(reach > 0.0, reach, 1.0))[:, None])


def _newton(law: _Law, s: Array) -> tuple[Array, Mask]:
    """Newton's method with a line search on all cases; returns forces and which cases settled."""
    s = s.copy()
    done = np.zeros(len(s), bool)
    todo = np.arange(len(s))
    best, since = np.full(len(s), np.inf), np.zeros(len(s), int)
    at = _evaluate(law, s)
    for turn in range(_ROUNDS):
        left = _measure(_some(law, todo), at).max(axis=1, initial=0.0)
        better = left < _PROGRESS * best[todo]
        best[todo[better]], since[todo[better]] = left[better], turn
        finished = left <= _SETTLED
        done[todo[finished]] = True
        going = ~finished & (turn - since[todo] <= _PATIENCE)
        todo, at = todo[going], _some_state(at, going)
        if not len(todo):
            break
        part = _some(law, todo)
        slope = _slope(part, at)
        step = _within_reach(part, slope, at.left, _step(slope, at.left))
        s[todo], at = _search(part, s[todo], at, step)
    return s, done


def _search(law: _Law, s: Array, at: _State, step: Array) -> tuple[Array, _State]:
    """Shorten the step of each case until what is left of its laws shrinks; the best length tried where it does not."""
    start = np.linalg.norm(at.left, axis=1)
    found = s + step
    now = _evaluate(law, found)
    best = np.linalg.norm(now.left, axis=1)
    length = 1.0
    for _ in range(_HALVINGS):
        late = np.flatnonzero(best > (1.0 - _DESCENT * length) * start)
        if not len(late):
            return found, now
        length *= 0.5
        shorter = s[late] + length * step[late]
        size = np.linalg.norm(_evaluate(_some(law, late), shorter).left, axis=1)
        better = size < best[late]
        found[late[better]], best[late[better]] = shorter[better], size[better]
        now = _evaluate(law, found)
    return found, now


def _some_state(at: _State, cases: Mask) -> _State:
    return _State(*(getattr(at, name)[cases] for name in _State.__slots__))


def _some(law: _Law, cases: Index) -> _Law:
    flex = replace(law.flex, p0=law.flex.p0[cases], offset=law.flex.offset[cases])
    bound = None if law.bound is None else law.bound[cases]
    return replace(
        law,
        flex=flex,
        preload=law.preload[cases],
        active=law.active[cases],
        anchor=law.anchor[cases],
        bound=bound,
    )


def _ramped(law: _Law, s: Array) -> tuple[Array, Mask]:
    """Newton's method with friction brought in by steps, each starting from the last."""
    done = np.zeros(len(s), bool)
    for share in _RAMP:
        s, done = _newton(replace(law, mu=law.mu * share), s)
    return s, done


def _bounded(law: _Law, s: Array) -> tuple[Array, Mask]:
    """Friction limits held while the forces settle, then renewed, until both agree."""
    limit = np.zeros((len(s), len(law.rubbing)))
    done = np.zeros(len(s), bool)
    for _ in range(_BOUND_ROUNDS):
        s, _ = _newton(replace(law, bound=limit), s)
        at = _evaluate(law, s)
        done = _measure(law, at).max(axis=1, initial=0.0) <= _BOUND_SETTLED
        if done.all():
            break
        limit = 0.5 * (limit + at.limit)
    return s, done


def _stage(law: _Law) -> tuple[Array, Mask]:
    """Solve cases that start from known slip; harder ways only for cases that need them."""
    s, done = np.zeros_like(law.flex.p0), np.zeros(len(law.flex.p0), bool)
    ways = [(_newton, w) for w in _WEIGHTS] + [(_ramped, w) for w in _WEIGHTS[:2]] + [(_bounded, _WEIGHTS[0])]
    for way, weight in ways:
        late = np.flatnonzero(~done)
        if not len(late):
            break
        s[late], done[late] = way(replace(_some(law, late), weight=weight), np.zeros((len(late), s.shape[1])))
    return s, done


def solve_contacts(contacts: Contacts, rows: Rows, flex: Flexibility, follows: Index) -> tuple[ContactResult, Array]:
    """Solve the laws of all contacts for all cases.

    Args:
        contacts: The contacts.
        rows: Their directions.
        flex: The frame as seen from the rows.
        follows: The case each case is reached from, -1 for the unloaded state, shape (cases,).

    Returns:
        The result (movements still empty) and the forces of rows including the auxiliary springs, shape (cases, R).
    """
    c, cases, f = len(contacts.node), len(follows), len(rows.rubbing)
    total = np.zeros((cases, len(rows.contact)))
    anchor = np.zeros((cases, f, 2))
    settled = np.zeros(cases, bool)
    state, slip = np.zeros((c, cases), np.int8), np.zeros((c, cases), np.int8)
    normal, rub = np.zeros((c, cases)), np.zeros((c, 3, cases))
    where, left = np.zeros((c, 2, cases)), np.zeros((c, cases))
    for group in stages(follows):
        start = np.where((follows[group] >= 0)[:, None, None], anchor[np.maximum(follows[group], 0)], 0.0)
        law = _law(contacts, rows, flex, group, start)
        total[group], settled[group] = _stage(law)
        at = _evaluate(law, total[group])
        anchor[group] = _anchors(law, at)
        state[:, group] = at.state.T
        slip[np.ix_(rows.rubbing, group)] = _slip_words(at, rows.rubbing).T
        normal[:, group] = _clean_normal(at, c).T
        rub[np.ix_(rows.rubbing, np.arange(3), group)] = _friction(rows, at, c)
        where[np.ix_(rows.rubbing, np.arange(2), group)] = anchor[group].transpose(1, 2, 0)
        share = _measure(law, at).T
        for i, row in enumerate(rows.contact):
            left[row, group] = np.maximum(left[row, group], share[i])
    settled &= np.where(follows >= 0, settled[np.maximum(follows, 0)], True)
    return ContactResult(state, slip, normal, rub, np.zeros((c, 3, cases)), where, settled, left), total


def _clean_normal(at: _State, c: int) -> Array:
    idle = (at.state == OPEN) | (at.state == INACTIVE)
    return np.where(idle, 0.0, at.r[:, :c])


def _slip_words(at: _State, rubbing: Index) -> npt.NDArray[np.int8]:
    touching = (at.state[:, rubbing] == CLOSED) | (at.state[:, rubbing] == CLOSED_UPPER)
    return np.where(touching, np.where(at.slide, SLIP, STICK), NO_FRICTION).astype(np.int8)


def _friction(rows: Rows, at: _State, c: int) -> Array:
    """Friction vectors, shape (f, 3, cases); sliding ones have exactly the limit."""
    force = _pairs(at.r[:, c:])
    force = np.where(at.slide[:, :, None], at.limit[:, :, None] * at.z, force)
    return np.asarray(np.einsum("qfi,fix->fxq", force, rows.direction[c:].reshape(-1, 2, 3)))


def _anchors(law: _Law, at: _State) -> Array:
    """Positions of zero friction after the case: kept where stuck, dragged along where sliding or lifted."""
    c = len(law.lower)
    dragged = _pairs(at.w[:, c:]) + law.slide_give[:, None] * _pairs(at.r[:, c:])
    return np.where(at.slide[:, :, None], dragged, law.anchor)
