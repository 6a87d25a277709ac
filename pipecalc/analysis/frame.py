"""The frame method: all lines as one three-dimensional frame with its supports, solved for every case."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, fields, replace
from math import isfinite

import numpy as np

from pipecalc.analysis.frame_arrays import frame_of, loads_of
from pipecalc.analysis.frame_cases import SUSTAINED, FrameCase, further_cases, operating_name, static_cases
from pipecalc.analysis.frame_holds import Held, restraints_of
from pipecalc.analysis.frame_nodes import Net, lay_out
from pipecalc.analysis.frame_parts import solve_in_parts
from pipecalc.analysis.frame_spring_loads import spring_loads
from pipecalc.analysis.frame_supports import Grounds, Touch, contacts_of, grounds_of, touches_of, with_spring_loads
from pipecalc.analysis.frame_tees import join_branches
from pipecalc.calc.contact import CLOSED, CLOSED_UPPER, SPRING, Contacts
from pipecalc.calc.frame import Array, Frame, Loads, Restraints
from pipecalc.calc.recovery import Solution
from pipecalc.model import Plant, State
from pipecalc.problems import InputError, Problem, error


@dataclass(frozen=True, slots=True, eq=False)
class SolvedCases:
    """Cases solved together, with one stiffness.

    Attributes:
        frame: The frame.
        cases: The cases, by column.
        loads: Their loads.
        restraints: Nozzles and anchors as restraints.
        contacts: Supports other than anchors, row by row as ``touches``.
        solution: What was found.
        touches: Contacts of the supports, by row.
        held: Nozzles and anchors.
    """

    frame: Frame
    cases: tuple[FrameCase, ...]
    loads: Loads
    restraints: Restraints
    contacts: Contacts
    solution: Solution
    touches: tuple[Touch, ...]
    held: tuple[Held, ...]

    def column(self, name: str) -> int:
        """Column of a case; ValueError where it was not solved here."""
        return [case.name for case in self.cases].index(name)

    def settled(self, name: str) -> bool:
        """Whether a case is solved."""
        return bool(self.solution.settled[self.column(name)])


@dataclass(frozen=True, slots=True, eq=False)
class Official:
    """One case of the report: where it was solved, and whether it may be used.

    Attributes:
        case: The case.
        solved: The group it was solved in.
        number: Its column there.
        settled: Whether it, and every case that it builds on, is solved.
        waits_for: Case without which this one means nothing, where that is why it may not be used.
    """

    case: FrameCase
    solved: SolvedCases
    number: int
    settled: bool
    waits_for: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Bench:
    """What every solution of a plant shares.

    Attributes:
        plant: The plant.
        net: Nodes and members.
        grounds: Movements of what nozzles and supports stand on.
        frames: Frames made so far, by the states that give pressures and temperatures.
        loads: Loads made so far, by the names of their cases.
    """

    plant: Plant
    net: Net
    grounds: Grounds
    frames: dict[tuple[str, str], Frame] = field(default_factory=dict)
    loads: dict[tuple[str, ...], Loads] = field(default_factory=dict)

    def frame(self, pressures: State | None, temperatures: State | None) -> Frame:
        """The frame with the pressures of one state and the modulus of another, see ``frame_of``; made once."""
        key = (pressures.name if pressures else "", temperatures.name if temperatures else "")
        if key not in self.frames:
            self.frames[key] = frame_of(self.net, self.plant, pressures, temperatures)
        return self.frames[key]

    def loads_of(self, frame: Frame, cases: Sequence[FrameCase]) -> Loads:
        """Loads of some cases; they do not depend on the stiffness."""
        key = tuple(case.name for case in cases)
        if key not in self.loads:
            self.loads[key] = loads_of(self.net, frame, self.plant, cases)
        return self.loads[key]

    def solve(
        self, touches: Sequence[Touch], cases: Sequence[FrameCase], stiffness_of: State, *, hot: bool = False
    ) -> SolvedCases:
        """Solve cases with the stiffness of a state; thermal states are reached from the first case, the weighted line.

        Args:
            touches: Supports.
            cases: The cases; where one is thermal the first is the cold sustained one, which gives friction its past.
            stiffness_of: State whose pressures and, if ``hot``, temperatures give the stiffness.
            hot: Modulus at the state's temperatures instead of that at installation.
        """
        follows = [0 if case.thermal else -1 for case in cases]
        return self.solved(touches, cases, contacts_of(touches, cases, self.grounds), follows, stiffness_of, hot=hot)

    def solved(
        self,
        touches: Sequence[Touch],
        cases: Sequence[FrameCase],
        contacts: Contacts,
        follows: Sequence[int],
        stiffness_of: State,
        *,
        hot: bool = False,
    ) -> SolvedCases:
        """Solve cases whose contacts are ready."""
        pressures = stiffness_of if self.plant.project.pressure_stiffening else None
        frame = self.frame(pressures, stiffness_of if hot else None)
        loads = self.loads_of(frame, cases)
        restraints, held = restraints_of(self.plant, self.net, cases, self.grounds)
        solution = solve_in_parts(frame, restraints, loads, contacts, follows)
        return SolvedCases(frame, tuple(cases), loads, restraints, contacts, solution, tuple(touches), held)


@dataclass(frozen=True, slots=True, eq=False)
class StaticRun:
    """Weight, thermal states and test solved, with the loads of springs.

    Attributes:
        bench: What all solutions share.
        touches: Supports, springs with their loads.
        by_state: For each state, its case with the sustained one beside it, with the modulus at installation
            temperature, from which displacement ranges are taken.
        reactions: The same with the modulus for reactions.
        hot_load: Hot load of every spring [N].
        travel: Upward travel of every spring from where it was installed to the operating state [m].
        springs_settled: False where the loads of springs could not be found.
    """

    bench: Bench
    touches: Sequence[Touch]
    by_state: Mapping[str, SolvedCases]
    reactions: Mapping[str, SolvedCases]
    hot_load: Mapping[str, float]
    travel: Mapping[str, float]
    springs_settled: bool

    @property
    def net(self) -> Net:
        """Nodes and members."""
        return self.bench.net

    @property
    def static(self) -> tuple[SolvedCases, ...]:
        """Weight, thermal states and test, with the modulus for reactions."""
        return tuple(dict.fromkeys(self.reactions.values()))


@dataclass(frozen=True, slots=True, eq=False)
class FrameRun(StaticRun):
    """Everything the frame method solved.

    Attributes:
        further: Hot sustained and occasional cases.
        official: Every case of the report but ranges, once, in order.
    """

    further: SolvedCases
    official: tuple[Official, ...]


def run_frame(plant: Plant, like: StaticRun | None = None) -> FrameRun:
    """Lay out the frame and solve every case; arguments and errors are those of ``run_static``."""
    return run_further(run_static(plant, like))


def run_static(plant: Plant, like: StaticRun | None = None) -> StaticRun:
    """Lay out the frame and solve weight, thermal states and test.

    Args:
        plant: The plant.
        like: A run of a plant that differs in the rates and loads of its springs or in the stiffness of its nozzles
            alone: frame and loads are taken from it, and the search for the loads of springs begins with its travels.

    Raises:
        InputError: Two of nozzles and anchors hold the same point.
    """
    _refuse_double_holds(plant)
    bench = _bench(plant) if like is None else replace(like.bench, plant=plant)
    begun = {name: up for name, up in like.travel.items() if isfinite(up)} if like is not None else None
    cases = static_cases(plant)
    hot_modulus = plant.project.modulus_for_reactions == "operating"
    touches = touches_of(plant, bench.net.node_of)
    springs = spring_loads(bench, touches, cases, hot=hot_modulus, travel=begun)
    loaded = with_spring_loads(touches, plant, *springs.known())
    by_state = _solve_by_stiffness(bench, loaded, cases, hot=False)
    reactions = _solve_by_stiffness(bench, loaded, cases, hot=True) if hot_modulus else by_state
    return StaticRun(bench, loaded, by_state, reactions, springs.hot, springs.travel, springs.settled)


def _bench(plant: Plant) -> Bench:
    net = lay_out(plant)
    join_branches(net, plant)
    return Bench(plant, net, grounds_of(plant))


def run_further(run: StaticRun) -> FrameRun:
    """Solve hot sustained and occasional cases too, and put together what may be reported."""
    further = _solve_further(run.bench, run.touches, run.by_state, run.reactions)
    known = {f.name: getattr(run, f.name) for f in fields(StaticRun)}
    return FrameRun(**known, further=further, official=tuple(_official(run, further)))


def _refuse_double_holds(plant: Plant) -> None:
    """A point held twice would share its load in no particular way, or not at all where both move."""
    holders = [
        *((n.point, f"nozzle {n.name}", n.source) for n in plant.nozzles.values() if n.point is not None),
        *((s.point, f"anchor {s.name}", s.source) for s in plant.supports.values() if s.type == "anchor"),
    ]
    first: dict[tuple[str, str], str] = {}
    found: list[Problem] = []
    for point, name, source in holders:
        if point in first:
            what = f"{name} and {first[point]} hold the same point {'/'.join(point)}"
            found.append(error("held-twice", source, what, "one of them"))
        first.setdefault(point, name)
    if found:
        raise InputError(found)


def _solve_by_stiffness(
    bench: Bench, touches: Sequence[Touch], cases: Sequence[FrameCase], *, hot: bool
) -> dict[str, SolvedCases]:
    """Solve the cases with as few stiffnesses as the project's choices allow; by state name.

    The group of the operating state also holds the sustained case and the test; every other group begins with the
    sustained case too, from which its states are reached.
    """
    groups: dict[object, list[FrameCase]] = {}
    for case in cases:
        if case.thermal:
            groups.setdefault(_stiffness_key(case.state, bench.plant, hot=hot), []).append(case)
    first = next(iter(groups))
    solved: dict[str, SolvedCases] = {}
    for key, group in groups.items():
        others = [c for c in cases if not c.thermal and (key == first or c.name == SUSTAINED)]
        members = [*(c for c in others if c.name == SUSTAINED), *group, *(c for c in others if c.name != SUSTAINED)]
        found = bench.solve(touches, members, group[0].state, hot=hot)
        solved.update({case.state.name: found for case in group})
    return solved


def _stiffness_key(state: State, plant: Plant, *, hot: bool) -> object:
    pressures = tuple(s.pressure for s in state.lines.values()) if plant.project.pressure_stiffening else ()
    return pressures, state.name if hot else ""


def _solve_further(
    bench: Bench,
    touches: Sequence[Touch],
    by_state: Mapping[str, SolvedCases],
    reactions: Mapping[str, SolvedCases],
) -> SolvedCases:
    """Hot sustained cases with the supports that act in each state, and occasional cases with snubbers locked.

    In a hot sustained case springs push with the force they have in that state. A line that hangs on its springs alone
    would float under such forces; there they keep their rate.
    """
    found = _further(bench, touches, by_state, reactions, forces=any(touch.is_spring for touch in touches))
    if found.solution.mechanisms and any(touch.is_spring for touch in touches):
        return _further(bench, touches, by_state, reactions, forces=False)
    return found


def _further(
    bench: Bench,
    touches: Sequence[Touch],
    by_state: Mapping[str, SolvedCases],
    reactions: Mapping[str, SolvedCases],
    *,
    forces: bool,
) -> SolvedCases:
    plant = bench.plant
    cases = further_cases(plant)
    cold = by_state[plant.states[0].name]
    offsets = np.nan_to_num(cold.solution.contacts.movement[:, :, cold.column(SUSTAINED)])
    rows = [*range(len(touches)), *(n for n, touch in enumerate(touches) if forces and touch.is_spring)]
    acting = [_in_hot_state(touches[n], force=at >= len(touches), forces=forces) for at, n in enumerate(rows)]
    contacts = contacts_of(
        acting,
        cases,
        bench.grounds,
        friction=False,
        offsets=offsets[rows],
        open_in={state.name: _not_acting(reactions[state.name], state) for state in plant.states},
        springs_at={
            state.name: _springs_in(reactions[state.name], state, forces=forces)[rows] for state in plant.states
        },
    )
    return bench.solved(acting, cases, contacts, [-1] * len(cases), plant.states[0])


def _in_hot_state(touch: Touch, *, force: bool, forces: bool) -> Touch:
    """A spring as two rows: with its rate outside hot sustained cases, as the force of the state within them."""
    if not touch.is_spring or not forces:
        return touch
    return replace(touch, role="spring force", stiffness=0.0) if force else replace(touch, role="spring but hot")


def _springs_in(solved: SolvedCases, state: State, *, forces: bool) -> Array:
    """Force of each spring in a state [N], or its installed load less rate times rise from cold to hot; by touch."""
    contacts, hot = solved.solution.contacts, solved.column(operating_name(state))
    if forces:
        return np.nan_to_num(contacts.normal_force[:, hot])
    rise = np.nan_to_num(contacts.movement[:, 2, hot] - contacts.movement[:, 2, solved.column(SUSTAINED)])
    rate = np.array([touch.stiffness if touch.is_spring else 0.0 for touch in solved.touches])
    return np.asarray(np.nan_to_num(np.array([touch.preload for touch in solved.touches])) - rate * rise)


def _not_acting(solved: SolvedCases, state: State) -> frozenset[int]:
    """Rows of one-way supports that are open in a state; none where the state is not solved."""
    if not solved.settled(operating_name(state)):
        return frozenset()
    states = solved.solution.contacts.state[:, solved.column(operating_name(state))]
    one_way = [t.role in ("rest", "rod") for t in solved.touches]
    acting = np.isin(states, (CLOSED, CLOSED_UPPER, SPRING))
    return frozenset(int(n) for n in np.flatnonzero(np.array(one_way, bool) & ~acting))


def _official(run: StaticRun, further: SolvedCases) -> Iterable[Official]:
    """Every case once: cold ones with the modulus at installation temperature, thermal ones with that for reactions."""
    plant, reactions = run.bench.plant, run.reactions
    first = run.by_state[plant.states[0].name]
    states = {operating_name(state): state.name for state in plant.states}
    snubbed = any(touch.role == "snubber" for touch in further.touches)
    for case in (*static_cases(plant), *further.cases):
        solved = further if case in further.cases else reactions[case.state.name] if case.thermal else first
        builds_on = [name for name, state in states.items() if state == case.supports_of]
        if case.kind == "occasional" and snubbed:
            builds_on = [SUSTAINED]
        missing = [name for name in builds_on if not _usable(name, states, first, reactions)]
        number = solved.column(case.name)
        settled = bool(solved.solution.settled[number]) and not missing and run.springs_settled
        yield Official(case, solved, number, settled, missing[0] if missing else "")


def _usable(name: str, states: Mapping[str, str], first: SolvedCases, reactions: Mapping[str, SolvedCases]) -> bool:
    return (first if name == SUSTAINED else reactions[states[name]]).settled(name)
