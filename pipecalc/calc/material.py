"""Material properties over temperature: records, and reading them at a temperature.

A property outside its table is NaN. Nothing is extrapolated; what is held constant below a table is said at
the curve.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from pipecalc.calc.domain import inside, scalar
from pipecalc.calc.interpolation import END_TOLERANCE, EndRule, neighbours, read_between

Family = Literal["ferritic", "austenitic", "nickel", "other ductile"]

# From the surest to the least sure; "user" is a value from the workbook, with its own source.
CONFIDENCE_ORDER = ("confirmed", "user", "conflict", "memory")

# Up to here a specified minimum strength, which is a room-temperature value, is taken as it stands (100 °F).
ROOM_TEMPERATURE_LIMIT = (100.0 - 32.0) / 1.8


@dataclass(frozen=True, slots=True, eq=False)
class Curve:
    """One property over temperature, row by row with its source.

    Attributes:
        temperature: Temperatures [°C], shape (n,), strictly increasing.
        value: Property values [SI], shape (n,).
        source: Document of each row, n texts.
        confidence: One word of CONFIDENCE_ORDER for each row, n texts.
        below: What holds below the first temperature.
    """

    temperature: NDArray[np.float64]
    value: NDArray[np.float64]
    source: tuple[str, ...]
    confidence: tuple[str, ...]
    below: EndRule = "refuse"

    def __post_init__(self) -> None:
        """Make the arrays read-only and insist on one source per row."""
        rows = len(self.source), len(self.confidence), len(self.value), len(self.temperature)
        if len(set(rows)) != 1 or not rows[0]:
            raise ValueError("a curve needs temperature, value, source and confidence for every row")
        if np.any(np.diff(self.temperature) <= 0):
            raise ValueError("temperatures of a curve must increase")
        self.temperature.setflags(write=False)
        self.value.setflags(write=False)

    def at(self, temperature: float) -> float:
        """Value at a temperature [°C], scalar or array; NaN outside the table."""
        if isinstance(temperature, float | int):
            return _read(self, temperature)
        at = np.asarray(temperature, dtype=float)
        return read_between(at, self.temperature, self.value, self.below, "refuse")


@lru_cache(4096)
def _read(curve: Curve, temperature: float) -> float:
    """One value of a curve; the same few are read for every run of a plant."""
    return read_between(np.asarray(temperature, float), curve.temperature, curve.value, curve.below, "refuse")


@dataclass(frozen=True, slots=True)
class Material:
    """What a calculation needs to know of a metal.

    Attributes:
        name: Name as typed in the workbook, such as ``A106 B``.
        title: Full description.
        density: Density [kg/m³].
        poisson: Poisson ratio [-].
        modulus: Elastic modulus [Pa] over temperature.
        expansion: Total strain [m/m] from ``expansion_reference``, over temperature.
        expansion_reference: Temperature of zero total strain [°C].
        allowable: Basic allowable stress [Pa] over temperature, None where the material has no line.
        yield_strength: Yield [Pa] over temperature, None where only the specified minimum is known.
        minimum_yield: Specified minimum yield at room temperature [Pa], NaN if unknown.
        tensile_strength: Specified minimum tensile strength [Pa], NaN if unknown.
        min_temperature: Lowest temperature of use [°C], NaN if it is no single value.
        family: Row of the wall-thickness coefficient Y.
        flange_group: ASME B16.5 material group as text (1.1 and 1.10 differ), empty if unknown.
        note: Limits and remarks, in words.
        user_defined: The user's own properties took part.
        p_number: Welding group (P-number) as text, empty if unknown.
        edition_set: Edition set of the allowable stresses.
        source: Document of strengths and density.
        confidence: Confidence of the two specified strengths.
    """

    name: str
    title: str
    density: float
    poisson: float
    modulus: Curve
    expansion: Curve
    expansion_reference: float
    allowable: Curve | None
    yield_strength: Curve | None
    minimum_yield: float
    tensile_strength: float
    min_temperature: float
    family: Family
    flange_group: str
    note: str
    user_defined: bool
    p_number: str = ""
    edition_set: str = ""
    source: str = ""
    confidence: str = "memory"


@dataclass(frozen=True, slots=True)
class ValueUsed:
    """A property as a calculation used it, for the list of values in the note.

    Attributes:
        material: Material name.
        quantity: ``modulus``, ``total strain``, ``allowable stress`` or ``yield``.
        temperature: Temperature [°C].
        value: Value [SI], NaN outside the table.
        source: Documents of the rows read, each once, joined by "; ".
        confidence: The least sure of the rows read.
    """

    material: str
    quantity: str
    temperature: float
    value: float
    source: str
    confidence: str


def modulus_at(material: Material, temperature: float) -> float:
    """Elastic modulus at a temperature, for stiffness, reactions and sag.

    Args:
        material: The metal.
        temperature: Temperature [°C], scalar or array.

    Returns:
        Modulus [Pa]; NaN outside the table.
    """
    return material.modulus.at(temperature)


def strain_between(material: Material, temperature_1: float, temperature_2: float) -> float:
    """Thermal strain from one temperature to another: the difference of the two table totals.

    Totals are interpolated, not mean coefficients: a mean coefficient belongs to its own reference
    temperature.

    Args:
        material: The metal.
        temperature_1: Start [°C], scalar or array.
        temperature_2: End [°C], scalar or array.

    Returns:
        Strain [m/m], positive for growth; NaN if either temperature is outside the table.
    """
    return material.expansion.at(temperature_2) - material.expansion.at(temperature_1)


def allowable_at(material: Material, temperature: float) -> float:
    """Basic allowable stress at a temperature.

    Below the first row its value holds down to the material's minimum temperature. Above the last row, below
    the minimum temperature, or where the material has no line: NaN.

    Args:
        material: The metal.
        temperature: Temperature [°C], scalar or array.

    Returns:
        Allowable stress [Pa] or NaN.
    """
    if material.allowable is None:
        return scalar(np.full(np.shape(temperature), np.nan))
    value = material.allowable.at(temperature)
    usable = _warm_enough(material, np.asarray(temperature, dtype=float))
    return inside(usable, value)


def yield_at(material: Material, temperature: float) -> float:
    """Yield strength at a temperature.

    Without a curve, the specified minimum stands for temperatures up to 38 °C only.

    Args:
        material: The metal.
        temperature: Temperature [°C], scalar or array.

    Returns:
        Yield strength [Pa] or NaN.
    """
    if material.yield_strength is not None:
        return material.yield_strength.at(temperature)
    cold = np.asarray(temperature, dtype=float) <= ROOM_TEMPERATURE_LIMIT + END_TOLERANCE
    return inside(cold, material.minimum_yield)


def value_used(material: Material, quantity: str, temperature: float) -> ValueUsed:
    """One property at one temperature with the source and confidence of the rows it was read from.

    Args:
        material: The metal.
        quantity: ``modulus``, ``total strain``, ``allowable stress`` or ``yield``.
        temperature: Temperature [°C].

    Returns:
        The record; value NaN and source "no value" where there is none.
    """
    curve, value = {
        "modulus": (material.modulus, modulus_at),
        "total strain": (material.expansion, _total_strain),
        "allowable stress": (material.allowable, allowable_at),
        "yield": (material.yield_strength, yield_at),
    }[quantity]
    found = float(value(material, temperature))
    source, confidence = _provenance(material, curve, temperature, found)
    return ValueUsed(material.name, quantity, temperature, found, source, confidence)


def values_used(material: Material, temperatures: Iterable[float]) -> tuple[ValueUsed, ...]:
    """Modulus, total strain and allowable stress at every temperature that a calculation used.

    Args:
        material: The metal.
        temperatures: Temperatures [°C], any order; repeats are dropped.

    Returns:
        Records sorted by quantity and temperature.
    """
    quantities = ("modulus", "total strain", "allowable stress")
    wanted = sorted(set(temperatures))
    return tuple(value_used(material, q, t) for q in quantities for t in wanted)


def least_sure(words: Iterable[str]) -> str:
    """The weakest of several confidence words; an unknown word or none counts as "memory"."""
    known = [CONFIDENCE_ORDER.index(w) if w in CONFIDENCE_ORDER else -1 for w in words] or [-1]
    return "memory" if -1 in known else CONFIDENCE_ORDER[max(known)]


def _provenance(material: Material, curve: Curve | None, temperature: float, value: float) -> tuple[str, str]:
    if np.isnan(value):
        return "no value", "memory"
    if curve is None:
        return material.source, material.confidence
    rows = neighbours(temperature, curve.temperature)
    source = "; ".join(dict.fromkeys(curve.source[i] for i in rows))
    if temperature < curve.temperature[0] - END_TOLERANCE:
        source += " (first row held below its temperature)"
    return source, least_sure(curve.confidence[i] for i in rows)


def _total_strain(material: Material, temperature: float) -> float:
    return material.expansion.at(temperature)


def _warm_enough(material: Material, temperature: NDArray[np.float64]) -> NDArray[np.bool_]:
    first = material.allowable.temperature[0] if material.allowable is not None else np.nan
    lowest = first if np.isnan(material.min_temperature) else material.min_temperature
    warm: NDArray[np.bool_] = temperature >= lowest - END_TOLERANCE
    return warm
