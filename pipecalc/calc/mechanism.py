"""Find what is free to move: rigid-body motions that no restraint, support or spring resists.

Members are elastic and never hinges, so a motion without resistance moves each connected run of members as one rigid
body. The test is therefore geometric (six motions per body against the directions held) and does not depend on how
well the stiffness matrix is conditioned: a long flexible line is not mistaken for a free one.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from pipecalc.calc.assembly import six_freedoms
from pipecalc.calc.frame import Array, Frame, Index, Mask, Restraints, lengths
from pipecalc.calc.pipe_element import cross_matrix
from pipecalc.calc.remembered import remembered

# Square of the smallest lever, as part of the size of the body, that counts as a hold.
_HELD = 1e-12
_SPRING_HELD = 1e-10
_TURNS_ONLY = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class Mechanism:
    """One free motion.

    Attributes:
        node: The point that moves most.
        direction: Unit direction of its movement, or axis of its rotation, shape (3,).
        rotational: True when the point only turns.
        nodes: All nodes that move, shape (q,).
        cases: Load cases in which the motion is free (supports may act in some cases only), shape (c,).
    """

    node: int
    direction: Array
    rotational: bool
    nodes: Index
    cases: Index


@remembered(4)
def systems(frame: Frame) -> Index:
    """Return the number of the connected system of each node, joined by members and springs, shape (n,)."""
    return _joined(frame.all_ends, len(frame.nodes))


def _joined(ends: Index, n: int) -> Index:
    graph = coo_array((np.ones(len(ends)), (ends[:, 0], ends[:, 1])), shape=(n, n))
    return np.asarray(connected_components(graph, directed=False)[1], np.intp)


def find_mechanisms(
    frame: Frame, restraints: Restraints, support_node: Index, support_direction: Array
) -> tuple[Mechanism, ...]:
    """Return all free motions of a frame, none when it is held.

    Args:
        frame: The frame.
        restraints: Restraints; those without stiffness hold nothing.
        support_node: Nodes of further supports (contacts taken as closed), shape (c,).
        support_direction: Directions they hold, shape (c, 3).
    """
    body, centre, size, arm, group = _bodies(frame)
    acting = restraints.stiffness > 0.0
    node = np.concatenate([restraints.node[acting], support_node])
    unit = np.concatenate(
        [
            six_freedoms(restraints.direction[acting], restraints.rotational[acting]),
            six_freedoms(support_direction, np.zeros(len(support_node), bool)),
        ]
    )
    rows = _rows(unit, arm[node], size[body[node]])
    count = len(centre)
    gram = np.zeros((count, 6, 6))
    np.add.at(gram, body[node], rows[:, :, None] * rows[:, None, :])
    sized = np.bincount(group)
    lone = np.flatnonzero(sized[group] == 1)
    suspect = lone[np.linalg.eigvalsh(gram[lone])[:, 0] <= _HELD * np.maximum(1.0, _top(gram[lone]))]
    found: list[Mechanism] = []
    for label in [*group[suspect], *np.flatnonzero(sized > 1)]:
        bodies = np.flatnonzero(group == label)
        found += _group_mechanisms(frame, body, bodies, gram, arm, size)
    return tuple(found)


def _top(gram: Array) -> Array:
    return np.asarray(np.trace(gram, axis1=1, axis2=2))


@remembered(4)
def _bodies(frame: Frame) -> tuple[Index, Array, Array, Array, Index]:
    """Body of each node, centre and size of each body, arms of nodes as part of it, group of each body by springs."""
    nodes, body = frame.nodes, _joined(frame.ends, len(frame.nodes))
    count = np.bincount(body)
    centre = np.stack([np.bincount(body, nodes[:, c]) for c in range(3)], axis=1) / count[:, None]
    size = np.zeros(len(count))
    np.maximum.at(size, body, lengths(nodes - centre[body]))
    size = np.where(size > 0.0, size, 1.0)
    arm = (nodes - centre[body]) / size[body][:, None]
    return body, centre, size, arm, _joined(body[frame.spring_ends], len(count))


def _rows(unit: Array, arm: Array, size: Array) -> Array:
    """Held directions as rows over (translation, rotation x size) of the body."""
    out = unit.copy()
    out[:, 3:6] += np.cross(arm, unit[:, 0:3])
    return out


def _spring_rows(stiffness: Array) -> Array:
    """Directions (local, six) in which a spring resists, units taken out by the diagonal."""
    scale = np.sqrt(np.maximum(np.diag(stiffness), 0.0))
    safe = np.where(scale > 0.0, scale, 1.0)
    value, vector = np.linalg.eigh(stiffness / np.outer(safe, safe))
    return (vector[:, value > _SPRING_HELD].T * scale).astype(float)


def _group_gram(frame: Frame, body: Index, bodies: Index, gram: Array, arm: Array, size: Array) -> Array:
    place = {int(b): 6 * i for i, b in enumerate(bodies)}
    total = np.zeros((6 * len(bodies), 6 * len(bodies)))
    for b, first in place.items():
        total[first : first + 6, first : first + 6] = gram[b]
    for s in np.flatnonzero(np.isin(body[frame.spring_ends[:, 0]], bodies)):
        resisting = _spring_rows(frame.spring_stiffness[s])
        turn = np.kron(np.eye(2), frame.spring_axes[s])
        middle = frame.nodes[frame.spring_ends[s]].mean(axis=0)
        row = np.zeros((len(resisting), len(total)))
        for end, sign in zip(frame.spring_ends[s], (-1.0, 1.0), strict=True):
            b = int(body[end])
            motion = np.eye(6)
            motion[0:3, 3:6] = -cross_matrix(arm[end] + (middle - frame.nodes[end]) / size[b])
            motion[3:6, 3:6] /= size[b]
            row[:, place[b] : place[b] + 6] += sign * resisting @ turn @ motion
        row /= np.maximum(np.linalg.norm(row, axis=1, keepdims=True), 1e-300)
        total += row.T @ row
    return total


def _group_mechanisms(
    frame: Frame, body: Index, bodies: Index, gram: Array, arm: Array, size: Array
) -> list[Mechanism]:
    value, vector = np.linalg.eigh(_group_gram(frame, body, bodies, gram, arm, size))
    loose = vector[:, value <= _HELD * max(1.0, float(value[-1]))].T
    return [_named(motion.reshape(-1, 6), body, bodies, arm, size) for motion in _plain_motions(loose)]


def _plain_motions(loose: Array) -> Array:
    """Combine free motions so that each is led by a different plain one (reduced row echelon form)."""
    rows = loose.copy()
    for r in range(len(rows)):
        reach = np.abs(rows[r:]).max(axis=0)
        column = int(np.argmax(reach > 0.5 * reach.max()))
        best = r + int(np.argmax(np.abs(rows[r:, column])))
        rows[[r, best]] = rows[[best, r]]
        rows[r] /= rows[r, column]
        others = np.arange(len(rows)) != r
        rows[others] -= np.outer(rows[others, column], rows[r])
    return rows


def _named(motion: Array, body: Index, bodies: Index, arm: Array, size: Array) -> Mechanism:
    nodes = np.flatnonzero(np.isin(body, bodies))
    of = motion[np.searchsorted(bodies, body[nodes])]
    shift = of[:, 0:3] + np.cross(of[:, 3:6], arm[nodes])
    turn = of[:, 3:6] / size[body[nodes]][:, None]
    far = np.linalg.norm(shift, axis=1)
    swing = np.linalg.norm(of[:, 3:6], axis=1)
    moving: Mask = (far > _TURNS_ONLY) | (swing > _TURNS_ONLY)
    only_turns = bool(far.max() <= _TURNS_ONLY * max(1.0, float(swing.max())))
    size_of = np.linalg.norm(turn, axis=1) if only_turns else far
    pick = int(np.argmax(size_of >= (1.0 - 1e-9) * size_of.max()))
    way = turn[pick] if only_turns else shift[pick]
    return Mechanism(int(nodes[pick]), way / np.linalg.norm(way), only_turns, nodes[moving], np.arange(0))
