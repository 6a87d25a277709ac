"""Small plants for tests of the frame, written as workbooks, read, built and solved.

The test steel has round numbers: E = 200 GPa and 12 µm/m/K at every temperature, 7850 kg/m3; installation at 20 °C.
Pipes are given by diameter and wall in mm.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from math import pi
from typing import Any

from books import Rows, book_bytes

from pipecalc.analysis.frame import FrameRun, run_frame
from pipecalc.analysis.frame_problems import frame_problems
from pipecalc.analysis.frame_results import (
    all_section_forces,
    columns,
    equilibrium,
    frame_nozzle_loads,
    member_forces,
    point_movements,
    springs,
)
from pipecalc.analysis.frame_support_loads import support_loads
from pipecalc.model import Plant
from pipecalc.problems import Problem, Severity
from pipecalc.results import Equilibrium, MemberForce, NozzleLoad, PointMovement, SpringResult, SupportLoad
from pipecalc.workbook.build import build
from pipecalc.workbook.reader import read

E, ALPHA, STEEL, G = 200e9, 12e-6, 7850.0, 9.80665
OD, WALL = 168.3, 7.11
COLD, OPERATING, TEST = "sustained, cold", "operating", "pressure test"


def section(outside: float = OD, wall: float = WALL) -> tuple[float, float]:
    """Metal area [m2] and moment of inertia [m4] of a tube given in mm."""
    inside = outside - 2 * wall
    return pi / 4 * (outside**2 - inside**2) * 1e-6, pi / 64 * (outside**4 - inside**4) * 1e-12


A, I = section()
METAL = STEEL * A  # kg/m
BORE = pi / 4 * ((OD - 2 * WALL) * 1e-3) ** 2  # m2


def rows(
    segments: Iterable[Mapping[str, Any]],
    supports: Iterable[Mapping[str, Any]] = (),
    line: Mapping[str, Any] | None = None,
    project: Mapping[str, Any] | None = None,
    **more: Any,
) -> Rows:
    """Rows of a workbook with one line "L" that starts at point 1 in the origin, empty and weightless in contents."""
    first = {
        "line": "L",
        "outside_diameter": OD,
        "wall": WALL,
        "material": "Test steel",
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
    steel = {"material": "Test steel", "modulus": 200, "expansion": 12, "allowable": 120, "yield_strength": 240}
    return {
        "Project": [{"title": "Frame", "date": date(2025, 1, 1), "edition": "2018", "friction": 0, **(project or {})}],
        "Lines": [{**first, **(line or {})}, *more.pop("lines", [])],
        "Segments": [{"line": "L", **s} for s in segments],
        "Supports": [{"line": "L", **s} for s in supports],
        "Materials": [
            {**steel, "temperature": t, "density": STEEL, "source": "chosen for the test"} for t in (-50, 20, 320)
        ],
        **more,
    }


def anchor(name: str, point: str, **more: Any) -> dict[str, Any]:
    return {"support": name, "point": point, "type": "anchor", **more}


def support(name: str, point: str, kind: str, **more: Any) -> dict[str, Any]:
    return {"support": name, "point": point, "type": kind, **more}


def straight(lengths: Iterable[float], way: str = "east", first: int = 1) -> list[dict[str, Any]]:
    """Runs one after the other along one axis, points numbered from ``first``."""
    return [{"from_": str(first + n), "to": str(first + n + 1), way: length} for n, length in enumerate(lengths)]


def plant_of(book: Rows, units: str = "SI") -> Plant:
    """The plant of a workbook that has no errors."""
    read_book = read(book_bytes(book, units=units))
    built = build(read_book, read_book.problems)
    wrong = [p.sentence() for p in (*read_book.problems, *built.problems) if p.severity is Severity.ERROR]
    assert not wrong, wrong
    assert built.plant is not None
    return built.plant


@dataclass(frozen=True)
class Found:
    """Everything the frame found, by case and tag."""

    plant: Plant
    run: FrameRun
    problems: tuple[Problem, ...]
    cases: tuple[str, ...]
    unsettled: tuple[str, ...]
    support: Mapping[tuple[str, str], SupportLoad]
    nozzle: Mapping[tuple[str, str], NozzleLoad]
    point: Mapping[tuple[str, str, str], PointMovement]
    members: tuple[MemberForce, ...]
    spring: Mapping[str, SpringResult]
    equilibrium: tuple[Equilibrium, ...]

    def force(self, name: str, case: str = OPERATING) -> tuple[float, float, float]:
        """Pipe's action on a support or nozzle [N]."""
        found = self.support.get((name, case)) or self.nozzle[name, case]
        return found.force

    def moment(self, name: str, case: str = OPERATING) -> tuple[float, float, float]:
        """Moment of the pipe's action on a support or nozzle [N·m]."""
        found = self.support.get((name, case)) or self.nozzle[name, case]
        return found.moment

    def move(self, point: str, case: str = OPERATING, line: str = "L") -> tuple[float, float, float]:
        """Movement of a point [m]."""
        found = self.point[line, point, case]
        return found.east, found.north, found.up

    def turned(self, point: str, case: str = OPERATING, line: str = "L") -> tuple[float, float, float]:
        """Rotation of a point [rad]."""
        found = self.point[line, point, case]
        return found.rot_east, found.rot_north, found.rot_up

    def member(self, start: str, end: str, at: str, case: str = OPERATING, part: str = "run") -> MemberForce:
        """Section forces of a member at one of its ends."""
        (found,) = (m for m in self.members if (m.from_, m.to, m.end, m.case, m.part) == (start, end, at, case, part))
        return found


def solve_plant(plant: Plant) -> Found:
    run = run_frame(plant)
    found = columns(run, plant)
    supports = [*support_loads(run, plant)]
    nozzles = [*frame_nozzle_loads(run, plant)]
    points = [*point_movements(run, found)]
    return Found(
        plant,
        run,
        tuple(frame_problems(run, plant)),
        tuple(c.case.case for c in found),
        tuple(c.case.case for c in found if not c.settled),
        {(s.support, s.case): s for s in supports},
        {(n.nozzle, n.case): n for n in nozzles},
        {(p.line, p.point, p.case): p for p in points},
        tuple(member_forces(run, all_section_forces(run.static[0].frame, found))),
        {s.support: s for s in springs(run, plant)},
        tuple(equilibrium(run)),
    )


def solve_rows(book: Rows, units: str = "SI") -> Found:
    """Read, build and solve; every case must settle and balance."""
    found = solve_plant(plant_of(book, units))
    assert not [p.sentence() for p in found.problems if p.severity is Severity.ERROR]
    assert found.unsettled == ()
    assert max((e.residual for e in found.equilibrium), default=0.0) <= 1e-8
    return found


def solve(segments: Iterable[Mapping[str, Any]], supports: Iterable[Mapping[str, Any]] = (), **more: Any) -> Found:
    """Solve one line "L"; see :func:`rows`."""
    return solve_rows(rows(segments, supports, **more))
