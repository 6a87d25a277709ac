"""Cycles at many points: full cycles that several ranges amount to, cycles a range may have, and usage.

The law is f = coefficient * N**slope with the exponent 1/slope in the sum of cycles; a row of
``allowable_range.EDITIONS`` holds all of it.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pipecalc.calc.domain import inside, power, quotient, scalar

Array = NDArray[np.float64]


def equivalent_cycles_each(ranges: ArrayLike, cycles: ArrayLike, exponent: float) -> Array:
    """Full cycles of the largest range at every point that all ranges there amount to.

    N = sum(r_j**m N_j), r_j = S_j/S_E. A point without any range keeps the plain sum of the cycles.

    Args:
        ranges: Displacement stress ranges [Pa], shape (pairs, n).
        cycles: Cycles of each pair of states, shape (pairs,).
        exponent: m, the exponent on the range ratio [-].

    Returns:
        N, shape (n,); NaN for a negative or unknown range or number of cycles.

    Raises:
        ValueError: No pair at all, or the shapes do not belong together.

    Source: ASME B31.3 para. 302.3.5(d), eq. (1d).
    """
    S, N = np.asarray(ranges, dtype=float), np.asarray(cycles, dtype=float)
    if S.ndim != 2 or N.shape != S.shape[:1] or not N.size:
        raise ValueError("one row of ranges for every number of cycles is needed, and at least one row")
    largest = S.max(axis=0)
    ratio = np.divide(S, largest, out=np.ones_like(S), where=largest > 0)
    sound = np.all(S >= 0, axis=0) & np.all(N >= 0)
    total: Array = np.where(sound, (ratio**exponent * N[:, None]).sum(axis=0), np.nan)
    return total


def range_factor_needed(S_E: float, S_f: float) -> float:
    """Stress range factor at which a range just meets its allowable.

    Formula:
        f_n = S_E/S_f

    Args:
        S_E: Displacement stress range [Pa].
        S_f: Allowable range for a factor of one [Pa].

    Returns:
        f_n [-]; NaN unless S_f is above zero and S_E not below.

    Source: ASME B31.3 para. 302.3.5(d), eq. (1a) solved for f.
    """
    return inside(S_E >= 0, quotient(S_E, S_f))


def cycles_allowed(f_n: float, coefficient: float, slope: float) -> float:
    """Number of full cycles at which the power law has come down to a factor.

    Formula:
        N_allowed = (f_n/coefficient)**(1/slope)

    Args:
        f_n: Stress range factor at which the range just meets its allowable [-].
        coefficient: Coefficient of the law [-].
        slope: Its exponent, below zero [-].

    Returns:
        N_allowed [-]; NaN unless f_n is above zero.

    Source: ASME B31.3 para. 302.3.5(d), eq. (1c) solved for N.
    """
    return inside(np.asarray(slope) < 0, power(quotient(f_n, coefficient), 1 / slope))


def cycles_within(f: float, coefficient: float, slope: float, lowest: float, largest: float) -> float:
    """Cycles allowed at a factor, with the limits of the factor.

    Args:
        f: Factor needed [-], scalar or array.
        coefficient: Coefficient of the power law [-].
        slope: Its exponent [-].
        lowest: Lowest factor the law falls to; zero for none [-].
        largest: Largest factor f_m [-].

    Returns:
        N [-]: none for a factor above the largest, without limit for one that the law never falls below, and for
        no range at all; NaN for NaN.
    """
    needed = np.asarray(f, dtype=float)
    law = np.asarray(cycles_allowed(f, coefficient, slope))
    endless = (needed == 0) | ((lowest > 0) & (needed <= lowest) & (needed >= 0))
    return scalar(np.where(endless, np.inf, np.where(needed > largest, 0.0, law)))


def usage(N: float, N_allowed: float) -> float:
    """Share of the fatigue life that the expected cycles use up.

    Formula:
        U = N/N_allowed

    Args:
        N: Equivalent full cycles [-].
        N_allowed: Cycles allowed of the same range [-].

    Returns:
        U [-]; infinite where no cycle is allowed.

    Source: linear damage (Palmgren, 1924; Miner, 1945) on which ASME B31.3 eq. (1d) rests.
    """
    spent = np.where(np.asarray(N) > 0, np.inf, 0.0)
    counted = np.where(np.asarray(N_allowed) > 0, quotient(N, N_allowed), spent)
    return inside((np.asarray(N) >= 0) & ~np.isnan(np.asarray(N_allowed)), counted)
