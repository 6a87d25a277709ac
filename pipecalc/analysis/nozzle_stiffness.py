"""How far shells give way at nozzles: the user's values, else estimates, else rigid.

Nozzles have the shell's flexibility in three of six directions: along R and about L and C. Estimates take walls as
they are drawn, a pad wherever there is one, and cold moduli, all of which stiffens and overstates loads.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from math import inf, isfinite, isinf, nan

from pipecalc.analysis.findings import segment_at
from pipecalc.analysis.frame_arrays import LEAST_SHIFT, LEAST_TURN
from pipecalc.analysis.shells import OFF_CENTRE, from_axis, no_shell, not_radial, shell_part
from pipecalc.calc.frame import POISSON
from pipecalc.calc.material import modulus_at
from pipecalc.calc.section import metal_area, moment_of_inertia
from pipecalc.calc.shell_stiffness import (
    LARGEST_BRANCH,
    THINNEST_SHELL,
    circumferential_flexibility,
    longitudinal_flexibility,
    rotation_stiffness,
    sphere_radial_stiffness,
)
from pipecalc.checks.nozzles.geometry import is_along, norm
from pipecalc.model import Equipment, Nozzle, Plant, Segment
from pipecalc.results import Assumption

BENDING = "ASME III NB-3686.5, from memory: unverified, check against your copy"
SPHERE = (
    "Roark's Formulas for Stress and Strain, spherical shell under a load on a small circle, from memory: unverified"
)
_RADIAL, _ABOUT_L, _ABOUT_C = "along R", "about L", "about C"
_DEGREE = 0.017453292519943295


@dataclass(frozen=True, slots=True)
class NozzleStiffness:
    """Stiffness of the shell at a nozzle, infinite where it is rigid.

    Attributes:
        radial: Along R [N/m].
        about_l: Against turning about L [N·m/rad].
        about_c: Against turning about C [N·m/rad].
        sources: Where each finite one comes from, by direction.
        rigid: Why a direction stays rigid, by direction.
    """

    radial: float
    about_l: float
    about_c: float
    sources: tuple[tuple[str, str], ...] = ()
    rigid: tuple[tuple[str, str], ...] = ()

    @property
    def gives_way(self) -> bool:
        """Whether it does in any direction."""
        return not all(isinf(value) for value in (self.radial, self.about_l, self.about_c))


RIGID = NozzleStiffness(inf, inf, inf)


def nozzle_stiffness(nozzle: Nozzle, plant: Plant) -> NozzleStiffness:
    """Stiffness of the shell at a nozzle, rigid in every direction where its model is not the shell's.

    A stiffness beyond which the nozzle's own pipe gives way a hundred times as much along a length of its diameter
    (ten thousand times in bending) is rigid: the frame cannot tell the two apart.
    """
    segment = segment_at(nozzle.point, plant) if nozzle.point is not None else None
    if nozzle.stiffness_model != "shell" or segment is None:
        return RIGID
    item = plant.equipment[nozzle.equipment]
    modulus = modulus_at(segment.material, plant.project.installation_temperature)
    d, t = nozzle.outside_diameter, _neck(nozzle, segment)
    stiff_shift = modulus * metal_area(d, t) / (LEAST_SHIFT * d)
    stiff_turn = modulus * moment_of_inertia(d, t) / (LEAST_TURN * d)
    values: list[float] = []
    sources: list[tuple[str, str]] = []
    rigid: list[tuple[str, str]] = []
    turns = _turns(nozzle, item, modulus, t)
    for direction, given, (estimate, told), limit in (
        (_RADIAL, nozzle.radial_stiffness, _radial(nozzle, item, plant), stiff_shift),
        (_ABOUT_L, nozzle.stiffness_l, turns[0], stiff_turn),
        (_ABOUT_C, nozzle.stiffness_c, turns[1], stiff_turn),
    ):
        value, source = (estimate, told) if given is None else (given, "the user's value")
        values.append(value if isfinite(value) and value < limit else inf)
        if isfinite(values[-1]):
            sources.append((direction, source))
        elif not isfinite(value):
            rigid.append((direction, source))
    return NozzleStiffness(values[0], values[1], values[2], tuple(sources), tuple(rigid))


def _neck(nozzle: Nozzle, segment: Segment) -> float:
    if nozzle.neck_wall is not None:
        return nozzle.neck_wall
    return (segment.section if segment.start_key == nozzle.point else segment.end_section).wall


def _turns(nozzle: Nozzle, item: Equipment, modulus: float, t: float) -> tuple[tuple[float, str], tuple[float, str]]:
    """Estimates about L and C with their source; NaN with the reason. L is the cylinder's axis."""
    reason = no_shell(item) or not_radial(nozzle, item)
    if reason:
        return (nan, reason), (nan, reason)
    along, _ = from_axis(item, nozzle.at)
    D, T = item.outside_diameter or nan, shell_part(item, along)[0] + (nozzle.pad_thickness or 0.0)
    d, inertia = nozzle.outside_diameter, moment_of_inertia(nozzle.outside_diameter, t)
    factors = circumferential_flexibility(D, T, d, t), longitudinal_flexibility(D, T, d, t)
    limits = f"beyond the limits d/D {LARGEST_BRANCH:g} and D/T {THINNEST_SHELL:g} of the estimate"
    about_l, about_c = (
        (rotation_stiffness(modulus, inertia, k, d), BENDING if isfinite(k) else limits) for k in factors
    )
    return about_l, about_c


def _radial(nozzle: Nozzle, item: Equipment, plant: Plant) -> tuple[float, str]:
    """Estimate along R: on the middle of a head as on a sphere; NaN with the reason elsewhere."""
    along, offset = from_axis(item, nozzle.at)
    if not is_along(nozzle.axes[0], item.axis):
        return nan, "no estimate is made for a force on a cylinder; Radial stiffness may be given"
    if item.crown_radius is None or item.head_wall is None:
        return nan, f"Head crown radius or Head thickness of {item.name} not given"
    if norm(offset) > OFF_CENTRE * 2 * item.crown_radius:
        return nan, "the nozzle stands beside the middle of its head"
    wall = item.head_wall + (nozzle.pad_thickness or 0.0)
    modulus = modulus_at(shell_part(item, along)[1], plant.project.installation_temperature)
    mean, circle = item.crown_radius + item.head_wall / 2, nozzle.outside_diameter / 2
    stiffness = sphere_radial_stiffness(modulus, POISSON, mean, wall, circle)
    return stiffness, SPHERE if isfinite(stiffness) else "the nozzle is too large for the estimate on its head"


def stiffness_assumptions(plant: Plant) -> Iterator[Assumption]:
    """How nozzles are held, in words."""
    shells = {n.name: nozzle_stiffness(n, plant) for n in plant.nozzles.values() if n.point is not None}
    flexible = {name: found for name, found in shells.items() if found.gives_way}
    others = "other nozzles" if flexible else "nozzles"
    yield Assumption(others, "rigid, moving with the equipment", "no shell stiffness acts", "Nozzles")
    for name, found in flexible.items():
        sources = "; ".join(f"{direction}: {source}" for direction, source in found.sources)
        yield Assumption(f"shell at nozzle {name}", _words(found), sources, str(plant.nozzles[name].source))
    if flexible:
        yield Assumption(
            "place of a shell's flexibility",
            "at the flange face, in three directions each by itself; the others are rigid",
            "the neck between shell and flange is left out",
            "Nozzles",
        )


def _words(found: NozzleStiffness) -> str:
    parts = {
        _RADIAL: (found.radial / 1e3, "N/mm"),
        _ABOUT_L: (found.about_l * _DEGREE, "N·m/deg"),
        _ABOUT_C: (found.about_c * _DEGREE, "N·m/deg"),
    }
    return ", ".join(f"{name} {value:.4g} {unit}" for name, (value, unit) in parts.items() if isfinite(value))


def stiffness_not_checked(plant: Plant) -> Iterator[str]:
    """Directions in which nozzles stay rigid though their shell's flexibility was asked for."""
    for nozzle in plant.nozzles.values():
        for direction, reason in nozzle_stiffness(nozzle, plant).rigid:
            yield f"Flexibility of the shell at {nozzle.name}, {direction}: rigid, which overstates loads; {reason}."
        if nozzle.stiffness_model == "shell" and nozzle.point is None:
            yield f"Flexibility of the shell at {nozzle.name}: no line is connected."
