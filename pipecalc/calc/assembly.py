"""How restraints hold the nodes: node axes at skewed ones, freedoms held, stiffness of elastic ones.

The few loops run over nodes with skewed or doubled restraints.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pipecalc.calc.elements import Elements
from pipecalc.calc.frame import Array, Index, Mask, Restraints, both, by_row

_SAME_DIRECTION = 1e-9
_INCONSISTENT = 1e-9


@dataclass(frozen=True, slots=True, eq=False)
class Held:
    """How restraints hold the nodes, in axes of each node.

    Attributes:
        turned: Nodes whose axes differ from the global ones, shape (t,).
        axes: Their axes, rows local, shape (t, 6, 6).
        fixed: Which freedoms (node axes) are rigid, shape (n, 6).
        moved: Movement of the fixed freedoms, node axes, shape (n, 6, cases).
        plain: Rows of restraints along a global axis, with their freedom and sign, each shape (p,).
        skewed: Per turned triad: rows, node, first freedom, matrix from node-axis force to row forces.
        elastic: Rows of restraints of finite stiffness, shape (e,).
        unit: Their unit direction as six freedoms, global axes, shape (e, 6).
    """

    turned: Index
    axes: Array
    fixed: Mask
    moved: Array
    plain: tuple[Index, Index, Array]
    skewed: tuple[tuple[Index, int, int, Array], ...]
    elastic: Index
    unit: Array

    def to_node_axes(self, values: Array) -> Array:
        """Return vectors (n, 6, cases) in node axes from global axes."""
        return self._turn(values, self.axes)

    def to_global(self, values: Array) -> Array:
        """Return vectors (n, 6, cases) in global axes from node axes."""
        return self._turn(values, self.axes.transpose(0, 2, 1))

    def _turn(self, values: Array, axes: Array) -> Array:
        if not len(self.turned):
            return values
        out = values.copy(order="K")
        out[self.turned] = axes @ values[self.turned]
        return out


def six_freedoms(direction: Array, rotational: Mask) -> Array:
    """Return directions as rows over the six freedoms of a node, shape (r, 6)."""
    out = np.zeros((len(direction), 6))
    out[~rotational, 0:3] = direction[~rotational]
    out[rotational, 3:6] = direction[rotational]
    return out


def hold(n: int, restraints: Restraints, cases: int) -> Held:
    """Return how restraints hold `n` nodes.

    Raises:
        ValueError: Two rigid restraints of a node hold one direction at different movements.
    """
    rigid = np.isinf(restraints.stiffness)
    axis = np.argmax(np.abs(restraints.direction), axis=1)
    sign = np.take_along_axis(restraints.direction, axis[:, None], axis=1)[:, 0]
    freedom = axis + 3 * restraints.rotational
    triad = 2 * restraints.node + restraints.rotational
    key = 6 * restraints.node + freedom
    skew = rigid & (np.abs(np.abs(sign) - 1.0) > _SAME_DIRECTION)
    seen = np.bincount(key[rigid], minlength=6 * n)
    awkward = np.unique(triad[skew | (rigid & (seen[key] > 1))])
    plain = np.flatnonzero(rigid & ~np.isin(triad, awkward))
    fixed, moved = np.zeros((n, 6), bool), by_row(np.zeros((6, cases, n)))
    fixed[restraints.node[plain], freedom[plain]] = True
    unit_sign = np.sign(sign[plain])
    moved[restraints.node[plain], freedom[plain]] = unit_sign[:, None] * restraints.movement[plain]
    turned = np.unique(awkward // 2)
    axes = np.zeros((len(turned), 6, 6))
    axes[:] = np.eye(6)
    skewed = []
    for label in awkward:
        node, first = int(label) // 2, 3 * (int(label) % 2)
        rows = np.flatnonzero(rigid & (triad == label))
        basis, pinned, back = _triad(restraints.direction[rows], restraints.movement[rows])
        axes[np.searchsorted(turned, node), first : first + 3, first : first + 3] = basis
        fixed[node, first : first + len(pinned)] = True
        moved[node, first : first + len(pinned)] = pinned
        skewed.append((rows, node, first, back))
    elastic = np.flatnonzero(~rigid)
    unit = six_freedoms(restraints.direction[elastic], restraints.rotational[elastic])
    return Held(turned, axes, fixed, moved, (plain, freedom[plain], unit_sign), tuple(skewed), elastic, unit)


def _triad(directions: Array, movement: Array) -> tuple[Array, Array, Array]:
    """Axes of which the first span the directions, movements along them, and the way back to row forces."""
    u, size, v = np.linalg.svd(directions)
    rank = int(np.sum(size > _SAME_DIRECTION * size[0]))
    back = u[:, :rank] / size[:rank]
    pinned = back.T @ movement
    misfit = np.abs(directions @ v[:rank].T @ pinned - movement)
    if misfit.size and misfit.max() > _INCONSISTENT * np.abs(movement).max():
        raise ValueError("rigid restraints of one node hold one direction at different movements")
    return v, pinned, back


def turned_elements(elements: Elements, held: Held) -> Elements:
    """Return element stiffness in node axes: elements at turned nodes become matrices."""
    if not len(held.turned):
        return elements
    place = np.full(len(held.fixed), -1)
    place[held.turned] = np.arange(len(held.turned))
    plain = both(place[elements.ends[elements.pipes]] < 0)
    others = np.concatenate([elements.pipes[~plain], elements.others])
    k = elements.matrices(others)
    for side in (0, 1):
        rows = np.flatnonzero(place[elements.ends[others, side]] >= 0)
        turn = held.axes[place[elements.ends[others[rows], side]]]
        part = slice(6 * side, 6 * side + 6)
        block = k[rows]
        block[:, part, :] = turn @ block[:, part, :]
        block[:, :, part] = block[:, :, part] @ turn.transpose(0, 2, 1)
        k[rows] = block
    return Elements(elements.ends, elements.pipes[plain], elements.straight.pick(np.flatnonzero(plain)), others, k)


def restraint_blocks(restraints: Restraints, held: Held) -> tuple[Index, Array]:
    """Return nodes and stiffness in node axes of elastic restraints, shapes (e,) and (e, 6, 6)."""
    node = restraints.node[held.elastic]
    unit = held.unit
    if len(held.turned) and len(node):
        turn = np.zeros((len(node), 6, 6))
        turn[:] = np.eye(6)
        for t, where in enumerate(held.turned):
            turn[node == where] = held.axes[t]
        unit = np.einsum("eij,ej->ei", turn, unit)
    rate = restraints.stiffness[held.elastic]
    return node, rate[:, None, None] * unit[:, :, None] * unit[:, None, :]
