"""A straight pipe between two anchors, 8 m of 168.3 x 7.11 mm, through workbooks: every stress by hand.

E = 200 GPa, 12 µm/m/K, 7850 kg/m³, allowable 120 MPa and yield 240 MPa at every temperature; installed at 20 °C.
"""

from typing import Any

from pipecalc.analysis.ranges import allowable_range
from pipecalc.verification.models import Numbers
from pipecalc.verification.models.plants import Solved, anchor, plant_of, rows, solved

_KINDS = {
    "sustained": "sustained stress",
    "range": "displacement stress range",
    "occasional": "occasional stress",
    "test": "test stress",
    "test hoop": "test hoop stress",
}


def _book(code: str, edition: str, line: dict[str, Any], project: dict[str, Any], **more: Any) -> Any:
    return rows(
        [{"from_": "1", "to": "2", "east": 8.0}],
        [anchor("A", "1"), anchor("B", "2")],
        line={"design_pressure": 0, **line},
        project={"code": code, "edition": edition, **project},
        **more,
    )


def stresses(
    code: str, edition: str, P: float = 0.0, c: float = 0.0, q_h: float = 0.0, q_v: float = 0.0, P_t: float = 0.0
) -> Numbers:
    """Stresses of pressure and weight at an anchor, with an earthquake and the pressure test where they are given."""
    line = {"design_pressure": P / 1e5, "corrosion_allowance": c * 1e3, "test_pressure": P_t / 1e5 or None}
    found = solved(_book(code, edition, line, {"seismic_horizontal": q_h or None, "seismic_vertical": q_v or None}))
    return _of(found, "sustained", *(("occasional",) if q_h or q_v else ()), *(("test", "test hoop") if P_t else ()))


def _of(found: Solved, *kinds: str) -> dict[str, float]:
    numbers: dict[str, float] = {}
    for kind in kinds:
        check = found.check(_KINDS[kind], "" if kind == "test hoop" else "1")
        numbers |= {kind: check.demand, f"{kind}, limit": check.limit}
    return numbers


def ranges(
    code: str, edition: str, t: float, N: float, t_2: float = 20.0, N_2: float = 0.0, P: float = 0.0, margin: str = "no"
) -> Numbers:
    """Displacement range of the pipe, heated to ``t`` N times and to ``t_2`` N_2 times."""
    second = {"state": "second", "applies_to": "all", "temperature": t_2, "cycles": N_2}
    line = {"operating_temperature": t, "cycles": N, "design_pressure": P / 1e5}
    states = {"States": [second]} if N_2 else {}
    found = solved(_book(code, edition, line, {"use_sustained_margin": margin}, **states))
    check = found.check(_KINDS["range"], "1")
    numbers = {name: float(check.inputs[name]) for name in ("N", "f", "N_allowed", "U") if name in check.inputs}
    return {"range": check.demand, "limit": check.limit, **numbers}


def creep_limit(t: float, W: float) -> Numbers:
    """Limit of the sustained stress at a design temperature in the creep range, at girth welds."""
    found = solved(_book("ASME B31.3", "2018", {"design_temperature": t, "weld_strength": W}, {}))
    return {"limit": found.check(_KINDS["sustained"], "1").limit}


def falling_strength(code: str, edition: str, t: float, t_2: float, E_2: float, S_2: float) -> Numbers:
    """Allowable range of a pipe whose modulus and allowable stress fall from 20 °C to those at 600 °C.

    It is installed at 20 °C and heated to ``t`` and to ``t_2``, the hotter one.
    """
    same = {"material": "Falls", "expansion": 12, "yield_strength": 240, "density": 7850, "source": "made up"}
    cold = [{**same, "temperature": warm, "modulus": 200, "allowable": 130} for warm in (-50, 20)]
    hot = {**same, "temperature": 600, "modulus": E_2 / 1e9, "allowable": S_2 / 1e6}
    second = {"state": "second", "applies_to": "all", "temperature": t_2, "cycles": 10}
    line = {"material": "Falls", "operating_temperature": t, "cycles": 10}
    found = solved(_book(code, edition, line, {}, materials=[*cold, hot], States=[second]))
    check = found.check(_KINDS["range"], "1")
    return {"S_c": float(check.inputs["S_c"]), "S_h": float(check.inputs["S_h"]), "limit": check.limit}


def simple_span(L: float) -> Numbers:
    """Sustained stress in the middle of a span that is free to turn at both ends."""
    supports = [
        {"support": "S1", "point": "1", "type": "rest, guide and line stop"},
        {"support": "S2", "point": "2", "type": "rest and guide"},
        {"support": "S3", "point": "3", "type": "rest"},
    ]
    runs = [
        {"from_": "1", "to": "2", "east": L, "turn": "none"},
        {"from_": "2", "to": "3", "north": 1.0, "turn": "none"},
    ]
    found = solved(rows(runs, supports, line={"design_pressure": 0}))
    return {"middle": found.check(_KINDS["sustained"], "between 1 and 2, 50 %").demand}


def hand_limit(code: str, edition: str, N: float) -> Numbers:
    """Cycle factor and allowable range that the hand method takes."""
    plant = plant_of(_book(code, edition, {"cycles": N}, {}))
    line = plant.lines["L"]
    found = allowable_range(line, line.material, plant)
    return {"f": found.f, "S_A": found.S_A}
