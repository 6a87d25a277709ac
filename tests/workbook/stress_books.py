"""Workbooks for tests of code stresses, and their verdicts by check, point and row.

The line "L" starts at point 1 in the origin. Its steel, where no other is named, has round numbers: E = 200 GPa,
12 µm/m/K, 7850 kg/m3, allowable 120 MPa and yield 240 MPa at every temperature from -50 to 600 °C.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from math import pi
from typing import Any

from books import Rows, book_bytes

from pipecalc.analysis.code_checks import code_checks
from pipecalc.analysis.frame import run_frame
from pipecalc.analysis.frame_problems import frame_problems
from pipecalc.analysis.frame_results import SectionForces, all_section_forces, columns
from pipecalc.analysis.stress_forces import PointForces, inner_points, point_forces
from pipecalc.analysis.stress_points import StressPoint, stress_points
from pipecalc.model import Plant
from pipecalc.problems import Problem, Severity
from pipecalc.results import Check
from pipecalc.workbook.build import build
from pipecalc.workbook.reader import read
from pipecalc.workbook.rows import mark_bad
from pipecalc.workbook.rules import check_book

E, ALPHA, DENSITY, G = 200e9, 12e-6, 7850.0, 9.80665
OD, WALL = 0.1683, 0.00711
S_E, S_L, S_O, S_T = "displacement stress range", "sustained stress", "occasional stress", "test stress"


def area(outside: float = OD, wall: float = WALL) -> float:
    """Metal area [m2]."""
    return pi * (outside - wall) * wall


def modulus(outside: float = OD, wall: float = WALL) -> float:
    """Section modulus [m3]."""
    return pi / 32 * (outside**4 - (outside - 2 * wall) ** 4) / outside


def steel(
    name: str = "Test steel", temperatures: Iterable[float] = (-50, 20, 600), **more: Any
) -> list[dict[str, Any]]:
    """Rows of Materials."""
    first = {
        "material": name,
        "modulus": 200,
        "expansion": 12,
        "allowable": 120,
        "yield_strength": 240,
        "density": DENSITY,
        "source": "chosen for the test",
    }
    return [{**first, "temperature": t, **more} for t in temperatures]


def book(
    segments: Iterable[Mapping[str, Any]],
    supports: Iterable[Mapping[str, Any]] = (),
    line: Mapping[str, Any] | None = None,
    project: Mapping[str, Any] | None = None,
    **more: Any,
) -> Rows:
    """Rows of a workbook with one line "L", empty, without pressure and cold."""
    first = {
        "line": "L",
        "outside_diameter": 168.3,
        "wall": 7.11,
        "material": "Test steel",
        "fluid_density": 0,
        "design_temperature": 320,
        "design_pressure": 0,
        "operating_temperature": 20,
        "start_point": "1",
        "start_east": 0,
        "start_north": 0,
        "start_up": 0,
    }
    return {
        "Project": [{"title": "Stress", "date": date(2025, 1, 1), "edition": "2018", "friction": 0, **(project or {})}],
        "Lines": [{**first, **(line or {})}, *({**first, "start_point": None, "start_east": None, "start_north": None,
                  "start_up": None, **other} for other in more.pop("lines", []))],
        "Segments": [{"line": "L", **s} for s in segments],
        "Supports": [{"line": "L", **s} for s in supports],
        "Materials": [*steel(), *more.pop("materials", [])],
        **{title.replace("_", " "): rows for title, rows in more.items()},
    }  # fmt: skip


def anchor(name: str, point: str, **more: Any) -> dict[str, Any]:
    return {"support": name, "point": point, "type": "anchor", **more}


def problems_of(rows: Rows, units: str = "SI") -> list[Problem]:
    """Every problem of reading, of the rules and of building."""
    found = read(book_bytes(rows, units=units))
    ruled = [*found.problems, *check_book(found)]
    return [*ruled, *build(mark_bad(found, ruled), ruled).problems]


def plant_of(rows: Rows, units: str = "SI") -> Plant:
    """The plant of a workbook without errors."""
    found = read(book_bytes(rows, units=units))
    ruled = [*found.problems, *check_book(found)]
    built = build(mark_bad(found, ruled), ruled)
    wrong = [p.sentence() for p in (*ruled, *built.problems) if p.severity is Severity.ERROR]
    assert not wrong, wrong
    assert built.plant is not None
    return built.plant


@dataclass(frozen=True)
class Stresses:
    """Sections of a plant with their forces and verdicts."""

    plant: Plant
    points: tuple[StressPoint, ...]
    section_forces: SectionForces
    forces: PointForces
    checks: tuple[Check, ...]

    def at(self, check: str, point: str = "", line: str = "L") -> Check:
        """The verdict of highest ratio of a check at a point, or anywhere."""
        own = self.all(check, point, line)
        rated = [c for c in own if c.ratio == c.ratio]
        return max(rated, key=lambda c: c.ratio) if rated else own[0]

    def all(self, check: str, point: str = "", line: str = "L") -> list[Check]:
        """All verdicts of a check at points that begin so."""
        found = [c for c in self.checks if c.check == check and c.line == line and c.point.startswith(point)]
        assert found, f"no {check} at {point}; there are {sorted({(c.check, c.point) for c in self.checks})}"
        return found


def stresses(rows: Rows, units: str = "SI") -> Stresses:
    """Read, build, solve and judge."""
    return stresses_of(plant_of(rows, units))


def stresses_of(plant: Plant) -> Stresses:
    run = run_frame(plant)
    wrong = [p.sentence() for p in frame_problems(run, plant) if p.severity is Severity.ERROR]
    assert not wrong, wrong
    found = columns(run, plant)
    frame = run.static[0].frame
    forces = all_section_forces(frame, found)
    points = (*stress_points(run, plant), *inner_points(run, frame, forces))
    return Stresses(
        plant,
        points,
        forces,
        point_forces(points, frame, forces),
        tuple(code_checks(run, plant, found, forces)),
    )
