"""Load cases, built from the plant and named in plain words."""

from collections.abc import Iterator
from dataclasses import dataclass

from pipecalc.model import OPERATING, Plant, State
from pipecalc.results import Case

SUSTAINED = "sustained, cold"
TEST = "pressure test"
_EAST, _NORTH, _UP = (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)


@dataclass(frozen=True, slots=True)
class FrameCase:
    """One case that the frame is solved for.

    Attributes:
        name: Name of the case.
        kind: sustained, operating, occasional or test.
        state: Whose pressure and contents act, and whose temperatures and movements if ``thermal``.
        title: What acts, in words.
        thermal: Growth and equipment movements act.
        acceleration: Share of gravity acting on all masses besides weight, East, North, Up.
        wind: Direction of the wind, or zero.
        point_load: Name of the occasional point load that acts, or empty.
        supports_of: State whose acting supports alone hold, or empty.
        sway: Sense in which equipment sways, East and North, or zero.
        free_nozzles: Nozzles that do not hold upward, while the weight that springs balance is found.
    """

    name: str
    kind: str
    state: State
    title: str
    thermal: bool = False
    acceleration: tuple[float, float, float] = (0.0, 0.0, 0.0)
    wind: tuple[float, float, float] = (0.0, 0.0, 0.0)
    point_load: str = ""
    supports_of: str = ""
    sway: tuple[float, float, float] = (0.0, 0.0, 0.0)
    free_nozzles: frozenset[str] = frozenset()

    def record(self) -> Case:
        """The case as a result record."""
        return Case(self.name, self.kind, self.state.name if self.thermal or self.supports_of else "", self.title)


def operating_name(state: State) -> str:
    """Name of the case of a thermal state."""
    return "operating" if state.name == OPERATING else f"operating: {state.name}"


def range_name(a: str, b: str) -> str:
    """Name of the displacement range between two states, or the installed one and a state."""
    return f"range, {a} to {b}"


def static_cases(plant: Plant) -> list[FrameCase]:
    """Weight and pressure cold, every thermal state, and the pressure test where a line has one."""
    operating = plant.states[0]
    cases = [FrameCase(SUSTAINED, "sustained", operating, "weight and pressure, at installation temperature")]
    cases += [
        FrameCase(
            operating_name(state),
            "operating",
            state,
            f"weight, pressure, growth and equipment movements of the {state.name} state",
            thermal=True,
        )
        for state in plant.states
    ]
    if any(line.test_pressure for line in plant.lines.values()):
        cases.append(
            FrameCase(TEST, "test", operating, "weight with test water, test pressure, springs locked, no growth")
        )
    return cases


def further_cases(plant: Plant) -> list[FrameCase]:
    """Cases whose supports follow from the static ones: hot sustained, and occasional loads."""
    operating = plant.states[0]
    cases = [
        FrameCase(
            f"sustained, supports of {state.name}",
            "sustained",
            state,
            f"weight and pressure with only the supports that act in the {state.name} state",
            supports_of=state.name,
        )
        for state in plant.states
    ]
    return [
        *cases,
        *_seismic(plant, operating),
        *_wind(plant, operating),
        *_sway(plant, operating),
        *_point_loads(plant, operating),
    ]


def _seismic(plant: Plant, state: State) -> Iterator[FrameCase]:
    for name, direction, coefficient in (
        ("East", _EAST, plant.project.seismic_horizontal),
        ("North", _NORTH, plant.project.seismic_horizontal),
        ("Up", _UP, plant.project.seismic_vertical),
    ):
        for sign in (1.0, -1.0) if coefficient else ():
            word = "+" if sign > 0 else "-"
            share = sign * (coefficient or 0.0)
            yield FrameCase(
                f"seismic {name} {word}",
                "occasional",
                state,
                f"sustained with {share:+g} g towards {name}",
                acceleration=(direction[0] * share, direction[1] * share, direction[2] * share),
            )


def _wind(plant: Plant, state: State) -> Iterator[FrameCase]:
    for name, direction in (("East", _EAST), ("North", _NORTH)):
        for sign in (1.0, -1.0) if plant.project.wind_pressure else ():
            word = "+" if sign > 0 else "-"
            yield FrameCase(
                f"wind {name} {word}",
                "occasional",
                state,
                f"sustained with wind towards {'' if sign > 0 else 'minus '}{name}",
                wind=(direction[0] * sign, direction[1] * sign, 0.0),
            )


def _sway(plant: Plant, state: State) -> Iterator[FrameCase]:
    items = plant.equipment.values()
    for name, direction, there in (
        ("East", _EAST, any(item.sway_east for item in items)),
        ("North", _NORTH, any(item.sway_north for item in items)),
    ):
        for sign in (1.0, -1.0) if there else ():
            word = "+" if sign > 0 else "-"
            yield FrameCase(
                f"sway {name} {word}",
                "occasional",
                state,
                f"sustained with equipment swaying towards {'' if sign > 0 else 'minus '}{name}",
                sway=(direction[0] * sign, direction[1] * sign, 0.0),
            )


def _point_loads(plant: Plant, state: State) -> Iterator[FrameCase]:
    for load in plant.point_loads:
        if load.acts_in == "occasional":
            yield FrameCase(
                f"load {load.name}", "occasional", state, f"sustained with point load {load.name}", point_load=load.name
            )


def range_pairs(plant: Plant) -> list[tuple[str, str]]:
    """Pairs of states whose displacement range counts; the installed state is ``installed``."""
    names = [state.name for state in plant.states]
    first = [("installed", name) for name in names]
    return first + [(a, b) for n, a in enumerate(names) for b in names[n + 1 :]]
