"""How the note checks itself: closing of coordinates, equilibrium of every case, hand method beside frame method."""

from collections.abc import Iterator
from math import dist
from typing import Any

from pipecalc.model import Plant
from pipecalc.report import format as fmt
from pipecalc.report.chapter_compare import summary_table
from pipecalc.report.format import Display
from pipecalc.report.parts import Sheets, Table, numeric, status, text, triple
from pipecalc.results import Results, Status, status_of

CLOSING_LIMIT = 1e-3  # [m], the gap at which the reading refuses a line
EQUILIBRIUM_LIMIT = 1e-6  # sum of reactions against sum of loads, relative
SUM_LIMIT = 1e-9  # [m], a movement against the sum of its terms


def chapter(sheets: Sheets) -> dict[str, Any] | None:
    """Content of the self-check chapter; None where there is nothing to compare."""
    tables = [_closing(sheets), _sums(sheets), _equilibrium(sheets), summary_table(sheets)]
    found = [t for t in tables if t is not None]
    return {"tables": found} if found else None


def failures(plant: Plant, results: Results) -> list[str]:
    """Self-checks that do not hold, as sentences for the verdict page."""
    display = Display(plant.project.units)
    said = [
        f"The coordinates of line {line} miss nozzle {nozzle} by {display.text('movement', gap)}."
        for line, nozzle, gap in _gaps(plant)
        if status_of(gap, CLOSING_LIMIT) is not Status.PASS
    ]
    said += [
        f"In case {e.case} the reactions do not balance the loads: residual {e.residual:.1e}."
        for e in results.equilibrium
        if status_of(e.residual, EQUILIBRIUM_LIMIT) is not Status.PASS
    ]
    said += [
        f"The movement of {m.nozzle} in state {m.state} is not the sum of its terms."
        for m, gap in _sum_gaps(results)
        if status_of(gap, SUM_LIMIT) is not Status.PASS
    ]
    return said


def _gaps(plant: Plant) -> Iterator[tuple[str, str, float]]:
    """Distance between every connected nozzle and the pipe point placed there [m]."""
    for n in plant.nozzles.values():
        if n.point is not None and n.point in plant.points:
            yield n.point[0], n.name, dist(plant.points[n.point], n.at)


def _sum_gaps(results: Results) -> Iterator[tuple[Any, float]]:
    for m in results.movements:
        total = tuple(sum(getattr(t, axis) for t in m.terms) for axis in ("east", "north", "up"))
        yield m, dist(total, m.vector)


def _closing(sheets: Sheets) -> Table | None:
    display = sheets.display
    rows = [
        (
            line,
            nozzle,
            display.number("movement", gap, 3),
            display.number("movement", CLOSING_LIMIT, 3),
            status_of(gap, CLOSING_LIMIT).value,
        )
        for line, nozzle, gap in _gaps(sheets.plant)
    ]
    unit = display.unit("movement")
    columns = (text("Line", 24), text("Nozzle", 24), numeric("Gap", 14, unit), numeric("Limit", 14, unit), status(14))
    return sheets.table("Coordinates close between nozzle and pipe", columns, rows)


def _sums(sheets: Sheets) -> Table | None:
    gaps = list(_sum_gaps(sheets.results))
    if not gaps:
        return None
    worst, gap = max(gaps, key=lambda x: x[1])
    display = sheets.display
    unit = display.unit("movement")
    row = (
        f"{len(gaps)} movements",
        f"{worst.nozzle}, {worst.state}",
        f"{display.value('movement', gap):.1e}".replace("-", fmt.MINUS),
        f"{display.value('movement', SUM_LIMIT):.1e}".replace("-", fmt.MINUS),
        status_of(gap, SUM_LIMIT).value,
    )
    columns = (
        text("Compared", 24),
        text("Worst", 24),
        numeric("Difference", 14, unit),
        numeric("Limit", 14, unit),
        status(14),
    )
    return sheets.table("Movements are the sums of their terms", columns, [row])


def _equilibrium(sheets: Sheets) -> Table | None:
    display = sheets.display
    rows = [
        (
            e.case,
            display.triple("force", e.applied, wide=9),
            display.triple("force", e.reactions, wide=9),
            f"{e.residual:.1e}".replace("-", fmt.MINUS),
            f"{EQUILIBRIUM_LIMIT:.0e}".replace("-", fmt.MINUS),
            status_of(e.residual, EQUILIBRIUM_LIMIT).value,
        )
        for e in sheets.results.equilibrium
    ]
    force = display.unit("force")
    columns = (
        text("Case", 26),
        triple("Loads E / N / U", 38, force),
        triple("Reactions E / N / U", 38, force),
        numeric("Residual", 12),
        numeric("Limit", 12),
        status(13),
    )
    return sheets.table("Reactions against loads, every case", columns, rows)
