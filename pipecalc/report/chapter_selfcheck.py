"""How the note checks itself: closing of coordinates, equilibrium of every case, hand method beside frame method."""

from collections.abc import Iterator, Sequence
from math import dist, inf, isfinite
from typing import Any

from pipecalc.model import Plant
from pipecalc.report import format as fmt
from pipecalc.report.chapter_compare import legs_table, summary_table
from pipecalc.report.format import Display
from pipecalc.report.parts import Sheets, Table, numeric, status, text, triple
from pipecalc.report.recomputed import Recomputed, recomputed
from pipecalc.results import Equilibrium, Results, Status, status_of

CLOSING_LIMIT = 1e-3  # [m], the gap at which the reading refuses a line
EQUILIBRIUM_LIMIT = 1e-6  # balance of the whole and of a node, energy, symmetry, relative
FORMULA_LIMIT = 1e-6  # a printed formula against the result it is printed for, relative
SUM_LIMIT = 1e-9  # [m], a movement against the sum of its terms


def chapter(sheets: Sheets) -> dict[str, Any]:
    """Content of the self-check chapter."""
    formulas = list(recomputed(sheets.plant, sheets.results))
    before = [_closing(sheets), _sums(sheets)]
    solved = _equilibrium(sheets)
    after = [_formulas(sheets, formulas), summary_table(sheets), legs_table(sheets)]
    return {
        "before": before,
        "solved": solved,
        "after": after,
        "failures": failures(sheets.plant, sheets.results, formulas),
    }


def failures(plant: Plant, results: Results, formulas: Sequence[Recomputed] | None = None) -> list[str]:
    """Self-checks that do not hold, as sentences for the verdict page.

    Args:
        plant: What was read.
        results: What was found.
        formulas: The printed formulas evaluated once more, where that is done already.
    """
    display = Display(plant.project.units)
    said = [
        f"The coordinates of line {line} miss nozzle {nozzle} by {display.text('movement', gap)}."
        for line, nozzle, gap in _gaps(plant)
        if status_of(gap, CLOSING_LIMIT) is not Status.PASS
    ]
    said += [
        f"In case {e.case} {words}: residual {value:.1e}."
        for e in results.equilibrium
        for words, value in _residuals(e)
        if status_of(value, EQUILIBRIUM_LIMIT) is not Status.PASS
    ]
    said += [
        f"The printed formulas do not lead to the result: {x.kind}, {x.what}, difference {_shown(x.difference)}."
        for x in (recomputed(plant, results) if formulas is None else formulas)
        if status_of(x.difference, FORMULA_LIMIT) is not Status.PASS
    ]
    said += [
        f"The movement of {m.nozzle} in state {m.state} is not the sum of its terms."
        for m, gap in _sum_gaps(results)
        if status_of(gap, SUM_LIMIT) is not Status.PASS
    ]
    return said


def _residuals(e: Equilibrium) -> tuple[tuple[str, float], ...]:
    return (
        ("the reactions do not balance the loads", e.residual),
        ("the forces at a node do not balance", e.node_residual),
        ("the work of the forces is not the energy stored", e.energy_residual),
        ("the work through the movements of another case is not the same the other way round", e.symmetry_residual),
    )


def _shown(value: float) -> str:
    if not isfinite(value):
        return "not known"
    return f"{value:.1e}" if value else "0"


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
        _shown(display.value("movement", gap)).replace("-", fmt.MINUS),
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
            fmt.beside((f"{value:.0e}".replace("-", fmt.MINUS) for _words, value in _residuals(e)), 6),
            f"{EQUILIBRIUM_LIMIT:.0e}".replace("-", fmt.MINUS),
            _worst(e).value,
        )
        for e in sheets.results.equilibrium
    ]
    force = display.unit("force")
    columns = (
        text("Case", 34),
        triple("Loads E / N / U", 32, force),
        triple("Reactions E / N / U", 32, force),
        triple("Residuals: whole / node / energy / symmetry", 40),
        numeric("Limit", 9),
        status(13),
    )
    return sheets.table("Reactions against loads, and residuals of the solution, every case", columns, rows)


def _worst(e: Equilibrium) -> Status:
    found = [status_of(value, EQUILIBRIUM_LIMIT) for _words, value in _residuals(e)]
    return next((s for s in (Status.FAIL, Status.NOT_CHECKED) if s in found), Status.PASS)


def _formulas(sheets: Sheets, formulas: Sequence[Recomputed]) -> Table | None:
    """Printed formulas against their results: of each kind how many, and the largest difference."""
    grouped: dict[str, list[Recomputed]] = {}
    for x in formulas:
        grouped.setdefault(x.kind, []).append(x)
    rows = []
    for kind, found in grouped.items():
        worst = max(found, key=lambda x: x.difference if isfinite(x.difference) else inf)
        result = status_of(worst.difference, FORMULA_LIMIT)
        limit = f"{FORMULA_LIMIT:.0e}".replace("-", fmt.MINUS)
        rows.append(
            (kind, str(len(found)), worst.what, _shown(worst.difference).replace("-", fmt.MINUS), limit, result.value)
        )
    columns = (
        text("Worked in this note", 34),
        numeric("How many", 10),
        text("Largest difference at", 44),
        numeric("Difference", 14),
        numeric("Limit", 12),
        status(13),
    )
    return sheets.table("Printed formulas, evaluated from their inputs alone, against the results", columns, rows)
