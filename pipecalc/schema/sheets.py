"""Every sheet and column of the workbook, declared once.

The blank workbook, the reader, the validator, the write-back and the column reference are all derived from
this declaration.
"""

from pipecalc.schema.column import Column, Sheet
from pipecalc.schema.equipment_sheets import ALLOWABLES, EQUIPMENT, NOZZLES, ZONES
from pipecalc.schema.line_sheets import LINES
from pipecalc.schema.project_sheets import MATERIALS, PROJECT, REVISIONS, SPRING_TABLE, STUDIES
from pipecalc.schema.segment_sheets import SEGMENTS
from pipecalc.schema.state_sheets import POINT_LOADS, STATES
from pipecalc.schema.support_sheets import SUPPORTS

SHEETS: tuple[Sheet, ...] = (
    PROJECT,
    REVISIONS,
    LINES,
    SEGMENTS,
    EQUIPMENT,
    ZONES,
    NOZZLES,
    ALLOWABLES,
    SUPPORTS,
    STATES,
    POINT_LOADS,
    MATERIALS,
    SPRING_TABLE,
    STUDIES,
)
TITLES: tuple[str, ...] = tuple(sheet.title for sheet in SHEETS)

#: Sheets that a run writes anew and that are never read.
RESULT_SHEETS: tuple[str, ...] = (
    "Summary",
    "Nozzle loads",
    "Support loads",
    "Stress",
    "Springs",
    "Study results",
    "Nozzle data sheets",
    "Messages",
)

#: First sheet of a blank workbook: one page that explains the rest. Never read.
GUIDE_SHEET = "How to use"


def sheet(title: str) -> Sheet:
    """The sheet with this exact title; KeyError where there is none."""
    return _BY_TITLE[title]


def declared(reference: str) -> tuple[Sheet, Column]:
    """Sheet and column of a ``"Sheet.key"`` reference."""
    title, _, key = reference.partition(".")
    return sheet(title), sheet(title).column(key)


_BY_TITLE = {s.title: s for s in SHEETS}
