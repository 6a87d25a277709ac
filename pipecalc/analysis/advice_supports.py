"""Supports that would serve better: carried by the vessel or the structure, springs instead of rests that lift off."""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import replace
from math import isfinite

import numpy as np

from pipecalc.analysis.advice_trials import Trials, nozzles_of, worst_words
from pipecalc.analysis.outcome import Outcome
from pipecalc.analysis.span_runs import carries
from pipecalc.analysis.support_envelope import STRUCTURE, position_on
from pipecalc.analysis.words import Words
from pipecalc.model import Nozzle, Plant, Segment, Support
from pipecalc.results import Advice, Results, SupportLoad

CARRIED_BY = "first supports on vessel or structure"
SPRINGS = "springs for rests that lift off"
#: A bracket on a vessel reaches this far from its shell; common practice [m].
REACH = 3.0
_LEAST_GAIN = 0.005


def carrier_advice(plant: Plant, trials: Trials) -> Iterator[Advice]:
    """For every nozzle of a vertical vessel: its first support on the vessel against on the structure, both run."""
    for nozzle in plant.nozzles.values():
        support = first_support(plant, nozzle)
        if support is not None and within_reach(plant, nozzle, support):
            yield from _both(plant, nozzle, support, trials)


def first_support(plant: Plant, nozzle: Nozzle) -> Support | None:
    """The first support that carries weight along the line from a nozzle of a vertical vessel."""
    if nozzle.point is None or not plant.equipment[nozzle.equipment].kind.startswith("vertical"):
        return None
    at = {s.point: s for s in plant.supports.values() if carries(s) and s.type != "anchor"}
    around: dict[tuple[str, str], list[Segment]] = defaultdict(list)
    for line in plant.lines.values():
        for segment in line.segments:
            around[segment.start_key].append(segment)
            around[segment.end_key].append(segment)
    here, seen = nozzle.point, set[Segment]()
    while here not in at:
        onward = [s for s in around[here] if s not in seen]
        if len(onward) != 1:
            return None
        seen.add(onward[0])
        here = onward[0].end_key if onward[0].start_key == here else onward[0].start_key
    return at[here]


def within_reach(plant: Plant, nozzle: Nozzle, support: Support) -> bool:
    """Whether a bracket on the nozzle's vessel could reach a support."""
    item = plant.equipment[nozzle.equipment]
    _, offset = position_on(item, support.at)
    return float(np.linalg.norm(offset)) - (item.outside_diameter or 0.0) / 2.0 <= REACH


def _both(plant: Plant, nozzle: Nozzle, support: Support, trials: Trials) -> Iterator[Advice]:
    line = support.point[0]
    other = STRUCTURE if support.attached_to != STRUCTURE else nozzle.equipment
    changed = trials.supports({support.name: replace(support, attached_to=other)})
    found = trials.run(changed, line, CARRIED_BY)
    if found is None:
        return
    about, as_is = f"support {support.name}, first from {nozzle.name}", trials.as_is(line)
    now = f"carried by {_the(support.attached_to)}"
    if found.failed:
        yield Advice(
            about, f"{now[0].upper()}{now[1:]}; carried by {_the(other)} it does not hold: {found.failed}", 0.0
        )
        return
    subjects = (nozzle.name,)
    before, after = as_is.ratio(subjects), found.ratio(subjects)
    gain = before - after if isfinite(before) and isfinite(after) else 0.0
    both = (
        f"With {support.name} carried by {_the(support.attached_to)}: {worst_words(as_is, subjects)}; carried by "
        f"{_the(other)}: {worst_words(found, subjects)}."
    )
    if gain < _LEAST_GAIN:
        yield Advice(about, f"{both} It serves the nozzle where it is.", 0.0)
        return
    yield Advice(about, both, gain, "Supports", support.source.row, "Attached to", other)


def _the(carrier: str) -> str:
    return "the structure" if carrier == STRUCTURE else carrier


def spring_advice(plant: Plant, results: Results, trials: Trials) -> Iterator[Advice]:
    """For every rest that the hot pipe leaves: a spring in its place, designed and run."""
    for name, lifts in lifted_rests(plant, results).items():
        yield from _as_spring(plant, plant.supports[name], lifts, trials)


def lifted_rests(plant: Plant, results: Results) -> Mapping[str, SupportLoad]:
    """Rests that carry weight cold and do not act in an operating state, with the load record of the highest lift."""
    kinds = {case.case: case.kind for case in results.cases}
    found: dict[str, SupportLoad] = {}
    for load in results.support_loads:
        lifts = "rest" in plant.supports[load.support].type and kinds.get(load.case) == "operating" and not load.acting
        if lifts and (load.support not in found or load.move[2] > found[load.support].move[2]):
            found[load.support] = load
    return {name: found[name] for name in plant.supports if name in found}


def _as_spring(plant: Plant, support: Support, lifts: SupportLoad, trials: Trials) -> Iterator[Advice]:
    line, about = support.point[0], f"support {support.name}, which lifts off"
    as_is = trials.as_is(line)
    spring = replace(support, type="spring", direction=None, gap=0.0, spring_rate=None, spring_load=None)
    others = support.type.replace("rest, ", "").replace("rest and ", "") if support.type != "rest" else ""
    beside = (replace(support, name=f"{support.name} ({others})", type=others),) if others else ()
    found = trials.run(trials.supports({support.name: spring}, *beside), line, SPRINGS)
    if found is None:
        return
    lift = f"The pipe stands {trials.words.size(lifts.move[2])} above {support.name} in {lifts.case}."
    if found.failed:
        yield Advice(about, f"{lift} A spring in its place does not do: {found.failed}", 0.0)
        return
    yield _spring_result(support, lift, as_is, found, others, trials.words)


def _spring_result(support: Support, lift: str, as_is: Outcome, found: Outcome, others: str, words: Words) -> Advice:
    about, nozzles = f"support {support.name}, which lifts off", nozzles_of(as_is)
    built = found.plant.supports[support.name]
    if built.spring_load is None:
        check = next((c for c in found.checks if c.subject == support.name), None)
        return Advice(about, f"{lift} No spring fits: {check.reason if check else 'it cannot be designed'}.", 0.0)
    before, after = as_is.ratio(nozzles), found.ratio(nozzles)
    gain = before - after if isfinite(before) and isfinite(after) else 0.0
    rate = f", {words.rate(built.spring_rate)}" if built.spring_rate else ""
    beside = f" Its {others} stays in a row of its own." if others else ""
    verdict = "" if gain > 0 else " It gains nothing at the nozzles: the rest may stay if the line holds without it."
    text = (
        f"{lift} As a {built.type} of {words.force(built.spring_load)} hot{rate}, the worst nozzle goes from "
        f"{worst_words(as_is, nozzles)} to {worst_words(found, nozzles)}.{beside}{verdict}"
    )
    return Advice(about, text, max(gain, 0.0), "Supports", support.source.row, "Type", built.type)
