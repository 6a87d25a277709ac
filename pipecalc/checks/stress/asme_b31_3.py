"""ASME B31.3 Process Piping, editions 2018 to 2024.

The frame of limits (S_h, S_A by eq. (1a) and (1b), f by edition, 1.33 S_h) is confirmed by public texts. The
vector equations of 320.2 and 319.4.4 and the cap of 138 MPa are from memory; verify against the edition of record.
"""

import numpy as np
from numpy.typing import ArrayLike

from pipecalc.calc import allowable_range as ranges
from pipecalc.calc import fatigue, stress
from pipecalc.calc.section import metal_area, section_modulus
from pipecalc.checks.stress.asme_range import allowable_range
from pipecalc.checks.stress.interface import (
    Array,
    Edition,
    Event,
    Factors,
    Forces,
    Function,
    Geometry,
    Indices,
    Kind,
    OccasionalLimit,
    Options,
    StressCode,
    StressParts,
    array_form,
    frozen_inputs,
    positive,
    scalar_form,
)
from pipecalc.checks.stress.resultant import BRANCH_LEG, Wall, bending_modulus, nominal_wall, wall_less_allowance

OCCASIONAL = OccasionalLimit(1.33, "wind and earthquake not at the same time")

_B31J = "ASME B31J-2017 (Appendix D was deleted in 2020)"
_NOTE_2022 = "coefficient 20 and exponent 3 of the cycle sum from memory; no lowest factor taken"
_NOTE_2024 = (
    "sustained indices are the default of the editions before 2024, 0.75 i and not below one; the 2024 edition "
    "takes its default from ASME B31J, whose text is not held here: verify"
)
EDITIONS = {
    "2018": Edition("2018", "ASME B31.3-2018 Appendix D", "f = 6.0 N^-0.2 <= f_m", 5.0),
    "2020": Edition("2020", _B31J, "f = 6.0 N^-0.2 <= f_m", 5.0),
    "2022": Edition("2022", _B31J, "f = 20 N^-0.333 <= f_m", 3.0, (_NOTE_2022,)),
    "2024": Edition("2024", _B31J, "f = 20 N^-0.333 <= f_m", 3.0, (_NOTE_2022, _NOTE_2024)),
}


def sustained(
    geometry: Geometry, forces: Forces, factors: Factors, pressure: Array, edition: str, options: Options
) -> StressParts:
    """Stress of sustained loads, allowances deducted: 320.2, eq. (23a) to (23d)."""
    return _sustained(geometry, wall_less_allowance(geometry), forces, factors, pressure, edition, options)


def occasional(
    geometry: Geometry,
    forces: Forces,
    event: Forces,
    factors: Factors,
    pressure: Array,
    edition: str,
    options: Options,
) -> StressParts:
    """Stress of sustained and occasional loads, both put into the equations of 320.2 together."""
    return sustained(geometry, forces.plus(event), factors, pressure, edition, options)


def pressure_test(
    geometry: Geometry, forces: Forces, factors: Factors, pressure: Array, edition: str, options: Options
) -> StressParts:
    """Stress during the pressure test, pipe as new: the equations of 320.2 with the nominal wall."""
    return _sustained(geometry, nominal_wall(geometry), forces, factors, pressure, edition, options)


def displacement_range(geometry: Geometry, forces: Forces, factors: Factors, edition: str) -> StressParts:
    """Displacement stress range, nominal wall: 319.4.4, eq. (17), (18) and for branch legs (20)."""
    _known(edition)
    given = _section(geometry, nominal_wall(geometry), factors) | _moments(forces) | {"F_a": forces.axial}
    given |= {"i_i": factors.i_in, "i_o": factors.i_out, "i_t": factors.i_t, "i_a": factors.i_a}
    n = {name: scalar_form(value) for name, value in given.items()}
    i_i, i_o, i_t, i_a = (stress.factor(n[name], n[name]) for name in ("i_i", "i_o", "i_t", "i_a"))
    S_a = stress.range_axial_stress(i_a, n["F_a"], n["A_p"])
    S_b = stress.range_bending_stress(i_i, n["M_i"], i_o, n["M_o"], n["Z_b"])
    S_t = stress.range_torsion_stress(i_t, n["M_t"], n["Z"])
    return _parts(stress.displacement_stress_range(S_a, S_b, S_t), S_a, S_b, S_t, given)


def cycle_factor(N: ArrayLike, f_m: ArrayLike, edition: str) -> Array:
    """Stress range factor f: 302.3.5(d), eq. (1c)."""
    old = ranges.EDITIONS[edition].lowest > 0
    law = ranges.cycle_factor_2018 if old else ranges.cycle_factor_2022
    return array_form(law(scalar_form(array_form(N)), scalar_form(array_form(f_m))))


def cycles_allowed(f: ArrayLike, f_m: ArrayLike, edition: str) -> Array:
    """Cycles of a range that needs the factor f: eq. (1c) solved for N."""
    law = ranges.EDITIONS[edition]
    needed, largest = scalar_form(array_form(f)), scalar_form(array_form(f_m))
    return array_form(fatigue.cycles_within(needed, law.coefficient, law.slope, law.lowest, largest))


def limit_sustained(S_h: ArrayLike, W: ArrayLike) -> Array:
    """302.3.5(c): S_h, times W at girth welds in the creep range."""
    return positive(S_h) * positive(W)


def limit_occasional(S_h: ArrayLike, event: Event) -> Array:
    """302.3.6(a): 1.33 S_h."""
    return CODE.occasional_limits[event].factor * positive(S_h)


def limit_test(S_y: ArrayLike) -> Array:
    """345.2.1: yield strength at test temperature."""
    return positive(S_y)


def _sustained(
    geometry: Geometry,
    wall: Wall,
    forces: Forces,
    factors: Factors,
    pressure: Array,
    edition: str,
    options: Options,
) -> StressParts:
    _known(edition)
    given = _section(geometry, wall, factors) | _moments(forces) | {"F": forces.axial, "P": pressure}
    indices = options.indices or _default_indices(factors)
    n = {name: scalar_form(value) for name, value in given.items()}
    form = stress.longitudinal_pressure_stress_thin if options.thin_pressure else stress.longitudinal_pressure_stress
    S_p = form(n["P"], n["D"], n["t"])
    F_a = stress.axial_force(n["F"], S_p, n["A_p"])
    own = (indices.in_plane, indices.out_of_plane, indices.torsional, indices.axial)
    I_i, I_o, I_t, I_a = (scalar_form(positive(index)) for index in own)
    S_a = stress.sustained_axial_stress(I_a, F_a, n["A_p"])
    S_b = stress.sustained_bending_stress(I_i, n["M_i"], I_o, n["M_o"], n["Z_b"])
    S_t = stress.sustained_torsion_stress(I_t, n["M_t"], n["Z"])
    found = {"S_p": S_p, "F_a": F_a, "I_i": I_i, "I_o": I_o, "I_t": I_t, "I_a": I_a}
    given |= {name: array_form(value) for name, value in found.items()}
    return _parts(stress.sustained_stress(S_a, S_b, S_t), S_a, S_b, S_t, given)


def _default_indices(factors: Factors) -> Indices:
    inward, outward = (stress.sustained_index(scalar_form(i)) for i in (factors.i_in, factors.i_out))
    return Indices.of(inward, outward)


def _section(geometry: Geometry, wall: Wall, factors: Factors) -> dict[str, Array]:
    D = scalar_form(geometry.outside_diameter)
    i = scalar_form(factors.i_in)
    Z_b, r2b, T_s = bending_modulus(geometry, wall, i)
    T_b = np.where(geometry.is_branch, wall.pipe, np.nan)
    pipe = {"D": D, "T": geometry.wall, "c": geometry.allowance, "t": wall.pipe}
    own = {"A_p": metal_area(D, wall.pipe), "Z": section_modulus(D, wall.pipe), "Z_b": Z_b}
    leg = {"i": i, "T_h": wall.header, "T_b": T_b, "T_s": T_s, "r2b": r2b}
    return {name: array_form(value) for name, value in {**pipe, **own, **leg}.items()}


def _moments(forces: Forces) -> dict[str, Array]:
    return {"M_i": forces.in_plane, "M_o": forces.out_of_plane, "M_t": forces.torsion}


def _parts(total: float, S_a: float, S_b: float, S_t: float, given: dict[str, Array]) -> StressParts:
    inputs = frozen_inputs(**given, S_a=S_a, S_b=S_b, S_t=S_t)
    return StressParts(array_form(total), inputs["S_a"], inputs["S_b"], inputs["S_t"], inputs)


def _known(edition: str) -> None:
    if edition not in EDITIONS:
        raise LookupError(f"ASME B31.3-{edition} is not known here; {', '.join(EDITIONS)} are")


_SUSTAINED: tuple[Function, ...] = (
    *BRANCH_LEG,
    stress.axial_force,
    stress.sustained_axial_stress,
    stress.sustained_bending_stress,
    stress.sustained_torsion_stress,
    stress.sustained_stress,
)
_RANGE: tuple[Function, ...] = (
    *BRANCH_LEG,
    stress.range_axial_stress,
    stress.range_bending_stress,
    stress.range_torsion_stress,
    stress.displacement_stress_range,
)

CODE = StressCode(
    title="ASME B31.3",
    editions=EDITIONS,
    sustained=sustained,
    displacement_range=displacement_range,
    occasional=occasional,
    test=pressure_test,
    largest_cycle_factor=ranges.largest_cycle_factor,
    cycle_factor=cycle_factor,
    cycles_allowed=cycles_allowed,
    allowable_range=allowable_range,
    limit_sustained=limit_sustained,
    limit_occasional=limit_occasional,
    limit_test=limit_test,
    occasional_limits=dict.fromkeys(Event, OCCASIONAL),
    clauses={
        Kind.SUSTAINED: "para. 320.2, eq. (23a) to (23d)",
        Kind.RANGE: "para. 319.4.4, eq. (17) to (20)",
        Kind.OCCASIONAL: "para. 302.3.6(a) with 320.2, eq. (23a) to (23d)",
        Kind.TEST: "para. 345.2.1 with 320.2, eq. (23a) to (23d), nominal wall",
    },
    limit_clauses={
        Kind.SUSTAINED: "para. 302.3.5(c), S_L <= S_h, W S_h at girth welds in the creep range",
        Kind.RANGE: "para. 302.3.5(d), eq. (1a) or (1b)",
        Kind.OCCASIONAL: "para. 302.3.6(a), 1.33 S_h",
        Kind.TEST: "para. 345.2.1, yield strength at test temperature",
    },
    parts=("axial stress", "bending stress", "torsional stress"),
    worked={
        Kind.SUSTAINED: (stress.corroded_wall, *_SUSTAINED),
        Kind.RANGE: _RANGE,
        Kind.OCCASIONAL: (stress.corroded_wall, *_SUSTAINED),
        Kind.TEST: _SUSTAINED,
    },
    allowance_deducted={Kind.SUSTAINED: True, Kind.RANGE: False, Kind.OCCASIONAL: True, Kind.TEST: False},
    notes=(
        "equations of 320.2 and 319.4.4 from memory; verify against the edition of record",
        "the cap of 138 MPa on S_c and S_h in eq. (1a) and (1b) is from memory",
        "above 427 °C the alternative limits of 302.3.6 for occasional loads are not applied",
        "the pressure test is checked with the nominal wall: pipe as new",
    ),
)
