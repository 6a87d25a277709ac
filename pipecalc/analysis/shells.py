"""Verdicts on shells at nozzles: what the vessel itself can carry, an estimate beside any allowable."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import isfinite, nan

from pipecalc.analysis.equipment import FIXED, HORIZONTAL
from pipecalc.analysis.findings import About, not_made, segment_at, state_of, told_once, verdict
from pipecalc.calc.material import Material, allowable_at
from pipecalc.checks.finding import all_must_hold, sentence
from pipecalc.checks.nozzles.geometry import dot, is_along, is_square, minus, norm
from pipecalc.checks.shells.en_13445 import shell_check
from pipecalc.checks.shells.vessel import CYLINDER, SPHERE, Branch, Shell, load_at_shell
from pipecalc.model import Equipment, Line, Nozzle, Plant, Segment, State, Vector
from pipecalc.results import Case, Check, NozzleLoad

SHELL_CHECK = "shell at nozzle"
#: A nozzle whose axis misses that of its shell by more than this share of the shell's diameter is not radial.
OFF_CENTRE = 0.01


@dataclass(frozen=True, slots=True)
class ShellPlace:
    """The shell at a place.

    Attributes:
        shell: Its dimensions and strength; NaN where not known.
        to_shell: From the place inward to the outside of the shell [m]; NaN where not known.
        reason: Why no method holds there, or which column is blank.
        remark: What was taken.
    """

    shell: Shell
    to_shell: float
    reason: str = ""
    remark: str = ""


def shell_checks(plant: Plant, loads: Sequence[NozzleLoad], cases: Sequence[Case]) -> Iterator[Check]:
    """One verdict for every nozzle of a vessel and case, as screening; the pressure test is left out.

    A nozzle of an item without diameter and wall gets a verdict, NOT CHECKED, only where it has no allowable set.
    """
    working = {case.case: case for case in cases if case.kind not in ("test", "range")}
    by_nozzle: dict[str, list[NozzleLoad]] = defaultdict(list)
    for load in loads:
        if load.case in working:
            by_nozzle[load.nozzle].append(load)
    for nozzle in plant.nozzles.values():
        item = plant.equipment[nozzle.equipment]
        segment = segment_at(nozzle.point, plant) if nozzle.point else None
        if segment is None:
            continue
        about = About(SHELL_CHECK, nozzle.name, nozzle.source, segment.line, segment_point(nozzle), screening=True)
        lacking = no_shell(item)
        if lacking and not nozzle.sets:
            yield not_made(about, lacking)
        elif not lacking:
            own = [(load, state_of(working[load.case], plant)) for load in by_nozzle[nozzle.name]]
            yield from told_once(_of_nozzle(about, nozzle, item, segment, own, plant))


def segment_point(nozzle: Nozzle) -> str:
    """Point of the line at the nozzle."""
    return nozzle.point[1] if nozzle.point else ""


def no_shell(item: Equipment) -> str:
    """Why an item is not taken as a shell; empty where it is."""
    if item.kind == FIXED:
        return f"{item.name} is a fixed item and not taken as a shell"
    wanting = {"Outside diameter": item.outside_diameter, "Wall thickness": item.wall}
    missing = [title for title, value in wanting.items() if value is None]
    return f"{' and '.join(missing)} of {item.name} not given" if missing else ""


def _of_nozzle(
    about: About,
    nozzle: Nozzle,
    item: Equipment,
    segment: Segment,
    loads: Sequence[tuple[NozzleLoad, State]],
    plant: Plant,
) -> Iterator[Check]:
    place = _place(nozzle, item)
    if place.reason:
        yield not_made(about, place.reason)
        return
    projection = place.to_shell if nozzle.projection is None else nozzle.projection
    branch, taken = _branch(nozzle, segment, plant.lines[segment.line], place.shell, projection, item)
    told = "" if nozzle.projection is not None else f"projection from coordinates, {projection * 1e3:.0f} mm"
    for load, state in loads:
        pressure, source = inside_pressure(item, plant, state)
        lines = shell_check(place.shell, branch, load_at_shell(load, projection), pressure, can_expand=False)
        at_face = {name: load.components[name] for name in ("FL", "FC", "ML", "MC")} | {"p_n": projection}
        deciding = all_must_hold(lines)
        deciding = replace(deciding, inputs={**at_face, **deciding.inputs})
        yield verdict(about, load.case, deciding, lines, sentence(place.remark, taken, told, source))


def _place(nozzle: Nozzle, item: Equipment) -> ShellPlace:
    outward = nozzle.axes[0]
    if is_along(outward, item.axis):
        return _head(nozzle, item)
    place, reason = cylinder_at(item, nozzle.at), not_radial(nozzle, item)
    return ShellPlace(place.shell, nan, reason) if reason else place


def not_radial(nozzle: Nozzle, item: Equipment) -> str:
    """Why a nozzle does not stand radially on the cylinder of an item with a diameter; empty where it does."""
    outward = nozzle.axes[0]
    if is_along(outward, item.axis):
        return "the nozzle is on a head"
    if not is_square(outward, item.axis):
        return "the nozzle is neither square to the item's axis nor along it"
    _, offset = from_axis(item, nozzle.at)
    height = dot(offset, outward)
    beside = norm(minus(offset, (height * outward[0], height * outward[1], height * outward[2])))
    if beside > OFF_CENTRE * (item.outside_diameter or 0.0):
        return f"the nozzle is not radial: its axis misses the shell's by {beside:.3f} m"
    return ""


def _head(nozzle: Nozzle, item: Equipment) -> ShellPlace:
    """A head as a sphere of its crown radius; only a nozzle on its middle is radial."""
    along, offset = from_axis(item, nozzle.at)
    wall, material = item.head_wall, shell_part(item, along)[1]
    given = {"Head crown radius": item.crown_radius, "Head thickness": item.head_wall}
    missing = [title for title, value in given.items() if value is None]
    allowable, reason = strength(item, material)
    if missing or item.crown_radius is None or wall is None:
        reason = sentence(f"{' and '.join(missing)} of {item.name} not given", reason)
        return ShellPlace(Shell(SPHERE, nan, nan, allowable), nan, reason)
    if norm(offset) > OFF_CENTRE * 2 * item.crown_radius:
        reason = sentence(f"the nozzle is not radial: it stands {norm(offset):.3f} m beside the head's middle", reason)
    shell = Shell(SPHERE, 2 * (item.crown_radius + wall), wall - (item.corrosion_allowance or 0.0), allowable)
    remark = sentence("head taken as a sphere of its crown radius", _nominal(item))
    return ShellPlace(shell, nan, reason or _no_projection(nozzle), remark)


def _no_projection(nozzle: Nozzle) -> str:
    return "Projection is not given; for a nozzle on a head it does not follow from coordinates" * (
        nozzle.projection is None
    )


def cylinder_at(item: Equipment, at: Vector) -> ShellPlace:
    """The cylinder of an item at a place, with the wall and material of its zone there.

    Args:
        item: Item with diameter and wall.
        at: The place [m].
    """
    along, offset = from_axis(item, at)
    wall, material = shell_part(item, along)
    diameter = nan if item.outside_diameter is None else item.outside_diameter
    allowable, reason = strength(item, material)
    shell = Shell(CYLINDER, diameter, wall - (item.corrosion_allowance or 0.0), allowable)
    return ShellPlace(shell, norm(offset) - diameter / 2, reason, _nominal(item))


def _nominal(item: Equipment) -> str:
    return "" if item.corrosion_allowance is not None else "no corrosion allowance is given for the shell"


def from_axis(item: Equipment, at: Vector) -> tuple[float, Vector]:
    """Position along an item's axis [m] and the offset square to it [m]."""
    lift = (item.centreline_height or 0.0) if item.kind == HORIZONTAL else 0.0
    off = minus(at, (item.base[0], item.base[1], item.base[2] + lift))
    along = dot(off, item.axis)
    axis = item.axis
    return along, minus(off, (along * axis[0], along * axis[1], along * axis[2]))


def shell_part(item: Equipment, along: float) -> tuple[float, Material]:
    """Wall [m] and material of an item at a position along its axis: of the zone there, else the item's own."""
    zone = next((z for z in item.zones if z.start <= along <= z.end), None)
    wall = zone.wall if zone is not None and zone.wall is not None else item.wall
    return nan if wall is None else wall, zone.material if zone is not None else item.material


def strength(item: Equipment, material: Material) -> tuple[float, str]:
    """Allowable stress of a shell at its design temperature [Pa], NaN with a reason."""
    if item.design_temperature is None:
        return nan, f"Design temperature of {item.name} is not given"
    allowable = float(allowable_at(material, item.design_temperature))
    if isfinite(allowable):
        return allowable, ""
    at = f"{item.design_temperature:.0f} °C"
    return nan, f"no allowable stress of {material.name} at {at} is known; the Materials sheet must give it"


def inside_pressure(item: Equipment, plant: Plant, state: State) -> tuple[float, str]:
    """Gauge pressure inside an item [Pa] and where it comes from: its own, else the highest of its lines in the state.

    NaN where there is neither.
    """
    if item.design_pressure is not None:
        return item.design_pressure, "design pressure of the item"
    lines = {n.point[0] for n in plant.nozzles.values() if n.equipment == item.name and n.point is not None}
    found = [state.lines[name].pressure for name in lines if name in state.lines]
    return max(found, default=nan), "inside pressure taken from the connected lines"


def _branch(
    nozzle: Nozzle, segment: Segment, line: Line, shell: Shell, projection: float, item: Equipment
) -> tuple[Branch, str]:
    """The nozzle; what is not given of its neck is the connected pipe's."""
    own = nozzle.neck_wall
    material = segment.material
    temperature = nan if item.design_temperature is None else item.design_temperature
    branch = Branch(
        outside_diameter=nozzle.outside_diameter,
        thickness=net_wall(segment, line) if own is None else own,
        allowable=float(allowable_at(material, temperature)),
        projection=projection,
        pad_thickness=nozzle.pad_thickness or 0.0,
        pad_width=nan if nozzle.pad_width is None else nozzle.pad_width,
        pad_allowable=shell.allowable,
    )
    neck = "neck with wall and material of the pipe" if own is None else "neck with the material of the pipe"
    return branch, sentence(neck, "pad of the shell's material" if branch.pad_thickness else "")


def net_wall(segment: Segment, line: Line) -> float:
    """Wall of a pipe without under-tolerance and corrosion allowance [m]."""
    wall = segment.section.wall
    under = line.mill_tolerance * wall if line.mill_tolerance_length is None else line.mill_tolerance_length
    return wall - under - line.corrosion_allowance


def shells_not_checked(plant: Plant) -> Iterator[str]:
    """Nozzles whose shell is not looked at because their allowables stand instead, in sentences by reason."""
    by_reason: dict[str, list[str]] = defaultdict(list)
    for nozzle in plant.nozzles.values():
        reason = no_shell(plant.equipment[nozzle.equipment])
        if nozzle.point is not None and nozzle.sets and reason:
            by_reason[reason].append(nozzle.name)
    for reason, tags in by_reason.items():
        yield f"Strength of the shell at {', '.join(tags)}: {reason}."
