"""What a changed plant comes to: the verdicts that decide, without the tables of the note.

Advice and studies run many plants; only what they compare is worked out, with the same functions as a full run.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from math import isfinite, nan

from pipecalc.analysis.attachments import attachment_checks
from pipecalc.analysis.code_checks import code_checks
from pipecalc.analysis.flanges import flange_checks
from pipecalc.analysis.frame import FrameRun, run_frame, run_further, run_static
from pipecalc.analysis.frame_results import (
    Column,
    SectionForces,
    all_section_forces,
    columns,
    frame_nozzle_loads,
    frame_problems,
    member_forces,
)
from pipecalc.analysis.frame_support_loads import support_loads
from pipecalc.analysis.lines import wall_checks
from pipecalc.analysis.nozzle_standards import standard_checks
from pipecalc.analysis.nozzles import nozzle_checks
from pipecalc.analysis.shells import shell_checks
from pipecalc.analysis.spring_design import SpringChoice, SpringSize, sizes_of, spring_checks, with_designed_springs
from pipecalc.analysis.supports import support_checks
from pipecalc.model import Plant
from pipecalc.problems import InputError, Severity
from pipecalc.results import Case, Check, NozzleLoad, SupportLoad


@dataclass(frozen=True, slots=True, eq=False)
class Outcome:
    """Verdicts of a plant, or why there are none.

    Attributes:
        plant: The plant with its springs as designed.
        checks: Verdicts that count, screening left out.
        nozzle_loads: Loads on nozzles, by case.
        support_loads: Loads on supports, by case.
        cases: All cases.
        failed: Why nothing was found, or empty: the first error in words.
    """

    plant: Plant
    checks: tuple[Check, ...] = ()
    nozzle_loads: tuple[NozzleLoad, ...] = ()
    support_loads: tuple[SupportLoad, ...] = ()
    cases: tuple[Case, ...] = ()
    failed: str = ""

    def worst(self, subjects: Iterable[str] | None = None) -> Check | None:
        """The check of highest ratio among some subjects, or all; None where none has a ratio."""
        wanted = None if subjects is None else set(subjects)
        rated = [c for c in self.checks if isfinite(c.ratio) and (wanted is None or c.subject in wanted)]
        return max(rated, key=lambda check: check.ratio) if rated else None

    def ratio(self, subjects: Iterable[str] | None = None) -> float:
        """Highest ratio among some subjects; NaN where there is none."""
        check = self.worst(subjects)
        return nan if check is None else float(check.ratio)


def outcome(plant: Plant, *, stresses: bool = True) -> Outcome:
    """Solve a plant and reach its verdicts; what is wrong with it becomes words, not an exception.

    Args:
        plant: The plant, or some of its connected systems.
        stresses: Whether code stresses, walls and fittings are wanted beside nozzles and supports.
    """
    try:
        return _outcome(plant, stresses=stresses)
    except InputError as bad:
        return Outcome(plant, failed=bad.problems[0].sentence())


def _outcome(plant: Plant, *, stresses: bool) -> Outcome:
    designed, run, choices = solved_with_springs(plant)
    errors = [p for p in frame_problems(run, designed) if p.severity is Severity.ERROR]
    if errors:
        raise InputError(errors)
    found = columns(run, designed)
    cases = tuple(column.case for column in found)
    on_nozzles, on_supports = tuple(frame_nozzle_loads(run, designed)), tuple(support_loads(run, designed))
    forces = all_section_forces(run.static[0].frame, found)
    checks = [
        *nozzle_checks(designed, on_nozzles, cases),
        *standard_checks(designed, on_nozzles, cases),
        *flange_checks(designed, on_nozzles, tuple(member_forces(run, forces)), cases),
        *shell_checks(designed, on_nozzles, cases),
        *attachment_checks(designed, on_supports, cases),
        *support_checks(designed, on_supports, cases),
        *spring_checks(designed, choices),
        *(_stresses(designed, run, found, forces) if stresses else ()),
    ]
    counted = tuple(check for check in checks if not check.screening)
    return Outcome(designed, counted, on_nozzles, on_supports, cases)


def solved_with_springs(
    plant: Plant, sizes: Sequence[SpringSize] | None = None
) -> tuple[Plant, FrameRun, tuple[SpringChoice, ...]]:
    """The plant with its springs designed, its frame, and what its springs are; solved again only where needed.

    Args:
        plant: The plant as read.
        sizes: The user's table of springs; the built-in one where None.
    """
    run = run_static(plant)
    if sizes is None and plant.spring_table:
        sizes = sizes_of(plant.spring_table)
    designed, choices = with_designed_springs(plant, run, sizes)
    return designed, run_further(run) if designed is plant else run_frame(designed, run), choices


def _stresses(plant: Plant, run: FrameRun, found: list[Column], forces: SectionForces) -> Iterator[Check]:
    yield from code_checks(run, plant, found, forces)
    for line in plant.lines.values():
        yield from wall_checks(line, plant.project.code)
