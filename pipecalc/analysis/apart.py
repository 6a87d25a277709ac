"""Large plants in portions of whole systems: each is analysed by itself, and what was found is put together again.

Nothing passes between systems that share no pipe, so the numbers are those of the whole plant; time and room grow with
the number of lines, and portions can be worked on side by side.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import fields, replace
from itertools import chain
from operator import attrgetter

from pipecalc.analysis.analyse import analyse
from pipecalc.analysis.systems import part_of, systems_of
from pipecalc.model import Plant
from pipecalc.problems import InputError, Problem
from pipecalc.results import Check, Equilibrium, Results

#: A plant of more lines than this is analysed in portions, and its note comes in volumes.
LINES_AT_ONCE = 12
#: Systems are gathered in the order of the workbook up to this many lines; one that has more stays whole. The volume of
#: four lines of 40 runs has some 110 pages, and two are printed side by side in less than 2 GB.
LINES_OF_A_PORTION = 4

#: Lists that are written one portion after the other; all others are short, and the same entries come from many.
BY_PORTION = (
    "movements",
    "support_movements",
    "expansions",
    "legs",
    "restrained",
    "loops",
    "weights",
    "points",
    "members",
    "nozzle_loads",
    "support_loads",
    "checks",
    "springs",
    "modes",
)
_TOLD_ONCE = ("cases", "assumptions", "properties", "messages")


def is_large(plant: Plant) -> bool:
    """Whether a plant is analysed in portions."""
    return len(plant.lines) > LINES_AT_ONCE


def portions_of(plant: Plant) -> tuple[Plant, ...]:
    """Portions of whole systems as plants of their own, by the order of their first lines.

    They depend on the plant alone, never on the machine: the same workbook gives the same results everywhere.
    """
    return tuple(part_of(plant, [name for names in group for name in names]) for group in _gathered(systems_of(plant)))


def _gathered(systems: Iterable[tuple[str, ...]]) -> Iterator[list[tuple[str, ...]]]:
    group: list[tuple[str, ...]] = []
    for names in systems:
        if group and sum(map(len, group)) + len(names) > LINES_OF_A_PORTION:
            yield group
            group = []
        group.append(names)
    if group:
        yield group


def problems_of(portion: Plant, problems: Sequence[Problem]) -> tuple[Problem, ...]:
    """Warnings and notes that concern a portion: those of its own rows, and those of no row of a line or item."""
    rows = set(_rows(portion))
    sheets = ("Lines", "Segments", "Nozzles", "Supports", "Equipment")
    return tuple(p for p in problems if p.address.sheet not in sheets or (p.address.sheet, p.address.row) in rows)


def _rows(portion: Plant) -> Iterator[tuple[str, int]]:
    for line in portion.lines.values():
        yield line.source.sheet, line.source.row
        yield from ((segment.source.sheet, segment.source.row) for segment in line.segments)
    yield from ((nozzle.source.sheet, nozzle.source.row) for nozzle in portion.nozzles.values())
    yield from ((support.source.sheet, support.source.row) for support in portion.supports.values())
    yield from ((item.source.sheet, item.source.row) for item in portion.equipment.values())


def analyse_portion(portion: Plant, problems: Sequence[Problem], *, trial_runs: bool = False) -> Results:
    """Everything of a portion, system by system.

    Raises:
        InputError: Lines are free to move; names those of all systems of the portion.
    """
    found: list[Results] = []
    errors: dict[Problem, None] = {}
    for names in systems_of(portion):
        part = part_of(portion, names)
        try:
            found.append(analyse(part, problems_of(part, problems), trial_runs=trial_runs))
        except InputError as bad:
            errors |= dict.fromkeys(bad.problems)
    if errors:
        raise InputError(list(errors))
    whole = together(portion, found)
    return replace(whole, messages=tuple(dict.fromkeys((*problems, *whole.messages))))


def together(plant: Plant, found: Sequence[Results]) -> Results:
    """Results of several portions as those of the plant that they make up.

    Args:
        plant: The plant.
        found: Results of its portions, in their order.
    """
    order = {name: number for number, name in enumerate(plant.lines)}
    lists = {name: tuple(chain.from_iterable(getattr(one, name) for one in found)) for name in BY_PORTION}
    once = {name: tuple(dict.fromkeys(chain.from_iterable(getattr(f, name) for f in found))) for name in _TOLD_ONCE}
    whole = Results(
        **lists,
        **once,
        equilibrium=tuple(_balance(found)),
        advice=tuple(chain.from_iterable(one.advice for one in found)),
        not_checked=tuple(dict.fromkeys(chain.from_iterable(one.not_checked for one in found))),
    )
    # Result columns take expansions in the order of the rows.
    return replace(whole, expansions=tuple(sorted(whole.expansions, key=lambda e: order[e.line])))


def _balance(found: Sequence[Results]) -> Iterator[Equilibrium]:
    """Loads and reactions of a case added up; of each residual the largest."""
    by_case: dict[str, list[Equilibrium]] = {}
    for one in chain.from_iterable(results.equilibrium for results in found):
        by_case.setdefault(one.case, []).append(one)
    for case, own in by_case.items():
        yield Equilibrium(
            case,
            applied=_sum(one.applied for one in own),
            reactions=_sum(one.reactions for one in own),
            residual=max(one.residual for one in own),
            node_residual=max(one.node_residual for one in own),
            energy_residual=max(one.energy_residual for one in own),
            symmetry_residual=max(one.symmetry_residual for one in own),
        )


def _sum(vectors: Iterable[tuple[float, float, float]]) -> tuple[float, float, float]:
    east, north, up = (sum(parts) for parts in zip(*vectors, strict=True))
    return (east, north, up)


def without_bulk(results: Results, inputs_of: Callable[[str], Sequence[str]]) -> Results:
    """What result columns and sheets need: no movements of points and forces in members, few inputs of checks.

    Args:
        results: Results of a portion.
        inputs_of: Names of the inputs to keep, by name of the check.
    """
    wanted = {name: inputs_of(name) for name in {check.check for check in results.checks}}
    names = tuple(field.name for field in fields(Check))
    place, values_of = names.index("inputs"), attrgetter(*names)
    checks = []
    for check in results.checks:
        values = [*values_of(check)]  # by position: several times faster than replacing one field by its name
        values[place] = {name: check.inputs[name] for name in wanted[check.check] if name in check.inputs}
        checks.append(Check(*values))
    return replace(results, points=(), members=(), checks=tuple(checks))
