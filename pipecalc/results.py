"""Frozen records of what was found: the same names as in results.json.

SI throughout, unrounded; temperatures in °C. Records hold no formatting: columns, sheets and note are views of them.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from math import isfinite

from pipecalc.model import Vector
from pipecalc.problems import Address, Problem

SCHEMA = "pipecalc-results/1"


class Status(StrEnum):
    """What may be said of a check."""

    PASS = "PASS"  # noqa: S105 - a verdict, not a secret
    FAIL = "FAIL"
    NOT_CHECKED = "NOT CHECKED"
    NOT_APPLICABLE = "NOT APPLICABLE"


@dataclass(frozen=True, slots=True)
class Case:
    """A load case. kind: sustained, operating, range, occasional or test."""

    case: str
    kind: str
    state: str
    title: str


@dataclass(frozen=True, slots=True)
class MovementTerm:
    """One term of an equipment movement: length [m] times expansion [m/m] gives a movement [m].

    ``expansion`` is NaN-free; a settlement or vendor's movement has length 0 and expansion 0.
    ``temperature`` is the metal temperature of the term [°C] or None.
    """

    what: str
    length: float
    expansion: float
    east: float
    north: float
    up: float
    temperature: float | None = None
    source: str = ""


@dataclass(frozen=True, slots=True)
class Movement:
    """Movement of a nozzle in a state, from the installed position [m], with its terms."""

    nozzle: str
    state: str
    east: float
    north: float
    up: float
    terms: tuple[MovementTerm, ...]

    @property
    def vector(self) -> Vector:
        """East, North, Up."""
        return (self.east, self.north, self.up)


@dataclass(frozen=True, slots=True)
class Leg:
    """One straight leg absorbing in one direction, by the guided cantilever method, in its governing state.

    Attributes:
        from_: Point at the start.
        to: Point at the end.
        direction: Direction in which it absorbs, in words: ``"East"``, ``"North"``, ``"Up"`` or ``"az 30.0"``.
        along: The leg's own direction in words, likewise.
        absorbs: Sideways displacement the leg must absorb [m].
        absorbs_by_axis: Its East, North, Up parts [m].
        length: Flexible length [m].
        length_needed: [m].
        force: Sideways force, resultant [N].
        moment: End moment, resultant [N·m].
        stress: Bending stress with the intensification factor [Pa].
        limit: Allowable displacement stress range [Pa].
        ratio: stress / limit.
        intensification: Factor applied.
        points: Points of the leg in order.
        stretch: Names of the restraints between which the displacement is shared.
        rows: Rows of Segments that the leg consists of.
        inputs: Numbers used, by symbol, for the worked line.
    """

    line: str
    from_: str
    to: str
    direction: str
    along: str
    absorbs: float
    absorbs_by_axis: Vector
    length: float
    length_needed: float
    force: float
    moment: float
    stress: float
    limit: float
    ratio: float
    state: str
    intensification: float
    points: tuple[str, ...]
    stretch: tuple[str, str]
    rows: tuple[int, ...]
    inputs: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Expansion:
    """Free expansion of one segment in its governing state [m]."""

    line: str
    from_: str
    to: str
    state: str
    temperature: float
    strain: float
    length: float
    expansion: float


@dataclass(frozen=True, slots=True)
class Restrained:
    """A stretch between two restraints in a direction in which no leg can give.

    Attributes:
        direction: ``"East"``, ``"North"`` or ``"Up"``.
        growth: Displacement that nothing absorbs [m].
        force: Thrust if held rigidly [N].
        stress: Axial stress [Pa].
    """

    line: str
    from_: str
    to: str
    direction: str
    state: str
    growth: float
    force: float
    stress: float
    limit: float
    rows: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Loop:
    """A U loop that would bring a run within its limit: two legs of ``height``, ``width`` apart [m]."""

    line: str
    from_: str
    to: str
    direction: str
    growth: float
    height: float
    width: float


@dataclass(frozen=True, slots=True)
class NozzleLoad:
    """The pipe's action ON a nozzle at the flange face.

    ``method`` is ``"hand"`` (guided cantilever of the end legs, thermal only), ``"frame"``, or
    ``"frame, rigid nozzle"`` (beside the frame's where the shell of the nozzle gives way there; no check takes it).
    """

    nozzle: str
    case: str
    FR: float
    FL: float
    FC: float
    MR: float
    ML: float
    MC: float
    force: Vector
    moment: Vector
    method: str = "hand"

    @property
    def components(self) -> dict[str, float]:
        """The six components by name."""
        return {"FR": self.FR, "FL": self.FL, "FC": self.FC, "MR": self.MR, "ML": self.ML, "MC": self.MC}


@dataclass(frozen=True, slots=True)
class SupportLoad:
    """The pipe's action ON a support; ``acting`` False where it has lifted off or does not act."""

    support: str
    case: str
    force: Vector
    moment: Vector
    vertical: float
    axial: float
    lateral: float
    friction: float
    acting: bool
    move: Vector


@dataclass(frozen=True, slots=True)
class PointMovement:
    """Movement [m] and rotation [rad] of a point in a case."""

    line: str
    point: str
    case: str
    east: float
    north: float
    up: float
    rot_east: float
    rot_north: float
    rot_up: float


@dataclass(frozen=True, slots=True)
class MemberForce:
    """Forces in a member at one end; ``part`` is run or bend, ``end`` is from, to or middle."""

    line: str
    from_: str
    to: str
    part: str
    case: str
    end: str
    axial: float
    shear_y: float
    shear_z: float
    torsion: float
    bending_in_plane: float
    bending_out_of_plane: float
    force: Vector
    moment: Vector


@dataclass(frozen=True, slots=True)
class Check:
    """One verdict; one shape for every check.

    Attributes:
        check: Name of the check, e.g. ``"wall thickness"``.
        subject: Tag of the line, nozzle or support.
        point: Point or stretch, or empty.
        demand: What is there, in SI units of ``unit``.
        limit: What is accepted; NaN where unknown.
        unit: SI unit of demand and limit.
        ratio: demand / limit; NaN where not checked.
        clause: Standard, edition and clause.
        set: Allowable set, or empty.
        reason: Why it was not checked or does not apply, or what governs.
        inputs: Numbers used, by symbol, SI.
        source: Row of the workbook that it belongs to.
        rows: Rows of Segments that it covers.
        screening: A fail asks for a closer analysis, not for a change; not counted in the verdict of the line.
    """

    check: str
    subject: str
    line: str
    point: str
    case: str
    demand: float
    limit: float
    unit: str
    ratio: float
    status: Status
    clause: str
    set: str = ""
    reason: str = ""
    inputs: Mapping[str, float | str] = field(default_factory=dict)
    source: Address = field(default_factory=Address)
    rows: tuple[int, ...] = ()
    screening: bool = False


@dataclass(frozen=True, slots=True)
class SpringResult:
    """A spring or constant-load support: loads [N], travel [m], rate [N/m], variation as a share."""

    support: str
    kind: str
    hot_load: float
    cold_load: float
    travel: float
    rate: float
    variation: float


@dataclass(frozen=True, slots=True)
class Mode:
    """A natural frequency [Hz] of a connected system."""

    system: str
    mode: int
    frequency: float


@dataclass(frozen=True, slots=True)
class Equilibrium:
    """What shows that a case is solved; every residual is relative.

    Attributes:
        applied: Sum of the applied loads [N].
        reactions: Sum of the reactions [N].
        residual: Forces and moments of the whole.
        node_residual: Largest imbalance of one node.
        energy_residual: Work of the forces against the energy stored.
        symmetry_residual: Work through the movements of the other cases against theirs through its own.
    """

    case: str
    applied: Vector
    reactions: Vector
    residual: float
    node_residual: float
    energy_residual: float
    symmetry_residual: float


@dataclass(frozen=True, slots=True)
class Assumption:
    """Something the tool took by itself."""

    what: str
    value: str
    why: str
    address: str


@dataclass(frozen=True, slots=True)
class PropertyUse:
    """One property value used at one temperature, with its source and confidence."""

    material: str
    property: str
    temperature: float
    value: float
    unit: str
    source: str
    confidence: str


@dataclass(frozen=True, slots=True)
class LineWeight:
    """Mass per metre of a line [kg/m] and total mass of its runs and items [kg]."""

    line: str
    metal: float
    fluid: float
    insulation: float
    operating: float
    test: float
    total: float


@dataclass(frozen=True, slots=True)
class Advice:
    """What would bring a failing item down, with the number it was computed from.

    ``gain`` is the fall of the worst ratio found by running the change; 0 where nothing was run or gained.
    """

    about: str
    text: str
    gain: float
    sheet: str = ""
    row: int = 0
    column: str = ""
    value: str = ""


@dataclass(frozen=True, slots=True)
class StudyRow:
    """One combination of a study's values and what it gave; ratio NaN where nothing could be judged."""

    values: tuple[str, ...]
    ratio: float
    status: Status
    subject: str
    check: str
    case: str
    force: float
    moment: float
    reason: str


@dataclass(frozen=True, slots=True)
class Study:
    """A study: the cells varied, in words, and its rows, the first variable slowest."""

    study: str
    watch: str
    variables: tuple[str, ...]
    rows: tuple[StudyRow, ...]


@dataclass(frozen=True, slots=True)
class Results:
    """Everything a run found; complete when it exists."""

    cases: tuple[Case, ...] = ()
    movements: tuple[Movement, ...] = ()
    support_movements: tuple[
        Movement, ...
    ] = ()  # shell movement at supports carried by equipment; nozzle = support tag
    expansions: tuple[Expansion, ...] = ()
    legs: tuple[Leg, ...] = ()
    restrained: tuple[Restrained, ...] = ()
    loops: tuple[Loop, ...] = ()
    weights: tuple[LineWeight, ...] = ()
    points: tuple[PointMovement, ...] = ()
    members: tuple[MemberForce, ...] = ()
    nozzle_loads: tuple[NozzleLoad, ...] = ()
    support_loads: tuple[SupportLoad, ...] = ()
    checks: tuple[Check, ...] = ()
    springs: tuple[SpringResult, ...] = ()
    modes: tuple[Mode, ...] = ()
    equilibrium: tuple[Equilibrium, ...] = ()
    assumptions: tuple[Assumption, ...] = ()
    properties: tuple[PropertyUse, ...] = ()
    messages: tuple[Problem, ...] = ()
    advice: tuple[Advice, ...] = ()
    studies: tuple[Study, ...] = ()
    not_checked: tuple[str, ...] = ()


def status_of(demand: float, limit: float) -> Status:
    """PASS or FAIL from finite numbers; anything else is NOT CHECKED."""
    if not (isfinite(demand) and isfinite(limit) and limit > 0):
        return Status.NOT_CHECKED
    return Status.PASS if demand <= limit else Status.FAIL


_SEVERITY = {Status.FAIL: 3, Status.NOT_CHECKED: 2, Status.PASS: 1, Status.NOT_APPLICABLE: 0}


def worst_status(checks: Iterable[Check]) -> Status:
    """FAIL over NOT CHECKED over PASS; of nothing at all NOT CHECKED."""
    found = [c.status for c in checks]
    return max(found, key=_SEVERITY.__getitem__) if found else Status.NOT_CHECKED


def governing(checks: Iterable[Check]) -> Check | None:
    """The check with the highest finite ratio; None where none has one."""
    rated = [c for c in checks if isfinite(c.ratio)]
    return max(rated, key=lambda c: c.ratio) if rated else None
