"""Branch connections: flexibility characteristic and stress intensification of the legacy set.

Flexibility factors are 1 in this set. The factors hold for header and branch alike.
Source: ASME B31.3-2018 Appendix D, Table D300, from memory; verify against the edition of record.
"""

from math import pi

import numpy as np

from pipecalc.calc.domain import inside, power, quotient
from pipecalc.calc.elbow import not_below_one

#: A pad thicker than this share of the header's wall has its own expression.
THICK_PAD = 1.5
#: The crotch of an extruded outlet or of a proven tee, as shares of branch diameter and header wall.
EXTRUDED_CROTCH_RADIUS = 0.05
PROVEN_CROTCH_RADIUS = 1 / 8
PROVEN_CROTCH_THICKNESS = 1.5


def h_welding_tee(T: float, r2: float) -> float:
    """Flexibility characteristic of a welding tee to ASME B16.9.

    Formula:
        h = 3.1*T/r2

    Args:
        T: Wall of the header [m].
        r2: Mean radius of the header [m].

    Returns:
        h [-].

    Source: ASME B31.3-2018 Appendix D, Table D300; 4.4 in place of 3.1 only for a proven crotch, see ``h_proven_tee``.
    """
    return quotient(3.1 * T, r2)


def h_proven_tee(T: float, r2: float, r_x: float, T_c: float, D_b: float) -> float:
    """Flexibility characteristic of a welding tee, or welded-in contour insert, of proven crotch.

    Formula:
        h = 4.4*T/r2

    Args:
        T: Wall of the header [m].
        r2: Mean radius of the header [m].
        r_x: Outer radius of the crotch [m].
        T_c: Thickness of the crotch [m].
        D_b: Outside diameter of the branch [m].

    Returns:
        h [-].

    Valid for: r_x >= D_b/8 and T_c >= 1.5 T. Outside: NaN, and ``h_welding_tee`` is the one to use.

    Source: ASME B31.3-2018 Appendix D, Table D300 with its note on crotch dimensions.
    """
    proven = (r_x >= PROVEN_CROTCH_RADIUS * D_b) & (T_c >= PROVEN_CROTCH_THICKNESS * T)
    return inside(proven, quotient(4.4 * T, r2))


def h_contour_insert(T: float, r2: float) -> float:
    """Flexibility characteristic of a welded-in contour insert.

    Formula:
        h = 3.1*T/r2

    Args:
        T: Wall of the header [m].
        r2: Mean radius of the header [m].

    Returns:
        h [-].

    Source: ASME B31.3-2018 Appendix D, Table D300.
    """
    return quotient(3.1 * T, r2)


def h_extruded_outlet(T: float, r2: float, r_x: float, T_c: float, D_b: float) -> float:
    """Flexibility characteristic of an extruded welding tee.

    Formula:
        h = (1 + r_x/r2)*T/r2

    Args:
        T: Wall of the header [m].
        r2: Mean radius of the header [m].
        r_x: Outer radius of the crotch [m].
        T_c: Thickness of the crotch [m].
        D_b: Outside diameter of the branch [m].

    Returns:
        h [-].

    Valid for: r_x >= 0.05 D_b and T_c < 1.5 T. Outside: NaN.

    Source: ASME B31.3-2018 Appendix D, Table D300.
    """
    covered = (r_x >= EXTRUDED_CROTCH_RADIUS * D_b) & (T_c < PROVEN_CROTCH_THICKNESS * T) & (T_c > 0)
    return inside(covered, quotient((1 + quotient(r_x, r2)) * T, r2))


def h_unreinforced_tee(T: float, r2: float) -> float:
    """Flexibility characteristic of an unreinforced fabricated tee.

    Formula:
        h = T/r2

    Args:
        T: Wall of the header [m].
        r2: Mean radius of the header [m].

    Returns:
        h [-].

    Source: ASME B31.3-2018 Appendix D, Table D300.
    """
    return quotient(T, r2)


def h_reinforced_tee(T: float, r2: float, T_r: float) -> float:
    """Flexibility characteristic of a fabricated tee with a pad.

    Formula:
        h = (T + T_r/2)**2.5/(T**1.5*r2)

    Args:
        T: Wall of the header [m].
        r2: Mean radius of the header [m].
        T_r: Thickness of the pad [m].

    Returns:
        h [-].

    Valid for: 0 < T_r <= 1.5 T; a thicker pad takes ``h_thick_pad_tee``. Outside: NaN.

    Source: ASME B31.3-2018 Appendix D, Table D300 with its note on thick pads.
    """
    padded = power(T + T_r / 2, 2.5)
    return inside((T_r > 0) & (T_r <= THICK_PAD * T), quotient(padded, power(T, 1.5) * r2))


def h_thick_pad_tee(T: float, r2: float) -> float:
    """Flexibility characteristic of a fabricated tee with a pad thicker than 1.5 T.

    Formula:
        h = 4.05*T/r2

    Args:
        T: Wall of the header [m].
        r2: Mean radius of the header [m].

    Returns:
        h [-].

    Source: ASME B31.3-2018 Appendix D, Table D300, note on thick pads.
    """
    return quotient(4.05 * T, r2)


def h_welded_on_fitting(T: float, r2: float) -> float:
    """Flexibility characteristic of an integrally reinforced branch welded-on fitting.

    Formula:
        h = 3.3*T/r2

    Args:
        T: Wall of the header [m].
        r2: Mean radius of the header [m].

    Returns:
        h [-].

    Source: ASME B31.3-2018 Appendix D, Table D300.
    """
    return quotient(3.3 * T, r2)


def branch_out_of_plane(h: float) -> float:
    """Out-of-plane stress intensification factor of a branch connection.

    Formula:
        i_o = max(1.0, 0.9/h**(2/3))

    Args:
        h: Flexibility characteristic [-].

    Returns:
        i_o [-]; NaN unless h > 0.

    Source: ASME B31.3-2018 Appendix D, Table D300.
    """
    return not_below_one(0.9 * power(h, -2 / 3))


def branch_in_plane(i_o: float) -> float:
    """In-plane stress intensification factor of a tee.

    Formula:
        i_i = max(1.0, 0.75*i_o + 0.25)

    Args:
        i_o: Out-of-plane factor [-].

    Returns:
        i_i [-]; NaN where i_o is.

    Source: ASME B31.3-2018 Appendix D, Table D300. A welded-on fitting has i_i = i_o instead.
    """
    return not_below_one(0.75 * i_o + 0.25)


def effective_wall(T_h: float, i: float, T_b: float) -> float:
    """Effective wall of a branch leg, with which its bending stress is found.

    Formula:
        T_s = min(T_h, i*T_b)

    Args:
        T_h: Wall of the header without pad [m].
        i: Stress intensification factor, in plane where two are listed [-].
        T_b: Wall of the branch [m].

    Returns:
        T_s [m]; NaN unless both walls are above zero and the factor is one or more.

    Source: ASME B31.3-2018 para. 319.4.4, definition of T_s; likewise ASME B31.1 para. 104.8.4.
    """
    sound = (T_h > 0) & (T_b > 0) & (i >= 1)
    return inside(sound, np.minimum(T_h, i * T_b))


def effective_section_modulus(r2b: float, T_s: float) -> float:
    """Effective section modulus of a reducing branch leg.

    Formula:
        Z_b = pi*r2b**2*T_s

    Args:
        r2b: Mean radius of the branch pipe [m].
        T_s: Effective wall [m].

    Returns:
        Z_e, the section modulus for bending of the leg [m³].

    Source: ASME B31.3-2018 para. 319.4.4, eq. (20). With factors of ASME B31J the branch pipe's own section
    modulus is taken instead.
    """
    return inside((r2b > 0) & (T_s > 0), pi * r2b**2 * T_s)
