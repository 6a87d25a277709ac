"""From movements back to forces: member ends, restraints, and whether it all balances."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import numpy.typing as npt

from pipecalc.calc.assembly import BLOCK, Held, Stack, gather, scatter
from pipecalc.calc.contact import ContactResult, Contacts
from pipecalc.calc.frame import Array, Frame, Index, Loads, Mask, Restraints
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
    stack: Stack
    held: Held
    k: Array
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
    actions, largest = _end_actions(problem, moved)
    need = scatter(actions, problem.stack.ends, n)
    if problem.loads.nodal.any():
        need -= problem.loads.nodal
        largest = np.maximum(largest, _largest(problem.loads.nodal))
    elastic = _elastic_forces(restraints, held, moved)
    from_elastic = restraints.node[held.elastic], held.unit[:, :, None] * elastic[:, None, :]
    np.subtract.at(need, *from_elastic)
    by_contacts = np.zeros(0, np.intp), np.zeros((0, 6, cases))
    if result is not None:
        result = replace(result, movement=moved[contacts.node, 0:3] - contacts.ground)
        by_contacts = contacts.node, _contact_actions(contacts, result)
    np.subtract.at(need, *by_contacts)
    missing = held.to_node_axes(need)
    rigid = np.zeros_like(missing)
    rigid[held.fixed], missing[held.fixed] = missing[held.fixed], 0.0
    forces = np.zeros((len(restraints.node), cases))
    forces[held.elastic] = elastic
    rows, freedom, sign = held.plain
    forces[rows] = sign[:, None] * rigid[restraints.node[rows], freedom]
    for where, node, first, back in held.skewed:
        forces[where] = back @ rigid[node, first : first + back.shape[1]]
    reactions = held.to_global(rigid)
    np.add.at(reactions, *from_elastic)
    residual = _largest(missing) / np.where(largest > 0.0, largest, 1.0)
    balance = _balance(problem, reactions, *by_contacts)
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


def _end_actions(problem: Problem, moved: Array) -> tuple[Array, Array]:
    """Forces on all member ends, shape (m, 12, cases), and the largest of each case."""
    stack = problem.stack
    cases = moved.shape[2]
    actions, largest = np.empty((len(stack.k), 12, cases)), np.zeros(cases)
    for first in range(0, len(stack.k), BLOCK):
        some = slice(first, first + BLOCK)
        part = np.matmul(stack.k[some], gather(moved, stack.ends[some]), out=actions[some])
        part -= problem.end_loads[some]
        largest = np.maximum(largest, _largest(part))
    return actions, largest


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


def _largest(values: Array) -> Array:
    # a long inner axis first: reducing over short ones is several times slower
    cases = values.shape[2]
    flat = values.reshape(len(values), -1)
    size = np.maximum(flat.max(axis=0, initial=0.0), -flat.min(axis=0, initial=0.0))
    return np.asarray(size.reshape(-1, cases).max(axis=0, initial=0.0))


def _elastic_forces(restraints: Restraints, held: Held, moved: Array) -> Array:
    rows = held.elastic
    along = np.einsum("ei,eic->ec", held.unit, moved[restraints.node[rows]])
    return np.asarray(restraints.stiffness[rows][:, None] * (restraints.movement[rows] - along))


def _balance(problem: Problem, reactions: Array, node: Index, push: Array) -> Array:
    """Imbalance of the whole, from the loads themselves and not from what was assembled.

    Args:
        problem: The problem.
        reactions: Actions of restraints on nodes, shape (n, 6, cases).
        node: Nodes of contacts, shape (c,).
        push: Actions of contacts on them, shape (c, 6, cases).
    """
    frame, loads = problem.frame, problem.loads
    middle = frame.nodes.mean(axis=0)
    arm = frame.nodes - middle
    size = max(float(np.abs(arm).max(initial=0.0)), 1e-300)
    seat = (centroids(frame) - middle) * frame.length[:, None]
    parts = [_sums(reactions, arm), _sums(push, arm[node]), _sums(loads.distributed, seat, frame.length)]
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
    total, size = ((weight @ part).reshape(freedoms, cases) for part in (flat, np.abs(flat)))
    lever = (arm.T @ flat[:, : 3 * cases]).reshape(3, 3, cases)
    turn = np.stack([lever[1, 2] - lever[2, 1], lever[2, 0] - lever[0, 2], lever[0, 1] - lever[1, 0]])
    moment = turn + total[3:6] if freedoms > 3 else turn
    return total[0:3], moment, size[0:3].sum(axis=0), size[3:].sum(axis=0)


def centroids(frame: Frame) -> Array:
    """Return centroids of the centrelines of members, shape (m, 3) [m]."""
    middle = frame.nodes[frame.ends].mean(axis=1)
    bend = np.flatnonzero(frame.is_bend)
    start = frame.nodes[frame.ends[bend, 0]] - frame.centre[bend]
    half = 0.5 * frame.angle[bend][:, None]
    toward = start * np.cos(half) + np.cross(frame.normal[bend], start) * np.sin(half)
    middle[bend] = frame.centre[bend] + toward * np.sin(half) / half
    return np.asarray(middle)
