"""Loads of several nozzles of one machine together, and the annex of API 610 for one nozzle."""

from pipecalc.checks.nozzles.interface import Connection, Item, judge, judge_item, standards
from pipecalc.model import Vector
from pipecalc.verification.models import Numbers

_UP: Vector = (0.0, 0.0, 1.0)
_EAST: Vector = (1.0, 0.0, 0.0)
_ORIGIN: Vector = (0.0, 0.0, 0.0)


def pair(
    standard: str, NPS_a: float, NPS_b: float, east_b: float = 0.0, north_b: float = 0.0, FE_a: float = 0.0,
    FU_a: float = 0.0, MN_a: float = 0.0, FE_b: float = 0.0, FU_b: float = 0.0, header_a: str = "", header_b: str = "",
) -> Numbers:  # fmt: skip
    """Two nozzles that point up, shaft or header to the East, nozzle a in the centre and the exhaust.

    Demand, limit and ratio of every rule for both together by its name, and ratios of components.
    """
    a = _nozzle("a", NPS_a, _ORIGIN, (FE_a, 0.0, FU_a), (0.0, MN_a, 0.0), header_a)
    b = _nozzle("b", NPS_b, (east_b, north_b, 0.0), (FE_b, 0.0, FU_b), _ORIGIN, header_b)
    item = Item("M", "fixed", axis=_EAST, centre=_ORIGIN, exhaust="a")
    found: dict[str, float] = {}
    for finding in judge_item(standards()[standard], [a, b], item) or ():
        rule, rated = finding.name.partition(": ")[2], finding.rated
        rule = f"{finding.name.split(':')[0]}" if "sum of components" in rule else rule
        found |= {rule: rated.demand, f"{rule}, limit": rated.limit, f"{rule}, ratio": rated.ratio}
        found |= {f"{part}, ratio": ratio for part, ratio in rated.ratios.items() if part not in found}
    return found


def one_by_annex(NPS: float, FE: float, FU: float, ME: float) -> Numbers:
    """API 610 annex F for one top nozzle, shaft to the East: ratio of the component FX, and of both resultants."""
    one = _nozzle("a", NPS, _ORIGIN, (FE, 0.0, FU), (ME, 0.0, 0.0))
    ratios = judge(standards()["API 610 annex F"], one, Item("P", "fixed", axis=_EAST)).rated.ratios
    return {"FX, ratio": ratios["FX"], "resultants together, ratio": ratios["resultants together"]}


def _nozzle(name: str, nps: float, at: Vector, force: Vector, moment: Vector, header: str = "") -> Connection:
    return Connection(name, nps, at, (_UP, (0.0, 1.0, 0.0), (-1.0, 0.0, 0.0)), force, moment, group=header)
