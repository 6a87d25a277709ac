"""What the stress checks took by themselves, and what their code and edition leave open."""

from collections.abc import Iterator

from pipecalc.analysis.factors import B31J, SET_B31J, SET_LEGACY
from pipecalc.checks.stress import code
from pipecalc.checks.stress.interface import Kind, StressCode
from pipecalc.model import Item, Plant, Segment
from pipecalc.results import Assumption


def stress_assumptions(plant: Plant) -> Iterator[Assumption]:
    """For the note, in the order of its checks."""
    rules, edition = code(plant.project.code, plant.project.edition), plant.project.edition
    yield from _factors(plant, rules, edition)
    yield Assumption(
        "pressure and allowable in sustained and occasional stress",
        "highest pressure and lowest allowable of design and all states",
        "the design condition is the worst one; full pressure and none are both looked at, since pressure relieves a "
        "compressed pipe",
        "Lines",
    )
    walls = ", ".join(str(kind) for kind in Kind if rules.allowance_deducted[kind])
    yield Assumption("wall in stresses", f"less allowances: {walls or 'none'}; else nominal", rules.title, "Lines")
    yield from _range(plant)
    if any(case for case in (plant.project.seismic_horizontal, plant.project.seismic_vertical)) or _has_event(plant):
        yield Assumption(
            "occasional loads",
            "each added to the sustained stress of every condition, one at a time",
            "; ".join(
                f"{event}: {limit.factor:g}, {limit.condition}" for event, limit in rules.occasional_limits.items()
            ),
            "Project",
        )
    if any(line.test_pressure for line in plant.lines.values()):
        yield Assumption(
            "pressure test",
            "at installation temperature, without the head of water",
            "the workbook names no test temperature",
            "Lines",
        )
    if any(line.weld_strength is None for line in plant.lines.values()):
        yield Assumption(
            "weld strength reduction W",
            "1 up to the start of creep, unknown beyond; at every section",
            "which sections are girth welds is not asked",
            "Lines",
        )
    for words in (*rules.notes, *rules.editions[edition].notes):
        yield Assumption(f"{rules.title}-{edition}", words, "the code and edition of Project", "Project")


def _has_event(plant: Plant) -> bool:
    return bool(plant.project.wind_pressure) or any(load.acts_in == "occasional" for load in plant.point_loads)


def _factors(plant: Plant, rules: StressCode, edition: str) -> Iterator[Assumption]:
    own = rules.editions[edition].intensification
    taken = SET_B31J if plant.project.intensification == B31J else f"{SET_LEGACY}, from memory"
    why = f"{rules.title}-{edition} takes them from {own}"
    yield Assumption("stress intensification factors", taken, why, "Project")
    segments = [segment for line in plant.lines.values() for segment in line.segments]
    if any(_own(segment) for segment in segments):
        yield Assumption(
            "the user's own factors",
            "taken as they stand, for every leg of a branch",
            "the column says nothing of legs",
            "Segments",
        )
    if any(segment.item is Item.REDUCER for segment in segments):
        yield Assumption("reducers in stress", "concentric", "nothing says that one is eccentric", "Segments")


def _own(segment: Segment) -> bool:
    return segment.own.i_in is not None or segment.own.i_out is not None


def _range(plant: Plant) -> Iterator[Assumption]:
    form = "with what the sustained stress leaves over" if plant.project.use_sustained_margin else "basic form"
    yield Assumption("allowable displacement range", form, "Include unused sustained margin", "Project")
    yield Assumption(
        "displacement range between two states",
        "counted in the cycles where it exceeds those of both states from the installed one",
        "with the smaller number of cycles of the two, beside their own: on the safe side",
        "States",
    )
    without = [state.name for state in plant.states[1:] if state.cycles is None]
    if without:
        yield Assumption(
            f"cycles of {', '.join(without)}", "those of each line", "the States sheet gives none", "States"
        )
    still = [line.name for line in plant.lines.values() if line.cycles < 1]
    if still:
        yield Assumption(f"cycles of {', '.join(still)}", "one at least", "a line is heated once", "Lines")
