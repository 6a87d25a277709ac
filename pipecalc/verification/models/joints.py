"""Flanged joints: what the tables give, and the verdict of every method."""

from pipecalc.calc import flange
from pipecalc.checks.flanges import rating
from pipecalc.checks.flanges.joint import Flange, JointLoad, flange_check
from pipecalc.verification.models import Numbers

_INCH = 0.0254


def verdicts(
    NPS: float, pressure_class: str, t: float, S_y: float, bolt_allowable: float, G: float, P: float, F: float,
    M: float, M_t: float,
) -> Numbers:  # fmt: skip
    """Demand and limit of the three methods for a welding neck flange of group 1.1."""
    joint = Flange(NPS, pressure_class, "1.1", True, S_y, bolt_allowable, G)
    first, second, third = flange_check(joint, JointLoad(F, M, M_t), P, t)
    return {
        "equivalent pressure": first.demand,
        "rating": first.limit,
        "with moment factor": second.limit,
        "moment": third.demand,
        "moment limit": third.limit,
    }


def in_test(pressure_class: str, G: float, P: float) -> Numbers:
    """Limit of the equivalent pressure in the test."""
    joint = Flange(8.0, pressure_class, "1.1", gasket_diameter=G)
    (line,) = flange_check(joint, JointLoad(0.0, 0.0, 0.0), P, 20.0, in_test=True)
    return {"limit": line.limit}


def between_rows(pressure_class: str, t: float) -> Numbers:
    """Rating between two temperatures, group 1.1."""
    return {"rating": rating.rating("1.1", pressure_class, t).value}


def root_area(size: float, threads: float) -> Numbers:
    """Area at the root of one bolt; threads to the inch."""
    return {"root area": flange.bolt_root_area(size, _INCH / threads)}


def reaction(NPS: float) -> Numbers:
    """Diameter at which the gasket of a flange reacts."""
    return {"G": rating.reaction_diameter(NPS).value}


def moment_factor(NPS: float, pressure_class: str) -> Numbers:
    """Moment factor of a standard flange."""
    return {"F_M": rating.moment_factor(NPS, pressure_class).value}


def bolts(NPS: float, pressure_class: str) -> Numbers:
    """Bolt circle and root area of all bolts; NaN where there are none."""
    found = rating.bolting(NPS, pressure_class)
    return {"circle": found.circle, "area": found.area} if found else {}
