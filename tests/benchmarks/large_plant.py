"""A large invented plant as a workbook, the same for the same number of lines: pairs of lines, each pair on a plot.

Every line has 40 segments, 12 supports and 4 nozzles. It runs from a vessel (every fifth line from a tee of the line
before it) over a rack with a loop to an exchanger, with two branches (every fifth: three) to pumps.

Run: ``python -m tests.benchmarks.large_plant FILE [LINES]``.
"""

import io
import sys
from dataclasses import dataclass, field
from pathlib import Path

from pipecalc.model import Vector

LINES = 500
SEGMENTS_PER_LINE = 40
_EAST, _NORTH = 70.0, 45.0  # plots of one pair of lines [m]
_ROW = 25  # plots in a row
_END, _BRANCH = 5, 6  # segments of the end at the exchanger, and of a branch
_TEE: "Record" = {"Branch at To": "welding tee"}
_PADDED: "Record" = {"Branch at To": "reinforced fabricated tee", "Pad thickness": 8}

#: NPS, NPS of the pump nozzles, schedule, material, fluid, operating temperature [°C] and pressure [bar].
_SERVICES = (
    (8, 6, "40", "A106 B", "water", 158, 6.5),
    (6, 4, "40", "A312 TP316L", "water", 110, 8),
    (10, 8, "40", "A106 B", "water", 95, 8),
    (4, 3, "80", "A335 P11", "steam", 165, 5.8),
    (12, 10, "STD", "A106 B", "steam", 165, 5.8),
)

#: What is typed besides the tables that grow with the plant.
_PROJECT = {
    "Title": "Large plant for measuring speed",
    "Client": "Invented",
    "Site": "Invented",
    "Document number": "LARGE-1",
    "Revision": "A",
    "Prepared by": "A. Alder",
    "Date": "2025-03-17",
    "Piping code": "ASME B31.3",
    "Code edition": "2018",
    "Display units": "SI",
    "Installation temperature": 15,
    "Seismic coefficient, horizontal": 0.15,
    "Seismic coefficient, vertical": 0.05,
    "Wind pressure": 700,
    "Wind shape factor": 0.7,
    "Default friction coefficient": 0.3,
}
_ALLOWABLES = [
    {
        "Set": name,
        **dict(zip(("FR", "FL", "FC", "MR", "ML", "MC"), limits, strict=True)),
        "Rule": rule,
        "Document": f"{name}, sheet 1, rev. 0 (invented)",
    }
    for name, rule, limits in (
        ("Vessel maker", "each component", (18000, 14000, 14000, 12000, 10000, 12000)),
        ("Exchanger maker", "sum of ratios", (60000, 30000, 30000, 30000, 30000, 30000)),
        ("Pump maker", "square root of squares", (6000, 5200, 4400, 4800, 3000, 4400)),
    )
]
_STATES = [
    {"State": "start-up", "Applies to": "all", "Temperature": 60, "Cycles": 200},
    {"State": "steam-out", "Applies to": "all", "Temperature": 120, "Pressure": 1, "Cycles": 40},
]

Cell = str | int | float
Record = dict[str, Cell]


@dataclass
class _Plant:
    """Rows by sheet."""

    rows: dict[str, list[Record]] = field(
        default_factory=lambda: {
            title: [] for title in ("Lines", "Segments", "Equipment", "Zones", "Nozzles", "Supports", "Point loads")
        }
    )

    def add(self, sheet: str, **cells: Cell) -> None:
        self.rows[sheet].append({title.replace("_", " "): value for title, value in cells.items()})


class _Walk:
    """A line being walked: segments and supports are written as it goes, positions are kept."""

    def __init__(self, plant: _Plant, number: int, at: Vector, start: str = "10") -> None:
        self.plant, self.line, self.at, self.here = plant, _line_name(number), at, start
        self.service = _SERVICES[number % len(_SERVICES)]
        self.number, self.points, self.segments, self.supports = number, 10, 0, 0
        self._start: str | None = start

    def go(self, vector: Vector, item: str = "", turn: str = "", support: str = "", **more: Cell) -> str:
        """One segment and what holds its end; returns the point."""
        self.points += 10
        cells: Record = {"Line": self.line, **({"From": self._start} if self._start else {}), "To": str(self.points)}
        cells |= {title: value for title, value in zip(("East", "North", "Up"), vector, strict=True) if value}
        cells |= {"Item": item} if item else {}
        cells |= {"Turn at To": turn} if turn else {}
        cells |= {title.replace("_", " "): value for title, value in more.items()}
        self.plant.rows["Segments"].append(cells)
        self.at = (self.at[0] + vector[0], self.at[1] + vector[1], self.at[2] + vector[2])
        self.here, self._start, self.segments = str(self.points), None, self.segments + 1
        if support:
            self.hold(support)
        return self.here

    def jump(self, point: str, at: Vector) -> None:
        """Go on from a point that is there already."""
        self._start, self.at, self.here = point, at, point

    def flange(self, vector: Vector) -> str:
        return self.go(vector, item="flange", Mass=round(3.0 * self.service[0], 1))

    def valve(self) -> None:
        """Flange, valve and flange along East."""
        self.flange((0.11, 0, 0))
        self.go((0.35, 0, 0), item="valve", Mass=20.0 * self.service[0])
        self.flange((0.11, 0, 0))

    def hold(self, kind: str) -> None:
        """A support at the point reached."""
        self.supports += 1
        cells: Record = {
            "Support": f"S-{self.number:03d}-{self.supports:02d}",
            "Line": self.line,
            "Point": self.here,
            "Type": kind,
            "Allowable vertical": 30000,
        }
        if kind == "rest and guide" and self.supports % 2:
            cells["Gap"] = 3
        if kind == "rest":
            cells["Friction"] = 0.1 if self.number % 7 == 0 else 0.3
        if kind == "spring" and self.number % 3:
            cells |= {"Spring rate": 80, "Spring load (hot)": 700 * self.service[0]}
        self.plant.rows["Supports"].append(cells)


def plant_tables(lines: int = LINES) -> dict[str, list[Record]]:
    """Rows of every sheet but Project, as typed, titles as in the schema."""
    plant = _Plant()
    tee: tuple[str, Vector] = ("", (0.0, 0.0, 0.0))
    for number in range(lines):
        tee = _add_line(plant, number, tee)
    return {**plant.rows, "States": _STATES, "Allowables": _ALLOWABLES}


def workbook_bytes(lines: int = LINES) -> bytes:
    """The plant as a workbook in SI units: the blank one, filled."""
    from openpyxl import load_workbook

    from pipecalc.workbook.blank import blank_bytes

    book = load_workbook(io.BytesIO(blank_bytes("SI")))
    project = book["Project"]
    for row in range(2, project.max_row + 1):
        value = _PROJECT.get(str(project.cell(row, 1).value))
        if value is not None:
            project.cell(row, 2).value = value
    for title, records in plant_tables(lines).items():
        page = book[title]
        column = {page.cell(1, n).value: n for n in range(1, page.max_column + 1)}
        for row, record in enumerate(records, start=3):
            for name, value in record.items():
                page.cell(row, column[name]).value = value
    saved = io.BytesIO()
    book.save(saved)
    return saved.getvalue()


def _line_name(number: int) -> str:
    return f"L-{number:03d}"


def _add_line(plant: _Plant, number: int, tee: tuple[str, Vector]) -> tuple[str, Vector]:
    """One line; returns a tee point of it, from which the next line may start."""
    joins = number % 5 == 4
    walk = _Walk(plant, number, tee[1], tee[0]) if joins else _from_vessel(plant, number)
    nps, _, schedule, material, fluid, temperature, pressure = walk.service
    east = _over_to_rack(walk, joins=joins)
    tees = [east]
    for n in range(2):
        walk.go((4.0, 0, 0), support="rest and guide" if n else "rest and line stop")
        walk.go((2.0, 0, 0), **(_TEE if n == 0 or joins else _PADDED))
        tees.append((walk.here, walk.at))
        if n == 0:
            _loop(walk)
    if not joins:
        walk.valve()
    while walk.segments + _END + _BRANCH * (3 if joins else 2) < SEGMENTS_PER_LINE:
        walk.go((4.0, 0, 0), support="rest and guide" if walk.supports % 2 else "rest")
    walk.go((1.5, 0, 0), turn="long radius")
    walk.go((0, -2.5, 0), support="hanger rod" if number % 2 else "spring")
    walk.go((0, -2.5, 0), turn="long radius")
    walk.go((0, 0, -1.5))
    end = walk.flange((0, 0, -0.11))
    exchanger = _exchanger(plant, number, walk, end)
    for n, (point, at) in enumerate(tees if joins else tees[1:]):
        walk.jump(point, at)
        _branch(plant, walk, n)
    plant.add(
        "Lines",
        Line=walk.line,
        Service=f"Service {number % len(_SERVICES) + 1}",
        From="" if joins else _vessel_nozzle(number),
        To=exchanger,
        NPS=nps,
        Schedule=schedule,
        Material=material,
        Corrosion_allowance=1.5 if material == "A106 B" else 0.5,
        Mill_tolerance=12.5,
        Weld_factor=1,
        Fluid_density=fluid,
        Insulation_thickness=60,
        Insulation_density=140,
        Design_temperature=185,
        Design_pressure=12,
        Operating_temperature=temperature,
        Operating_pressure=pressure,
        Test_pressure=18,
        Stress_cycles=7000,
    )
    if number % 4 == 0:
        plant.add("Point loads", Load=f"PL-{number:03d}", Line=walk.line, Point="60", Mass=45)
    if number % 100 == 0:
        plant.add(
            "Point loads",
            Load=f"RV-{number:03d}",
            Line=walk.line,
            Point="60",
            Force_Up=-4000,
            Acts_in="occasional",
        )
    point, at = tees[1]
    return f"{walk.line}/{point}", at


def _vessel_nozzle(number: int) -> str:
    return f"V-{number // 2:03d}/N{number % 2 + 1}"


def _from_vessel(plant: _Plant, number: int) -> _Walk:
    """A vertical vessel for two lines, one from its top and one from its side; the walk begins at the flange face."""
    plot = number // 2
    base = (_EAST * (plot % _ROW), _NORTH * (plot // _ROW), 0.3)
    vessel = f"V-{plot:03d}"
    if not any(row["Equipment"] == vessel for row in plant.rows["Equipment"][-12:]):
        plant.add(
            "Equipment",
            Equipment=vessel,
            Kind="vertical on skirt",
            Base_East=base[0],
            Base_North=base[1],
            Base_Up=base[2],
            Outside_diameter=1800,
            Wall_thickness=16,
            Material="SA-516 70",
            Temperature=150,
            Support_temperature=70,
            Support_height=3.0,
            Design_temperature=185,
            Design_pressure=12,
        )
        for zone, low, high, temperature in (("lower", 3, 6, 140), ("upper", 6, 10.4, 155)):
            plant.rows["Zones"].append(
                {"Equipment": vessel, "Zone": zone, "From": low, "To": high, "Temperature": temperature}
            )
    top = number % 2 == 0
    at = (base[0], base[1], 10.5) if top else (base[0], base[1] + 1.2, 8.0)
    walk = _Walk(plant, number, at)
    _nozzle(plant, walk, _vessel_nozzle(number), vessel, "10", "Vessel maker", "+U" if top else "+N", walk.service[0])
    if top:
        walk.flange((0, 0, 0.11))
        walk.go((0, 0, 0.8), turn="long radius")
    else:
        walk.flange((0, 0.11, 0))
        walk.go((0, 0.8, 0), turn="long radius")
    return walk


def _over_to_rack(walk: _Walk, *, joins: bool) -> tuple[str, Vector]:
    """To the rack, and along it to a first point."""
    if joins:
        walk.go((0, 0, 1.2), turn="long radius")
        walk.go((0, 3.0, 0), support="spring")
        walk.go((0, 3.0, 0), turn="long radius")
        walk.go((1.5, 0, 0), support="rest")
        walk.go((1.5, 0, 0), **_TEE)
        return walk.here, walk.at
    walk.go((1.6, 0, 0), turn="long radius")
    walk.go((0, 0, -2.0), support="rest and guide" if walk.number % 3 == 0 else "guide")
    if walk.number % 3 == 0:
        walk.plant.rows["Supports"][-1]["Attached to"] = f"V-{walk.number // 2:03d}"
    walk.go((0, 0, -2.0), turn="long radius")
    walk.go((0, 4.0 + 9.0 * (walk.number % 2), 0), support="spring")
    walk.go((0, 3.0, 0), turn="long radius")
    walk.go((1.5, 0, 0), support="rest")
    return walk.here, walk.at


def _loop(walk: _Walk) -> None:
    walk.go((2.0, 0, 0), turn="long radius")
    walk.go((0, -2.5, 0), turn="long radius")
    walk.go((2.0, 0, 0), support="rest")
    walk.go((2.0, 0, 0), turn="long radius")
    walk.go((0, 2.5, 0), turn="long radius")


def _branch(plant: _Plant, walk: _Walk, n: int) -> None:
    """A branch down to a pump."""
    pump = f"P-{walk.number:03d}{'ABC'[n]}"
    nps = walk.service[1]
    walk.go((0, 0, -1.2), turn="long radius")
    walk.go((0, -1.5 - n, 0), support="rest and guide")
    walk.go((0, -0.15, 0), item="reducer", **{"NPS at To": nps})
    walk.go((0, -1.5, 0), turn="long radius")
    walk.go((0, 0, -0.8))
    end = walk.flange((0, 0, -0.1))
    east, north, up = walk.at
    plant.add(
        "Equipment",
        Equipment=pump,
        Kind="fixed",
        Base_East=east,
        Base_North=north + 0.3,
        Base_Up=up - 0.6,
        Shaft_or_header="+N",
        Material="SA-516 70",
        Temperature=90,
    )
    _nozzle(plant, walk, f"{pump}/S", pump, end, "API 610" if walk.number % 2 else "Pump maker", "+U", nps)


def _exchanger(plant: _Plant, number: int, walk: _Walk, end: str) -> str:
    item = f"E-{number:03d}"
    east, north, up = walk.at
    plant.add(
        "Equipment",
        Equipment=item,
        Kind="horizontal on saddles",
        Base_East=east - 1.2,
        Base_North=north,
        Base_Up=up - 2.15,
        Axis="+E",
        Centreline_height=1.2,
        Outside_diameter=1300,
        Wall_thickness=14,
        Material="SA-516 70",
        Temperature=130,
        Support_temperature=50,
        Design_temperature=185,
        Design_pressure=12,
    )
    name = f"{item}/S1"
    _nozzle(plant, walk, name, item, end, "Exchanger maker", "+U", walk.service[0])
    return name


def _nozzle(
    plant: _Plant, walk: _Walk, name: str, item: str, point: str, sets: str, direction: str, nps: float
) -> None:
    plant.rows["Nozzles"].append(
        {
            "Nozzle": name,
            "Equipment": item,
            "NPS": nps,
            "Flange class": 150,
            "Flange type": "welding neck",
            **dict(zip(("East", "North", "Up"), (round(x, 6) for x in walk.at), strict=True)),
            "Direction": direction,
            "Line": walk.line,
            "Point": point,
            "Projection": 250,
            "Stiffness model": "shell" if item.startswith("E") and walk.number % 10 == 0 else "rigid",
            "Allowable sets": sets,
        }
    )


def main() -> None:
    """Write the workbook, and say what it holds."""
    path = Path(sys.argv[1])
    lines = int(sys.argv[2]) if len(sys.argv) > 2 else LINES
    path.write_bytes(workbook_bytes(lines))
    print({title: len(rows) for title, rows in plant_tables(lines).items()})


if __name__ == "__main__":
    main()
