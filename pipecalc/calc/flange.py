"""Flanged joints under force and moment: equivalent pressure, moment factor, bolting rule.

Torsion and shear are not part of these methods.
"""

import numpy as np

from pipecalc.calc.domain import inside, quotient, scalar

# Printed in psi: 3125 psi for static moments of a flange of 36 000 psi yield strength.
PSI = 6894.757293168361  # Pa
STATIC_BOLT_STRESS = 3125.0 * PSI
FULL_YIELD = 36_000.0 * PSI
# Basic width up to which the effective width is the basic one, and the constant beyond, both for metres.
FULL_WIDTH = 0.00635
WIDTH_CONSTANT = 0.5 * 0.0254**0.5


def equivalent_pressure(M: float, F: float, G: float) -> float:
    """Pressure that loads the gasket at its worst point as a bending moment and a tension do.

    Formula:
        P_e = 16*M/(pi*G**3) + 4*max(F, 0)/(pi*G**2)

    Args:
        M: Resultant bending moment at the joint [N·m], not below zero.
        F: Axial force [N], tension positive; compression gives no relief.
        G: Diameter of the gasket's reaction [m].

    Returns:
        Equivalent pressure [Pa], to be added to the pressure inside.

    Valid for: G above zero, M not below zero. Outside: NaN.

    Source: M. W. Kellogg Co., Design of Piping Systems, 1956: the line load M/(pi G²/4) of a moment at the extreme
    fibre equals that of a pressure, P G/4.
    """
    P_e = quotient(16 * M, np.pi * G**3) + quotient(4 * np.maximum(F, 0.0), np.pi * G**2)
    return inside(M >= 0, P_e)


def total_pressure(P: float, M: float, F: float, G: float) -> float:
    """Pressure inside and equivalent pressure together.

    Formula:
        P_eq = P + 16*M/(pi*G**3) + 4*max(F, 0)/(pi*G**2)

    Args:
        P: Gauge pressure [Pa].
        M: Resultant bending moment [N·m].
        F: Axial force [N], tension positive.
        G: Diameter of the gasket's reaction [m].

    Returns:
        Pressure to hold against the flange's rating [Pa].

    Source: M. W. Kellogg Co., Design of Piping Systems, 1956.
    """
    return P + equivalent_pressure(M, F, G)


def moment_factor_limit(P_R: float, F_M: float) -> float:
    """Pressure that a welding neck flange takes when part of it comes from external loads.

    Formula:
        P_limit = (1 + F_M)*P_R

    Args:
        P_R: Rating at design temperature [Pa].
        F_M: Moment factor [-].

    Returns:
        Limit of the total pressure [Pa].

    Valid for: standard welding neck flanges, design pressure not above the rating, bolts assembled to a procedure.

    Source: ASME VIII-1 UG-44(b), the rule of Code Case 2901: 16 M + 4 F G <= pi G³ ((P_R - P_D) + F_M P_R), rearranged.
    """
    return inside((P_R > 0) & (F_M >= 0), (1 + F_M) * P_R)


def joint_moment(M: float, M_t: float) -> float:
    """Moment that counts at a joint by the bolting rule: the larger of bending and torsion.

    Formula:
        M_j = max(M, M_t)

    Args:
        M: Resultant bending moment [N·m].
        M_t: Torsion, its size [N·m].

    Returns:
        M_j [N·m].

    Source: ASME III NC-3658.3 (later NCD-3658.3), levels A and B, from memory.
    """
    return scalar(np.maximum(M, M_t))


def bolting_moment(S_y: float, C: float, A_b: float, S_0: float, S_36: float) -> float:
    """Moment that a standard flange with high-strength bolts takes from static loads.

    Formula:
        M_fs = S_0*min(S_y/S_36, 1)*C*A_b

    Args:
        S_y: Yield strength of the flange at temperature [Pa].
        C: Bolt circle [m].
        A_b: Root area of all bolts [m²].
        S_0: Stress that the rule sets for static loads, 3125 psi [Pa].
        S_36: Yield strength from which the rule counts in full, 36 000 psi [Pa].

    Returns:
        Moment [N·m]; to hold against the larger of bending and torsion.

    Valid for: ASME B16.5 flanges, bolts of at least 138 MPa allowable stress at 38 °C. Outside zero or below: NaN.

    Source: ASME III NC-3658.3 (later NCD-3658.3), levels A and B, from memory.
    """
    M_fs = S_0 * np.minimum(quotient(S_y, S_36), 1.0) * C * A_b
    return inside((S_y > 0) & (C > 0) & (A_b > 0), M_fs)


def bolt_root_area(d: float, p: float) -> float:
    """Area at the root of a bolt's inch thread.

    Formula:
        A = pi*(d - 1.299038*p)**2/4

    Args:
        d: Nominal size [m].
        p: Pitch [m].

    Returns:
        Root area of one bolt [m²].

    Source: geometry of the 60° inch thread (ASME B1.1); gives the root areas printed in ASME and TEMA bolting tables.
    """
    root = d - 1.299038 * p
    return inside((p > 0) & (root > 0), np.pi * root**2 / 4)


def effective_width(b_0: float) -> float:
    """Effective width of a flat gasket.

    It is the basic width up to 6.35 mm (1/4 in), and half the square root of the basic width in inches beyond.

    Args:
        b_0: Basic width, half the contact width [m].

    Returns:
        Effective width b [m]; NaN unless the basic width is above zero.

    Source: ASME VIII-1 App. 2, Table 2-5.2.
    """
    beyond = WIDTH_CONSTANT * np.sqrt(np.maximum(b_0, 0.0))
    return inside(b_0 > 0, np.where(b_0 <= FULL_WIDTH, b_0, beyond))


def gasket_reaction_diameter(R: float, D: float) -> float:
    """Diameter at which a flat ring gasket on a raised face reacts.

    The ring reaches from the pipe's outside (inside diameter of the ring) to the edge of the raised face. G is the
    raised face less twice the effective width.

    Args:
        R: Diameter of the raised face [m].
        D: Outside diameter of the pipe [m].

    Returns:
        G [m]; NaN where the raised face is not larger than the pipe.

    Source: ASME VIII-1 App. 2, 2-3 (definition of G) and Table 2-5.2; ring of ASME B16.21.
    """
    return R - 2 * effective_width((R - D) / 4)
