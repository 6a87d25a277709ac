"""Solve a frame: one factorisation, all cases in one go, supports that lift or rub on the condensed freedoms."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import numpy.typing as npt
from scipy.linalg import LinAlgError

from pipecalc.calc.assembly import Held, hold, restraint_blocks, turned_elements
from pipecalc.calc.condense import Condensed, condense, order_kept
from pipecalc.calc.contact import (
    ContactResult,
    Contacts,
    Rows,
    build_contacts,
    contact_rows,
)
from pipecalc.calc.contact_flexibility import Flexibility, Seats, build_flexibility
from pipecalc.calc.contact_newton import solve_contacts
from pipecalc.calc.elements import build_stack, element_loads, gather, scatter
from pipecalc.calc.factor import Factor, SingularStiffnessError, factor
from pipecalc.calc.frame import Array, Frame, Index, Loads, Mask, Restraints
from pipecalc.calc.mechanism import Mechanism, find_mechanisms
from pipecalc.calc.recovery import Problem, Solution, nothing_found, recover, widen

_REFINE_ABOVE = 2e-9  # imbalance of a node above which rounding is corrected once
_AUXILIARY_FLOOR = 1e-4
_SOFT = 1e-12


def no_contacts(cases: int) -> Contacts:
    """Return contacts of a frame that has none."""
    return build_contacts(np.zeros(0, np.intp), np.zeros((0, 3)), cases)


def solve(
    frame: Frame,
    restraints: Restraints,
    loads: Loads,
    contacts: Contacts | None = None,
    follows: npt.ArrayLike | None = None,
) -> Solution:
    """Solve a frame of one stiffness for all cases.

    Supports in `contacts` are solved case by case and never superposed. Friction keeps its history: a case that
    follows another starts from the slip that the other left.

    Args:
        frame: The frame.
        restraints: Two-way restraints, with as many cases as the loads.
        loads: The loads.
        contacts: One-way, gapped, rubbing and spring supports.
        follows: The case each case is reached from, -1 for the unloaded state, shape (cases,).

    Returns:
        The solution. A frame that is free to move and supports that do not settle are told there.

    Raises:
        ValueError: Case counts that differ, or restraints that contradict each other.
    """
    contacts = no_contacts(loads.cases) if contacts is None else contacts
    after = np.full(loads.cases, -1) if follows is None else np.array(follows, np.intp)
    if {restraints.movement.shape[1], contacts.active.shape[1], len(after)} != {loads.cases}:
        raise ValueError("loads, restraints, contacts and order of cases differ in the number of cases")
    rows = contact_rows(contacts)
    mechanisms = _mechanisms_by_case(frame, restraints, contacts, rows)
    good = np.ones(loads.cases, bool)
    for free in mechanisms:
        good[free.cases] = False
    for _ in range(loads.cases):
        good &= (after < 0) | good[np.maximum(after, 0)]
    try:
        if good.all():
            return _solve_held(frame, restraints, loads, contacts, rows, after)
        if good.any():
            return _solve_some(frame, restraints, loads, contacts, rows, after, good, mechanisms)
    except (SingularStiffnessError, LinAlgError):
        pass
    return nothing_found(frame, restraints, contacts, loads.cases, mechanisms)


def _mechanisms_by_case(frame: Frame, restraints: Restraints, contacts: Contacts, rows: Rows) -> tuple[Mechanism, ...]:
    found: list[Mechanism] = []
    holds = ~contacts.is_spring[rows.contact] | (contacts.stiffness[rows.contact] > 0.0)
    line = np.isfinite(contacts.tangent[rows.contact, 0])
    second = np.zeros(len(rows.contact), bool)
    second[len(contacts.node) + 1 :: 2] = True
    holds &= ~(second & line)
    active = contacts.active.T
    if (active == active[:1]).all():  # sorting whole patterns is slow
        patterns, label = active[:1], np.zeros(len(active), np.intp)
    else:
        patterns, label = np.unique(active, axis=0, return_inverse=True)
    for i, pattern in enumerate(patterns):
        use = holds & pattern[rows.contact]
        node = contacts.node[rows.contact[use]]
        cases = np.flatnonzero(label.reshape(-1) == i)
        for free in find_mechanisms(frame, restraints, node, rows.direction[use]):
            found.append(replace(free, cases=cases))  # noqa: PERF401 - two loops read better than one line
    return tuple(found)


def _solve_some(
    frame: Frame,
    restraints: Restraints,
    loads: Loads,
    contacts: Contacts,
    rows: Rows,
    after: Index,
    good: Mask,
    mechanisms: tuple[Mechanism, ...],
) -> Solution:
    """Solve the cases without free motion and leave NaN in the others."""
    use = np.flatnonzero(good)
    number = np.cumsum(good) - 1
    follows = np.where(after[use] < 0, -1, number[np.maximum(after[use], 0)])
    part = Loads(*(getattr(loads, name)[..., use] for name in Loads.__slots__))
    held = replace(restraints, movement=restraints.movement[:, use])
    some = replace(
        contacts,
        preload=contacts.preload[:, use],
        ground=contacts.ground[..., use],
        active=contacts.active[:, use],
    )
    found = _solve_held(frame, held, part, some, rows, follows)
    return widen(found, use, len(good), mechanisms)


def _assemble(frame: Frame, restraints: Restraints, loads: Loads) -> Problem:
    n = len(frame.nodes)
    stack = build_stack(frame)
    held = hold(n, restraints, loads.cases)
    end_loads = element_loads(stack, loads)
    applied = scatter(end_loads, stack.elements.ends, n)
    if loads.nodal.any():
        applied += loads.nodal
    elements = turned_elements(stack.elements, held)
    blocks = restraint_blocks(restraints, held)
    return Problem(frame, restraints, loads, stack.elements, held, elements, blocks, end_loads, applied)


def _ground_push(problem: Problem) -> Array:
    """Force of moving ground through elastic restraints, node axes, shape (n, 6, cases)."""
    out = np.zeros_like(problem.applied)
    held, restraints = problem.held, problem.restraints
    push = restraints.stiffness[held.elastic][:, None] * restraints.movement[held.elastic]
    np.add.at(out, restraints.node[held.elastic], held.unit[:, :, None] * push[:, None, :])
    return held.to_node_axes(out)


def _carried(problem: Problem, movement: Array) -> Array:
    """Nodal actions that known movements of some nodes (node axes) call up, shape (n, 6, cases)."""
    if not movement.any():
        return np.zeros_like(movement)
    moving = np.asarray(movement.reshape(len(movement), -1).any(axis=1), bool)
    ends = problem.in_node_axes.ends
    rows = np.flatnonzero(moving[ends].any(axis=1))
    out = scatter(problem.in_node_axes.matrices(rows) @ gather(movement, ends[rows]), ends[rows], len(movement))
    node, block = problem.blocks
    np.add.at(out, node, block @ movement[node])
    return out


def _solve_held(
    frame: Frame, restraints: Restraints, loads: Loads, contacts: Contacts, rows: Rows, after: Index
) -> Solution:
    problem = _assemble(frame, restraints, loads)
    kept = np.unique(contacts.node)
    is_kept = np.zeros(len(frame.nodes), bool)
    is_kept[kept] = True
    inner = factor(problem.in_node_axes, problem.held.fixed, is_kept, problem.blocks)
    load = problem.held.to_node_axes(problem.applied)
    if problem.held.elastic.size:
        load = load + _ground_push(problem)
    start = problem.held.moved
    moving = bool(start.any())
    if moving:
        load = load - _carried(problem, start)
    if not len(kept):
        moved = inner.solve(load)
        found = recover(problem, problem.held.to_global(moved + start if moving else moved), contacts, None)
        if found.residual.max(initial=0.0) <= _REFINE_ABOVE:
            return found
        left = np.where(problem.held.fixed[:, :, None], 0.0, load - _carried(problem, moved))
        return recover(problem, problem.held.to_global(moved + inner.solve(left) + start), contacts, None)
    moved, result = _supported(problem, inner, contacts, rows, kept, load, after)
    return recover(problem, problem.held.to_global(moved), contacts, result)


def _supported(
    problem: Problem, inner: Factor, contacts: Contacts, rows: Rows, kept: Index, load: Array, after: Index
) -> tuple[Array, ContactResult]:
    """Movements (node axes) with contacts: condense, solve the laws, go back."""
    fixed, held = problem.held.fixed, problem.held
    q, cases = len(kept), load.shape[2]
    kept, frame = _reduced(problem, inner, kept)
    half = inner.forward(inner.pack(load))
    push = np.where(fixed[kept][:, :, None], 0.0, frame.reaches.seen(load[kept], half)).reshape(6 * q, cases)
    flex = _flexibility(frame, push, problem, contacts, rows, kept)
    result, forces = solve_contacts(contacts, rows, flex, after)
    at = flex.movements(forces).T.reshape(q, 6, cases)
    frame.reaches.follow(half, at)
    moved = inner.unpack(inner.back(half))
    moved[kept] = at
    return moved + held.moved if held.moved.any() else moved, result


def _reduced(problem: Problem, inner: Factor, kept: Index) -> tuple[Index, Condensed]:
    """Kept nodes in order and the frame as they feel it; the latest is given again with the factor it belongs to."""
    if not _latest or _latest[0][0] is not inner:
        kept = order_kept(problem.elements.ends, kept, inner.run)
        frame = condense(problem.in_node_axes, kept, problem.held.fixed, problem.blocks, inner)
        _latest[:] = [(inner, kept, frame)]
    return _latest[0][1:]


#: The factor of inner nodes, kept nodes in order, and the frame as they feel it.
_latest: list[tuple[Factor, Index, Condensed]] = []


def _flexibility(
    frame: Condensed, push: Array, problem: Problem, contacts: Contacts, rows: Rows, kept: Index
) -> Flexibility:
    """The frame as the contacts feel it."""
    number = np.full(len(problem.frame.nodes), -1, np.intp)
    number[kept] = np.arange(len(kept))
    place = number[contacts.node[rows.contact]]
    unit = _row_units(contacts, rows, problem.held)
    free = unit * ~problem.held.fixed[kept, :3][place]
    auxiliary = _auxiliary(place, free, frame, len(contacts.node))
    ground = np.einsum("rx,rxc->cr", rows.direction, contacts.ground[rows.contact])
    known = np.einsum("rx,rxc->cr", unit, problem.held.moved[contacts.node[rows.contact], :3])
    seats = Seats(place, free, rows.rubbing, 6 * len(kept))
    return build_flexibility(frame.stiffness, seats, push.T, known - ground, auxiliary)


def _row_units(contacts: Contacts, rows: Rows, held: Held) -> Array:
    """Directions of rows in the axes of their nodes, shape (R, 3)."""
    node = contacts.node[rows.contact]
    unit = rows.direction.copy()
    for t, turned in enumerate(held.turned):
        here = node == turned
        unit[here] = unit[here] @ held.axes[t, :3, :3].T
    return unit


def _auxiliary(place: Index, unit: Array, frame: Condensed, c: int) -> Array:
    """Stiffness of auxiliary springs: that of the frame as the row feels it; one value for both tangents.

    Args:
        place: Place of the node of each row among the kept nodes, shape (R,).
        unit: Direction of each row over the free translations of its node, shape (R, 3).
        frame: The frame as the kept nodes feel it.
        c: Number of contacts, the normals of which come first.
    """
    own = frame.stiffness[:, 0]
    turning = own[:, 3:, 3:]
    size = np.trace(turning, axis1=1, axis2=2)
    turning = turning + (_SOFT * np.where(size > 0.0, size, 1.0))[:, None, None] * np.eye(3)
    own = own[:, :3, :3] - own[:, :3, 3:] @ np.linalg.solve(turning, own[:, 3:, :3])
    felt = np.einsum("ri,rij,rj->r", unit, own[place], unit)
    value = np.maximum(felt, _AUXILIARY_FLOOR * frame.local[place])
    return np.concatenate([value[:c], np.repeat(value[c:].reshape(-1, 2).min(axis=1), 2)])
