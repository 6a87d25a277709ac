"""Loads of a machine's connections against the rules of its standard: NEMA SM 23, API 617, API 610 annex F.

East, North, Up for forces and moments that several nozzles add up to; n is the lowest factor on allowables.
"""

from math import nan, sqrt

from pipecalc.calc.domain import quotient

RESULTANT = 1.5  # times Table 5, resultants
AXIS = 2.0  # times the two nozzles' Table 5, moment about the horizontal axis across the shaft


def reduced_size(D: float, D_full: float) -> float:
    """Size that a connection counts with: its own up to a full size, less than its own beyond.

    The printed forms (16 + D)/3 beyond 8 in and (18 + D)/3 beyond 9 in are this one.

    Formula:
        D_e = min(D, (2*D_full + D)/3)

    Args:
        D: Nominal size, or equivalent size of several openings [m].
        D_full: Up to this size it counts in full [m].

    Returns:
        Reduced size [m]; NaN unless the size is above zero.

    Source: NEMA SM 23-1991 (R2002), part 8; API 617, annex on nozzle loads.
    """
    return min(D, (2 * D_full + D) / 3) if D > 0 else nan


def total_force(FE: float, FN: float, FU: float) -> float:
    """Size of a force.

    Formula:
        F = sqrt(FE**2 + FN**2 + FU**2)

    Args:
        FE: Force to the East, of all nozzles that count together [N].
        FN: Force to the North, likewise [N].
        FU: Force Up, likewise [N].

    Returns:
        F [N].

    Source: statics.
    """
    return sqrt(FE**2 + FN**2 + FU**2)


def total_moment(ME: float, MN: float, MU: float) -> float:
    """Size of a moment.

    Formula:
        M = sqrt(ME**2 + MN**2 + MU**2)

    Args:
        ME: Moment about East, of all nozzles that count together, with the arms of their forces [N·m].
        MN: Moment about North, likewise [N·m].
        MU: Moment about Up, likewise [N·m].

    Returns:
        M [N·m].

    Source: statics.
    """
    return sqrt(ME**2 + MN**2 + MU**2)


def moment_with_force(F: float, M: float, a: float) -> float:
    """Force and moment of connections together, as a moment.

    Formula:
        W = a*F + M

    Args:
        F: Resultant force [N].
        M: Resultant moment [N·m].
        a: Lever of the force that the standard sets [N·m/N].

    Returns:
        W [N·m].

    Source: NEMA SM 23-1991 (R2002), part 8: 3 F + M for one connection, 2 F + M for all, in feet and pounds.
    """
    return a * F + M


def force_with_moment(F: float, M: float, b: float) -> float:
    """Force and moment of connections together, as a force.

    Formula:
        W = F + b*M

    Args:
        F: Resultant force [N].
        M: Resultant moment [N·m].
        b: Force per moment that the standard sets [1/m].

    Returns:
        W [N].

    Source: API 617, annex on nozzle loads: F + 1.09 M for one connection, F + 1.64 M for all.
    """
    return F + b * M


def moment_by_size(n: float, c: float, D_e: float) -> float:
    """Limit of a moment by the size that counts.

    Formula:
        W_a = n*c*D_e

    Args:
        n: Factor on allowables [-].
        c: Limit per size that the standard sets [N·m/m].
        D_e: Reduced size [m].

    Returns:
        W_a [N·m].

    Source: NEMA SM 23-1991 (R2002), part 8; API 617, annex on nozzle loads.
    """
    return n * c * D_e


def force_by_size(n: float, c: float, D_e: float) -> float:
    """Limit of a force by the size that counts.

    Formula:
        W_a = n*c*D_e

    Args:
        n: Factor on allowables [-].
        c: Limit per size that the standard sets [N/m].
        D_e: Reduced size [m].

    Returns:
        W_a [N].

    Source: NEMA SM 23-1991 (R2002), part 8; API 617, annex on nozzle loads.
    """
    return n * c * D_e


def force_over_limit(F: float, W_a: float) -> float:
    """A component of the combined force over its limit.

    Formula:
        r = abs(F)/W_a

    Args:
        F: Component of the combined force [N].
        W_a: Its limit [N].

    Returns:
        Ratio [-].

    Source: NEMA SM 23-1991 (R2002), part 8; API 617, annex on nozzle loads.
    """
    return quotient(abs(F), W_a)


def moment_over_limit(M: float, W_a: float) -> float:
    """A component of the combined moment over its limit.

    Formula:
        r = abs(M)/W_a

    Args:
        M: Component of the combined moment [N·m].
        W_a: Its limit [N·m].

    Returns:
        Ratio [-].

    Source: NEMA SM 23-1991 (R2002), part 8; API 617 and API 610, annexes on nozzle loads.
    """
    return quotient(abs(M), W_a)


def interaction(F: float, M: float, F_T: float, M_T: float) -> float:
    """Sum of the two resultant ratios of one nozzle; accepted up to 2.

    Formula:
        s = F/(1.5*F_T) + M/(1.5*M_T)

    Args:
        F: Resultant force [N].
        M: Resultant moment [N·m].
        F_T: Resultant force of Table 5, with the factor on allowables [N].
        M_T: Resultant moment of Table 5, likewise [N·m].

    Returns:
        Sum [-]; NaN without limits.

    Source: API 610 / ISO 13709 annex F, eq. (F.1) and (F.2), from memory.
    """
    return quotient(F, RESULTANT * F_T) + quotient(M, RESULTANT * M_T)


def two_forces(n: float, F_1: float, F_2: float) -> float:
    """Limit of the resultant force of suction and discharge together.

    Formula:
        W_a = n*1.5*(F_1 + F_2)

    Args:
        n: Factor on allowables [-].
        F_1: Resultant force of Table 5 for the one nozzle [N].
        F_2: Resultant force of Table 5 for the other nozzle [N].

    Returns:
        W_a [N].

    Source: API 610 / ISO 13709 annex F, eq. (F.3), from memory.
    """
    return n * RESULTANT * (F_1 + F_2)


def two_moments(n: float, M_1: float, M_2: float) -> float:
    """Limit of the resultant moment of suction and discharge together.

    Formula:
        W_a = n*1.5*(M_1 + M_2)

    Args:
        n: Factor on allowables [-].
        M_1: Resultant moment of Table 5 for the one nozzle [N·m].
        M_2: Resultant moment of Table 5 for the other nozzle [N·m].

    Returns:
        W_a [N·m].

    Source: API 610 / ISO 13709 annex F, eq. (F.5), from memory.
    """
    return n * RESULTANT * (M_1 + M_2)


def two_axis_moments(n: float, MY_1: float, MY_2: float) -> float:
    """Limit of the moment of suction and discharge about the horizontal axis across the shaft.

    Formula:
        W_a = n*2*(MY_1 + MY_2)

    Args:
        n: Factor on allowables [-].
        MY_1: Moment MY of Table 5 for the one nozzle [N·m].
        MY_2: Moment MY of Table 5 for the other nozzle [N·m].

    Returns:
        W_a [N·m].

    Source: API 610 / ISO 13709 annex F, eq. (F.4), from memory.
    """
    return n * AXIS * (MY_1 + MY_2)
