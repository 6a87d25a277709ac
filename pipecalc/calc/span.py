"""Support spans by stress, sag and natural frequency, for a uniformly loaded pipe without concentrated loads.

How the ends are held is one number in each formula: n in M = w L²/n, c in y = w L⁴/(c E I), lambda² in the
frequency.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from math import pi
from types import MappingProxyType

from pipecalc.calc.domain import inside, power, quotient, square_root

# The published spacing tables rest on these: 1500 psi of bending and shear together, 0.1 in of sag (MSS
# SP-58).
PUBLISHED_STRESS = 10.35e6  # Pa
PUBLISHED_SAG = 2.54e-3  # m


@dataclass(frozen=True, slots=True)
class EndCondition:
    """How a span is held at its ends.

    Attributes:
        n: Divisor of the largest moment, M = w L²/n [-].
        c: Divisor of the largest sag, y = w L⁴/(c E I) [-].
        lambda_squared: Frequency number, f = lambda²/(2 pi L²) sqrt(E I/m) [-].
    """

    n: float
    c: float
    lambda_squared: float


# Simple and fixed ends: Roark, 8th ed., Tables 8.1 and 16.1. "continuous" is common practice between the two;
# its frequency is that of simple ends, to which equal continuous spans come down in their lowest mode.
END_CONDITIONS: Mapping[str, EndCondition] = MappingProxyType(
    {
        "simple": EndCondition(8.0, 384.0 / 5.0, pi**2),
        "continuous": EndCondition(10.0, 128.0, pi**2),
        "fixed": EndCondition(12.0, 384.0, 22.3733),
    }
)


def span_moment(w: float, L: float, n: float) -> float:
    """Largest bending moment of a span.

    Formula:
        M = w*L**2/n

    Args:
        w: Weight per metre [N/m].
        L: Span [m].
        n: Divisor of the end condition [-].

    Returns:
        Moment [N·m].

    Source: Roark, 8th ed., Table 8.1; n = 10 for continuous pipe is common practice.
    """
    return inside(L >= 0, quotient(w * L**2, n))


def span_stress(w: float, L: float, Z: float, n: float) -> float:
    """Largest bending stress of a span.

    Formula:
        S = w*L**2/(n*Z)

    Args:
        w: Weight per metre [N/m].
        L: Span [m].
        Z: Section modulus [m³].
        n: Divisor of the end condition [-].

    Returns:
        Stress [Pa].

    Source: Roark, 8th ed., Table 8.1.
    """
    return inside(L >= 0, quotient(w * L**2, n * Z))


def span_sag(w: float, L: float, E: float, I: float, c: float) -> float:
    """Largest sag of a span.

    Formula:
        y = w*L**4/(c*E*I)

    Args:
        w: Weight per metre [N/m].
        L: Span [m].
        E: Elastic modulus at operating temperature [Pa].
        I: Moment of inertia [m⁴].
        c: Divisor of the end condition [-].

    Returns:
        Sag [m].

    Source: Roark, 8th ed., Table 8.1.
    """
    return inside(L >= 0, quotient(w * L**4, c * E * I))


def span_by_stress(S_w: float, Z: float, w: float, n: float) -> float:
    """Span at which the bending stress from weight meets a limit.

    Formula:
        L = sqrt(n*S_w*Z/w)

    Args:
        S_w: Limit of the bending stress from weight [Pa].
        Z: Section modulus [m³].
        w: Weight per metre [N/m].
        n: Divisor of the end condition [-].

    Returns:
        Span [m].

    Source: the stress of the span solved for its length. The limit is a project setting, 10.35 MPa in the
    published tables.
    """
    return square_root(quotient(n * S_w * Z, w))


def span_by_sag(y: float, E: float, I: float, w: float, c: float) -> float:
    """Span at which the sag meets a limit.

    Formula:
        L = (c*E*I*y/w)**(1/4)

    Args:
        y: Limit of the sag [m].
        E: Elastic modulus at operating temperature [Pa].
        I: Moment of inertia [m⁴].
        w: Weight per metre [N/m].
        c: Divisor of the end condition [-].

    Returns:
        Span [m].

    Source: the sag of the span solved for its length. The limit is a project setting: 2.5 mm where pockets
    matter, about 13 mm in general plant, common practice.
    """
    return power(quotient(c * E * I * y, w), 0.25)


def natural_frequency(L: float, E: float, I: float, m: float, lambda_squared: float) -> float:
    """Lowest natural frequency of a span.

    Formula:
        f_n = lambda_squared/(2*pi*L**2)*sqrt(E*I/m)

    Args:
        L: Span [m].
        E: Elastic modulus at operating temperature [Pa].
        I: Moment of inertia [m⁴].
        m: Mass per metre with contents [kg/m].
        lambda_squared: Frequency number of the end condition [-].

    Returns:
        Frequency [Hz].

    Source: Roark, 8th ed., Table 16.1.
    """
    return inside(L > 0, quotient(lambda_squared, 2 * pi * L**2) * square_root(quotient(E * I, m)))


def span_by_frequency(f_n: float, E: float, I: float, m: float, lambda_squared: float) -> float:
    """Span at which the lowest natural frequency falls to a limit.

    Formula:
        L = sqrt(lambda_squared/(2*pi*f_n)*sqrt(E*I/m))

    Args:
        f_n: Least natural frequency [Hz].
        E: Elastic modulus at operating temperature [Pa].
        I: Moment of inertia [m⁴].
        m: Mass per metre with contents [kg/m].
        lambda_squared: Frequency number of the end condition [-].

    Returns:
        Span [m].

    Source: the natural frequency of the span solved for its length. Least frequency about 4 Hz, common
    practice.
    """
    return square_root(quotient(lambda_squared, 2 * pi * f_n) * square_root(quotient(E * I, m)))


def frequency_from_sag(y: float) -> float:
    """Lowest natural frequency of a simply supported span from its own-weight sag.

    Formula:
        f_n = pi/2*sqrt(5*9.80665/(384*y))

    Args:
        y: Sag under the pipe's own weight [m].

    Returns:
        Frequency [Hz]; NaN unless y > 0.

    Source: own-weight sag put into the frequency of the simple span; often rounded to 17.75/sqrt(y in mm).
    """
    return pi / 2 * square_root(quotient(5 * 9.80665, 384 * y))
