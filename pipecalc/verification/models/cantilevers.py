"""Lines that stand out from one nozzle or support, through workbooks: statics alone gives every load.

The line runs from the origin to the East; its free end carries the load. It is 168.3 x 7.11 mm, empty, of steel of
7850 kg/m³. What follows from the load at the flange face is the verdict in question.
"""

from collections.abc import Mapping
from typing import Any

from pipecalc.results import Check, Results
from pipecalc.verification.models import Numbers
from pipecalc.verification.models.plants import OPERATING, Solved, anchor, rows, solved

_VESSEL = {
    "equipment": "V", "kind": "vertical on skirt", "base_east": -0.9, "base_north": 0, "base_up": -5,
    "outside_diameter": 1400, "wall": 12, "corrosion_allowance": 2, "material": "Round steel", "temperature": 20,
    "support_temperature": 20, "support_height": 1, "design_temperature": 200,
}  # fmt: skip
_NOZZLE = {
    "nozzle": "N", "equipment": "V", "nps": 6, "east": 0, "north": 0, "up": 0, "direction": "+E", "line": "L",
    "point": "1", "neck_wall": 8,
}  # fmt: skip


def _end_load(force: Mapping[str, float], line: str = "L") -> list[dict[str, Any]]:
    return [{"load": f"P{line}", "line": line, "point": "2", "acts_in": "operating", **force}]


def _standing_out(
    length: float, force: Mapping[str, float], nozzle: Mapping[str, Any], line: Mapping[str, Any]
) -> Results:
    """The line on a nozzle of the vessel: R East, L Up, C = R x L South."""
    book = rows(
        [{"from_": "1", "to": "2", "east": length}],
        line={"start_point": None, "start_east": None, "start_north": None, "start_up": None, **line},
        Equipment=[_VESSEL],
        Nozzles=[{**_NOZZLE, **nozzle}],
        Point_loads=_end_load(force),
    )
    return solved(book).results


def _verdict(results: Results, name: str, case: str = OPERATING, point: str = "") -> Check:
    (found,) = (c for c in results.checks if c.check == name and c.case == case and c.point.startswith(point))
    return found


def on_a_vessel(L: float, F_e: float, F_n: float, F_u: float, p: float) -> Numbers:
    """Loads at the flange face, and the verdict on the vessel's shell, 0.2 m behind it."""
    force = {"force_east": F_e, "force_north": F_n, "force_up": F_u}
    results = _standing_out(L, force, {}, {"operating_pressure": p / 1e5})
    (load,) = (x for x in results.nozzle_loads if (x.case, x.method) == (OPERATING, "frame"))
    found = _verdict(results, "shell at nozzle").inputs
    names = ("d", "e_c", "F_max", "MX_max", "MY_max", "Phi_Z", "Phi_B")
    return {**load.components, **{name: float(found[name]) for name in names if name in found}}


def joint(L: float, F_e: float, F_n: float, F_u: float, pressure_class: str, t: float, p: float) -> Numbers:
    """The joint at the nozzle: equivalent pressure against the rating of a flange of group 1.1."""
    force = {"force_east": F_e, "force_north": F_n, "force_up": F_u}
    line = {"operating_temperature": t, "operating_pressure": p / 1e5}
    flange = {"flange_class": pressure_class, "flange_group": "group 1.1"}
    found = _verdict(_standing_out(L, force, flange, line), "flange")
    return {"equivalent pressure": found.demand, "rating": found.limit}


def on_a_bracket(L: float, F_e: float, F_u: float, a: float, r: float) -> Numbers:
    """The line from an anchor on the vessel's shell, ``a`` from it: stresses by line load over their limit."""
    vessel = {**_VESSEL, "base_east": -0.7 - a, "design_pressure": 8}
    book = rows(
        [{"from_": "1", "to": "2", "east": L}],
        [{**anchor("A", "1"), "attached_to": "V", "attachment_radius": r * 1e3}],
        Equipment=[vessel],
        Point_loads=_end_load({"force_east": F_e, "force_up": F_u}),
    )
    found = _verdict(solved(book).results, "shell at attachment").inputs
    return {way: float(found[f"ratio, line load, {way}"]) for way in ("longitudinal", "circumferential")}


def machine(standard: str, L: float, F_1: float, F_2: float) -> Numbers:
    """Two lines that stand out from a machine with its shaft to the East: sums over its nozzles.

    Nozzle S, NPS 6, points to the East 0.4 m from the centre; nozzle D, NPS 4, up, 0.5 m above it, and is the
    exhaust. The end of the line at S is pushed Up by ``F_1``, that at D to the North by ``F_2``.
    """
    first = {"nozzle": "S", "nps": 6, "east": 0.4, "up": 0, "direction": "+E", "line": "L", "point": "1"}
    second = {"nozzle": "D", "nps": 4, "east": 0, "up": 0.5, "direction": "+U", "line": "B", "point": "1"}
    common = {"equipment": "M", "north": 0, "allowable_sets": standard}
    item = {
        "equipment": "M", "kind": "fixed", "base_east": 0, "base_north": 0, "base_up": 0, "material": "Round steel",
        "temperature": 20, "machine_axis": "+E", "centre_east": 0, "centre_north": 0, "centre_up": 0, "exhaust": "D",
    }  # fmt: skip
    book = rows(
        [{"from_": "1", "to": "2", "east": L}, {"line": "B", "from_": "1", "to": "2", "up": L}],
        line={"start_point": None, "start_east": None, "start_north": None, "start_up": None},
        lines=[{"line": "B", "outside_diameter": 114.3, "wall": 6.02}],
        Equipment=[item],
        Nozzles=[{**common, **first}, {**common, **second}],
        Point_loads=[*_end_load({"force_up": F_1}), *_end_load({"force_north": F_2}, "B")],
    )
    checks = [c for c in solved(book).results.checks if c.check == "equipment nozzle loads" and c.case == OPERATING]
    return {c.point.partition(": ")[2]: value for c in checks for value in (c.demand,)} | {
        f"{c.point.partition(': ')[2]}, limit": c.limit for c in checks
    }


def shell_gives_way(L: float, F_n: float, F_u: float, K_l: float, K_c: float) -> Numbers:
    """The end of a line whose nozzle turns on springs about L and C, moved by forces across it."""
    degree = 0.017453292519943295
    springs = {
        "stiffness_model": "shell", "radial_stiffness": 1e9, "stiffness_l": K_l * degree, "stiffness_c": K_c * degree
    }  # fmt: skip
    found = _moved({"force_north": F_n, "force_up": F_u}, L, springs)
    return {"north": found[1], "up": found[2]}


def shell_estimate(L: float, F_n: float, F_u: float, T: float) -> Numbers:
    """The same end on a vessel of wall ``T`` whose nozzle turns as its shell is estimated to let it."""
    vessel = {**_VESSEL, "wall": T * 1e3, "corrosion_allowance": 0}
    found = _moved({"force_north": F_n, "force_up": F_u}, L, {"stiffness_model": "shell"}, vessel)
    return {"north": found[1], "up": found[2]}


def _moved(
    force: Mapping[str, float], L: float, nozzle: Mapping[str, Any], item: Mapping[str, Any] | None = None
) -> tuple[float, ...]:
    book = rows(
        [{"from_": "1", "to": "2", "east": L}],
        line={"start_point": None, "start_east": None, "start_north": None, "start_up": None},
        project={"shear_deformation": "no"},
        Equipment=[item or {**_VESSEL, "kind": "fixed"}],
        Nozzles=[{**_NOZZLE, **nozzle}],
        Point_loads=_end_load(force),
    )
    run: Solved = solved(book)
    moved, still = run.movement("2", OPERATING), run.movement("2", "sustained, cold")
    return tuple(a - b for a, b in zip(moved, still, strict=True))
