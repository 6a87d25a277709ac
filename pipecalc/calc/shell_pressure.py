"""Pressure that a shell carries, plain and at a reinforced opening: EN 13445-3 clauses 7 and 9."""

import numpy as np

from pipecalc.calc.domain import inside, quotient, square_root


def cylinder_pressure(f: float, e: float, D: float) -> float:
    """Pressure that a cylinder carries away from openings, joint coefficient 1.

    Formula:
        P_s = 2*f*e/D

    Args:
        f: Allowable stress of the shell [Pa].
        e: Thickness of the shell without pad [m].
        D: Mean diameter of the shell [m].

    Returns:
        Pressure [Pa].

    Source: EN 13445-3 clause 7.4.2; thin-shell theory.
    """
    return inside(f > 0, quotient(2 * f * e, D))


def sphere_pressure(f: float, e: float, R: float) -> float:
    """Pressure that a sphere carries away from openings, joint coefficient 1.

    Formula:
        P_s = 2*f*e/R

    Args:
        f: Allowable stress of the shell [Pa].
        e: Thickness of the shell without pad [m].
        R: Mean radius of the sphere, or of the head at the nozzle [m].

    Returns:
        Pressure [Pa].

    Source: EN 13445-3 clause 7.4.3; thin-shell theory.
    """
    return inside(f > 0, quotient(2 * f * e, R))


def cylinder_opening_pressure(
    r_i: float, e: float, d_e: float, e_b: float, e_p: float, w_p: float, f: float, f_b: float, f_p: float
) -> float:
    """Pressure that a cylinder carries at a reinforced opening: metal areas against pressure areas.

    The metal of the shell counts from the nozzle's outside on, the nozzle's wall outside the shell only: less than the
    standard allows. The nozzle must be as thick over the length l_b.

    Formula:
        l_s = sqrt((2*r_i + e)*e)
        l_b = sqrt((d_e - e_b)*e_b)
        metal = l_s*e + l_b*e_b + min(w_p, l_s)*e_p
        strength = l_s*e*f + l_b*e_b*min(f_b, f) + min(w_p, l_s)*e_p*min(f_p, f)
        pressed = r_i*(l_s + d_e/2) + (d_e/2 - e_b)*(l_b + e)
        P_o = strength/(pressed + metal/2)

    Args:
        r_i: Inside radius of the shell [m].
        e: Thickness of the shell without pad [m].
        d_e: Outside diameter of the nozzle [m].
        e_b: Thickness of the nozzle [m].
        e_p: Thickness of the pad, 0 for none [m].
        w_p: Width of the pad, 0 for none [m].
        f: Allowable stress of the shell [Pa].
        f_b: Allowable stress of the nozzle [Pa].
        f_p: Allowable stress of the pad [Pa].

    Returns:
        Pressure [Pa].

    Source: EN 13445-3 clause 9.5.2, pressure-area method, from memory; areas simplified to the safe side.
    """
    return _opening_pressure(r_i, e, d_e, e_b, e_p, w_p, f, f_b, f_p, r_i)


def sphere_opening_pressure(
    r_i: float, e: float, d_e: float, e_b: float, e_p: float, w_p: float, f: float, f_b: float, f_p: float
) -> float:
    """Pressure that a sphere carries at a reinforced opening; as for the cylinder, with the sphere's pressure area.

    Formula:
        l_s = sqrt((2*r_i + e)*e)
        l_b = sqrt((d_e - e_b)*e_b)
        metal = l_s*e + l_b*e_b + min(w_p, l_s)*e_p
        strength = l_s*e*f + l_b*e_b*min(f_b, f) + min(w_p, l_s)*e_p*min(f_p, f)
        pressed = 0.5*r_i**2*(l_s + d_e/2)/(r_i + e/2) + (d_e/2 - e_b)*(l_b + e)
        P_o = strength/(pressed + metal/2)

    Args:
        r_i: Inside radius of the sphere [m].
        e: Thickness of the shell without pad [m].
        d_e: Outside diameter of the nozzle [m].
        e_b: Thickness of the nozzle [m].
        e_p: Thickness of the pad, 0 for none [m].
        w_p: Width of the pad, 0 for none [m].
        f: Allowable stress of the shell [Pa].
        f_b: Allowable stress of the nozzle [Pa].
        f_p: Allowable stress of the pad [Pa].

    Returns:
        Pressure [Pa].

    Source: EN 13445-3 clause 9.5.2, pressure-area method, from memory; areas simplified to the safe side.
    """
    return _opening_pressure(r_i, e, d_e, e_b, e_p, w_p, f, f_b, f_p, quotient(0.5 * r_i**2, r_i + e / 2))


def _opening_pressure(
    r_i: float,
    e: float,
    d_e: float,
    e_b: float,
    e_p: float,
    w_p: float,
    f: float,
    f_b: float,
    f_p: float,
    arm: float,
) -> float:
    l_s, l_b = square_root((2 * r_i + e) * e), square_root((d_e - e_b) * e_b)
    pad = np.minimum(w_p, l_s) * e_p
    metal = l_s * e + l_b * e_b + pad
    strength = l_s * e * f + l_b * e_b * np.minimum(f_b, f) + pad * np.minimum(f_p, f)
    pressed = arm * (l_s + d_e / 2) + (d_e / 2 - e_b) * (l_b + e)
    is_nozzle = (e > 0) & (e_b > 0) & (d_e > 2 * e_b) & (r_i > 0) & (e_p >= 0) & (w_p >= 0)
    return inside(is_nozzle, quotient(strength, pressed + metal / 2))
