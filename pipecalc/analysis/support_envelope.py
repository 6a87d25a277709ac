"""What each support puts on the structure or the shell that carries it: extremes over the cases of each kind.

Loads are the pipe's action ON the support: Up is positive, so weight is negative. Both systems stand side by side: the
plant's East, North, Up, and the pipe's own axial and lateral. On a vertical pipe axial is vertical and lateral is the
size of the horizontal load.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import hypot, isfinite, nan, sqrt

import numpy as np

from pipecalc.analysis.equipment import FIXED, HORIZONTAL
from pipecalc.model import Equipment, Plant, Support, Vector
from pipecalc.problems import Problem, warning
from pipecalc.results import Case, SupportLoad

SIGN_CONVENTION = (
    "Loads are the pipe's action on the support. East, North and Up are positive, so weight is a negative vertical "
    "load. "
    "Axial runs with the pipe as its row of Segments runs, lateral to its left in the horizontal plane; on a vertical "
    "pipe axial is vertical and lateral is the size of the horizontal load."
)
STRUCTURE = "structure"
#: Kinds of case in the order of the schedule.
KINDS = ("sustained", "operating", "occasional", "test")
#: An offset from the axis below this gives no radial direction [m].
_ON_AXIS = 1e-6


@dataclass(frozen=True, slots=True)
class Extreme:
    """Least and greatest value of a component with their cases."""

    least: float
    most: float
    least_case: str
    most_case: str

    @property
    def largest(self) -> float:
        """The one of larger size, with its sign."""
        return self.most if abs(self.most) >= abs(self.least) else self.least

    @property
    def largest_case(self) -> str:
        """Its case."""
        return self.most_case if abs(self.most) >= abs(self.least) else self.least_case


@dataclass(frozen=True, slots=True)
class SupportEnvelope:
    """Extremes of a support over the cases of one kind, or over all of them (``kind`` empty).

    Attributes:
        carried_by: Equipment tag, or ``"structure"``.
        east, north, up: Plant axes [N].
        axial, lateral: Pipe axes [N].
        moment: Largest resultant moment [N·m]; only anchors take one.
        horizontal: Largest resultant of East and North [N].
        friction: Largest friction force [N].
        move: Extremes of the pipe's movement East, North, Up [m].
        vertical_ratio: Largest vertical load over its allowable; NaN where none is given.
        horizontal_ratio: Largest horizontal load over its allowable; NaN where none is given.
        not_acting: Cases in which it does not act.
    """

    support: str
    type: str
    line: str
    point: str
    carried_by: str
    kind: str
    east: Extreme
    north: Extreme
    up: Extreme
    axial: Extreme
    lateral: Extreme
    moment: Extreme
    horizontal: Extreme
    friction: float
    move: tuple[Extreme, Extreme, Extreme]
    vertical_ratio: float
    horizontal_ratio: float
    not_acting: tuple[str, ...]

    @property
    def ratio(self) -> float:
        """The larger of both ratios; NaN where no allowable is given."""
        known = [r for r in (self.vertical_ratio, self.horizontal_ratio) if isfinite(r)]
        return max(known, default=nan)


def support_envelopes(plant: Plant, loads: Sequence[SupportLoad], cases: Sequence[Case]) -> tuple[SupportEnvelope, ...]:
    """One record for each support and kind of case, then one over all kinds, in workbook order.

    Args:
        plant: The plant.
        loads: Loads of all supports in all cases.
        cases: All cases.

    Returns:
        Records; a support without loads has none.
    """
    kinds = {case.case: case.kind for case in cases}
    by_support: dict[str, list[SupportLoad]] = defaultdict(list)
    for load in loads:
        by_support[load.support].append(load)
    found = (
        e for s in plant.supports.values() if by_support[s.name] for e in _of_support(s, by_support[s.name], kinds)
    )
    return tuple(found)


def _of_support(support: Support, loads: Sequence[SupportLoad], kinds: Mapping[str, str]) -> Iterator[SupportEnvelope]:
    for kind in KINDS:
        own = [load for load in loads if kinds.get(load.case) == kind]
        if own:
            yield _envelope(support, kind, own)
    yield _envelope(support, "", loads)


def _envelope(support: Support, kind: str, loads: Sequence[SupportLoad]) -> SupportEnvelope:
    cases = [load.case for load in loads]
    up = _extreme([load.vertical for load in loads], cases)
    horizontal = _extreme([hypot(load.force[0], load.force[1]) for load in loads], cases)
    return SupportEnvelope(
        support=support.name,
        type=support.type,
        line=support.point[0],
        point=support.point[1],
        carried_by=support.attached_to,
        kind=kind,
        east=_extreme([load.force[0] for load in loads], cases),
        north=_extreme([load.force[1] for load in loads], cases),
        up=up,
        axial=_extreme([load.axial for load in loads], cases),
        lateral=_extreme([load.lateral for load in loads], cases),
        moment=_extreme([_size(load.moment) for load in loads], cases),
        horizontal=horizontal,
        friction=max(load.friction for load in loads),
        move=(
            _extreme([load.move[0] for load in loads], cases),
            _extreme([load.move[1] for load in loads], cases),
            _extreme([load.move[2] for load in loads], cases),
        ),
        vertical_ratio=_ratio(abs(up.largest), support.allowable_vertical),
        horizontal_ratio=_ratio(horizontal.most, support.allowable_horizontal),
        not_acting=tuple(load.case for load in loads if not load.acting),
    )


def _extreme(values: Sequence[float], cases: Sequence[str]) -> Extreme:
    low, high = int(np.argmin(values)), int(np.argmax(values))
    return Extreme(float(values[low]), float(values[high]), cases[low], cases[high])


def _size(vector: Vector) -> float:
    return sqrt(sum(v * v for v in vector))


def _ratio(demand: float, allowable: float | None) -> float:
    return demand / allowable if allowable else nan


@dataclass(frozen=True, slots=True)
class ShellLoad:
    """A support's load on the equipment that carries it, in one case.

    Attributes:
        equipment: Tag.
        along: Place on the item's axis, from its base or fixed saddle [m].
        reach: From the shell to the pipe's axis, square to the item's axis [m]; NaN where the item has no diameter.
        radial: Force away from the item's axis [N].
        tangential: Force around it, axis x radial [N].
        axial: Force along it [N].
        moment_longitudinal: Moment at the shell that bends the item along its axis: axial force times reach [N·m].
        moment_circumferential: Moment at the shell around it: tangential force times reach [N·m].
    """

    equipment: str
    support: str
    case: str
    kind: str
    force: Vector
    along: float
    reach: float
    radial: float
    tangential: float
    axial: float
    moment_longitudinal: float
    moment_circumferential: float


def shell_loads(plant: Plant, loads: Iterable[SupportLoad], cases: Sequence[Case]) -> tuple[ShellLoad, ...]:
    """Loads of supports on equipment, the largest resultant of each kind of case, by equipment in workbook order."""
    kinds = {case.case: case.kind for case in cases}
    worst: dict[tuple[str, str], SupportLoad] = {}
    for load in loads:
        if plant.supports[load.support].attached_to in plant.equipment:
            key = (load.support, kinds.get(load.case, ""))
            if key not in worst or _size(load.force) > _size(worst[key].force):
                worst[key] = load
    order = {tag: number for number, tag in enumerate(plant.equipment)}
    found = [_shell_load(plant, load, kind) for (_, kind), load in worst.items()]
    return tuple(sorted(found, key=lambda load: order[load.equipment]))


def _shell_load(plant: Plant, load: SupportLoad, kind: str) -> ShellLoad:
    support = plant.supports[load.support]
    item = plant.equipment[support.attached_to]
    along, offset = position_on(item, support.at)
    distance = float(np.linalg.norm(offset))
    axis, force = np.asarray(item.axis), np.asarray(load.force)
    out = offset / distance if distance > _ON_AXIS else np.full(3, nan)
    around = np.cross(axis, out)
    reach = distance - item.outside_diameter / 2.0 if item.outside_diameter else nan
    axial, tangential = float(force @ axis), float(force @ around)
    return ShellLoad(
        item.name,
        support.name,
        load.case,
        kind,
        load.force,
        along,
        reach,
        float(force @ out),
        tangential,
        axial,
        axial * reach,
        tangential * reach,
    )


def position_on(item: Equipment, at: Vector) -> tuple[float, np.ndarray]:
    """Place along the item's axis [m] and offset square to it [m], shape (3,)."""
    rise = (item.centreline_height or 0.0) if item.kind == HORIZONTAL else 0.0
    relative = np.asarray(at) - np.asarray(item.base) - np.array([0.0, 0.0, rise])
    axis = np.asarray(item.axis)
    along = float(relative @ axis)
    return along, relative - along * axis


def attachment_problems(plant: Plant) -> Iterator[Problem]:
    """Supports attached where the item has no zone, or inside its shell."""
    for support in plant.supports.values():
        item = plant.equipment.get(support.attached_to)
        if item is None or item.kind == FIXED:
            continue
        along, offset = position_on(item, support.at)
        if item.zones and not any(zone.start <= along <= zone.end for zone in item.zones):
            yield _no_zone(support, item, along)
        radius = (item.outside_diameter or 0.0) / 2.0
        if float(np.linalg.norm(offset)) < radius - _ON_AXIS:
            yield warning(
                "support-inside",
                support.source,
                f"support {support.name} is attached to {item.name} but stands {_inside(offset, radius):.3f} m "
                "inside its shell",
                "a point outside the shell, or another item",
            )


def _inside(offset: np.ndarray, radius: float) -> float:
    return radius - float(np.linalg.norm(offset))


def _no_zone(support: Support, item: Equipment, along: float) -> Problem:
    zones = ", ".join(f"{zone.name or 'unnamed'} {zone.start:g} to {zone.end:g} m" for zone in item.zones)
    return warning(
        "support-no-zone",
        support.source,
        f"support {support.name} is attached to {item.name} at {along:.3f} m along its axis, where no zone is "
        "given; the "
        f"item's own temperature of {item.temperature:g} °C, or that of its nearest end zone or skirt, is taken there",
        f"a zone on sheet Zones that covers it; {item.name} has {zones}",
    )
