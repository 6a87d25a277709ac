"""Solve the laws of all contacts on the freedoms of the supports alone, all cases of a stage together.

Where some supports rub, Newton's method starts from the least energy with friction limits held and works on the band
of the frame; where few or none do, it works on a small dense flexibility from rest. Each is tried where the other does
not settle; a case that does not settle in any way is told as such.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import numpy.typing as npt

from pipecalc.calc.contact import (
    CLOSED,
    CLOSED_UPPER,
    INACTIVE,
    NO_FRICTION,
    OPEN,
    SLIP,
    STICK,
    ContactResult,
    Contacts,
    Rows,
    stages,
)
from pipecalc.calc.contact_energy import EnergyProblem, finite, minimise
from pipecalc.calc.contact_flexibility import Flexibility
from pipecalc.calc.contact_law import (
    WEIGHTS,
    Law,
    State,
    build_law,
    evaluate,
    measure,
    pairs,
    pick_cases,
    pick_states,
    scale_of,
    slope_of,
)
from pipecalc.calc.contact_steps import settle
from pipecalc.calc.frame import Array, Index, Mask

_ROUNDS = 40
_PATIENCE = 8  # rounds without progress after which a way is given up
_PROGRESS = 0.9
_SETTLED = 1e-11
_REACH = 20.0
_FREE = 1e-8
_SMALL = 90  # rows up to which a singular value decomposition is cheap
_FEW = 12  # rows up to which Newton's method on the forces of rows alone is the quicker way
_HALVINGS = 6
_DESCENT = 1e-4
_RAMP = (0.0, 0.25, 0.5, 0.75, 0.9, 1.0)
_UNLIMITED = 1e30
_RENEWALS = 14
_ROUGH, _FINE = 1e-2, 1e-10


def _step(slope: Array, left: Array) -> Array:
    try:
        return np.asarray(np.linalg.solve(slope, -left[:, :, None])[:, :, 0])
    except np.linalg.LinAlgError:
        return np.stack([np.linalg.lstsq(a, -b, rcond=1e-13)[0] for a, b in zip(slope, left, strict=True)])


def _within_reach(law: Law, slope: Array, left: Array, step: Array) -> Array:
    """Replace steps that an almost free motion has made absurdly long by the shortest alike, or cut them."""
    ka, limit = law.flex.auxiliary, _REACH * scale_of(law)
    far = np.flatnonzero(np.abs(step / ka).max(axis=1, initial=0.0) > limit)
    for case in far if step.shape[1] <= _SMALL else []:
        step[case] = np.linalg.lstsq(slope[case] * ka, -left[case], rcond=_FREE)[0] * ka
    reach = np.abs(step / ka).max(axis=1, initial=0.0)
    return np.asarray(step * np.minimum(1.0, limit / np.where(reach > 0.0, reach, 1.0))[:, None])


def _newton(law: Law, s: Array) -> tuple[Array, Mask]:
    """Newton's method with a line search on all cases; returns forces and which cases settled."""
    s = s.copy()
    done = np.zeros(len(s), bool)
    todo = np.arange(len(s))
    best, since = np.full(len(s), np.inf), np.zeros(len(s), int)
    at = evaluate(law, s)
    for turn in range(_ROUNDS):
        left = measure(pick_cases(law, todo), at).max(axis=1, initial=0.0)
        better = left < _PROGRESS * best[todo]
        best[todo[better]], since[todo[better]] = left[better], turn
        finished = left <= _SETTLED
        done[todo[finished]] = True
        going = ~finished & (turn - since[todo] <= _PATIENCE)
        todo, at = todo[going], pick_states(at, going)
        if not len(todo):
            break
        part = pick_cases(law, todo)
        slope = slope_of(part, at)
        step = _within_reach(part, slope, at.left, _step(slope, at.left))
        s[todo], at = _search(part, s[todo], at, step)
    return s, done


def _search(law: Law, s: Array, at: State, step: Array) -> tuple[Array, State]:
    """Shorten the step of each case until what is left of its laws shrinks; the best length tried where it does not."""
    start = np.linalg.norm(at.left, axis=1)
    found = s + step
    now = evaluate(law, found)
    best = np.linalg.norm(now.left, axis=1)
    length = 1.0
    for _ in range(_HALVINGS):
        late = np.flatnonzero(best > (1.0 - _DESCENT * length) * start)
        if not len(late):
            return found, now
        length *= 0.5
        shorter = s[late] + length * step[late]
        size = np.linalg.norm(evaluate(pick_cases(law, late), shorter).left, axis=1)
        better = size < best[late]
        found[late[better]], best[late[better]] = shorter[better], size[better]
        now = evaluate(law, found)
    return found, now


def _ramped(law: Law, s: Array) -> tuple[Array, Mask]:
    """Newton's method with friction brought in by steps, each starting from the last."""
    done = np.zeros(len(s), bool)
    for share in _RAMP:
        s, done = _newton(replace(law, mu=law.mu * share), s)
    return s, done


def _minimised(law: Law, s: Array) -> tuple[Array, Mask]:
    """Newton's method on the band of the frame, from the least energy with friction limits held and renewed."""
    s, done = s.copy(), np.zeros(len(s), bool)
    live, problem, u, scale = np.arange(len(s)), _energy(law), law.near, scale_of(law)
    for turn in range(_RENEWALS):
        at = minimise(problem, u, max(_ROUGH * 0.1**turn, _FINE))
        w, r, done[live] = settle(problem, at.w, at.r, at.missing, law.give, law.flex.auxiliary, scale[live])
        s[live] = r + law.flex.auxiliary * (w - problem.offset)
        late = ~done[live]
        if not late.any():
            break
        limit = problem.mu * np.abs(at.r[:, problem.rubbing])
        live, problem, u = live[late], replace(problem, limit=limit).pick(late), at.u[late]
    return s, done


def _energy(law: Law) -> EnergyProblem:
    """The energy of frame and supports, friction without limit."""
    flex, c = law.flex, len(law.lower)
    here = law.active[:1] if law.active.all() else law.active
    preload = law.preload if law.is_spring.any() else law.preload[:1]
    with np.errstate(divide="ignore"):
        normal = finite(1.0 / law.give, flex.auxiliary[:c])
    tangential = np.repeat(1.0 / law.slide_give[:, None], 2, axis=1)
    tangential[law.line, 1] = 0.0
    rubs = here[:, law.rubbing]
    return EnergyProblem(
        flex.band,
        flex.seats,
        flex.load,
        flex.offset,
        law.lower,
        law.upper,
        np.where(here & ~law.is_spring, normal, 0.0),
        np.where(here, law.rate, 0.0),
        np.where(here & law.is_spring, preload, 0.0),
        tangential,
        law.anchor,
        np.where(rubs, _UNLIMITED, 0.0),
        np.where(rubs, law.mu, 0.0),
        law.rubbing,
    )


def _stage(law: Law) -> tuple[Array, Mask, State, Array]:
    """Solve cases that start from known slip; harder ways only for cases that need them.

    The complementarity form has the last word on every case; what it finds goes on to the results.

    Returns:
        Forces of rows, which cases settled, the states and what is left of the laws.
    """
    s, done = np.zeros_like(law.flex.p0), np.zeros(len(law.flex.p0), bool)
    many = s.shape[1] > _FEW and len(law.rubbing) > 0
    first = [_minimised, _newton] if many else [_newton, _minimised]
    ways = [(way, WEIGHTS[0]) for way in first]
    ways += [(_newton, w) for w in WEIGHTS[1:]] + [(_ramped, WEIGHTS[0])]
    for way, weight in ways:
        late = np.flatnonzero(~done)
        if not len(late):
            break
        part = law if len(late) == len(s) else pick_cases(law, late)
        s[late], done[late] = way(replace(part, weight=weight), np.zeros((len(late), s.shape[1])))
        at = evaluate(law, s)
        left = measure(law, at)
        rough = np.flatnonzero(done & (left.max(axis=1, initial=0.0) > _SETTLED))
        if len(rough):
            s[rough], done[rough] = _newton(pick_cases(law, rough), s[rough])
            at = evaluate(law, s)
            left = measure(law, at)
    return s, done, at, left


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
    c, cases, f, rub = len(contacts.node), len(follows), len(rows.rubbing), rows.rubbing
    total = np.zeros((cases, len(rows.contact)))
    anchor = np.zeros((cases, f, 2))
    settled = np.zeros(cases, bool)
    state, slip = np.zeros((cases, c), np.int8), np.zeros((cases, c), np.int8)
    normal, friction = np.zeros((cases, c)), np.zeros((cases, c, 3))
    left = np.zeros((cases, c))
    for group in stages(follows):
        start = np.where((follows[group] >= 0)[:, None, None], anchor[np.maximum(follows[group], 0)], 0.0)
        law = build_law(contacts, rows, flex, group, start, _near(flex, total, group, follows[group], settled))
        total[group], settled[group], at, share = _stage(law)
        anchor[group] = _anchors(law, at)
        state[group] = at.state
        slip[group[:, None], rub] = _slip_words(at, rub)
        normal[group] = _clean_normal(at, c)
        friction[group[:, None], rub] = _friction(rows, at, c)
        left[group] = _left_of(share, rub, c)
    settled &= np.where(follows >= 0, settled[np.maximum(follows, 0)], True)
    where = np.zeros((cases, c, 2))
    where[:, rub] = anchor
    moved = np.zeros((c, 3, cases))
    forces = friction.transpose(1, 2, 0)
    found = ContactResult(state.T, slip.T, normal.T, forces, moved, where.transpose(1, 2, 0), settled, left.T)
    return found, total


def _near(flex: Flexibility, total: Array, group: Index, before: Index, settled: Mask) -> Array:
    """Movements to look from for the least energy: those of the case before, else those without contact forces."""
    near = flex.start[group]
    known = np.flatnonzero((before >= 0) & settled[np.maximum(before, 0)])
    if len(known):
        cases, which = np.unique(before[known], return_inverse=True)
        near[known] = flex.pick(cases).movements(total[cases])[which]
    return near


def _left_of(share: Array, rubbing: Index, c: int) -> Array:
    """Largest of what is left of the normal and tangential laws of each contact, shape (cases, c)."""
    out = share[:, :c].copy()
    out[:, rubbing] = np.maximum(out[:, rubbing], pairs(share[:, c:]).max(axis=2))
    return out


def _clean_normal(at: State, c: int) -> Array:
    idle = (at.state == OPEN) | (at.state == INACTIVE)
    return np.where(idle, 0.0, at.r[:, :c])


def _slip_words(at: State, rubbing: Index) -> npt.NDArray[np.int8]:
    touching = (at.state[:, rubbing] == CLOSED) | (at.state[:, rubbing] == CLOSED_UPPER)
    return np.where(touching, np.where(at.slide, SLIP, STICK), NO_FRICTION).astype(np.int8)


def _friction(rows: Rows, at: State, c: int) -> Array:
    """Friction vectors, shape (cases, f, 3); sliding ones have exactly the limit."""
    force = pairs(at.r[:, c:])
    force = np.where(at.slide[:, :, None], at.limit[:, :, None] * at.z, force)
    one, other = rows.direction[c::2], rows.direction[c + 1 :: 2]
    return np.asarray(force[:, :, :1] * one + force[:, :, 1:] * other)


def _anchors(law: Law, at: State) -> Array:
    """Positions of zero friction after the case: kept where stuck, dragged along where sliding or lifted."""
    c = len(law.lower)
    dragged = pairs(at.w[:, c:]) + law.slide_give[:, None] * pairs(at.r[:, c:])
    return np.where(at.slide[:, :, None], dragged, law.anchor)
