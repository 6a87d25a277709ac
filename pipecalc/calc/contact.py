"""Supports that lift, gap, slide, pull only or carry a spring: what they are and what they were found to do.

A case in which they do not settle is a result, not an exception.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from pipecalc.calc.frame import Array, Index, Mask

INACTIVE, OPEN, CLOSED, CLOSED_UPPER, SPRING = range(5)
NO_FRICTION, STICK, SLIP = range(3)
STICK_STIFFNESS = 1e8  # N/m, common practice, no source


@dataclass(frozen=True, slots=True, eq=False)
class Contacts:
    """Supports with one-way, gapped, spring or friction behaviour, one row each.

    The position of the pipe along the normal relative to the ground is free between `lower` and `upper`; beyond, the
    support pushes back with its stiffness. A rest: normal up, lower 0, upper infinite. A tension-only rod: the same,
    without friction. A two-way stop: lower = upper = 0. A guide with gaps: lower = -gap, upper = +gap.

    Attributes:
        node: Node supported, shape (c,).
        normal: Unit normal, the way the support pushes at `lower`, shape (c, 3).
        tangent: Unit line along which friction acts; NaN for friction in the plane square to the normal, shape (c,
            3).
        lower: Lower end of free travel, -inf for none, shape (c,) [m].
        upper: Upper end of free travel, inf for none, shape (c,) [m].
        stiffness: Infinite for rigid; the rate of a spring, zero for a constant load, shape (c,) [N/m].
        friction: Coefficient of friction, shape (c,).
        friction_stiffness: Stiffness before sliding, finite, because two rubbing supports of one node would share the
            force in no particular way otherwise, shape (c,) [N/m].
        is_spring: Always acting with force preload - rate x position, shape (c,).
        preload: Spring force at position zero, shape (c, cases) [N].
        ground: Movement of the ground, shape (c, 3, cases) [m].
        active: Whether the support is there, shape (c, cases).
    """

    node: Index
    normal: Array
    tangent: Array
    lower: Array
    upper: Array
    stiffness: Array
    friction: Array
    friction_stiffness: Array
    is_spring: Mask
    preload: Array
    ground: Array
    active: Mask


@dataclass(frozen=True, slots=True, eq=False)
class ContactResult:
    """What each support does in each case.

    Attributes:
        state: INACTIVE, OPEN, CLOSED (at lower), CLOSED_UPPER or SPRING, shape (c, cases).
        slip: NO_FRICTION, STICK or SLIP, shape (c, cases).
        normal_force: Force on the pipe along the normal, signed, shape (c, cases) [N].
        friction_force: Friction on the pipe, global axes, shape (c, 3, cases) [N].
        movement: Movement of the pipe relative to the ground, global axes, shape (c, 3, cases) [m].
        anchor: Position along both tangents at which friction is zero (the slip so far), shape (c, 2, cases) [m].
        settled: Whether all laws hold in the case, shape (cases,).
        residual: What is left of the law of each support, relative, shape (c, cases).
    """

    state: npt.NDArray[np.int8]
    slip: npt.NDArray[np.int8]
    normal_force: Array
    friction_force: Array
    movement: Array
    anchor: Array
    settled: Mask
    residual: Array


def build_contacts(
    node: npt.ArrayLike,
    normal: npt.ArrayLike,
    cases: int = 1,
    *,
    lower: npt.ArrayLike = 0.0,
    upper: npt.ArrayLike = np.inf,
    stiffness: npt.ArrayLike = np.inf,
    friction: npt.ArrayLike = 0.0,
    friction_stiffness: npt.ArrayLike = STICK_STIFFNESS,
    tangent: npt.ArrayLike | None = None,
    is_spring: npt.ArrayLike = False,
    preload: npt.ArrayLike = 0.0,
    ground: npt.ArrayLike = 0.0,
    active: npt.ArrayLike = True,
) -> Contacts:
    """Return contacts; scalars stand for all rows, see `Contacts` for meaning and units.

    Raises:
        ValueError: A normal without length, lower above upper, a negative coefficient or stiffness, a non-spring
            without stiffness, a spring with friction or with infinite rate, or a tangent along the normal.
    """
    where = np.atleast_1d(np.array(node, np.intp))
    count = len(where)

    def column(value: npt.ArrayLike) -> Array:
        return np.array(np.broadcast_to(np.asarray(value, float), (count,)))

    way = np.array(normal, float).reshape(count, 3)
    way = way / np.linalg.norm(way, axis=1, keepdims=True)
    line = np.full((count, 3), np.nan) if tangent is None else np.array(tangent, float).reshape(count, 3)
    line = line - np.einsum("ij,ij->i", line, way)[:, None] * way
    line = line / np.linalg.norm(line, axis=1, keepdims=True)
    contacts = Contacts(
        where,
        way,
        line,
        column(lower),
        column(upper),
        column(stiffness),
        column(friction),
        column(friction_stiffness),
        np.array(np.broadcast_to(np.asarray(is_spring, bool), (count,))),
        np.array(np.broadcast_to(np.asarray(preload, float), (count, cases))),
        np.array(np.broadcast_to(np.asarray(ground, float), (count, 3, cases))),
        np.array(np.broadcast_to(np.asarray(active, bool), (count, cases))),
    )
    _check(contacts)
    return contacts


def _check(c: Contacts) -> None:
    faults = {
        "normal without length": ~np.isfinite(c.normal).all(axis=1),
        "lower above upper": ~(c.lower <= c.upper),
        "friction below zero": ~(c.friction >= 0.0),
        "stiffness below zero": ~((c.stiffness >= 0.0) & (c.friction_stiffness > 0.0)),
        "rubbing support without finite friction stiffness": (c.friction > 0.0) & np.isinf(c.friction_stiffness),
        "support without stiffness": ~c.is_spring & (c.stiffness == 0.0),
        "spring with friction or infinite rate": c.is_spring & ((c.friction > 0.0) | np.isinf(c.stiffness)),
    }
    for what, bad in faults.items():
        if np.any(bad):
            raise ValueError(f"{what}: rows {np.flatnonzero(bad)[:8].tolist()}")


def tangents(contacts: Contacts) -> Array:
    """Return two unit directions square to each normal, the first along a friction line given, shape (c, 2, 3)."""
    east, north = np.array([1.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0])
    seed = np.where(np.abs(contacts.normal[:, :1]) < 0.9, east, north)
    first = seed - np.einsum("ij,ij->i", seed, contacts.normal)[:, None] * contacts.normal
    first /= np.linalg.norm(first, axis=1, keepdims=True)
    first = np.where(np.isfinite(contacts.tangent), contacts.tangent, first)
    return np.stack([first, np.cross(contacts.normal, first)], axis=1)


@dataclass(frozen=True, slots=True, eq=False)
class Rows:
    """Directions in which contacts act, one row each: all normals, then two tangents of each contact with friction.

    Attributes:
        contact: Contact of each row, shape (R,).
        direction: Unit direction, global axes, shape (R, 3).
        rubbing: Contacts with friction, shape (f,); their tangents are rows c + 2 i and c + 2 i + 1.
    """

    contact: Index
    direction: Array
    rubbing: Index


def contact_rows(contacts: Contacts) -> Rows:
    """Return the directions in which contacts act."""
    rubbing = np.flatnonzero(contacts.friction > 0.0)
    across = tangents(contacts)[rubbing].reshape(-1, 3)
    contact = np.concatenate([np.arange(len(contacts.node)), np.repeat(rubbing, 2)])
    return Rows(contact, np.concatenate([contacts.normal, across]), rubbing)


def stages(follows: Index) -> list[Index]:
    """Return cases in groups such that each case comes after the one it follows (-1 for the unloaded state).

    Raises:
        ValueError: Cases that follow each other in a ring.
    """
    level = np.full(len(follows), -1)
    level[follows < 0] = 0
    for step in range(1, len(follows) + 1):
        late = (level < 0) & (follows >= 0)
        if not late.any():
            break
        ready = late & (level[np.maximum(follows, 0)] == step - 1)
        level[ready] = step
    if np.any(level < 0):
        raise ValueError("cases follow each other in a ring")
    return [np.flatnonzero(level == step) for step in range(int(level.max(initial=-1)) + 1)]
