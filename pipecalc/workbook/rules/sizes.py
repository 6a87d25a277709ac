"""Rules for how many cases a plant may have: each is solved for, and ranges are found between states."""

from collections.abc import Iterator

from pipecalc.problems import Problem, error
from pipecalc.workbook.limits import MAX_OCCASIONAL_LOADS, MAX_STATES
from pipecalc.workbook.rules.view import View


def states(view: View) -> Iterator[Problem]:
    """Not more thermal states than are accepted."""
    seen: set[str] = set()
    for row in view.sound("States"):
        seen.add(row["state"])
        if len(seen) > MAX_STATES:
            found = f"{len({r['state'] for r in view.sound('States')})} thermal states"
            yield error("states-many", row.address("state"), found, f"at most {MAX_STATES}")
            return


def occasional_loads(view: View) -> Iterator[Problem]:
    """Not more occasional point loads than are accepted."""
    loads = [row for row in view.sound("Point loads") if row["acts_in"] == "occasional"]
    if len(loads) > MAX_OCCASIONAL_LOADS:
        found = f"{len(loads)} occasional point loads, each a case of its own"
        yield error(
            "loads-many", loads[MAX_OCCASIONAL_LOADS].address("acts_in"), found, f"at most {MAX_OCCASIONAL_LOADS}"
        )
