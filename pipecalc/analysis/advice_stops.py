"""Line stops: their distance from the equipment's fixed point, what it costs, and where they would serve better."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import dist, isfinite

import numpy as np

from pipecalc.analysis.advice_trials import Trials, nozzles_of, worst_words
from pipecalc.analysis.equipment import nozzle_movement
from pipecalc.analysis.outcome import Outcome
from pipecalc.analysis.span_runs import StraightRun, straight_runs
from pipecalc.analysis.support_envelope import STRUCTURE
from pipecalc.analysis.systems import system_of
from pipecalc.analysis.words import Words
from pipecalc.calc.material import strain_between
from pipecalc.model import Item, Nozzle, Plant, State, Support, Vector
from pipecalc.results import Advice

PURPOSE = "places of line stops"
NEW_PURPOSE = "further line stops for failing nozzles"
#: Points of the run tried for each stop, nearest the middle of the free ones first where there are more.
MOST_PLACES = 8
_LEAST_GAIN = 0.005


@dataclass(frozen=True, slots=True)
class Place:
    """A point at which a stop could stand."""

    point: tuple[str, str]
    at: Vector
    distance: float


def stop_advice(plant: Plant, trials: Trials) -> Iterator[Advice]:
    """One piece of advice for every line stop, moved or not; then stops that a failing nozzle would want."""
    runs = straight_runs(plant)
    for support in plant.supports.values():
        if "line stop" in support.type and support.direction is None:
            yield _for_stop(support, plant, runs, trials)
    for nozzle in plant.nozzles.values():
        if nozzle.point is not None and trials.as_is(nozzle.point[0]).ratio((nozzle.name,)) > 1.0:
            yield from _new_stop(nozzle, plant, trials)


def _for_stop(support: Support, plant: Plant, runs: tuple[StraightRun, ...], trials: Trials) -> Advice:
    line, about = support.point[0], f"line stop {support.name}"
    as_is = trials.as_is(line)
    told = " ".join(differential_words(support, plant, trials.words))
    tried = [
        (place, trials.run(_moved(support, place, trials), line, PURPOSE)) for place in places(support, plant, runs)
    ]
    best = _best([(place, found) for place, found in tried if found is not None], as_is)
    if best is None:
        return Advice(about, f"{told} No other point of its straight run could be tried.", 0.0)
    now = worst_words(as_is, nozzles_of(as_is))
    if best.gain < _LEAST_GAIN or best.harm:
        why = best.harm or "it stands best"
        return Advice(about, f"{told} Worst nozzle now {now}; tried at {best.others}: {why}.", 0.0)
    text = (
        f"{told} Moved {trials.words.length(best.place.distance, '+')} along the pipe to point "
        f"{best.place.point[1]}, the "
        f"worst nozzle goes from {now} to {worst_words(best.found, nozzles_of(as_is))}; tried at "
        f"{best.others}.{_how(support)}"
    )
    if support.type != "line stop":
        return Advice(about, text, best.gain, "Supports", support.source.row, "Type", _rest_of(support))
    return Advice(about, text, best.gain, "Supports", support.source.row, "Point", best.place.point[1])


@dataclass(frozen=True, slots=True)
class Best:
    """The best of the places tried for a stop.

    Attributes:
        gain: Fall of the worst nozzle ratio.
        others: Every place tried with its worst nozzle ratio, in words.
        harm: What else would pass its limit there, or empty.
    """

    place: Place
    found: Outcome
    gain: float
    others: str
    harm: str


def _best(tried: Sequence[tuple[Place, Outcome]], as_is: Outcome) -> Best | None:
    nozzles = nozzles_of(as_is)
    rated = [(found.ratio(nozzles), place, found) for place, found in tried if isfinite(found.ratio(nozzles))]
    if not rated or not isfinite(as_is.ratio(nozzles)):
        return None
    ratio, place, found = min(rated, key=lambda t: (t[0], abs(t[1].distance), t[1].distance))
    others = "; ".join(f"{p.point[1]}: {r:.2f}" for r, p, _ in rated)
    return Best(place, found, as_is.ratio(nozzles) - ratio, others, _harm(as_is, found))


def _harm(as_is: Outcome, found: Outcome) -> str:
    """The first other check that passes its limit only after the change, or empty."""
    nozzles = set(nozzles_of(as_is))
    over = {(c.check, c.subject) for c in as_is.checks if c.ratio > 1.0}
    worse = [c for c in found.checks if c.ratio > 1.0 and c.subject not in nozzles and (c.check, c.subject) not in over]
    return (
        f"at the best of them {worse[0].subject} would fail its {worse[0].check} ({worse[0].ratio:.2f})"
        if worse
        else ""
    )


def _new_stop(nozzle: Nozzle, plant: Plant, trials: Trials) -> Iterator[Advice]:
    """A line stop more, beside supports of the line, for a nozzle over its limit."""
    if nozzle.point is None:
        return
    line = nozzle.point[0]
    as_is = trials.as_is(line)
    tried = []
    for support in _without_stop(plant, nozzle):
        stop = replace(
            support, name=f"{support.name} (stop)", type="line stop", direction=None, gap=0.0, stiffness=None
        )
        found = trials.run(trials.supports({}, stop), line, NEW_PURPOSE)
        if found is not None:
            tried.append((Place(support.point, support.at, dist(support.at, nozzle.at)), found))
    best, about = _best(tried, as_is), f"nozzle {nozzle.name}, over its limit"
    if best is None:
        return
    if best.gain < _LEAST_GAIN or best.harm:
        why = best.harm or f"none brings {worst_words(as_is, nozzles_of(as_is))} down"
        yield Advice(about, f"A line stop more on {line} was tried at {best.others}: {why}.", 0.0)
        return
    beside = next(s for s in plant.supports.values() if s.point == best.place.point)
    text = (
        f"A line stop more at point {best.place.point[1]} of {line}, beside {beside.name}, brings the worst nozzle "
        "from "
        f"{worst_words(as_is, nozzles_of(as_is))} to {worst_words(best.found, nozzles_of(as_is))}; tried at "
        f"{best.others}."
    )
    column = "Type" if beside.type in _WITH_STOP else ""
    value = _WITH_STOP.get(beside.type, "")
    yield Advice(about, text, best.gain, "Supports", beside.source.row, column, value)


_WITH_STOP = {"rest": "rest and line stop", "rest and guide": "rest, guide and line stop"}


def _without_stop(plant: Plant, nozzle: Nozzle) -> list[Support]:
    """Supports of a nozzle's line that do not hold along the pipe, nearest to the nozzle first."""
    line = nozzle.point[0] if nozzle.point else ""
    found = [s for s in plant.supports.values() if s.point[0] == line and s.type in ("guide", *_WITH_STOP)]
    found = [s for s in found if s.attached_to == STRUCTURE]
    return sorted(found, key=lambda s: (dist(s.at, nozzle.at), s.name))[:MOST_PLACES]


def _how(support: Support) -> str:
    if support.type == "line stop":
        return ""
    return f" {support.name} stays as {_rest_of(support)}; the stop becomes a row of its own at that point."


def _rest_of(support: Support) -> str:
    """What a support is without its line stop."""
    return support.type.replace(", guide and line stop", " and guide").replace(" and line stop", "")


def places(support: Support, plant: Plant, runs: tuple[StraightRun, ...]) -> tuple[Place, ...]:
    """Other points of the stop's straight run between pieces of pipe, nearest first, at most ``MOST_PLACES``."""
    found = []
    for run in runs:
        points = [run.segments[0].start_key, *(s.end_key for s in run.segments)]
        if run.line == support.point[0] and support.point in points:
            for before, after in zip(run.segments, run.segments[1:], strict=False):
                key = before.end_key if before.end_key in (after.start_key, after.end_key) else before.start_key
                pipe = before.item is Item.PIPE and after.item is Item.PIPE
                if pipe and key != support.point:
                    at = plant.points[key]
                    along = np.dot(np.subtract(at, support.at), support.pipe_direction)
                    found.append(Place(key, at, float(along)))
    found.sort(key=lambda place: (abs(place.distance), place.distance))
    return tuple(found[:MOST_PLACES])


def _moved(support: Support, place: Place, trials: Trials) -> Plant:
    """The stop at another point; what else the support does stays where it is."""
    moved = replace(support, point=place.point, at=place.at)
    if support.type == "line stop":
        return trials.supports({support.name: moved})
    stop = replace(moved, name=f"{support.name} (stop)", type="line stop")
    return trials.supports({support.name: replace(support, type=_rest_of(support))}, stop)


def differential_words(support: Support, plant: Plant, words: Words) -> Iterator[str]:
    """Distance and differential growth between a stop and every nozzle of its system, along the stop's direction."""
    names = set(system_of(plant, support.point[0]))
    for nozzle in plant.nozzles.values():
        if nozzle.point is not None and nozzle.point[0] in names:
            state, growth = largest_differential(support, nozzle, plant)
            item = plant.equipment[nozzle.equipment]
            distance = float(np.dot(np.subtract(support.at, item.base), support.pipe_direction))
            yield (
                f"{support.name} stands {words.length(distance, '+')} from the fixed point of {item.name} along the "
                "pipe; "
                f"{words.size(abs(growth))} between stop and {nozzle.name} are left to absorb ({state.name})."
            )


def largest_differential(support: Support, nozzle: Nozzle, plant: Plant) -> tuple[State, float]:
    """The state with the largest differential growth along the stop's direction between stop and nozzle [m].

    The pipe grows away from the stop by strain times their distance; the nozzle moves with its equipment.
    """
    found = [(state, differential(support, nozzle, plant, state)) for state in plant.states]
    return max(found, key=lambda pair: abs(pair[1]))


def differential(support: Support, nozzle: Nozzle, plant: Plant, state: State) -> float:
    """Growth of the pipe from stop to nozzle less the nozzle's own movement, along the stop's direction [m]."""
    along = np.asarray(support.pipe_direction)
    line = plant.lines[support.point[0]]
    strain = strain_between(line.material, plant.project.installation_temperature, state.lines[line.name].temperature)
    distance = float(np.dot(np.subtract(nozzle.at, support.at), along))
    return strain * distance - float(np.dot(nozzle_movement(nozzle, plant, state).vector, along))
