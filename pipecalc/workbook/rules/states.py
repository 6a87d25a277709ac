"""Rules for States."""

from collections.abc import Iterator

from pipecalc.model import INSTALLED
from pipecalc.problems import Problem, error
from pipecalc.schema.state_sheets import ALL
from pipecalc.workbook.rules.view import View, unused

_CONTENTS = ("temperature", "pressure", "fluid_density", "cycles")


def names(view: View) -> Iterator[Problem]:
    """The installed state is the program's own."""
    for row in view.sound("States"):
        if row["state"].casefold() == INSTALLED:
            found = f'"{row["state"]}" is the state before heating, which every range starts from'
            yield error("state-name", row.address("state"), found, "another name")


def contents(view: View) -> Iterator[Problem]:
    """A state says something, and of equipment only what equipment has."""
    lines = view.names("Lines.line")
    for row in view.sound("States"):
        if all(row[key] is None for key in _CONTENTS):
            found = f"state {row['state']} changes nothing for {row['applies_to']}"
            accepted = "a temperature, pressure, density or cycles"
            yield error("state-empty", row.address("temperature"), found, accepted)
        elif row["applies_to"] != ALL and row["applies_to"] not in lines:
            given = [key for key in ("pressure", "fluid_density") if row[key] is not None]
            yield from (unused(row, key, f"{row['applies_to']} is equipment") for key in given)


def cycles(view: View) -> Iterator[Problem]:
    """All rows of a state that give cycles give the same."""
    first: dict[str, tuple[float, int]] = {}
    for row in view.sound("States"):
        if row["cycles"] is not None:
            number, where = first.setdefault(row["state"], (row["cycles"], row.number))
            if number != row["cycles"]:
                found = f"state {row['state']} has {number:g} cycles in row {where} and {row['cycles']:g} here"
                yield error("state-cycles", row.address("cycles"), found, "one number for a state")
