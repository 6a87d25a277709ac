"""Where the spans of a line are: stretches between neighbouring vertical supports, with what they carry.

A nozzle, an anchor, a rest, a hanger, a spring and a constant-load support carry weight, and so does a strut that
stands nearly upright. A point where another line joins is carried by that line, and gives it half of what hangs there.
"""

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from pipecalc.analysis.chains import Chain, Key, chains_of
from pipecalc.analysis.lines import segment_mass
from pipecalc.calc.weight import GRAVITY
from pipecalc.model import Item, Plant, Segment, Support

#: Steeper than this a run counts as a riser: its weight hangs at one place of the span.
UPRIGHT = 0.98
_STRAIGHT = 1.0 - 1e-6
_NO_LENGTH = 1e-6  # m


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch between two neighbouring vertical supports of a line, or an overhang beyond the last.

    Attributes:
        line: Line name.
        keys: Points at its ends; of an overhang the support's point first.
        held_by: Tags at its ends: nozzle, support, joined line; the second is empty for an overhang.
        segments: Its segments as walked.
        length: Horizontal length along the line [m].
        straight: It neither turns nor climbs.
        uniform: Mass per metre of horizontal length [kg/m].
        loads: Concentrated masses: share of the length from the start [-], mass [kg].
    """

    line: str
    keys: tuple[Key, Key]
    held_by: tuple[str, str]
    segments: tuple[Segment, ...]
    length: float
    straight: bool
    uniform: float
    loads: tuple[tuple[float, float], ...]

    @property
    def overhangs(self) -> bool:
        """Whether nothing holds its far end."""
        return not self.held_by[1]

    @property
    def mass(self) -> float:
        """All that it carries [kg]."""
        return self.uniform * self.length + sum(mass for _, mass in self.loads)

    @property
    def rows(self) -> tuple[int, ...]:
        """Rows of Segments that it covers."""
        return tuple(segment.source.row for segment in self.segments)


def carries(support: Support) -> bool:
    """Whether a support takes weight."""
    if support.type == "strut":
        return support.direction is not None and abs(support.direction[2]) > UPRIGHT
    return support.type in ("anchor", "hanger rod", "spring", "constant load") or "rest" in support.type


def carriers(plant: Plant, leave_out: Collection[str] = ()) -> Mapping[Key, str]:
    """What carries weight, by point: a nozzle before a support."""
    found = {s.point: s.name for s in plant.supports.values() if carries(s) and s.name not in leave_out}
    found.update({nozzle.point: nozzle.name for nozzle in plant.nozzles.values() if nozzle.point})
    return found


@dataclass(frozen=True, slots=True)
class Path:
    """Pipe without a branching point inside its row of segments, through line numbers that change on the way."""

    keys: tuple[Key, ...]
    segments: tuple[Segment, ...]

    def reversed(self) -> "Path":
        """The same walked the other way; its segments keep their own sense."""
        return Path(self.keys[::-1], self.segments[::-1])


def spans(plant: Plant, leave_out: Collection[str] = ()) -> tuple[Span, ...]:
    """Spans of all lines that carry horizontal pipe, in workbook order.

    Args:
        plant: The plant.
        leave_out: Supports that do not act, such as rests that the hot pipe leaves.
    """
    held, ends = carriers(plant, leave_out), _segment_ends(plant)
    paths = _paths(plant, ends)
    found = [span for path in paths for span in _of_path(path, plant, held, ends, {})]
    hanging: dict[Key, float] = defaultdict(float)
    for span in found:
        for key, holder in zip(span.keys, span.held_by, strict=True):
            if holder and key not in held:
                hanging[key] += span.mass / 2.0
    if hanging:
        found = [span for path in paths for span in _of_path(path, plant, held, ends, hanging)]
    return tuple(found)


def _segment_ends(plant: Plant) -> Mapping[Key, tuple[str, ...]]:
    """Line of every segment that ends or begins at each point."""
    found: dict[Key, list[str]] = defaultdict(list)
    for line in plant.lines.values():
        for segment in line.segments:
            found[segment.start_key].append(line.name)
            found[segment.end_key].append(line.name)
    return {key: tuple(names) for key, names in found.items()}


def _paths(plant: Plant, ends: Mapping[Key, tuple[str, ...]]) -> list[Path]:
    """Chains of all lines, joined where one simply goes on as another."""
    paths = [Path(chain.keys, chain.segments) for line in plant.lines.values() for chain in chains_of(line)]
    number = 0
    while number < len(paths):
        other = next((p for p in paths if p is not paths[number] and _meet(paths[number], p, ends)), None)
        if other is None:
            number += 1
            continue
        first = paths[number]
        paths[number] = _joined(first, other, _meet(first, other, ends))
        paths.remove(other)
        number = 0
    return paths


def _meet(a: Path, b: Path, ends: Mapping[Key, tuple[str, ...]]) -> frozenset[Key]:
    shared = {a.keys[0], a.keys[-1]} & {b.keys[0], b.keys[-1]}
    return frozenset(key for key in shared if len(ends[key]) == 2)


def _joined(a: Path, b: Path, at: frozenset[Key]) -> Path:
    key = min(at)
    first = a if a.keys[-1] == key else a.reversed()
    second = b if b.keys[0] == key else b.reversed()
    return Path((*first.keys, *second.keys[1:]), (*first.segments, *second.segments))


def _of_path(
    path: Path,
    plant: Plant,
    held: Mapping[Key, str],
    ends: Mapping[Key, tuple[str, ...]],
    hanging: Mapping[Key, float],
) -> Iterator[Span]:
    last = len(path.keys) - 1
    holders = [held.get(key, "") for key in path.keys]
    for i in (0, last):
        holders[i] = holders[i] or _header(path, i, ends)
    stops = [i for i, name in enumerate(holders) if name]
    for i, j in pairwise(stops):
        yield from _span(path, plant, i, j, (holders[i], holders[j]), hanging)
    if stops and stops[0] > 0:
        yield from _span(path.reversed(), plant, last - stops[0], last, (holders[stops[0]], ""), hanging)
    if stops and stops[-1] < last:
        yield from _span(path, plant, stops[-1], last, (holders[stops[-1]], ""), hanging)


def _header(path: Path, index: int, ends: Mapping[Key, tuple[str, ...]]) -> str:
    """The line that carries the end of a path because it joins there, or empty."""
    own = path.segments[0 if index == 0 else -1].line
    at = [*ends[path.keys[index]]]
    at.remove(own)
    return next((name for name in at if name != own), at[0] if at else "")


def _span(
    path: Path, plant: Plant, i: int, j: int, held_by: tuple[str, str], hanging: Mapping[Key, float]
) -> Iterator[Span]:
    segments, keys = path.segments[i:j], path.keys[i : j + 1]
    level = [_horizontal(segment) for segment in segments]
    length = float(sum(level))
    if length < _NO_LENGTH:
        return
    places = np.concatenate([[0.0], np.cumsum(level)]) / length
    pipe = sum(_even_mass(plant, s) for s, run in zip(segments, level, strict=True) if run)
    loads = [*_item_loads(plant, segments, level, places), *_point_masses(plant, keys, places)]
    loads += [(float(p), hanging[key]) for key, p in zip(keys, places, strict=True) if key in hanging]
    yield Span(
        segments[0].line,
        (keys[0], keys[-1]),
        held_by,
        tuple(segments),
        length,
        _straight(segments),
        pipe / length,
        tuple((share, mass) for share, mass in loads if mass and _counts(share, held_by)),
    )


def _counts(share: float, held_by: tuple[str, str]) -> bool:
    """A load above a support goes into it; at the free end of an overhang it counts."""
    return share > 0.0 and (share < 1.0 or not held_by[1])


def _horizontal(segment: Segment) -> float:
    """Horizontal length of a run [m]; none of a riser."""
    east, north, up = segment.vector
    return 0.0 if abs(up) > UPRIGHT * segment.length else float(np.hypot(east, north))


def _even_mass(plant: Plant, segment: Segment) -> float:
    """Mass spread along a run, without its own concentrated mass [kg]."""
    line = plant.lines[segment.line]
    return segment_mass(line, segment, line.fluid_density) - segment.mass


def _item_loads(
    plant: Plant, segments: Sequence[Segment], level: Sequence[float], places: np.ndarray
) -> Iterator[tuple[float, float]]:
    """Valves and flanges at their middle, risers where they stand."""
    for n, segment in enumerate(segments):
        middle = float(places[n] + places[n + 1]) / 2.0
        yield middle, segment.mass + (0.0 if level[n] else _even_mass(plant, segment))


def _point_masses(plant: Plant, keys: Sequence[Key], places: np.ndarray) -> Iterator[tuple[float, float]]:
    """Masses and lasting downward forces of the Point loads sheet; those at the ends go into the supports."""
    at = {key: float(place) for key, place in zip(keys, places, strict=True)}
    for load in plant.point_loads:
        lasting = load.acts_in in ("always", "sustained")
        mass = load.mass + (max(-load.force[2], 0.0) / GRAVITY if lasting else 0.0)
        if load.point in at:
            yield at[load.point], mass


def _straight(segments: Sequence[Segment]) -> bool:
    units = [np.asarray(s.vector) / s.length for s in segments]
    level = all(abs(unit[2]) <= UPRIGHT for unit in units)
    return level and all(abs(float(unit @ units[0])) > _STRAIGHT for unit in units)


@dataclass(frozen=True, slots=True)
class StraightRun:
    """A straight stretch of a line between two turns, with the points where it is guided.

    Attributes:
        line: Line name.
        segments: Its segments as walked.
        upright: It is a riser.
        stations: Distance from its start [m], point and tag of each place that is held sideways; its ends among them,
            with an empty tag where only the turn holds it.
    """

    line: str
    segments: tuple[Segment, ...]
    upright: bool
    stations: tuple[tuple[float, Key, str], ...]

    @property
    def length(self) -> float:
        """[m]."""
        return sum(segment.length for segment in self.segments)


def straight_runs(plant: Plant) -> tuple[StraightRun, ...]:
    """Straight runs of all lines, in workbook order; an expansion joint ends a run."""
    held = _sideways_holds(plant)
    return tuple(run for line in plant.lines.values() for c in chains_of(line) for run in _runs_of(c, held))


def _runs_of(chain: Chain, held: Mapping[Key, str]) -> Iterator[StraightRun]:
    start = 0
    for i in range(1, len(chain.segments) + 1):
        if i == len(chain.segments) or not _goes_on(chain.segments[i - 1], chain.segments[i]):
            yield _straight_run(chain, start, i, held)
            start = i


def _goes_on(before: Segment, after: Segment) -> bool:
    straight = np.dot(before.vector, after.vector) > _STRAIGHT * before.length * after.length
    return bool(straight) and Item.EXPANSION_JOINT not in (before.item, after.item)


def _straight_run(chain: Chain, start: int, end: int, held: Mapping[Key, str]) -> StraightRun:
    segments = chain.segments[start:end]
    at = np.concatenate([[0.0], np.cumsum([s.length for s in segments])])
    keys = chain.keys[start : end + 1]
    ends = (0, len(keys) - 1)
    stations = [(float(at[n]), key, held.get(key, "")) for n, key in enumerate(keys) if key in held or n in ends]
    upright = abs(segments[0].vector[2]) > UPRIGHT * segments[0].length
    return StraightRun(chain.line, tuple(segments), upright, tuple(stations))


def _sideways_holds(plant: Plant) -> Mapping[Key, str]:
    """Points held across the pipe in every direction that wind or buckling may take it."""
    found = {
        s.point: s.name
        for s in plant.supports.values()
        if s.type == "anchor" or ("guide" in s.type and s.direction is None)
    }
    found.update({nozzle.point: nozzle.name for nozzle in plant.nozzles.values() if nozzle.point})
    return found
