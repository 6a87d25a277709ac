"""Bending of a cylinder under the line load of a round attachment: clips, trunnions, brackets."""

import numpy as np

from pipecalc.calc.domain import inside, power, quotient, square_root

# Beam on elastic foundation with Poisson's ratio 0.3: 6/(4*1.2854).
LINE_LOAD = 1.17


def circumferential_line_load(F_A: float, M_C: float, r: float) -> float:
    """Line load of a round attachment in the circumferential direction.

    Formula:
        f_1 = 1.5*(F_A/(2*pi*r) + M_C/(pi*r**2))

    Args:
        F_A: Radial force, either sense [N], not below zero.
        M_C: Circumferential moment [N·m], not below zero.
        r: Outside radius of the attachment [m].

    Returns:
        Load per length [N/m].

    Source: M. W. Kellogg Co., Design of Piping Systems, 1956, pipe attachments.
    """
    f_1 = 1.5 * (quotient(F_A, 2 * np.pi * r) + quotient(M_C, np.pi * r**2))
    return inside((F_A >= 0) & (M_C >= 0), f_1)


def longitudinal_line_load(F_A: float, M_L: float, r: float) -> float:
    """Line load of a round attachment in the longitudinal direction.

    Formula:
        f_2 = 1.5*F_A/(2*pi*r) + M_L/(pi*r**2)

    Args:
        F_A: Radial force, either sense [N], not below zero.
        M_L: Longitudinal moment [N·m], not below zero.
        r: Outside radius of the attachment [m].

    Returns:
        Load per length [N/m].

    Source: M. W. Kellogg Co., Design of Piping Systems, 1956, pipe attachments.
    """
    f_2 = 1.5 * quotient(F_A, 2 * np.pi * r) + quotient(M_L, np.pi * r**2)
    return inside((F_A >= 0) & (M_L >= 0), f_2)


def longitudinal_stress(f_2: float, R: float, t: float, P: float) -> float:
    """Longitudinal stress of a cylinder at an attachment: bending by the line load along, and pressure.

    Formula:
        sigma_l = 1.17*f_2*sqrt(R)/t**1.5 + P*R/(2*t)

    Args:
        f_2: Line load in the longitudinal direction [N/m].
        R: Outside radius of the shell [m].
        t: Thickness of shell and pad together [m].
        P: Gauge pressure inside [Pa].

    Returns:
        Stress [Pa].

    Source: M. W. Kellogg Co., Design of Piping Systems, 1956, pipe attachments.
    """
    return line_load_stress(f_2, R, t) + quotient(P * R, 2 * t)


def circumferential_stress(f_1: float, R: float, t: float, P: float) -> float:
    """Circumferential stress of a cylinder at an attachment: bending by the line load around, and pressure.

    Formula:
        sigma_c = 1.17*f_1*sqrt(R)/t**1.5 + P*R/t

    Args:
        f_1: Line load in the circumferential direction [N/m].
        R: Outside radius of the shell [m].
        t: Thickness of shell and pad together [m].
        P: Gauge pressure inside [Pa].

    Returns:
        Stress [Pa].

    Source: M. W. Kellogg Co., Design of Piping Systems, 1956, pipe attachments.
    """
    return line_load_stress(f_1, R, t) + quotient(P * R, t)


def stress_limit(n: float, f: float) -> float:
    """Limit of bending and pressure together at an attachment.

    Formula:
        sigma_a = n*f

    Args:
        n: Factor on the allowable stress, a choice of the project [-].
        f: Allowable stress of the shell [Pa].

    Returns:
        Stress [Pa].

    Source: common practice, no source.
    """
    return inside((n > 0) & (f > 0), n * f)


def line_load_stress(q: float, R: float, t: float) -> float:
    """Bending stress of a cylinder under a line load.

    Formula:
        sigma = 1.17*q*sqrt(R)/t**1.5

    Args:
        q: Load per length [N/m].
        R: Outside radius of the shell [m].
        t: Thickness of shell and pad together [m].

    Returns:
        Stress [Pa].

    Source: M. W. Kellogg Co., Design of Piping Systems, 1956; 1.17 from a beam on elastic foundation.
    """
    return quotient(LINE_LOAD * q * square_root(R), power(t, 1.5))
