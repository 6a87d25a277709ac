"""Vertical runs as columns: guides that keep them from buckling, and how high a run may stand without any."""

from math import pi

from pipecalc.calc.domain import power, quotient, square_root


def guide_spacing_by_buckling(E: float, I: float, P: float, F_s: float) -> float:
    """Distance of guides at which a compressed pipe keeps a safety factor against buckling between them.

    Formula:
        L = pi*sqrt(E*I/(F_s*P))

    Args:
        E: Elastic modulus at operating temperature [Pa].
        I: Moment of inertia [m⁴].
        P: Largest compression in the pipe between the guides [N].
        F_s: Safety factor, 3 to 4 [-].

    Returns:
        Distance [m]; NaN unless all are above zero.

    Source: Timoshenko and Gere, Theory of Elastic Stability, 2nd ed., 2.1; both ends free to turn, so on the safe side
    for a pipe that runs on past its guides. The safety factor is common practice.
    """
    return pi * square_root(quotient(quotient(E * I, F_s), P))


def standing_height(E: float, I: float, w: float, F_s: float) -> float:
    """Height to which a pipe held at its foot only may stand under its own weight.

    Formula:
        H = (7.837*E*I/(F_s*w))**(1/3)

    Args:
        E: Elastic modulus at operating temperature [Pa].
        I: Moment of inertia [m⁴].
        w: Weight per metre [N/m].
        F_s: Safety factor on the weight [-].

    Returns:
        Height [m]; NaN unless all are above zero.

    Source: Timoshenko and Gere, Theory of Elastic Stability, 2nd ed., 2.12: (w H)cr = 7.837 E I/H².
    """
    return power(quotient(quotient(7.837 * E * I, F_s), w), 1 / 3)
