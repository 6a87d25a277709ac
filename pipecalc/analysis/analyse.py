"""Model -> results: the whole calculation on one screen."""

from collections.abc import Sequence
from dataclasses import replace

from threadpoolctl import threadpool_limits

from pipecalc.analysis.advice import advice
from pipecalc.analysis.assumptions import assumptions, not_checked
from pipecalc.analysis.attachments import attachment_checks
from pipecalc.analysis.equipment import all_movements, all_support_movements
from pipecalc.analysis.fittings import bend_checks, branch_checks
from pipecalc.analysis.flanges import flange_checks
from pipecalc.analysis.frame import run_frame
from pipecalc.analysis.frame_results import (
    all_section_forces,
    columns,
    equilibrium,
    frame_nozzle_loads,
    frame_problems,
    member_forces,
    point_movements,
    springs,
    support_loads,
)
from pipecalc.analysis.legs import hand_line
from pipecalc.analysis.lines import expansions, quick_checks, wall_checks, weight
from pipecalc.analysis.modes import natural_modes
from pipecalc.analysis.nozzle_standards import increase_requests, standard_checks
from pipecalc.analysis.nozzles import nozzle_checks
from pipecalc.analysis.properties import properties_used
from pipecalc.analysis.shells import shell_checks
from pipecalc.analysis.stress import stress_checks
from pipecalc.analysis.stress_points import point_forces, stress_points
from pipecalc.analysis.supports import support_checks
from pipecalc.model import Plant
from pipecalc.problems import InputError, Problem, Severity
from pipecalc.results import Results


def analyse(plant: Plant, problems: Sequence[Problem] = ()) -> Results:
    """Everything the note shows, from the plant alone.

    Args:
        plant: The plant as built.
        problems: Warnings and notes found on the way, kept with the results.

    Returns:
        Complete results; deterministic in the order of the workbook.

    Raises:
        InputError: A line is free to move.
    """
    # The dense parts are small: threads gain nothing there, and on a busy machine they wait for each other.
    with threadpool_limits(limits=1):
        return _analysed(plant, problems)


def _analysed(plant: Plant, problems: Sequence[Problem]) -> Results:
    lines = list(plant.lines.values())
    run = run_frame(plant)
    found_problems = (*problems, *frame_problems(run, plant))
    if any(p.severity is Severity.ERROR for p in found_problems):
        raise InputError(list(found_problems))
    found = columns(run, plant)
    cases = tuple(column.case for column in found)
    frame = run.static[0].frame
    forces = all_section_forces(frame, found)
    points = stress_points(run, plant)
    by_hand = [hand_line(line, plant) for line in lines]
    on_nozzles = tuple(frame_nozzle_loads(run, plant))
    on_supports = tuple(support_loads(run, plant))
    members = tuple(member_forces(run, forces))
    checks = (
        *stress_checks(points, point_forces(points, frame, forces), forces.cases, plant),
        # The frame's displacement range decides; the hand method stands beside it as screening.
        *(replace(check, screening=True) for hand in by_hand for check in hand.checks),
        *(check for line in lines for check in wall_checks(line)),
        *(check for line in lines for check in bend_checks(line)),
        *branch_checks(plant),
        *(check for line in lines for check in quick_checks(line, plant)),
        *nozzle_checks(plant, on_nozzles, cases),
        *standard_checks(plant, on_nozzles, cases),
        *flange_checks(plant, on_nozzles, members, cases),
        *shell_checks(plant, on_nozzles, cases),
        *attachment_checks(plant, on_supports, cases),
        *support_checks(plant, on_supports, cases),
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
        nozzle_loads=(*on_nozzles, *(load for hand in by_hand for load in hand.nozzle_loads)),
        support_loads=on_supports,
        checks=checks,
        springs=tuple(springs(run, plant)),
        modes=tuple(natural_modes(run, plant)),
        equilibrium=tuple(equilibrium(run)),
        assumptions=tuple(assumptions(plant, found_problems)),
        properties=properties_used(plant),
        messages=found_problems,
        advice=(*advice(by_hand), *increase_requests(plant, checks)),
        not_checked=tuple(not_checked(plant, found)),
    )
