"""Mass of pipe, contents, insulation, cladding and lining per metre of run.

Pipe and contents take nominal, uncorroded dimensions. g is the standard acceleration of free fall (CGPM
1901).
"""

from dataclasses import dataclass
from math import pi

from pipecalc.calc.domain import inside

GRAVITY = 9.80665  # m/s²
HYDROTEST_DENSITY = 1000.0  # kg/m³, water at ambient temperature; common practice


def metal_mass(rho: float, D: float, T: float) -> float:
    """Mass of the pipe wall per metre.

    Formula:
        m = rho*pi*T*(D - T)

    Args:
        rho: Density of the metal [kg/m³].
        D: Outside diameter [m].
        T: Wall thickness [m].

    Returns:
        Mass per length [kg/m].

    Source: geometry; ASME B36.10M prints the same with 7850 kg/m³ as 0.0246615 (D - T) T in mm.
    """
    return inside((T > 0) & (D > 2 * T) & (rho >= 0), rho * pi * T * (D - T))


def contents_mass(rho: float, d: float) -> float:
    """Mass of the contents per metre of a full pipe.

    Formula:
        m = rho*pi*d**2/4

    Args:
        rho: Density of the contents [kg/m³], 0 for empty.
        d: Inside diameter, inside the lining where there is one [m].

    Returns:
        Mass per length [kg/m].

    Source: geometry.
    """
    return inside((d >= 0) & (rho >= 0), rho * pi * d**2 / 4)


def insulation_mass(rho: float, D: float, t: float) -> float:
    """Mass of an insulation layer, or of cladding, per metre.

    Formula:
        m = rho*pi*t*(D + t)

    Args:
        rho: Density of the layer [kg/m³].
        D: Diameter on which the layer lies [m].
        t: Thickness of the layer [m].

    Returns:
        Mass per length [kg/m].

    Source: geometry of the ring, (pi/4)((D + 2t)² - D²) = pi t (D + t).
    """
    return inside((t >= 0) & (D >= 0) & (rho >= 0), rho * pi * t * (D + t))


def lining_mass(rho: float, d: float, t: float) -> float:
    """Mass of an inside lining per metre.

    Formula:
        m = rho*pi*t*(d - t)

    Args:
        rho: Density of the lining [kg/m³].
        d: Inside diameter of the bare pipe [m].
        t: Thickness of the lining [m].

    Returns:
        Mass per length [kg/m]; NaN if the lining closes the bore.

    Source: geometry of the ring.
    """
    return inside((t >= 0) & (d > 2 * t) & (rho >= 0), rho * pi * t * (d - t))


@dataclass(frozen=True, slots=True)
class LineMass:
    """Mass per metre of a line, part by part.

    Attributes:
        metal: Pipe wall [kg/m].
        contents: Contents [kg/m].
        insulation: Insulation [kg/m].
        cladding: Cladding over the insulation [kg/m].
        lining: Lining inside the bore [kg/m].
    """

    metal: float
    contents: float
    insulation: float
    cladding: float
    lining: float

    @property
    def total(self) -> float:
        """All parts together [kg/m]."""
        return self.metal + self.contents + self.insulation + self.cladding + self.lining

    @property
    def weight(self) -> float:
        """Weight per metre [N/m]."""
        return GRAVITY * self.total


def line_mass(
    outside_diameter: float,
    wall: float,
    metal_density: float,
    contents_density: float,
    insulation_thickness: float = 0.0,
    insulation_density: float = 0.0,
    cladding_thickness: float = 0.0,
    cladding_density: float = 0.0,
    lining_thickness: float = 0.0,
    lining_density: float = 0.0,
) -> LineMass:
    """Mass per metre of a line with all its layers.

    Args:
        outside_diameter: Outside diameter of the pipe [m].
        wall: Nominal wall [m].
        metal_density: Density of the pipe metal [kg/m³].
        contents_density: Density of the contents [kg/m³].
        insulation_thickness: Thickness of the insulation [m].
        insulation_density: Density of the insulation [kg/m³].
        cladding_thickness: Thickness of the cladding [m].
        cladding_density: Density of the cladding [kg/m³].
        lining_thickness: Thickness of the lining [m]; it narrows the bore.
        lining_density: Density of the lining [kg/m³].

    Returns:
        The parts [kg/m]; a part with impossible dimensions is NaN, and so is the total.
    """
    d = outside_diameter - 2 * wall
    over_insulation = outside_diameter + 2 * insulation_thickness
    return LineMass(
        metal=metal_mass(metal_density, outside_diameter, wall),
        contents=contents_mass(contents_density, d - 2 * lining_thickness),
        insulation=insulation_mass(insulation_density, outside_diameter, insulation_thickness),
        cladding=insulation_mass(cladding_density, over_insulation, cladding_thickness),
        lining=lining_mass(lining_density, d, lining_thickness),
    )
