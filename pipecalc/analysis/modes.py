"""Natural frequencies of each connected system, with supports as they stand in the cold weight case."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from pipecalc.analysis.frame import FrameRun, Official
from pipecalc.analysis.frame_arrays import joint_mass, mass_per_length, point_masses
from pipecalc.analysis.frame_cases import SUSTAINED
from pipecalc.analysis.frame_nodes import Net
from pipecalc.calc.contact import NO_FRICTION
from pipecalc.calc.frame import Array, Frame, Index, Restraints, join_restraints
from pipecalc.calc.mechanism import systems
from pipecalc.calc.modes import natural_modes as modes_of_frame
from pipecalc.calc.modes import supports_as_found
from pipecalc.model import Plant
from pipecalc.results import Mode

#: Modes shown for each system.
COUNT = 6
_PIECE = 8.0  # outside diameters: a straight run is cut into pieces of about this length for its mass ...
_PIECES = 4  # ... but into no more than this many


def natural_modes(run: FrameRun, plant: Plant) -> Iterator[Mode]:
    """The lowest natural frequencies of every system of joined lines, in the order of its first line.

    Masses are those of operation, the modulus that at installation temperature. Supports that are closed in the cold
    weight case hold both ways, open ones are left out; friction holds nothing. A system that the open supports leave free
    has a first mode of 0 Hz and no other. Nothing comes where the cold weight case is not solved.
    """
    cold = next(official for official in run.official if official.case.name == SUSTAINED)
    if not cold.settled:
        return
    frame, masses, per_length = _with_masses(cold, run.net, plant)
    restraints = _as_found(cold)
    of = systems(frame.all_ends, len(frame.nodes))
    for label in dict.fromkeys(of[run.net.node_of[key]] for key in run.net.node_of):
        name = _name(run.net, of, int(label))
        part, nodes, members = _system(frame, of, int(label))
        held = _rows(restraints, nodes, len(of))
        found = modes_of_frame(part, held, masses[nodes], per_length[members], COUNT)
        if found.mechanisms:
            yield Mode(name, 1, 0.0)
        for number, frequency in enumerate(found.frequency, start=1):
            yield Mode(name, number, float(frequency))


def _name(net: Net, of: Index, label: int) -> str:
    """A system is called by its lines."""
    pairs = [(m.i, m.segment.line) for m in net.members] + [(s.i, s.segment.line) for s in net.joints]
    return ", ".join(dict.fromkeys(line for node, line in pairs if of[node] == label))


def _as_found(cold: Official) -> Restraints:
    """Nozzles, anchors and acting supports as two-way restraints without movement."""
    solved, column = cold.solved, [cold.number]
    result = solved.solution.contacts
    smooth = replace(result, slip=np.full_like(result.slip, NO_FRICTION))
    fixed = replace(solved.restraints, movement=np.zeros_like(solved.restraints.movement[:, column]))
    return join_restraints(fixed, supports_as_found(solved.contacts, smooth, cold.number))


def _with_masses(cold: Official, net: Net, plant: Plant) -> tuple[Frame, Array, Array]:
    """The frame cut finely enough for its mass, masses at nodes [kg] and per length of members [kg/m]."""
    frame = cold.solved.frame
    width = np.array([m.section.outside_diameter for m in net.members])
    pieces = np.clip(np.ceil(frame.length / (_PIECE * width)), 1, _PIECES).astype(np.intp)
    pieces[frame.is_bend] = 1
    row = np.repeat(np.arange(len(pieces)), pieces)
    finer = _cut(frame, pieces, row)
    masses = np.zeros(len(finer.nodes))
    for node, mass in (*point_masses(net, plant), *_joint_masses(net, plant, cold)):
        masses[node] += mass
    return finer, masses, mass_per_length(net, plant, [cold.case])[row, 0]


def _joint_masses(net: Net, plant: Plant, cold: Official) -> Iterator[tuple[int, float]]:
    """Pipe and contents of expansion joints, half at each end."""
    for spring in net.joints:
        half = joint_mass(spring.segment, plant, cold.case) / 2.0
        yield from ((spring.i, half), (spring.j, half))


def _cut(frame: Frame, pieces: Index, row: Index) -> Frame:
    """Straight members in equal pieces; new nodes follow the old ones."""
    count = len(frame.nodes)
    number = np.arange(len(row)) - np.repeat(np.cumsum(pieces) - pieces, pieces)
    inner = number > 0
    share = (number / pieces[row])[:, None]
    start, end = frame.nodes[frame.ends[row, 0]], frame.nodes[frame.ends[row, 1]]
    new = np.full(len(row), -1, np.intp)
    new[inner] = count + np.arange(int(inner.sum()))
    first = np.where(inner, new, frame.ends[row, 0])
    last = np.where(number == pieces[row] - 1, frame.ends[row, 1], np.append(new[1:], -1))
    by_member = ("E", "G", "A", "I", "J", "shear_area", "centre", "normal", "k_in", "k_out", "radius", "angle")
    return replace(
        frame,
        **{name: getattr(frame, name)[row] for name in by_member},
        nodes=np.concatenate([frame.nodes, (start + share * (end - start))[inner]]),
        ends=np.column_stack([first, last]),
        length=frame.length[row] / pieces[row],
    )


def _system(frame: Frame, of: Index, label: int) -> tuple[Frame, Index, Index]:
    """One connected system as a frame of its own, with its nodes and members in the whole frame."""
    nodes = np.flatnonzero(of == label)
    members = np.flatnonzero(of[frame.ends[:, 0]] == label)
    springs = np.flatnonzero(of[frame.spring_ends[:, 0]] == label)
    place = np.full(len(of), -1, np.intp)
    place[nodes] = np.arange(len(nodes))
    by_member = ("E", "G", "A", "I", "J", "shear_area", "centre", "normal", "k_in", "k_out", "radius", "angle", "length")
    part = replace(
        frame,
        nodes=frame.nodes[nodes],
        ends=place[frame.ends[members]],
        **{name: getattr(frame, name)[members] for name in by_member},
        spring_ends=place[frame.spring_ends[springs]],
        spring_axes=frame.spring_axes[springs],
        spring_stiffness=frame.spring_stiffness[springs],
    )
    return part, nodes, members


def _rows(restraints: Restraints, nodes: Index, count: int) -> Restraints:
    """Restraints of some nodes, numbered as in their system."""
    place = np.full(count, -1, np.intp)
    place[nodes] = np.arange(len(nodes))
    rows = np.flatnonzero(place[restraints.node] >= 0)
    return Restraints(
        place[restraints.node[rows]],
        restraints.direction[rows],
        restraints.rotational[rows],
        restraints.stiffness[rows],
        restraints.movement[rows],
    )
