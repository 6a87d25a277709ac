"""What the published checks do not reach: modules of the calculation that no source names."""

import pkgutil
from collections.abc import Iterable
from importlib import import_module

from pipecalc.verification.source import Source

#: Packages whose modules compute or judge.
_PACKAGES = ("calc", "checks", "analysis")
#: Modules that hold no engineering: shapes of records, lookups, plumbing between others.
_PLUMBING = (
    "calc.domain", "calc.factor", "calc.formula", "calc.remembered", "checks.finding", "checks.nozzles.geometry",
    "checks.nozzles.interface", "checks.stress.interface", "analysis.analyse", "analysis.assumptions",
    "analysis.code_checks", "analysis.findings", "analysis.outcome", "analysis.properties",
    "analysis.stress_assumptions", "analysis.words",
)  # fmt: skip


def without_a_check(sources: Iterable[Source]) -> tuple[tuple[str, str], ...]:
    """Modules that no source names, with what they say of themselves, sorted."""
    named = {module for source in sources for module in source.modules} | set(_PLUMBING)
    return tuple((name, _about(name)) for name in calculating() if name not in named)


def calculating() -> tuple[str, ...]:
    """All modules of the calculation, without the package's own name, sorted."""
    found: list[str] = []
    for package in _PACKAGES:
        root = import_module(f"pipecalc.{package}")
        modules = pkgutil.walk_packages(root.__path__, f"pipecalc.{package}.")
        found += [module.name.removeprefix("pipecalc.") for module in modules if not module.ispkg]
    return tuple(sorted(found))


def _about(name: str) -> str:
    """First sentence of a module's docstring."""
    paragraph = (import_module(f"pipecalc.{name}").__doc__ or "").strip().partition("\n\n")[0]
    sentence, _, _ = " ".join(paragraph.split()).partition(". ")
    return sentence.rstrip(".")
