"""The data files of the published checks: one TOML file for each source.

A file states title, group, citation, confidence, what is compared, and the modules whose functions are tested. Each
``[[problem]]`` names the function of ``models/`` that finds the numbers. Titles carry units in brackets. A problem is
either a table, whose rows hold inputs and then expected numbers (an input "row" is a name only), or one set of
expected numbers by title. An expected number may be a formula in the inputs (SI) in the grammar of
``calc/formula.py``, with lines before it in ``let``. Where another column of a shipped table is the expected one,
``expected_from`` names a second function.
"""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from math import isfinite
from typing import Any

Value = float | str
_FOLDER = files("pipecalc.verification").joinpath("sources")


@dataclass(frozen=True, slots=True)
class Limit:
    """How far found may be from expected; the widest of the three holds.

    Attributes:
        relative: Share of the expected number.
        absolute: In the unit of the number.
        largest: Share of the largest expected number of the same unit in the problem.
        reason: Why it is that wide.
    """

    reason: str
    relative: float = 0.0
    absolute: float = 0.0
    largest: float = 0.0

    def of(self, expected: float, largest: float) -> float:
        """The limit for one number, in its unit."""
        return max(self.relative * abs(expected), self.absolute, self.largest * largest)


@dataclass(frozen=True, slots=True)
class Problem:
    """One problem of a source.

    Attributes:
        name: In words.
        found: ``module.function`` of ``models/``.
        given: Inputs by title that hold for every row.
        inputs: Titles of the inputs of a row.
        expected: Titles of the expected numbers of a row.
        rows: Inputs and expected numbers, one after the other.
        limit: For every number without a limit of its own.
        limits: Limits by title of the number.
        confidence: A key of ``records.CONFIDENCE``.
        expected_from: ``module.function`` that gives the expected numbers, or empty.
        let: Formula lines that come before every expected formula.
        remark: What a checker must know.
    """

    name: str
    found: str
    given: Mapping[str, Value]
    inputs: tuple[str, ...]
    expected: tuple[str, ...]
    rows: tuple[tuple[Value, ...], ...]
    limit: Limit
    limits: Mapping[str, Limit]
    confidence: str
    expected_from: str = ""
    let: tuple[str, ...] = ()
    remark: str = ""

    def limit_of(self, title: str) -> Limit:
        """The limit that holds for a number."""
        return self.limits.get(title, self.limit)


@dataclass(frozen=True, slots=True)
class Source:
    """One source of published checks.

    Attributes:
        name: File name without its ending.
        title: For the summary.
        group: What part of the program it tests.
        citation: In full.
        confidence: A key of ``records.CONFIDENCE``; that of every problem that names no other.
        compares: What is compared with what.
        modules: Modules of the package that the numbers come from.
        problems: In order.
    """

    name: str
    title: str
    group: str
    citation: str
    confidence: str
    compares: str
    modules: tuple[str, ...]
    problems: tuple[Problem, ...] = field(repr=False)


def names() -> tuple[str, ...]:
    """Names of all sources, sorted."""
    return tuple(sorted(f.name.removesuffix(".toml") for f in _FOLDER.iterdir() if f.name.endswith(".toml")))


@cache
def load(name: str) -> Source:
    """Read a source, once per process.

    Raises:
        ValueError: The file is no source; the message says where it is wrong.
        FileNotFoundError: There is no such source.
    """
    text = _FOLDER.joinpath(f"{name}.toml").read_text(encoding="utf-8")
    return read(name, tomllib.loads(text))


def read(name: str, data: Mapping[str, Any]) -> Source:
    """A source from its parsed file; see ``load``."""
    try:
        problems = tuple(_problem(p, data["confidence"]) for p in data["problem"])
        if len({p.name for p in problems}) < len(problems):
            raise ValueError("two problems of one name")
        texts = {key: str(data[key]).strip() for key in ("title", "group", "citation", "confidence", "compares")}
        return Source(name=name, modules=tuple(data["modules"]), problems=problems, **texts)
    except (KeyError, TypeError, ValueError) as wrong:
        raise ValueError(f"{name}.toml: {wrong}") from wrong


def _problem(data: Mapping[str, Any], confidence: str) -> Problem:
    data = dict(data)
    expected, rows = data.pop("expected"), data.pop("rows", None)
    inputs = tuple(data.pop("inputs", ()))
    if rows is None:  # one set of numbers by title
        rows, expected = [list(expected.values())], list(expected)
    problem = Problem(
        name=data.pop("name"),
        found=data.pop("found"),
        given=data.pop("given", {}),
        inputs=inputs,
        expected=tuple(expected),
        rows=tuple(tuple(row) for row in rows),
        limit=Limit(**data.pop("limit")),
        limits={title: Limit(**limit) for title, limit in data.pop("limits", {}).items()},
        confidence=data.pop("confidence", confidence),
        expected_from=data.pop("expected_from", ""),
        let=tuple(data.pop("let", ())),
        remark=data.pop("remark", "").strip(),
    )
    _refuse(problem, data)
    return problem


def _refuse(problem: Problem, rest: Mapping[str, Any]) -> None:
    wide = len(problem.inputs) + (0 if problem.expected_from else len(problem.expected))
    if rest:
        raise ValueError(f"{problem.name}: unknown entries {', '.join(rest)}")
    if any(len(row) != wide for row in problem.rows):
        raise ValueError(f"{problem.name}: every row must hold {wide} values")
    if not problem.rows or not problem.expected:
        raise ValueError(f"{problem.name}: nothing is compared")
    numbers = (v for row in problem.rows for v in row if not isinstance(v, str))
    if not all(isfinite(v) for v in numbers):
        raise ValueError(f"{problem.name}: a number is not finite")
    strangers = set(problem.limits) - set(problem.expected)
    if strangers:
        raise ValueError(f"{problem.name}: limits for {', '.join(sorted(strangers))}, which is not expected")
