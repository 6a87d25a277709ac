"""Frozen records of the plant, as built from the workbook; SI inside.

Sign conventions, once for the whole program:

* Axes are East, North, Up: right-handed, Up vertical. Moments follow the right-hand rule.
* Loads on nozzles and supports are the pipe's action ON them.
* Nozzle axes: R along the nozzle outward; L along the equipment's axis (Up for vertical items, from the fixed saddle
  for horizontal ones) made square to R; C = R x L. Where R lies along the equipment's axis, L is North for vertical and
  fixed items and Up for horizontal ones.
* Lengths m, forces N, moments N·m, pressures Pa gauge, temperatures °C, masses kg.

Every record that comes from a row keeps the address of that row.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum

from pipecalc.calc.material import Material
from pipecalc.problems import Address

Vector = tuple[float, float, float]

INSTALLED = "installed"
OPERATING = "operating"


@dataclass(frozen=True, slots=True)
class Revision:
    """One row of the revision table."""

    mark: str
    issued: date | None
    description: str
    prepared_by: str
    checked_by: str
    approved_by: str


@dataclass(frozen=True, slots=True)
class Project:
    """Facts and choices of the Project sheet.

    Attributes:
        units: ``"SI"`` or ``"US"``, for the note and result sheets.
        steel_density: [kg/m3] or None for each material's own.
        free_nozzles: Nozzles are freed upward while the weight that springs balance is found.
        modulus_for_reactions: ``"installation"`` or ``"operating"``.
    """

    title: str
    client: str
    site: str
    document_number: str
    revision: str
    prepared_by: str
    checked_by: str
    approved_by: str
    issued: date
    code: str
    edition: str
    units: str
    installation_temperature: float
    seismic_horizontal: float | None
    seismic_vertical: float | None
    wind_pressure: float | None
    wind_shape_factor: float
    friction: float
    elbow: str
    cycles: float
    limit_nozzle: float
    limit_sag: float
    limit_spring_variation: float
    use_sustained_margin: bool
    intensification: str
    pressure_stiffening: bool
    shear_deformation: bool
    modulus_for_reactions: str
    steel_density: float | None
    source: Address
    free_nozzles: bool = False


@dataclass(frozen=True, slots=True)
class Section:
    """A pipe's cross-section.

    Attributes:
        outside_diameter: [m].
        wall: Nominal wall [m].
        nps: Nominal size, or None where only the diameter was given.
        schedule: As typed, or empty.
    """

    outside_diameter: float
    wall: float
    nps: float | None = None
    schedule: str = ""


@dataclass(frozen=True, slots=True)
class FlangeFacts:
    """What is given of a flange; empty or None where it is not.

    Attributes:
        pressure_class: As typed.
        group: Material group of ASME B16.5, such as ``"1.10"``; empty takes that of the pipe's material.
        type: ``"welding neck"`` or another type.
        bolt_allowable: Allowable stress of the bolts at 38 °C [Pa].
        gasket_diameter: Reaction diameter of the gasket [m].
    """

    pressure_class: str = ""
    group: str = ""
    type: str = ""
    bolt_allowable: float | None = None
    gasket_diameter: float | None = None


class Item(StrEnum):
    """What a segment is."""

    PIPE = "pipe"
    VALVE = "valve"
    FLANGE = "flange"
    RIGID = "rigid"
    REDUCER = "reducer"
    EXPANSION_JOINT = "expansion joint"


@dataclass(frozen=True, slots=True)
class Turn:
    """How the line turns at a point.

    Attributes:
        kind: ``"long radius"``, ``"short radius"``, ``"bend"``, ``"mitre"`` or ``"none"`` (sharp corner).
        radius: Centreline radius [m]; 0 for a sharp corner.
        angle: Change of direction [rad].
        mitre_cuts: Number of cuts, 0 where it is no mitre.
        assumed: True where the project's default elbow was taken.
    """

    kind: str
    radius: float
    angle: float
    mitre_cuts: int = 0
    assumed: bool = False


@dataclass(frozen=True, slots=True)
class Joint:
    """Expansion joint: spring rates [N/m, N/m, N·m/rad] and effective area [m2]."""

    axial: float
    lateral: float
    angular: float
    area: float


@dataclass(frozen=True, slots=True)
class OwnFactors:
    """The user's own factors at a point; None where the computed one holds."""

    i_in: float | None = None
    i_out: float | None = None
    k: float | None = None


@dataclass(frozen=True, slots=True)
class Segment:
    """One straight run between intersection points.

    Attributes:
        start: Point name at the start, ``LINE/POINT`` resolved: see ``start_key``.
        end: Point name at the end.
        start_key: ``(line, point)`` of the start; of another line where a branch starts there.
        end_key: ``(line, point)`` of the end.
        start_at: Position of the start [m].
        end_at: Position of the end [m].
        section: Section of the pipe (at the start of a reducer).
        end_section: Section at the far end; differs for a reducer only.
        mass: Extra mass at the middle [kg].
        temperature: Operating temperature where the row overrides the line's, else None.
        turn: The turn at the end, or None where the line runs straight on or ends.
        branch: Branch connection at the end (kind) where another line joins, or empty.
        pad_thickness: Pad of the branch [m].
        pad_width: From the branch's outside to the pad's edge [m], None where not given.
        flange: Its flange, where the row is one; what the row leaves blank is the line's.
        flanged_ends: Ends of the turn with a flange welded directly to them.
        weld: Kind of weld or joint at the end, or empty for a butt weld.
    """

    line: str
    start: str
    end: str
    start_key: tuple[str, str]
    end_key: tuple[str, str]
    start_at: Vector
    end_at: Vector
    item: Item
    section: Section
    end_section: Section
    material: Material
    mass: float
    temperature: float | None
    turn: Turn | None
    branch: str
    pad_thickness: float
    own: OwnFactors
    joint: Joint | None
    remark: str
    source: Address
    pad_width: float | None = None
    flange: FlangeFacts = FlangeFacts()
    flanged_ends: int = 0
    weld: str = ""

    @property
    def vector(self) -> Vector:
        """From start to end [m]."""
        a, b = self.start_at, self.end_at
        return (b[0] - a[0], b[1] - a[1], b[2] - a[2])

    @property
    def length(self) -> float:
        """Between the intersection points [m]."""
        east, north, up = self.vector
        return float((east * east + north * north + up * up) ** 0.5)


@dataclass(frozen=True, slots=True)
class Line:
    """One line with its segments in order.

    Attributes:
        mill_tolerance: Under-tolerance as a share of the nominal wall.
        mill_tolerance_length: Under-tolerance as a length [m], or None; wins over the share.
        fluid_density: In operation [kg/m3].
        fluid: The word typed for the density, or empty.
        cycles: Full cycles of the operating range.
        from_: As typed in Lines.
        to: As typed in Lines.
        flange: Flanges of the line, where a row of Segments says nothing else.
        weld_strength: Factor W at design temperature, None where it was not given.
    """

    name: str
    service: str
    from_: str
    to: str
    section: Section
    material: Material
    corrosion_allowance: float
    mill_tolerance: float
    mill_tolerance_length: float | None
    weld_factor: float
    fluid_density: float
    fluid: str
    insulation_thickness: float
    insulation_density: float
    design_temperature: float
    design_pressure: float
    operating_temperature: float
    operating_pressure: float
    test_pressure: float | None
    cycles: float
    remark: str
    segments: tuple[Segment, ...]
    source: Address
    flange: FlangeFacts = FlangeFacts()
    weld_strength: float | None = None


@dataclass(frozen=True, slots=True)
class Zone:
    """A temperature zone along an item's axis, from the base or fixed saddle [m]."""

    name: str
    start: float
    end: float
    temperature: float
    material: Material
    wall: float | None
    source: Address


@dataclass(frozen=True, slots=True)
class Equipment:
    """One item of equipment.

    Attributes:
        kind: ``"vertical on skirt"``, ``"vertical on lugs"``, ``"horizontal on saddles"`` or ``"fixed"``.
        base: Centre of skirt base or lug plane; foot of the fixed saddle [m].
        axis: Unit vector: Up for vertical and fixed items, from the fixed saddle on for horizontal ones.
        support_height: Skirt height [m] or None.
        zones: Sorted along the axis; may be empty.
        design_pressure: Gauge pressure inside [Pa], for the shell's strength; None for that of the connected lines.
        corrosion_allowance: Of shell and heads [m]; None where not given.
        crown_radius: Inside crown radius of the heads [m].
        head_wall: Thickness of the heads [m].
        machine_axis: Shaft of a machine, or length of an air cooler's header; unit vector.
        machine_centre: Centre of a pump, for sums of nozzle loads [m].
        exhaust: Nozzle that is a turbine's exhaust, or empty.
    """

    name: str
    kind: str
    base: Vector
    axis: Vector
    centreline_height: float | None
    outside_diameter: float | None
    wall: float | None
    material: Material
    temperature: float
    support_temperature: float | None
    support_height: float | None
    design_temperature: float | None
    settlement: float
    sway_east: float | None
    sway_north: float | None
    zones: tuple[Zone, ...]
    remark: str
    source: Address
    design_pressure: float | None = None
    corrosion_allowance: float | None = None
    crown_radius: float | None = None
    head_wall: float | None = None
    machine_axis: Vector | None = None
    machine_centre: Vector | None = None
    exhaust: str = ""


@dataclass(frozen=True, slots=True)
class AllowableRow:
    """One row of a vendor's table; None where the cell is blank.

    Attributes:
        nps: Size the row holds for, None for any.
        limits: FR, FL, FC [N], MR, ML, MC [N·m] by name.
        force: Resultant force [N].
        moment: Resultant moment [N·m].
        rule: ``"each component"``, ``"resultants"``, ``"sum of ratios"`` or ``"square root of squares"``.
    """

    set: str
    nps: float | None
    limits: Mapping[str, float | None]
    force: float | None
    moment: float | None
    rule: str
    document: str
    source: Address


@dataclass(frozen=True, slots=True)
class Nozzle:
    """One nozzle.

    Attributes:
        at: Centre of the flange face [m].
        direction: Unit vector outward.
        axes: Unit vectors R, L, C.
        point: ``(line, point)`` that connects here, or None.
        vendor_move: Vendor-stated movement per axis [m], None where computed.
        sets: Names of allowable sets, in the order typed.
        outside_diameter: Of the nozzle pipe by its NPS [m].
        flange: Its flange; the class again, and what else is given.
        neck_wall: Thickness of the nozzle's neck without allowances [m]; None for the connected pipe's.
        header: Header of an air cooler that it belongs to, or empty.
        radial_stiffness: Of the shell along R [N/m]; None where not given.
        stiffness_l: Of the shell against turning about L [N·m/rad]; None where not given.
        stiffness_c: About C [N·m/rad].
    """

    name: str
    equipment: str
    nps: float
    outside_diameter: float
    flange_class: str
    at: Vector
    direction: Vector
    axes: tuple[Vector, Vector, Vector]
    point: tuple[str, str] | None
    projection: float | None
    pad_thickness: float | None
    pad_width: float | None
    vendor_move: tuple[float | None, float | None, float | None]
    stiffness_model: str
    sets: tuple[str, ...]
    allowable_factor: float
    remark: str
    source: Address
    flange: FlangeFacts = FlangeFacts()
    neck_wall: float | None = None
    header: str = ""
    radial_stiffness: float | None = None
    stiffness_l: float | None = None
    stiffness_c: float | None = None


@dataclass(frozen=True, slots=True)
class Support:
    """One support.

    Attributes:
        point: ``(line, point)`` it holds.
        at: Position [m].
        pipe_direction: Unit vector of the pipe's axis at the point.
        direction: Given direction, or None for the pipe's own.
        friction: Coefficient, the project's default where none was given.
        stiffness: [N/m] or None for stiff.
        attached_to: Equipment tag, or ``"structure"``.
        attachment_radius: Of the circle that stands for clip, bracket or trunnion with its pad, on the shell [m].
        attachment_arm: From the shell to where the load acts [m]; None for the distance that the coordinates give.
    """

    name: str
    point: tuple[str, str]
    at: Vector
    pipe_direction: Vector
    type: str
    direction: Vector | None
    gap: float
    friction: float
    stiffness: float | None
    attached_to: str
    spring_rate: float | None
    spring_load: float | None
    allowable_vertical: float | None
    allowable_horizontal: float | None
    remark: str
    source: Address
    attachment_radius: float | None = None
    attachment_arm: float | None = None


@dataclass(frozen=True, slots=True)
class PointLoad:
    """Mass, force and moment at a point."""

    name: str
    point: tuple[str, str]
    at: Vector
    mass: float
    force: Vector
    moment: Vector
    acts_in: str
    source: Address


@dataclass(frozen=True, slots=True)
class LineState:
    """A line in one thermal state: temperature [°C], pressure [Pa], fluid density [kg/m3]."""

    temperature: float
    pressure: float
    density: float


@dataclass(frozen=True, slots=True)
class State:
    """One thermal state, resolved for every line and item.

    Attributes:
        name: ``"operating"`` or a name of the States sheet.
        cycles: How often it is reached, None where not given.
        lines: By line name.
        overridden: Lines whose temperature this state sets (segment temperatures then give way to it).
        equipment: Temperature by equipment tag.
        zones: Temperature by ``(equipment tag, zone number from 0)``.
    """

    name: str
    cycles: float | None
    lines: Mapping[str, LineState]
    overridden: frozenset[str]
    equipment: Mapping[str, float]
    zones: Mapping[tuple[str, int], float]

    def segment_temperature(self, segment: Segment) -> float:
        """Metal temperature of a segment [°C]."""
        if segment.temperature is not None and segment.line not in self.overridden:
            return segment.temperature
        return self.lines[segment.line].temperature


@dataclass(frozen=True, slots=True)
class Plant:
    """Everything that was read, built and placed.

    Attributes:
        lines, equipment, nozzles, supports: By tag, in workbook order.
        allowables: Rows of vendor sets by set name.
        states: Operating first, then those of the States sheet in order.
        spring_table: Rows of the user's spring sizes in SI: size, least_load, most_load, travel, source; may be empty.
        points: Position of every point by ``(line, point)``; a branch's start has the other line's key only.
    """

    project: Project
    revisions: tuple[Revision, ...]
    lines: Mapping[str, Line]
    equipment: Mapping[str, Equipment]
    nozzles: Mapping[str, Nozzle]
    allowables: Mapping[str, tuple[AllowableRow, ...]]
    supports: Mapping[str, Support]
    states: tuple[State, ...]
    point_loads: tuple[PointLoad, ...]
    points: Mapping[tuple[str, str], Vector]
    nozzle_at: Mapping[tuple[str, str], str] = field(default_factory=dict)
    spring_table: tuple[Mapping[str, object], ...] = ()
