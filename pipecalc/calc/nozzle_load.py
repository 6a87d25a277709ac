"""A nozzle's load against allowables: resultants, single ratios, and ratios taken together.

Which of them holds is the vendor's word. A component without an allowable enters the combined forms with an infinite
one; whether that may pass is decided by the caller.
"""

from math import sqrt

from pipecalc.calc.domain import quotient


def resultant_force(FR: float, FL: float, FC: float) -> float:
    """Resultant of the three forces.

    Formula:
        F = sqrt(FR**2 + FL**2 + FC**2)

    Args:
        FR: Force along R, outward [N].
        FL: Force along L [N].
        FC: Force along C [N].

    Returns:
        F [N].

    Source: statics.
    """
    return sqrt(FR**2 + FL**2 + FC**2)


def resultant_moment(MR: float, ML: float, MC: float) -> float:
    """Resultant of the three moments.

    Formula:
        M = sqrt(MR**2 + ML**2 + MC**2)

    Args:
        MR: Moment about R [N·m].
        ML: Moment about L [N·m].
        MC: Moment about C [N·m].

    Returns:
        M [N·m].

    Source: statics.
    """
    return sqrt(MR**2 + ML**2 + MC**2)


def force_ratio(F: float, F_a: float) -> float:
    """A force over its allowable.

    Formula:
        r = abs(F)/F_a

    Args:
        F: Force, one component or the resultant [N].
        F_a: Its allowable, with the factor on allowables [N].

    Returns:
        Ratio [-].

    Source: rule of the vendor's document or of the standard.
    """
    return quotient(abs(F), F_a)


def moment_ratio(M: float, M_a: float) -> float:
    """A moment over its allowable.

    Formula:
        r = abs(M)/M_a

    Args:
        M: Moment, one component or the resultant [N·m].
        M_a: Its allowable, with the factor on allowables [N·m].

    Returns:
        Ratio [-].

    Source: rule of the vendor's document or of the standard.
    """
    return quotient(abs(M), M_a)


def sum_of_two(F: float, F_a: float, M: float, M_a: float) -> float:
    """Ratios of the two resultants added up.

    Formula:
        r = F/F_a + M/M_a

    Args:
        F: Resultant force [N].
        F_a: Its allowable, with the factor on allowables [N].
        M: Resultant moment [N·m].
        M_a: Its allowable, with the factor on allowables [N·m].

    Returns:
        Sum of ratios [-].

    Source: rule of the vendor's document.
    """
    return quotient(F, F_a) + quotient(M, M_a)


def root_of_two(F: float, F_a: float, M: float, M_a: float) -> float:
    """Square root of the squared ratios of the two resultants.

    Formula:
        r = sqrt((F/F_a)**2 + (M/M_a)**2)

    Args:
        F: Resultant force [N].
        F_a: Its allowable, with the factor on allowables [N].
        M: Resultant moment [N·m].
        M_a: Its allowable, with the factor on allowables [N·m].

    Returns:
        Root of the squared ratios [-].

    Source: rule of the vendor's document.
    """
    return sqrt(quotient(F, F_a) ** 2 + quotient(M, M_a) ** 2)


def sum_of_six(
    FR: float,
    FL: float,
    FC: float,
    MR: float,
    ML: float,
    MC: float,
    FR_a: float,
    FL_a: float,
    FC_a: float,
    MR_a: float,
    ML_a: float,
    MC_a: float,
) -> float:
    """Ratios of all six components added up.

    Formula:
        r = abs(FR)/FR_a + abs(FL)/FL_a + abs(FC)/FC_a + abs(MR)/MR_a + abs(ML)/ML_a + abs(MC)/MC_a

    Args:
        FR: Force along R [N].
        FL: Force along L [N].
        FC: Force along C [N].
        MR: Moment about R [N·m].
        ML: Moment about L [N·m].
        MC: Moment about C [N·m].
        FR_a: Allowable of FR, with the factor on allowables [N].
        FL_a: Allowable of FL, likewise [N].
        FC_a: Allowable of FC, likewise [N].
        MR_a: Allowable of MR, likewise [N·m].
        ML_a: Allowable of ML, likewise [N·m].
        MC_a: Allowable of MC, likewise [N·m].

    Returns:
        Sum of ratios [-].

    Source: rule of the vendor's document.
    """
    loads, allowed = (FR, FL, FC, MR, ML, MC), (FR_a, FL_a, FC_a, MR_a, ML_a, MC_a)
    return sum(quotient(abs(a), b) for a, b in zip(loads, allowed, strict=True))


def root_of_six(
    FR: float,
    FL: float,
    FC: float,
    MR: float,
    ML: float,
    MC: float,
    FR_a: float,
    FL_a: float,
    FC_a: float,
    MR_a: float,
    ML_a: float,
    MC_a: float,
) -> float:
    """Square root of the squared ratios of all six components.

    Formula:
        r = sqrt((FR/FR_a)**2 + (FL/FL_a)**2 + (FC/FC_a)**2 + (MR/MR_a)**2 + (ML/ML_a)**2 + (MC/MC_a)**2)

    Args:
        FR: Force along R [N].
        FL: Force along L [N].
        FC: Force along C [N].
        MR: Moment about R [N·m].
        ML: Moment about L [N·m].
        MC: Moment about C [N·m].
        FR_a: Allowable of FR, with the factor on allowables [N].
        FL_a: Allowable of FL, likewise [N].
        FC_a: Allowable of FC, likewise [N].
        MR_a: Allowable of MR, likewise [N·m].
        ML_a: Allowable of ML, likewise [N·m].
        MC_a: Allowable of MC, likewise [N·m].

    Returns:
        Root of the squared ratios [-].

    Source: rule of the vendor's document.
    """
    loads, allowed = (FR, FL, FC, MR, ML, MC), (FR_a, FL_a, FC_a, MR_a, ML_a, MC_a)
    return sqrt(sum(quotient(a, b) ** 2 for a, b in zip(loads, allowed, strict=True)))
