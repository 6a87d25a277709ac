"""Tables the program ships: pipe sizes, materials, flange ratings, spans, and the density of water and steam."""

from pipecalc import fluid, pipe_sizes, tables
from pipecalc.calc.material import allowable_at, modulus_at, strain_between
from pipecalc.checks.flanges.rating import rating
from pipecalc.verification.models import Numbers

_KELVIN = 273.15


def pipe(NPS: float, schedule: str) -> Numbers:
    """Outside diameter and wall of a pipe."""
    return {"D": pipe_sizes.outside_diameter(NPS, schedule), "T": pipe_sizes.wall(NPS, schedule)}


def modulus(material: str, t: float) -> Numbers:
    """Modulus of elasticity of a library material."""
    return {"E": modulus_at(tables.material(material), t)}


def older_expansion(group: str, t: float) -> Numbers:
    """Total expansion from 70 °F of the set used before 2010."""
    curve, _ = tables.expansion_curve(group, "C-1 before 2010")
    return {"total expansion": curve.at(t)}


def expansion_from_70(material: str, t: float, **_: object) -> Numbers:
    """Total expansion from 70 °F of the set in use."""
    return {"total expansion": strain_between(tables.material(material), 21.111, t)}


def expansion_from_70_before(group: str, t: float, **_: object) -> Numbers:
    """The same of the set used before 2010."""
    return older_expansion(group, t)


def older_reference(group: str) -> Numbers:
    """Temperature at which the older set begins."""
    return {"reference": tables.expansion_curve(group, "C-1 before 2010")[1]}


def allowable(material: str, t: float) -> Numbers:
    """Basic allowable stress of a library material."""
    return {"S": allowable_at(tables.material(material), t)}


def flange_rating(group: str, pressure_class: str, t: float) -> Numbers:
    """Pressure rating of a flange."""
    return {"rating": rating(group, pressure_class, t).value}


def raised_face(NPS: str) -> Numbers:
    """Raised face diameter of a flange."""
    row = tables.load("flange_raised_face_asme_b16_5").where("NPS [-]", NPS).rows[0]
    return {"raised face": tables.number(row["raised face diameter [mm]"]) * 1e-3}


def density(word: str, t: float, p: float) -> Numbers:
    """Density of water or steam at an absolute pressure."""
    return {"density": fluid.density(word, t, p - fluid.ATMOSPHERE)}


def saturation(p: float) -> Numbers:
    """Boiling temperature at an absolute pressure."""
    return {"boiling temperature": fluid.saturation_temperature(p - fluid.ATMOSPHERE)}
