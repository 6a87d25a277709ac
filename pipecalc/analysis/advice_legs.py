"""Legs that are too short: the length they need by hand, and the line run with them lengthened.

A leg can be lengthened without moving the line's ends where another run of the same line goes the opposite way: both
grow by the same length, and what lies between them moves.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import isfinite

import numpy as np

from pipecalc.analysis.advice_trials import Trials
from pipecalc.analysis.chains import Chain, chains_of
from pipecalc.model import Line, Plant, Segment, Vector
from pipecalc.results import Advice, Leg, Results

PURPOSE = "lengthened legs"
#: Longer legs than this are not tried: another route is wanted [m].
MOST_LENGTHENING = 10.0
_OPPOSITE = -1.0 + 1e-6


@dataclass(frozen=True, slots=True)
class Shift:
    """What moves when a leg is lengthened.

    Attributes:
        points: Points that move.
        by: How far [m].
        rows: Rows of Segments of the two runs that grow, the leg's first.
    """

    points: frozenset[tuple[str, str]]
    by: Vector
    rows: tuple[int, int]


def leg_advice(plant: Plant, results: Results, trials: Trials) -> Iterator[Advice]:
    """One piece of advice for every leg over its limit by hand, worst first; twin legs of a loop once."""
    told: set[frozenset[int]] = set()
    for leg in sorted(results.legs, key=lambda leg: (-leg.ratio, leg.line, leg.points)):
        if leg.ratio > 1.0 and leg.length_needed > leg.length:
            shift = shift_for(plant, leg)
            rows = frozenset(shift.rows) if shift else frozenset(leg.rows)
            if rows not in told:
                told.add(rows)
                yield _for_leg(plant, leg, shift, trials)


def _for_leg(plant: Plant, leg: Leg, shift: Shift | None, trials: Trials) -> Advice:
    about = f"{leg.line}, leg {leg.from_} to {leg.to}"
    words = trials.words
    hand = (
        f"The leg absorbs {words.size(leg.absorbs)} towards {leg.direction} ({leg.state}) and has "
        f"{words.length(leg.length)}; "
        f"by the guided cantilever method it needs {words.length(leg.length_needed)}."
    )
    if shift is None:
        text = f"{hand} Not run: no run of the line goes the opposite way to grow with it."
        return Advice(about, text, 0.0, "Segments", leg.rows[0])
    as_is = trials.as_is(leg.line)
    found = trials.run(shifted(plant, shift), leg.line, PURPOSE)
    if found is None or found.failed:
        why = found.failed if found else "the bound on runs is reached"
        return Advice(about, f"{hand} Not run: {why}.", 0.0, "Segments", leg.rows[0])
    before, after = as_is.ratio(), found.ratio()
    stress_before, stress_after = as_is.ratio((leg.line,)), found.ratio((leg.line,))
    gain = before - after if isfinite(before) and isfinite(after) else 0.0
    longer = leg.length_needed - leg.length
    verdict = "" if stress_before > 1.0 else " By the frame the line is within its limits as it is."
    text = (
        f"{hand} Run with it and its opposite (row {shift.rows[1]}) {words.length(longer)} longer: the line's worst "
        "ratio goes from "
        f"{stress_before:.2f} to {stress_after:.2f}, the system's from {before:.2f} to {after:.2f}.{verdict}"
    )
    return Advice(about, text, max(gain, 0.0), "Segments", leg.rows[0], _column(shift), _value(plant, leg, shift))


def shift_for(plant: Plant, leg: Leg) -> Shift | None:
    """Which points move to give a leg its length; None where no opposite run allows it."""
    longer = leg.length_needed - leg.length
    line = plant.lines[leg.line]
    chain = next((c for c in chains_of(line) if set(leg.rows) <= {s.source.row for s in c.segments}), None)
    if chain is None or longer > MOST_LENGTHENING:
        return None
    pipe = [n for n, s in enumerate(chain.segments) if s.source.row in leg.rows]
    along = _unit(chain.segments[pipe[0]])
    opposite = [n for n, s in enumerate(chain.segments) if float(_unit(s) @ along) < _OPPOSITE and n not in pipe]
    for other in sorted(opposite, key=lambda n: (min(abs(n - p) for p in pipe), n)):
        shift = _between(plant, chain, pipe, other, along * longer)
        if shift is not None:
            return shift
    return None


def _between(plant: Plant, chain: Chain, pipe: list[int], other: int, by: np.ndarray) -> Shift | None:
    """Move the points between a leg and its opposite, away along the leg."""
    near = pipe[-1] if other > pipe[-1] else pipe[0]
    low, high = (near + 1, other) if other > near else (other + 1, near)
    points = frozenset(chain.keys[low : high + 1])
    # Walked against the leg the part between lies before it, so it moves the other way.
    move = by if other > near else -by
    if points & set(plant.nozzle_at) or points & _other_lines(plant, chain.line):
        return None
    rows = (chain.segments[near].source.row, chain.segments[other].source.row)
    return Shift(points, (float(move[0]), float(move[1]), float(move[2])), rows)


def _other_lines(plant: Plant, line: str) -> set[tuple[str, str]]:
    others = (s for name, other in plant.lines.items() if name != line for s in other.segments)
    return {key for segment in others for key in (segment.start_key, segment.end_key)}


def _unit(segment: Segment) -> np.ndarray:
    return np.asarray(segment.vector) / segment.length


def shifted(plant: Plant, shift: Shift) -> Plant:
    """The plant with some points moved, and what stands on them."""
    at = {key: _moved(key, place, shift) for key, place in plant.points.items()}
    lines = {name: _line(line, shift) for name, line in plant.lines.items()}
    supports = {n: replace(s, at=_moved(s.point, s.at, shift)) for n, s in plant.supports.items()}
    loads = tuple(replace(load, at=_moved(load.point, load.at, shift)) for load in plant.point_loads)
    return replace(plant, points=at, lines=lines, supports=supports, point_loads=loads)


def _line(line: Line, shift: Shift) -> Line:
    segments = tuple(
        replace(
            s,
            start_at=_moved(s.start_key, s.start_at, shift),
            end_at=_moved(s.end_key, s.end_at, shift),
        )
        for s in line.segments
    )
    return replace(line, segments=segments)


def _moved(key: tuple[str, str], at: Vector, shift: Shift) -> Vector:
    if key not in shift.points:
        return at
    return (at[0] + shift.by[0], at[1] + shift.by[1], at[2] + shift.by[2])


_AXES = ("East", "North", "Up")


def _column(shift: Shift) -> str:
    """The column that grows; empty for a leg that does not run along an axis."""
    axes = [name for name, v in zip(_AXES, shift.by, strict=True) if abs(v) > 1e-9]
    return axes[0] if len(axes) == 1 else ""


def _value(plant: Plant, leg: Leg, shift: Shift) -> str:
    """What the leg's row would hold [m]."""
    column = _column(shift)
    segment = next(s for s in plant.lines[leg.line].segments if s.source.row == shift.rows[0])
    if not column:
        return ""
    run = segment.vector[_AXES.index(column)]
    return f"{np.sign(run) * (abs(run) + leg.length_needed - leg.length):.3f} m"
