"""Model -> results: the whole calculation on one screen."""

from collections.abc import Sequence
from dataclasses import replace

from threadpoolctl import threadpool_limits

from pipecalc.analysis.advice_plan import advise
from pipecalc.analysis.assumptions import assumptions, not_checked
from pipecalc.analysis.attachments import attachment_checks
from pipecalc.analysis.code_checks import code_checks
from pipecalc.analysis.equipment import all_movements, all_support_movements
from pipecalc.analysis.flanges import flange_checks
from pipecalc.analysis.frame_problems import frame_problems
from pipecalc.analysis.frame_results import (
    all_section_forces,
    columns,
    equilibrium,
    frame_nozzle_loads,
    member_forces,
    point_movements,
)
from pipecalc.analysis.frame_support_loads import support_loads
from pipecalc.analysis.frame_tees import branch_assumptions
from pipecalc.analysis.guide_spacing import guide_checks
from pipecalc.analysis.legs import hand_line
from pipecalc.analysis.lines import expansions, quick_checks, wall_checks, weight
from pipecalc.analysis.modes import natural_modes
from pipecalc.analysis.nozzle_standards import increase_requests, standard_checks
from pipecalc.analysis.nozzles import nozzle_checks
from pipecalc.analysis.outcome import solved_with_springs
from pipecalc.analysis.properties import properties_used
from pipecalc.analysis.rigid_nozzles import rigid_nozzle_loads
from pipecalc.analysis.shells import shell_checks
from pipecalc.analysis.spans import span_checks
from pipecalc.analysis.spring_design import size_problems, sizes_of, spring_checks, spring_problems, spring_results
from pipecalc.analysis.support_envelope import attachment_problems
from pipecalc.analysis.supports import support_checks
from pipecalc.model import Plant
from pipecalc.problems import InputError, Problem, Severity
from pipecalc.results import Results


def analyse(plant: Plant, problems: Sequence[Problem] = (), *, trial_runs: bool = False) -> Results:
    """Everything the note shows, from the plant alone.

    Args:
        plant: The plant as built.
        problems: Warnings and notes found on the way, kept with the results.
        trial_runs: Find advice by running changed plants too, which takes several times as long.

    Returns:
        Complete results; deterministic in the order of the workbook.

    Raises:
        InputError: A line is free to move.
    """
    # The dense parts are small: threads gain nothing there, and on a busy machine they wait for each other.
    with threadpool_limits(limits=1):
        results = _analysed(plant, problems)
        return replace(results, advice=(*advise(plant, results), *results.advice)) if trial_runs else results


def _analysed(read_plant: Plant, problems: Sequence[Problem]) -> Results:
    plant, run, choices = solved_with_springs(read_plant)
    lines = list(plant.lines.values())
    found_problems = (
        *problems,
        *frame_problems(run, plant),
        *attachment_problems(plant),
        *spring_problems(plant, choices),
        *size_problems(sizes_of(plant.spring_table), plant),
    )
    if any(p.severity is Severity.ERROR for p in found_problems):
        raise InputError(list(found_problems))
    found = columns(run, plant)
    cases = tuple(column.case for column in found)
    forces = all_section_forces(run.static[0].frame, found)
    by_hand = [hand_line(line, plant) for line in lines]
    on_nozzles = tuple(frame_nozzle_loads(run, plant))
    on_supports = tuple(support_loads(run, plant))
    members = tuple(member_forces(run, forces))
    checks = (
        *code_checks(run, plant, found, forces),
        # The frame's displacement range decides; the hand method stands beside it as screening.
        *(replace(check, screening=True) for hand in by_hand for check in hand.checks),
        *(check for line in lines for check in wall_checks(line, plant.project.code)),
        *(check for line in lines for check in quick_checks(line, plant)),
        *nozzle_checks(plant, on_nozzles, cases),
        *standard_checks(plant, on_nozzles, cases),
        *flange_checks(plant, on_nozzles, members, cases),
        *shell_checks(plant, on_nozzles, cases),
        *attachment_checks(plant, on_supports, cases),
        *support_checks(plant, on_supports, cases),
        *spring_checks(plant, choices),
        *span_checks(plant),
        *guide_checks(plant, members),
    )
    return Results(
        cases=cases,
        movements=all_movements(plant),
        support_movements=all_support_movements(plant),
        expansions=tuple(e for line in lines for e in expansions(line, plant)),
        legs=tuple(leg for hand in by_hand for leg in hand.legs),
        restrained=tuple(r for hand in by_hand for r in hand.restrained),
        loops=tuple(loop for hand in by_hand for loop in hand.loops),
        weights=tuple(weight(line) for line in lines),
        points=tuple(point_movements(run, found)),
        members=members,
        nozzle_loads=(
            *on_nozzles,
            *rigid_nozzle_loads(plant, run, on_nozzles),
            *(load for hand in by_hand for load in hand.nozzle_loads),
        ),
        support_loads=on_supports,
        checks=checks,
        springs=spring_results(choices),
        modes=tuple(natural_modes(run, plant)),
        equilibrium=tuple(equilibrium(run)),
        assumptions=(*assumptions(plant, found_problems), *branch_assumptions(run.net, plant)),
        properties=properties_used(plant),
        messages=found_problems,
        advice=tuple(increase_requests(plant, checks)),
        not_checked=tuple(not_checked(plant, found)),
    )
