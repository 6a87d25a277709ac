"""The code's own test whether a line needs a formal flexibility analysis: ASME B31.3 para. 319.4.1(c).

A line that passes needs none; a line that does not goes to analysis. The test says nothing of the loads on
its terminals.
"""

from dataclasses import dataclass

from pipecalc.calc.domain import inside, quotient

# Printed as 208 000 S_A/E_a in (mm/m)², with D and y in mm, L and U in m.
K_PRINTED_SI = 208_000.0
MM_PER_M_SQUARED = 1e-6  # (mm/m)² as a pure number
# Printed as 30 S_A/E_a in (in/ft)², with D and y in inches, L and U in feet.
K_PRINTED_US = 30.0
IN_PER_FT_SQUARED = 1.0 / 144.0  # (in/ft)² as a pure number
# The two printed constants differ by rounding: 30 (in/ft)² is 208 333 (mm/m)².
K_SI = K_PRINTED_SI * MM_PER_M_SQUARED
K_US = K_PRINTED_US * IN_PER_FT_SQUARED

U_BEND_RATIO = 2.5  # of the warning in 319.4.1
LARGE_INTENSIFICATION = 5.0  # of the warning in 319.4.1
# The warning names near-straight runs and extraneous displacements without a number; these two are our own,
# common practice.
NEAR_STRAIGHT_RATIO = 1.05
LARGE_EXTRANEOUS_SHARE = 0.5


def quick_check_value(D: float, y: float, L: float, U: float) -> float:
    """Left side of the quick check: how much displacement a line must absorb for its spare length.

    Formula:
        v = D*y/(L - U)**2

    Args:
        D: Outside diameter [m].
        y: Resultant of the displacements to be absorbed [m].
        L: Developed length between the anchors [m].
        U: Straight distance between the anchors [m].

    Returns:
        Value [-], that is m·m/m²; 1e-6 of it is 1 (mm/m)². NaN unless L > U.

    Source: ASME B31.3 para. 319.4.1(c), eq. (16).
    """
    return inside(L > U, quotient(D * y, (L - U) ** 2))


def quick_check_limit(S_A: float, E_a: float) -> float:
    """Right side of the quick check, K1 of the SI form.

    Formula:
        K_1 = 208000*1e-6*S_A/E_a

    Args:
        S_A: Allowable displacement stress range [Pa].
        E_a: Elastic modulus at 21 °C [Pa].

    Returns:
        Limit [-], to compare with the value; the printed constant 208 000 (mm/m)² as a pure number is 0.208.

    Source: ASME B31.3 para. 319.4.1(c), eq. (16), K_1 = 208 000 S_A/E_a (mm/m)².
    """
    return quotient(K_SI * S_A, E_a)


def quick_check_limit_us(S_A: float, E_a: float) -> float:
    """Right side of the quick check, K1 of the US form.

    Formula:
        K_1 = 30/144*S_A/E_a

    Args:
        S_A: Allowable displacement stress range [Pa].
        E_a: Elastic modulus at 70 °F [Pa].

    Returns:
        Limit [-], 0.16 % above that of the SI form by rounding of the printed constants.

    Source: ASME B31.3 para. 319.4.1(c), eq. (16), K_1 = 30 S_A/E_a (in/ft)².
    """
    return quotient(K_US * S_A, E_a)


@dataclass(frozen=True, slots=True)
class QuickCheckLine:
    """What decides whether the quick check may be used on a line.

    Attributes:
        sizes: Number of different pipe sections between the anchors.
        anchors: Number of points of fixation.
        restraints_between: Number of restraints between the anchors.
        developed_length: Length L along the line [m].
        anchor_distance: Straight distance U [m].
        unequal_u_bend: The line is a U bend with legs of unequal length.
        largest_intensification: Largest stress intensification factor on the line [-].
        extraneous_share: Part of the displacement resultant that does not lie along the line between the
            anchors [-].
        branches: Number of branches.
    """

    sizes: int
    anchors: int
    restraints_between: int
    developed_length: float
    anchor_distance: float
    unequal_u_bend: bool
    largest_intensification: float
    extraneous_share: float
    branches: int = 0


def quick_check_obstacles(line: QuickCheckLine) -> tuple[str, ...]:
    """Why the quick check may not be used on a line; empty where it may.

    Args:
        line: The facts that decide.

    Returns:
        Reasons in words, in the order of the paragraph.

    Source: ASME B31.3 para. 319.4.1(c) for the conditions and, from memory, its warning; the near-straight
    ratio and the share of extraneous displacement are common practice, no source.
    """
    ratio = quotient(line.developed_length, line.anchor_distance)
    reasons = (
        (line.sizes != 1, "more than one pipe size or wall"),
        (line.anchors != 2, "not exactly two points of fixation"),
        (line.restraints_between > 0, "restraints between the anchors"),
        (line.branches > 0, "branches"),
        (not line.developed_length > line.anchor_distance, "no spare length: L is not above U"),
        (ratio < NEAR_STRAIGHT_RATIO, f"nearly straight run (L/U below {NEAR_STRAIGHT_RATIO:g})"),
        (
            line.unequal_u_bend and not ratio <= U_BEND_RATIO,
            f"U bend with unequal legs and L/U above {U_BEND_RATIO:g}",
        ),
        (
            not line.largest_intensification < LARGE_INTENSIFICATION,
            f"stress intensification factor {LARGE_INTENSIFICATION:g} or above, or unknown",
        ),
        (
            not line.extraneous_share <= LARGE_EXTRANEOUS_SHARE,
            "a large part of the displacement is not along the line between the anchors",
        ),
    )
    return tuple(text for holds, text in reasons if holds)
