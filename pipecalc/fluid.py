"""Density of water and steam by IAPWS-IF97.

From the ``chemicals`` library (its ``iapws`` module), which is imported on the first question only.
"""

from functools import lru_cache
from typing import Literal

ATMOSPHERE = 101_325.0  # Pa
TRIPLE_POINT_PRESSURE = 611.213  # Pa, lower end of the saturation line at 273.15 K
CRITICAL_TEMPERATURE = 647.096  # K
CRITICAL_PRESSURE = 22.064e6  # Pa
# Within this of the saturation temperature both phases are at hand and the word decides which one is meant.
SATURATION_BAND = 0.1  # K
_ZERO_CELSIUS = 273.15

Fluid = Literal["water", "steam", "empty"]
WORDS: tuple[Fluid, ...] = ("water", "steam", "empty")


class NoDensityError(ValueError):
    """No density can be given; the message says why."""


def density(fluid: str, temperature: float, pressure: float) -> float:
    """Density of water, steam or nothing.

    Args:
        fluid: "water", "steam" or "empty", capitals or not.
        temperature: Temperature [°C].
        pressure: Gauge pressure [Pa]; atmospheric pressure of 101 325 Pa is added.

    Returns:
        Density [kg/m³]; 0 for "empty". Above the critical temperature and pressure there is one phase and
        both words give it.

    Raises:
        NoDensityError: Unknown word, outside the formulation, or a phase that cannot exist at this
            temperature and pressure.

    Source: IAPWS R7-97(2012), Revised Release on the IAPWS Industrial Formulation 1997.
    """
    word = fluid.strip().lower()
    if word not in WORDS:
        raise NoDensityError(f"no density for {fluid!r}; accepted words: {', '.join(WORDS)}")
    if word == "empty":
        return 0.0
    return _density(word == "steam", float(temperature), float(pressure))


def saturation_temperature(pressure: float) -> float:
    """Boiling temperature of water.

    Args:
        pressure: Gauge pressure [Pa].

    Returns:
        Temperature [°C].

    Raises:
        NoDensityError: No boiling at this pressure.
    """
    absolute = pressure + ATMOSPHERE
    if absolute < TRIPLE_POINT_PRESSURE or absolute > CRITICAL_PRESSURE:
        raise NoDensityError(f"water does not boil at {absolute / 1e6:g} MPa absolute")
    return _boiling(absolute) - _ZERO_CELSIUS


@lru_cache(maxsize=4096)
def _density(steam: bool, temperature: float, pressure: float) -> float:
    kelvin, p = temperature + _ZERO_CELSIUS, pressure + ATMOSPHERE
    _must_be_covered(kelvin, p)
    if p >= CRITICAL_PRESSURE:
        if steam and kelvin < CRITICAL_TEMPERATURE:
            raise NoDensityError(f"no steam at {temperature:g} °C: above the critical pressure it is liquid there")
        return _single_phase(kelvin, p)
    boiling = _boiling(p)
    if abs(kelvin - boiling) <= SATURATION_BAND:
        return _saturated(p, steam)
    if (kelvin < boiling) is steam:
        raise NoDensityError(_wrong_phase(steam, temperature, boiling - _ZERO_CELSIUS, p))
    return _single_phase(kelvin, p)


def _must_be_covered(kelvin: float, p: float) -> None:
    # IAPWS R7-97(2012), section 3: 273.15 K to 1073.15 K up to 100 MPa, to 2273.15 K up to 50 MPa.
    if not p >= TRIPLE_POINT_PRESSURE:
        raise NoDensityError(f"absolute pressure {p:g} Pa is below the triple point of water (or not a number)")
    hottest, highest = (1073.15, 100e6) if p > 50e6 else (2273.15, 50e6)
    if not _ZERO_CELSIUS <= kelvin <= hottest:
        raise NoDensityError(
            f"{kelvin - _ZERO_CELSIUS:g} °C is outside the water formulation (0 to {hottest - 273.15:g} °C)"
        )
    if p > highest:
        raise NoDensityError(f"{p / 1e6:g} MPa is outside the water formulation (to 100 MPa)")


def _wrong_phase(steam: bool, temperature: float, boiling: float, p: float) -> str:
    word, side = ("steam", "below") if steam else ("water", "above")
    return (
        f"no {word} at {temperature:g} °C: that is {side} the boiling temperature {boiling:.1f} °C "
        f"at {p / 1e5:.2f} bar absolute"
    )


def _single_phase(kelvin: float, p: float) -> float:
    from chemicals.iapws import iapws97_rho

    return float(iapws97_rho(kelvin, p))  # type: ignore[no-untyped-call]


def _saturated(p: float, steam: bool) -> float:
    """Density on the saturation line: of the phase asked for, a hair's breadth on its side of the line."""
    aside = 1e-6 if steam else -1e-6  # K
    return _single_phase(_boiling(p) + aside, p)


def _boiling(p: float) -> float:
    from chemicals.vapor_pressure import Tsat_IAPWS

    return float(Tsat_IAPWS(p))  # type: ignore[no-untyped-call]
