"""Plants of the published problems: rows of a workbook, written, read, validated, built and analysed the whole way."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from pipecalc import making
from pipecalc.analysis.analyse import analyse
from pipecalc.model import Plant, Vector
from pipecalc.results import Check, MemberForce, PointMovement, Results, SupportLoad
from pipecalc.workbook.plain import Rows, plain_bytes
from pipecalc.workbook.reader import read

COLD, OPERATING, HOT_SUSTAINED = "sustained, cold", "operating", "sustained, supports of operating"
RANGE = "range, installed to operating"


def rows(
    segments: Iterable[Mapping[str, Any]],
    supports: Iterable[Mapping[str, Any]] = (),
    line: Mapping[str, Any] | None = None,
    project: Mapping[str, Any] | None = None,
    **more: Sequence[Mapping[str, Any]],
) -> dict[str, Sequence[Mapping[str, Any]]]:
    """Rows of a workbook with one line "L" that starts in the origin, empty, of steel with round numbers.

    The steel has E = 200 GPa, 12 µm/m/K, 7850 kg/m³, allowable 120 MPa and yield 240 MPa from -50 to 600 °C. Sheets in
    ``more`` by title, blanks as underscores; ``materials`` and ``lines`` add rows.
    """
    first = {
        "line": "L",
        "outside_diameter": 168.3,
        "wall": 7.11,
        "material": "Round steel",
        "fluid_density": 0,
        "design_temperature": 320,
        "design_pressure": 1,
        "operating_temperature": 20,
        "operating_pressure": 0,
        "start_point": "1",
        "start_east": 0,
        "start_north": 0,
        "start_up": 0,
    }
    steel = {
        "material": "Round steel",
        "modulus": 200,
        "expansion": 12,
        "allowable": 120,
        "yield_strength": 240,
        "density": 7850,
        "source": "chosen for the check",
    }
    unplaced = {key: value for key, value in first.items() if not key.startswith("start")}
    given = dict(more)
    return {
        "Project": [
            {"title": "Published check", "date": date(2025, 1, 1), "edition": "2018", "friction": 0, **(project or {})}
        ],
        "Lines": [{**first, **(line or {})}, *({**unplaced, **other} for other in given.pop("lines", ()))],
        "Segments": [{"line": "L", **s} for s in segments],
        "Supports": [{"line": "L", **s} for s in supports],
        "Materials": [*({**steel, "temperature": t} for t in (-50, 20, 600)), *given.pop("materials", ())],
        **{title.replace("_", " "): sheet for title, sheet in given.items()},
    }


def anchor(name: str, point: str) -> dict[str, Any]:
    """A row of Supports."""
    return {"support": name, "point": point, "type": "anchor"}


def plant_of(book: Rows, units: str = "SI") -> Plant:
    """The plant of a workbook.

    Raises:
        ValueError: It has errors; the message holds them all.
    """
    checked = making.checked(read(plain_bytes(book, units)))
    if checked.plant is None:
        raise ValueError("; ".join(p.sentence() for p in checked.errors))
    return checked.plant


@dataclass(frozen=True, slots=True)
class Solved:
    """A plant with its results, asked by case and tag."""

    plant: Plant
    results: Results

    def support(self, name: str, case: str) -> SupportLoad:
        """Load on a support."""
        (found,) = (s for s in self.results.support_loads if (s.support, s.case) == (name, case))
        return found

    def moved(self, point: str, case: str) -> PointMovement:
        """Movement of a point of the line "L"."""
        (found,) = (p for p in self.results.points if (p.line, p.point, p.case) == ("L", point, case))
        return found

    def movement(self, point: str, case: str) -> Vector:
        """Movement of a point [m]."""
        found = self.moved(point, case)
        return found.east, found.north, found.up

    def member(self, start: str, end: str, at: str, case: str, part: str = "run") -> MemberForce:
        """Section forces of a member at one of its ends."""
        key = (start, end, at, case, part)
        (found,) = (m for m in self.results.members if (m.from_, m.to, m.end, m.case, m.part) == key)
        return found

    def check(self, name: str, point: str = "", case: str = "") -> Check:
        """The verdict of highest ratio of a check at points that begin so.

        Raises:
            LookupError: There is none with a ratio.
        """
        own = (c for c in self.results.checks if c.check == name and c.point.startswith(point) and case in ("", c.case))
        rated = [c for c in own if c.ratio == c.ratio]
        if not rated:
            raise LookupError(f"no {name} with a ratio at {point or 'any point'}")
        return max(rated, key=lambda c: c.ratio)


def solved(book: Rows, units: str = "SI") -> Solved:
    """The workbook, the whole way; every case must settle and balance.

    Raises:
        ValueError: It has errors, or a case does not balance within 1e-8 of its loads.
    """
    plant = plant_of(book, units)
    results = analyse(plant)
    if results.not_checked and any("settle" in text for text in results.not_checked):
        raise ValueError("; ".join(results.not_checked))
    if not all(e.residual <= 1e-8 for e in results.equilibrium):
        raise ValueError("forces do not balance")
    return Solved(plant, results)
