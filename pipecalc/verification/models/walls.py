"""Pressure: walls, branches with and without a pad, flanges under load."""

from pipecalc.calc import pressure
from pipecalc.calc.flange import equivalent_pressure, total_pressure
from pipecalc.calc.reinforcement import Branch, Pad, reinforcement
from pipecalc.verification.models import Numbers


def wall(P: float, D: float, S: float, E: float, c: float) -> Numbers:
    """Pressure design thickness, with allowance, and least nominal wall at 12.5 % under-tolerance."""
    t = pressure.pressure_design_thickness(P, D, S, E, 1.0, 0.4)
    t_m = pressure.required_thickness(t, c)
    return {"t": t, "t_m": t_m, "T": pressure.nominal_thickness_needed(t_m, 0.125)}


def branch(
    P: float, beta: float, D_h: float, T_h: float, D_b: float, T_b: float, S: float, c: float,
    weld_leg: float, pad_thickness: float, pad_diameter: float,
) -> Numbers:  # fmt: skip
    """Branch reinforcement by area with walls of 12.5 % under-tolerance; no pad where its thickness is zero."""
    found = reinforcement(
        Branch(
            pressure=P, angle=beta, header_diameter=D_h, header_wall=T_h * 0.875, header_strength=S,
            branch_diameter=D_b, branch_wall=T_b * 0.875, branch_strength=S, allowance=c, y=0.4,
            weld_area=weld_leg**2, pad=Pad(pad_thickness, pad_diameter, S) if pad_thickness else None,
        )
    )  # fmt: skip
    return {**found.inputs, "available": found.available, "required": found.required}


def flange_joint(G: float, F: float, M: float, P: float) -> Numbers:
    """Equivalent pressure of external loads, and the total."""
    return {"P_e": equivalent_pressure(M, F, G), "total": total_pressure(P, M, F, G)}
