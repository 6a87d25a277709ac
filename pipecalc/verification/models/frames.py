"""Frames with answers in closed form or in print, through the frame solver alone."""

import numpy as np
from numpy.typing import NDArray

from pipecalc.calc.bend_element import bend_flexibility
from pipecalc.calc.end_forces import AXIAL, IN_PLANE, MOMENT_Y, OUT_OF_PLANE, SHEAR_Z, TORSION, section_forces
from pipecalc.calc.frame import Frame, Loads, anchors, build_frame, build_loads, build_restraints, join_restraints
from pipecalc.calc.recovery import Solution
from pipecalc.calc.solve import solve
from pipecalc.verification.models import Numbers

_COMPONENTS = ("fx", "fy", "fz", "mx", "my", "mz")


def tube(D: float, T: float) -> tuple[float, float]:
    """Metal area [m²] and moment of inertia [m⁴]."""
    inside = D - 2 * T
    return float(np.pi / 4.0 * (D**2 - inside**2)), float(np.pi / 64.0 * (D**4 - inside**4))


def _straight(E: float, D: float, T: float, L: float, shear_share: float = np.inf) -> Frame:
    A, I = tube(D, T)
    return build_frame([(0, 0, 0), (L, 0, 0)], [(0, 1)], E=E, A=A, I=I, J=2 * I, shear_area=shear_share * A)


def _at_end(frame: Frame, **components: float) -> Loads:
    nodal = np.zeros((len(frame.nodes), 6, 1))
    for name, value in components.items():
        nodal[-1, _COMPONENTS.index(name), 0] = value
    return build_loads(frame, nodal=nodal)


def cantilever(E: float, D: float, T: float, L: float, F: float, w: float) -> Numbers:
    """A cantilever under a load at its end and a uniform one, both downward."""
    frame = _straight(E, D, T, L)
    nodal = np.zeros((2, 6, 1))
    nodal[1, 2, 0] = -F
    loads = build_loads(frame, nodal=nodal, distributed=np.array([0.0, 0.0, -w]).reshape(1, 3, 1))
    found = solve(frame, anchors([0]), loads)
    reaction = found.reactions[0, :, 0]
    return {"sag": -found.movements[1, 2, 0], "reaction": reaction[2], "moment": -reaction[4]}


def short_cantilever(E: float, D: float, T: float, L: float, F: float) -> Numbers:
    """A cantilever whose shear area is half its section, under a load at its end."""
    frame = _straight(E, D, T, L, 0.5)
    return {"sag": solve(frame, anchors([0]), _at_end(frame, fy=F)).movements[1, 1, 0]}


def propped_cantilever(E: float, D: float, T: float, L: float, w: float) -> Numbers:
    """A cantilever resting on a support at its end, under a uniform load."""
    frame = _straight(E, D, T, L)
    held = join_restraints(anchors([0]), build_restraints([1], [(0, 0, 1)]))
    found = solve(frame, held, build_loads(frame, distributed=np.array([0.0, 0.0, -w]).reshape(1, 3, 1)))
    return {"force at the support": found.restraint_forces[-1, 0], "moment at the anchor": -found.reactions[0, 4, 0]}


def moved_end(E: float, D: float, T: float, L: float, delta: float) -> Numbers:
    """A beam whose far end is moved sideways, guided and free to turn."""
    frame, shift = _straight(E, D, T, L), np.zeros((2, 6, 1))
    nothing = build_loads(frame)
    shift[1, 1] = delta
    guided = solve(frame, anchors([0, 1], shift), nothing).reactions[:, :, 0]
    held = join_restraints(anchors([0]), build_restraints([1], [(0, 1, 0)], movement=delta))
    pinned = solve(frame, held, nothing).reactions[:, :, 0]
    return {
        "force": guided[1, 1],
        "moment, near end": abs(guided[0, 5]),
        "moment, far end": abs(guided[1, 5]),
        "force, end free to turn": pinned[1, 1],
        "moment, end free to turn": abs(pinned[0, 5]),
    }


def heated_portal(E: float, D: float, T: float, h: float, L: float, eps: float) -> Numbers:
    """A portal with fixed feet whose beam is heated; axial give taken out by a large area."""
    A, I = tube(D, T)
    frame = build_frame(
        [(0, 0, 0), (0, 0, h), (L, 0, h), (L, 0, 0)], [(0, 1), (1, 2), (2, 3)],
        E=E, A=1e6 * A, I=I, J=2 * I, shear_area=np.inf,
    )  # fmt: skip
    found = solve(frame, anchors([0, 3]), build_loads(frame, strain=[[0.0], [eps], [0.0]]))
    feet, corners = np.abs(found.reactions[[0, 3], :, 0]), np.abs(found.end_actions[1, [4, 10], 0])
    return {
        "thrust, left": feet[0, 0],
        "thrust, right": feet[1, 0],
        "moment at the left foot": feet[0, 4],
        "moment at the right foot": feet[1, 4],
        "moment at the left corner": corners[0],
        "moment at the right corner": corners[1],
    }


def anchored_pipe(E: float, D: float, T: float, L: float, eps: float) -> Numbers:
    """A straight pipe heated between two anchors."""
    frame = _straight(E, D, T, L)
    thrust = solve(frame, anchors([0, 1]), build_loads(frame, strain=eps)).reactions[:, 0, 0]
    return {"thrust, near end": thrust[0], "thrust, far end": -thrust[1]}


def quarter_bend(E: float, D: float, T: float, R: float, k: float) -> Numbers:
    """A quarter bend with a flexibility factor under unit loads at its end, in and across its plane."""
    A, I = tube(D, T)
    frame = build_frame(
        [(0, 0, 0), (R, R, 0)], [(0, 1)], E=E, A=1e9 * A, I=I, J=2 * I, shear_area=np.inf,
        centre=[(0, R, 0)], normal=[(0, 0, 1)], k_in=k, k_out=k,
    )  # fmt: skip
    within = solve(frame, anchors([0]), _at_end(frame, fx=1.0)).movements[1, 0, 0]
    across = solve(frame, anchors([0]), _at_end(frame, fz=1.0)).movements[1, 2, 0]
    return {"in plane": within, "across": across}


def ring(E: float, D: float, T: float, R: float, P: float) -> Numbers:
    """A ring squeezed by two opposite forces."""
    A, I = tube(D, T)
    angle = np.pi / 2.0 * np.arange(4)
    frame = build_frame(
        np.stack([R * np.cos(angle), R * np.sin(angle), 0 * angle], axis=1), [(0, 1), (1, 2), (2, 3), (3, 0)],
        E=E, A=1e6 * A, I=I, J=2 * I, shear_area=np.inf, centre=np.zeros((4, 3)), normal=np.tile([0, 0, 1], (4, 1)),
    )  # fmt: skip
    nodal = np.zeros((4, 6, 1))
    nodal[1, 1], nodal[3, 1] = -P, P
    move = solve(frame, join_restraints(anchors([0])), build_loads(frame, nodal=nodal)).movements[:, :, 0]
    return {"shorter along the forces": move[3, 1] - move[1, 1], "longer across them": move[0, 0] - move[2, 0]}


Point = tuple[float, float, float]


def _bend(
    end: Point, centre: Point, normal: Point, E: float, D: float, T: float, load: list[float]
) -> tuple[Frame, Loads, Solution]:
    """A bend held at the origin and loaded at its end."""
    A, I = tube(D, T)
    frame = build_frame(
        [(0, 0, 0), end], [(0, 1)], E=E, A=A, I=I, J=2.0 * I, shear_area=np.inf, centre=[centre], normal=[normal]
    )
    nodal = np.zeros((2, 6, 1))
    nodal[1, :, 0] = load
    loads = build_loads(frame, nodal=nodal)
    return frame, loads, solve(frame, anchors([0]), loads)


def arc_in_plane(E: float, D: float, T: float, R: float, F_x: float, F_y: float, M_z: float) -> Numbers:
    """A quarter arc loaded in its plane at its end."""
    _, _, found = _bend((R, -R, 0), (0, -R, 0), (0, 0, -1), E, D, T, [F_x, F_y, 0, 0, 0, M_z])
    move, held = found.movements[1, :, 0], -found.reactions[0, :, 0]
    return {"u": move[0], "v": move[1], "turn": move[5], "H": held[0], "V": held[1], "M": held[5]}


def arc_across(E: float, D: float, T: float, R: float, F: float, share: float) -> Numbers:
    """A quarter arc loaded across its plane; forces at a share of the arc from the fixed end."""
    frame, loads, found = _bend((-R, R, 0), (-R, 0, 0), (0, 0, 1), E, D, T, [0, 0, F, 0, 0, 0])
    section: NDArray[np.float64] = np.abs(section_forces(frame, found.end_actions, loads, share)[0, :, 0])
    modulus = 2 * tube(D, T)[1] / D
    return {
        "w": found.movements[1, 2, 0],
        "torsion": section[TORSION],
        "bending": section[MOMENT_Y],
        "bending stress": section[MOMENT_Y] / modulus,
        "shear stress": section[TORSION] / (2 * modulus),
    }


def section_of_cantilever(E: float, D: float, T: float, L: float, w: float, share: float) -> Numbers:
    """Forces of a cantilever under a uniform load at a share of its length from the anchor."""
    frame = _straight(E, D, T, L)
    loads = build_loads(frame, distributed=np.array([0.0, 0.0, -w]).reshape(1, 3, 1))
    actions = solve(frame, anchors([0]), loads).end_actions
    section = section_forces(frame, actions, loads, share)[0, :, 0]
    return {"shear": section[SHEAR_Z], "moment": section[MOMENT_Y]}


def section_of_bend(E: float, D: float, T: float, R: float, F: float, k: float, share: float) -> Numbers:
    """Forces of a quarter bend at a share of its arc from the anchor: load across its plane, then within it."""
    A, I = tube(D, T)
    frame = build_frame(
        [(0, 0, 0), (R, R, 0)], [(0, 1)], E=E, A=A, I=I, J=2 * I, centre=[(0, R, 0)], normal=[(0, 0, 1)],
        k_in=k, k_out=k,
    )  # fmt: skip
    sections = []
    for way in ("fz", "fx"):
        loads = _at_end(frame, **{way: F})
        actions = solve(frame, anchors([0]), loads).end_actions
        sections.append(np.abs(section_forces(frame, actions, loads, share)[0, :, 0]))
    across, within = sections
    return {
        "moment out of plane": across[OUT_OF_PLANE],
        "torsion": across[TORSION],
        "moment in plane": within[IN_PLANE],
        "axial force": within[AXIAL],
    }


def bend_flexibilities(E: float, A: float, I: float, R: float, k: float) -> Numbers:
    """Flexibility of a quarter bend at its end: along the tangent at its start, towards its centre, across, turns."""
    one = [np.array([value]) for value in (R, np.pi / 2, E, E / 2.6, A, I, 2 * I, A / 2, k, k)]
    found = bend_flexibility(*one)[0]
    return {f"f{i + 1}{j + 1}": found[i, j] for i in range(6) for j in range(i, 6)}


def expansion_joint(E: float, A: float, I: float, L: float, rate: float, eps: float, play: float) -> Numbers:
    """Two heated pipes of equal length between anchors with an expansion joint that grows freely by ``play``."""
    frame = build_frame(
        [(0, 0, 0), (L, 0, 0), (L, 0, 0), (2 * L, 0, 0)], [(0, 1), (2, 3)], E=E, A=A, I=I, J=2 * I,
        spring_ends=[(1, 2)], spring_stiffness=[[rate, 1e12, 1e12, 1e12, 1e12, 1e12]],
    )  # fmt: skip
    free = np.zeros((1, 6, 1))
    free[0, 0] = play
    found = solve(frame, anchors([0, 3]), build_loads(frame, strain=eps, spring_free=free))
    return {"thrust on the anchor": found.reactions[0, 0, 0], "force in the joint": found.spring_actions[0, 0, 0]}
