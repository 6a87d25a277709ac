"""What the tool took by itself, and what it did not check."""

from collections.abc import Iterable, Iterator, Sequence

from pipecalc.analysis.equipment import equipment_assumptions
from pipecalc.analysis.flanges import flanges_not_checked
from pipecalc.analysis.frame_nodes import REDUCER_STEPS, RIGID_FACTOR
from pipecalc.analysis.frame_results import Column
from pipecalc.analysis.nozzle_stiffness import stiffness_assumptions, stiffness_not_checked
from pipecalc.analysis.shells import shells_not_checked
from pipecalc.analysis.stress_assumptions import stress_assumptions
from pipecalc.model import Item, Plant
from pipecalc.problems import Problem, Severity
from pipecalc.results import Assumption

_PRACTICE = "common practice, no source"


def assumptions(plant: Plant, problems: Iterable[Problem]) -> Iterator[Assumption]:
    """Defaults taken, equipment, the frame's and the hand method's own."""
    for problem in problems:
        if problem.severity is Severity.NOTE:
            yield Assumption(problem.found, problem.accepted, problem.hint, str(problem.address))
    yield from equipment_assumptions(plant)
    yield from _frame(plant)
    yield from stress_assumptions(plant)
    yield from _HAND


def _frame(plant: Plant) -> Iterator[Assumption]:
    yield Assumption("supports without a stiffness", "rigid", "the column is blank", "Supports")
    yield from stiffness_assumptions(plant)
    yield Assumption("friction", "at rests only; none in occasional cases", _PRACTICE, "Supports")
    yield Assumption(
        "elbows and bends",
        "curved members with the code's flexibility factor",
        "they bend more easily than their centre line tells",
        "Segments",
    )
    items = {segment.item for line in plant.lines.values() for segment in line.segments}
    if items & {Item.VALVE, Item.FLANGE, Item.RIGID}:
        yield Assumption(
            "valves, flanges and rigid items", f"{RIGID_FACTOR:g} times as stiff as the pipe", _PRACTICE, "Segments"
        )
    if Item.REDUCER in items:
        yield Assumption("reducers", f"{REDUCER_STEPS} steps of even length", _PRACTICE, "Segments")
    types = {support.type for support in plant.supports.values()}
    if "hanger rod" in types:
        yield Assumption("hanger rods", "no sideways stiffness", "their swing is small", "Supports")
    if types & {"spring", "constant load"}:
        yield Assumption(
            "hot load of springs without one",
            f"the weight balanced with springs held rigid, nozzles {_nozzle_words(plant)}",
            "the column is blank",
            "Supports",
        )
        yield Assumption(
            "springs in hot sustained cases", "the force they have in that state", "no growth acts there", "Supports"
        )
    if Item.EXPANSION_JOINT in items:
        yield Assumption("expansion joints in torsion", "as stiff as their pipe", "no rate is given", "Segments")
    if any(item.sway_east or item.sway_north for item in plant.equipment.values()):
        yield Assumption(
            "sway of equipment below its top", "in proportion to the height above the base", _PRACTICE, "Equipment"
        )
    yield Assumption("sharp corners", "rigid in the frame", "on the safe side for loads", "Segments")
    yield Assumption(
        "natural frequencies", "supports as in the cold sustained case, without friction", _PRACTICE, "Supports"
    )


def _nozzle_words(plant: Plant) -> str:
    return "freed upward" if plant.project.free_nozzles else "held"


_HAND = (
    Assumption(
        "corners of legs (hand method)",
        "kept from turning",
        "guided cantilever; overstates force and stress of legs beside longer ones",
        "",
    ),
    Assumption(
        "rests and hanger rods (hand method)",
        "counted where the hot pipe comes down on them, open where it rises",
        "weight is not part of the hand method",
        "",
    ),
    Assumption("gaps at guides and line stops (hand method)", "closed", "on the safe side for the legs", ""),
    Assumption("legs of several sections (hand method)", "the stiffest stands for the whole leg", "safe for loads", ""),
    Assumption(
        "skew restraints (hand method)",
        "held fully in an axis within 45 degrees of them",
        "there is no share of a hold",
        "",
    ),
    Assumption("rests once pressed (hand method)", "not released again", "one pass over the rests", ""),
    Assumption(
        "ranges (hand method)",
        "between every pair of states and from the installed one",
        "any of them may follow another",
        "",
    ),
    Assumption(
        "springs, constant-load supports and snubbers (hand method)",
        "give way",
        "they do not hold thermal movement",
        "",
    ),
    Assumption(
        "a branch's start on its header (hand method)",
        "moves half way between the growth reckoned from the nearest restraint on either side",
        "the header is not solved together with the branch",
        "",
    ),
)


def not_checked(plant: Plant, found: Sequence[Column]) -> Iterator[str]:
    """What a reader might expect and this note does not hold."""
    yield from flanges_not_checked(plant)
    yield from shells_not_checked(plant)
    unsettled = [column.case.case for column in found if not column.settled]
    if unsettled:
        yield f"Cases whose supports did not settle: {', '.join(unsettled)}."
    if not plant.project.seismic_horizontal and not plant.project.seismic_vertical:
        yield "Earthquake: no coefficient is given."
    if not plant.project.wind_pressure:
        yield "Wind: no pressure is given."
    if not any(line.test_pressure for line in plant.lines.values()):
        yield "Pressure test: no test pressure is given."
    if any(line.design_pressure < 0 for line in plant.lines.values()):
        yield "Wall thickness against external pressure (304.1.3)."
    yield from stiffness_not_checked(plant)
