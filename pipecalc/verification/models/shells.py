"""Shells at nozzles and attachments: factors, limits and verdicts, and how far a shell gives way."""

from pipecalc.calc import shell, shell_stiffness
from pipecalc.checks.finding import Finding
from pipecalc.checks.shells.attachment import Attachment, attachment_check
from pipecalc.checks.shells.en_13445 import AT_NOZZLE, AT_PAD, IN_WALL, shell_check
from pipecalc.checks.shells.vessel import Branch, Shell, ShellLoad, load_at_shell
from pipecalc.results import NozzleLoad
from pipecalc.verification.models import Numbers

_FAR = 1.0  # m to the next discontinuity and along the neck: no limit of the method


def factors(lambda_C: float, r: float) -> Numbers:
    """Factors of force and moments on a cylinder."""
    return {
        "C_1": shell.cylinder_force_factor(lambda_C),
        "C_2": shell.circumferential_moment_factor(lambda_C),
        "C_3": shell.longitudinal_moment_factor(lambda_C, r),
    }


def cylinder_together(Phi_P: float, Phi_Z: float, Phi_B: float, C_4: float) -> Numbers:
    """Pressure, force and moments together on a cylinder."""
    return {"ratio": shell.cylinder_interaction(Phi_P, Phi_Z, Phi_B, C_4)}


def sphere_together(Phi_P: float, Phi_Z: float, Phi_B: float) -> Numbers:
    """Pressure, force and moment together on a sphere."""
    return {"ratio": shell.sphere_interaction(Phi_P, Phi_Z, Phi_B)}


def nozzle(
    shape: str, D_o: float, e: float, f: float, d_o: float, e_b: float, f_b: float, P: float, F: float,
    M_x: float, M_y: float, e_p: float = 0.0, w_p: float = 0.0, f_p: float = 0.0,
) -> Numbers:  # fmt: skip
    """Verdict on a nozzle whose piping has room to expand: limits and ratios of its places, stress in its wall."""
    branch = Branch(d_o, e_b, f_b, _FAR, e_p, w_p, f_p, _FAR)
    lines = shell_check(Shell(shape, D_o, e, f), branch, ShellLoad(F, M_x, M_y), P, can_expand=True)
    return {name: value for line in lines for name, value in _of_place(line).items()}


def _of_place(line: Finding) -> Numbers:
    place = line.method.split(",")[0]
    if place == IN_WALL:
        return {"stress in the wall": line.demand}
    numbers = {name: float(value) for name, value in line.inputs.items()} | {"ratio": line.demand}
    return {f"{name}{_PLACES[place]}": value for name, value in numbers.items()}


_PLACES = {AT_NOZZLE: "", AT_PAD: ", pad's edge"}


def wall(P: float, F: float, M: float, d: float, e_b: float) -> Numbers:
    """Longitudinal stress in a nozzle's wall."""
    return {"stress": shell.nozzle_wall_stress(P, F, M, d, e_b)}


def moved_to_shell(FR: float, FL: float, FC: float, MR: float, ML: float, MC: float, p: float) -> Numbers:
    """A nozzle's load moved from its flange face to the shell."""
    at_face = NozzleLoad("N", "", FR, FL, FC, MR, ML, MC, (0.0, 0.0, 0.0), (0.0, 0.0, 0.0))
    found = load_at_shell(at_face, p)
    return {"radial": found.radial, "circumferential": found.circumferential, "longitudinal": found.longitudinal}


def attachment(
    D_o: float, t: float, f: float, r: float, F: float, M_c: float, M_l: float, P: float, factor: float
) -> Numbers:
    """Verdict on a round attachment of a cylinder: two stresses by line load, and the loaded circle."""
    shell_ = Shell("cylinder", D_o, t, f)
    along, around, circle = attachment_check(
        shell_, Attachment(r), ShellLoad(F, M_c, M_l), P, stress_factor=factor
    )  # fmt: skip
    return {"stress along": along.demand, "stress around": around.demand, "limit": along.limit, "circle": circle.demand}


def flexibility(D: float, T: float, d: float, t: float) -> Numbers:
    """Flexibility factors of a nozzle on a cylinder."""
    return {
        "k about the axis": shell_stiffness.circumferential_flexibility(D, T, d, t),
        "k along the axis": shell_stiffness.longitudinal_flexibility(D, T, d, t),
    }


def rotation(E: float, I: float, k: float, d: float) -> Numbers:
    """Spring of a nozzle against turning, as the moment that turns it by 0.001 rad."""
    return {"moment": 1e-3 * shell_stiffness.rotation_stiffness(E, I, k, d)}


def sphere(E: float, nu: float, R: float, e: float, r: float) -> Numbers:
    """Deflection of a sphere under 1 kN on a small circle, and the factor A of it."""
    deflection = 1e3 / shell_stiffness.sphere_radial_stiffness(E, nu, R, e, r)
    return {"deflection": deflection, "A": deflection * E * e**2 / (1e3 * R * (1 - nu**2) ** 0.5)}
