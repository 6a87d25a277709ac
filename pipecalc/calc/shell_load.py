"""A load on a shell: moved from the flange face, and its parts over what the shell carries there.

Axes R outward, L along the cylinder, C = R x L around it; see ``calc.shell`` for the two moments.
"""

import numpy as np

from pipecalc.calc.domain import inside, quotient, scalar, square_root


def circumferential_moment(ML: float, FC: float, p_n: float) -> float:
    """Circumferential moment where a nozzle meets the shell: the one at its face, and the force around times the arm.

    Formula:
        M_x = ML - p_n*FC

    Args:
        ML: Moment about L at the flange face [N·m].
        FC: Force along C [N].
        p_n: Arm, from the shell to the flange face or to where a support's load acts [m].

    Returns:
        M_x [N·m]; its vector lies along the cylinder.

    Source: statics, R x C = -L.
    """
    return scalar(ML - p_n * np.asarray(FC))


def longitudinal_moment(MC: float, FL: float, p_n: float) -> float:
    """Longitudinal moment where a nozzle meets the shell: the one at its face, and the force along times the arm.

    Formula:
        M_y = MC + p_n*FL

    Args:
        MC: Moment about C at the flange face [N·m].
        FL: Force along L [N].
        p_n: Arm, from the shell to the flange face or to where a support's load acts [m].

    Returns:
        M_y [N·m]; its vector lies across the cylinder.

    Source: statics, R x L = C.
    """
    return scalar(MC + p_n * np.asarray(FL))


def resultant_bending(M_x: float, M_y: float) -> float:
    """Resultant of the two bending moments at the shell.

    Formula:
        M = sqrt(M_x**2 + M_y**2)

    Args:
        M_x: Circumferential moment at the shell [N·m].
        M_y: Longitudinal moment at the shell [N·m].

    Returns:
        M [N·m].

    Source: statics.
    """
    return square_root(np.asarray(M_x) ** 2 + np.asarray(M_y) ** 2)


def nozzle_to_shell(e_b: float, e_c: float) -> float:
    """Thickness of a nozzle over that of the shell it stiffens.

    Formula:
        r = e_b/e_c

    Args:
        e_b: Thickness of the nozzle [m].
        e_c: Thickness of shell and pad together [m].

    Returns:
        r [-].

    Source: EN 13445-3 clause 16.5.4, from memory.
    """
    return quotient(e_b, e_c)


def carrying_thickness(e: float, e_p: float, f: float, f_p: float) -> float:
    """Thickness of shell and pad together; a weaker pad counts by its strength.

    Formula:
        e_c = e + e_p*min(f_p/f, 1)

    Args:
        e: Thickness of the shell without pad [m].
        e_p: Thickness of the pad, 0 for none [m].
        f: Allowable stress of the shell [Pa].
        f_p: Allowable stress of the pad [Pa].

    Returns:
        e_c [m].

    Source: EN 13445-3 clause 16.5.3, from memory.
    """
    return scalar(e + e_p * np.minimum(quotient(f_p, f), 1.0))


def pressure_carried(P_s: float, P_o: float) -> float:
    """Pressure that a shell carries at an opening: no more than away from it.

    Formula:
        P_max = min(P_s, P_o)

    Args:
        P_s: Pressure that the shell carries away from openings [Pa].
        P_o: Pressure that it carries at the opening [Pa].

    Returns:
        P_max [Pa].

    Source: EN 13445-3 clauses 7.4 and 9.5.2, from memory.
    """
    return scalar(np.minimum(P_s, P_o))


def pressure_share(P: float, P_max: float) -> float:
    """Pressure over the pressure carried.

    Formula:
        Phi_P = P/P_max

    Args:
        P: Gauge pressure inside the vessel [Pa].
        P_max: Pressure carried [Pa].

    Returns:
        Phi_P [-].

    Source: EN 13445-3 clauses 16.4.5 and 16.5.6, from memory.
    """
    return quotient(P, P_max)


def force_share(F: float, F_max: float) -> float:
    """Radial force over the force carried.

    Formula:
        Phi_Z = F/F_max

    Args:
        F: Radial force at the shell, outward positive [N].
        F_max: Radial force carried [N].

    Returns:
        Phi_Z [-], with the sign of the force.

    Source: EN 13445-3 clauses 16.4.5 and 16.5.6, from memory.
    """
    return quotient(F, F_max)


def moment_share(M_x: float, M_y: float, MX_max: float, MY_max: float) -> float:
    """Moments over the moments that a cylinder carries, root of squares.

    Formula:
        Phi_B = sqrt((M_x/MX_max)**2 + (M_y/MY_max)**2)

    Args:
        M_x: Circumferential moment at the shell [N·m].
        M_y: Longitudinal moment at the shell [N·m].
        MX_max: Circumferential moment carried [N·m].
        MY_max: Longitudinal moment carried [N·m].

    Returns:
        Phi_B [-].

    Source: EN 13445-3 clause 16.5.6, from memory.
    """
    return square_root(quotient(M_x, MX_max) ** 2 + quotient(M_y, MY_max) ** 2)


def single_moment_share(M: float, M_max: float) -> float:
    """Resultant moment over the moment that a sphere carries.

    Formula:
        Phi_B = M/M_max

    Args:
        M: Resultant bending moment at the shell [N·m], not below zero.
        M_max: Moment carried [N·m].

    Returns:
        Phi_B [-].

    Source: EN 13445-3 clause 16.4.5, from memory.
    """
    return inside(np.asarray(M) >= 0, quotient(M, M_max))
