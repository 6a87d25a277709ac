"""Small plants for the tests of supports, spans, springs and advice, built from workbooks in memory."""

from typing import Any

from books import Rows, book_bytes, small_plant

from pipecalc import making
from pipecalc.model import Plant
from pipecalc.workbook.reader import read

PIPE = {
    "line": "L-1",
    "nps": 6,
    "schedule": 40,
    "material": "A106 B",
    "fluid_density": 1000,
    "design_temperature": 200,
    "design_pressure": 10,
    "operating_temperature": 20,
    "operating_pressure": 5,
}


def built(rows: Rows) -> Plant:
    """The plant of a workbook; its errors in words where it has any."""
    checked = making.checked(read(book_bytes(rows)))
    assert checked.plant is not None, [p.sentence() for p in checked.errors]
    return checked.plant


def row_of_pipe(lengths: list[float], supports: list[dict[str, Any]], **line: Any) -> Rows:
    """A straight line towards East from 10 on, in runs of given lengths, with its supports."""
    segments: list[dict[str, Any]] = [
        {"line": "L-1", "to": str(20 + 10 * n), "east": length} for n, length in enumerate(lengths)
    ]
    segments[0]["from_"] = "10"
    start = {"start_point": "10", "start_east": 0, "start_north": 0, "start_up": 5}
    return {
        "Project": [{**small_plant()["Project"][0], "shear_deformation": "no"}],
        "Lines": [{**PIPE, **start, **line}],
        "Segments": segments,
        "Supports": [{"line": "L-1", "friction": 0, **support} for support in supports],
    }
