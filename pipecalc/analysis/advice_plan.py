"""All advice on a plant, ranked by what it gains: the fall of the worst ratio, found by running the change.

Runs are bounded: for every line stop the points of its straight run (at most 8), for every nozzle over its limit a
further stop at supports of its line (at most 8), for every first support of a vessel's nozzle one, for every rest that
lifts off one, for every leg that is too short one; 60 in all unless asked otherwise, in the order legs, springs,
carriers, stops. Each system is run once more as it is, which is not counted. The plant itself is never changed.
"""

from collections.abc import Iterator

from threadpoolctl import threadpool_limits

from pipecalc.analysis.advice_findings import length_advice, valve_advice, weight_advice
from pipecalc.analysis.advice_legs import leg_advice
from pipecalc.analysis.advice_stops import stop_advice
from pipecalc.analysis.advice_supports import carrier_advice, spring_advice
from pipecalc.analysis.advice_trials import MOST_RUNS, Trials
from pipecalc.analysis.guide_spacing import guide_checks
from pipecalc.analysis.spans import span_checks
from pipecalc.analysis.words import Words
from pipecalc.model import Plant
from pipecalc.results import Advice, Loop, Results


def advise(plant: Plant, results: Results, most_runs: int = MOST_RUNS) -> tuple[Advice, ...]:
    """Advice on a plant, the largest gain first; then what could not be improved, and last what was run.

    Args:
        plant: The plant as read.
        results: What a run found.
        most_runs: Largest number of changed plants to run.
    """
    trials = Trials(plant, most_runs)
    with threadpool_limits(limits=1):  # the systems are small: threads only wait for each other
        found = sorted(_all(plant, results, trials), key=lambda advice: -advice.gain)
    told = trials.told()
    return (*found, Advice("runs", told, 0.0)) if told else tuple(found)


def _all(plant: Plant, results: Results, trials: Trials) -> Iterator[Advice]:
    yield from leg_advice(plant, results, trials)
    yield from spring_advice(plant, results, trials)
    yield from carrier_advice(plant, trials)
    yield from stop_advice(plant, trials)
    yield from (_loop(loop, trials.words) for loop in results.loops)
    yield from weight_advice(plant, results)
    yield from length_advice((*span_checks(plant), *guide_checks(plant, results.members)), trials.words)
    yield from valve_advice(plant)


def _loop(loop: Loop, words: Words) -> Advice:
    text = (
        f"By hand, a U loop with legs of {words.length(loop.height)}, {words.length(loop.width)} apart, takes the "
        "growth of "
        f"{words.size(loop.growth)} towards {loop.direction}; not run."
    )
    return Advice(f"{loop.line}, {loop.from_} to {loop.to}", text, 0.0)
