"""Stress codes, one file each; found by listing this folder."""

import pkgutil
from functools import cache
from importlib import import_module

from pipecalc.checks.stress.interface import StressCode


@cache
def codes() -> dict[str, StressCode]:
    """Every stress code by its title, sorted."""
    names = sorted(module.name for module in pkgutil.iter_modules(__path__, f"{__name__}."))
    modules = (import_module(name) for name in names)
    found = [module.CODE for module in modules if hasattr(module, "CODE")]
    return {code.title: code for code in sorted(found, key=lambda code: code.title)}


def code(title: str, edition: str) -> StressCode:
    """The code of a title, which knows the edition.

    Raises:
        LookupError: Code or edition is not known here; the message lists those that are.
    """
    known = codes()
    if title not in known:
        raise LookupError(f"stress code {title!r} is not known here; known are {', '.join(known)}")
    if edition not in known[title].editions:
        raise LookupError(f"{title} has no edition {edition!r} here; known are {', '.join(known[title].editions)}")
    return known[title]
