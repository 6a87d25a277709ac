"""How equipment grows: movement of nozzles and of supports carried by the shell, term by term.

Source: beam-free thermal growth from the fixed point, zone by zone; the usual procedure of piping design manuals
(skirt at its mean temperature, shell by zones, radius by the local zone). Common practice, no code clause.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from pipecalc.calc.material import Material, strain_between
from pipecalc.calc.remembered import remembered
from pipecalc.model import OPERATING, Equipment, Nozzle, Plant, Project, State, Support, Vector
from pipecalc.results import Assumption, Movement, MovementTerm

SKIRT = "vertical on skirt"
HORIZONTAL = "horizontal on saddles"
FIXED = "fixed"
_ON_AXIS = 1e-6  # closer than this a point lies on the item's axis [m]


@dataclass(frozen=True, slots=True)
class Slice:
    """Part of an item's axis with one temperature [m, °C]."""

    name: str
    start: float
    end: float
    temperature: float
    material: Material


def profile(item: Equipment, state: State, project: Project) -> tuple[Slice, ...]:
    """Temperature along the item's axis, without gaps, from -infinity to infinity.

    Zones come first; a skirt below the shell has the support's temperature; everything else the item's own. The
    outermost zone holds beyond its end, but not past the fixed point: a channel end on one side of the fixed saddle
    says nothing about the shell on the other.
    """
    shell = shell_profile(item, state)
    top = skirt_height(item)
    if top <= 0 or (item.zones and item.zones[0].start <= 0):
        return shell
    skirt = Slice("skirt", 0.0, top, support_temperature(item, state, project), item.material)
    above = [replace(part, start=max(part.start, top)) for part in shell if part.end > top]
    return (replace(shell[0], end=0.0), skirt, *above)


def shell_profile(item: Equipment, state: State) -> tuple[Slice, ...]:
    """Temperature along the axis as if the shell reached down to the fixed point: zones, and the item's own between."""
    zones = [
        Slice(zone.name or f"zone {number + 1}", zone.start, zone.end, state.zones[item.name, number], zone.material)
        for number, zone in enumerate(item.zones)
    ]
    return tuple(_filled(zones, Slice("shell", -np.inf, np.inf, state.equipment[item.name], item.material)))


def _filled(zones: list[Slice], own: Slice) -> Iterator[Slice]:
    if not zones:
        yield own
        return
    first, last = zones[0], zones[-1]
    yield replace(first if first.start < 0 else own, start=-np.inf, end=first.start)
    for zone, after in zip(zones, [*zones[1:], None], strict=True):
        yield zone
        if after is not None and after.start > zone.end:
            yield replace(own, start=zone.end, end=after.start)
    yield replace(last if last.end > 0 else own, start=last.end, end=np.inf)


def skirt_height(item: Equipment) -> float:
    """Height of the skirt [m]: as given, else the start of the first zone, else none."""
    if item.kind != SKIRT:
        return 0.0
    if item.support_height is not None:
        return item.support_height
    return max(item.zones[0].start, 0.0) if item.zones else 0.0


def support_temperature(item: Equipment, state: State, project: Project) -> float:
    """Mean temperature of skirt, lugs or saddles in a state [°C].

    As given for the operating state and in proportion to the shell's temperature above installation in the others;
    where it does not lie between the two, it is kept as given. Where none is given, half way between shell and
    installation temperature (common practice, no source).
    """
    ambient, shell = project.installation_temperature, _shell_at_support(item, state)
    given = item.support_temperature
    if given is None:
        return (shell + ambient) / 2.0
    operating = _operating_at_support(item)
    if state.name == OPERATING or operating == ambient:
        return given
    share = (given - ambient) / (operating - ambient)
    return ambient + share * (shell - ambient) if 0.0 <= share <= 1.0 else given


def _shell_at_support(item: Equipment, state: State) -> float:
    """Shell temperature at the skirt's top, the lugs or the fixed saddle [°C]."""
    return slice_at(shell_profile(item, state), skirt_height(item)).temperature


def _operating_at_support(item: Equipment) -> float:
    """The same in the operating state [°C]."""
    zones = {(item.name, number): zone.temperature for number, zone in enumerate(item.zones)}
    return _shell_at_support(item, State(OPERATING, None, {}, frozenset(), {item.name: item.temperature}, zones))


def slice_at(parts: tuple[Slice, ...], along: float) -> Slice:
    """The slice that holds a position along the axis; at a border the upper one."""
    return next(part for part in reversed(parts) if part.start <= along)


@remembered(1000)
def nozzle_movement(nozzle: Nozzle, plant: Plant, state: State) -> Movement:
    """Movement of a nozzle's flange face from the installed position, with its terms.

    Args:
        nozzle: The nozzle.
        plant: The plant it belongs to.
        state: Thermal state.

    Returns:
        Movement [m]; vendor-stated components replace the computed growth, and the foundation settles all the same.
    """
    item = plant.equipment[nozzle.equipment]
    computed = list(_growth(item, nozzle.at, state, plant.project, through_skirt=True))
    return _movement(nozzle.name, state, [*_with_vendor(computed, nozzle), *_settlement(item)])


@remembered(1000)
def support_movement(support: Support, plant: Plant, state: State) -> Movement | None:
    """Movement of the shell where it carries a support; None for a support on the structure.

    Radially the shell's own radius grows, not the arm of the bracket.
    """
    item = plant.equipment.get(support.attached_to)
    if item is None:
        return None
    at = _on_shell(item, support.at)
    terms = [*_growth(item, at, state, plant.project, through_skirt=False), *_settlement(item)]
    return _movement(support.name, state, terms)


def _movement(name: str, state: State, terms: list[MovementTerm]) -> Movement:
    total = [sum(getattr(term, axis) for term in terms) for axis in ("east", "north", "up")]
    return Movement(name, state.name, total[0], total[1], total[2], tuple(terms))


def _on_shell(item: Equipment, at: Vector) -> Vector:
    """The point of the shell's outside nearest to a position; the position itself without a diameter."""
    if item.outside_diameter is None or item.kind == FIXED:
        return at
    along, offset = _split(item, at)
    distance = float(np.linalg.norm(offset))
    if distance < _ON_AXIS:
        return at
    centre = np.asarray(_centre(item)) + along * np.asarray(item.axis)
    point = centre + offset * (item.outside_diameter / 2.0 / distance)
    return (float(point[0]), float(point[1]), float(point[2]))


def _centre(item: Equipment) -> Vector:
    """A point of the item's axis above (or at) the base."""
    height = item.centreline_height or 0.0 if item.kind == HORIZONTAL else 0.0
    return (item.base[0], item.base[1], item.base[2] + height)


def _split(item: Equipment, at: Vector) -> tuple[float, np.ndarray]:
    """Position along the axis [m], and the offset square to it [m], shape (3,)."""
    relative = np.asarray(at) - np.asarray(_centre(item))
    axis = np.asarray(item.axis)
    along = float(relative @ axis)
    return along, relative - along * axis


def _growth(
    item: Equipment, at: Vector, state: State, project: Project, *, through_skirt: bool
) -> Iterator[MovementTerm]:
    if item.kind == FIXED:
        yield from _from_point(item, at, state, project)
        return
    parts = profile(item, state, project)
    along, offset = _split(item, at)
    skirt = skirt_height(item) if through_skirt else 0.0
    hangs = skirt > 0 and along < skirt
    if item.kind == HORIZONTAL:
        yield from _saddle(item, parts, state, project)
    yield from _along(item, parts, skirt if hangs else along, project)
    if hangs:
        yield _below_skirt(slice_at(parts, skirt), skirt - along, project)
    if np.linalg.norm(offset) > _ON_AXIS:
        yield _sideways(slice_at(parts, skirt if hangs else along), offset, project)


def _from_point(item: Equipment, at: Vector, state: State, project: Project) -> Iterator[MovementTerm]:
    temperature = state.equipment[item.name]
    strain = strain_between(item.material, project.installation_temperature, temperature)
    arm = np.asarray(at) - np.asarray(item.base)
    yield _term(
        f"from the fixed point at {temperature:.1f} °C",
        float(np.linalg.norm(arm)),
        strain,
        arm * strain,
        temperature,
    )


def _along(item: Equipment, parts: tuple[Slice, ...], to: float, project: Project) -> Iterator[MovementTerm]:
    """Terms of growth along the axis from the fixed point (0) to a position, either way."""
    low, high = min(0.0, to), max(0.0, to)
    for part in parts:
        length = min(part.end, high) - max(part.start, low)
        if length > 0:
            strain = strain_between(part.material, project.installation_temperature, part.temperature)
            signed = length if to > 0 else -length
            what = f"{part.name} along the axis, {length:.3f} m at {part.temperature:.1f} °C"
            yield _term(what, signed, strain, signed * strain * np.asarray(item.axis), part.temperature)


def _below_skirt(bottom: Slice, hanging: float, project: Project) -> MovementTerm:
    """A nozzle inside the skirt hangs from the shell: it comes down by the bottom's growth."""
    strain = strain_between(bottom.material, project.installation_temperature, bottom.temperature)
    what = f"hanging below the skirt's top, {hanging:.3f} m at {bottom.temperature:.1f} °C"
    return _term(what, -hanging, strain, np.array([0.0, 0.0, -hanging * strain]), bottom.temperature)


def _sideways(part: Slice, offset: np.ndarray, project: Project) -> MovementTerm:
    strain = strain_between(part.material, project.installation_temperature, part.temperature)
    distance = float(np.linalg.norm(offset))
    what = f"square to the axis, {distance:.3f} m at {part.temperature:.1f} °C ({part.name})"
    return _term(what, distance, strain, offset * strain, part.temperature)


def _saddle(item: Equipment, parts: tuple[Slice, ...], state: State, project: Project) -> Iterator[MovementTerm]:
    """Rise of the axis above the fixed saddle's foot: the saddle at its own temperature, the radius at the shell's."""
    height = item.centreline_height or 0.0
    radius = min((item.outside_diameter or 0.0) / 2.0, height)
    temperature = support_temperature(item, state, project)
    shell = slice_at(parts, 0.0)
    for what, length, at, material in (
        ("saddle", height - radius, temperature, item.material),
        ("shell radius above the saddle", radius, shell.temperature, shell.material),
    ):
        if length > 0:
            strain = strain_between(material, project.installation_temperature, at)
            yield _term(f"{what}, {length:.3f} m at {at:.1f} °C", length, strain, np.array([0, 0, length * strain]), at)


def _settlement(item: Equipment) -> Iterator[MovementTerm]:
    if item.settlement:
        yield MovementTerm("foundation settlement", 0.0, 0.0, 0.0, 0.0, -item.settlement)


def _term(what: str, length: float, strain: float, move: np.ndarray, temperature: float) -> MovementTerm:
    return MovementTerm(what, length, strain, float(move[0]), float(move[1]), float(move[2]), temperature)


def _with_vendor(terms: list[MovementTerm], nozzle: Nozzle) -> list[MovementTerm]:
    """Vendor-stated components replace the computed growth, component by component."""
    east, north, up = stated = nozzle.vendor_move
    if stated == (None, None, None):
        return terms
    kept = [] if None not in stated else [_without(term, stated) for term in terms]
    return [*kept, MovementTerm("stated by the vendor", 0.0, 0.0, east or 0.0, north or 0.0, up or 0.0)]


def _without(term: MovementTerm, stated: tuple[float | None, float | None, float | None]) -> MovementTerm:
    """A term without the components that the vendor states."""
    east, north, up = stated
    return replace(
        term,
        east=term.east if east is None else 0.0,
        north=term.north if north is None else 0.0,
        up=term.up if up is None else 0.0,
    )


def sway_at(item: Equipment, at: Vector, plant: Plant) -> Vector:
    """Sway of an item at a position, East and North [m]: in proportion to the height between its base and its top.

    The top is the end of the highest zone or, if that is lower, the highest nozzle. Above it the sway of the top holds.
    """
    if not (item.sway_east or item.sway_north):
        return (0.0, 0.0, 0.0)
    nozzles = [n.at[2] - item.base[2] for n in plant.nozzles.values() if n.equipment == item.name]
    zones = [zone.end for zone in item.zones] if item.kind != HORIZONTAL else []
    top = max([*nozzles, *zones], default=0.0)
    share = min(max((at[2] - item.base[2]) / top, 0.0), 1.0) if top > 0 else 1.0
    return ((item.sway_east or 0.0) * share, (item.sway_north or 0.0) * share, 0.0)


def all_movements(plant: Plant) -> tuple[Movement, ...]:
    """Movement of every nozzle in every state, in workbook order."""
    return tuple(nozzle_movement(n, plant, state) for n in plant.nozzles.values() for state in plant.states)


def all_support_movements(plant: Plant) -> tuple[Movement, ...]:
    """Shell movement at every support that equipment carries, in every state."""
    found = (support_movement(s, plant, state) for s in plant.supports.values() for state in plant.states)
    return tuple(movement for movement in found if movement is not None)


def equipment_assumptions(plant: Plant) -> Iterator[Assumption]:
    """What was taken about equipment without being given."""
    for item in plant.equipment.values():
        where = str(item.source)
        if item.kind != FIXED and item.support_temperature is None and _needs_support_temperature(item):
            yield Assumption(
                f"support temperature of {item.name}",
                "half way between shell and installation temperature",
                "not given; common practice, no source",
                where,
            )
        if item.kind == SKIRT and item.support_height is None:
            height = skirt_height(item)
            yield Assumption(
                f"skirt height of {item.name}",
                f"{height:.3f} m",
                "not given; the start of the first zone" if height else "not given and no zone starts above the base",
                where,
            )
    yield from _state_assumptions(plant)


def _needs_support_temperature(item: Equipment) -> bool:
    return item.kind == HORIZONTAL or skirt_height(item) > 0


def _state_assumptions(plant: Plant) -> Iterator[Assumption]:
    vendor = [n.name for n in plant.nozzles.values() if any(v is not None for v in n.vendor_move)]
    if vendor and len(plant.states) > 1:
        yield Assumption(
            f"vendor-stated movement of {', '.join(vendor)}",
            "the same in every thermal state",
            "the sheet gives one movement for each nozzle",
            "Nozzles",
        )
    scaled = [i.name for i in plant.equipment.values() if i.support_temperature is not None]
    if scaled and len(plant.states) > 1:
        yield Assumption(
            f"support temperature of {', '.join(scaled)} beyond the operating state",
            "in proportion to the shell's temperature above installation, if it lies between the two",
            "the sheet gives it for the operating state",
            "Equipment",
        )
