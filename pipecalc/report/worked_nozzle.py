"""The governing set of a nozzle or of an item worked out: the loads of its case put into the rule of its document."""

from collections.abc import Callable, Iterator, Mapping
from math import isclose
from typing import Any

from pipecalc.calc import nozzle_load as rule
from pipecalc.report.format import Display
from pipecalc.report.worked import Group, Working, chain, explained, judged, written_out
from pipecalc.report.worked_machine import machine_steps, plan
from pipecalc.results import Check

Function = Callable[..., Any]
_TOGETHER: tuple[Function, ...] = (rule.sum_of_two, rule.root_of_two, rule.sum_of_six, rule.root_of_six)
_RESULTANTS: Mapping[str, tuple[Function, Function]] = {
    "resultant force": (rule.resultant_force, rule.force_ratio),
    "resultant moment": (rule.resultant_moment, rule.moment_ratio),
}
_SAME = 1e-6


def worked_set(check: Check, display: Display, told: set[tuple[str, str]]) -> Iterator[Group]:
    """The working of a nozzle load check or of a sum over an item's nozzles; nothing without a formula for its ratio.

    Args:
        check: A nozzle load check with its loads and allowables among its inputs.
        display: Units.
        told: Symbols explained before; those explained here are added.
    """
    steps = tuple(set_steps(check, display))
    if steps:
        governs = _governs(check)
        title = f"{_what(check)}Set {check.set}, case “{check.case}”"
        remark = f"{governs} governs" if f"ratio {governs}" in check.inputs else ""
        yield Group(title, steps, tuple(explained(steps, told)), remark, judged(check, display))


def _what(check: Check) -> str:
    """The sum over an item's nozzles in words; empty for a single nozzle."""
    return f"{check.subject}, {check.point}. " if ": " in check.point else ""


def _governs(check: Check) -> str:
    return check.reason.partition(" governs")[0]


def set_steps(check: Check, display: Display) -> list[Working]:
    """The formulas of a nozzle load check; none where they do not lead to its own ratio."""
    numbers = {k: float(v) for k, v in check.inputs.items() if isinstance(v, int | float)}
    governs = _governs(check)
    machine = plan(check, governs)
    if machine is not None:
        steps = machine_steps(check, machine, display)
        results = [value for step in steps for value in step.results.values()]
        return steps if any(isclose(value, machine.expected, rel_tol=_SAME) for value in results) else []
    if check.unit == "1":
        given = {**numbers, **_allowed(numbers)}
        resultants = chain((rule.resultant_force, rule.resultant_moment), given, display)
        given = {**given, **{k: v for step in resultants for k, v in step.results.items()}}
        for function in _TOGETHER:
            found = written_out(function, given, display)
            if found and isclose(found.results["r"], check.demand, rel_tol=_SAME):
                return [*resultants, found] if "M_a" in given else [found]
        return []
    limit = numbers.get(f"allowable {governs}", float("nan"))
    is_moment = check.unit != "N"
    names = ("M", "M_a") if is_moment else ("F", "F_a")
    if governs in _RESULTANTS:
        steps = chain(_RESULTANTS[governs], {**numbers, names[1]: limit}, display)
    elif governs in numbers:
        ratio = rule.moment_ratio if is_moment else rule.force_ratio
        steps = chain((ratio,), {names[0]: numbers[governs], names[1]: limit}, display)
    else:
        return []
    expected = numbers.get(f"ratio {governs}", float("nan"))
    return steps if steps and isclose(steps[-1].results.get("r", float("nan")), expected, rel_tol=_SAME) else []


def _allowed(numbers: Mapping[str, float]) -> dict[str, float]:
    """Allowables by the symbols of the rules."""
    symbols = {"resultant force": "F", "resultant moment": "M"}
    found = {k.removeprefix("allowable "): v for k, v in numbers.items() if k.startswith("allowable ")}
    return {f"{symbols.get(name, name)}_a": value for name, value in found.items()}
