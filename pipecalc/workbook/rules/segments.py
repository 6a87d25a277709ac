"""Rules for the Segments sheet."""

from collections.abc import Iterator

from pipecalc.problems import Problem, error, warning
from pipecalc.workbook.rows import Row
from pipecalc.workbook.rules.view import View, point_key, title, unused

_SHORTEST = 1e-6  # m
_JOINT = ("joint_axial", "joint_lateral", "joint_angular", "joint_area")
_PADDED = "reinforced fabricated tee"


def without_length(view: View) -> Iterator[Problem]:
    """Runs from a point to itself, or of no length."""
    for row in view.sound("Segments"):
        if point_key(row["line"], row["from_"]) == point_key(row["line"], row["to"]):
            found = f"the run starts and ends at point {row['to']}"
            yield error("segment-same-point", row.address("to"), found, "two different points")
        elif all(abs(row[key]) < _SHORTEST for key in ("east", "north", "up")):
            accepted = "a length in East, North or Up"
            yield error("segment-length", row.address("east"), "the run has no length", accepted)


def twice(view: View) -> Iterator[Problem]:
    """Two runs between the same two points."""
    first: dict[frozenset[tuple[str, str]], int] = {}
    for row in view.sound("Segments"):
        ends = frozenset(point_key(row["line"], row[key]) for key in ("from_", "to"))
        if ends in first:
            found = f"the run {row['from_']} to {row['to']} stands in row {first[ends]} already"
            yield error("segment-twice", row.address("to"), found, "one row for each run")
        first.setdefault(ends, row.number)


def turns(view: View) -> Iterator[Problem]:
    """Bends need a radius, mitres a radius and cuts; elsewhere they have no effect."""
    for row in view.sound("Segments"):
        turn = row["turn"]
        if turn in ("bend", "mitre") and row["bend_radius"] is None:
            yield error("bend-radius", row.address("bend_radius"), f"the {turn} has no Bend radius", "a radius")
        elif turn == "mitre" and row["mitre_cuts"] is None:
            yield error("mitre-cuts", row.address("mitre_cuts"), "the mitre has no number of cuts", "1 or more")
        if turn == "none" and row["bend_radius"] is not None:
            yield unused(row, "bend_radius", "Turn at To is none")
        if turn != "mitre" and row["mitre_cuts"] is not None:
            yield unused(row, "mitre_cuts", "Turn at To is not mitre")


def branches(view: View) -> Iterator[Problem]:
    """A pad belongs to a reinforced tee, and a reinforced tee has a pad."""
    for row in view.sound("Segments"):
        if row["branch"] == _PADDED and not row["pad_thickness"]:
            found = f"the {_PADDED} has no Pad thickness"
            accepted = "a thickness, or unreinforced fabricated tee"
            yield error("pad-missing", row.address("pad_thickness"), found, accepted)
        if row["branch"] != _PADDED and row["pad_thickness"]:
            yield unused(row, "pad_thickness", f"Branch at To is not {_PADDED}")


def reducers(view: View) -> Iterator[Problem]:
    """The size changes at reducers, and only there."""
    for row in view.sound("Segments"):
        is_reducer, size = row["item"] == "reducer", row["nps_at_to"]
        if is_reducer and size is None:
            yield error("reducer-size", row.address("nps_at_to"), "the reducer has no NPS at To", "an NPS")
        if not is_reducer and size is not None:
            found = f"NPS at To is given, but Item is {row['item']}"
            yield error("reducer-item", row.address("nps_at_to"), found, "Item reducer, or no NPS at To")


def joints(view: View) -> Iterator[Problem]:
    """An expansion joint needs its stiffnesses and its area; nothing else has them."""
    for row in view.sound("Segments"):
        if row["item"] == "expansion joint":
            yield from _incomplete_joint(row)
        else:
            given = [key for key in _JOINT if row[key] is not None]
            yield from (unused(row, key, "Item is not expansion joint") for key in given)


def _incomplete_joint(row: Row) -> Iterator[Problem]:
    missing = [key for key in _JOINT if row[key] is None]
    if missing:
        found = f"the expansion joint has no {', '.join(title(row, k) for k in missing)}"
        yield error("joint-incomplete", row.address(missing[0]), found, "all four values, 0 where there is none")


def masses(view: View) -> Iterator[Problem]:
    """A valve, flange or rigid item without mass weighs as much as pipe."""
    for row in view.sound("Segments"):
        if row["item"] in ("valve", "flange", "rigid") and row["mass"] is None:
            found = f"the {row['item']} has no Mass, so it counts as pipe of that length"
            yield warning("mass-missing", row.address("mass"), found)
