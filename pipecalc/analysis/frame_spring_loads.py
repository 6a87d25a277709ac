"""Loads of springs: what each balances, how far the pipe carries it, and what it is set to when installed."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from pipecalc.analysis.frame_cases import SUSTAINED, FrameCase, operating_name
from pipecalc.analysis.frame_supports import Touch, rate_of, with_spring_loads
from pipecalc.model import Plant

if TYPE_CHECKING:
    from pipecalc.analysis.frame import Bench

_ROUNDS = 40
_AGREES = 1e-10  # of the hot load
_FORESEEN = 1e-11  # the same where the next round is foreseen from the last two and not made
_QUICK = 1e-2  # a difference that shrinks at least so much from round to round goes on shrinking


@dataclass(frozen=True, slots=True)
class SpringLoads:
    """Loads of all springs and constant-load supports, by tag.

    Attributes:
        hot: Load in the operating state [N].
        travel: Upward movement from where the pipe was installed to the operating state [m].
        settled: False where a load or travel could not be found.
    """

    hot: Mapping[str, float]
    travel: Mapping[str, float]
    settled: bool = True

    def known(self) -> tuple[Mapping[str, float], Mapping[str, float]]:
        """Hot loads and travels with zero for what was not found; cases solved with those are never used."""
        if self.settled:
            return self.hot, self.travel
        return dict.fromkeys(self.hot, 0.0), dict.fromkeys(self.hot, 0.0)


def spring_loads(
    bench: "Bench",
    touches: Sequence[Touch],
    cases: Sequence[FrameCase],
    *,
    hot: bool,
    travel: Mapping[str, float] | None = None,
) -> SpringLoads:
    """Loads of all springs.

    Args:
        bench: The plant's frame.
        touches: Supports, springs without load yet.
        cases: Static cases.
        hot: Whether reactions take the modulus at operating temperature.
        travel: Travels to begin with [m], by tag; zero where None.
    """
    if not any(touch.role == "spring" for touch in touches):
        return SpringLoads({}, {})
    balanced = _hot_loads(bench, touches, cases)
    if not all(np.isfinite(load) for load in balanced.values()):
        return SpringLoads(balanced, dict.fromkeys(balanced, float("nan")), settled=False)
    begun = {name: float((travel or {}).get(name, 0.0)) for name in balanced}
    return _with_travel(bench, touches, cases, balanced, begun, hot=hot)


def _hot_loads(bench: "Bench", touches: Sequence[Touch], cases: Sequence[FrameCase]) -> dict[str, float]:
    """As given, else the weight in the operating contents that a spring held rigid balances, beside those given."""
    given = {t.support: bench.plant.supports[t.support].spring_load for t in touches if t.role == "spring"}
    known = {name: float(load) for name, load in given.items() if load is not None}
    if len(known) == len(given):
        return known
    held = [_held_or_loaded(touch, known) if touch.role == "spring" else touch for touch in touches]
    case = next(case for case in cases if case.name == SUSTAINED)
    if bench.plant.project.free_nozzles:
        lines = {bench.plant.supports[name].point[0] for name in given if name not in known}
        case = replace(case, free_nozzles=_nozzles_of(bench.plant, lines))
    solution = bench.solve(held, [case], case.state).solution
    force = np.where(solution.settled, solution.contacts.normal_force[:, 0], np.nan)
    found = {t.support: float(f) for t, f in zip(held, force, strict=True) if t.role == "rigid spring"}
    return {name: known.get(name, found.get(name, float("nan"))) for name in given}


def _nozzles_of(plant: Plant, lines: set[str]) -> frozenset[str]:
    return frozenset(n.name for n in plant.nozzles.values() if n.point is not None and n.point[0] in lines)


def _held_or_loaded(touch: Touch, known: Mapping[str, float]) -> Touch:
    if touch.support in known:
        return replace(touch, stiffness=0.0, preload=known[touch.support])
    return replace(touch, role="rigid spring", stiffness=np.inf, lower=0.0, upper=0.0)


def _with_travel(
    bench: "Bench",
    touches: Sequence[Touch],
    cases: Sequence[FrameCase],
    hot_load: Mapping[str, float],
    travel: Mapping[str, float],
    *,
    hot: bool,
) -> SpringLoads:
    """Travel under the hot load itself, so that the operating state has exactly that load.

    With friction the cold line, which has its springs at their installed load, leaves its trace in the hot one: the
    installed load is then found again until it agrees. The difference shrinks in every round by much the same share:
    the last round is not made where it can be foreseen. A line that hangs on its springs alone has no position under
    constant loads; there the springs keep their rate while the travel is found.
    """
    operating = operating_name(bench.plant.states[0])
    pair = [case for case in cases if case.name in (SUSTAINED, operating)]
    constant, before = True, float("nan")
    for _ in range(_ROUNDS):
        loaded = with_spring_loads(touches, bench.plant, hot_load, travel)
        trial = [part for touch in loaded for part in _parts(touch, hot_load, constant=constant)]
        solution = bench.solve(trial, pair, bench.plant.states[0], hot=hot).solution
        if constant and any(1 in free.cases for free in solution.mechanisms):
            constant = False
            continue
        if not solution.settled[1]:
            break
        move = solution.contacts.movement[:, 2, 1]
        found = {t.support: float(z) for t, z in zip(trial, move, strict=True) if t.role in ("spring", "hot spring")}
        gap, travel = _gap(bench, found, travel, hot_load), found
        agreed = gap <= _AGREES or (gap <= _QUICK * before and gap * gap <= _FORESEEN * before)
        before = gap
        if agreed or (constant and not any(touch.friction for touch in touches)):
            return SpringLoads(hot_load, travel)
    return SpringLoads(hot_load, dict.fromkeys(hot_load, float("nan")), settled=False)


def _parts(touch: Touch, hot_load: Mapping[str, float], *, constant: bool) -> Iterable[Touch]:
    """A spring with its rate in the cold line and its constant hot load in the hot one."""
    if touch.role != "spring" or not constant:
        yield touch
        return
    yield replace(touch, role="cold spring")
    yield replace(touch, role="hot spring", stiffness=0.0, preload=hot_load[touch.support])


def _gap(
    bench: "Bench", found: Mapping[str, float], travel: Mapping[str, float], hot_load: Mapping[str, float]
) -> float:
    """Largest difference of the travels from those assumed, as a share of the largest hot load."""
    largest = max(abs(load) for load in hot_load.values())
    gap = max(abs(found[name] - travel[name]) * rate_of(bench.plant.supports[name]) for name in found)
    return gap / largest if largest else (float("inf") if gap else 0.0)
