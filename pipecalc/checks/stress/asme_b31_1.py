"""ASME B31.1 Power Piping, editions 2014 to 2018: the equations with one intensification factor.

All of it from memory; verify against the edition of record. Later editions changed the stress equations and are
not offered. Allowable stresses must be those of this code: they are not the ones of ASME B31.3.
"""

from numpy.typing import ArrayLike

from pipecalc.calc import allowable_range as ranges
from pipecalc.calc import fatigue
from pipecalc.checks.stress import resultant
from pipecalc.checks.stress.asme_range import allowable_range
from pipecalc.checks.stress.interface import (
    Array,
    Edition,
    Event,
    Factors,
    Forces,
    Geometry,
    Kind,
    OccasionalLimit,
    Options,
    StressCode,
    StressParts,
    array_form,
    positive,
    scalar_form,
)

COEFFICIENT, SLOPE, LOWEST, LARGEST = 6.0, -0.2, 0.15, 1.0
TEST_SHARE = 0.9
_LAW = "f = 6.0 N^-0.2 <= 1.0"
_FACTORS = "ASME B31.1 Appendix D"
EDITIONS = {name: Edition(name, _FACTORS, _LAW, 5.0) for name in ("2014", "2016", "2018")}
_SHORT = "at most 1 h at a time and 80 h a year"
_LONG = "at most 8 h at a time and 800 h a year"


def sustained(
    geometry: Geometry, forces: Forces, factors: Factors, pressure: Array, edition: str, options: Options
) -> StressParts:
    """Pressure and sustained moment, nominal wall: 104.8.1."""
    _check(edition, options)
    return resultant.sustained(geometry, resultant.nominal_wall(geometry), forces, factors, pressure)


def occasional(
    geometry: Geometry,
    forces: Forces,
    event: Forces,
    factors: Factors,
    pressure: Array,
    edition: str,
    options: Options,
) -> StressParts:
    """Pressure, sustained and occasional moments, nominal wall: 104.8.2."""
    _check(edition, options)
    return resultant.occasional(geometry, resultant.nominal_wall(geometry), forces, event, factors, pressure)


def displacement_range(geometry: Geometry, forces: Forces, factors: Factors, edition: str) -> StressParts:
    """Moment range, nominal wall: 104.8.3."""
    _check(edition, Options())
    return resultant.displacement_range(geometry, forces, factors)


def largest_cycle_factor(tensile_strength: float, metal_temperature: float, family: str) -> float:
    """One for every material."""
    return LARGEST


def cycle_factor(N: ArrayLike, f_m: ArrayLike, edition: str) -> Array:
    """Stress range factor f: 102.3.2(B)."""
    _check(edition, Options())
    return array_form(ranges.cycle_factor_2018(scalar_form(array_form(N)), scalar_form(array_form(f_m))))


def cycles_allowed(f: ArrayLike, f_m: ArrayLike, edition: str) -> Array:
    """Cycles of a range that needs the factor f."""
    _check(edition, Options())
    needed, largest = scalar_form(array_form(f)), scalar_form(array_form(f_m))
    return array_form(fatigue.cycles_within(needed, COEFFICIENT, SLOPE, LOWEST, largest))


def limit_sustained(S_h: ArrayLike, W: ArrayLike) -> Array:
    """104.8.1: 1.0 S_h, times W at welds in the creep range (102.4.7)."""
    return positive(S_h) * positive(W)


def limit_occasional(S_h: ArrayLike, event: Event) -> Array:
    """104.8.2: k S_h, k by the duration of the event."""
    return CODE.occasional_limits[event].factor * positive(S_h)


def limit_test(S_y: ArrayLike) -> Array:
    """102.3.3(B): 90 % of the yield strength at test temperature."""
    return TEST_SHARE * positive(S_y)


def _check(edition: str, options: Options) -> None:
    resultant.refuse_options(options)
    if edition not in EDITIONS:
        raise LookupError(f"ASME B31.1-{edition} is not known here; {', '.join(EDITIONS)} are")


CODE = StressCode(
    title="ASME B31.1",
    editions=EDITIONS,
    sustained=sustained,
    displacement_range=displacement_range,
    occasional=occasional,
    test=sustained,
    largest_cycle_factor=largest_cycle_factor,
    cycle_factor=cycle_factor,
    cycles_allowed=cycles_allowed,
    allowable_range=allowable_range,
    limit_sustained=limit_sustained,
    limit_occasional=limit_occasional,
    limit_test=limit_test,
    occasional_limits={
        Event.WIND: OccasionalLimit(1.15, _LONG),
        Event.EARTHQUAKE: OccasionalLimit(1.2, _SHORT),
        Event.RELIEF: OccasionalLimit(1.15, _LONG),
    },
    clauses={
        Kind.SUSTAINED: "para. 104.8.1",
        Kind.RANGE: "para. 104.8.3",
        Kind.OCCASIONAL: "para. 104.8.2",
        Kind.TEST: "para. 102.3.3(B) with 104.8.1",
    },
    limit_clauses={
        Kind.SUSTAINED: "para. 104.8.1, 1.0 S_h",
        Kind.RANGE: "para. 102.3.2(B), S_A",
        Kind.OCCASIONAL: "para. 104.8.2, k S_h",
        Kind.TEST: "para. 102.3.3(B), 0.9 S_y",
    },
    parts=resultant.PARTS,
    worked=resultant.WORKED,
    allowance_deducted=dict.fromkeys(Kind, False),
    notes=(
        "all equations from memory; verify against the edition of record",
        "allowances are not deducted: the equations of 104.8 use the nominal wall",
        "axial forces other than that of pressure do not enter these equations",
        "S_c and S_h enter the allowable range with 138 MPa at most, whatever the tensile strength",
        "the range factor is not taken below 0.15",
    ),
)
