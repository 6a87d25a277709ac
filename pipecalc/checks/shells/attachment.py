"""Local stress of a vessel's shell at a clip, bracket or trunnion that carries a pipe support: two estimates."""

from dataclasses import dataclass
from math import isfinite, nan

from pipecalc.calc import shell_line_load, shell_pressure
from pipecalc.checks.finding import Finding, sentence
from pipecalc.checks.shells.en_13445 import RIGID, THICKEST, Place, on_cylinder
from pipecalc.checks.shells.en_13445 import THINNEST as THINNEST_WALL
from pipecalc.checks.shells.vessel import CYLINDER, Shell, ShellLoad

LINE_LOAD = "line load"
ALONG, AROUND = f"{LINE_LOAD}, longitudinal", f"{LINE_LOAD}, circumferential"
EDGE = "loaded circle"
KELLOGG = "M. W. Kellogg Co., Design of Piping Systems, 1956, pipe attachments"
CIRCLE = "after EN 13445-3 clause 16.5, shell at the edge of a pad; from memory, extended to attachments by judgement"
ESTIMATE = "estimate for screening; shear and torsion not included"
#: Range in which the line load is used, by judgement: radius of the attachment over that of the shell, shell R/t.
SMALLEST, LARGEST = 0.3, 0.9
THINNEST = 100.0


@dataclass(frozen=True, slots=True)
class Attachment:
    """A round attachment, or the circle of equal outline that stands for another shape.

    Attributes:
        radius: Outside radius, at the edge of its pad where it has one [m].
    """

    radius: float


def attachment_check(
    shell: Shell, attachment: Attachment, load: ShellLoad, pressure: float, *, stress_factor: float
) -> tuple[Finding, ...]:
    """Line load and loaded circle.

    Args:
        shell: The cylinder that carries the attachment.
        attachment: The attachment.
        load: Load at the shell; see ``attachment_load``.
        pressure: Gauge pressure inside [Pa].
        stress_factor: Times the allowable stress for bending and pressure together, a choice of the project.

    Returns:
        Longitudinal and circumferential stress by line load, then the loaded circle; NaN with a reason outside the
        range of a method.
    """
    lacking = _lacking(shell, attachment, load, pressure, stress_factor)
    if lacking:
        return (Finding(LINE_LOAD, nan, nan, "Pa", KELLOGG, lacking, "memory"),)
    return (*_line_loads(shell, attachment, load, pressure, stress_factor), _circle(shell, attachment, load, pressure))


def _lacking(shell: Shell, attachment: Attachment, load: ShellLoad, pressure: float, stress_factor: float) -> str:
    needed = {
        "outside diameter of the shell": shell.outside_diameter,
        "thickness of the shell": shell.thickness,
        "allowable stress of the shell": shell.allowable,
        "size of the attachment": attachment.radius,
        "factor on the allowable stress": stress_factor,
    }
    lacking = [what for what, value in needed.items() if not (isfinite(value) and value > 0)]
    if lacking:
        return f"not known: {', '.join(lacking)}"
    if shell.shape != CYLINDER:
        return "the estimates are for cylinders"
    if not isfinite(load.radial + load.circumferential + load.longitudinal):
        return "the load at the shell is not known"
    return "" if pressure >= 0 else "external or unknown pressure is not covered"


def _line_loads(
    shell: Shell, attachment: Attachment, load: ShellLoad, pressure: float, stress_factor: float
) -> tuple[Finding, Finding]:
    R, t, r = shell.outside_diameter / 2, shell.thickness, attachment.radius
    F_A, M_C, M_L = abs(load.radial), abs(load.circumferential), abs(load.longitudinal)
    f_1 = shell_line_load.circumferential_line_load(F_A, M_C, r)
    f_2 = shell_line_load.longitudinal_line_load(F_A, M_L, r)
    outside = _outside_range(r / R, R / t)
    limit = nan if outside else shell_line_load.stress_limit(stress_factor, shell.allowable)
    inputs = {"R": R, "t": t, "r": r, "P": pressure, "n": stress_factor, "f": shell.allowable, "F_A": F_A}
    along = shell_line_load.longitudinal_stress(f_2, R, t, pressure)
    around = shell_line_load.circumferential_stress(f_1, R, t, pressure)
    said = sentence(outside, ESTIMATE)
    return (
        Finding(ALONG, along, limit, "Pa", KELLOGG, said, "confirmed", {**inputs, "M_L": M_L, "f_2": f_2}),
        Finding(AROUND, around, limit, "Pa", KELLOGG, said, "confirmed", {**inputs, "M_C": M_C, "f_1": f_1}),
    )


def _outside_range(radii: float, slenderness: float) -> str:
    if not SMALLEST <= radii <= LARGEST:
        return f"attachment/shell radius {radii:.2f} is outside {SMALLEST:g} to {LARGEST:g}"
    return f"shell R/t {slenderness:.0f} is above {THINNEST:g}" if slenderness > THINNEST else ""


def _circle(shell: Shell, attachment: Attachment, load: ShellLoad, pressure: float) -> Finding:
    f, e, D = shell.allowable, shell.thickness, shell.mean_diameter
    P_s = shell_pressure.cylinder_pressure(f, e, D)
    acting = {"P": pressure, "F": load.radial, "M_x": load.circumferential, "M_y": load.longitudinal}
    place = Place(EDGE, 2 * attachment.radius, e, P_s, {}, {"e": e, "P_s": P_s})
    found = on_cylinder(shell, place, acting, RIGID)
    is_thin = THINNEST_WALL <= e / D <= THICKEST
    is_inside = is_thin and isfinite(found["F_max"])
    reason = "" if is_inside else "the shell or the attachment is outside the limits of clause 16.5"
    return Finding(
        EDGE,
        found["ratio"],
        nan if reason else 1.0,
        "1",
        CIRCLE,
        sentence(reason, ESTIMATE),
        "memory",
        {**acting, **place.behind, **{name: value for name, value in found.items() if name != "ratio"}},
    )
