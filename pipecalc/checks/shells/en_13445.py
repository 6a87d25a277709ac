"""Shell capacity at a nozzle after EN 13445-3 clauses 16.4 (sphere) and 16.5 (cylinder).

An estimate where no allowable is given, never a vendor's value. Coefficients are from memory: verify against the
edition of record. Shear forces and torsion are not part of the check.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from math import isfinite, nan, sqrt

from pipecalc.calc import shell as formula
from pipecalc.calc import shell_load, shell_pressure
from pipecalc.checks.finding import Finding, sentence
from pipecalc.checks.shells.vessel import (
    CYLINDER,
    SPHERE,
    Branch,
    Pad,
    Shell,
    ShellLoad,
    effective_pad,
    missing_data,
)

ESTIMATE = "estimate, not a vendor's value; shear and torsion not included"
CLAUSES = {
    CYLINDER: "EN 13445-3 clause 16.5, from memory",
    SPHERE: "EN 13445-3 clause 16.4, from memory",
}
THINNEST, THICKEST = 0.001, 0.1  # e_a/D of a cylinder, e_a/R of a sphere
WITH_ROOM, RIGID = 1.1, 1.0  # C4
THIN = 0.2  # nozzle over shell, up to which the curve of the thin nozzle holds
AT_NOZZLE, AT_PAD, IN_WALL = "shell at the nozzle", "shell at the pad's edge", "nozzle wall"


@dataclass(frozen=True, slots=True)
class Place:
    """Where the shell is checked.

    Attributes:
        name: In words.
        d: Diameter of the loaded circle [m].
        e_c: Thickness that carries [m].
        P_max: Pressure carried [Pa].
        stiffening: Thickness of the nozzle and its allowable stress, ``e_b`` and ``f_b``; none at a pad's edge.
        behind: Numbers behind e_c and P_max, by symbol.
    """

    name: str
    d: float
    e_c: float
    P_max: float
    stiffening: Mapping[str, float]
    behind: Mapping[str, float]


def shell_check(
    shell: Shell, branch: Branch, load: ShellLoad, pressure: float, *, can_expand: bool
) -> tuple[Finding, ...]:
    """Shell at the nozzle, shell at the pad's edge, and the nozzle's wall.

    Args:
        shell: The shell.
        branch: The nozzle.
        load: Load at the shell; see ``load_at_shell``.
        pressure: Gauge pressure inside the vessel [Pa].
        can_expand: True where the piping has room to expand (C4 = 1.1), False for a rigid attachment (1.0).

    Returns:
        One line per place; NaN with a reason where data are missing or outside the limits of the method.
    """
    lacking = missing_data(shell, branch) or _unfit(shell, branch, load, pressure)
    if lacking:
        return (Finding(AT_NOZZLE, nan, nan, "1", CLAUSES.get(shell.shape, "EN 13445-3"), lacking, "memory"),)
    pad = effective_pad(shell, branch)
    lines = [_line(shell, branch, load, pressure, _at_nozzle(shell, branch, pad), can_expand, pad.remark)]
    if pad.thickness > 0:
        lines.append(_line(shell, branch, load, pressure, _at_edge(shell, branch, pad), can_expand, ""))
    return (*lines, _wall(branch, load, pressure))


def _unfit(shell: Shell, branch: Branch, load: ShellLoad, pressure: float) -> str:
    if shell.shape not in CLAUSES:
        return f"no rule for a shell of shape {shell.shape!r}"
    if not isfinite(load.radial + load.circumferential + load.longitudinal):
        return "the load at the shell is not known; it takes the nozzle's load and its projection"
    if not isfinite(pressure):
        return "the pressure is not known"
    if pressure < 0:
        return "external pressure is not covered"
    return _outside(shell, branch)


def _outside(shell: Shell, branch: Branch) -> str:
    size, symbol = (shell.mean_diameter, "D") if shell.shape == CYLINDER else (shell.mean_diameter / 2, "R")
    slenderness = shell.thickness / size if size > 0 else nan
    if not THINNEST <= slenderness <= THICKEST:
        return f"thickness/{symbol} = {slenderness:.4f} is outside {THINNEST:g} to {THICKEST:g}"
    if branch.outside_diameter <= 2 * branch.thickness or branch.outside_diameter >= shell.mean_diameter:
        return "the nozzle is no tube smaller than the shell"
    if branch.projection < sqrt(branch.mean_diameter * branch.thickness):
        return "the nozzle is shorter than the length over which its thickness must be kept"
    if branch.clearance < sqrt(size * shell.thickness):
        return "another discontinuity of the shell is nearer than the method allows"
    return ""


def _at_nozzle(shell: Shell, branch: Branch, pad: Pad) -> Place:
    e, f = shell.thickness, shell.allowable
    opening = {
        "r_i": shell.inside_radius, "e": e, "d_e": branch.outside_diameter, "e_b": branch.thickness,
        "e_p": pad.thickness, "w_p": pad.width, "f": f, "f_b": branch.allowable,
        "f_p": pad.allowable if pad.thickness > 0 else f,
    }  # fmt: skip
    at_opening = (
        shell_pressure.cylinder_opening_pressure if shell.shape == CYLINDER else shell_pressure.sphere_opening_pressure
    )
    P_s, P_o = _plain_pressure(shell), at_opening(**opening)
    return Place(
        AT_NOZZLE,
        branch.mean_diameter,
        shell_load.carrying_thickness(e, pad.thickness, f, opening["f_p"]),
        shell_load.pressure_carried(P_s, P_o),
        {"e_b": branch.thickness, "f_b": branch.allowable},
        {**opening, "P_s": P_s, "P_o": P_o},
    )


def _at_edge(shell: Shell, branch: Branch, pad: Pad) -> Place:
    d, e = branch.outside_diameter + 2 * pad.width, shell.thickness
    return Place(AT_PAD, d, e, _plain_pressure(shell), {}, {"e": e, "P_s": _plain_pressure(shell)})


def _plain_pressure(shell: Shell) -> float:
    if shell.shape == CYLINDER:
        return shell_pressure.cylinder_pressure(shell.allowable, shell.thickness, shell.mean_diameter)
    return shell_pressure.sphere_pressure(shell.allowable, shell.thickness, shell.mean_diameter / 2)


def _line(
    shell: Shell, branch: Branch, load: ShellLoad, pressure: float, place: Place, can_expand: bool, remark: str
) -> Finding:
    acting = {"P": pressure, "F": load.radial, "M_x": load.circumferential, "M_y": load.longitudinal}
    if shell.shape == CYLINDER:
        found = on_cylinder(shell, place, acting, WITH_ROOM if can_expand else RIGID)
        size, demand = found["lambda_C"], found["ratio"]
    else:
        found = _on_sphere(shell, place, acting)
        size, demand = found["lambda_S"], found["ratio"]
    beyond = f"size of the loaded circle {size:.1f} is beyond {formula.LAMBDA_HIGHEST:g}"
    untested = "" if isfinite(branch.clearance) else "distance to other discontinuities not tested"
    return Finding(
        f"{place.name}, {shell.shape}",
        demand,
        1.0,
        "1",
        CLAUSES[shell.shape],
        sentence(ESTIMATE, remark, untested, "" if isfinite(demand) else beyond),
        "memory",
        {**acting, **place.behind, **{name: value for name, value in found.items() if name != "ratio"}},
    )


def on_cylinder(shell: Shell, place: Place, acting: Mapping[str, float], C_4: float) -> dict[str, float]:
    """Numbers of a place on a cylinder by symbol, from the size of the loaded circle to the ratio.

    Args:
        shell: The cylinder.
        place: The place.
        acting: Pressure "P" [Pa], radial force "F" [N], moments "M_x" and "M_y" [N·m] at the shell.
        C_4: 1.1 where the piping has room to expand, 1.0 for a rigid attachment [-].
    """
    f, e_c, d, D = shell.allowable, place.e_c, place.d, shell.mean_diameter
    size = formula.lambda_cylinder(d, D, e_c)
    # At a pad's edge no nozzle wall stiffens the shell: the curve of the thin nozzle.
    r = shell_load.nozzle_to_shell(place.stiffening["e_b"], e_c) if place.stiffening else THIN
    C_1, C_2 = formula.cylinder_force_factor(size), formula.circumferential_moment_factor(size)
    C_3 = formula.longitudinal_moment_factor(size, r)
    F_max = formula.cylinder_force_limit(f, e_c, C_1)
    MX_max = formula.circumferential_moment_limit(f, e_c, d, C_2)
    MY_max = formula.longitudinal_moment_limit(f, e_c, d, C_3)
    Phi_P = shell_load.pressure_share(acting["P"], place.P_max)
    Phi_Z = shell_load.force_share(acting["F"], F_max)
    Phi_B = shell_load.moment_share(acting["M_x"], acting["M_y"], MX_max, MY_max)
    return {
        "f": f, "D": D, "d": d, "e_c": e_c, "r": r, "lambda_C": size, "C_1": C_1, "C_2": C_2, "C_3": C_3, "C_4": C_4,
        "P_max": place.P_max, "F_max": F_max, "MX_max": MX_max, "MY_max": MY_max,
        "Phi_P": Phi_P, "Phi_Z": Phi_Z, "Phi_B": Phi_B, "ratio": formula.cylinder_interaction(Phi_P, Phi_Z, Phi_B, C_4),
    }  # fmt: skip


def _on_sphere(shell: Shell, place: Place, acting: Mapping[str, float]) -> dict[str, float]:
    """The same on a sphere."""
    f, e_c, d, R = shell.allowable, place.e_c, place.d, shell.mean_diameter / 2
    size = formula.lambda_sphere(d, R, e_c)
    own = place.stiffening
    kappa = formula.nozzle_stiffening(own["f_b"], own["e_b"], f, e_c, d) if own else 0.0
    F_max = formula.sphere_force_limit(f, e_c, size, kappa)
    M_max = formula.sphere_moment_limit(f, e_c, d, size, kappa)
    M = shell_load.resultant_bending(acting["M_x"], acting["M_y"])
    Phi_P = shell_load.pressure_share(acting["P"], place.P_max)
    Phi_Z, Phi_B = shell_load.force_share(acting["F"], F_max), shell_load.single_moment_share(M, M_max)
    return {
        "f": f, "R": R, "d": d, "e_c": e_c, "lambda_S": size, "kappa": kappa, "P_max": place.P_max, "F_max": F_max,
        "M_max": M_max, "M": M, "Phi_P": Phi_P, "Phi_Z": Phi_Z, "Phi_B": Phi_B,
        "ratio": formula.sphere_interaction(Phi_P, Phi_Z, Phi_B),
    }  # fmt: skip


def _wall(branch: Branch, load: ShellLoad, pressure: float) -> Finding:
    moment = shell_load.resultant_bending(load.circumferential, load.longitudinal)
    return Finding(
        IN_WALL,
        formula.nozzle_wall_stress(pressure, load.radial, moment, branch.mean_diameter, branch.thickness),
        branch.allowable,
        "Pa",
        "EN 13445-3 clauses 16.4 and 16.5, stress in the nozzle, from memory",
        f"{ESTIMATE}; buckling of the wall not included",
        "memory",
        {
            "M_x": load.circumferential,
            "M_y": load.longitudinal,
            "M": moment,
            "F": load.radial,
            "P": pressure,
            "d": branch.mean_diameter,
            "e_b": branch.thickness,
        },
    )
