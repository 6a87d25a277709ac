"""The guided cantilever method between two restraints: legs, their shares, forces and moments.

Between two neighbouring restraints of one direction all legs that do not run along it bend in series: the same force
goes through each, so the displacement is shared by their compliances L^3/(12 E I).
Source: Crews, The Guided Cantilever Method for Quickly Checking Piping Flexibility, 2013; beam theory.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import nan, sqrt

import numpy as np

from pipecalc.analysis.chains import Array, Chain, Hold
from pipecalc.calc.material import modulus_at
from pipecalc.calc.remembered import remembered
from pipecalc.calc.section import metal_area, moment_of_inertia
from pipecalc.model import Item, Segment, Vector

_SAME_DIRECTION = 1 - 1e-9
_NO_MOVEMENT = 1e-9  # displacements below this need no leg [m]
#: A rest counts where the pipe would otherwise come down on it by more than this [m].
PENETRATION = 1e-5


@dataclass(frozen=True, slots=True)
class Piece:
    """A leg of a stretch.

    Attributes:
        first: Index of its first point in the chain.
        last: Index of its last point.
        direction: Unit vector along it, shape (3,).
        length: Flexible length, without rigid items [m].
        arms: From its first and from its last point to the middle of the flexible length, where it does not bend [m].
        sine: Of the angle between leg and direction absorbed.
        compliance: Displacement along the absorbed direction for a unit force [m/N].
        across: Displacement square to the leg for a unit displacement along the absorbed direction [m/m].
        segment: The segment whose section and material stand for the leg.
    """

    first: int
    last: int
    direction: Array
    length: float
    arms: tuple[float, float]
    sine: float
    compliance: float
    across: Vector
    segment: Segment


@dataclass(frozen=True, slots=True)
class Stretch:
    """The part of a chain between two restraints of one axis, solved.

    Attributes:
        start: Restraint at its start.
        end: Restraint at its end.
        axis: Unit vector absorbed, shape (3,).
        to_absorb: Movement of the end relative to the start that the free growth does not give [m].
        pieces: Its legs.
        force: Force on the pipe at the end, along the axis [N]; the pipe's action on the start.
        rigid: True where no leg can give, and the force is that of a held straight pipe.
        stress: Axial stress where rigid [Pa], else 0.
    """

    start: Hold
    end: Hold
    axis: Array
    to_absorb: float
    pieces: tuple[Piece, ...]
    force: float
    rigid: bool
    stress: float

    def displacement(self, piece: Piece) -> float:
        """Part of the displacement along the axis that a leg takes [m]."""
        return self.force * piece.compliance

    def lateral(self, piece: Piece) -> Vector:
        """Displacement of a leg square to itself [m]."""
        size = self.displacement(piece)
        east, north, up = piece.across
        return (east * size, north * size, up * size)


@remembered(1000)
def pieces_between(chain: Chain, first: int, last: int, axis: int, temperature: float) -> tuple[Piece, ...]:
    """Legs between two points: straight runs of one material. The stiffest section stands for all of a leg.

    Args:
        chain: The chain.
        first: Index of the first point.
        last: Index of the last point.
        axis: Row of the chain's axes that is absorbed.
        temperature: Temperature at which the modulus is taken [°C].
    """
    unit = chain.axes[axis]
    return tuple(
        replace(leg, compliance=_compliance(leg, float(unit @ leg.direction), temperature))
        for leg in _legs_between(chain, first, last, axis)
    )


@remembered(1000)
def _legs_between(chain: Chain, first: int, last: int, axis: int) -> tuple[Piece, ...]:
    """The same without their compliance."""
    groups: list[list[int]] = []
    for index in range(first, last):
        segment = chain.segments[index]
        if groups and _goes_on(chain.segments[groups[-1][-1]], segment):
            groups[-1].append(index)
        else:
            groups.append([index])
    return tuple(_leg(chain, group, chain.axes[axis]) for group in groups)


def _goes_on(before: Segment, after: Segment) -> bool:
    straight = _dot(before.vector, after.vector) / (before.length * after.length) > _SAME_DIRECTION
    joint = Item.EXPANSION_JOINT in (before.item, after.item)
    return straight and not joint and before.material.name == after.material.name


def _dot(a: Vector, b: Vector) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def _leg(chain: Chain, group: list[int], axis: Array) -> Piece:
    segments = [chain.segments[i] for i in group]
    stiffest = max(segments, key=lambda s: (s.item is Item.PIPE, _inertia(s)))
    direction = np.asarray(segments[0].vector) / segments[0].length
    along = float(axis @ direction)
    sine = sqrt(max(0.0, 1.0 - along**2))
    sine = 0.0 if sine < 1e-6 else sine
    # The part along the axis is sine times the lateral displacement.
    across = (axis - along * direction) / sine**2 if sine else np.zeros(3)
    length = sum(s.length for s in segments if _bends(s))
    return Piece(
        group[0],
        group[-1] + 1,
        direction,
        length,
        _arms(segments),
        sine,
        nan,
        (float(across[0]), float(across[1]), float(across[2])),
        stiffest,
    )


def _inertia(segment: Segment) -> float:
    return moment_of_inertia(segment.section.outside_diameter, segment.section.wall)


def _bends(segment: Segment) -> bool:
    return segment.item in (Item.PIPE, Item.REDUCER)


def _arms(segments: Sequence[Segment]) -> tuple[float, float]:
    """Distances of the middle of the flexible length from the leg's two ends [m].

    With both ends kept from turning the bending moment adds up to nothing over the flexible length, so it is zero in
    the middle of it: in the middle of the leg, unless rigid items lie at one end.
    """
    whole = flexible = moment = 0.0
    for segment in segments:
        if _bends(segment):
            flexible += segment.length
            moment += (whole + segment.length / 2.0) * segment.length
        whole += segment.length
    middle = moment / flexible if flexible else whole / 2.0
    return middle, whole - middle


def _compliance(leg: Piece, along: float, temperature: float) -> float:
    """Displacement along a direction for a unit force [m/N]; ``along`` is the cosine of the leg to it."""
    joint = leg.segment.joint
    if joint is not None:
        axial = along**2 / joint.axial if joint.axial else 0.0
        return axial + (leg.sine**2 / joint.lateral if joint.lateral else 0.0)
    section = leg.segment.section
    stiffness = (
        12.0 * modulus_at(leg.segment.material, temperature) * moment_of_inertia(section.outside_diameter, section.wall)
    )
    return leg.length**3 * leg.sine**2 / stiffness


def solve_axis(chain: Chain, held: Sequence[Hold], growth: Array, axis: int, temperature: float) -> tuple[Stretch, ...]:
    """Stretches of one axis, with the rests that the pipe comes down on.

    Args:
        chain: The chain.
        held: Restraints of this axis in order of points.
        growth: Free growth of the chain's points [m], shape (n + 1, 3).
        axis: Row of the chain's axes.
        temperature: Temperature at which the modulus is taken [°C].

    Returns:
        Stretches from the first restraint to the last; pipe beyond them is free.
    """
    acting = [hold for hold in held if not hold.one_way]
    waiting = [hold for hold in held if hold.one_way]  # rests
    while True:
        stretches = tuple(_stretch(chain, a, b, growth, axis, temperature) for a, b in pairwise(acting))
        pressed = _most_pressed(chain, waiting, stretches, growth, axis)
        if pressed is None:
            return stretches
        waiting.remove(pressed)
        acting = sorted([*acting, pressed], key=lambda hold: hold.index)


def _stretch(chain: Chain, start: Hold, end: Hold, growth: Array, axis: int, temperature: float) -> Stretch:
    unit = chain.axes[axis]
    free = float((growth[end.index] - growth[start.index]) @ unit)
    to_absorb = end.move - start.move - free
    pieces = pieces_between(chain, start.index, end.index, axis, temperature)
    compliance = sum(piece.compliance for piece in pieces)
    if abs(to_absorb) < _NO_MOVEMENT:
        return Stretch(start, end, unit, to_absorb, pieces, 0.0, False, 0.0)
    if compliance > 0:
        return Stretch(start, end, unit, to_absorb, pieces, to_absorb / compliance, False, 0.0)
    force, stress = _held_straight(chain, start, end, to_absorb, temperature)
    return Stretch(start, end, unit, to_absorb, pieces, force, True, stress)


def _held_straight(chain: Chain, start: Hold, end: Hold, to_absorb: float, temperature: float) -> tuple[float, float]:
    """Thrust and axial stress of a straight run that nothing lets grow."""
    segments = chain.segments[start.index : end.index]
    areas = [metal_area(s.section.outside_diameter, s.section.wall) for s in segments]
    give = sum(s.length / (modulus_at(s.material, temperature) * area) for s, area in zip(segments, areas, strict=True))
    force = to_absorb / give if give else 0.0
    return force, abs(force) / min(areas)


def _most_pressed(
    chain: Chain, waiting: Sequence[Hold], stretches: Sequence[Stretch], growth: Array, axis: int
) -> Hold | None:
    """The waiting rest that the pipe would come down on furthest, or None."""
    depths = [(h.one_way * (h.move - _position(chain, h, stretches, growth, axis)), h) for h in waiting]
    pressed = [pair for pair in depths if pair[0] > PENETRATION]
    return max(pressed, key=lambda pair: pair[0])[1] if pressed else None


def _position(chain: Chain, hold: Hold, stretches: Sequence[Stretch], growth: Array, axis: int) -> float:
    """Movement of the pipe along the axis at a point, by the shares of the legs before it [m]; NaN beyond the holds."""
    for stretch in stretches:
        if stretch.start.index <= hold.index <= stretch.end.index:
            free = float((growth[hold.index] - growth[stretch.start.index]) @ chain.axes[axis])
            return stretch.start.move + free + sum(_taken(chain, stretch, p, hold.index) for p in stretch.pieces)
    return float("nan")


def _taken(chain: Chain, stretch: Stretch, piece: Piece, index: int) -> float:
    """What a leg has taken of its share up to a point: the guided beam's shape 3 s^2 - 2 s^3."""
    if index >= piece.last:
        return stretch.displacement(piece)
    if index <= piece.first:
        return 0.0
    share = chain.distance(piece.first, index) / chain.distance(piece.first, piece.last)
    return stretch.displacement(piece) * (3 * share**2 - 2 * share**3)


def end_moment(stretch: Stretch, *, at_start: bool) -> Array:
    """The pipe's moment on the restraint at one end of a stretch [N·m], shape (3,).

    The leg next to the end bends with its lever arm to where it does not bend, half its length if no rigid item is in
    it; the next leg that does not run along it adds its end moment as torsion of the first, by statics. Corners are
    taken as kept from turning, so nothing else is handed on.
    """
    if stretch.rigid or not stretch.pieces:
        return np.zeros(3)
    pieces = stretch.pieces if at_start else stretch.pieces[::-1]
    side = 0 if at_start else 1
    first = pieces[0]
    bending = _leg_moment(first, stretch, side)
    turned = next((p for p in pieces if abs(float(p.direction @ first.direction)) < _SAME_DIRECTION), None)
    if turned is None:
        return bending
    torsion = float(_leg_moment(turned, stretch, side) @ first.direction)
    return bending + torsion * first.direction


def _leg_moment(piece: Piece, stretch: Stretch, side: int) -> Array:
    """End moment of a leg: the arm to where it does not bend times the force through it; none of an expansion joint."""
    if piece.segment.joint is not None:
        return np.zeros(3)
    (a, b, c), (x, y, z) = (piece.direction * piece.arms[side]).tolist(), (stretch.force * stretch.axis).tolist()
    return np.array([b * z - c * y, c * x - a * z, a * y - b * x])
