"""Rows of nozzle-load tables as limits: own size only, never between two sizes."""

from collections.abc import Mapping
from math import nan

from pipecalc.checks.nozzles.interface import COMPONENTS, FORCES, SAME_SIZE, Limits, no_limits
from pipecalc.tables import Table, number


def row_of_size(table: Table, nps: float) -> Mapping[str, str] | None:
    """The row for an NPS; None where the table has no such size."""
    return next((row for row in table.rows if abs(number(row["NPS [-]"]) - nps) < SAME_SIZE), None)


def size_limits(table: Table, nps: float, words: str) -> Limits:
    """Limits of a size, or none with the sizes that the table does have."""
    row = row_of_size(table, nps)
    if row is not None:
        return row_limits(row, f"{words} NPS {nps:g}")
    known = ", ".join(f"{size:g}" for size in table.numbers("NPS [-]"))
    return no_limits(f"the table has no row for NPS {nps:g}; it has {known}")


def row_limits(row: Mapping[str, str], words: str) -> Limits:
    """The six limits of a row in SI, and its resultants where printed."""
    components = {name: number(row[f"{name} [{'N' if name in FORCES else 'N·m'}]"]) for name in COMPONENTS}
    force, moment = (number(row[title]) if title in row else nan for title in ("FR [N]", "MR [N·m]"))
    return Limits(components, words, force, moment)
