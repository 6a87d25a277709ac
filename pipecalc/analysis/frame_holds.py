"""Nozzles and anchors as restraints of the frame: rigid, or giving way as a shell or an anchor's stiffness does."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from pipecalc.analysis.frame_cases import FrameCase
from pipecalc.analysis.frame_nodes import Net
from pipecalc.analysis.frame_supports import Grounds
from pipecalc.analysis.nozzle_stiffness import nozzle_stiffness
from pipecalc.calc.frame import Array, Restraints, build_restraints
from pipecalc.model import Nozzle, Plant, Support, Vector

_RIGID = (np.inf,) * 6
_FREED = (np.eye(3), (np.inf, np.inf, 0.0, np.inf, np.inf, np.inf))  # all but upward


@dataclass(frozen=True, slots=True)
class Held:
    """Six rigid or elastic restraints of one tag: a nozzle or an anchor.

    Attributes:
        tag: Nozzle or support tag.
        node: Its node.
        first: Its first row among the restraints; three for shifts and three for turns about the same directions.
    """

    tag: str
    node: int
    first: int


def restraints_of(
    plant: Plant, net: Net, cases: Sequence[FrameCase], grounds: Grounds
) -> tuple[Restraints, tuple[Held, ...]]:
    """Restraints of all nozzles that a line joins and of all anchors, and whose they are."""
    held: list[Held] = []
    moves: list[list[Vector]] = []
    axes: list[Array] = []
    stiffness: list[Sequence[float]] = []

    def hold(tag: str, node: int, own_moves: Iterable[Vector], own_axes: Array, own: Sequence[float]) -> None:
        held.append(Held(tag, node, 6 * len(held)))
        moves.append([*own_moves])
        axes.append(own_axes)
        stiffness.append(own)

    for nozzle in plant.nozzles.values():
        if nozzle.point is not None and nozzle.point in net.node_of:
            follows = (grounds.nozzle(nozzle.name, case) for case in cases)
            free = any(nozzle.name in case.free_nozzles for case in cases)
            hold(nozzle.name, net.node_of[nozzle.point], follows, *(_FREED if free else _of_nozzle(nozzle, plant)))
    for support in plant.supports.values():
        if support.type == "anchor":
            follows = (grounds.support(support.name, case) for case in cases)
            hold(support.name, net.node_of[support.point], follows, np.eye(3), _of_anchor(support))
    return _six_each(held, axes, moves, stiffness, len(cases)), tuple(held)


def _of_nozzle(nozzle: Nozzle, plant: Plant) -> tuple[Array, Sequence[float]]:
    """Axes and stiffness of a nozzle; a rigid one needs none of its own."""
    found = nozzle_stiffness(nozzle, plant)
    if not found.gives_way:
        return np.eye(3), _RIGID
    return np.array(nozzle.axes), (found.radial, np.inf, np.inf, np.inf, found.about_l, found.about_c)


def _of_anchor(support: Support) -> Sequence[float]:
    """A stiffness given is that of the three shifts."""
    return _RIGID if support.stiffness is None else (*((support.stiffness,) * 3), *_RIGID[3:])


def _six_each(
    held: Sequence[Held],
    axes: Sequence[Array],
    moves: Sequence[Sequence[Vector]],
    stiffness: Sequence[Sequence[float]],
    cases: int,
) -> Restraints:
    """Six restraints each along and about axes (rows); those along them follow movements."""
    count = len(held)
    triads = np.reshape(np.array(axes), (count, 3, 3))
    movement = np.zeros((count, 6, cases))
    movement[:, :3] = triads @ np.reshape(np.array(moves), (count, cases, 3)).transpose(0, 2, 1)
    return build_restraints(
        np.repeat([h.node for h in held], 6).astype(np.intp),
        np.concatenate([triads, triads], axis=1).reshape(-1, 3),
        rotational=np.tile([False] * 3 + [True] * 3, count),
        stiffness=np.reshape(np.array(stiffness), -1) if count else np.inf,
        movement=movement.reshape(-1, cases),
        cases=cases,
    )


def action_on(restraints: Restraints, held: Held, on_pipe: Array) -> Array:
    """Force and moment of the pipe on what holds it, global axes, shape (6,) [N, N·m].

    Args:
        restraints: All restraints.
        held: Whose action.
        on_pipe: Action of every restraint on the pipe along its direction, shape (r,) [N, N·m].
    """
    rows = np.arange(held.first, held.first + 6)
    action = -on_pipe[rows, None] * restraints.direction[rows]
    return np.concatenate([action[:3].sum(axis=0), action[3:].sum(axis=0)])
