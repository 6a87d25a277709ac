"""The rules by which a vendor's table compares loads with allowables.

Common practice, no source: which rule holds is the vendor's word, given with each table.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import inf, isfinite, isnan, nan

from pipecalc.calc import nozzle_load as formula
from pipecalc.model import AllowableRow
from pipecalc.results import NozzleLoad

COMPONENTS = ("FR", "FL", "FC", "MR", "ML", "MC")


@dataclass(frozen=True, slots=True)
class Rated:
    """What a rule found.

    Attributes:
        demand: Load, or the sum of ratios [unit].
        limit: Allowable, or 1 for a sum of ratios [unit]; NaN where it is missing.
        unit: ``"N"``, ``"N*m"`` or ``"1"``.
        governs: What governs, in words.
        missing: Allowables that the rule needs and the table lacks.
        ratios: Ratio of each part, by name.
    """

    demand: float
    limit: float
    unit: str
    governs: str
    missing: tuple[str, ...]
    ratios: Mapping[str, float]

    @property
    def ratio(self) -> float:
        """Demand over limit; NaN where there is no limit."""
        return self.demand / self.limit if isfinite(self.limit) and self.limit > 0 else nan


def resultant_force(load: NozzleLoad) -> float:
    """Resultant of the three forces [N]."""
    return formula.resultant_force(load.FR, load.FL, load.FC)


def resultant_moment(load: NozzleLoad) -> float:
    """Resultant of the three moments [N·m]."""
    return formula.resultant_moment(load.MR, load.ML, load.MC)


def each_component(load: NozzleLoad, row: AllowableRow, factor: float) -> Rated:
    """Every component against its own allowable; the highest ratio governs. Resultants, where given, count too."""
    parts = {name: (abs(load.components[name]), row.limits[name]) for name in COMPONENTS}
    if row.force is not None:
        parts["resultant force"] = (resultant_force(load), row.force)
    if row.moment is not None:
        parts["resultant moment"] = (resultant_moment(load), row.moment)
    return _highest(parts, factor)


def resultants(load: NozzleLoad, row: AllowableRow, factor: float) -> Rated:
    """Resultant force and resultant moment, each against its allowable; the higher ratio governs."""
    return _highest(_resultant_parts(load, row), factor)


def sum_of_ratios(load: NozzleLoad, row: AllowableRow, factor: float) -> Rated:
    """Ratios added up: of the two resultants where the table gives both, else of all six components."""
    return _combined(load, row, factor, "sum of ratios", formula.sum_of_two, formula.sum_of_six)


def root_of_squares(load: NozzleLoad, row: AllowableRow, factor: float) -> Rated:
    """Square root of the squared ratios: of the two resultants where the table gives both, else of all six."""
    return _combined(load, row, factor, "square root of squares", formula.root_of_two, formula.root_of_six)


RULES: Mapping[str, Callable[[NozzleLoad, AllowableRow, float], Rated]] = {
    "each component": each_component,
    "resultants": resultants,
    "sum of ratios": sum_of_ratios,
    "square root of squares": root_of_squares,
}


def _resultant_parts(load: NozzleLoad, row: AllowableRow) -> dict[str, tuple[float, float | None]]:
    return {
        "resultant force": (resultant_force(load), row.force),
        "resultant moment": (resultant_moment(load), row.moment),
    }


def _unit(name: str) -> str:
    return "N*m" if name.startswith("M") or name.endswith("moment") else "N"


def _ratios(parts: Mapping[str, tuple[float, float | None]], factor: float) -> dict[str, float]:
    of = {"N": formula.force_ratio, "N*m": formula.moment_ratio}
    return {
        name: of[_unit(name)](demand, limit * factor) for name, (demand, limit) in parts.items() if limit is not None
    }


def _missing(parts: Mapping[str, tuple[float, float | None]]) -> tuple[str, ...]:
    return tuple(name for name, (_, limit) in parts.items() if limit is None)


def _highest(parts: Mapping[str, tuple[float, float | None]], factor: float) -> Rated:
    ratios = _ratios(parts, factor)
    if not ratios:
        return Rated(nan, nan, "1", "", _missing(parts), {})
    # A ratio that is not a number wins: nothing may hide behind the others.
    worst = max(ratios, key=lambda name: (isnan(ratios[name]), ratios[name]))
    demand, limit = parts[worst]
    return Rated(demand, (limit or nan) * factor, _unit(worst), worst, _missing(parts), ratios)


def _combined(
    load: NozzleLoad,
    row: AllowableRow,
    factor: float,
    what: str,
    two: Callable[..., float],
    six: Callable[..., float],
) -> Rated:
    if row.force is not None and row.moment is not None:
        parts = _resultant_parts(load, row)
        demand = two(resultant_force(load), row.force * factor, resultant_moment(load), row.moment * factor)
    else:
        parts = {name: (abs(load.components[name]), row.limits[name]) for name in COMPONENTS}
        allowed = [inf if limit is None else limit * factor for _, limit in parts.values()]
        demand = six(*load.components.values(), *allowed)
    ratios = _ratios(parts, factor)
    missing = _missing(parts)
    return Rated(demand if ratios else nan, 1.0 if ratios else nan, "1", what, missing, ratios)
