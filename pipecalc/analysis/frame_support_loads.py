"""Solved cases -> loads on supports, resolved along the pipe's own directions."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pipecalc.analysis.chains import UP
from pipecalc.analysis.frame import FrameRun, SolvedCases
from pipecalc.analysis.frame_nodes import vector
from pipecalc.analysis.frame_results import official, on_hold
from pipecalc.calc.contact import CLOSED, CLOSED_UPPER, SPRING
from pipecalc.calc.frame import Array, Index, Mask
from pipecalc.model import Plant, Support, Vector
from pipecalc.results import SupportLoad


def support_loads(run: FrameRun, plant: Plant) -> Iterator[SupportLoad]:
    """The pipe's action on every support in every settled case but ranges."""
    stands = {name: _standing(support) for name, support in plant.supports.items()}
    touching = {id(solved): _touching(solved) for solved, _ in official(run)}
    for solved, number in official(run):
        rows = touching[id(solved)]
        anchors = {held.tag: held for held in solved.held}
        for support in plant.supports.values():
            move = vector(solved.solution.movements[run.net.node_of[support.point], :3, number])
            stand, case = stands[support.name], solved.cases[number].name
            if support.name in anchors:
                force, moment = on_hold(solved, anchors[support.name], number)
                yield _load(stand, case, force, moment, 0.0, True, move)
            elif support.name in rows:
                yield _touch_load(stand, solved, rows[support.name], number, move)


@dataclass(frozen=True, slots=True, eq=False)
class _Touching:
    """Contacts of one support: rows, their normals as rows of an array, and which of them are rests."""

    rows: Index
    normals: Array
    rests: Mask


def _touching(solved: SolvedCases) -> dict[str, _Touching]:
    """Contacts by support."""
    rows: dict[str, list[int]] = defaultdict(list)
    for row, touch in enumerate(solved.touches):
        rows[touch.support].append(row)
    return {
        name: _Touching(
            np.array(own),
            np.array([solved.touches[row].normal for row in own]),
            np.array([solved.touches[row].role == "rest" for row in own], bool),
        )
        for name, own in rows.items()
    }


@dataclass(frozen=True, slots=True, eq=False)
class _Standing:
    """How a support stands to its pipe: along the pipe, across it (level), and whether the pipe is upright there."""

    support: Support
    along: Array
    across: Array
    upright: bool


def _standing(support: Support) -> _Standing:
    """Axial and lateral directions are the pipe's own, level where the pipe is not upright."""
    pipe = np.asarray(support.pipe_direction)
    level = pipe - (pipe @ UP) * UP
    size = float(np.linalg.norm(level))
    upright = size < 0.2
    along = pipe if upright else level / size
    return _Standing(support, along, np.zeros(3) if upright else np.cross(UP, along), upright)


def _touch_load(stand: _Standing, solved: SolvedCases, touching: _Touching, number: int, move: Vector) -> SupportLoad:
    contacts, rows = solved.solution.contacts, touching.rows
    rubbing = contacts.friction_force[rows, :, number].sum(axis=0)
    on_pipe = contacts.normal_force[rows, number] @ touching.normals + rubbing
    acting = _acts(touching.rests, contacts.state[rows, number])
    friction = float(np.linalg.norm(rubbing))
    return _load(stand, solved.cases[number].name, -on_pipe, np.zeros(3), friction, acting, move)


def _acts(rests: Mask, states: NDArray[np.int8]) -> bool:
    """Whether the pipe is on its support: a rest decides it, also where a guide beside it still touches."""
    closed = (states == CLOSED) | (states == CLOSED_UPPER) | (states == SPRING)
    return bool(closed[rests].all() if rests.any() else closed.any())


def _load(
    stand: _Standing, case: str, force: Array, moment: Array, friction: float, acting: bool, move: Vector
) -> SupportLoad:
    """Force resolved: vertical is Up, axial and lateral are the pipe's own."""
    support = stand.support
    axial = float(force @ stand.along)
    level = force - (force @ UP) * UP
    lateral = float(np.linalg.norm(level)) if stand.upright else float(force @ stand.across)
    return SupportLoad(
        support=support.name,
        case=case,
        force=vector(force + 0.0),
        moment=vector(moment + 0.0),
        vertical=float(force @ UP),
        axial=axial,
        lateral=lateral,
        friction=friction,
        acting=acting,
        move=move,
    )
