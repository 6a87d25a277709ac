"""Rules between rows and between sheets, each a small generator of problems.

A row with an error is left out of the rules that follow, so one mistake gives one message; its name stays known, so
rows that refer to it are not blamed. Positions in space are the business of building, not of these rules.
"""

from collections.abc import Callable, Collection, Iterable

from pipecalc.problems import Problem
from pipecalc.workbook.rows import Book
from pipecalc.workbook.rules import (
    equipment,
    lines,
    project,
    references,
    segments,
    sizes,
    standards,
    states,
    studies,
    supports,
)
from pipecalc.workbook.rules.view import View

Rule = Callable[[View], Iterable[Problem]]

#: In order: names first, then what refers to them, then each sheet's own rules.
RULES: tuple[Rule, ...] = (
    project.site_values,
    references.duplicates,
    references.unknown_names,
    references.unknown_points,
    references.half_points,
    lines.sections,
    lines.starts,
    lines.ends,
    lines.without_segments,
    lines.beyond_design,
    lines.insulation,
    segments.without_length,
    segments.twice,
    segments.turns,
    segments.branches,
    segments.reducers,
    segments.joints,
    segments.masses,
    equipment.horizontal_items,
    equipment.shells,
    equipment.zone_limits,
    equipment.zone_neighbours,
    equipment.nozzle_points,
    equipment.nozzle_directions,
    equipment.shell_models,
    equipment.allowable_rows,
    equipment.allowable_sizes,
    standards.set_names,
    standards.machine_centres,
    standards.standards_fit,
    standards.flange_values,
    standards.attachments,
    supports.directions,
    supports.unused_values,
    supports.empty_loads,
    states.names,
    states.contents,
    states.cycles,
    sizes.states,
    sizes.occasional_loads,
    studies.variables,
    studies.cells,
    studies.revision,
)


def check_book(book: Book, built_in_sets: Collection[str] = ()) -> list[Problem]:
    """All problems between rows and sheets.

    Args:
        book: As read.
        built_in_sets: Names of nozzle-load standards that Nozzles may name beside the sets of Allowables.
    """
    view = View(book, built_in_sets)
    return [problem for rule in RULES for problem in view.keep(rule(view))]
