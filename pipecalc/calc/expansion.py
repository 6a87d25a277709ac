"""Thermal growth, and what happens where it is held back."""

import numpy as np

from pipecalc.calc.domain import inside, quotient


def free_growth(eps: float, L: float) -> float:
    """Length change of an unrestrained length.

    Formula:
        growth = eps*L

    Args:
        eps: Thermal strain between two temperatures [m/m].
        L: Length [m].

    Returns:
        Growth [m], negative for shrinking.

    Source: definition of thermal strain; ASME B31.3 para. 319.3.1 (total expansion from a table).
    """
    return eps * L


def strain_from_coefficient(alpha: float, dT: float) -> float:
    """Thermal strain from a mean coefficient over one temperature difference.

    Formula:
        eps = alpha*dT

    Args:
        alpha: Mean coefficient of expansion between the two temperatures [1/K].
        dT: Temperature difference [K].

    Returns:
        Strain [m/m].

    Valid for: a coefficient stated between exactly these temperatures; between others take the difference of
    two totals.

    Source: definition of the mean coefficient.
    """
    return alpha * dT


def mean_coefficient(eps: float, dT: float) -> float:
    """Mean coefficient of expansion that belongs to a strain.

    Formula:
        alpha = eps/dT

    Args:
        eps: Thermal strain [m/m].
        dT: Temperature difference [K].

    Returns:
        Mean coefficient [1/K]; NaN for no temperature difference.

    Source: definition of the mean coefficient.
    """
    return quotient(np.sign(dT) * eps, np.abs(dT))


def restrained_stress(E: float, eps: float) -> float:
    """Axial stress of a straight pipe whose thermal strain is fully held back.

    Formula:
        S = -E*eps

    Args:
        E: Elastic modulus [Pa].
        eps: Thermal strain [m/m], positive for heating.

    Returns:
        Stress [Pa], negative for compression.

    Source: Hooke's law; Young and Budynas, Roark's Formulas for Stress and Strain, 8th ed., ch. 16
    (temperature stresses).
    """
    return -E * eps


def restrained_thrust(E: float, A_p: float, eps: float) -> float:
    """Force with which a fully held straight pipe pushes on its anchors.

    Formula:
        F = E*A_p*eps

    Args:
        E: Elastic modulus [Pa].
        A_p: Area of metal [m²].
        eps: Thermal strain [m/m], positive for heating.

    Returns:
        Thrust [N], positive when the pipe pushes outwards on both anchors.

    Source: Hooke's law. Buckling between guides is a separate question.
    """
    return inside(A_p >= 0, E * A_p * eps)


def resultant(x: float, y: float, z: float) -> float:
    """Length of a vector.

    Formula:
        r = sqrt(x**2 + y**2 + z**2)

    Args:
        x: Component East.
        y: Component North.
        z: Component Up.

    Returns:
        Length, in the unit of the components.

    Source: geometry.
    """
    length: float = np.sqrt(x**2 + y**2 + z**2)
    return length
