"""Stresses by the resultant form, with one wall rule to choose: shared by the codes that use it.

One factor, the larger of both, multiplies the resultant of three moments; the axial force other than that of
pressure does not appear.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from pipecalc.calc import branch, resultant_stress, stress
from pipecalc.calc.section import section_modulus
from pipecalc.checks.stress.interface import (
    Array,
    Factors,
    Forces,
    Function,
    Geometry,
    Kind,
    Options,
    StressParts,
    array_form,
    frozen_inputs,
    scalar_form,
)

PARTS = ("pressure stress", "stress of the resultant moment", "")
#: Effective section modulus of a branch leg; its inputs are NaN elsewhere.
BRANCH_LEG: tuple[Function, ...] = (branch.effective_wall, branch.effective_section_modulus)
WORKED: Mapping[Kind, tuple[Function, ...]] = {
    Kind.SUSTAINED: (*BRANCH_LEG, resultant_stress.sustained_resultant, resultant_stress.resultant_sustained_stress),
    Kind.RANGE: (*BRANCH_LEG, resultant_stress.range_resultant, resultant_stress.resultant_stress_range),
    Kind.OCCASIONAL: (
        *BRANCH_LEG,
        resultant_stress.sustained_resultant,
        resultant_stress.event_resultant,
        resultant_stress.resultant_occasional_stress,
    ),
    Kind.TEST: (*BRANCH_LEG, resultant_stress.sustained_resultant, resultant_stress.resultant_sustained_stress),
}


@dataclass(frozen=True, slots=True)
class Wall:
    """Walls that enter: of the pipe and, for a branch leg, of its header [m]; NaN where nothing is left."""

    pipe: float
    header: float


def nominal_wall(geometry: Geometry) -> Wall:
    """Nothing deducted."""
    return Wall(scalar_form(geometry.wall), scalar_form(geometry.header_wall))


def wall_less_allowance(geometry: Geometry) -> Wall:
    """Allowances deducted from pipe and header."""
    return Wall(
        stress.corroded_wall(scalar_form(geometry.wall), scalar_form(geometry.allowance)),
        stress.corroded_wall(scalar_form(geometry.header_wall), scalar_form(geometry.header_allowance)),
    )


def bending_modulus(geometry: Geometry, wall: Wall, i: float) -> tuple[float, float, float]:
    """Section modulus for bending, with the mean radius and the effective wall of branch legs.

    Args:
        geometry: The sections.
        wall: Walls that count.
        i: Factor of the effective wall.

    Returns:
        Z_b [m³], r2b [m], T_s [m]; the last two NaN where the pipe's own section modulus is taken.
    """
    D = scalar_form(geometry.outside_diameter)
    T_s = branch.effective_wall(wall.header, i, wall.pipe)
    r2b = np.where(geometry.is_branch, (geometry.outside_diameter - wall.pipe) / 2, np.nan)
    effective = branch.effective_section_modulus(scalar_form(r2b), T_s)
    own = section_modulus(D, wall.pipe)
    chosen = np.where(geometry.is_branch, effective, own)
    return scalar_form(chosen), scalar_form(r2b), T_s


def sustained(geometry: Geometry, wall: Wall, forces: Forces, factors: Factors, pressure: Array) -> StressParts:
    """Pressure and sustained moment."""
    given = _section(geometry, wall, factors) | _moments(forces) | {"P": pressure}
    n = {name: scalar_form(value) for name, value in given.items()}
    M_A = resultant_stress.sustained_resultant(n["M_i"], n["M_o"], n["M_t"])
    total = resultant_stress.resultant_sustained_stress(n["P"], n["D"], n["t"], n["i"], M_A, n["Z_b"])
    return _parts(total, _pressure(n), given | {"M_A": array_form(M_A)})


def occasional(
    geometry: Geometry, wall: Wall, forces: Forces, event: Forces, factors: Factors, pressure: Array
) -> StressParts:
    """Pressure, sustained moment and the moment of the event."""
    given = _section(geometry, wall, factors) | _moments(forces) | _moments(event, "B") | {"P": pressure}
    n = {name: scalar_form(value) for name, value in given.items()}
    M_A = resultant_stress.sustained_resultant(n["M_i"], n["M_o"], n["M_t"])
    M_B = resultant_stress.event_resultant(n["M_iB"], n["M_oB"], n["M_tB"])
    total = resultant_stress.resultant_occasional_stress(n["P"], n["D"], n["t"], n["i"], M_A, M_B, n["Z_b"])
    return _parts(total, _pressure(n), given | {"M_A": array_form(M_A), "M_B": array_form(M_B)})


def displacement_range(geometry: Geometry, forces: Forces, factors: Factors) -> StressParts:
    """Moment range, nominal wall."""
    given = _section(geometry, nominal_wall(geometry), factors) | _moments(forces)
    n = {name: scalar_form(value) for name, value in given.items()}
    M_C = resultant_stress.range_resultant(n["M_i"], n["M_o"], n["M_t"])
    total = resultant_stress.resultant_stress_range(n["i"], M_C, n["Z_b"])
    return _parts(total, 0.0, given | {"M_C": array_form(M_C)})


def refuse_options(options: Options) -> None:
    """These equations have one form of the pressure term and no separate indices."""
    if options.indices is not None:
        raise ValueError("own sustained indices do not belong to this code's equations")


def _section(geometry: Geometry, wall: Wall, factors: Factors) -> dict[str, Array]:
    i = scalar_form(factors.largest)
    Z_b, r2b, T_s = bending_modulus(geometry, wall, i)
    numbers = {"D": geometry.outside_diameter, "T": geometry.wall, "c": geometry.allowance, "t": wall.pipe}
    leg = {"r2b": r2b, "T_s": T_s, "T_h": wall.header, "T_b": np.where(geometry.is_branch, wall.pipe, np.nan)}
    return {name: array_form(value) for name, value in {**numbers, "i": i, "Z_b": Z_b, **leg}.items()}


def _moments(forces: Forces, event: str = "") -> dict[str, Array]:
    return {f"M_i{event}": forces.in_plane, f"M_o{event}": forces.out_of_plane, f"M_t{event}": forces.torsion}


def _pressure(n: dict[str, float]) -> float:
    return stress.longitudinal_pressure_stress_thin(n["P"], n["D"], n["t"])


def _parts(total: float, pressure_part: float, given: dict[str, Array]) -> StressParts:
    whole = array_form(total)
    first = np.array(np.broadcast_to(array_form(pressure_part), whole.shape))
    return StressParts(whole, first, whole - first, np.zeros_like(whole), frozen_inputs(**given))
