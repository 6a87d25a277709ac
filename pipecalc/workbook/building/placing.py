"""Coordinates: walking the segments from where each line is held, and checking that everything closes."""

from collections import deque
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from pipecalc.model import Vector
from pipecalc.problems import Address, Problems, error

#: A line must meet its nozzle within this distance [m].
CLOSING_TOLERANCE = 1e-3

Key = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Step:
    """One segment as a step from point to point [m]."""

    start: Key
    end: Key
    vector: Vector
    address: Address


@dataclass(frozen=True, slots=True)
class Seed:
    """A point whose position is known [m]: a nozzle's face, or a line's start point."""

    key: Key
    at: Vector
    label: str
    address: Address


def place(
    steps: Sequence[Step], seeds: Sequence[Seed], problems: Problems, incomplete: Collection[str] = ()
) -> dict[Key, Vector]:
    """Position of every point.

    Each connected system of lines is walked from its first seed; the other seeds of that system and every ring of
    segments must then close within ``CLOSING_TOLERANCE``. Gaps are reported with all three components.

    Args:
        steps: All segments of all lines.
        seeds: Known positions, the first of a system being the one to start from.
        problems: Receives what does not close and what cannot be placed.
        incomplete: Lines of which rows are missing because of errors; that they cannot be placed is no news.

    Returns:
        Positions by point; points of systems without a seed are absent.
    """
    around = _around(steps)
    at: dict[Key, Vector] = {}
    origin: dict[Key, Seed] = {}
    for seed in seeds:
        if seed.key in at:
            _check_seed(seed, at[seed.key], origin[seed.key], around, problems)
        elif seed.key in around:
            for key in _walk(seed, around, at, problems):
                origin[key] = seed
    _report_unplaced(steps, at, problems, incomplete)
    return at


def _around(steps: Iterable[Step]) -> dict[Key, list[tuple[Step, Key, Vector]]]:
    around: dict[Key, list[tuple[Step, Key, Vector]]] = {}
    for step in steps:
        back = (-step.vector[0], -step.vector[1], -step.vector[2])
        around.setdefault(step.start, []).append((step, step.end, step.vector))
        around.setdefault(step.end, []).append((step, step.start, back))
    return around


def _walk(
    seed: Seed,
    around: Mapping[Key, list[tuple[Step, Key, Vector]]],
    at: dict[Key, Vector],
    problems: Problems,
) -> list[Key]:
    at[seed.key] = seed.at
    reached = [seed.key]
    walked: set[int] = set()
    queue = deque([seed.key])
    while queue:
        here = queue.popleft()
        for step, there, vector in around[here]:
            if id(step) in walked:
                continue
            walked.add(id(step))
            if there in at:
                _check_ring(step, _gap(_sum(at[step.start], step.vector), at[step.end]), problems)
            else:
                at[there] = _sum(at[here], vector)
                reached.append(there)
                queue.append(there)
    return reached


def _sum(a: Vector, b: Vector) -> Vector:
    return (a[0] + b[0], a[1] + b[1], a[2] + b[2])


def _gap(found: Vector, wanted: Vector) -> Vector:
    return (found[0] - wanted[0], found[1] - wanted[1], found[2] - wanted[2])


def _check_ring(step: Step, gap: Vector, problems: Problems) -> None:
    if np.linalg.norm(gap) > CLOSING_TOLERANCE:
        problems.add(
            error(
                "ring-open",
                step.address,
                f"the ring of segments that ends at {step.end[0]}/{step.end[1]} does not close: {in_words(gap)}",
                f"a gap of at most {CLOSING_TOLERANCE * 1000:g} mm",
                "mend one of the runs of the ring",
            )
        )


def _check_seed(
    seed: Seed,
    reached: Vector,
    origin: Seed,
    around: Mapping[Key, list[tuple[Step, Key, Vector]]],
    problems: Problems,
) -> None:
    gap = _gap(reached, seed.at)
    if np.linalg.norm(gap) > CLOSING_TOLERANCE:
        problems.add(
            error(
                "line-open",
                around[seed.key][0][0].address,
                f"walking the segments from {origin.label} reaches {seed.key[0]}/{seed.key[1]} "
                f"{in_words(gap)} away from {seed.label}",
                f"a gap of at most {CLOSING_TOLERANCE * 1000:g} mm",
                f"mend the runs, or the coordinates at {seed.address}",
            )
        )


def in_words(gap: Vector) -> str:
    """A gap in all three axes, in millimetres."""
    return f"East {gap[0] * 1000:+.1f} mm, North {gap[1] * 1000:+.1f} mm, Up {gap[2] * 1000:+.1f} mm"


def _report_unplaced(
    steps: Sequence[Step], at: Mapping[Key, Vector], problems: Problems, incomplete: Collection[str]
) -> None:
    reported: set[str] = set(incomplete)
    for step in steps:
        if step.start in at or step.end[0] in reported:
            continue
        reported.add(step.end[0])
        problems.add(
            error(
                "line-unplaced",
                step.address,
                f"nothing gives line {step.end[0]} a position",
                "a nozzle with Line and Point on the Nozzles sheet, or Start point with Start East, North and Up",
            )
        )
