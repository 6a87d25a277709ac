"""Supports that act one way, have play, rub or settle, on straight lines through workbooks; steel as in ``plants``.

Shear deformation is off, as in the closed forms.
"""

from typing import Any

from pipecalc.analysis.support_envelope import support_envelopes
from pipecalc.verification.models import Numbers
from pipecalc.verification.models.plants import COLD, OPERATING, Solved, anchor, rows, solved

_NO_SHEAR = {"shear_deformation": "no"}


def tip(
    kind: str, L: float, gap: float = 0.0, mu: float = 0.0, t: float = 20.0, settlement: float = 0.0, F_n: float = 0.0,
    F_u: float = 0.0, rate: float = 0.0,
) -> Numbers:  # fmt: skip
    """A pipe of length L to the East from an anchor, with a support at its end and a force there in operation."""
    support: dict[str, Any] = {"support": "S", "point": "2", "type": kind, "friction": mu}
    support |= {"gap": gap * 1e3} if gap else {}
    support |= {"stiffness": rate / 1e3} if rate else {}
    support |= {"attached_to": "F"} if settlement else {}
    force = {"load": "P", "line": "L", "point": "2", "acts_in": "operating", "force_north": F_n, "force_up": F_u}
    floor = {
        "equipment": "F", "kind": "fixed", "base_east": L, "base_north": 0, "base_up": 0, "material": "Round steel",
        "temperature": 20, "settlement": settlement * 1e3,
    }  # fmt: skip
    book = rows(
        [{"from_": "1", "to": "2", "east": L}],
        [anchor("A", "1"), support],
        line={"operating_temperature": t},
        project=_NO_SHEAR,
        Point_loads=[force] if F_n or F_u else [],
        Equipment=[floor] if settlement else [],
    )
    found = solved(book)
    held, move = found.support("S", OPERATING), found.movement("2", OPERATING)
    return {
        **dict(zip(("east", "north", "up"), held.force, strict=True)),
        "anchor, east": found.support("A", OPERATING).force[0],
        "moved east": move[0],
        "moved north": move[1],
        "moved up": move[2],
        "largest up of all cases": _largest(found, "S"),
        "cold, up": found.support("S", COLD).vertical,
    }


def _largest(found: Solved, name: str) -> float:
    """Largest vertical load of all cases but the test, whose water these problems leave out."""
    cases = [case for case in found.results.cases if case.kind != "test"]
    loads = [load for load in found.results.support_loads if load.case in {case.case for case in cases}]
    *_, whole = (e for e in support_envelopes(found.plant, loads, cases) if e.support == name)
    return whole.up.largest


def two_spans(L: float, mu: float = 0.0, t: float = 20.0, settlement: float = 0.0) -> Numbers:
    """Two equal spans from an anchor over a rest B, which settles, to a rest C."""
    rest = {"type": "rest", "friction": mu}
    floor = {
        "equipment": "F", "kind": "fixed", "base_east": L, "base_north": 0, "base_up": 0, "material": "Round steel",
        "temperature": 20, "settlement": settlement * 1e3,
    }  # fmt: skip
    on_floor = {"attached_to": "F"} if settlement else {}
    book = rows(
        [{"from_": "1", "to": "2", "east": L}, {"from_": "2", "to": "3", "east": L}],
        [anchor("A", "1"), {"support": "B", "point": "2", **rest, **on_floor}, {"support": "C", "point": "3", **rest}],
        line={"operating_temperature": t},
        project=_NO_SHEAR,
        Equipment=[floor] if settlement else [],
    )
    found = solved(book)
    return {
        "B": -found.support("B", OPERATING).vertical,
        "C": -found.support("C", OPERATING).vertical,
        "B, cold": -found.support("B", COLD).vertical,
        "C, cold": -found.support("C", COLD).vertical,
        "anchor, east": found.support("A", OPERATING).force[0],
    }


def spring_on_riser(rise: float, L: float, P: float, rate: float, t: float) -> Numbers:
    """A riser from an anchor with an arm to the East whose end hangs on a spring of a given load, a sharp corner."""
    spring = {"support": "S", "point": "3", "type": "spring", "spring_rate": rate / 1e3, "spring_load": P}
    book = rows(
        [{"from_": "1", "to": "2", "up": rise}, {"from_": "2", "to": "3", "east": L}],
        [anchor("A", "1"), spring],
        line={"operating_temperature": t},
        project={**_NO_SHEAR, "elbow": "none"},
    )
    found = solved(book)
    (own,) = (x for x in found.results.springs if x.support == "S")
    return {
        "load": -found.support("S", OPERATING).vertical,
        "travel": own.travel,
        "cold load": own.cold_load,
        "variation": own.variation,
    }
