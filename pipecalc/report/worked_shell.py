"""A vessel's shell at a nozzle or an attachment worked out: the formulas of the place that governs, in their order."""

from collections.abc import Callable
from typing import Any

from pipecalc.calc import shell, shell_line_load, shell_load, shell_pressure
from pipecalc.report.format import Display
from pipecalc.report.worked import Group, explained, judged, to_demand
from pipecalc.results import Check

Function = Callable[..., Any]
NOZZLE_SHELL, ATTACHMENT = "shell at nozzle", "shell at attachment"

_MOVED = (shell_load.circumferential_moment, shell_load.longitudinal_moment)
_CYLINDER: tuple[Function, ...] = (
    *_MOVED,
    shell_load.carrying_thickness,
    shell.lambda_cylinder,
    shell.cylinder_force_factor,
    shell.cylinder_force_limit,
    shell.circumferential_moment_factor,
    shell.circumferential_moment_limit,
    shell_load.nozzle_to_shell,
    shell.longitudinal_moment_factor,
    shell.longitudinal_moment_limit,
    shell_pressure.cylinder_pressure,
    shell_pressure.cylinder_opening_pressure,
    shell_load.pressure_carried,
    shell_load.pressure_share,
    shell_load.force_share,
    shell_load.moment_share,
    shell.cylinder_interaction,
)
_SPHERE: tuple[Function, ...] = (
    *_MOVED,
    shell_load.resultant_bending,
    shell_load.carrying_thickness,
    shell.lambda_sphere,
    shell.nozzle_stiffening,
    shell.sphere_force_limit,
    shell.sphere_moment_limit,
    shell_pressure.sphere_pressure,
    shell_pressure.sphere_opening_pressure,
    shell_load.pressure_carried,
    shell_load.pressure_share,
    shell_load.force_share,
    shell_load.single_moment_share,
    shell.sphere_interaction,
)
_WALL: tuple[Function, ...] = (*_MOVED, shell_load.resultant_bending, shell.nozzle_wall_stress)
_LINE_LOAD: tuple[Function, ...] = (
    shell_line_load.circumferential_line_load,
    shell_line_load.longitudinal_line_load,
    shell_line_load.circumferential_stress,
    shell_line_load.longitudinal_stress,
    shell_line_load.stress_limit,
)
#: Formulas by a symbol that only the numbers of that place hold.
BY_SYMBOL: dict[str, tuple[Function, ...]] = {
    "lambda_C": _CYLINDER,
    "lambda_S": _SPHERE,
    "F_A": _LINE_LOAD,
    "e_b": _WALL,
}


def shell_functions(check: Check) -> tuple[Function, ...]:
    """The formulas from the numbers of a shell check to its demand; a pad is left out where there is none."""
    found = next((functions for symbol, functions in BY_SYMBOL.items() if symbol in check.inputs), ())
    has_pad = check.inputs.get("e_p", 0.0) != 0.0
    return tuple(f for f in found if has_pad or f is not shell_load.carrying_thickness)


def worked_shell(check: Check, display: Display, told: set[tuple[str, str]]) -> list[Group]:
    """The working of a shell check; nothing where its formulas do not lead to its own demand.

    Args:
        check: A check of a shell at a nozzle or an attachment.
        display: Units.
        told: Symbols explained before; those explained here are added.
    """
    steps = tuple(to_demand(shell_functions(check), check, display))
    if not steps:
        return []
    place = check.reason.partition(";")[0]
    name = check.check[:1].upper() + check.check[1:]
    title = f"{name} {check.subject}, the worst of its item, case “{check.case}”"
    return [Group(title, steps, tuple(explained(steps, told)), place, judged(check, display))]
