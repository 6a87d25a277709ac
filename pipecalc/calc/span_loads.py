"""Spans that carry concentrated loads besides their own weight, and overhangs.

A load stands at a share ``s`` of the span from the nearer support. Loads keep their share while the span is sought that
meets a limit. Between simple and fixed ends the effect of a concentrated load is taken in the same proportion as that
of the pipe's own weight: 8/n of the simple span's moment, 76.8/c of its sag. The largest effects of several loads are
added although they do not lie at the same place: on the safe side.
"""

from math import pi, sqrt

import numpy as np
from scipy.optimize import brentq

from pipecalc.calc.domain import inside, quotient, square_root

_SIMPLE_SAG = 384.0 / 5.0  # c of the simple span


def load_moment_share(s: float) -> float:
    """Largest moment of a concentrated load on a simple span, over load and span.

    Formula:
        m = s*(1 - s)

    Args:
        s: Place of the load, as a share of the span [-].

    Returns:
        M/(P L) [-]; NaN unless 0 <= s <= 1.

    Source: Roark, 8th ed., Table 8.1, case 1e.
    """
    return inside((np.asarray(s) >= 0) & (np.asarray(s) <= 1), s * (1 - s))


def load_sag_share(s: float) -> float:
    """Largest sag of a concentrated load on a simple span, over P L³/(E I).

    Formula:
        y = s*(1 - s**2)**1.5/(9*sqrt(3))

    Args:
        s: Distance of the load from the nearer support, as a share of the span [-].

    Returns:
        y E I/(P L³) [-]; NaN unless 0 <= s <= 0.5.

    Source: Roark, 8th ed., Table 8.1, case 1e.
    """
    valid = (np.asarray(s) >= 0) & (np.asarray(s) <= 0.5)
    return inside(valid, s * (1 - np.minimum(np.square(s), 1.0)) ** 1.5 / (9 * sqrt(3)))


def loaded_span_stress(w: float, L: float, Z: float, n: float, P_m: float) -> float:
    """Largest bending stress of a span with concentrated loads.

    Formula:
        S = (w*L**2/n + 8/n*P_m*L)/Z

    Args:
        w: Weight per metre [N/m].
        L: Span [m].
        Z: Section modulus [m³].
        n: Divisor of the end condition [-].
        P_m: Sum of loads times their moment share [N].

    Returns:
        Stress [Pa].

    Source: superposition, Roark, 8th ed., Table 8.1; the factor 8/n is common practice.
    """
    return inside(L >= 0, quotient(w * L**2 / n + 8 / n * P_m * L, Z))


def loaded_span_by_stress(S_w: float, Z: float, w: float, n: float, P_m: float) -> float:
    """Span at which the bending stress meets a limit, with concentrated loads.

    Formula:
        L = (sqrt((4*P_m)**2 + n*w*S_w*Z) - 4*P_m)/w

    Args:
        S_w: Limit of the bending stress from weight [Pa].
        Z: Section modulus [m³].
        w: Weight per metre [N/m].
        n: Divisor of the end condition [-].
        P_m: Sum of loads times their moment share [N].

    Returns:
        Span [m].

    Source: the stress of the loaded span solved for its length.
    """
    return quotient(square_root((4 * P_m) ** 2 + n * w * S_w * Z) - 4 * P_m, w)


def overhang_by_stress(S_w: float, Z: float, w: float, P_s: float) -> float:
    """Overhang at which the bending stress at its support meets a limit.

    Formula:
        a = (sqrt(P_s**2 + 2*w*S_w*Z) - P_s)/w

    Args:
        S_w: Limit of the bending stress from weight [Pa].
        Z: Section modulus [m³].
        w: Weight per metre [N/m].
        P_s: Sum of loads times their share of the overhang, from its support [N].

    Returns:
        Overhang [m].

    Source: M = w a²/2 + P s a, Roark, 8th ed., Table 8.1, solved for a.
    """
    return quotient(square_root(P_s**2 + 2 * w * S_w * Z) - P_s, w)


def length_by_quartic(A: float, B: float, limit: float) -> float:
    """Length at which A L⁴ + B L³ meets a limit.

    The sag of a loaded span has this form, and so has one over the square of its frequency.

    Args:
        A: Coefficient of L⁴, above zero.
        B: Coefficient of L³, not below zero.
        limit: What the sum may reach, above zero.

    Returns:
        Length; NaN outside these ranges.
    """
    if not (A > 0 and B >= 0 and limit > 0 and np.isfinite(A + B + limit)):
        return float("nan")
    highest = (limit / A) ** 0.25
    if B == 0:
        return float(highest)
    return float(brentq(lambda L: (A * L + B) * L**3 - limit, 0.0, highest, xtol=1e-12, rtol=1e-12))


def loaded_span_sag(w: float, L: float, E: float, I: float, c: float, P_y: float) -> float:
    """Largest sag of a span with concentrated loads.

    Formula:
        y = w*L**4/(c*E*I) + 76.8/c*P_y*L**3/(E*I)

    Args:
        w: Weight per metre [N/m].
        L: Span [m].
        E: Elastic modulus at operating temperature [Pa].
        I: Moment of inertia [m⁴].
        c: Divisor of the end condition [-].
        P_y: Sum of loads times their sag share [N].

    Returns:
        Sag [m].

    Source: superposition, Roark, 8th ed., Table 8.1; the factor 76.8/c is common practice.
    """
    return inside(L >= 0, quotient(w * L**4 / c + 76.8 / c * P_y * L**3, E * I))


def loaded_span_by_sag(y: float, E: float, I: float, w: float, c: float, P_y: float) -> float:
    """Span at which the sag meets a limit, with concentrated loads [m]; symbols as in :func:`loaded_span_sag`."""
    return length_by_quartic(w / (c * E * I), _SIMPLE_SAG / c * P_y / (E * I), y)


def loaded_frequency(L: float, E: float, I: float, m: float, M_d: float, lambda_squared: float) -> float:
    """Lowest natural frequency of a span with concentrated masses, from below.

    Formula:
        f_n = sqrt(E*I/(m*L**4/lambda_squared**2 + M_d*L**3/3))/(2*pi)

    Args:
        L: Span [m].
        E: Elastic modulus at operating temperature [Pa].
        I: Moment of inertia [m⁴].
        m: Mass per metre with contents [kg/m].
        M_d: Sum of masses times (s (1 - s))², s their place as a share of the span [kg].
        lambda_squared: Frequency number of the end condition [-].

    Returns:
        Frequency [Hz], exact without masses or without pipe weight, else below the exact one.

    Source: Dunkerley's formula, a lower bound, with the masses on a simple span; Roark, 8th ed., 16.
    """
    return square_root(quotient(E * I, m * L**4 / lambda_squared**2 + M_d * L**3 / 3)) / (2 * pi)


def loaded_span_by_frequency(f_n: float, E: float, I: float, m: float, M_d: float, lambda_squared: float) -> float:
    """Span at which the frequency falls to a limit, with concentrated masses [m]; as :func:`loaded_frequency`."""
    return length_by_quartic(m / lambda_squared**2, M_d / 3.0, E * I / (2 * pi * f_n) ** 2 if f_n > 0 else -1.0)
