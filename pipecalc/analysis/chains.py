"""Lines as chains of points for the hand method: their own axes, and what holds them where.

A chain is an unbroken row of segments between two ends. A line with an inner branch gives several chains.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from math import atan2, degrees, dist

import numpy as np
from numpy.typing import NDArray

from pipecalc.analysis.equipment import nozzle_movement, support_movement
from pipecalc.calc.material import strain_between
from pipecalc.calc.remembered import remembered
from pipecalc.model import Line, Plant, Segment, State, Support

Key = tuple[str, str]
Array = NDArray[np.float64]

_STRAIGHT = 1 - 1e-6  # cosine above which two runs lie in one line
#: A restraint counts for an axis where it makes less than about 45 degrees with it.
ALIGNED = 0.7
_VERTICAL = 0.98
UP = np.array([0.0, 0.0, 1.0])


@dataclass(frozen=True, slots=True)
class Chain:
    """An unbroken row of segments.

    Attributes:
        line: Line name.
        keys: Points in order, n + 1.
        at: Their positions [m], shape (n + 1, 3).
        segments: n segments, each as walked along the chain.
        axes: The line's own three directions as rows: the horizontal one that most of it runs in, square to it, Up.
    """

    line: str
    keys: tuple[Key, ...]
    at: Array
    segments: tuple[Segment, ...]
    axes: Array

    def distance(self, a: int, b: int) -> float:
        """Distance of two points [m]."""
        return dist(self.at[a].tolist(), self.at[b].tolist())


@dataclass(frozen=True, slots=True)
class Hold:
    """A point of a chain that is held in one axis.

    Attributes:
        index: Point number in the chain.
        axis: Row of the chain's axes.
        move: Movement of the held point along the axis [m].
        name: Tag of the nozzle, support or joined line.
        one_way: 0 for a hold of both senses; 1 for one that keeps the pipe from moving below it along the axis, as a
            rest does; -1 for one that keeps it from moving above.
    """

    index: int
    axis: int
    move: float
    name: str
    one_way: int = 0


@remembered(1000)
def chains_of(line: Line) -> tuple[Chain, ...]:
    """The chains of a line: its runs joined head to tail, whatever the order of its rows.

    At a point where more than two runs of the line meet, the two that lie most nearly straight go through.
    """
    partner = _partners(line)
    axes = own_axes(line)
    used: set[int] = set()
    chains = []
    for number, segment in sorted(enumerate(line.segments), key=lambda pair: (pair[0], pair[1].start_key) in partner):
        if number not in used:
            walked = _walked(line, number, segment, partner)
            used.update(n for n, _ in walked)
            chains.append((min(n for n, _ in walked), _chain(line, tuple(s for _, s in walked), axes)))
    return tuple(chain for _, chain in sorted(chains, key=lambda pair: pair[0]))


#: An end of a run: its number in the line, and the point.
End = tuple[int, Key]


def _partners(line: Line) -> dict[End, int]:
    """For each end of a run the run that goes on from there, if one does."""
    meeting: dict[Key, list[int]] = {}
    for number, segment in enumerate(line.segments):
        for key in (segment.start_key, segment.end_key):
            meeting.setdefault(key, []).append(number)
    partner: dict[End, int] = {}
    for key, numbers in meeting.items():
        for a, b in _pairs(line, key, numbers):
            partner[a, key], partner[b, key] = b, a
    return partner


def _pairs(line: Line, key: Key, numbers: Sequence[int]) -> Iterator[tuple[int, int]]:
    """Runs that go through a point together: both of two; of more those that lie straight, else the straightest two."""
    if len(numbers) == 2:
        yield numbers[0], numbers[1]
        return
    away = {n: _away(line.segments[n], key) for n in numbers}
    ranked = sorted(combinations(numbers, 2), key=lambda pair: float(away[pair[0]] @ away[pair[1]]))
    taken: set[int] = set()
    for count, (a, b) in enumerate(ranked):
        straight = float(away[a] @ away[b]) < -_STRAIGHT
        if (straight or count == 0) and not taken & {a, b}:
            taken |= {a, b}
            yield a, b


def _away(segment: Segment, key: Key) -> Array:
    """Unit vector of a run, leading away from one of its ends."""
    unit: Array = np.asarray(segment.vector) / segment.length
    return unit if segment.start_key == key else -unit


def _walked(line: Line, number: int, segment: Segment, partner: Mapping[End, int]) -> list[tuple[int, Segment]]:
    """Runs with their numbers from an end of a chain to the other, each turned into the direction of walking."""
    first = number
    here = segment.start_key
    while (first, here) in partner:
        first = partner[first, here]
        here = _other_end(line.segments[first], here)
        if first == number:  # a ring: it begins at its first row
            here = segment.start_key
            break
    walked = []
    while True:
        walked.append((first, _towards(line.segments[first], here)))
        here = _other_end(line.segments[first], here)
        following = partner.get((first, here))
        if following is None or following in (n for n, _ in walked):
            return walked
        first = following


def _other_end(segment: Segment, key: Key) -> Key:
    return segment.end_key if segment.start_key == key else segment.start_key


def _towards(segment: Segment, start: Key) -> Segment:
    """A run as walked from one of its ends."""
    if segment.start_key == start:
        return segment
    return replace(
        segment,
        start=segment.end,
        end=segment.start,
        start_key=segment.end_key,
        end_key=segment.start_key,
        start_at=segment.end_at,
        end_at=segment.start_at,
        section=segment.end_section,
        end_section=segment.section,
        turn=None,
    )


def _chain(line: Line, segments: tuple[Segment, ...], axes: Array) -> Chain:
    keys = (segments[0].start_key, *(s.end_key for s in segments))
    at = np.array([segments[0].start_at, *(s.end_at for s in segments)])
    return Chain(line.name, keys, at, segments, axes)


def own_axes(line: Line) -> Array:
    """Unit vectors as rows: the horizontal direction in which most of the line runs, the one square to it, Up.

    Taken from the line itself, so that turning the plant turns the results.
    """
    first = _main_direction(line)
    return np.array([first, _forward(np.cross(UP, first)), UP])


def _main_direction(line: Line) -> Array:
    directions: list[Array] = []
    lengths: list[float] = []
    for segment in line.segments:
        plan = np.array([segment.vector[0], segment.vector[1], 0.0])
        size = float(np.linalg.norm(plan))
        if size > 1e-6:
            unit = _forward(plan / size)
            same = next((n for n, d in enumerate(directions) if float(d @ unit) > _STRAIGHT), None)
            if same is None:
                directions.append(unit)
                lengths.append(size)
            else:
                lengths[same] += size
    if not directions:
        return np.array([1.0, 0.0, 0.0])
    longest = max(lengths)
    # Of equally long directions the most easterly, so that the order of rows does not decide.
    return max((d for d, size in zip(directions, lengths, strict=True) if size > longest - 1e-6), key=lambda d: d[0])


def _forward(direction: Array) -> Array:
    """East or North as such rather than West or South: signs then read as the plant's."""
    east, north, up = (round(float(v), 9) for v in direction)
    forward: Array = direction if (east, north, up) > (0.0, 0.0, 0.0) else -direction
    return forward


def axis_name(direction: Array) -> str:
    """A direction in words: East, North, Up, their opposites' names dropped, or a plan azimuth."""
    unit = _forward(np.asarray(direction, dtype=float))
    for name, axis in (("East", (1, 0, 0)), ("North", (0, 1, 0)), ("Up", (0, 0, 1))):
        if float(np.dot(unit, axis)) > 1 - 1e-6:
            return name
    azimuth = degrees(atan2(unit[0], unit[1]))
    elevation = degrees(np.arcsin(np.clip(unit[2], -1.0, 1.0)))
    return f"az {azimuth:.1f}" if abs(elevation) < 1e-3 else f"az {azimuth:.1f} el {elevation:.1f}"


@remembered(1000)
def growth_along(chain: Chain, plant: Plant, state: State) -> Array:
    """Free growth of each point from the chain's first one [m], shape (n + 1, 3)."""
    ambient = plant.project.installation_temperature
    parts = [
        strain_between(s.material, ambient, state.segment_temperature(s)) * np.asarray(s.vector) for s in chain.segments
    ]
    growth = np.vstack([np.zeros(3), np.cumsum(parts, axis=0)])
    growth.setflags(write=False)
    return growth


@remembered(1000)
def holds(chain: Chain, plant: Plant, state: State) -> tuple[Hold, ...]:
    """Everything that holds the chain in a state, sorted by point."""
    found = list(_own_holds(chain, plant, state))
    for index in {0, len(chain.keys) - 1}:
        found += _joint_holds(chain, index, plant, state)
    return _without_doubles(found)


def _nozzle_holds(chain: Chain, index: int, key: Key, plant: Plant, state: State) -> Iterator[Hold]:
    nozzle = plant.nozzle_at.get(key)
    if nozzle is not None:
        move = np.asarray(nozzle_movement(plant.nozzles[nozzle], plant, state).vector)
        yield from _all_axes(chain, index, move, nozzle)


def _joint_holds(chain: Chain, index: int, plant: Plant, state: State) -> Iterator[Hold]:
    """An end of a chain that meets another chain goes where that one goes."""
    key = chain.keys[index]
    joined = None if key in plant.nozzle_at else _joined_chain(chain, key, plant)
    if joined is not None:
        yield from _all_axes(
            chain, index, junction_movement(joined, key, plant, state), f"joint with {key[0]}/{key[1]}"
        )


def _all_axes(chain: Chain, index: int, move: Array, name: str) -> Iterator[Hold]:
    for axis in range(3):
        yield Hold(index, axis, float(chain.axes[axis] @ move), name)


def _joined_chain(chain: Chain, key: Key, plant: Plant) -> Chain | None:
    """Another chain that runs through a point, if there is one."""
    for line in dict.fromkeys(segment.line for segment, _ in ends_at(plant).get(key, ())):
        for other in chains_of(plant.lines[line]):
            same = other.line == chain.line and other.keys == chain.keys
            if not same and key in other.keys:
                return other
    return None


def junction_movement(header: Chain, key: Key, plant: Plant, state: State) -> Array:
    """Movement of a point of a header where a branch joins [m], shape (3,).

    In each direction half way between the growth reckoned from the nearest restraint on either side; from the one side
    that has a restraint; or zero movement plus growth from the first point where neither has. Rests do not count.
    """
    growth = growth_along(header, plant, state)
    at = header.keys.index(key)
    own = [hold for hold in _own_holds(header, plant, state) if not hold.one_way]
    total = np.zeros(3)
    for axis, unit in enumerate(header.axes):
        before = max((h for h in own if h.axis == axis and h.index <= at), key=lambda h: h.index, default=None)
        after = min((h for h in own if h.axis == axis and h.index >= at), key=lambda h: h.index, default=None)
        found = [h.move + float((growth[at] - growth[h.index]) @ unit) for h in (before, after) if h is not None]
        total = total + unit * (sum(found) / len(found) if found else float(growth[at] @ unit))
    return total


@remembered(1)
def ends_at(plant: Plant) -> Mapping[Key, Sequence[tuple[Segment, bool]]]:
    """Runs that touch each point, in the order of the workbook, each with True where it arrives there."""
    found: dict[Key, list[tuple[Segment, bool]]] = {}
    for line in plant.lines.values():
        for segment in line.segments:
            found.setdefault(segment.start_key, []).append((segment, False))
            found.setdefault(segment.end_key, []).append((segment, True))
    return found


@remembered(1)
def _supports_at(plant: Plant) -> Mapping[Key, Sequence[Support]]:
    found: dict[Key, list[Support]] = {}
    for support in plant.supports.values():
        found.setdefault(support.point, []).append(support)
    return found


@remembered(1000)
def _own_holds(chain: Chain, plant: Plant, state: State) -> tuple[Hold, ...]:
    """What holds a chain by itself: nozzles and supports, but no other line."""
    supports, found = _supports_at(plant), list[Hold]()
    for index, key in enumerate(chain.keys):
        found += _nozzle_holds(chain, index, key, plant, state)
        for support in supports.get(key, ()):
            found += _support_holds(chain, index, support, plant, state)
    return tuple(found)


def restrained_directions(support: Support) -> list[tuple[Array, bool]]:
    """Directions that a support holds by the hand method, each with True where it holds towards that sense only.

    A given direction replaces the one derived from the pipe: the one a guide holds, or a line stop's axis; where both
    are in one support it is the stop's, and the guide holds across it.
    """
    pipe = np.asarray(support.pipe_direction)
    given = None if support.direction is None else np.asarray(support.direction)
    along = pipe if given is None else given
    kind = support.type
    if kind == "anchor":
        return [(axis, False) for axis in np.eye(3)]
    found: list[tuple[Array, bool]] = []
    if "rest" in kind or kind == "hanger rod":
        found.append((UP if given is None or kind not in ("rest", "hanger rod") else given, True))
    if "guide" in kind:
        found += [(axis, False) for axis in across_pipe(along, None if "line stop" in kind else given)]
    if "line stop" in kind or kind == "strut":
        found.append((along, False))
    return found


def across_pipe(pipe: Array, given: Array | None) -> list[Array]:
    """Directions that a guide holds: across the pipe, level; both horizontal axes on a vertical pipe."""
    if given is not None:
        return [given]
    if abs(pipe[2]) > _VERTICAL:
        return [np.array([1.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0])]
    across = np.cross(UP, pipe)
    return [across / np.linalg.norm(across)]


def _support_holds(chain: Chain, index: int, support: Support, plant: Plant, state: State) -> Iterator[Hold]:
    shell = support_movement(support, plant, state)
    move = np.zeros(3) if shell is None else np.asarray(shell.vector)
    for direction, one_way in restrained_directions(support):
        for axis in range(3):
            share = float(chain.axes[axis] @ direction)
            if abs(share) >= ALIGNED:
                sense = (1 if share > 0 else -1) if one_way else 0
                yield Hold(index, axis, float(chain.axes[axis] @ move), support.name, sense)


def _without_doubles(found: Iterable[Hold]) -> tuple[Hold, ...]:
    """One hold for each point, axis and sense; a hold of both senses wins over a rest."""
    best: dict[tuple[int, int, int], Hold] = {}
    for hold in found:
        best.setdefault((hold.index, hold.axis, hold.one_way), hold)
    kept = [h for h in best.values() if not h.one_way or (h.index, h.axis, 0) not in best]
    return tuple(sorted(kept, key=lambda hold: (hold.axis, hold.index)))


def by_axis(found: Iterable[Hold]) -> Mapping[int, list[Hold]]:
    """Holds of each axis in the order of points."""
    return {axis: [h for h in found if h.axis == axis] for axis in range(3)}
