"""Everything that the piping code asks of the lines, from the solved frame: stresses, test, bends and branches."""

from collections.abc import Iterator, Sequence

from pipecalc.analysis.fittings import bend_checks, branch_checks, hoop_checks
from pipecalc.analysis.frame import FrameRun
from pipecalc.analysis.frame_results import Column, SectionForces
from pipecalc.analysis.stress import left_out_checks, stress_checks
from pipecalc.analysis.stress_forces import inner_points, point_forces
from pipecalc.analysis.stress_points import stress_points
from pipecalc.model import Plant
from pipecalc.results import Check


def code_checks(run: FrameRun, plant: Plant, found: Sequence[Column], forces: SectionForces) -> Iterator[Check]:
    """Verdicts on stress at every section, on the pressure test, on the walls of bends and on branches.

    Args:
        run: The solved frame.
        plant: The plant.
        found: All official cases.
        forces: Section forces of those that settled.
    """
    frame = run.static[0].frame
    points = [*stress_points(run, plant), *inner_points(run, frame, forces)]
    yield from stress_checks(points, point_forces(points, frame, forces), forces.cases, plant)
    yield from left_out_checks([column.case for column in found], forces.cases, plant)
    yield from hoop_checks(plant)
    for line in plant.lines.values():
        yield from bend_checks(line, plant.project.code)
    yield from branch_checks(plant)
