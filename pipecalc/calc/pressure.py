"""Wall thickness for internal pressure: ASME B31.3 para. 304.1.2 and 304.2.1.

External pressure (304.1.3), mitres (304.2.3) and branch reinforcement (304.3) are not covered here.
"""

import numpy as np

from pipecalc.calc.domain import inside, quotient
from pipecalc.calc.interpolation import interpolate
from pipecalc.calc.material import Family

THICK_WALL_PRESSURE_RATIO = 0.385
W_FULL_UP_TO: dict[str, float] = {
    "ferritic": 427.0,
    "austenitic": 510.0,
    "nickel": 510.0,
    "other ductile": 427.0,
}  # °C

_Y_TEMPERATURES = np.array([482.0, 510.0, 538.0, 566.0, 593.0, 621.0, 649.0, 677.0])
_Y_VALUES: dict[str, tuple[float, ...]] = {
    "ferritic": (0.4, 0.5, 0.7, 0.7, 0.7, 0.7, 0.7, 0.7),
    "austenitic": (0.4, 0.4, 0.4, 0.4, 0.5, 0.7, 0.7, 0.7),
    "nickel": (0.4, 0.4, 0.4, 0.4, 0.4, 0.4, 0.5, 0.7),
    "other ductile": (0.4, 0.4, 0.4, 0.4, 0.4, 0.4, 0.4, 0.4),
}


def pressure_design_thickness(P: float, D: float, S: float, E: float, W: float, Y: float) -> float:
    """Wall needed for internal pressure in a straight pipe, without allowances.

    Formula:
        t = P*D/(2*(S*E*W + P*Y))

    Args:
        P: Internal design gauge pressure [Pa].
        D: Outside diameter [m].
        S: Basic allowable stress at design temperature [Pa].
        E: Quality factor, Table A-1A or A-1B [-].
        W: Weld joint strength reduction factor [-].
        Y: Coefficient of Table 304.1.1 [-].

    Returns:
        Pressure design thickness t [m].

    Valid for: t < D/6 and P/(S E) <= 0.385, P not below zero. Outside: NaN, thick walls need 304.1.2(b).

    Source: ASME B31.3 para. 304.1.2(a), eq. (3a). The limit 0.385 is from memory.
    """
    t = quotient(P * D, 2 * (S * E * W + P * Y))
    return inside(thin_wall(t, D, P, S, E), t)


def pressure_design_thickness_from_bore(P: float, d: float, c: float, S: float, E: float, W: float, Y: float) -> float:
    """Wall needed for internal pressure in a straight pipe that is ordered by its bore, without allowances.

    Formula:
        t = P*(d + 2*c)/(2*(S*E*W - P*(1 - Y)))

    Args:
        P: Internal design gauge pressure [Pa].
        d: Inside diameter [m].
        c: Sum of allowances [m].
        S: Basic allowable stress at design temperature [Pa].
        E: Quality factor [-].
        W: Weld joint strength reduction factor [-].
        Y: Coefficient of Table 304.1.1 [-].

    Returns:
        Pressure design thickness t [m].

    Valid for: as for the form by outside diameter, with D = d + 2 c + 2 t.

    Source: ASME B31.3 para. 304.1.2(a), eq. (3b).
    """
    t = quotient(P * (d + 2 * c), 2 * (S * E * W - P * (1 - Y)))
    return inside(thin_wall(t, d + 2 * c + 2 * t, P, S, E), t)


def thin_wall(t: float, D: float, P: float, S: float, E: float) -> bool:
    """Whether the simple formula of 304.1.2(a) holds: t < D/6 and P/(S E) <= 0.385.

    Args:
        t: Pressure design thickness [m].
        D: Outside diameter [m].
        P: Internal design gauge pressure [Pa].
        S: Basic allowable stress [Pa].
        E: Quality factor [-].

    Returns:
        True inside the range; False outside, for negative (external) pressure and for NaN.

    Source: ASME B31.3 para. 304.1.2(a) and (b); 0.385 from memory.
    """
    within = (t < D / 6) & (quotient(P, S * E) <= THICK_WALL_PRESSURE_RATIO) & (P >= 0)
    return bool(within) if np.ndim(within) == 0 else within


def required_thickness(t: float, c: float) -> float:
    """Wall that must be there: pressure thickness plus allowances.

    Formula:
        t_m = t + c

    Args:
        t: Pressure design thickness [m].
        c: Corrosion, erosion, thread and groove allowances [m].

    Returns:
        Minimum required thickness t_m [m].

    Source: ASME B31.3 para. 304.1.1(a), eq. (2).
    """
    return inside(c >= 0, t + c)


def nominal_thickness_needed(t_m: float, u: float) -> float:
    """Nominal wall to order where the mill may deliver less by a fraction.

    Formula:
        T = t_m/(1 - u)

    Args:
        t_m: Minimum required thickness [m].
        u: Mill under-tolerance as a fraction, 0.125 for most seamless pipe [-].

    Returns:
        Least nominal thickness [m].

    Source: ASME B31.3 para. 304.1.1 (minimum thickness includes the under-tolerance); 12.5 % as in ASTM A530
    and A999.
    """
    return inside((u >= 0) & (u < 1), quotient(t_m, 1 - u))


def nominal_thickness_needed_absolute(t_m: float, u_t: float) -> float:
    """Nominal wall to order where the mill may deliver less by a fixed amount, as for pipe rolled from plate.

    Formula:
        T = t_m + u_t

    Args:
        t_m: Minimum required thickness [m].
        u_t: Mill under-tolerance [m], such as 0.3 mm.

    Returns:
        Least nominal thickness [m].

    Source: ASME B31.3 para. 304.1.1; 0.25 to 0.3 mm for plate is common practice, see the plate
    specification.
    """
    return inside(u_t >= 0, t_m + u_t)


def design_pressure_carried(t: float, D: float, S: float, E: float, W: float, Y: float) -> float:
    """Internal pressure that a wall carries, allowances and under-tolerance already taken off.

    Formula:
        P = 2*t*S*E*W/(D - 2*t*Y)

    Args:
        t: Wall left for pressure [m].
        D: Outside diameter [m].
        S: Basic allowable stress at design temperature [Pa].
        E: Quality factor [-].
        W: Weld joint strength reduction factor [-].
        Y: Coefficient of Table 304.1.1 [-].

    Returns:
        Gauge pressure [Pa].

    Valid for: 0 <= t < D/6 and P/(S E) <= 0.385. Outside: NaN.

    Source: ASME B31.3 para. 304.1.2(a), eq. (3a) solved for P.
    """
    P = quotient(2 * t * S * E * W, D - 2 * t * Y)
    return inside((t >= 0) & thin_wall(t, D, P, S, E), P)


def y_coefficient(family: Family, temperature: float) -> float:
    """Coefficient Y of the wall formula.

    Linear between the table's temperatures; the table prints its first column as "482 °C and below" and its
    last as "677 °C and above", so both ends hold.

    Args:
        family: Row of the table.
        temperature: Design temperature [°C].

    Returns:
        Y [-].

    Source: ASME B31.3 Table 304.1.1, from memory except 0.4 for ferritic steel to 482 °C.
    """
    return interpolate(temperature, _Y_TEMPERATURES, np.array(_Y_VALUES[family]), "hold", "hold")


def weld_strength_reduction(temperature: float, family: Family, longitudinal_weld: bool = True) -> float:
    """Weld joint strength reduction factor W, where it is certainly one.

    Args:
        temperature: Design temperature [°C].
        family: Material family.
        longitudinal_weld: The pipe has a longitudinal or spiral weld; seamless pipe has none.

    Returns:
        1.0 for seamless pipe, and with a weld up to 510 °C for austenitic and nickel alloys, up to 427 °C for
        all others, among them the chrome-molybdenum lines that fall earlier. NaN above: there the factor
        depends on alloy group and heat treatment and must be given.

    Source: ASME B31.3 para. 302.3.5(e) and Table 302.3.5, from memory; the 2004 edition had 1.0 to 510 °C for
    all.
    """
    limit = W_FULL_UP_TO[family] if longitudinal_weld else np.inf
    return inside(np.asarray(temperature) <= limit, np.ones(np.shape(temperature)))


def bend_factor_intrados(R1: float, D: float) -> float:
    """Factor I_b at the inside of a bend.

    Formula:
        I_b = (4*R1/D - 1)/(4*R1/D - 2)

    Args:
        R1: Bend radius of the centre line [m].
        D: Outside diameter [m].

    Returns:
        I_b [-], NaN for R1 <= D/2.

    Source: ASME B31.3 para. 304.2.1, eq. (3d), from memory; equals the hoop stress ratio of a thin torus.
    """
    x = quotient(4 * R1, D)
    return quotient(x - 1, x - 2)


def bend_factor_extrados(R1: float, D: float) -> float:
    """Factor I_b at the outside of a bend.

    Formula:
        I_b = (4*R1/D + 1)/(4*R1/D + 2)

    Args:
        R1: Bend radius of the centre line [m].
        D: Outside diameter [m].

    Returns:
        I_b [-], NaN for R1 <= D/2.

    Source: ASME B31.3 para. 304.2.1, eq. (3e), from memory; equals the hoop stress ratio of a thin torus.
    """
    x = quotient(4 * R1, D)
    return inside(x > 2, quotient(x + 1, x + 2))


def bend_design_thickness(P: float, D: float, S: float, E: float, W: float, Y: float, I_b: float) -> float:
    """Wall needed for internal pressure in a bend after bending, without allowances.

    Formula:
        t = P*D/(2*(S*E*W/I_b + P*Y))

    Args:
        P: Internal design gauge pressure [Pa].
        D: Outside diameter [m].
        S: Basic allowable stress at design temperature [Pa].
        E: Quality factor [-].
        W: Weld joint strength reduction factor [-].
        Y: Coefficient of Table 304.1.1 [-].
        I_b: Factor at intrados or extrados; 1.0 at the side on the centre line [-].

    Returns:
        Pressure design thickness t [m].

    Valid for: as for the straight pipe. Outside: NaN.

    Source: ASME B31.3 para. 304.2.1, eq. (3c), from memory.
    """
    t = quotient(P * D, 2 * (quotient(S * E * W, I_b) + P * Y))
    return inside(thin_wall(t, D, P, S, E), t)
