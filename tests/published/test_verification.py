"""Every published check that the package ships, run from the same data as ``pipecalc verify``.

One test for each number; the source, its citation and the reason of each limit stand in ``pipecalc/verification/``.
"""

from collections.abc import Iterator
from functools import cache

import pytest

from pipecalc.verification.records import Compared
from pipecalc.verification.runner import run_problem
from pipecalc.verification.source import load, names


@cache
def compared(source: str, problem: int) -> list[Compared]:
    found = load(source)
    return run_problem(found, found.problems[problem])


def numbers() -> Iterator[object]:
    for name in names():
        source = load(name)
        for p, problem in enumerate(source.problems):
            titles = [title for _ in problem.rows for title in problem.expected]
            for n, title in enumerate(titles):
                row = problem.rows[n // len(problem.expected)][: len(problem.inputs)]
                label = " ".join(str(part) for part in (name, "-", problem.name, *row, title))
                yield pytest.param(name, p, n, id=label, marks=pytest.mark.source(source.citation))


@pytest.mark.parametrize(("source", "problem", "number"), list(numbers()))
def test_published_number(source: str, problem: int, number: int) -> None:
    found = compared(source, problem)[number]
    assert not found.message
    assert found.passes, f"{found.label}: expected {found.expected} {found.unit}, found {found.found}"
