"""Natural frequencies of each connected system, with supports as they stand in the cold weight case."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from pipecalc.analysis.frame import FrameRun, Official
from pipecalc.analysis.frame_arrays import joint_mass, mass_per_length, point_masses
from pipecalc.analysis.frame_cases import SUSTAINED
from pipecalc.analysis.frame_nodes import Net
from pipecalc.analysis.frame_parts import part_of
from pipecalc.calc.contact import NO_FRICTION
from pipecalc.calc.frame import Array, Frame, Index, Restraints, join_restraints
from pipecalc.calc.mechanism import systems
from pipecalc.calc.modes import Modes, supports_as_found
from pipecalc.calc.modes import natural_modes as modes_of_frame
from pipecalc.model import Plant
from pipecalc.results import Mode

#: Modes shown for each system.
COUNT = 6
_PIECE = 6.0  # outside diameters: a straight run is cut into pieces of about this length for its mass ...
_PIECES = 6  # ... but into no more than this many


def natural_modes(run: FrameRun, plant: Plant) -> Iterator[Mode]:
    """The lowest natural frequencies of every system of joined lines, in the order of its first line.

    Masses are those of operation, the modulus that at installation temperature. Supports that are closed in the cold
    weight case hold both ways, open ones are left out; friction holds nothing. A system that the open supports leave
    free has a first mode of 0 Hz and no other. Nothing comes where the cold weight case is not solved.
    """
    cold = next(official for official in run.official if official.case.name == SUSTAINED)
    if not cold.settled:
        return
    frame, masses, per_length = _with_masses(cold, run.net, plant)
    restraints = _as_found(cold)
    of = systems(frame)
    for label, name in _names(run.net, of).items():
        part = part_of(frame, of, [label])
        found = _modes(
            part.of_frame(frame), part.of_restraints(restraints), masses[part.nodes], per_length[part.members]
        )
        if found.mechanisms:
            yield Mode(name, 1, 0.0)
        for number, frequency in enumerate(found.frequency, start=1):
            yield Mode(name, number, float(frequency))


def _modes(frame: Frame, restraints: Restraints, masses: Array, per_length: Array) -> Modes:
    """Modes with the consistent mass of straight pipe.

    A pipe has no inertia about its own axis. Where that leaves the mass matrix of a pipe askew without an inverse,
    masses go to the ends of its pieces: frequencies come a few per cent lower at most.
    """
    try:
        return modes_of_frame(frame, restraints, masses, per_length, COUNT)
    except np.linalg.LinAlgError:
        return modes_of_frame(frame, restraints, masses, per_length, COUNT, consistent=False)


def _names(net: Net, of: Index) -> dict[int, str]:
    """Systems by label, each called by its lines, in the order of their first points."""
    lines: dict[int, dict[str, None]] = {int(of[node]): {} for node in net.node_of.values()}
    pairs = [(m.i, m.segment.line) for m in net.members] + [(s.i, s.segment.line) for s in net.joints]
    for node, line in pairs:
        lines[int(of[node])][line] = None
    return {label: ", ".join(names) for label, names in lines.items()}


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
