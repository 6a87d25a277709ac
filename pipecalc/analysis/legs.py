"""Hand method over lines and states: leg records, their checks, and loads on nozzles from the end legs."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import permutations
from math import hypot

import numpy as np

from pipecalc.analysis.chains import Array, Chain, Hold, axis_name, by_axis, chains_of, growth_along, holds
from pipecalc.analysis.frame_cases import operating_name, range_name
from pipecalc.analysis.intensification import Key, largest, point_factors
from pipecalc.analysis.leg_checks import BentLeg, leg_checks, restrained_checks
from pipecalc.analysis.ranges import AllowableRange, allowable_range
from pipecalc.analysis.stretches import Piece, Stretch, end_moment, solve_axis
from pipecalc.calc.leg import (
    cantilever_force,
    cantilever_moment,
    cantilever_stress,
    required_length,
    u_loop_height,
)
from pipecalc.calc.material import modulus_at
from pipecalc.calc.remembered import remembered
from pipecalc.calc.section import moment_of_inertia
from pipecalc.model import INSTALLED, Line, Plant, State
from pipecalc.results import Check, Leg, Loop, NozzleLoad, Restrained

_TOO_SMALL = 1e-6  # displacements below this are not listed [m]


@dataclass(frozen=True, slots=True)
class HandState:
    """The hand method's solution of one chain: stretches by axis.

    Attributes:
        chain: The chain.
        state: The state it goes to.
        reference: The state it comes from, None for the installed one.
        stretches: By axis.
    """

    chain: Chain
    state: State
    reference: State | None
    stretches: tuple[tuple[Stretch, ...], ...]

    def all(self) -> Iterator[Stretch]:
        """Stretches of all three axes."""
        for axis in self.stretches:
            yield from axis

    @property
    def label(self) -> str:
        """The state, with the one it is reckoned from where that is not the installed one."""
        return self.state.name if self.reference is None else f"{self.reference.name} to {self.state.name}"

    @property
    def case(self) -> str:
        """Name of the displacement range."""
        return range_name(INSTALLED if self.reference is None else self.reference.name, self.state.name)


@dataclass(frozen=True, slots=True)
class HandLine:
    """Everything the hand method found for one line."""

    line: str
    legs: tuple[Leg, ...]
    restrained: tuple[Restrained, ...]
    loops: tuple[Loop, ...]
    checks: tuple[Check, ...]
    nozzle_loads: tuple[NozzleLoad, ...]


def hand_line(line: Line, plant: Plant) -> HandLine:
    """The hand method for one line over all its chains, states and pairs of states."""
    limits = {
        name: allowable_range(line, material, plant)
        for name, material in {s.material.name: s.material for s in line.segments}.items()
    }
    factors = point_factors(line, plant)
    solved = [hand for chain in chains_of(line) for hand in solve_ranges(chain, plant)]
    bent = [list(_bent(hand, plant, factors, limits)) for hand in solved]
    legs = tuple(_worst(found for same in bent for found in same))
    restrained = _restrained(solved, limits)
    return HandLine(
        line.name,
        legs,
        tuple(record for record, _ in restrained),
        tuple(_loops(legs, [record for record, _ in restrained], line, plant, factors, limits)),
        (*leg_checks(bent, line), *restrained_checks(restrained, line, _clause(limits))),
        tuple(_nozzle_loads(solved, plant)),
    )


def _clause(limits: Mapping[str, AllowableRange]) -> str:
    return next((limit.clause for limit in limits.values()), "")


def solve_ranges(chain: Chain, plant: Plant) -> list[HandState]:
    """A chain in every state from the installed one, then from each state to each other one.

    Both senses of a pair are solved, since rests hold one sense only.
    """
    pairs = [(None, state) for state in plant.states] + list(permutations(plant.states, 2))
    free = {state.name: free_state(chain, plant, state) for state in plant.states}
    return [
        _solved(chain, plant, state, reference, free[state.name], free[reference.name] if reference else None)
        for reference, state in pairs
    ]


def solve_chain(chain: Chain, plant: Plant, state: State) -> HandState:
    """Stretches of a chain in one state, reckoned from the installed state."""
    return _solved(chain, plant, state, None, free_state(chain, plant, state), None)


#: Free growth of a chain's points [m], shape (n + 1, 3), and what holds it.
FreeState = tuple[Array, Sequence[Hold]]


def free_state(chain: Chain, plant: Plant, state: State) -> FreeState:
    """Growth and restraints of a chain in a state, before it is solved."""
    return growth_along(chain, plant, state), holds(chain, plant, state)


def _solved(
    chain: Chain, plant: Plant, state: State, reference: State | None, now: FreeState, before: FreeState | None
) -> HandState:
    growth, found = now
    if before is not None:
        growth, found = growth - before[0], _moved_since(found, before[1])
    held = by_axis(found)
    temperature = load_temperature(chain, plant, state)
    stretches = tuple(solve_axis(chain, held[axis], growth, axis, temperature) for axis in range(3))
    return HandState(chain, state, reference, stretches)


def _moved_since(found: Sequence[Hold], before: Sequence[Hold]) -> list[Hold]:
    """Restraints with their movement from one state to another."""
    return [
        Hold(now.index, now.axis, now.move - then.move, now.name, now.one_way)
        for now, then in zip(found, before, strict=True)
    ]


def load_temperature(chain: Chain, plant: Plant, state: State) -> float:
    """Temperature at which the modulus for reactions is taken [°C]."""
    if plant.project.modulus_for_reactions == "installation":
        return plant.project.installation_temperature
    return max(state.segment_temperature(segment) for segment in chain.segments)


@dataclass(frozen=True, slots=True)
class _Facts:
    """What is the same of a leg in all displacement ranges.

    Attributes:
        names: Its points in order.
        i: Intensification factor.
        E: Modulus at installation temperature [Pa].
        D: Outside diameter [m].
        I: Moment of inertia [m4].
    """

    names: tuple[str, ...]
    i: float
    E: float
    D: float
    I: float


@remembered(1000)
def _facts(chain: Chain, piece: Piece, plant: Plant, factors: Mapping[Key, float]) -> _Facts:
    section = piece.segment.section
    return _Facts(
        tuple(key[1] for key in chain.keys[piece.first : piece.last + 1]),
        leg_factor(chain, piece, factors),
        modulus_at(piece.segment.material, plant.project.installation_temperature),
        section.outside_diameter,
        moment_of_inertia(section.outside_diameter, section.wall),
    )


def _bent(
    hand: HandState, plant: Plant, factors: Mapping[Key, float], limits: Mapping[str, AllowableRange]
) -> Iterator[BentLeg]:
    """Every leg that gives way."""
    for axis, stretches in enumerate(hand.stretches):
        for stretch in stretches:
            for piece in stretch.pieces:
                moves = abs(stretch.displacement(piece)) > _TOO_SMALL
                if moves and piece.compliance > 0 and piece.segment.joint is None:
                    facts = _facts(hand.chain, piece, plant, factors)
                    limit = limits[piece.segment.material.name]
                    x, y, z = stretch.lateral(piece)
                    delta = hypot(x, y, z)
                    stress = float(facts.i * cantilever_stress(facts.E, facts.D, piece.length, delta))
                    share = stress / delta if delta else 0.0
                    yield BentLeg(
                        (facts.names[0], facts.names[-1]),
                        piece.first,
                        piece.last,
                        axis,
                        stress,
                        (x * share, y * share, z * share),
                        hand.case,
                        limit.clause,
                        partial(_leg, hand, stretch, piece, plant, facts, limit, delta, stress),
                    )


def _worst(legs: Iterable[BentLeg]) -> Iterator[Leg]:
    """One record for each leg and direction, of the range in which its stress is highest."""
    best: dict[tuple[tuple[str, str], int], BentLeg] = {}
    for leg in legs:
        key = (leg.ends, leg.axis)
        if key not in best or leg.stress > best[key].stress:
            best[key] = leg
    yield from (leg.record() for leg in best.values())


def _leg(
    hand: HandState,
    stretch: Stretch,
    piece: Piece,
    plant: Plant,
    facts: _Facts,
    limit: AllowableRange,
    delta: float,
    stress: float,
) -> Leg:
    E_load = modulus_at(piece.segment.material, load_temperature(hand.chain, plant, hand.state))
    return Leg(
        line=hand.chain.line,
        from_=facts.names[0],
        to=facts.names[-1],
        direction=axis_name(stretch.axis),
        along=axis_name(piece.direction),
        absorbs=delta,
        absorbs_by_axis=stretch.lateral(piece),
        length=piece.length,
        length_needed=required_length(facts.E, facts.D, delta, facts.i, limit.S_A),
        force=cantilever_force(E_load, facts.I, piece.length, delta),
        moment=cantilever_moment(E_load, facts.I, piece.length, delta),
        stress=stress,
        limit=limit.S_A,
        ratio=stress / limit.S_A,
        state=hand.label,
        intensification=facts.i,
        points=facts.names,
        stretch=(stretch.start.name, stretch.end.name),
        rows=rows_of(hand.chain, piece.first, piece.last),
        inputs={
            "E": facts.E,
            "E_load": E_load,
            "D": facts.D,
            "I": facts.I,
            "L": piece.length,
            "delta": delta,
            "i": facts.i,
            "S_A": limit.S_A,
            "f": limit.f,
            "S_c": limit.S_c,
            "S_h": limit.S_h,
            "N": limit.cycles,
            "Delta": stretch.to_absorb,
        },
    )


@remembered(1000)
def leg_factor(chain: Chain, piece: Piece, factors: Mapping[Key, float]) -> float:
    """Factor on the end stress of a leg: of its ends, and of points between by their share of the end moment.

    NaN at a point that bends wins, since nothing can be said then.
    """
    middle = piece.arms[0]
    found = [1.0]
    for index in range(piece.first, piece.last + 1):
        along = chain.distance(piece.first, index)
        share = min(1.0, abs(along - middle) / (piece.length / 2.0))
        if share > _TOO_SMALL:
            found.append(share * factors.get(chain.keys[index], 1.0))
    return largest(found)


def _restrained(solved: Iterable[HandState], limits: Mapping[str, AllowableRange]) -> list[tuple[Restrained, str]]:
    """Stretches that nothing lets grow, each in its worst range, with the case."""
    worst: dict[tuple[str, str, str], tuple[Restrained, str]] = {}
    for hand in solved:
        for stretch in hand.all():
            if stretch.rigid and abs(stretch.to_absorb) > _TOO_SMALL:
                found = _held(hand, stretch, limits)
                key = (found.from_, found.to, found.direction)
                if key not in worst or found.stress > worst[key][0].stress:
                    worst[key] = (found, hand.case)
    return list(worst.values())


def _held(hand: HandState, stretch: Stretch, limits: Mapping[str, AllowableRange]) -> Restrained:
    keys = hand.chain.keys
    held = hand.chain.segments[stretch.start.index : stretch.end.index]
    return Restrained(
        line=hand.chain.line,
        from_=keys[stretch.start.index][1],
        to=keys[stretch.end.index][1],
        direction=axis_name(stretch.axis),
        state=hand.label,
        growth=stretch.to_absorb,
        force=abs(stretch.force),
        stress=stretch.stress,
        limit=-largest(-limits[segment.material.name].S_A for segment in held),
        rows=rows_of(hand.chain, stretch.start.index, stretch.end.index),
    )


def rows_of(chain: Chain, first: int, last: int) -> tuple[int, ...]:
    """Rows of Segments between two points of a chain."""
    return tuple(segment.source.row for segment in chain.segments[first:last])


def _loops(
    legs: Sequence[Leg],
    restrained: Sequence[Restrained],
    line: Line,
    plant: Plant,
    factors: Mapping[Key, float],
    limits: Mapping[str, AllowableRange],
) -> Iterator[Loop]:
    """A U loop for each run and direction whose legs fall short: legs from the formula, width half of them."""
    if line.material.name not in limits:
        return
    S_A = limits[line.material.name].S_A
    E = modulus_at(line.material, plant.project.installation_temperature)
    D = line.section.outside_diameter
    i = max((f for f in factors.values() if np.isfinite(f)), default=1.0)
    short = {(leg.from_, leg.to, leg.direction): abs(leg.inputs["Delta"]) for leg in legs if leg.ratio > 1} | {
        (r.from_, r.to, r.direction): abs(r.growth) for r in restrained if r.stress > r.limit
    }
    for (start, end, direction), growth in short.items():
        height = u_loop_height(E, D, growth, i, S_A)
        if np.isfinite(height):
            yield Loop(line.name, start, end, direction, growth, height, height / 2.0)


def _nozzle_loads(solved: Iterable[HandState], plant: Plant) -> Iterator[NozzleLoad]:
    """Loads on nozzles at the ends of each chain in each state."""
    for hand in solved:
        keys = hand.chain.keys
        for index in (0, len(keys) - 1) if hand.reference is None else ():
            name = plant.nozzle_at.get(keys[index])
            if name is not None:
                force, moment = end_load(hand, index)
                yield nozzle_load(name, operating_name(hand.state), force, moment, plant)


def end_load(hand: HandState, index: int) -> tuple[Array, Array]:
    """The pipe's action on what holds a chain at one of its points: force [N] and moment [N·m], each shape (3,)."""
    force, moment = np.zeros(3), np.zeros(3)
    for stretch in hand.all():
        if stretch.start.index == index:
            force = force + stretch.force * stretch.axis
            moment = moment + end_moment(stretch, at_start=True)
        elif stretch.end.index == index:
            force = force - stretch.force * stretch.axis
            moment = moment + end_moment(stretch, at_start=False)
    return force, moment


def nozzle_load(name: str, case: str, force: Array, moment: Array, plant: Plant, method: str = "hand") -> NozzleLoad:
    """A load in plant axes, resolved along the nozzle's own R, L and C."""
    axes = np.asarray(plant.nozzles[name].axes)
    FR, FL, FC = (float(v) for v in axes @ force)
    MR, ML, MC = (float(v) for v in axes @ moment)
    return NozzleLoad(
        nozzle=name,
        case=case,
        FR=FR,
        FL=FL,
        FC=FC,
        MR=MR,
        ML=ML,
        MC=MC,
        force=(float(force[0]), float(force[1]), float(force[2])),
        moment=(float(moment[0]), float(moment[1]), float(moment[2])),
        method=method,
    )
