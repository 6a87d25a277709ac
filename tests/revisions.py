"""A small plant of which revisions are compared."""

from pathlib import Path
from typing import Any

from pipecalc import job
from pipecalc.comparison.records import Side
from tests.analysis.hand_plants import line_rows
from tests.workbook.books import Rows, write_book

RUNS = [{"east": 6}, {"north": 4}, {"east": 5}]


def plant_rows(**project: Any) -> Rows:
    rows = line_rows(RUNS, line={"design_pressure": 60})
    rows["Project"] = [{**rows["Project"][0], "revision": "A", **project}]
    rows["Supports"] = [
        {"support": f"S-{n}", "line": "L-1", "point": point, "type": "rest", "allowable_vertical": 20000}
        for n, point in ((1, "20"), (2, "30"))
    ]
    limits = dict.fromkeys(("FR", "FL", "FC", "MR", "ML", "MC"), 60000)
    rows["Allowables"] = [{"set": "V", **limits, "rule": "each component", "document": "D"}]
    for nozzle in rows["Nozzles"]:
        nozzle["allowable_sets"] = "V"
    return rows


def side(rows: Rows, folder: Path, name: str) -> Side:
    return job.revision(write_book(folder / f"{name}.xlsx", rows))
