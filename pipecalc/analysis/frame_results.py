"""Solved cases -> result records: movements, section forces, loads on nozzles, equilibrium."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from pipecalc.analysis.frame import FrameRun, SolvedCases
from pipecalc.analysis.frame_cases import SUSTAINED, operating_name, range_name, range_pairs
from pipecalc.analysis.frame_holds import Held, action_on
from pipecalc.analysis.frame_nodes import vector
from pipecalc.analysis.frame_problems import frame_problems as frame_problems
from pipecalc.analysis.frame_supports import rate_of
from pipecalc.analysis.legs import nozzle_load
from pipecalc.calc.end_forces import section_forces
from pipecalc.calc.frame import Array, Frame, Mask, build_loads
from pipecalc.calc.work import work_residuals
from pipecalc.model import Plant, Vector
from pipecalc.results import (
    Case,
    Equilibrium,
    MemberForce,
    NozzleLoad,
    PointMovement,
    SpringResult,
)


@dataclass(frozen=True, slots=True, eq=False)
class Column:
    """One official case: what the frame did in it.

    Attributes:
        case: Its record.
        movements: Movements of nodes, shape (n, 6).
        actions: Actions on member ends, shape (m, 12).
        distributed: Distributed loads, shape (m, 3).
        settled: Whether it is solved.
    """

    case: Case
    movements: Array
    actions: Array
    distributed: Array
    settled: bool


def columns(run: FrameRun, plant: Plant) -> list[Column]:
    """All official cases in order, ranges last."""
    found = [_column(o.solved, o.number, o.case.record(), settled=o.settled) for o in run.official]
    return [*found, *_ranges(run, plant)]


def _column(solved: SolvedCases, number: int, case: Case, *, settled: bool) -> Column:
    solution = solved.solution
    return Column(
        case,
        solution.movements[:, :, number],
        solution.end_actions[:, :, number],
        solved.loads.distributed[:, :, number],
        settled,
    )


def _ranges(run: FrameRun, plant: Plant) -> Iterator[Column]:
    """Displacement ranges: differences of solved states, with the modulus at installation temperature."""
    states = {state.name: operating_name(state) for state in plant.states}
    for a, b in range_pairs(plant):
        high = _solved_column(run, run.by_state[b], states[b], _range_case(a, b))
        # The installed line is taken with the stiffness of the state it is compared with.
        before, name = (run.by_state[b], SUSTAINED) if a == "installed" else (run.by_state[a], states[a])
        low = _solved_column(run, before, name, high.case)
        yield Column(
            high.case,
            high.movements - low.movements,
            high.actions - low.actions,
            high.distributed - low.distributed,
            high.settled and low.settled,
        )


def _solved_column(run: FrameRun, solved: SolvedCases, name: str, case: Case) -> Column:
    return _column(solved, solved.column(name), case, settled=solved.settled(name) and run.springs_settled)


def _range_case(a: str, b: str) -> Case:
    return Case(range_name(a, b), "range", b, f"difference of the solved states {a} and {b}")


def point_movements(run: FrameRun, found: list[Column]) -> Iterator[PointMovement]:
    """Movement of every point in every settled case; of a turn, of the middle of its arc."""
    for column in found:
        if column.settled:
            movements = column.movements.tolist()
            for (line, point), node in run.net.node_of.items():
                yield PointMovement(line, point, column.case.case, *movements[node])


@dataclass(frozen=True, slots=True, eq=False)
class SectionForces:
    """Section forces of all members in all settled cases.

    Attributes:
        cases: Cases by column.
        start: At the start of each member, local axes, shape (m, 6, cases).
        end: At its end.
        actions: Actions on member ends, global axes, shape (m, 12, cases).
    """

    cases: tuple[Case, ...]
    start: Array
    end: Array
    actions: Array


def all_section_forces(frame: Frame, found: list[Column]) -> SectionForces:
    """Section forces at both ends of every member for every settled case."""
    settled = [column for column in found if column.settled]
    count = len(settled)
    actions = np.stack([c.actions for c in settled], axis=2) if count else np.zeros((len(frame.ends), 12, 0))
    distributed = np.stack([c.distributed for c in settled], axis=2) if count else np.zeros((len(frame.ends), 3, 0))
    loads = build_loads(frame, count, distributed=distributed)
    return SectionForces(
        tuple(c.case for c in settled),
        section_forces(frame, actions, loads, 0.0),
        section_forces(frame, actions, loads, 1.0),
        actions,
    )


def member_forces(run: FrameRun, forces: SectionForces) -> Iterator[MemberForce]:
    """Section forces of every run at both ends, of a bend and of a run with a mass of its own also at the middle."""
    members, cases = run.net.members, [case.case for case in forces.cases]
    bends = np.array([member.part == "bend" for member in members], bool)
    starts = _as_told(forces.start, bends), *_vectors(-forces.actions[:, 0:6])
    ends = _as_told(forces.end, bends), *_vectors(forces.actions[:, 6:12])
    for number, member in enumerate(members):
        segment, part = member.segment, member.part
        line, start, end = segment.line, segment.start, segment.end
        told = [
            (which, values[number], pushes[number], turns[number])
            for which, (values, pushes, turns) in zip(member.ends, (starts, ends), strict=True)
            if which
        ]
        for c, case in enumerate(cases):
            for which, values, pushes, turns in told:
                # By position: there are thousands of them for every line.
                axial, shear_y, shear_z, torsion, in_plane, out_of_plane = values[c]
                yield MemberForce(
                    line,
                    start,
                    end,
                    part,
                    case,
                    which,
                    axial,
                    shear_y,
                    shear_z,
                    torsion,
                    in_plane,
                    out_of_plane,
                    pushes[c],
                    turns[c],
                )


def _as_told(values: Array, bends: Mask) -> list[list[list[float]]]:
    """Axial force, shears, torsion and moments in and out of plane, by member and case.

    A bend's y points to its centre: about y is out of plane. A straight run's y is level: about y is in the vertical
    plane.
    """
    told = values.transpose(0, 2, 1).copy()
    told[bends, :, 4:6] = told[bends, :, 5:3:-1]
    found: list[list[list[float]]] = told.tolist()
    return found


def _vectors(actions: Array) -> tuple[list[list[Vector]], list[list[Vector]]]:
    """Forces and moments by member and case."""
    by_case = actions.transpose(0, 2, 1).tolist()
    return (
        [[(a, b, c) for a, b, c, _, _, _ in own] for own in by_case],
        [[(a, b, c) for _, _, _, a, b, c in own] for own in by_case],
    )


def frame_nozzle_loads(run: FrameRun, plant: Plant, method: str = "frame") -> Iterator[NozzleLoad]:
    """The pipe's action on every nozzle in every settled case but ranges."""
    for solved, number in official(run):
        case = solved.cases[number]
        for held in solved.held:
            if held.tag in plant.nozzles:
                yield nozzle_load(held.tag, case.name, *on_hold(solved, held, number), plant, method)


def on_hold(solved: SolvedCases, held: Held, number: int) -> tuple[Array, Array]:
    """Force and moment of the pipe on a nozzle or anchor, in global axes."""
    action = action_on(solved.restraints, held, solved.solution.restraint_forces[:, number])
    return action[:3], action[3:]


def official(run: FrameRun) -> Iterator[tuple[SolvedCases, int]]:
    """Cases that may be used, each once."""
    return ((o.solved, o.number) for o in run.official if o.settled)


def springs(run: FrameRun, plant: Plant) -> Iterator[SpringResult]:
    """Springs and constant-load supports with their loads; a spring without a rate has no variation to show."""
    for name, hot in run.hot_load.items():
        support, travel = plant.supports[name], run.travel[name]
        known = support.type == "constant load" or support.spring_rate is not None
        rate = rate_of(support) if known else float("nan")
        yield SpringResult(
            support=name,
            kind=support.type,
            hot_load=hot,
            cold_load=hot + rate * travel,
            travel=travel,
            rate=rate,
            variation=abs(rate * travel) / hot if hot > 0 else float("nan"),
        )


def equilibrium(run: FrameRun) -> Iterator[Equilibrium]:
    """Applied loads and reactions of every case, with the residuals of its solution."""
    work: dict[SolvedCases, tuple[Array, Array]] = {}
    for solved, number in official(run):
        if solved not in work:
            work[solved] = work_residuals(solved.frame, solved.loads, solved.contacts, solved.solution)
        energy, symmetry = work[solved]
        applied = _applied(solved, number)
        reactions = solved.solution.reactions[:, :3, number].sum(axis=0) + _contact_sum(solved, number)
        yield Equilibrium(
            solved.cases[number].name,
            vector(applied),
            vector(reactions),
            float(solved.solution.balance[number]),
            float(solved.solution.residual[number]),
            float(energy[number]),
            float(symmetry[number]),
        )


def _applied(solved: SolvedCases, number: int) -> Array:
    loads, lengths = solved.loads, solved.frame.length[:, None]
    total: Array = loads.nodal[:, :3, number].sum(axis=0) + (loads.distributed[:, :, number] * lengths).sum(axis=0)
    return total


def _contact_sum(solved: SolvedCases, number: int) -> Array:
    contacts = solved.solution.contacts
    if not solved.touches:
        return np.zeros(3)
    normals = np.array([touch.normal for touch in solved.touches])
    total: Array = contacts.normal_force[:, number] @ normals + contacts.friction_force[:, :, number].sum(axis=0)
    return total
