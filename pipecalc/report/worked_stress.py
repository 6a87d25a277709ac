"""The worst stress of each kind worked out in full: the code's own formulas with the numbers of the check put in."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import isclose, isfinite
from typing import Any

from markupsafe import Markup

from pipecalc.calc import allowable_range as ranges
from pipecalc.calc import fatigue, stress
from pipecalc.checks.stress import code
from pipecalc.checks.stress.interface import Kind
from pipecalc.model import Project
from pipecalc.report import format as fmt
from pipecalc.report.format import Display, significant
from pipecalc.report.stress_sections import KINDS
from pipecalc.report.worked import Line, Working, chain, clause_of, sentence, typeset, written_out
from pipecalc.results import Check

Function = Callable[..., Any]
_PRESSURE = (stress.longitudinal_pressure_stress, stress.longitudinal_pressure_stress_thin)
_CYCLES = (ranges.cycle_factor_2018, ranges.cycle_factor_2022)
_RANGES = (ranges.allowable_range_basic, ranges.allowable_range_liberal)
_SAME = 1e-6
_LIMIT_SYMBOLS: Mapping[str, str] = {"S_h": "stress", "S_y": "stress", "S_c": "stress", "S_L": "stress", "W": "number"}


@dataclass(frozen=True, slots=True)
class WorkedStress:
    """One check worked out.

    Attributes:
        title: Kind, place and case.
        component: What stands there, with its factors and their source.
        steps: Formulas in order, from the stress to its limit.
        verdict: Stress against limit, in words with the limit's clause.
    """

    title: str
    component: str
    steps: tuple[Working, ...]
    verdict: Markup


def worked_stress(check: Check, project: Project, display: Display) -> WorkedStress | None:
    """A stress check with its numbers; None where the formulas do not lead to its own stress.

    Args:
        check: A stress check.
        project: Names the code and edition.
        display: Units.
    """
    kind, given = KINDS[check.check], _numbers(check)
    steps = chain(stress_functions(check, project), given, display)
    if not any(isclose(r, check.demand, rel_tol=_SAME) for step in steps for r in step.results.values()):
        return None
    if kind is Kind.RANGE:
        steps += [*_cycles(check, given, display), *_allowed(given, check.limit, display)]
        steps += _life(check, given, project, display)
    title = f"{check.check[:1].upper()}{check.check[1:]} at {check.point}, case “{check.case}”"
    base = str(check.inputs.get("added to", ""))
    added = f"; forces of the event added to those of “{base}”" if base else ""
    component = str(check.inputs.get("factors", "")) + added
    return WorkedStress(title, component, tuple(steps), _verdict(check, given, display))


def stress_functions(check: Check, project: Project) -> tuple[Function, ...]:
    """The code's formulas that lead from the numbers of a stress check to its stress, in order."""
    functions = code(project.code, project.edition).worked[KINDS[check.check]]
    first = [f for f in functions if f is stress.corroded_wall]
    pressure = _reproducing(_PRESSURE, _numbers(check), "S_p")
    return (*first, *pressure, *(f for f in functions if f not in first))


def _numbers(check: Check) -> dict[str, float]:
    return {k: float(v) for k, v in check.inputs.items() if isinstance(v, int | float)}


_TERM = re.compile(r"(\S+) at (\S+)$")


def _cycles(check: Check, given: Mapping[str, float], display: Display) -> list[Working]:
    """The sum of cycles: each range that counts with its number and its share of the largest."""
    terms = [found for text in str(check.inputs.get("cycles", "")).split("; ") if (found := _TERM.search(text))]
    if not terms or not {"N", "m"} <= given.keys():
        return []
    power = f"{given['m']:g}"
    numbers = " + ".join(f"{count}*{share}**{power}" for count, share in (t.groups() for t in terms))
    title = Markup("Full cycles of the largest range that all amount to: N<sub>j</sub> cycles of a range "
                   "r<sub>j</sub> times as large")  # fmt: skip
    line = Line(Markup("N = Σ N<sub>j</sub> · r<sub>j</sub><sup>m</sup>"), typeset(numbers), significant(given["N"], 5))
    return [Working(title, (line,), clause_of(fatigue.equivalent_cycles_each, display), (), {"N": given["N"]})]


def _life(check: Check, given: Mapping[str, float], project: Project, display: Display) -> list[Working]:
    """Cycles that the range may have and the share of them that is used; the law where it gives the number found."""
    law = ranges.EDITIONS.get(project.edition) if project.code == "ASME B31.3" else None
    known = {k: v for k, v in given.items() if k != "N_allowed"}
    steps: list[Working] = []
    if law is not None and given.get("f", 0.0) > 0:
        linear = {"S_E": check.demand, "S_f": check.limit / given["f"]}
        linear |= {"coefficient": law.coefficient, "slope": law.slope}
        steps = chain((fatigue.range_factor_needed, fatigue.cycles_allowed), {**known, **linear}, display)
        if not steps or not isclose(
            steps[-1].results.get("N_allowed", 0.0), given.get("N_allowed", 0.0), rel_tol=_SAME
        ):
            steps = []
    used = written_out(fatigue.usage, given, display)
    return [*steps, *([used] if used else [])]


def _reproducing(functions: tuple[Function, ...], given: Mapping[str, float], symbol: str) -> list[Function]:
    """Of several forms those that give the number the calculation used."""
    plain = Display("base")
    found = []
    for function in functions:
        working = written_out(function, given, plain)
        if working and symbol in given and isclose(working.results[symbol], given[symbol], rel_tol=_SAME):
            found.append(function)
    return found[:1]


def _allowed(given: Mapping[str, float], limit: float, display: Display) -> list[Working]:
    """Cycle factor and allowable range, in the form that gives the limit of the check."""
    factor = _reproducing(_CYCLES, given, "f")
    allowed = _reproducing(_RANGES, {**given, "S_A": limit}, "S_A")
    return chain((*factor, *allowed), given, display)


def _verdict(check: Check, given: Mapping[str, float], display: Display) -> Markup:
    clause = check.clause.partition("; ")[2] or check.clause
    numbers = [
        f"{name} = {_shown(kind, given[name], display)}" for name, kind in _LIMIT_SYMBOLS.items() if name in given
    ]
    cycles = [f"{name} = {significant(given[name], 5)}" for name in ("f", "N") if name in given]
    demand, limit = display.text("stress", check.demand), display.text("stress", check.limit)
    relation = {True: "≤", False: ">"}[check.demand <= check.limit] if isfinite(check.limit) else "against"
    return sentence(
        f"{demand} {relation} {limit}, ratio {fmt.ratio(check.ratio)}: {check.status.value}. "
        f"Limit: {clause}; {', '.join([*numbers, *cycles])}."
    )


def _shown(quantity: str, value: float, display: Display) -> str:
    return display.text("stress", value) if quantity == "stress" else f"{value:g}"
