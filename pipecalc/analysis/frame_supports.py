"""Supports -> contacts of the frame, and movements of the equipment that carries supports and nozzles."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from pipecalc.analysis.chains import UP, across_pipe, own_axes
from pipecalc.analysis.equipment import nozzle_movement, support_movement, sway_at
from pipecalc.analysis.frame_cases import TEST, FrameCase
from pipecalc.calc.contact import Contacts, build_contacts
from pipecalc.calc.frame import Array
from pipecalc.model import Plant, Support, Vector

Key = tuple[str, str]
ZERO: Vector = (0.0, 0.0, 0.0)
_VERTICAL = 0.98  # a pipe within about 11 degrees of Up has no sideways of its own


@dataclass(frozen=True, slots=True)
class Grounds:
    """Movement of what nozzles and supports stand on, by tag and state [m]; supports on the structure are absent.

    Attributes:
        nozzles: By nozzle and state.
        supports: By support and state.
        sways: Sway East and North at each nozzle and support on equipment.
    """

    nozzles: Mapping[tuple[str, str], Vector]
    supports: Mapping[tuple[str, str], Vector]
    sways: Mapping[str, Vector]

    def nozzle(self, tag: str, case: FrameCase) -> Vector:
        """Movement of a nozzle in a case; equipment stands where it was installed in cases without growth."""
        return self.nozzles[tag, case.state.name] if case.thermal else self._swayed(tag, case)

    def support(self, tag: str, case: FrameCase) -> Vector:
        """Movement of the ground of a support in a case."""
        return self.supports.get((tag, case.state.name), ZERO) if case.thermal else self._swayed(tag, case)

    def _swayed(self, tag: str, case: FrameCase) -> Vector:
        east, north, _ = self.sways.get(tag, ZERO)
        return (case.sway[0] * east, case.sway[1] * north, 0.0) if any(case.sway) else ZERO


def grounds_of(plant: Plant) -> Grounds:
    """Movements of all nozzles that a line joins and of all supports on equipment, in every state."""
    nozzles = {
        (nozzle.name, state.name): nozzle_movement(nozzle, plant, state).vector
        for nozzle in plant.nozzles.values()
        if nozzle.point is not None
        for state in plant.states
    }
    supports = {
        (support.name, state.name): found.vector
        for support in plant.supports.values()
        for state in plant.states
        if (found := support_movement(support, plant, state)) is not None
    }
    sways = {n.name: sway_at(plant.equipment[n.equipment], n.at, plant) for n in plant.nozzles.values()}
    for support in plant.supports.values():
        if support.attached_to in plant.equipment:
            sways[support.name] = sway_at(plant.equipment[support.attached_to], support.at, plant)
    return Grounds(nozzles, supports, sways)


@dataclass(frozen=True, slots=True)
class Touch:
    """One way in which a support acts on the pipe.

    Attributes:
        support: Support tag.
        role: ``"rest"``, ``"guide"``, ``"stop"``, ``"rod"``, ``"strut"``, ``"snubber"``, ``"spring"`` or ``"lock"``;
            for finding spring loads ``"rigid spring"``, ``"cold spring"`` and ``"hot spring"``; ``"spring force"`` for
            the force a spring has in a hot state.
        node: Node of the frame.
        normal: Unit direction.
        lower: Lower end of free travel [m].
        upper: Upper end of free travel [m].
        friction: Coefficient.
        stiffness: [N/m], infinite for rigid; a spring's rate.
        preload: Spring force with the pipe where it was installed [N].
    """

    support: str
    role: str
    node: int
    normal: Array
    lower: float = 0.0
    upper: float = 0.0
    friction: float = 0.0
    stiffness: float = np.inf
    preload: float = 0.0

    @property
    def is_spring(self) -> bool:
        """Whether it pushes with a spring's force."""
        return self.role in ("spring", "cold spring", "hot spring", "spring force", "spring but hot")


def touches_of(plant: Plant, node_of: Mapping[Key, int]) -> list[Touch]:
    """All ways in which supports act, but for anchors, in workbook order."""
    return [touch for support in plant.supports.values() for touch in _touches(support, node_of[support.point], plant)]


def _touches(support: Support, node: int, plant: Plant) -> Iterator[Touch]:
    stiffness = np.inf if support.stiffness is None else support.stiffness
    pipe, kind, gap = np.asarray(support.pipe_direction), support.type, support.gap
    given = None if support.direction is None else np.asarray(support.direction)
    if "rest" in kind:
        normal = given if kind == "rest" and given is not None else UP
        yield Touch(support.name, "rest", node, normal, 0.0, np.inf, support.friction, stiffness)
    if "guide" in kind:
        for normal in _guided(support, given, plant):
            yield Touch(support.name, "guide", node, normal, -gap, gap, stiffness=stiffness)
    if "line stop" in kind:
        yield Touch(support.name, "stop", node, pipe if given is None else given, -gap, gap, stiffness=stiffness)
    if kind == "hanger rod":
        yield Touch(support.name, "rod", node, UP if given is None else given, 0.0, np.inf, stiffness=stiffness)
    if kind in ("strut", "snubber"):
        yield Touch(support.name, kind, node, pipe if given is None else given, -gap, gap, stiffness=stiffness)
    if kind in ("spring", "constant load"):
        yield Touch(support.name, "spring", node, UP, -np.inf, np.inf, stiffness=0.0)
        yield Touch(support.name, "lock", node, UP, 0.0, np.inf)


def _guided(support: Support, given: Array | None, plant: Plant) -> list[Array]:
    """Directions that a guide holds.

    A given direction is the one held; beside a line stop it is the stop's, and the guide acts across it. On a vertical
    pipe the two horizontal axes are the line's own, so that turning the plant turns the guide with its gap.
    """
    if given is not None and "line stop" not in support.type:
        return [given]
    along = np.asarray(support.pipe_direction) if given is None else given
    if abs(along[2]) > _VERTICAL:
        return list(own_axes(plant.lines[support.point[0]])[:2])
    return across_pipe(along, None)


def acts(touch: Touch, case: FrameCase) -> bool:
    """Whether a touch is there in a case at all."""
    if touch.role == "snubber":
        return case.kind == "occasional"
    if touch.role == "lock":
        return case.name == TEST
    if touch.role == "spring":
        return case.name != TEST
    if touch.role == "spring force":
        return bool(case.supports_of)
    if touch.role == "spring but hot":
        return case.name != TEST and not case.supports_of
    if touch.role == "cold spring":
        return not case.thermal
    if touch.role == "hot spring":
        return case.thermal
    return True


def contacts_of(
    touches: Sequence[Touch],
    cases: Sequence[FrameCase],
    grounds: Grounds,
    *,
    friction: bool = True,
    offsets: Array | None = None,
    open_in: Mapping[str, frozenset[int]] | None = None,
    springs_at: Mapping[str, Array] | None = None,
) -> Contacts:
    """Contacts of all touches for the given cases.

    Args:
        touches: The touches.
        cases: The cases, in the order of columns.
        grounds: Movements of the equipment.
        friction: Whether friction acts; short-lived occasional loads take no credit for it.
        offsets: Position of each touch at which a snubber locks [m], shape (touches, 3).
        open_in: Touches that do not act, by state name, for cases that take the supports of a state.
        springs_at: Force of each touch with a spring at its installed position [N], by state name, shape (touches,),
            for the same cases.
    """
    count = len(cases)
    ground = np.zeros((len(touches), 3, count))
    active = np.ones((len(touches), count), bool)
    preload = np.array([[touch.preload] * count for touch in touches]).reshape(-1, count)
    for c, case in enumerate(cases):
        hot = case.supports_of
        for t, touch in enumerate(touches):
            active[t, c] = acts(touch, case) and not (hot and t in (open_in or {})[hot])
            if hot and springs_at and touch.is_spring:
                preload[t, c] = springs_at[hot][t]
            ground[t, :, c] = grounds.support(touch.support, case)
            if touch.role == "snubber" and offsets is not None:
                ground[t, :, c] = offsets[t]
    return build_contacts(
        [touch.node for touch in touches],
        np.array([touch.normal for touch in touches]).reshape(-1, 3),
        count,
        lower=[touch.lower for touch in touches],
        upper=[touch.upper for touch in touches],
        stiffness=[touch.stiffness for touch in touches],
        friction=[touch.friction if friction else 0.0 for touch in touches],
        is_spring=[touch.is_spring for touch in touches],
        preload=preload,
        ground=ground,
        active=active,
    )


def with_spring_loads(
    touches: Sequence[Touch], plant: Plant, hot_load: Mapping[str, float], travel: Mapping[str, float]
) -> list[Touch]:
    """Springs with rate and installed load: the hot load plus rate times the upward travel from cold to hot."""
    return [
        _loaded(touch, plant.supports[touch.support], hot_load, travel) if touch.role == "spring" else touch
        for touch in touches
    ]


def rate_of(support: Support) -> float:
    """Rate of a spring [N/m]; zero for a constant load and for a spring whose rate is yet to be chosen."""
    return 0.0 if support.type == "constant load" else support.spring_rate or 0.0


def _loaded(touch: Touch, support: Support, hot_load: Mapping[str, float], travel: Mapping[str, float]) -> Touch:
    rate = rate_of(support)
    return replace(touch, stiffness=rate, preload=hot_load[support.name] + rate * travel.get(support.name, 0.0))
