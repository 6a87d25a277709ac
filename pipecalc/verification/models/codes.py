"""Stresses, factors and limits of the codes that work with resultants of moments: ASME B31.1 and EN 13480-3."""

import numpy as np

from pipecalc.calc import joint_factors, shell_line_load
from pipecalc.checks.stress import code as code_of
from pipecalc.checks.stress.interface import NO_OPTIONS, Event, Factors, Forces, Geometry
from pipecalc.verification.models import Numbers


def elbow(
    code: str, edition: str, D: float, T: float, c: float, P: float, F: float, M_i: float, M_o: float, M_t: float,
    i_i: float, i_o: float,
) -> Numbers:  # fmt: skip
    """Stresses of an elbow under given forces: sustained, test, and displacement range."""
    rule, geometry, factors = code_of(code, edition), Geometry.of(D, T, c), Factors.of(i_i, i_o, bend=True)
    forces, pressure = Forces.of(F, M_t, M_i, M_o), np.array([P])
    sustained = rule.sustained(geometry, forces, factors, pressure, edition, NO_OPTIONS)
    moved = rule.displacement_range(geometry, forces, factors, edition)
    return {
        "pressure": sustained.axial,
        "bending": sustained.bending,
        "sustained": sustained.total,
        "test": rule.test(geometry, forces, factors, pressure, edition, NO_OPTIONS).total,
        "range": moved.total,
        "range, axial": moved.axial,
    }


def occasional(
    code: str, edition: str, D: float, T: float, c: float, P: float, F: float, M_i: float, M_o: float, M_t: float,
    i_i: float, i_o: float, event_i: float, event_o: float,
) -> Numbers:  # fmt: skip
    """Occasional stress of an elbow: weight, and an event that bends it in and out of its plane."""
    rule, geometry, factors = code_of(code, edition), Geometry.of(D, T, c), Factors.of(i_i, i_o, bend=True)
    weight, event = Forces.of(F, M_t, M_i, M_o), Forces.of(0.0, 0.0, event_i, event_o)
    found = rule.occasional(geometry, weight, event, factors, np.array([P]), edition, NO_OPTIONS)
    return {"occasional": found.total}


def limits(code: str, edition: str, S: float, S_y: float, W: float = 1.0) -> Numbers:
    """Limits for an allowable and a yield strength; W for a weld in the creep range."""
    rule = code_of(code, edition)
    return {
        "sustained": rule.limit_sustained(S, W),
        "earthquake": rule.limit_occasional(S, Event.EARTHQUAKE),
        "wind": rule.limit_occasional(S, Event.WIND),
        "test": rule.limit_test(S_y),
    }


def cycle_factor(code: str, edition: str, N: float) -> Numbers:
    """Stress range factor, for a ferritic steel of 414 MPa tensile strength at 200 °C where the code asks for it."""
    rule = code_of(code, edition)
    return {"f": rule.cycle_factor([N], rule.largest_cycle_factor(414e6, 200.0, "ferritic"), edition)}


def allowable_range(code: str, edition: str, f: float, S_c: float, S_h: float, ratio: float) -> Numbers:
    """Allowable displacement range at a ratio of moduli; with 50 MPa of sustained stress too."""
    rule = code_of(code, edition)
    return {
        "basic": rule.allowable_range(f, S_c, S_h, None, ratio).value,
        "with 50 MPa sustained": rule.allowable_range(f, S_c, S_h, [50e6], ratio).value,
    }


def joint(kind: str) -> Numbers:
    """Factors of a weld, flange or joint."""
    found = joint_factors.joint_factor(kind)
    return {"k": found.k, "i": found.i}


def trunnion(r: float, R: float, t: float, M_c: float, M_l: float, F: float) -> Numbers:
    """Line loads of a round attachment and the bending they cause in the pipe."""
    around = shell_line_load.circumferential_line_load(F, M_c, r)
    along = shell_line_load.longitudinal_line_load(F, M_l, r)
    return {
        "line load around": around,
        "line load along": along,
        "stress by the load around": shell_line_load.line_load_stress(around, R, t),
        "stress by the load along": shell_line_load.line_load_stress(along, R, t),
    }
