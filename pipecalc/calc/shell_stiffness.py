"""How far a vessel's shell gives way at a nozzle.

Bending of a nozzle on a cylinder (both directions) and radial force on a sphere have published formulas. For the
radial force on a cylinder there is none here: take the nozzle as rigid in that direction.
"""

import numpy as np

from pipecalc.calc.domain import inside, quotient, square_root
from pipecalc.calc.interpolation import interpolate

LARGEST_BRANCH = 0.5  # d/D
THINNEST_SHELL = 100.0  # D/T
# Roark's Formulas for Stress and Strain, spherical shell under a radial load on a small circle.
_MU = np.array([0.0, 0.1, 0.2, 0.4, 0.6, 0.8, 1.0, 1.2, 1.4])
_A = np.array([0.433, 0.431, 0.425, 0.408, 0.386, 0.362, 0.337, 0.311, 0.286])


def circumferential_flexibility(D: float, T: float, d: float, t: float) -> float:
    """Flexibility factor for the moment that bends a nozzle towards the circumference.

    Formula:
        k = 0.1*(D/T)**1.5*sqrt(T/t*(d/D))*t/T

    Args:
        D: Outside diameter of the shell [m].
        T: Thickness of the shell, with a pad that of both together [m].
        d: Outside diameter of the nozzle [m].
        t: Thickness of the nozzle [m].

    Returns:
        k [-]: the nozzle turns by k M d/(E I) more than on a rigid wall.

    Valid for: d/D <= 0.5 and D/T <= 100. Outside: NaN.

    Source: ASME III NB-3686.5 (moment about the run), from memory.
    """
    k = 0.1 * square_root(quotient(D, T)) ** 3 * square_root(quotient(T, t) * quotient(d, D)) * quotient(t, T)
    return _of_branch(D, T, d, t, k)


def longitudinal_flexibility(D: float, T: float, d: float, t: float) -> float:
    """Flexibility factor for the moment that bends a nozzle along the cylinder.

    Formula:
        k = 0.2*D/T*sqrt(T/t*(d/D))*t/T

    Args:
        D: Outside diameter of the shell [m].
        T: Thickness of the shell, with a pad that of both together [m].
        d: Outside diameter of the nozzle [m].
        t: Thickness of the nozzle [m].

    Returns:
        k [-]: the nozzle turns by k M d/(E I) more than on a rigid wall.

    Valid for: d/D <= 0.5 and D/T <= 100. Outside: NaN.

    Source: ASME III NB-3686.5 (moment in the plane of run and branch), from memory.
    """
    k = 0.2 * quotient(D, T) * square_root(quotient(T, t) * quotient(d, D)) * quotient(t, T)
    return _of_branch(D, T, d, t, k)


def rotation_stiffness(E: float, I: float, k: float, d: float) -> float:
    """Spring of a nozzle against turning.

    Formula:
        K = E*I/(k*d)

    Args:
        E: Modulus of the nozzle [Pa].
        I: Moment of inertia of the nozzle [m⁴].
        k: Flexibility factor [-].
        d: Outside diameter of the nozzle [m].

    Returns:
        Stiffness [N·m/rad].

    Source: ASME III NB-3686.5, from memory.
    """
    return inside((E > 0) & (I > 0), quotient(E * I, k * d))


def sphere_radial_stiffness(E: float, nu: float, R: float, e: float, r: float) -> float:
    """Spring of a sphere against a radial force spread over a small circle.

    The deflection under the load is A F R sqrt(1 - nu²)/(E e²), A falling with the size of the circle.

    Args:
        E: Modulus of the shell [Pa].
        nu: Poisson's ratio [-].
        R: Mean radius of the sphere, or of the head at the nozzle [m].
        e: Thickness [m].
        r: Radius of the loaded circle: outside radius of the nozzle [m].

    Returns:
        Stiffness [N/m]; NaN beyond mu = 1.4, with mu = r (12 (1 - nu²)/(R e)²)^(1/4).

    Source: Young and Budynas, Roark's Formulas for Stress and Strain, table of thin spherical shells under a radial
    load on a small circular area, from memory; without size the deflection is that of E. Reissner, 1946.
    """
    mu = r * square_root(square_root(quotient(12 * (1 - nu**2), (R * e) ** 2)))
    A = interpolate(mu, _MU, _A)
    stiffness = quotient(E * e**2, A * R * square_root(1 - nu**2))
    return inside((r > 0) & (e > 0) & (R > 0), stiffness)


def _of_branch(D: float, T: float, d: float, t: float, k: float) -> float:
    covered = (T > 0) & (t > 0) & (d > 0) & (d <= LARGEST_BRANCH * D) & (D <= THINNEST_SHELL * T)
    return inside(covered, k)
