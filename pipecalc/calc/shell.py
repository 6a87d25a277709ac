"""Local loads on cylindrical and spherical shells at a nozzle: EN 13445-3 clause 16.

Radial force is positive outward. The circumferential moment bends the nozzle towards the shell's circumference: its
vector lies along the cylinder's axis. The longitudinal moment bends it along the cylinder: its vector lies across.
All coefficients of clause 16 are from memory: verify against the edition of record.
"""

import numpy as np

from pipecalc.calc.domain import inside, quotient, scalar, square_root

LAMBDA_HIGHEST = 10.0


def lambda_cylinder(d: float, D: float, e_c: float) -> float:
    """Size of a nozzle against the shell's own length.

    Formula:
        lambda_C = d/sqrt(D*e_c)

    Args:
        d: Mean diameter of the nozzle, or outside diameter of the pad [m].
        D: Mean diameter of the shell [m].
        e_c: Thickness of shell and pad together [m].

    Returns:
        lambda_C [-].

    Source: EN 13445-3 clause 16.5.3, from memory.
    """
    return quotient(d, square_root(D * e_c))


def cylinder_force_factor(lambda_C: float) -> float:
    """Factor C1 of the radial force on a cylinder.

    Formula:
        C_1 = max(0.60072181 + 0.95196257*lambda_C + 0.0051957881*lambda_C**2 - 0.001406381*lambda_C**3, 1.81)

    Args:
        lambda_C: Size of the nozzle [-].

    Returns:
        C1 [-]; NaN beyond lambda_C = 10.

    Source: EN 13445-3 clause 16.5.4, from memory.
    """
    x = lambda_C
    C_1 = 0.60072181 + 0.95196257 * x + 0.0051957881 * x**2 - 0.001406381 * x**3
    return _within(x, np.maximum(C_1, 1.81))


def circumferential_moment_factor(lambda_C: float) -> float:
    """Factor C2 of the circumferential moment on a cylinder.

    Formula:
        p = 4.526315 + 0.064021889*lambda_C + 0.15887638*lambda_C**2 - 0.021419298*lambda_C**3
        C_2 = max(p + 0.0010350407*lambda_C**4, 4.9)

    Args:
        lambda_C: Size of the nozzle [-].

    Returns:
        C2 [-]; NaN beyond lambda_C = 10.

    Source: EN 13445-3 clause 16.5.4, from memory.
    """
    x = lambda_C
    C_2 = 4.526315 + 0.064021889 * x + 0.15887638 * x**2 - 0.021419298 * x**3 + 0.0010350407 * x**4
    return _within(x, np.maximum(C_2, 4.9))


def longitudinal_moment_factor(lambda_C: float, r: float) -> float:
    """Factor C3 of the longitudinal moment on a cylinder, linear between a thin and a thick nozzle.

    Formula:
        thin = 4.8517511 + 0.0251012*lambda_C + 0.7428624*lambda_C**2 - 0.0153153*lambda_C**3
        p = 4.8588639 + 2.1870887*lambda_C + 1.4567053*lambda_C**2 - 0.3316430*lambda_C**3
        thick = p + 0.0253850*lambda_C**4
        share = (min(max(r, 0.2), 0.5) - 0.2)/0.3
        C_3 = max(thin + share*(thick - thin), 4.9)

    Args:
        lambda_C: Size of the nozzle [-].
        r: Thickness of the nozzle over that of shell and pad [-]; thin up to 0.2, thick from 0.5.

    Returns:
        C3 [-]; NaN beyond lambda_C = 10 and for r not above zero.

    Source: EN 13445-3 clause 16.5.4, from memory.
    """
    x = lambda_C
    thin = 4.8517511 + 0.0251012 * x + 0.7428624 * x**2 - 0.0153153 * x**3
    thick = 4.8588639 + 2.1870887 * x + 1.4567053 * x**2 - 0.3316430 * x**3 + 0.0253850 * x**4
    share = (np.minimum(np.maximum(r, 0.2), 0.5) - 0.2) / 0.3
    return inside(r > 0, _within(x, np.maximum(thin + share * (thick - thin), 4.9)))


def cylinder_force_limit(f: float, e_c: float, C_1: float) -> float:
    """Radial force that a cylinder carries at a nozzle.

    Formula:
        F_max = f*e_c**2*C_1

    Args:
        f: Allowable stress of the shell [Pa].
        e_c: Thickness of shell and pad together [m].
        C_1: Factor of the force [-].

    Returns:
        Force [N].

    Source: EN 13445-3 clause 16.5.4, from memory.
    """
    return inside((f > 0) & (e_c > 0), f * e_c**2 * C_1)


def circumferential_moment_limit(f: float, e_c: float, d: float, C_2: float) -> float:
    """Circumferential moment that a cylinder carries at a nozzle.

    Formula:
        MX_max = f*e_c**2*d/4*C_2

    Args:
        f: Allowable stress of the shell [Pa].
        e_c: Thickness of shell and pad together [m].
        d: Mean diameter of the nozzle, or outside diameter of the pad [m].
        C_2: Factor of the circumferential moment [-].

    Returns:
        Moment [N·m].

    Source: EN 13445-3 clause 16.5.4, from memory.
    """
    return _moment_limit(f, e_c, d, C_2)


def longitudinal_moment_limit(f: float, e_c: float, d: float, C_3: float) -> float:
    """Longitudinal moment that a cylinder carries at a nozzle.

    Formula:
        MY_max = f*e_c**2*d/4*C_3

    Args:
        f: Allowable stress of the shell [Pa].
        e_c: Thickness of shell and pad together [m].
        d: Mean diameter of the nozzle, or outside diameter of the pad [m].
        C_3: Factor of the longitudinal moment [-].

    Returns:
        Moment [N·m].

    Source: EN 13445-3 clause 16.5.4, from memory.
    """
    return _moment_limit(f, e_c, d, C_3)


def cylinder_interaction(Phi_P: float, Phi_Z: float, Phi_B: float, C_4: float) -> float:
    """Pressure, radial force and moments together on a cylinder; accepted up to 1.

    Room to expand never excuses a pressure above the one carried: the ratio is not below Phi_P.

    Formula:
        axial = max(abs(Phi_P/C_4 + Phi_Z), abs(Phi_Z), abs(Phi_P/C_4 - 0.2*Phi_Z))
        ratio = max(sqrt(axial**2 + Phi_B**2), Phi_P)

    Args:
        Phi_P: Pressure over the pressure carried [-].
        Phi_Z: Radial force over the force carried, outward positive [-].
        Phi_B: Moments over the moments carried, root of squares [-].
        C_4: 1.1 where the piping has room to expand, 1.0 for a rigid attachment [-].

    Returns:
        Ratio [-].

    Source: EN 13445-3 clause 16.5.6, from memory.
    """
    p = quotient(Phi_P, C_4)
    axial = np.maximum(np.maximum(np.abs(p + Phi_Z), np.abs(Phi_Z)), np.abs(p - 0.2 * Phi_Z))
    return scalar(np.maximum(square_root(axial**2 + Phi_B**2), Phi_P))


def sphere_interaction(Phi_P: float, Phi_Z: float, Phi_B: float) -> float:
    """Pressure, radial force and moment together on a sphere, added up; accepted up to 1.

    Formula:
        ratio = max(abs(Phi_P), abs(Phi_Z), abs(Phi_P + Phi_Z)) + abs(Phi_B)

    Args:
        Phi_P: Pressure over the pressure carried [-].
        Phi_Z: Radial force over the force carried, outward positive [-].
        Phi_B: Moment over the moment carried [-].

    Returns:
        Ratio [-].

    Source: EN 13445-3 clause 16.4, linear form, from memory; never below the root form of the cylinder.
    """
    axial = np.maximum(np.maximum(np.abs(Phi_P), np.abs(Phi_Z)), np.abs(Phi_P + Phi_Z))
    return scalar(axial + np.abs(Phi_B))


def lambda_sphere(d: float, R: float, e_c: float) -> float:
    """Size of a nozzle against the sphere's own length.

    Formula:
        lambda_S = d/sqrt(R*e_c)

    Args:
        d: Mean diameter of the nozzle, or outside diameter of the pad [m].
        R: Mean radius of the sphere, or of the head at the nozzle [m].
        e_c: Thickness of shell and pad together [m].

    Returns:
        lambda_S [-].

    Source: EN 13445-3 clause 16.4.3, from memory.
    """
    return quotient(d, square_root(R * e_c))


def nozzle_stiffening(f_b: float, e_b: float, f: float, e_c: float, d: float) -> float:
    """How far a nozzle stiffens the sphere around it.

    Formula:
        kappa = min(2*f_b*e_b/(f*e_c)*sqrt(e_b/d), 1)

    Args:
        f_b: Allowable stress of the nozzle [Pa].
        e_b: Thickness of the nozzle [m].
        f: Allowable stress of the shell [Pa].
        e_c: Thickness of shell and pad together [m].
        d: Mean diameter of the nozzle [m].

    Returns:
        kappa [-], between 0 and 1.

    Source: EN 13445-3 clause 16.4.5, from memory.
    """
    return inside(e_b > 0, np.minimum(quotient(2 * f_b * e_b, f * e_c) * square_root(quotient(e_b, d)), 1.0))


def sphere_force_limit(f: float, e_c: float, lambda_S: float, kappa: float) -> float:
    """Radial force that a sphere carries at a nozzle.

    Formula:
        F_max = f*e_c**2*(1.82 + 2.4*sqrt(1 + kappa)*lambda_S + 0.91*kappa*lambda_S**2)

    Args:
        f: Allowable stress of the shell [Pa].
        e_c: Thickness of shell and pad together [m].
        lambda_S: Size of the nozzle [-].
        kappa: Stiffening by the nozzle [-].

    Returns:
        Force [N]; NaN beyond lambda_S = 10.

    Source: EN 13445-3 clause 16.4.5, from memory.
    """
    F_max = f * e_c**2 * (1.82 + 2.4 * square_root(1 + kappa) * lambda_S + 0.91 * kappa * lambda_S**2)
    return inside((f > 0) & (e_c > 0), _within(lambda_S, F_max))


def sphere_moment_limit(f: float, e_c: float, d: float, lambda_S: float, kappa: float) -> float:
    """Bending moment that a sphere carries at a nozzle.

    Formula:
        M_max = f*e_c**2*d/4*(4.9 + 2.0*sqrt(1 + kappa)*lambda_S + 0.91*kappa*lambda_S**2)

    Args:
        f: Allowable stress of the shell [Pa].
        e_c: Thickness of shell and pad together [m].
        d: Mean diameter of the nozzle, or outside diameter of the pad [m].
        lambda_S: Size of the nozzle [-].
        kappa: Stiffening by the nozzle [-].

    Returns:
        Moment [N·m]; NaN beyond lambda_S = 10.

    Source: EN 13445-3 clause 16.4.5, from memory.
    """
    M_max = f * e_c**2 * d / 4 * (4.9 + 2.0 * square_root(1 + kappa) * lambda_S + 0.91 * kappa * lambda_S**2)
    return inside((f > 0) & (e_c > 0) & (d > 0), _within(lambda_S, M_max))


def nozzle_wall_stress(P: float, F: float, M: float, d: float, e_b: float) -> float:
    """Longitudinal stress in a nozzle's wall, the worse of with and without pressure.

    Formula:
        bending = 4*M/(pi*d**2*e_b)
        axial = F/(pi*d*e_b)
        sigma = bending + max(abs(P*d/(4*e_b) + axial), abs(axial))

    Args:
        P: Gauge pressure [Pa].
        F: Radial force, outward positive [N].
        M: Resultant bending moment [N·m].
        d: Mean diameter of the nozzle [m].
        e_b: Thickness of the nozzle [m].

    Returns:
        Stress [Pa].

    Source: EN 13445-3 clause 16.5.7, from memory; statics of a thin tube.
    """
    bending, axial = quotient(4 * M, np.pi * d**2 * e_b), quotient(F, np.pi * d * e_b)
    return scalar(bending + np.maximum(np.abs(quotient(P * d, 4 * e_b) + axial), np.abs(axial)))


def _moment_limit(f: float, e_c: float, d: float, C: float) -> float:
    return inside((f > 0) & (e_c > 0) & (d > 0), f * e_c**2 * d / 4 * C)


def _within(size: float, value: float) -> float:
    return inside((size > 0) & (size <= LAMBDA_HIGHEST), value)
