"""Solved cases -> loads on supports, resolved along the pipe's own directions."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import hypot

import numpy as np

from pipecalc.analysis.chains import UP
from pipecalc.analysis.frame import FrameRun, SolvedCases
from pipecalc.analysis.frame_nodes import vector
from pipecalc.analysis.frame_results import official, on_hold
from pipecalc.calc.contact import CLOSED, CLOSED_UPPER, SPRING
from pipecalc.model import Plant, Support, Vector
from pipecalc.results import SupportLoad


def support_loads(run: FrameRun, plant: Plant) -> Iterator[SupportLoad]:
    """The pipe's action on every support in every settled case but ranges."""
    stands = [_standing(support) for support in plant.supports.values()]
    nodes = [run.net.node_of[support.point] for support in plant.supports.values()]
    groups = {id(solved): (solved, _touching(solved)) for solved, _ in official(run)}
    felt = {key: _felt(solved, own) for key, (solved, own) in groups.items()}
    moves = {key: solved.solution.movements[nodes, :3].transpose(2, 0, 1) for key, (solved, _) in groups.items()}
    for solved, number in official(run):
        anchors = {held.tag: held for held in solved.held}
        places, on, case = groups[id(solved)][1], felt[id(solved)], solved.cases[number].name
        for stand, (east, north, up) in zip(stands, moves[id(solved)][number].tolist(), strict=True):
            name, move = stand.support.name, (east, north, up)
            if name in anchors:
                force, moment = on_hold(solved, anchors[name], number)
                yield _load(stand, case, vector(force), vector(moment), 0.0, True, move)
            elif name in places:
                x, y, z, friction, acting = on[places[name].number][number]
                yield _load(stand, case, (-x, -y, -z), (0.0, 0.0, 0.0), friction, bool(acting), move)


@dataclass(frozen=True, slots=True, eq=False)
class _Touching:
    """Contacts of one support: its number among those that touch, its rows, and those of its rests."""

    number: int
    rows: list[int]
    rests: list[int]


def _touching(solved: SolvedCases) -> dict[str, _Touching]:
    """Contacts by support."""
    found: dict[str, _Touching] = {}
    for row, touch in enumerate(solved.touches):
        own = found.setdefault(touch.support, _Touching(len(found), [], []))
        own.rows.append(row)
        if touch.role == "rest":
            own.rests.append(row)
    return found


def _felt(solved: SolvedCases, touching: Mapping[str, _Touching]) -> list[list[tuple[float, ...]]]:
    """What pushes the pipe at every support that touches it, by case: force, size of friction, and whether it acts.

    A rest decides whether the pipe is on its support, also where a guide beside it still touches.
    """
    contacts = solved.solution.contacts
    if not touching:
        return []
    normals = np.array([touch.normal for touch in solved.touches])
    pushes = contacts.normal_force[:, None, :] * normals[:, :, None]
    closed = np.isin(contacts.state, (CLOSED, CLOSED_UPPER, SPRING))
    found = []
    for own in touching.values():
        rubbing = contacts.friction_force[own.rows].sum(axis=0)
        acts = closed[own.rests].all(axis=0) if own.rests else closed[own.rows].any(axis=0)
        columns = [*(pushes[own.rows].sum(axis=0) + rubbing), np.sqrt((rubbing**2).sum(axis=0)), acts]
        found.append(list(zip(*(column.tolist() for column in columns), strict=True)))
    return found


@dataclass(frozen=True, slots=True, eq=False)
class _Standing:
    """How a support stands to its pipe: along the pipe, across it (level), and whether the pipe is upright there."""

    support: Support
    along: Vector
    across: Vector
    upright: bool


def _standing(support: Support) -> _Standing:
    """Axial and lateral directions are the pipe's own, level where the pipe is not upright."""
    pipe = np.asarray(support.pipe_direction)
    level = pipe - (pipe @ UP) * UP
    size = float(np.linalg.norm(level))
    upright = size < 0.2
    along = pipe if upright else level / size
    return _Standing(support, vector(along), vector(np.zeros(3) if upright else np.cross(UP, along)), upright)


def _load(
    stand: _Standing, case: str, force: Vector, moment: Vector, friction: float, acting: bool, move: Vector
) -> SupportLoad:
    """Force resolved: vertical is Up, axial and lateral are the pipe's own."""
    east, north, up = force
    lateral = hypot(east, north) if stand.upright else _dot(force, stand.across)
    return SupportLoad(
        support=stand.support.name,
        case=case,
        force=(east + 0.0, north + 0.0, up + 0.0),
        moment=(moment[0] + 0.0, moment[1] + 0.0, moment[2] + 0.0),
        vertical=up + 0.0,
        axial=_dot(force, stand.along),
        lateral=lateral,
        friction=friction,
        acting=acting,
        move=move,
    )


def _dot(a: Vector, b: Vector) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
