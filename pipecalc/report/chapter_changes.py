"""Changes since an earlier revision: what a checker of a new revision reads first."""

from typing import Any

from pipecalc.comparison.records import Changes
from pipecalc.report.change_tables import change_tables, facts, summary, worsened
from pipecalc.report.parts import Sheets, text

MOST_ROWS = 200  # of one table; results.json holds all
HEADS = {"verdicts": "Verdicts", "results": "Results", "inputs": "Inputs"}


def title(changes: Changes) -> str:
    """Title of the chapter, with the mark of the earlier revision where it has one."""
    mark = changes.old.revision
    return f"Changes since revision {mark}" if mark else "Changes since the earlier workbook"


def chapter(sheets: Sheets, changes: Changes) -> dict[str, Any]:
    """Content of the chapter."""
    display = sheets.display
    columns = (text("", 30), text("Earlier", 70), text("Now", 70))
    both = sheets.table("The two revisions", columns, facts(changes))
    found: dict[str, list[dict[str, Any]]] = {head: [] for head in HEADS.values()}
    for table in change_tables(changes, display):
        more = len(table.rows) - MOST_ROWS
        printed = sheets.table(table.caption, table.columns, table.rows[:MOST_ROWS])
        rest = f"{more} more rows stand in results.json." if more > 0 else ""
        found[HEADS[table.about]].append({"table": printed, "rest": rest})
    return {
        "cautions": changes.cautions,
        "summary": [display.words(said) for said in summary(changes)],
        "both": both,
        "parts": [(head, tables) for head, tables in found.items() if tables],
        "nothing": changes.nothing,
        "worse": worsened(changes),
    }
