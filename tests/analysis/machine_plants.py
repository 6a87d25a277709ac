"""A pump, a vessel and their lines as workbooks, for tests of verdicts on nozzles, flanges and shells.

The pump P-1 has its shaft along East and its centre in (0, 0, 0.5): an end nozzle S, NPS 6, and a top nozzle D, NPS 4.
The vessel V-1 stands on a skirt, 1400 mm by 12 mm; its nozzle V1-B points to the South. Everything can be turned about
Up.
"""

from collections.abc import Mapping
from copy import deepcopy
from datetime import date
from math import cos, radians, sin
from typing import Any

from books import Rows, book_bytes, small_plant

from pipecalc.analysis.analyse import analyse
from pipecalc.checks.nozzles.interface import standards
from pipecalc.model import Plant
from pipecalc.problems import Problem, Severity
from pipecalc.results import Check, NozzleLoad, Results
from pipecalc.workbook.build import build
from pipecalc.workbook.reader import read
from pipecalc.workbook.rules import check_book

_WAYS = {"+E": (1, 0, 0), "-E": (-1, 0, 0), "+N": (0, 1, 0), "-N": (0, -1, 0), "+U": (0, 0, 1), "-U": (0, 0, -1)}
_PAIRS = (("east", "north"), ("base_east", "base_north"), ("centre_east", "centre_north"))
#: A plate with an allowable stress, as ASME II-D gives for SA-516 70 up to 260 °C, here chosen for the test.
PLATE = [
    {"material": "SA-516 70", "temperature": t, "allowable": 138, "source": "chosen for the test"} for t in (20, 250)
]


def pump_plant(sets: str = "API 610", **pump: Any) -> Rows:
    """Pump with two lines to anchors; ``pump`` changes its row of Equipment, None takes a value out."""
    line = {
        "schedule": "40", "material": "A106 B", "fluid_density": 900, "design_temperature": 160,
        "design_pressure": 10, "operating_temperature": 150, "operating_pressure": 8, "test_pressure": 15,
    }  # fmt: skip
    nozzle = {"equipment": "P-1", "allowable_sets": sets, "point": "10"}
    return {
        "Project": [{"title": "Pump", "date": date(2025, 3, 14), "edition": "2018", "friction": 0}],
        "Lines": [{"line": "S-1", "nps": 6, **line}, {"line": "D-1", "nps": 4, **line}],
        "Segments": [
            {"line": "S-1", "from_": "10", "to": "20", "east": -2.5},
            {"line": "S-1", "to": "30", "north": 3, "up": 0},
            {"line": "S-1", "to": "40", "up": 1.5},
            {"line": "D-1", "from_": "10", "to": "20", "up": 2.5},
            {"line": "D-1", "to": "30", "north": 3.5},
            {"line": "D-1", "to": "40", "east": 2},
        ],
        "Equipment": [
            {
                "equipment": "P-1", "kind": "fixed", "base_east": 0, "base_north": 0, "base_up": 0.5,
                "material": "A106 B", "temperature": 120, "machine_axis": "+E",
                "centre_east": 0, "centre_north": 0, "centre_up": 0.5, **pump,
            }
        ],
        "Nozzles": [
            {"nozzle": "S", "nps": 6, "east": -0.4, "north": 0, "up": 0.5, "direction": "-E", "line": "S-1", **nozzle},
            {"nozzle": "D", "nps": 4, "east": 0.1, "north": 0, "up": 0.9, "direction": "+U", "line": "D-1", **nozzle},
        ],
        "Supports": [
            {"support": "A-1", "line": "S-1", "point": "40", "type": "anchor"},
            {"support": "A-2", "line": "D-1", "point": "40", "type": "anchor"},
        ],
    }  # fmt: skip


def vessel_plant(**changes: Any) -> Rows:
    """The small plant with what the vessel's shell needs; ``changes`` go to the vessel's row."""
    rows = small_plant()
    rows["Equipment"][1] |= {"design_temperature": 200, "corrosion_allowance": 2, **changes}
    rows["Materials"] = deepcopy(PLATE)
    return rows


def with_values(rows: Rows, sheet: str, number: int, **values: Any) -> Rows:
    """A copy of the rows with some values of one row changed."""
    copy = deepcopy(rows)
    copy[sheet][number].update(values)
    return copy


def turned(rows: Rows, degrees: float) -> Rows:
    """The whole plant turned about Up, from East towards North."""
    c, s = cos(radians(degrees)), sin(radians(degrees))

    def row(old: Mapping[str, Any]) -> dict[str, Any]:
        new = dict(old)
        for east, north in _PAIRS:
            if east in new or north in new:
                e, n = new.get(east, 0) or 0, new.get(north, 0) or 0
                new[east], new[north] = c * e - s * n, s * e + c * n
        for key in ("direction", "machine_axis", "axis"):
            if new.get(key) in _WAYS:
                e, n, u = _WAYS[new[key]]
                new[key] = f"{c * e - s * n:.12f}, {s * e + c * n:.12f}, {u}"
        return new

    return {sheet: [row(old) for old in found] for sheet, found in rows.items()}


def built(rows: Rows, units: str = "SI") -> tuple[Plant, list[Problem]]:
    """The plant of a workbook without errors, and what the rules say."""
    book = read(book_bytes(rows, units=units))
    problems = [*book.problems, *check_book(book, tuple(standards()))]
    made = build(book, problems)
    wrong = [p.sentence() for p in (*problems, *made.problems) if p.severity is Severity.ERROR]
    assert not wrong, wrong
    assert made.plant is not None
    return made.plant, problems


def found(rows: Rows, units: str = "SI") -> Results:
    """Results of a workbook."""
    return analyse(built(rows, units)[0])


def said(rows: Rows) -> list[tuple[str, int, str, str]]:
    """What the rules say of a workbook: sheet, row, code, text; errors among them."""
    book = read(book_bytes(rows))
    problems = [*book.problems, *check_book(book, tuple(standards()))]
    return [(p.address.sheet, p.address.row, p.code, p.sentence()) for p in problems if p.severity is not Severity.NOTE]


def checks_named(results: Results, name: str, subject: str = "") -> list[Check]:
    return [c for c in results.checks if c.check == name and subject in ("", c.subject)]


def load_on(results: Results, nozzle: str, case: str) -> NozzleLoad:
    (load,) = (x for x in results.nozzle_loads if (x.nozzle, x.case, x.method) == (nozzle, case, "frame"))
    return load
