"""API 560 / ISO 13705: loads on the tube terminals of fired heaters.

Values and axes are from memory: verify against the edition of record. The standard's movement rule and its
allowance for manifolds are not covered.
"""

from pipecalc.checks.nozzles.geometry import Axes
from pipecalc.checks.nozzles.interface import (
    Connection,
    Item,
    Limits,
    NozzleFinding,
    NozzleStandard,
    each_component_verdict,
)
from pipecalc.checks.nozzles.table_rows import size_limits
from pipecalc.tables import load

_TABLE = "nozzle_api_560"


def axes(connection: Connection, item: Item) -> Axes:
    """X along the tube, Y and Z across it: the nozzle's own R, L and C."""
    return Axes(*connection.axes)


def limits(connection: Connection, item: Item) -> Limits:
    """Row of the table for the tube's size, NPS 2 to 12; never between sizes."""
    return size_limits(load(_TABLE), connection.nps, "tube")


def verdict(connection: Connection, item: Item) -> NozzleFinding:
    """Every component against the table."""
    return each_component_verdict(connection, item, STANDARD)


STANDARD = NozzleStandard(
    title="API 560",
    source="API 560 / ISO 13705, table of allowable forces and moments on tubes, from memory",
    kinds=("fixed",),
    confidence="memory",
    axes_in_words="X along the tube (R), Y and Z across it (L and C)",
    axis_needed="",
    axes=axes,
    limits=limits,
    verdict=verdict,
    notes=("Values and axes are from memory: verify against the edition of record.",),
)
