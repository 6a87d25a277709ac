"""Runs the published checks: expected from the data files, found from the production functions."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from math import nan
from typing import Any

from pipecalc.units import Dimension, convert_in, convert_out, unit_problem
from pipecalc.verification.models import Numbers
from pipecalc.verification.records import Compared, Verified
from pipecalc.verification.source import Problem, Source, Value

#: An input of this title names the row and is no argument.
ROW = "row"
#: Words up to this length, such as yes, no and C, need the name of the input before them.
_SHORT = 3
#: Names up to this length are symbols and keep their underscores.
_SYMBOL = 6

Found = Callable[..., Numbers]

#: In this order a unit is looked up; a force per area is a stress, a temperature stays a temperature.
_DIMENSIONS = (
    Dimension.LENGTH, Dimension.AREA, Dimension.SECTION_MODULUS, Dimension.FORCE, Dimension.MOMENT, Dimension.STRESS,
    Dimension.MASS, Dimension.DENSITY, Dimension.MASS_PER_LENGTH, Dimension.FORCE_PER_LENGTH, Dimension.FREQUENCY,
    Dimension.ANGLE, Dimension.EXPANSION, Dimension.TEMPERATURE, Dimension.FLEXIBILITY_VALUE,
)  # fmt: skip
#: Units that the columns of a workbook do not have, in base units.
_OTHER = {
    "1": 1.0, "m4": 1.0, "m/s": 1.0, "m/m": 1.0, "in/100 ft": 1.0 / 1200.0, "m/N": 1.0, "1/N": 1.0, "1/N·m": 1.0,
}  # fmt: skip


def verify(sources: Iterable[Source], progress: Callable[[str], None] = lambda _: None) -> Verified:
    """Run every problem of the sources; one that fails does not keep the others from running.

    Args:
        sources: What to run.
        progress: Called with the title of each source as it begins.
    """
    from threadpoolctl import threadpool_limits

    compared: list[Compared] = []
    with threadpool_limits(limits=1):  # the frames are small; threads gain nothing there
        for source in sources:
            progress(source.title)
            for problem in source.problems:
                compared += run_problem(source, problem)
    return Verified(tuple(compared))


def run_problem(source: Source, problem: Problem) -> list[Compared]:
    """The numbers of one problem, compared."""
    rows = [_run_row(problem, row) for row in problem.rows]
    largest: dict[str, float] = {}
    for row in rows:
        for title, (expected, _found) in row.numbers.items():
            unit = split(title)[1]
            if expected == expected:
                largest[unit] = max(largest.get(unit, 0.0), abs(expected))
    return [c for row in rows for c in _compared(source, problem, row, largest)]


@dataclass(frozen=True, slots=True)
class _Row:
    """One row after it ran: expected and found by title, in the printed unit."""

    given: str
    numbers: Mapping[str, tuple[float, float]]
    message: str = ""


def _run_row(problem: Problem, row: tuple[Value, ...]) -> _Row:
    inputs = dict(zip(problem.inputs, row, strict=False))
    typed = row[len(problem.inputs) :]
    given = words(inputs)
    expected: list[float] = [nan] * len(problem.expected)
    try:
        taken = arguments({**problem.given, **inputs})
        if problem.expected_from:
            printed = _function(problem.expected_from)(**taken)
            expected = [_out(title, printed[split(title)[0]]) for title in problem.expected]
        else:
            expected = [_number(problem, t, v, taken) for t, v in zip(problem.expected, typed, strict=True)]
        found = _function(problem.found)(**taken)
        numbers = {
            title: (e, _out(title, found[split(title)[0]])) for title, e in zip(problem.expected, expected, strict=True)
        }
        return _Row(given, numbers)
    except Exception as failure:  # whatever goes wrong in one problem is told and the others run
        return _Row(
            given,
            {title: (e, nan) for title, e in zip(problem.expected, expected, strict=True)},
            f"{type(failure).__name__}: {failure}",
        )


def _compared(source: Source, problem: Problem, row: _Row, largest: Mapping[str, float]) -> Iterator[Compared]:
    for title, (expected, found) in row.numbers.items():
        name, unit = split(title)
        limit = problem.limit_of(title)
        yield Compared(
            source=source.name,
            problem=problem.name,
            given=row.given,
            quantity=name,
            expected=expected,
            found=found,
            unit=unit,
            limit=limit.of(expected, largest.get(unit, 0.0)),
            limit_reason=limit.reason,
            confidence=problem.confidence,
            message=row.message,
        )


def arguments(inputs: Mapping[str, Value]) -> dict[str, Any]:
    """Inputs by title as arguments by name, in base units; the name of a row is none."""
    return {split(title)[0]: _in(title, value) for title, value in inputs.items() if title != ROW}


def split(title: str) -> tuple[str, str]:
    """Name and unit of a title, ``t_m [mm]``; ``"1"`` where it has no unit."""
    name, bracket, unit = title.partition(" [")
    return name, unit.removesuffix("]") if bracket else "1"


def _number(problem: Problem, title: str, value: Value, arguments: Mapping[str, Any]) -> float:
    """An expected number as typed, or from its formula in the inputs."""
    if not isinstance(value, str):
        return float(value)
    from pipecalc.calc.formula import Formula, evaluate

    return _out(title, float(evaluate(Formula((*problem.let, f"expected = {value}"), ()), arguments)))


def words(inputs: Mapping[str, Value]) -> str:
    """Inputs for the reader, blank ones left out."""
    return ", ".join(text for title, value in inputs.items() if (text := _words(title, value)))


def _words(title: str, value: Value) -> str:
    """An input for the reader: a word that speaks for itself alone, anything else with its name and unit."""
    name, unit = split(title)
    if isinstance(value, str) and (not value or (len(value) > _SHORT and not value[0].isdigit())):
        return value
    text = value if isinstance(value, str) else f"{value:g}"
    spelled = name.replace("_", " ") if name.islower() and len(name) > _SYMBOL else name
    return f"{spelled} {text}" + ("" if unit == "1" else f" {unit}")


def _in(title: str, value: Value) -> Value:
    unit = split(title)[1]
    if isinstance(value, str):
        return value
    if unit in _OTHER:
        return value * _OTHER[unit]
    return float(convert_in(value, unit, _dimension(unit)))


def _out(title: str, value: Any) -> float:
    """A single number in the unit of its title; an array of several is an error of the model."""
    import numpy as np

    number = float(np.asarray(value, dtype=float).item())
    unit = split(title)[1]
    if unit in _OTHER:
        return number / _OTHER[unit]
    return float(convert_out(number, unit, _dimension(unit)))


@cache
def _dimension(unit: str) -> Dimension:
    for dimension in _DIMENSIONS:
        if unit_problem(unit, dimension) is None:
            return dimension
    raise ValueError(f"no known unit: {unit}")


def _function(path: str) -> Found:
    module, _, name = path.partition(".")
    found: Found = getattr(import_module(f"pipecalc.verification.models.{module}"), name)
    return found
