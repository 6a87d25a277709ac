"""The shipped sources: complete, honest about what they rest on, and about what they reach."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from importlib import import_module
from pathlib import Path
from types import FrameType

import pytest

from pipecalc.verification.coverage import calculating, without_a_check
from pipecalc.verification.records import CONFIDENCE
from pipecalc.verification.runner import run_problem
from pipecalc.verification.source import load, names

PACKAGE = Path(import_module("pipecalc").__file__ or "").parent


def test_the_numbers_are_as_many_as_were_ever_published() -> None:
    """A source or a row that is lost lowers the count; raise it when checks are added."""
    count = sum(len(p.rows) * len(p.expected) for name in names() for p in load(name).problems)
    assert count >= 2050


@pytest.mark.parametrize("name", names())
def test_a_source_says_what_it_is(name: str) -> None:
    source = load(name)
    words = {source.confidence, *(p.confidence for p in source.problems)}
    assert words <= CONFIDENCE.keys()
    assert len(source.citation) > 40
    assert source.compares.endswith(".")
    for problem in source.problems:
        limits = [problem.limit, *problem.limits.values()]
        assert all(len(limit.reason) > 4 for limit in limits)
        assert all(max(limit.relative, limit.absolute, limit.largest) > 0 for limit in limits)


@contextmanager
def running() -> Iterator[set[str]]:
    """Modules of the package in which functions are called meanwhile, without the package's own name."""
    files: set[str] = set()

    def note(frame: FrameType, event: str, _: object) -> None:
        if event == "call":
            files.add(frame.f_code.co_filename)

    modules: set[str] = set()
    before = sys.getprofile()
    sys.setprofile(note)
    try:
        yield modules
    finally:
        sys.setprofile(before)
    inside = (Path(file) for file in files if file.startswith(str(PACKAGE)))
    modules |= {".".join(file.relative_to(PACKAGE).with_suffix("").parts).removesuffix(".__init__") for file in inside}


@pytest.mark.parametrize("name", names())
def test_the_modules_that_a_source_names_are_run_by_it(name: str) -> None:
    forget()
    source = load(name)
    with running() as modules:
        for problem in source.problems:
            run_problem(source, problem)
    assert set(source.modules) - modules == set()


def forget() -> None:
    """Empty the caches of the package, so that nothing is answered from memory."""
    for module in [m for n, m in sys.modules.items() if n.startswith("pipecalc.")]:
        for value in vars(module).values():
            if hasattr(value, "cache_clear"):
                value.cache_clear()


def test_what_no_source_names_is_told() -> None:
    sources = [load(name) for name in names()]
    bare = dict(without_a_check(sources))
    assert "analysis.spring_design" in bare
    assert "calc.pressure" not in bare
    assert all(len(about) > 15 for about in bare.values())
    named = {module for source in sources for module in source.modules}
    assert named - set(calculating()) == {"pipe_sizes", "fluid", "tables"}
    assert set(dict(without_a_check([]))) > set(bare)
