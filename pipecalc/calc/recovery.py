"""From movements back to forces: member ends, restraints, and whether it all balances."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import numpy.typing as npt

from pipecalc.calc.assembly import Held
from pipecalc.calc.contact import ContactResult, Contacts
from pipecalc.calc.elements import Elements, largest_of, scatter
from pipecalc.calc.frame import Array, Frame, Index, Loads, Mask, Restraints, by_freedom
from pipecalc.calc.mechanism import Mechanism

_BALANCED = 1e-7  # a worse imbalance of a node means that the numbers cannot be trusted


@dataclass(frozen=True, slots=True, eq=False)
class Solution:
    """What was found; columns of cases with a free motion are NaN.

    Attributes:
        movements: Movements of nodes, global axes, shape (n, 6, cases) [m, rad].
        end_actions: Forces and moments on the ends of members, global axes, shape (m, 12, cases) [N, N·m].
        spring_actions: The same of springs, shape (s, 12, cases).
        reactions: Actions of all restraints on nodes, global axes, shape (n, 6, cases).
        restraint_forces: Action of each restraint on the pipe along its direction, shape (r, cases).
        contacts: What each contact does.
        mechanisms: Free motions, empty when the frame is held in all cases.
        settled: Whether the case is solved: held, and all supports settled, shape (cases,).
        balance: Applied loads against reactions, forces and moments about the middle, relative, shape (cases,).
        residual: Largest imbalance of one node, relative to the largest force at a node, shape (cases,).
    """

    movements: Array
    end_actions: Array
    spring_actions: Array
    reactions: Array
    restraint_forces: Array
    contacts: ContactResult
    mechanisms: tuple[Mechanism, ...]
    settled: Mask
    balance: Array
    residual: Array


@dataclass(frozen=True, slots=True, eq=False)
class Problem:
    """Everything assembled once for all cases."""

    frame: Frame
    restraints: Restraints
    loads: Loads
    elements: Elements
    held: Held
    in_node_axes: Elements
    blocks: tuple[Index, Array]
    end_loads: Array
    applied: Array


def recover(problem: Problem, moved: Array, contacts: Contacts, result: ContactResult | None) -> Solution:
    """Return everything that follows from the movements.

    Args:
        problem: The assembled problem.
        moved: Movements of nodes, global axes, shape (n, 6, cases) [m, rad].
        contacts: The contacts.
        result: What they were found to do, None where there are none.
    """
    held, restraints = problem.held, problem.restraints
    n, m, cases = len(moved), len(problem.frame.ends), moved.shape[2]
    actions, largest = problem.elements.actions(moved, problem.end_loads)
    need = scatter(actions, problem.elements.ends, n)
    if problem.loads.nodal.any():
        need -= problem.loads.nodal
        largest = np.maximum(largest, largest_of(by_freedom(problem.loads.nodal)))
    elastic = _elastic_forces(restraints, held, moved)
    from_elastic = restraints.node[held.elastic], held.unit[:, :, None] * elastic[:, None, :]
    by_contacts = np.zeros(0, np.intp), np.zeros((0, 6, cases))
    if result is not None:
        result = replace(result, movement=moved[contacts.node, 0:3] - contacts.ground)
        by_contacts = contacts.node, _contact_actions(contacts, result)
    np.subtract.at(need, *from_elastic)
    np.subtract.at(need, *by_contacts)
    missing = held.to_node_axes(need)
    rigid = np.zeros_like(missing)
    pinned = np.nonzero(held.fixed)
    rigid[pinned], missing[pinned] = missing[pinned], 0.0
    forces = np.zeros((len(restraints.node), cases))
    forces[held.elastic] = elastic
    rows, freedom, sign = held.plain
    forces[rows] = sign[:, None] * rigid[restraints.node[rows], freedom]
    for where, node, first, back in held.skewed:
        forces[where] = back @ rigid[node, first : first + back.shape[1]]
    reactions = held.to_global(rigid)
    np.add.at(reactions, *from_elastic)
    residual = largest_of(by_freedom(missing)) / np.where(largest > 0.0, largest, 1.0)
    gripped = np.union1d(pinned[0], from_elastic[0])
    balance = _balance(problem, (gripped, reactions[gripped]), by_contacts)
    none = result if result is not None else _no_result(cases)
    settled = none.settled & (residual <= _BALANCED)
    return Solution(
        moved,
        actions[:m],
        actions[m:],
        reactions,
        forces,
        none,
        (),
        settled,
        balance,
        residual,
    )


def _contact_actions(contacts: Contacts, result: ContactResult) -> Array:
    """Forces of contacts on the pipe as six freedoms, shape (c, 6, cases)."""
    out = np.zeros((len(contacts.node), 6, result.normal_force.shape[1]))
    out[:, 0:3] = result.normal_force[:, None, :] * contacts.normal[:, :, None] + result.friction_force
    return out


def nothing_found(
    frame: Frame, restraints: Restraints, contacts: Contacts, cases: int, mechanisms: tuple[Mechanism, ...]
) -> Solution:
    """Return a solution without numbers: NaN throughout, no case settled."""
    n, m, s, c = len(frame.nodes), len(frame.ends), len(frame.spring_ends), len(contacts.node)

    def nan(*shape: int) -> Array:
        return np.full((*shape, cases), np.nan)

    word = np.zeros((c, cases), np.int8)
    result = ContactResult(word, word, nan(c), nan(c, 3), nan(c, 3), nan(c, 2), np.zeros(cases, bool), nan(c))
    return Solution(
        nan(n, 6),
        nan(m, 12),
        nan(s, 12),
        nan(n, 6),
        nan(len(restraints.node)),
        result,
        mechanisms,
        np.zeros(cases, bool),
        nan(),
        nan(),
    )


def widen(found: Solution, use: Index, cases: int, mechanisms: tuple[Mechanism, ...]) -> Solution:
    """Return a solution of some cases as one of all cases, NaN (words: zero, settled: no) in the others.

    Args:
        found: Solution of the cases `use`.
        use: The cases solved, shape (u,).
        cases: Number of all cases.
        mechanisms: Free motions of the others.
    """

    def wide(values: npt.NDArray[Any]) -> npt.NDArray[Any]:
        blank = np.nan if values.dtype.kind == "f" else 0
        out = np.full((*values.shape[:-1], cases), blank, dtype=values.dtype)
        out[..., use] = values
        return out

    words: list[Any] = [wide(getattr(found.contacts, name)) for name in ContactResult.__slots__]
    contacts = ContactResult(*words)
    plain = [name for name in Solution.__slots__ if name not in {"contacts", "mechanisms"}]
    parts: dict[str, Any] = {name: wide(getattr(found, name)) for name in plain}
    return Solution(contacts=contacts, mechanisms=mechanisms, **parts)


def _no_result(cases: int) -> ContactResult:
    word, nil = np.zeros((0, cases), np.int8), np.zeros((0, cases))
    vector = np.zeros((0, 3, cases))
    return ContactResult(word, word, nil, vector, vector, np.zeros((0, 2, cases)), np.ones(cases, bool), nil)


def _elastic_forces(restraints: Restraints, held: Held, moved: Array) -> Array:
    rows = held.elastic
    along = np.einsum("ei,eic->ec", held.unit, moved[restraints.node[rows]])
    return np.asarray(restraints.stiffness[rows][:, None] * (restraints.movement[rows] - along))


def _balance(problem: Problem, *pushes: tuple[Index, Array]) -> Array:
    """Imbalance of the whole, from the loads themselves and not from what was assembled.

    Args:
        problem: The problem.
        pushes: What restraints and contacts do: nodes, shape (q,), and actions on them, shape (q, 6, cases).
    """
    frame, loads = problem.frame, problem.loads
    middle = frame.nodes.mean(axis=0)
    arm = frame.nodes - middle
    size = max(float(np.abs(arm).max(initial=0.0)), 1e-300)
    seat = (centroids(frame) - middle) * frame.length[:, None]
    parts = [_sums(push, arm[node]) for node, push in pushes]
    parts.append(_sums(loads.distributed, seat, frame.length))
    if loads.nodal.any():
        parts.append(_sums(loads.nodal, arm))
    force, moment, force_size, moment_size = (np.sum(part, axis=0) for part in zip(*parts, strict=True))
    total = force_size + moment_size / size
    wrong = np.maximum(np.abs(force).max(axis=0), np.abs(moment).max(axis=0) / size)
    return np.asarray(wrong / np.where(total > 0.0, total, 1.0))


def _sums(actions: Array, arm: Array, weight: Array | None = None) -> tuple[Array, Array, Array, Array]:
    """Sum of forces, of moments about the middle, and of the sizes of the forces and of the moments given.

    Args:
        actions: Forces, and moments where there are any, shape (q, 3 or 6, cases).
        arm: Where they act, times the weight, shape (q, 3).
        weight: What the actions are multiplied by, one if not given, shape (q,).
    """
    count, freedoms, cases = actions.shape
    weight = np.ones(count) if weight is None else weight
    flat = actions.reshape(count, freedoms * cases)
    # sum and levers in one product, so that the actions are read once
    whole = np.column_stack([weight, arm]).T @ flat
    total = whole[0].reshape(freedoms, cases)
    size = (weight @ np.abs(flat)).reshape(freedoms, cases)
    lever = whole[1:, : 3 * cases].reshape(3, 3, cases)
    turn = np.stack([lever[1, 2] - lever[2, 1], lever[2, 0] - lever[0, 2], lever[0, 1] - lever[1, 0]])
    moment = turn + total[3:6] if freedoms > 3 else turn
    return total[0:3], moment, size[0:3].sum(axis=0), size[3:].sum(axis=0)


def centroids(frame: Frame) -> Array:
    """Return centroids of the centrelines of members, shape (m, 3) [m]."""
    middle = 0.5 * (frame.nodes[frame.ends[:, 0]] + frame.nodes[frame.ends[:, 1]])
    bend = np.flatnonzero(frame.is_bend)
    start = frame.nodes[frame.ends[bend, 0]] - frame.centre[bend]
    half = 0.5 * frame.angle[bend][:, None]
    toward = start * np.cos(half) + np.cross(frame.normal[bend], start) * np.sin(half)
    middle[bend] = frame.centre[bend] + toward * np.sin(half) / half
    return np.asarray(middle)
