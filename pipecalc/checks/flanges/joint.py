"""A flanged joint under pressure, force and moment, by three methods in the order of use.

1. Equivalent pressure against the B16.5 rating: simple and severe; class 150 fails easily.
2. Moment factor: the same pressure against a raised rating, for welding neck flanges.
3. Bolting rule: the moment against the strength of flange and bolts.

One method that passes is enough; where none does, a flange calculation is needed.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, isfinite, nan

from pipecalc.calc.flange import (
    FULL_YIELD,
    STATIC_BOLT_STRESS,
    bolting_moment,
    joint_moment,
    moment_factor_limit,
    total_pressure,
)
from pipecalc.checks.finding import Finding, sentence, weakest
from pipecalc.checks.flanges.rating import (
    RATING_SOURCE,
    Value,
    bolting,
    limit_in_test,
    moment_factor,
    rating,
    reaction_diameter,
)
from pipecalc.results import NozzleLoad

EQUIVALENT = "equivalent pressure"
FACTOR = "moment factor"
BOLTING = "bolting rule"
BEYOND = "no method here accepts the joint: a flange calculation (ASME VIII-1 App. 2 or EN 1591-1) is needed"
HIGH_STRENGTH = 138e6  # Pa, allowable stress of the bolts at 38 °C


@dataclass(frozen=True, slots=True)
class Flange:
    """One side of a joint.

    Attributes:
        nps: Nominal size.
        pressure_class: As typed; empty where not given.
        group: Material group of ASME B16.5; empty where not known.
        is_welding_neck: None where not known.
        yield_strength: Of the flange at temperature [Pa]; NaN where not known.
        bolt_allowable: Allowable stress of the bolts at 38 °C [Pa]; NaN where not known.
        gasket_diameter: Reaction diameter [m] where the user gives it; NaN for the table's.
    """

    nps: float
    pressure_class: str
    group: str
    is_welding_neck: bool | None = None
    yield_strength: float = nan
    bolt_allowable: float = nan
    gasket_diameter: float = nan


@dataclass(frozen=True, slots=True)
class JointLoad:
    """What acts on a joint.

    Attributes:
        axial: Along the pipe [N], tension positive.
        bending: Resultant bending moment [N·m].
        torsion: Magnitude [N·m].
    """

    axial: float
    bending: float
    torsion: float


def nozzle_joint_load(load: NozzleLoad) -> JointLoad:
    """Load of the joint at a nozzle: a force on the nozzle along R, outward, pulls the joint apart."""
    return JointLoad(load.FR, hypot(load.ML, load.MC), abs(load.MR))


def flange_check(
    flange: Flange, load: JointLoad, pressure: float, temperature: float, *, in_test: bool = False
) -> tuple[Finding, ...]:
    """All methods, in order of use.

    Args:
        flange: The flange.
        load: Force and moment on the joint.
        pressure: Gauge pressure [Pa].
        temperature: [°C].
        in_test: In the hydrostatic test: only the first method, against the test pressure of the flange.

    Returns:
        One line per method; NaN with a reason where a method cannot be used. See ``accepted_by``.
    """
    allowed = (
        limit_in_test(flange.group, flange.pressure_class)
        if in_test
        else rating(flange.group, flange.pressure_class, temperature)
    )
    G = _gasket(flange)
    first = _equivalent(flange, load, pressure, allowed, G, in_test)
    if in_test:
        return (first,)
    return (first, _factor(flange, first, pressure, allowed), _bolts(flange, load, pressure, allowed))


def accepted_by(lines: Sequence[Finding]) -> Finding:
    """The line that decides: the first that passes; else the first that was checked, with what to do; else the first.

    A line that was not checked never accepts a joint.
    """
    passing = next((line for line in lines if line.passes), None)
    if passing is not None:
        return passing
    checked = next((line for line in lines if line.is_checked), None)
    if checked is None:
        return lines[0]
    others = [f"{line.method}: {line.reason}" for line in lines if not line.is_checked and line.reason]
    return Finding(
        checked.method,
        checked.demand,
        checked.limit,
        checked.unit,
        checked.clause,
        sentence(checked.reason, BEYOND, *others),
        checked.confidence,
        checked.inputs,
    )


def _gasket(flange: Flange) -> Value:
    if isfinite(flange.gasket_diameter):
        return Value(flange.gasket_diameter, "confirmed", "gasket diameter as given")
    return reaction_diameter(flange.nps)


def _equivalent(flange: Flange, load: JointLoad, pressure: float, allowed: Value, G: Value, in_test: bool) -> Finding:
    limit_clause = "ASME B16.5 para. 2.6, 1.5 times the rating at 38 °C" if in_test else RATING_SOURCE
    unfit = _unfit_pressure(pressure)
    return Finding(
        EQUIVALENT,
        nan if unfit else total_pressure(pressure, load.bending, load.axial, G.value),
        allowed.value,
        "Pa",
        f"Kellogg, Design of Piping Systems, 1956; {limit_clause}, group {flange.group}, class {flange.pressure_class}",
        sentence(unfit, allowed.reason, G.reason, "" if load.torsion == 0 else "torsion and shear are not included"),
        weakest([allowed.confidence, G.confidence]),
        {"P": pressure, "M": load.bending, "F": load.axial, "G": G.value, "P_R": allowed.value},
    )


def _unfit_pressure(pressure: float) -> str:
    if not isfinite(pressure):
        return "the pressure is not known"
    return "" if pressure >= 0 else "external pressure is not covered"


def _factor(flange: Flange, first: Finding, pressure: float, allowed: Value) -> Finding:
    F_M = moment_factor(flange.nps, flange.pressure_class)
    reason = _why_no_factor(flange, pressure, allowed) or F_M.reason
    return Finding(
        FACTOR,
        first.demand,
        nan if reason else moment_factor_limit(allowed.value, F_M.value),
        "Pa",
        "ASME VIII-1 UG-44(b), Table UG-44-1 (Code Case 2901)",
        reason or "needs a bolt assembly procedure (ASME PCC-1); less for lasting loads on hot gaskets",
        weakest([first.confidence, F_M.confidence]),
        {**first.inputs, "F_M": F_M.value},
    )


def _why_no_factor(flange: Flange, pressure: float, allowed: Value) -> str:
    if not isfinite(allowed.value):
        return allowed.reason
    if flange.is_welding_neck is None:
        return "the type of the flange is not known; the factor is for welding neck flanges"
    if not flange.is_welding_neck:
        return "the factor is for welding neck flanges"
    return _above_rating(pressure, allowed)


def _above_rating(pressure: float, allowed: Value) -> str:
    return "" if pressure <= allowed.value else "the pressure alone is above the rating"


def _bolts(flange: Flange, load: JointLoad, pressure: float, allowed: Value) -> Finding:
    bolts = bolting(flange.nps, flange.pressure_class)
    reason = _why_no_bolting(flange, pressure, allowed)
    if bolts is None:
        reason = reason or f"no bolting data for NPS {flange.nps:g}, class {flange.pressure_class}"
    circle, area = (bolts.circle, bolts.area) if bolts else (nan, nan)
    return Finding(
        BOLTING,
        joint_moment(load.bending, load.torsion),
        nan if reason else bolting_moment(flange.yield_strength, circle, area, STATIC_BOLT_STRESS, FULL_YIELD),
        "N*m",
        "ASME III NC-3658.3, static loads of levels A and B, from memory",
        reason or "axial force and dynamic loads are not included",
        "memory",
        {
            "S_y": flange.yield_strength,
            "C": circle,
            "A_b": area,
            "S_0": STATIC_BOLT_STRESS,
            "S_36": FULL_YIELD,
            "M": load.bending,
            "M_t": load.torsion,
        },
    )


def _why_no_bolting(flange: Flange, pressure: float, allowed: Value) -> str:
    if not isfinite(allowed.value):
        return allowed.reason
    if not isfinite(flange.yield_strength):
        return "the flange's yield strength at temperature is not known"
    if not isfinite(flange.bolt_allowable):
        return "the bolts are not known; the rule is for high-strength bolts"
    if flange.bolt_allowable < HIGH_STRENGTH:
        return "the rule is for high-strength bolts, 138 MPa allowable stress or more at 38 °C"
    return _above_rating(pressure, allowed)
