"""Rules of standards for machines worked out: force and moment together by size, and sums over several nozzles."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from pipecalc.calc import machine_load as rule
from pipecalc.calc.formula import Formula, evaluate
from pipecalc.checks.nozzles.rotating import INCH, equivalent_size
from pipecalc.report.format import MINUS, Display, significant
from pipecalc.report.worked import Line, Working, chain, clause_of, sentence, typeset
from pipecalc.results import Check

Function = Callable[..., Any]
_SIZES = (rule.total_force, rule.total_moment)


@dataclass(frozen=True, slots=True)
class Plan:
    """How a check is worked.

    Attributes:
        functions: Its formulas in order.
        given: Numbers by symbol.
        expected: What the last but the limit's formulas must give: the demand, or a ratio.
    """

    functions: tuple[Function, ...]
    given: Mapping[str, float]
    expected: float


def plan(check: Check, governs: str) -> Plan | None:
    """The formulas of a standard's rule for machines; None for any other rule.

    Args:
        check: A check of nozzle loads.
        governs: The part that governs, as its reason begins.
    """
    numbers = {k: float(v) for k, v in check.inputs.items() if isinstance(v, int | float)}
    ratio = numbers.get(f"ratio {governs}", float("nan"))
    if governs == "force and moment together":
        by_moment = (rule.moment_with_force, rule.moment_by_size)
        by_force = (rule.force_with_moment, rule.force_by_size)
        return Plan((*_SIZES, rule.reduced_size, *(by_moment if "a" in numbers else by_force)), numbers, check.demand)
    if governs == "resultants together":
        return Plan((*_SIZES, rule.interaction), numbers, check.demand)
    if "F_1" in numbers:
        return _two_nozzles(governs, numbers, check.demand, ratio)
    return _component(governs, numbers, ratio) if "c" in numbers else None


def _two_nozzles(governs: str, numbers: Mapping[str, float], demand: float, ratio: float) -> Plan:
    if governs == "resultant force":
        return Plan((rule.total_force, rule.two_forces), numbers, demand)
    if governs == "resultant moment":
        return Plan((rule.total_moment, rule.two_moments), numbers, demand)
    given = {name: numbers[name] for name in ("n", "MY_1", "MY_2") if name in numbers}
    given |= {"M": numbers.get("MY", float("nan"))}
    return Plan((rule.two_axis_moments, rule.moment_over_limit), given, ratio)


def _component(governs: str, numbers: Mapping[str, float], ratio: float) -> Plan:
    """One component of the combined load against its limit by size."""
    given = {name: numbers[name] for name in ("D", "D_full", "n", "c") if name in numbers}
    load = numbers.get(governs, float("nan"))
    if governs.startswith("F"):
        return Plan((rule.reduced_size, rule.force_by_size, rule.force_over_limit), {**given, "F": load}, ratio)
    return Plan((rule.reduced_size, rule.moment_by_size, rule.moment_over_limit), {**given, "M": load}, ratio)


def machine_steps(check: Check, found: Plan, display: Display) -> list[Working]:
    """The formulas of a plan with their numbers, the equivalent size of several connections before."""
    return [*_equivalent(check, found, display), *chain(found.functions, found.given, display)]


def _equivalent(check: Check, found: Plan, display: Display) -> list[Working]:
    """Root of the sum of the squared sizes of all connections, where that size counts; a single one has none."""
    sizes = [float(v) * INCH for k, v in check.inputs.items() if k.startswith("NPS of ") and isinstance(v, int | float)]
    if len(sizes) < 2 or "D" not in found.given:
        return []
    unit, size = ("in", INCH) if display.system == "US" else ("mm", 1e-3) if display.system == "SI" else ("m", 1.0)
    names = [f"D_{i}" for i in range(1, len(sizes) + 1)]
    symbolic = f"D = sqrt({' + '.join(f'{name}**2' for name in names)})"
    value = float(evaluate(Formula((symbolic,), tuple(names)), dict(zip(names, sizes, strict=True))))
    shown = " + ".join(f"{significant(v / size, 5)}**2".replace(MINUS, "-") for v in sizes)
    line = Line(typeset(symbolic), typeset(f"sqrt({shown})"), f"{significant(value / size, 5)} {unit}")
    title = sentence("Diameter of one circle with the area of all connections, by their nominal sizes")
    return [Working(title, (line,), clause_of(equivalent_size, display), (), {"D": value})]
