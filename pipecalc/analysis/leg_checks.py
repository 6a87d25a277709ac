"""Verdicts of the hand method: the stresses of a leg in all its directions put together, and runs held straight."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import product
from math import hypot, isnan, nan

from pipecalc.model import Line, Vector
from pipecalc.results import Check, Leg, Restrained, Status, status_of

LEG_CHECK = "leg flexibility (hand method)"
METHOD = "guided cantilever"


@dataclass(frozen=True, slots=True)
class BentLeg:
    """A leg giving way in one direction.

    Attributes:
        ends: Its two points.
        first: Index of its first point in the chain.
        last: Index of its last point.
        axis: Row of the chain's axes that it gives way in.
        stress: Bending stress [Pa].
        bending: The same in the direction of its sideways displacement [Pa].
        case: Name of the displacement range.
        clause: Where the limit comes from.
        record: Makes its record, of which most are not wanted.
    """

    ends: tuple[str, str]
    first: int
    last: int
    axis: int
    stress: float
    bending: Vector
    case: str
    clause: str
    record: Callable[[], Leg]

    def overlaps(self, other: "BentLeg") -> bool:
        """Whether the other holds a part of this leg."""
        return self.first < other.last and other.first < self.last


def leg_checks(ranges: Sequence[Sequence[BentLeg]], line: Line) -> Iterator[Check]:
    """One verdict for each straight leg, of the range in which its combined stress is highest.

    Args:
        ranges: For each displacement range of a chain the legs that give way in it.
        line: The line.
    """
    worst: dict[tuple[str, str], tuple[float, BentLeg]] = {}
    for bent in ranges:
        for stress, governing in _combined(bent):
            key = governing.ends
            if key not in worst or stress > worst[key][0] or isnan(stress):
                worst[key] = (stress, governing)
    for stress, governing in worst.values():
        yield _verdict(stress, governing, line)


def _combined(bent: Sequence[BentLeg]) -> Iterator[tuple[float, BentLeg]]:
    """Every leg with its stress from all directions at once, and the direction that gives most of it."""
    spans: dict[tuple[int, int], list[BentLeg]] = {}
    for found in bent:
        spans.setdefault((found.first, found.last), []).append(found)
    for same in spans.values():
        governing = max(same, key=lambda found: found.stress)
        yield combined_stress(same, _beside(same, bent)), governing


def _beside(same: Sequence[BentLeg], bent: Sequence[BentLeg]) -> list[BentLeg]:
    """In each direction that restraints divide differently, the most stressed leg that shares a part of this one."""
    taken = {found.axis for found in same}
    others: dict[int, BentLeg] = {}
    for found in bent:
        if found.axis not in taken and found.overlaps(same[0]):
            kept = others.get(found.axis)
            if kept is None or found.stress > kept.stress or isnan(found.stress):
                others[found.axis] = found
    return list(others.values())


def combined_stress(same: Sequence[BentLeg], beside: Sequence[BentLeg]) -> float:
    """Stress of a leg bent in several directions: added as vectors, which is the root of squares where they are square.

    Legs that are divided differently may bend in either sense against each other; the worse one counts.
    """
    together = [sum(parts) for parts in zip(*(found.bending for found in same), strict=True)]
    sizes = [
        hypot(*(sum(parts, start) for start, *parts in zip(together, *_turned(beside, sense), strict=True)))
        for sense in product((1.0, -1.0), repeat=len(beside))
    ]
    return nan if any(isnan(size) for size in sizes) else max(sizes)


def _turned(legs: Sequence[BentLeg], sense: Sequence[float]) -> list[Vector]:
    """Stresses of legs, each in one of its two senses [Pa]."""
    return [(s * x, s * y, s * z) for s, (x, y, z) in zip(sense, (leg.bending for leg in legs), strict=True)]


def _verdict(stress: float, governing: BentLeg, line: Line) -> Check:
    leg = governing.record()
    status = status_of(stress, leg.limit)
    return Check(
        check=LEG_CHECK,
        subject=line.name,
        line=line.name,
        point=f"{leg.from_} to {leg.to}",
        case=governing.case,
        demand=stress,
        limit=leg.limit,
        unit="Pa",
        ratio=stress / leg.limit,
        status=status,
        clause=f"{METHOD}; limit {governing.clause}",
        reason=_reason(status),
        inputs={**leg.inputs, "S": stress},
        source=replace(line.source, sheet="Segments", row=leg.rows[0], column=0),
        rows=leg.rows,
    )


def _reason(status: Status) -> str:
    if status is Status.NOT_CHECKED:
        return "no stress intensification factor, modulus or allowable stress is known for this leg"
    if status is Status.FAIL:
        return "screening only: a frame analysis decides"
    return ""


def restrained_checks(found: Sequence[tuple[Restrained, str]], line: Line, clause: str) -> Iterator[Check]:
    """A run that nothing lets grow, with its full thrust."""
    for held, case in found:
        yield Check(
            check=LEG_CHECK,
            subject=line.name,
            line=line.name,
            point=f"{held.from_} to {held.to}",
            case=case,
            demand=held.stress,
            limit=held.limit,
            unit="Pa",
            ratio=held.stress / held.limit,
            status=status_of(held.stress, held.limit),
            clause=f"{METHOD}; limit {clause}",
            reason=f"no leg gives way in {held.direction}: the run is held straight and pushes with its full thrust",
            inputs={"Delta": held.growth, "F": held.force},
            source=replace(line.source, sheet="Segments", row=held.rows[0], column=0),
            rows=held.rows,
        )
