"""ASME B31.3 Appendix S, Example 1 (S301): through the frame solver alone, and through workbooks.

NPS 16 standard wall, two anchors, one support, two elbows; the example's vertical axis is Up.
"""

from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any

import numpy as np

from pipecalc.calc.elbow import elbow_factors
from pipecalc.calc.end_forces import AXIAL, MOMENT_Y, MOMENT_Z, section_forces
from pipecalc.calc.frame import Frame, Loads, anchors, build_frame, build_loads, build_restraints, join_restraints
from pipecalc.calc.recovery import Solution
from pipecalc.calc.solve import solve
from pipecalc.verification.models import Numbers
from pipecalc.verification.models.frames import tube
from pipecalc.verification.models.plants import COLD, OPERATING, Solved, anchor, rows, solved

_D, _T, _R, _E = 0.4064, 0.00953, 0.6096, 203.4e9
_WEIGHT = 248.3 * 9.80665
_HOT, _CHILLED = 3.62 / 1200.0, -0.28 / 1200.0  # Table C-1, 500 °F and 30 °F
_NODES = ("10", "15", "20", "30n", "30f", "40n", "40f", "45", "50")
_MEMBERS = ("10-15", "15-20", "20-30n", "30", "30f-40n", "40", "40f-45", "45-50")
_CASES = ("operating", "sustained", "range")


@cache
def _example(pressure: float) -> tuple[Frame, Loads, Solution]:
    """The frame solved for the operating and the sustained case and the displacement range."""
    x, y = 15.25, 6.1
    plane = [
        (0.0, 0.0), (6.1, 0.0), (12.2, 0.0), (x - _R, 0.0), (x, _R), (x, y - _R), (x + _R, y), (18.3, y), (24.4, y),
    ]  # fmt: skip
    centre, normal = np.full((8, 3), np.nan), np.full((8, 3), np.nan)
    centre[3], normal[3] = (x - _R, 0.0, _R), (0.0, -1.0, 0.0)
    centre[5], normal[5] = (x + _R, 0.0, y - _R), (0.0, 1.0, 0.0)
    A, I = tube(_D, _T)
    k = elbow_factors(_T, _R, 0.5 * (_D - _T), pressure=pressure, modulus=_E).k
    frame = build_frame(
        [(a, 0.0, b) for a, b in plane], [(i, i + 1) for i in range(8)], E=_E, A=A, I=I, J=2.0 * I,
        centre=centre, normal=normal, k_in=k, k_out=k,
    )  # fmt: skip
    w, strain = np.zeros((8, 3, 3)), np.zeros((8, 3))
    w[:, 2, :2] = -_WEIGHT
    strain[:, 0], strain[:, 2] = _HOT, _HOT - _CHILLED
    loads = build_loads(frame, 3, distributed=w, strain=strain)
    held = join_restraints(anchors([0, 8], cases=3), build_restraints([2], [(0, 0, 1)], cases=3))
    return frame, loads, solve(frame, held, loads)


def frame(case: str, P: float) -> Numbers:
    """The frame solver alone.

    ``H 10``, ``V 10``, ``M 10``: horizontal and vertical force and anticlockwise moment on the pipe. ``M 10-15, i``:
    size of the bending moment at an end of a member. ``N 10-15``: compression. ``x 15``, ``z 15``: movements.
    """
    model, loads, solution = _example(P)
    column = _CASES.index(case)
    found: dict[str, float] = {}
    for i, name in enumerate(_NODES):
        r = solution.reactions[i, :, column]
        move = solution.movements[i, :, column]
        found |= {f"H {name}": r[0], f"V {name}": r[2], f"M {name}": -r[4], f"x {name}": move[0], f"z {name}": move[2]}
    for end, share in (("i", 0.0), ("j", 1.0), ("", 0.5)):
        forces = section_forces(model, solution.end_actions, loads, share)[:, :, column]
        for member, own in zip(_MEMBERS, forces, strict=True):
            if end:
                found[f"M {member}, {end}"] = float(np.hypot(own[MOMENT_Y], own[MOMENT_Z]))
            else:
                found[f"N {member}"] = -own[AXIAL]
    return found


_SHIFT = 12e-6  # chosen strain from 20 °C, the base of mean coefficients, to the installation temperature of 21 °C
_STEEL = "Carbon steel of the example"
_RUNS = (
    ("10", "15", "east", 6.1), ("15", "20", "east", 6.1), ("20", "30", "east", 3.05), ("30", "40", "up", 6.1),
    ("40", "45", "east", 3.05), ("45", "50", "east", 6.1),
)  # fmt: skip


def _material(steps: Mapping[float, tuple[float, float]]) -> list[dict[str, Any]]:
    """Rows of Materials: total strain and allowable [MPa] by temperature."""
    return [
        {"material": _STEEL, "temperature": t, "modulus": 203.4, "expansion": strain / (t - 20) * 1e6,
         "allowable": S, "yield_strength": 240, "density": 7833.4, "source": "as used in Appendix S"}
        for t, (strain, S) in steps.items()
    ]  # fmt: skip


def _book(
    steps: Mapping[float, tuple[float, float]], line: Mapping[str, Any], stiffening: str, state: Mapping[str, Any]
) -> dict[str, Sequence[Mapping[str, Any]]]:
    bend = {"turn": "bend", "bend_radius": 609.6}
    segments = [{"from_": a, "to": b, way: size, **(bend if b in ("30", "40") else {})} for a, b, way, size in _RUNS]
    return rows(
        segments,
        [anchor("A10", "10"), {"support": "S20", "point": "20", "type": "rest"}, anchor("A50", "50")],
        line={
            "outside_diameter": 406.4, "wall": 9.53, "material": _STEEL, "fluid_density": 1000,
            "insulation_thickness": 127, "insulation_density": 176, "design_pressure": 37.95,
            "operating_temperature": 260, "operating_pressure": 34.5, "start_point": "10", **line,
        },
        project={"installation_temperature": 21, "pressure_stiffening": stiffening},
        materials=_material(steps),
        States=[{"state": "cold", "applies_to": "all", "temperature": -1, **state}],
    )  # fmt: skip


@cache
def _plant(stiffening: str, empty_when_cold: str) -> Solved:
    strains = {-1.0: _CHILLED + _SHIFT, 21.0: _SHIFT, 260.0: _HOT + _SHIFT}
    state = {"pressure": 0, "fluid_density": 0} if empty_when_cold == "yes" else {"pressure": 0}
    steps = {t: (strain, 130.0) for t, strain in strains.items()}
    return solved(_book(steps, {"design_temperature": 260}, stiffening, state))


def reactions(stiffening: str, case: str) -> Numbers:
    """Actions of the supports on the pipe, through a workbook, named as those of ``frame``."""
    found = _plant(stiffening, "yes")
    by_node: dict[str, float] = {}
    for node, name in (("10", "A10"), ("20", "S20"), ("50", "A50")):
        load = found.support(name, {"operating": OPERATING, "sustained": COLD}[case])
        by_node |= {f"H {node}": -load.force[0], f"V {node}": -load.force[2], f"M {node}": load.moment[1]}
    return by_node


def movements_and_moments() -> Numbers:
    """Movements of points, bending moments and axial forces of members in operation, through a workbook."""
    found = _plant("yes", "yes")
    by_name: dict[str, float] = {}
    for point in ("15", "20"):
        east, north, up = found.movement(point, OPERATING)
        by_name |= {f"x {point}": east, f"y {point}": north, f"z {point}": up}
    for start, end in (("10", "15"), ("15", "20"), ("20", "30"), ("30", "40"), ("45", "50")):
        for at, letter in (("from", "i"), ("to", "j")):
            by_name[f"M {start}-{end}, {letter}"] = abs(found.member(start, end, at, OPERATING).bending_in_plane)
        by_name[f"N {start}-{end}"] = -found.member(start, end, "to", OPERATING).axial
    return by_name


def displacement_range() -> Numbers:
    """Hot less chilled, through a workbook, without stiffening by pressure.

    The contents are the same in both states so that weight cancels; the support stays closed: a linear range.
    Movement from hot to chilled is the opposite of that from chilled to hot.
    """
    found, case = _plant("no", "no"), "range, operating to cold"
    if not found.support("S20", "operating: cold").acting:
        raise ValueError("the support lifts, so that the range is not linear")
    start, far = found.member("10", "15", "from", case), found.member("45", "50", "to", case)
    moves = {
        f"{axis} {point}": -value
        for point in ("15", "45")
        for axis, value in zip("xyz", found.movement(point, case), strict=True)
    }
    return {
        **moves,
        "N 10-15": abs(start.axial),
        "M 10-15, i": abs(start.bending_in_plane),
        "M 45-50, j": abs(far.bending_in_plane),
        "M 30-40, i": abs(found.member("30", "40", "from", case).bending_in_plane),
    }


@cache
def _stressed() -> Solved:
    """The example with its mechanical allowance, design at 288 °C; the cold state under pressure."""
    steps: dict[float, tuple[float, float]] = {
        -1: (_CHILLED + _SHIFT, 137.9), 21: (_SHIFT, 137.9), 260: (_HOT + _SHIFT, 130), 288: (4.1e-3, 130),
    }  # fmt: skip
    line = {"design_temperature": 288, "corrosion_allowance": 1.59}
    return solved(_book(steps, line, "yes", {"pressure": 34.5, "cycles": 10}))


def sustained(point: str) -> Numbers:
    """Sustained stress at a point, with its parts, through a workbook."""
    found = _stressed().check("sustained stress", point)
    inputs = {name: float(found.inputs[name]) for name in ("F", "A_p", "Z", "S_p", "S_b")}
    moment = abs(float(found.inputs["M_i"]))
    return {**inputs, "M_i": moment, "S_L": found.demand, "S_h": found.limit}


def stress_range(point: str) -> Numbers:
    """Displacement stress range at a point, from operation to cold, through a workbook."""
    found = _stressed().check("displacement stress range", point, "range, operating to cold")
    inputs = {name: float(found.inputs[name]) for name in ("i_i", "f")}
    return {**inputs, "S_E": found.demand, "S_A": found.limit}
