"""The laws of contacts in complementarity form, and their derivative, for all rows and cases at once.

Unknown are the forces of rows, to which the force of the auxiliary spring of the row is added. What is left of a law
is a length: zero where the law holds.

Source: P. Alart, A. Curnier, A mixed formulation for frictional contact problems prone to Newton like solution
    methods, Computer Methods in Applied Mechanics and Engineering 92, 1991, pp. 353-375.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from pipecalc.calc.contact import CLOSED, CLOSED_UPPER, INACTIVE, OPEN, SPRING, Contacts, Rows
from pipecalc.calc.contact_flexibility import Flexibility
from pipecalc.calc.frame import Array, Index, Mask

# Weight of gap against force in telling closed from open and stuck from sliding: the solution does not depend on it,
# the way there does. Cases that do not settle with one weight are tried with the next.
WEIGHTS = (0.1, 1.0, 0.01, 0.3)
_LOST = 1e6  # movements beyond this multiple of the expected are no solution


@dataclass(frozen=True, slots=True, eq=False)
class Law:
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
    near: Array
    weight: float = WEIGHTS[0]


@dataclass(frozen=True, slots=True, eq=False)
class State:
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


def build_law(contacts: Contacts, rows: Rows, flex: Flexibility, cases: Index, anchor: Array, near: Array) -> Law:
    """Return the laws of some cases that start from known slip, to be solved from movements nearby."""
    rub = rows.rubbing
    with np.errstate(divide="ignore"):
        give, slide_give = 1.0 / contacts.stiffness, 1.0 / contacts.friction_stiffness[rub]
    part = flex.pick(cases)
    return Law(
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
        near,
    )


def evaluate(law: Law, s: Array) -> State:
    """Return states and what is left of each law [m] at the forces `s` (contact plus auxiliary), shape (cases, R)."""
    ka, c = law.flex.auxiliary, len(law.lower)
    p = law.flex.row_movements(s)
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
    limit = law.mu * sign * rn[:, law.rubbing]
    limit = np.where(closed[:, law.rubbing], limit, 0.0)
    rt, yt = pairs(r[:, c:]), pairs(w[:, c:]) + law.slide_give[:, None] * pairs(r[:, c:])
    kt = pairs(ka[None, c:])
    z = rt - law.weight * kt * (yt - law.anchor)
    z[:, law.line, 1] = 0.0
    size = np.hypot(z[:, :, 0], z[:, :, 1])
    slide = (size > limit) | ~closed[:, law.rubbing]
    direction = z / np.where(size > 0.0, size, 1.0)[:, :, None]
    slid = (rt - limit[:, :, None] * direction) / kt
    tangential = np.where(slide[:, :, None], slid, yt - law.anchor)
    tangential[:, law.line, 1] = rt[:, law.line, 1] / kt[0, law.line, 1]
    left[:, c:] = tangential.reshape(len(s), -1)
    return State(r, w, state, sign, limit, slide, direction, size, left)


def pairs(values: Array) -> Array:
    """Return the two tangents of each rubbing contact apart, shape (cases, f, 2)."""
    return values.reshape(len(values), -1, 2)


def slope_of(law: Law, at: State) -> Array:
    """Return the derivative of what is left of the laws by the forces, shape (cases, R, R)."""
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
    tied = at.sign * law.mu
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


def scale_of(law: Law) -> Array:
    """Return the largest movement that loads and ground give the rows of each case, shape (cases,) [m]."""
    c = len(law.lower)
    pre = np.abs(law.preload / law.flex.auxiliary[:c]).max(axis=1, initial=0.0)
    size = np.maximum(np.abs(law.flex.p0), np.abs(law.flex.offset)).max(axis=1, initial=0.0)
    size = np.maximum(size, pre)
    return np.where(size > 0.0, size, 1.0)


def measure(law: Law, at: State) -> Array:
    """Return what is left of the laws relative to the largest movement of the case, shape (cases, R)."""
    scale = scale_of(law)[:, None]
    lost = np.abs(at.w).max(axis=1, keepdims=True, initial=0.0) > _LOST * scale
    return np.where(lost, np.inf, np.abs(at.left) / scale)


def pick_cases(law: Law, cases: Index) -> Law:
    """Return the laws of some of the cases."""
    return replace(
        law,
        flex=law.flex.pick(cases),
        preload=law.preload[cases],
        active=law.active[cases],
        anchor=law.anchor[cases],
        near=law.near[cases],
    )


def pick_states(at: State, cases: Mask) -> State:
    """Return the states of some of the cases."""
    return State(*(getattr(at, name)[cases] for name in State.__slots__))
