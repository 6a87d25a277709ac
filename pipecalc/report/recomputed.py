"""The printed formulas evaluated once more and held against the numbers of the results they are printed for."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from math import isfinite, nan
from typing import Any

from pipecalc.calc.formula import evaluate, formula_of
from pipecalc.model import Plant
from pipecalc.report.chapter_nozzles import NOZZLE_CHECK, worst_shell, worst_sums
from pipecalc.report.chapter_supports import worst_attachments
from pipecalc.report.format import Display
from pipecalc.report.stress_sections import KINDS, worst_of_kind
from pipecalc.report.worked import CHECK_FUNCTIONS, Working, worked_leg
from pipecalc.report.worked_machine import plan
from pipecalc.report.worked_nozzle import set_steps
from pipecalc.report.worked_shell import shell_functions
from pipecalc.report.worked_stress import stress_functions
from pipecalc.results import Check, Leg, Results, governing

PRESSURE_CODE = "ASME B31.3"  # whose formulas of pressure design are printed
_PLAIN = Display("base")
Function = Callable[..., Any]


@dataclass(frozen=True, slots=True)
class Recomputed:
    """One printed working against its result.

    Attributes:
        kind: What was worked, in words.
        what: Which, in words.
        difference: Of the formula's result from the one in the results, relative; NaN where it gives no number.
    """

    kind: str
    what: str
    difference: float


def recomputed(plant: Plant, results: Results) -> Iterator[Recomputed]:
    """Every working that the note prints: legs, stresses, walls, flanges, nozzle sets, sums, shells and springs."""
    for line in plant.lines:
        own = [c for c in results.checks if c.line == line]
        yield from _legs([leg for leg in results.legs if leg.line == line])
        yield from _stresses(own, plant)
        if plant.project.code == PRESSURE_CODE:
            yield from _checks("wall thickness", own)
        yield from _checks("flange", [c for c in own if c.subject == line])
    for tag in plant.nozzles:
        own = [c for c in results.checks if c.subject == tag]
        yield from _sets([c for c in own if c.check == NOZZLE_CHECK])
        yield from _checks("flange", own)
    for worst in worst_sums(plant, results):
        yield from _sets([worst])
    for item in plant.equipment:
        yield from _shells([worst_shell(results, [n.name for n in plant.nozzles.values() if n.equipment == item])])
    for tag in plant.supports:
        yield from _checks("spring variation", [c for c in results.checks if c.subject == tag])
    yield from _shells(worst_attachments(plant, results))


def _legs(legs: Iterable[Leg]) -> Iterator[Recomputed]:
    rated = [leg for leg in legs if isfinite(leg.ratio)]
    if rated:
        leg = max(rated, key=lambda x: x.ratio)
        found = _difference(_of(worked_leg(leg, _PLAIN)), leg.stress)
        yield Recomputed("governing leg", f"{leg.line}, {leg.from_} to {leg.to}", found)


def _stresses(checks: list[Check], plant: Plant) -> Iterator[Recomputed]:
    for name, kind in KINDS.items():
        worst = worst_of_kind(checks, kind)
        if worst is not None and worst.inputs:
            found = _values(stress_functions(worst, plant.project), worst.inputs)
            yield Recomputed(name, f"{worst.line} at {worst.point}", _difference(found, worst.demand))


def _checks(name: str, checks: Iterable[Check]) -> Iterator[Recomputed]:
    worst = governing(c for c in checks if c.check == name)
    if worst is not None and worst.inputs:
        found = _values(CHECK_FUNCTIONS[name], worst.inputs)
        yield Recomputed(name, f"{worst.subject} {worst.point}".strip(), _difference(found, worst.demand))


def _shells(checks: Iterable[Check | None]) -> Iterator[Recomputed]:
    for worst in checks:
        if worst is not None and worst.inputs:
            found = _values(shell_functions(worst), worst.inputs)
            yield Recomputed(worst.check, worst.subject, _difference(found, worst.demand))


def _values(functions: Iterable[Function], inputs: Mapping[str, Any]) -> Iterator[float]:
    """Results of formulas from their first inputs on: what one of them gives is not taken from the results."""
    known = {name: float(value) for name, value in inputs.items() if isinstance(value, int | float)}
    for function in functions:
        formula = formula_of(function)
        if all(isfinite(known.get(name, nan)) for name in formula.names):
            target = formula.lines[-1].partition("=")[0].strip()
            known[target] = float(evaluate(formula, known))
            yield known[target]


def _of(steps: Iterable[Working]) -> Iterator[float]:
    return (value for step in steps for value in step.results.values())


def _sets(checks: Iterable[Check]) -> Iterator[Recomputed]:
    worst = governing(checks)
    if worst is None or not worst.inputs:
        return
    what = f"{worst.subject}, set {worst.set}"
    machine = plan(worst, worst.reason.partition(" governs")[0])
    if machine is not None:
        found = _difference(_values(machine.functions, machine.given), machine.expected)
        yield Recomputed(worst.check, what, found)
    else:
        limit = worst.inputs.get("limit of the ratio", 1.0)
        expected = worst.ratio * float(limit) if isinstance(limit, int | float) else nan
        found = _difference(_of(set_steps(worst, _PLAIN)), expected)
        yield Recomputed(worst.check, what, found)


def _difference(found: Iterable[float], expected: float) -> float:
    """Least relative difference of any result; NaN where the formulas give none."""
    size = abs(expected) if expected else 1.0
    return float(min((abs(value - expected) / size for value in found if isfinite(value)), default=nan))
