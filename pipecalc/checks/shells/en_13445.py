"""Shell capacity at a nozzle after EN 13445-3 clauses 16.4 (sphere) and 16.5 (cylinder).

An estimate where no allowable is given, never a vendor's value. Coefficients are from memory: verify against the
edition of record. Shear forces and torsion are not part of the check.
"""

from dataclasses import dataclass
from math import hypot, isfinite, nan, sqrt

from pipecalc.calc import shell as formula
from pipecalc.calc import shell_pressure
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
AT_NOZZLE, AT_PAD, IN_WALL = "shell at the nozzle", "shell at the pad's edge", "nozzle wall"


@dataclass(frozen=True, slots=True)
class Place:
    """Where the shell is checked.

    Attributes:
        name: In words.
        d: Diameter of the loaded circle [m].
        e_c: Thickness that carries [m].
        wall: Thickness of the nozzle that stiffens the shell [m]; 0 at a pad's edge.
        wall_allowable: Its allowable stress [Pa].
        P_max: Pressure carried [Pa].
    """

    name: str
    d: float
    e_c: float
    wall: float
    wall_allowable: float
    P_max: float


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
    counted = pad.thickness * min(pad.allowable / shell.allowable, 1.0) if pad.thickness > 0 else 0.0
    opening = (
        shell_pressure.cylinder_opening_pressure if shell.shape == CYLINDER else shell_pressure.sphere_opening_pressure
    )
    P_max = opening(
        shell.inside_radius,
        shell.thickness,
        branch.outside_diameter,
        branch.thickness,
        pad.thickness,
        pad.width,
        shell.allowable,
        branch.allowable,
        pad.allowable if pad.thickness > 0 else shell.allowable,
    )
    return Place(
        AT_NOZZLE,
        branch.mean_diameter,
        shell.thickness + counted,
        branch.thickness,
        branch.allowable,
        min(P_max, _plain_pressure(shell)),
    )


def _at_edge(shell: Shell, branch: Branch, pad: Pad) -> Place:
    return Place(AT_PAD, branch.outside_diameter + 2 * pad.width, shell.thickness, 0.0, 0.0, _plain_pressure(shell))


def _plain_pressure(shell: Shell) -> float:
    if shell.shape == CYLINDER:
        return shell_pressure.cylinder_pressure(shell.allowable, shell.thickness, shell.mean_diameter)
    return shell_pressure.sphere_pressure(shell.allowable, shell.thickness, shell.mean_diameter / 2)


def _line(
    shell: Shell, branch: Branch, load: ShellLoad, pressure: float, place: Place, can_expand: bool, remark: str
) -> Finding:
    size, limits = _limits(shell, place)
    F_max, MX_max, MY_max = limits
    Phi_P, Phi_Z = pressure / place.P_max, load.radial / F_max
    Phi_B = hypot(load.circumferential / MX_max, load.longitudinal / MY_max)
    C_4 = WITH_ROOM if can_expand else RIGID
    together = (
        formula.cylinder_interaction(Phi_P, Phi_Z, Phi_B, C_4)
        if shell.shape == CYLINDER
        else formula.sphere_interaction(Phi_P, Phi_Z, Phi_B)
    )
    # Room to expand must not excuse a pressure above the one carried.
    demand = max(together, Phi_P) if isfinite(together) else nan
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
        {
            "lambda": size,
            "e_c": place.e_c,
            "d": place.d,
            "P_max": place.P_max,
            "F_max": F_max,
            "MX_max": MX_max,
            "MY_max": MY_max,
            "Phi_P": Phi_P,
            "Phi_Z": Phi_Z,
            "Phi_B": Phi_B,
            **({"C_4": C_4} if shell.shape == CYLINDER else {}),
        },
    )


def _limits(shell: Shell, place: Place) -> tuple[float, tuple[float, float, float]]:
    """Size of the loaded circle, and force, circumferential and longitudinal moment that the shell carries there."""
    f, e_c, d = shell.allowable, place.e_c, place.d
    if shell.shape == SPHERE:
        return _sphere_limits(f, e_c, d, shell.mean_diameter / 2, place)
    size = formula.lambda_cylinder(d, shell.mean_diameter, e_c)
    # At a pad's edge no nozzle wall stiffens the shell: the curve of the thin nozzle.
    r = place.wall / e_c if place.wall > 0 else 0.2
    C_1, C_2 = formula.cylinder_force_factor(size), formula.circumferential_moment_factor(size)
    C_3 = formula.longitudinal_moment_factor(size, r)
    F_max = formula.cylinder_force_limit(f, e_c, C_1)
    return size, (
        F_max,
        formula.cylinder_moment_limit(f, e_c, d, C_2),
        formula.cylinder_moment_limit(f, e_c, d, C_3),
    )


def _sphere_limits(f: float, e_c: float, d: float, R: float, place: Place) -> tuple[float, tuple[float, float, float]]:
    size = formula.lambda_sphere(d, R, e_c)
    stiffens = place.wall > 0
    kappa = formula.nozzle_stiffening(place.wall_allowable, place.wall, f, e_c, d) if stiffens else 0.0
    M_max = formula.sphere_moment_limit(f, e_c, d, size, kappa)
    return size, (formula.sphere_force_limit(f, e_c, size, kappa), M_max, M_max)


def _wall(branch: Branch, load: ShellLoad, pressure: float) -> Finding:
    moment = hypot(load.circumferential, load.longitudinal)
    return Finding(
        IN_WALL,
        formula.nozzle_wall_stress(pressure, load.radial, moment, branch.mean_diameter, branch.thickness),
        branch.allowable,
        "Pa",
        "EN 13445-3 clauses 16.4 and 16.5, stress in the nozzle, from memory",
        f"{ESTIMATE}; buckling of the wall not included",
        "memory",
        {"M": moment, "F": load.radial, "P": pressure, "d": branch.mean_diameter, "e_b": branch.thickness},
    )
