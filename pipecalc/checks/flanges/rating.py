"""Pressure-temperature rating of ASME B16.5 flanges, and the dimensions that the checks need."""

from dataclasses import dataclass
from functools import cache, lru_cache
from math import nan

import numpy as np

from pipecalc.calc.flange import bolt_root_area, gasket_reaction_diameter
from pipecalc.calc.interpolation import interpolate, neighbours
from pipecalc.checks.finding import weakest
from pipecalc.pipe_sizes import UnknownSizeError, outside_diameter
from pipecalc.tables import Table, load, number

RATING_SOURCE = "ASME B16.5-2009, Table 2"
AMBIENT = 38.0  # °C, the rating at which the test pressure is set
TEST_FACTOR = 1.5
BAR = 1e5  # Pa
INCH = 0.0254  # m
_RATINGS = "flange_ratings_asme_b16_5_2009"
_FACE = "flange_raised_face_asme_b16_5"
_BOLTING = "flange_bolting_asme_b16_5"
_FACTOR = "flange_moment_factor_asme_viii_1"
# ASME B1.1: threads per inch of the coarse series below 1 in; 8 from 1 in on, the series of flange bolts.
_THREADS = {0.5: 13.0, 0.625: 11.0, 0.75: 10.0, 0.875: 9.0}
_THREADS_FROM_ONE_INCH = 8.0


_KEPT = 2000  # values kept: flanges of a plant share a few


@dataclass(frozen=True, slots=True)
class Value:
    """A table value in SI; NaN with a reason where there is none.

    Attributes:
        value: In SI.
        confidence: The weakest of the rows it was read from.
        reason: Why there is none, or what the table remarks on it.
    """

    value: float
    confidence: str = "confirmed"
    reason: str = ""


@cache
def rated_classes() -> tuple[str, ...]:
    """Classes that the tables have, lowest first."""
    return tuple(sorted({row["class"] for row in load(_RATINGS).rows}, key=int))


@lru_cache(_KEPT)
def rating(group: str, pressure_class: str, temperature: float) -> Value:
    """Rating of a flange at a temperature: linear between the table's temperatures, never between classes.

    Args:
        group: Material group of ASME B16.5, such as ``"1.1"`` or ``"2.3"``.
        pressure_class: ``"150"`` to ``"2500"``.
        temperature: [°C].

    Returns:
        Gauge pressure [Pa]; NaN with a reason outside the table.

    Source: ASME B16.5-2009 Table 2, by group.
    """
    if not pressure_class:
        return Value(nan, reason="the flange's class is not given")
    if not group:
        return Value(nan, reason="the flange's material group is not known")
    rows = load(_RATINGS).where("material group", group).where("class", pressure_class)
    if not rows.rows:
        return Value(nan, reason=f"no rating for material group {group} in class {pressure_class}")
    return _at(rows, temperature)


def _at(rows: Table, temperature: float) -> Value:
    temperatures = rows.numbers("temperature [°C]")
    found = interpolate(temperature, temperatures, rows.numbers("rating [bar]")) * BAR
    if not np.isfinite(found):
        low, high = temperatures[0], temperatures[-1]
        return Value(nan, reason=f"{temperature:g} °C is outside the rating table, {low:g} to {high:g} °C")
    used = [rows.rows[i] for i in neighbours(temperature, temperatures)]
    remarks = dict.fromkeys(row["note"] for row in used if row["note"])
    return Value(found, weakest(row["confidence"] for row in used), "; ".join(remarks))


def limit_in_test(group: str, pressure_class: str) -> Value:
    """Pressure of a flange in the hydrostatic test: 1.5 times the rating at 38 °C.

    Source: ASME B16.5 para. 2.6, from memory.
    """
    cold = rating(group, pressure_class, AMBIENT)
    return Value(TEST_FACTOR * cold.value, weakest([cold.confidence, "memory"]), cold.reason)


@lru_cache(_KEPT)
def reaction_diameter(nps: float) -> Value:
    """Gasket reaction diameter G on the raised face of a size, the same for every class.

    Args:
        nps: Nominal size, 1/2 to 24.

    Returns:
        G [m] of a flat ring gasket from the pipe's outside to the edge of the raised face.

    Source: ASME B16.5 raised face; ASME VIII-1 App. 2.
    """
    row = next((r for r in load(_FACE).rows if number(r["NPS [-]"]) == nps), None)
    if row is None:
        return Value(nan, reason=f"no raised face of ASME B16.5 for NPS {nps:g}")
    try:
        pipe = outside_diameter(nps)
    except UnknownSizeError as unknown:
        return Value(nan, reason=str(unknown))
    face = number(row["raised face diameter [mm]"]) * 1e-3
    return Value(gasket_reaction_diameter(face, pipe), row["confidence"])


@lru_cache(_KEPT)
def moment_factor(nps: float, pressure_class: str) -> Value:
    """Moment factor of a B16.5 welding neck flange.

    Args:
        nps: Nominal size, up to 24.
        pressure_class: ``"150"`` to ``"2500"``.

    Returns:
        F_M [-]; NaN with a reason where the table has none.

    Source: ASME VIII-1 Table UG-44-1, the factors of Code Case 2901, from memory.
    """
    for row in load(_FACTOR).where("class", pressure_class).rows:
        if number(row["above NPS [-]"]) < nps <= number(row["to NPS [-]"]):
            return Value(number(row["moment factor [-]"]), row["confidence"])
    return Value(nan, reason=f"no moment factor for NPS {nps:g}, class {pressure_class}")


@dataclass(frozen=True, slots=True)
class Bolting:
    """Bolts of a flange: bolt circle [m] and root area of all bolts [m²]."""

    circle: float
    area: float


@cache
def bolting(nps: float, pressure_class: str) -> Bolting | None:
    """Bolts of a B16.5 flange; None where the table has no such flange.

    Source: ASME B16.5; thread pitch of ASME B1.1.
    """
    rows = load(_BOLTING).where("class", pressure_class).rows
    row = next((r for r in rows if number(r["NPS [-]"]) == nps), None)
    if row is None:
        return None
    size = number(row["bolt size [in]"])
    pitch = INCH / _THREADS.get(size, _THREADS_FROM_ONE_INCH)
    area = number(row["number of bolts [-]"]) * bolt_root_area(size * INCH, pitch)
    return Bolting(number(row["bolt circle [mm]"]) * 1e-3, area)
