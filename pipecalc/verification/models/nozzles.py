"""Nozzle loads that the standards accept, and the combined rules of machines."""

from collections.abc import Mapping

from pipecalc.calc.machine_load import reduced_size as size_reduced
from pipecalc.checks.nozzles import api_560, api_610, api_617, api_661, nema_sm_23
from pipecalc.checks.nozzles.interface import COMPONENTS, Connection, Item, Limits
from pipecalc.model import Vector
from pipecalc.pipe_sizes import outside_diameter
from pipecalc.tables import load, number
from pipecalc.verification.models import Numbers

_UP: Vector = (0.0, 0.0, 1.0)
_ALONG: Vector = (1.0, 0.0, 0.0)
_NONE: Vector = (0.0, 0.0, 0.0)
_OUTWARD: Mapping[str, Vector] = {"top": _UP, "side": (0.0, 1.0, 0.0), "end": _ALONG}
_MACHINE = Item("T-1", "fixed")


def _connection(nps: float, outward: Vector = _UP, force: Vector = _NONE, moment: Vector = _NONE) -> Connection:
    return Connection("N", nps, _NONE, (outward, outward, outward), force, moment)


def _limits(found: Limits) -> Numbers:
    return {**found.components, "FR": found.force, "MR": found.moment}


def pump(NPS: float, orientation: str) -> Numbers:
    """API 610: limits of a pump's nozzle that points up, to the side or along the shaft."""
    return _limits(api_610.limits(_connection(NPS, _OUTWARD[orientation]), Item("P-1", "fixed", axis=_ALONG)))


def cooler(NPS: float) -> Numbers:
    """API 661: limits of a nozzle of an air-cooled heat exchanger."""
    return _limits(api_661.limits(_connection(NPS), Item("E-1", "fixed", axis=_ALONG)))


def cooler_sum(scope: str) -> Numbers:
    """API 661: limits of the sum over a header or a bay, as in the shipped table."""
    return _columns(load("nozzle_api_661").where("scope", scope).rows[0], "N", "N·m")


def heater(NPS: float) -> Numbers:
    """API 560: limits of a tube of a fired heater."""
    return _limits(api_560.limits(_connection(NPS), Item("H-1", "fixed")))


def heater_tube(NPS: float) -> Numbers:
    """Outside diameter of the pipe of a tube's size."""
    return {"tube outside diameter": outside_diameter(NPS)}


def heater_tube_printed(NPS: float) -> Numbers:
    """API 560: tube diameter as the shipped table prints it."""
    (row,) = (r for r in load("nozzle_api_560").rows if number(r["NPS [-]"]) == NPS)
    return {"tube outside diameter": number(row["tube outside diameter [mm]"]) * 1e-3}


def si_columns(table: str, kind: str, NPS: str) -> Numbers:
    """SI columns of a row of a shipped table, and the resultants of its components."""
    return _with_resultants(_columns(_row(table, kind, NPS), "N", "N·m"))


def us_columns(table: str, kind: str, NPS: str) -> Numbers:
    """US columns of the same row, converted to SI."""
    found = _columns(_row(table, kind, NPS), "lbf", "ft·lbf")
    return {name: value * (4.4482216152605 if name[0] == "F" else 1.3558179483314) for name, value in found.items()}


def printed_resultants(table: str, kind: str, NPS: str) -> Numbers:
    """The resultants that the shipped table prints."""
    found = _columns(_row(table, kind, NPS), "N", "N·m")
    return {"root of forces": found["FR"], "root of moments": found["MR"]}


def _row(table: str, kind: str, NPS: str) -> Mapping[str, str]:
    (row,) = (r for r in load(table).rows if r["NPS [-]"] == NPS and kind in (r.get("orientation"), r.get("scope"), ""))
    return row


def _columns(row: Mapping[str, str], force: str, moment: str) -> Numbers:
    titles = {name: f"{name} [{force if name[0] == 'F' else moment}]" for name in (*COMPONENTS, "FR", "MR")}
    return {name: number(row[title]) for name, title in titles.items() if title in row}


def _with_resultants(found: Numbers) -> Numbers:
    roots = {word: sum(found[f"{kind}{axis}"] ** 2 for axis in "XYZ") ** 0.5 for word, kind in _ROOTS.items()}
    return {**found, **roots}


_ROOTS = {"root of forces": "F", "root of moments": "M"}


def turbine(NPS: float, F_x: float, F_y: float, F_z: float, M_x: float, M_y: float, M_z: float) -> Numbers:
    """NEMA SM 23: the rule for each connection."""
    one = _connection(NPS, force=(F_x, F_y, F_z), moment=(M_x, M_y, M_z))
    rated = nema_sm_23.verdict(one, _MACHINE).rated
    alone = nema_sm_23.limits(one, _MACHINE).moment
    return {"demand": rated.demand, "limit": rated.limit, "ratio": rated.ratio, "moment alone": alone}


def turbine_constants() -> Numbers:
    """NEMA SM 23: the constants of the rule in SI."""
    rule = nema_sm_23.RULE
    return {
        "limit per size of one connection": rule.single.c,
        "limit per size of all connections": rule.combined.c,
        "lever of one connection": rule.single.a,
        "lever of all connections": rule.combined.a,
        **{f"{name} per size": value for name, value in rule.per_size.items()},
    }


def compressor(NPS: float, F: float, M: float) -> Numbers:
    """API 617: the rule for each connection, force along Up and moment about East."""
    rated = api_617.verdict(_connection(NPS, force=(0.0, 0.0, F), moment=(M, 0.0, 0.0)), _MACHINE).rated
    return {"demand": rated.demand, "limit": rated.limit, "ratio": rated.ratio}


def reduced_size(D: float, D_full: float) -> Numbers:
    """Size that a connection counts with; in and out in one unit of any kind."""
    return {"reduced size": size_reduced(D, D_full)}


def compressor_over_turbine() -> Numbers:
    """Constants of API 617 over those of NEMA SM 23, both divided by the lever of the force."""
    ours, theirs = api_617.RULE, nema_sm_23.RULE
    found: dict[str, float] = {}
    pairs = (("one connection", ours.single, theirs.single), ("all connections", ours.combined, theirs.combined))
    for word, mine, other in pairs:
        found[f"limit, {word}"] = mine.c * other.a / other.c
        found[f"moment times lever, {word}"] = mine.b * other.a
    return found | {f"{name} per size": value / theirs.per_size[name] for name, value in ours.per_size.items()}
