"""Members -> the arrays of the solver: stiffness, weights, strains, wind and earthquake."""

from collections.abc import Callable, Hashable, Iterator, Sequence

import numpy as np

from pipecalc.analysis.frame_cases import TEST, FrameCase
from pipecalc.analysis.frame_nodes import BranchSpring, Member, Net
from pipecalc.calc.branch_b31j import branch_spring
from pipecalc.calc.elbow import pressure_divisor_flexibility
from pipecalc.calc.frame import POISSON, Array, Frame, Index, Loads, build_frame, build_loads
from pipecalc.calc.material import modulus_at, strain_between
from pipecalc.calc.section import mean_radius, metal_area, moment_of_inertia
from pipecalc.calc.weight import GRAVITY, LineMass, line_mass
from pipecalc.model import Line, Plant, Section, Segment, State

TEST_DENSITY = 1000.0  # water of the pressure test [kg/m3]
#: What holds as good as rigidly gives way by no more than this share of a pipe's length of one diameter. Shifts cannot
#: be held much stiffer: a force is found from the difference of two movements, whose last digit it multiplies.
LEAST_SHIFT = 1e-2
LEAST_TURN = 1e-4


def frame_of(net: Net, plant: Plant, pressures: State | None, temperatures: State | None) -> Frame:
    """The frame with the stiffness of a state.

    Args:
        net: Nodes and members.
        plant: The plant.
        pressures: State whose pressures stiffen the elbows, or None for no stiffening.
        temperatures: State whose temperatures give the modulus, or None for the installation temperature.
    """

    def by_section(value: Callable[[float, float], float]) -> Array:
        one = _each(net, lambda m: m.section, lambda m: value(m.section.outside_diameter, m.section.wall))
        return np.asarray(one * stiffer)

    def modulus(segment: Segment) -> float:
        return modulus_at(segment.material, _temperature(segment, plant, temperatures))

    stiffer = np.array([m.stiffer for m in net.members])
    areas, inertias = by_section(metal_area), by_section(moment_of_inertia)
    k = np.array([_flexibility(m, plant, pressures) for m in net.members])
    unknown = (np.nan,) * 3
    springs = [*_springs(net, modulus)]
    return build_frame(
        np.array(net.at),
        [(m.i, m.j) for m in net.members],
        E=_each(net, _heated, lambda m: modulus(m.segment)),
        A=areas,
        I=inertias,
        J=2.0 * inertias,
        shear_area=areas / 2.0 if plant.project.shear_deformation else np.inf,
        centre=[m.centre or unknown for m in net.members],
        normal=[m.normal or unknown for m in net.members],
        k_in=k,
        k_out=k,
        spring_ends=[ends for ends, _, _ in springs] or None,
        spring_axes=[axes for _, axes, _ in springs] or None,
        spring_stiffness=[stiffness for _, _, stiffness in springs] or None,
    )


def _springs(
    net: Net, modulus: Callable[[Segment], float]
) -> Iterator[tuple[tuple[int, int], Array, tuple[float, ...]]]:
    """Ends, axes and stiffness of expansion joints, then of branch legs."""
    for joint in net.joints:
        yield (joint.i, joint.j), _joint_axes(joint.segment), _joint_stiffness(joint.segment, modulus(joint.segment))
    for branch in net.branch_springs:
        yield (branch.i, branch.j), np.array(branch.axes), _branch_stiffness(branch, modulus(branch.segment))


def _branch_stiffness(branch: BranchSpring, modulus: float) -> tuple[float, ...]:
    """Rates of a branch leg on its header: stiff against shifts, and against turns whose factor is one.

    Source: ASME B31J-2017, rotation = k M d/(E I), from memory; so is that a factor of one stands for a stiff joint.
    """
    diameter, wall = branch.section.outside_diameter, branch.section.wall
    d, inertia = diameter - wall, moment_of_inertia(diameter, wall)
    shift = modulus * metal_area(diameter, wall) / (LEAST_SHIFT * d)
    stiff = modulus * inertia / (LEAST_TURN * d)
    turns = (branch_spring(modulus, inertia, k, d) if k > 1.0 else stiff for k in branch.k)
    return (shift, shift, shift, *turns)


def _each(net: Net, key: Callable[[Member], Hashable], value: Callable[[Member], float]) -> Array:
    """A value for every member, found once for each kind of member, shape (m,)."""
    kinds, of = _kinds(net, key)
    return np.array([value(member) for member in kinds], float)[of]


def _heated(member: Member) -> Hashable:
    """What the temperature of a member depends on, whatever the state."""
    return member.segment.line, member.segment.material.name, member.segment.temperature


def _temperature(segment: Segment, plant: Plant, state: State | None) -> float:
    return plant.project.installation_temperature if state is None else state.segment_temperature(segment)


def _flexibility(member: Member, plant: Plant, state: State | None) -> float:
    """Flexibility factor, with the pressure of the state where the project asks for it; never below 1."""
    if member.part != "bend":
        return 1.0
    k = member.k
    if state is not None and member.segment.own.k is None:
        pressure = max(state.lines[member.segment.line].pressure, 0.0)
        modulus = modulus_at(member.segment.material, plant.project.installation_temperature)
        section = member.section
        radius, equivalent = mean_radius(section.outside_diameter, section.wall), member.share * member.radius
        k = max(1.0, k / pressure_divisor_flexibility(pressure, modulus, section.wall, equivalent, radius))
    return 1.0 + member.share * (k - 1.0)


def _joint_axes(segment: Segment) -> Array:
    along = np.asarray(segment.vector) / segment.length
    seed = np.array([0.0, 0.0, 1.0]) if abs(along[2]) < 0.9 else np.array([1.0, 0.0, 0.0])
    second = np.cross(seed, along)
    second /= np.linalg.norm(second)
    return np.array([along, second, np.cross(along, second)])


def _joint_stiffness(segment: Segment, modulus: float) -> tuple[float, ...]:
    """Rates along and across; bellows are not meant to twist and take torsion like their pipe."""
    joint, section = segment.joint, segment.section
    if joint is None:
        raise ValueError(f"{segment.source}: no expansion joint")
    inertia = moment_of_inertia(section.outside_diameter, section.wall)
    torsion = modulus / (2.0 * (1.0 + POISSON)) * 2.0 * inertia / segment.length
    return (joint.axial, joint.lateral, joint.lateral, torsion, joint.angular, joint.angular)


def loads_of(net: Net, frame: Frame, plant: Plant, cases: Sequence[FrameCase]) -> Loads:
    """Loads of all cases."""
    per_length = mass_per_length(net, plant, cases)
    gravity = np.array([_gravity(case) for case in cases]).T
    distributed = per_length[:, None, :] * gravity[None, :, :] + _wind(net, frame, plant, cases)
    strain = _strains(net, plant, cases)
    nodal = _nodal(net, plant, cases, gravity)
    free = np.zeros((len(frame.spring_ends), 6, len(cases)))
    for number, spring in enumerate(net.joints):
        free[number, 0] = [_strain(spring.segment, plant, case) * spring.segment.length for case in cases]
    return build_loads(frame, len(cases), nodal=nodal, distributed=distributed, strain=strain, spring_free=free)


def _gravity(case: FrameCase) -> tuple[float, float, float]:
    east, north, up = case.acceleration
    return (GRAVITY * east, GRAVITY * north, GRAVITY * (up - 1.0))


def _density(line: str, case: FrameCase) -> float:
    return TEST_DENSITY if case.name == TEST else case.state.lines[line].density


def _kinds(net: Net, key: Callable[[Member], Hashable]) -> tuple[list[Member], Index]:
    """One member of every kind, and for each member the number of its kind."""
    numbers: dict[Hashable, int] = {}
    first: list[Member] = []
    index = np.empty(len(net.members), np.intp)
    for row, member in enumerate(net.members):
        number = numbers.setdefault(key(member), len(numbers))
        if number == len(first):
            first.append(member)
        index[row] = number
    return first, index


def mass_per_length(net: Net, plant: Plant, cases: Sequence[FrameCase]) -> Array:
    """Mass per length of every member in every case [kg/m], shape (m, cases)."""
    kinds, of = _kinds(net, lambda m: (m.segment.line, m.section, m.segment.material.name, m.own_metal))
    table = np.empty((len(kinds), len(cases)))
    for row, member in enumerate(kinds):
        line = plant.lines[member.segment.line]
        for c, case in enumerate(cases):
            mass = _mass(line, member.section, member.segment, case)
            table[row, c] = mass.total if member.own_metal else mass.total - mass.metal
    return table[of]


def _mass(line: Line, section: Section, segment: Segment, case: FrameCase) -> LineMass:
    return line_mass(
        section.outside_diameter,
        section.wall,
        segment.material.density,
        _density(line.name, case),
        line.insulation_thickness,
        line.insulation_density,
    )


def _strains(net: Net, plant: Plant, cases: Sequence[FrameCase]) -> Array:
    """Free strain of every member in every case, shape (m, cases)."""
    kinds, of = _kinds(net, _heated)
    table = [[_strain(member.segment, plant, case) for case in cases] for member in kinds]
    return np.array(table).reshape(len(kinds), len(cases))[of]


def _strain(segment: Segment, plant: Plant, case: FrameCase) -> float:
    if not case.thermal:
        return 0.0
    temperature = case.state.segment_temperature(segment)
    return strain_between(segment.material, plant.project.installation_temperature, temperature)


def _wind(net: Net, frame: Frame, plant: Plant, cases: Sequence[FrameCase]) -> Array:
    """Wind square to each member: pressure times shape factor times insulated diameter, by the cross-flow component."""
    force = np.zeros((len(net.members), 3, len(cases)))
    blowing = [c for c, case in enumerate(cases) if any(case.wind)]
    if not blowing:
        return force
    chord = frame.nodes[frame.ends[:, 1]] - frame.nodes[frame.ends[:, 0]]
    along = chord / np.linalg.norm(chord, axis=1, keepdims=True)
    width = np.array([_insulated_diameter(m, plant) for m in net.members])
    q = (plant.project.wind_pressure or 0.0) * plant.project.wind_shape_factor
    for c in blowing:
        direction = np.array(cases[c].wind)
        across = direction - (along @ direction)[:, None] * along
        force[:, :, c] = q * width[:, None] * np.linalg.norm(across, axis=1, keepdims=True) * across
    return force


def _insulated_diameter(member: Member, plant: Plant) -> float:
    return member.section.outside_diameter + 2.0 * plant.lines[member.segment.line].insulation_thickness


def _nodal(net: Net, plant: Plant, cases: Sequence[FrameCase], gravity: Array) -> Array:
    nodal = np.zeros((len(net.at), 6, len(cases)))
    for node, mass in point_masses(net, plant):
        nodal[node, :3] += mass * gravity
    for c, case in enumerate(cases):
        for load in plant.point_loads:
            if _load_acts(load.acts_in, load.name, case):
                nodal[net.node_of[load.point], :, c] += [*load.force, *load.moment]
        for spring in net.joints:
            _joint_loads(nodal, spring.i, spring.j, spring.segment, plant, case, c, gravity[:, c])
    return nodal


def point_masses(net: Net, plant: Plant) -> list[tuple[int, float]]:
    """Masses of items and of the Point loads sheet, at nodes [kg]."""
    return [*net.masses, *((net.node_of[load.point], load.mass) for load in plant.point_loads if load.mass)]


def _load_acts(acts_in: str, name: str, case: FrameCase) -> bool:
    """A sustained load acts wherever weight does but in the test; an occasional one makes a case of its own."""
    if acts_in == "always":
        return True
    if acts_in == "sustained":
        return case.kind != "test"
    if acts_in == "occasional":
        return case.point_load == name
    return acts_in == case.kind


def joint_mass(segment: Segment, plant: Plant, case: FrameCase) -> float:
    """Mass of pipe and contents of an expansion joint [kg]; an own mass stands for its metal and is counted apart."""
    mass = _mass(plant.lines[segment.line], segment.section, segment, case)
    return (mass.total - mass.metal if segment.mass else mass.total) * segment.length


def _joint_loads(
    nodal: Array, i: int, j: int, segment: Segment, plant: Plant, case: FrameCase, c: int, gravity: Array
) -> None:
    """Pressure thrust of a joint on both its ends, and half the weight of its pipe and contents on each."""
    along = np.asarray(segment.vector) / segment.length
    line = plant.lines[segment.line]
    pressure = (line.test_pressure or 0.0) if case.name == TEST else case.state.lines[line.name].pressure
    thrust = pressure * (segment.joint.area if segment.joint else 0.0) * along
    half = joint_mass(segment, plant, case) / 2.0 * gravity
    nodal[i, :3, c] += half - thrust
    nodal[j, :3, c] += half + thrust
