"""Flexibility and stress intensification of elbows and smooth bends.

The same formulas stand in ASME B31.3 Appendix D (to the 2018 edition) and in ASME B31J-2017 Table 1-1 (i_t =
i_a = 1 there). Written from memory of both; the family is that of Markl, Piping-Flexibility Analysis, Trans.
ASME 1955.
"""

from dataclasses import dataclass

import numpy as np

from pipecalc.calc.domain import inside, power, quotient, scalar

LARGEST_DIAMETER_TO_WALL = 100.0


def flexibility_characteristic(T: float, R1: float, r2: float) -> float:
    """Flexibility characteristic h of an elbow or bend.

    Formula:
        h = T*R1/r2**2

    Args:
        T: Nominal wall of the bend [m].
        R1: Bend radius of the centre line [m].
        r2: Mean radius of the matching pipe [m].

    Returns:
        h [-].

    Source: ASME B31.3-2018 Appendix D, Table D300; ASME B31J-2017 Table 1-1. From memory.
    """
    return quotient(T * R1, r2**2)


def flexibility_factor(h: float) -> float:
    """Flexibility factor k of an elbow or bend, in plane and out of plane.

    Formula:
        k = max(1, 1.65/h)

    Args:
        h: Flexibility characteristic [-].

    Returns:
        k [-], not below one.

    Source: ASME B31.3-2018 Appendix D, Table D300. From memory.
    """
    return not_below_one(quotient(1.65, h))


def intensification_in_plane(h: float) -> float:
    """Stress intensification factor i_i of an elbow or bend for in-plane moments.

    Formula:
        i_i = max(1, 0.9/h**(2/3))

    Args:
        h: Flexibility characteristic [-].

    Returns:
        i_i [-], not below one.

    Source: ASME B31.3-2018 Appendix D, Table D300. From memory.
    """
    return not_below_one(0.9 * power(h, -2 / 3))


def intensification_out_of_plane(h: float) -> float:
    """Stress intensification factor i_o of an elbow or bend for out-of-plane moments.

    Formula:
        i_o = max(1, 0.75/h**(2/3))

    Args:
        h: Flexibility characteristic [-].

    Returns:
        i_o [-], not below one.

    Source: ASME B31.3-2018 Appendix D, Table D300. From memory.
    """
    return not_below_one(0.75 * power(h, -2 / 3))


def one_flange_factor(h: float) -> float:
    """Factor on k and i where one end of the bend carries a flange.

    Formula:
        c = min(1, h**(1/6))

    Args:
        h: Flexibility characteristic [-].

    Returns:
        c [-], not above one.

    Source: ASME B31.3-2018 Appendix D, Table D300 note and Chart B. From memory.
    """
    return scalar(np.minimum(1.0, power(h, 1 / 6)))


def two_flange_factor(h: float) -> float:
    """Factor on k and i where both ends of the bend carry flanges.

    Formula:
        c = min(1, h**(1/3))

    Args:
        h: Flexibility characteristic [-].

    Returns:
        c [-], not above one.

    Source: ASME B31.3-2018 Appendix D, Table D300 note and Chart B. From memory.
    """
    return scalar(np.minimum(1.0, power(h, 1 / 3)))


def pressure_divisor_flexibility(P: float, E: float, T: float, R1: float, r2: float) -> float:
    """What k is divided by where pressure keeps a large thin bend round.

    Formula:
        q = 1 + 6*(P/E)*(r2/T)**(7/3)*(R1/r2)**(1/3)

    Args:
        P: Gauge pressure of the state [Pa].
        E: Elastic modulus at installation temperature [Pa].
        T: Nominal wall of the bend [m].
        R1: Bend radius [m].
        r2: Mean radius of the matching pipe [m].

    Returns:
        Divisor [-], NaN for negative pressure.

    Source: ASME B31.3-2018 Appendix D, Table D300 note (7). From memory.
    """
    slender = power(quotient(r2, T), 7 / 3) * power(quotient(R1, r2), 1 / 3)
    return inside(P >= 0, 1 + 6 * quotient(P, E) * slender)


def pressure_divisor_intensification(P: float, E: float, T: float, R1: float, r2: float) -> float:
    """What i may be divided by where pressure keeps a large thin bend round.

    Formula:
        q = 1 + 3.25*(P/E)*(r2/T)**(5/2)*(R1/r2)**(2/3)

    Args:
        P: Gauge pressure of the state [Pa].
        E: Elastic modulus at installation temperature [Pa].
        T: Nominal wall of the bend [m].
        R1: Bend radius [m].
        r2: Mean radius of the matching pipe [m].

    Returns:
        Divisor [-], NaN for negative pressure.

    Source: ASME B31.3-2018 Appendix D, Table D300 note (7). From memory. Not taking it is conservative.
    """
    slender = power(quotient(r2, T), 5 / 2) * power(quotient(R1, r2), 2 / 3)
    return inside(P >= 0, 1 + 3.25 * quotient(P, E) * slender)


@dataclass(frozen=True, slots=True)
class BendFactors:
    """Factors of one elbow, bend or mitre.

    Attributes:
        h: Flexibility characteristic [-].
        k: Flexibility factor [-], after flanges and pressure.
        i_i: In-plane stress intensification factor [-], after flanges; NaN where D/T is above 100.
        i_o: Out-of-plane stress intensification factor [-]; likewise.
        flange_factor: Factor c that was applied [-].
        pressure_divisor: Divisor that was applied to k [-].
        within_limits: D/T is at most 100. Outside, k still serves to find loads, but no stress may be called
            acceptable.
    """

    h: float
    k: float
    i_i: float
    i_o: float
    flange_factor: float
    pressure_divisor: float
    within_limits: bool


def elbow_factors(
    wall: float,
    bend_radius: float,
    mean_radius: float,
    flanged_ends: int = 0,
    pressure: float = 0.0,
    modulus: float = np.inf,
) -> BendFactors:
    """All factors of an elbow or smooth bend.

    Pressure stiffens (k falls, reactions rise); the optional reduction of i is not taken.

    Args:
        wall: Nominal wall of the bend [m].
        bend_radius: Bend radius of the centre line [m].
        mean_radius: Mean radius of the matching pipe [m].
        flanged_ends: Ends of the bend with a flange welded directly to it: 0, 1 or 2.
        pressure: Gauge pressure of the state [Pa]; zero leaves the stiffening out.
        modulus: Elastic modulus at installation temperature [Pa]; needed with a pressure.

    Returns:
        The factors.

    Source: ASME B31.3-2018 Appendix D, Table D300 with notes. From memory.
    """
    h = flexibility_characteristic(wall, bend_radius, mean_radius)
    k, i_i, i_o = flexibility_factor(h), intensification_in_plane(h), intensification_out_of_plane(h)
    return corrected_factors(h, k, i_i, i_o, wall, bend_radius, mean_radius, flanged_ends, pressure, modulus)


def corrected_factors(
    h: float,
    k: float,
    i_i: float,
    i_o: float,
    T: float,
    R1: float,
    r2: float,
    flanged_ends: int,
    P: float,
    E: float,
) -> BendFactors:
    """Flexibility and intensification of a bend or mitre with flanges and pressure taken into account.

    Args:
        h: Flexibility characteristic [-].
        k: Flexibility factor of the plain bend [-].
        i_i: In-plane stress intensification factor of the plain bend [-].
        i_o: Out-of-plane stress intensification factor of the plain bend [-].
        T: Nominal wall [m].
        R1: Bend radius, or its equivalent [m].
        r2: Mean radius [m].
        flanged_ends: 0, 1 or 2.
        P: Gauge pressure [Pa].
        E: Elastic modulus at installation temperature [Pa].

    Returns:
        The factors.

    Raises:
        ValueError: Another number of flanged ends, or a pressure without a modulus.
    """
    if flanged_ends not in (0, 1, 2):
        raise ValueError("a bend has no, one or two flanged ends")
    if P != 0 and not np.isfinite(E):
        raise ValueError("pressure stiffening needs the elastic modulus")
    c = (1.0, one_flange_factor(h), two_flange_factor(h))[flanged_ends]
    q = pressure_divisor_flexibility(P, E, T, R1, r2) if P != 0 else 1.0
    within = bool((2 * r2 + T) / T <= LARGEST_DIAMETER_TO_WALL) if T > 0 else False
    return BendFactors(
        h=h,
        k=not_below_one(k * c / q),
        i_i=inside(within, not_below_one(i_i * c)),
        i_o=inside(within, not_below_one(i_o * c)),
        flange_factor=c,
        pressure_divisor=q,
        within_limits=within,
    )


def not_below_one(factor: float) -> float:
    """A factor, but at least one; NaN stays NaN."""
    kept: float = np.maximum(1.0, factor)
    return kept
