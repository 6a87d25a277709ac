"""Code stresses of sections under given forces, cycles and allowable ranges, ASME B31.3."""

import numpy as np

from pipecalc.calc import allowable_range as ranges
from pipecalc.checks.stress import code
from pipecalc.checks.stress.interface import NO_OPTIONS, Factors, Forces, Geometry, Options
from pipecalc.verification.models import Numbers

_CODE = "ASME B31.3"


def displacement_range(
    D: float, T: float, F: float, M_i: float, M_o: float, M_t: float, i_i: float, i_o: float, part: str
) -> Numbers:
    """Displacement stress range of one section; part is "elbow" or "straight"."""
    forces, factors = Forces.of(F, M_t, M_i, M_o), Factors.of(i_i, i_o, bend=part == "elbow")
    found = code(_CODE, "2018").displacement_range(Geometry.of(D, T, 0.003), forces, factors, "2018")
    return {"S_b": found.bending, "S_t": found.torsion, "S_a": found.axial, "S_E": found.total}


def sustained(
    D: float, T: float, c: float, P: float, F: float, M_i: float, M_o: float, M_t: float, i_i: float, i_o: float,
    part: str, edition: str,
) -> Numbers:  # fmt: skip
    """Sustained stress of one section, allowances deducted, with the pressure stress in both forms."""
    geometry, forces = Geometry.of(D, T, c), Forces.of(F, M_t, M_i, M_o)
    factors, P_ = Factors.of(i_i, i_o, bend=part == "elbow"), np.array([P])
    rule = code(_CODE, "2018")
    found = rule.sustained(geometry, forces, factors, P_, edition, NO_OPTIONS)
    thin = rule.sustained(geometry, forces, factors, P_, edition, Options(thin_pressure=True))
    return {
        "A": found.inputs["A_p"],
        "Z": found.inputs["Z"],
        "S_p": found.inputs["S_p"],
        "S_p, thin wall": thin.inputs["S_p"],
        "S_a": found.axial,
        "S_b": found.bending,
        "S_t": found.torsion,
        "S_L": found.total,
    }


def branch_leg(D: float, T: float, c: float, T_h: float, M_i: float, M_o: float, i_i: float, i_o: float) -> Numbers:
    """A reducing branch leg on a header of wall ``T_h``: section modulus and bending, range and sustained."""
    leg, factors = Geometry.of(D, T, c, T_h, c), Factors.of(i_i, i_o, bend=False)
    rule, forces = code(_CODE, "2018"), Forces.of(0.0, 0.0, M_i, M_o)
    moved = rule.displacement_range(leg, forces, factors, "2018")
    held = rule.sustained(leg, forces, factors, np.zeros(1), "2018", NO_OPTIONS)
    return {
        "Z_e, range": moved.inputs["Z_b"], "S_b, range": moved.bending, "Z_e, sustained": held.inputs["Z_b"],
        "S_b, sustained": held.bending,
    }  # fmt: skip


def range_by_edition(edition: str, N: float, f_m: float, S_c: float, S_h: float) -> Numbers:
    """Allowable range of an edition for a number of cycles."""
    rule = code(_CODE, edition)
    return {"S_A": rule.allowable_range(rule.cycle_factor([N], f_m, edition), S_c, S_h, None, 1.0).value}


def cycles_allowed(edition: str, f: float) -> Numbers:
    """Cycles at which the factor of an edition has come down to ``f``."""
    return {"N": code(_CODE, edition).cycles_allowed(f, 1.2, edition)}


def three_ranges(S_c: float, S_h: float, S_L: float) -> Numbers:
    """Equivalent cycles of 100, 60 and 30 MPa acting 7000, 20 000 and 50 000 times, and what is allowed."""
    N = ranges.equivalent_cycles([100e6, 60e6, 30e6], [7000, 20000, 50000], "2018")
    f = ranges.cycle_factor(N, "2018", 1.0)
    return {
        "N": N,
        "f": f,
        "S_A, basic": ranges.allowable_range_basic(f, S_c, S_h),
        "S_A, with S_L": ranges.allowable_range_liberal(f, S_c, S_h, S_L),
    }


def cycle_factor(edition: str, N: float) -> Numbers:
    """Stress range factor of an edition, at most 1."""
    return {"f": ranges.cycle_factor(N, edition, 1.0)}


def basic_range(f: float, S_c: float, S_h: float) -> Numbers:
    """Allowable displacement stress range, eq. (1a), by its formula and as the code's module applies it."""
    applied = code(_CODE, "2018").allowable_range(f, S_c, S_h, None, 1.0).value
    return {"S_A": ranges.allowable_range_basic(f, S_c, S_h), "S_A, applied": applied}
