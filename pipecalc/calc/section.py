"""Section properties of a round pipe from outside diameter D and wall T, both in m.

A wall of zero or below, or half the diameter or more, is no pipe: NaN.
Source: geometry of the annulus (Young and Budynas, Roark's Formulas for Stress and Strain, 8th ed., Table
A.1, hollow circle).
"""

from dataclasses import dataclass
from math import pi

from pipecalc.calc.domain import inside


def bore(D: float, T: float) -> float:
    """Inside diameter.

    Formula:
        d = D - 2*T

    Args:
        D: Outside diameter [m].
        T: Wall thickness [m].

    Returns:
        Inside diameter [m].
    """
    return _pipe(D, T, D - 2 * T)


def mean_radius(D: float, T: float) -> float:
    """Radius of the middle of the wall, r2 of the flexibility factors.

    Formula:
        r2 = (D - T)/2

    Args:
        D: Outside diameter [m].
        T: Wall thickness [m].

    Returns:
        Mean radius [m].
    """
    return _pipe(D, T, (D - T) / 2)


def metal_area(D: float, T: float) -> float:
    """Area of metal.

    Formula:
        A_p = pi*T*(D - T)

    Args:
        D: Outside diameter [m].
        T: Wall thickness [m].

    Returns:
        Area [m²].
    """
    return _pipe(D, T, pi * T * (D - T))


def bore_area(D: float, T: float) -> float:
    """Flow area.

    Formula:
        A_i = pi*(D - 2*T)**2/4

    Args:
        D: Outside diameter [m].
        T: Wall thickness [m].

    Returns:
        Area [m²].
    """
    return _pipe(D, T, pi * (D - 2 * T) ** 2 / 4)


def moment_of_inertia(D: float, T: float) -> float:
    """Second moment of area about a diameter.

    Formula:
        I = pi*(D**4 - (D - 2*T)**4)/64

    Args:
        D: Outside diameter [m].
        T: Wall thickness [m].

    Returns:
        Moment of inertia [m⁴].
    """
    return _pipe(D, T, pi * (D**4 - (D - 2 * T) ** 4) / 64)


def polar_moment(D: float, T: float) -> float:
    """Torsion constant; for a round section the polar second moment of area.

    Formula:
        J = pi*(D**4 - (D - 2*T)**4)/32

    Args:
        D: Outside diameter [m].
        T: Wall thickness [m].

    Returns:
        Torsion constant [m⁴].
    """
    return _pipe(D, T, pi * (D**4 - (D - 2 * T) ** 4) / 32)


def section_modulus(D: float, T: float) -> float:
    """Section modulus at the outer surface.

    Formula:
        I = pi*(D**4 - (D - 2*T)**4)/64
        Z = 2*I/D

    Args:
        D: Outside diameter [m].
        T: Wall thickness [m].

    Returns:
        Section modulus [m³].
    """
    return _pipe(D, T, pi * (D**4 - (D - 2 * T) ** 4) / (32 * D))


@dataclass(frozen=True, slots=True)
class PipeSection:
    """A round pipe section.

    Attributes:
        outside_diameter: Outside diameter [m].
        wall: Wall thickness [m].
    """

    outside_diameter: float
    wall: float

    @property
    def bore(self) -> float:
        """Inside diameter [m]."""
        return bore(self.outside_diameter, self.wall)

    @property
    def mean_radius(self) -> float:
        """Radius of the middle of the wall [m]."""
        return mean_radius(self.outside_diameter, self.wall)

    @property
    def metal_area(self) -> float:
        """Area of metal [m²]."""
        return metal_area(self.outside_diameter, self.wall)

    @property
    def bore_area(self) -> float:
        """Flow area [m²]."""
        return bore_area(self.outside_diameter, self.wall)

    @property
    def moment_of_inertia(self) -> float:
        """Second moment of area [m⁴]."""
        return moment_of_inertia(self.outside_diameter, self.wall)

    @property
    def polar_moment(self) -> float:
        """Torsion constant [m⁴]."""
        return polar_moment(self.outside_diameter, self.wall)

    @property
    def section_modulus(self) -> float:
        """Section modulus [m³]."""
        return section_modulus(self.outside_diameter, self.wall)

    def corroded(self, allowance: float) -> "PipeSection":
        """The same pipe with an allowance [m] lost from the inside of the wall."""
        return PipeSection(self.outside_diameter, self.wall - allowance)


def _pipe(D: float, T: float, value: float) -> float:
    return inside((T > 0) & (D > 2 * T), value)
