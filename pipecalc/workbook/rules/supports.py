"""Rules for Supports and Point loads."""

from collections.abc import Iterator

from pipecalc.problems import Problem, error, warning
from pipecalc.workbook.rules.view import View, unused

_WITHOUT_GAP = ("anchor", "rest", "hanger rod", "spring", "constant load")
_LOADS = ("mass", "force_east", "force_north", "force_up", "moment_east", "moment_north", "moment_up")


def directions(view: View) -> Iterator[Problem]:
    """Struts and snubbers act along a direction that nothing else gives."""
    for row in view.sound("Supports"):
        if row["type"] in ("strut", "snubber") and row["direction"] is None:
            accepted = '"+E", "az 30 el -15" or "0.6, 0.8, 0"'
            found = f"the {row['type']} has no Direction"
            yield error("direction-missing", row.address("direction"), found, accepted)


def unused_values(view: View) -> Iterator[Problem]:
    """Values that the type of support does not use."""
    for row in view.sound("Supports"):
        why = f"Type is {row['type']}"
        if row["gap"] and row["type"] in _WITHOUT_GAP:
            yield unused(row, "gap", why)
        if row["spring_rate"] is not None and row["type"] != "spring":
            yield unused(row, "spring_rate", why)
        if row["spring_load"] is not None and row["type"] not in ("spring", "constant load"):
            yield unused(row, "spring_load", why)


def empty_loads(view: View) -> Iterator[Problem]:
    """A point load that loads nothing."""
    for row in view.sound("Point loads"):
        if not any(row[key] for key in _LOADS):
            yield warning("load-empty", row.address("load"), f"load {row['load']} has no mass, force or moment")
