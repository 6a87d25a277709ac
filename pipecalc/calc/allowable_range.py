"""Allowable displacement stress range: ASME B31.3 para. 302.3.5(d), by edition.

Editions 2018 and 2020 take f = 6.0 N^-0.2; 2022 and 2024 take f = 20 N^-0.333. An edition is a row of
EDITIONS.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from pipecalc.calc.domain import inside, power

ALLOWABLE_CAP = 138e6  # Pa; S_c and S_h enter with 138 MPa (20 ksi) at most. From memory.
LOWEST_FACTOR_2018 = 0.15
F_M_TENSILE_LIMIT = 517e6  # Pa, 75 ksi
F_M_TEMPERATURE_LIMIT = 371.0  # °C, 700 °F
# Beyond this many cycles ASME B31.3 Appendix W, high-cycle fatigue, should be consulted.
HIGH_CYCLES = 1e5
FERROUS = ("ferritic", "austenitic")


@dataclass(frozen=True, slots=True)
class CycleRule:
    """How an edition turns cycles into the stress range factor.

    Attributes:
        coefficient: Coefficient of the power law [-].
        slope: Its exponent [-].
        exponent: Exponent on the range ratio in the sum of equivalent cycles [-].
        lowest: Lowest factor the edition lets the law fall to [-]; zero for none.
        note: What is not certain.
    """

    coefficient: float
    slope: float
    exponent: float
    lowest: float
    note: str


_FIFTH = CycleRule(6.0, -0.2, 5.0, LOWEST_FACTOR_2018, "")
_THIRD = CycleRule(
    20.0,
    -0.333,
    3.0,
    0.0,
    "coefficient 20 and exponent 3 of the cycle sum from memory, no lowest factor; verify the edition",
)
EDITIONS: Mapping[str, CycleRule] = MappingProxyType({"2018": _FIFTH, "2020": _FIFTH, "2022": _THIRD, "2024": _THIRD})


def cycle_factor_2018(N: float, f_m: float) -> float:
    """Stress range factor of the 2018 and 2020 editions.

    Formula:
        f = min(f_m, max(0.15, 6.0*N**-0.2))

    Args:
        N: Equivalent number of full displacement cycles [-].
        f_m: Largest factor [-].

    Returns:
        f [-]; NaN unless N > 0.

    Source: ASME B31.3-2018 para. 302.3.5(d), eq. (1c); lowest value 0.15 as in the 2004 and later text.
    """
    f: float = np.minimum(f_m, np.maximum(LOWEST_FACTOR_2018, 6.0 * power(N, -0.2)))
    return f


def cycle_factor_2022(N: float, f_m: float) -> float:
    """Stress range factor of the 2022 and 2024 editions.

    Formula:
        f = min(f_m, 20*N**-0.333)

    Args:
        N: Equivalent number of full displacement cycles [-].
        f_m: Largest factor [-].

    Returns:
        f [-]; NaN unless N > 0. No lowest value is taken, which is the careful side.

    Source: ASME B31.3-2022 para. 302.3.5(d), eq. (1c); the slope and f = 0.43 at 100 000 cycles agree with a
    published comparison of the 2020 and 2022 editions, the coefficient 20 is from memory.
    """
    f: float = np.minimum(f_m, 20.0 * power(N, -0.333))
    return f


def cycle_factor(N: float, edition: str, f_m: float) -> float:
    """Stress range factor f of an edition.

    Args:
        N: Equivalent number of full displacement cycles [-].
        edition: "2018", "2020", "2022" or "2024".
        f_m: Largest factor [-].

    Returns:
        f [-].

    Raises:
        KeyError: The edition is not known here.
    """
    old = EDITIONS[edition] is _FIFTH
    return cycle_factor_2018(N, f_m) if old else cycle_factor_2022(N, f_m)


def largest_cycle_factor(tensile_strength: float, metal_temperature: float, family: str) -> float:
    """Upper limit f_m of the stress range factor.

    Args:
        tensile_strength: Specified minimum tensile strength [Pa].
        metal_temperature: Highest metal temperature of the range [°C].
        family: Material family; ferrous are "ferritic" and "austenitic".

    Returns:
        1.2 for ferrous materials of at most 517 MPa at no more than 371 °C, otherwise, and where a value is
        unknown, 1.0.

    Source: ASME B31.3 para. 302.3.5(d), definition of f_m.
    """
    # Specified strengths are rounded in one unit or the other: 75 ksi is 517.1 MPa.
    weak = tensile_strength <= F_M_TENSILE_LIMIT * 1.001
    return 1.2 if family in FERROUS and weak and metal_temperature <= F_M_TEMPERATURE_LIMIT + 0.2 else 1.0


def allowable_range_basic(f: float, S_c: float, S_h: float) -> float:
    """Allowable displacement stress range without the sustained stress.

    Formula:
        S_A = f*(1.25*min(S_c, 138e6) + 0.25*min(S_h, 138e6))

    Args:
        f: Stress range factor [-].
        S_c: Basic allowable stress at the cold end of the cycle [Pa].
        S_h: Basic allowable stress at the hot end of the cycle [Pa].

    Returns:
        S_A [Pa].

    Source: ASME B31.3 para. 302.3.5(d), eq. (1a); the cap of 138 MPa on S_c and S_h from memory (2008 and
    later).
    """
    cold, hot = np.minimum(S_c, ALLOWABLE_CAP), np.minimum(S_h, ALLOWABLE_CAP)
    S_A: float = f * (1.25 * cold + 0.25 * hot)
    return S_A


def allowable_range_liberal(f: float, S_c: float, S_h: float, S_L: float) -> float:
    """Allowable displacement stress range with what the sustained stress at the same point leaves over.

    Formula:
        S_A = f*(1.25*(min(S_c, 138e6) + min(S_h, 138e6)) - S_L)

    Args:
        f: Stress range factor [-].
        S_c: Basic allowable stress at the cold end of the cycle [Pa].
        S_h: Basic allowable stress at the hot end of the cycle [Pa].
        S_L: Sustained stress at the same point [Pa], all support conditions considered.

    Returns:
        S_A [Pa].

    Valid for: S_h > S_L >= 0. Outside: NaN, and the basic form is the one to use.

    Source: ASME B31.3 para. 302.3.5(d), eq. (1b); the cap of 138 MPa from memory.
    """
    cold, hot = np.minimum(S_c, ALLOWABLE_CAP), np.minimum(S_h, ALLOWABLE_CAP)
    return inside((S_h > S_L) & (S_L >= 0), f * (1.25 * (cold + hot) - S_L))


def equivalent_cycles(ranges: Sequence[float], cycles: Sequence[float], edition: str) -> float:
    """Number of full cycles of the largest displacement stress range that all ranges together amount to.

    N = N_E + sum(r_j**m N_j), r_j = S_j/S_E, with m = 5 for the editions of slope 1/5 and m = 3 for those of
    slope 1/3.

    Args:
        ranges: Displacement stress ranges [Pa], any order, shape (n,).
        cycles: Number of cycles of each, shape (n,).
        edition: "2018", "2020", "2022" or "2024".

    Returns:
        N [-]; NaN for no ranges, a negative range or number, or if no range is above zero.

    Raises:
        KeyError: The edition is not known here.

    Source: ASME B31.3 para. 302.3.5(d), eq. (1d); m = 3 follows from the slope and is from memory.
    """
    S, N = np.asarray(ranges, dtype=float), np.asarray(cycles, dtype=float)
    if S.shape != N.shape or S.size == 0 or not np.all(S >= 0) or not np.all(N >= 0) or S.max() <= 0:
        return float("nan")
    return float(np.sum((S / S.max()) ** EDITIONS[edition].exponent * N))
