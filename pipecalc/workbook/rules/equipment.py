"""Rules for Equipment, Zones, Nozzles and Allowables."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from itertools import pairwise

from pipecalc.problems import Problem, error, warning
from pipecalc.workbook.rows import Row
from pipecalc.workbook.rules.view import View, title, unused

_HORIZONTAL = "horizontal on saddles"
_SAME = 1e-6  # m
_COMPONENTS = ("FR", "FL", "FC", "MR", "ML", "MC")
_RESULTANTS = ("resultant_force", "resultant_moment")
_STIFFNESSES = ("radial_stiffness", "stiffness_l", "stiffness_c")


def horizontal_items(view: View) -> Iterator[Problem]:
    """A horizontal item needs its axis, its height and its diameter; other items have no axis to give."""
    for row in view.sound("Equipment"):
        if row["kind"] != _HORIZONTAL:
            given = [key for key in ("axis", "centreline_height") if row[key] is not None]
            yield from (unused(row, key, f"Kind is {row['kind']}") for key in given)
            continue
        missing = [k for k in ("axis", "centreline_height", "outside_diameter") if row[k] is None]
        if missing:
            found = f"the horizontal item has no {', '.join(title(row, k) for k in missing)}"
            yield error("horizontal-incomplete", row.address(missing[0]), found, "all three")
        elif abs(row["axis"][2]) > _SAME:
            found = f"the axis {row.typed['axis']} is not horizontal"
            yield error("axis-slopes", row.address("axis"), found, '"+E", "-N" or "az 30"')


def shells(view: View) -> Iterator[Problem]:
    """A shell's wall leaves a bore."""
    for row in view.sound("Equipment"):
        diameter, wall = row["outside_diameter"], row["wall"]
        if diameter is not None and wall is not None and wall >= diameter / 2:
            found = f"a wall of {row.typed['wall']} leaves no bore"
            yield error("wall-misfits", row.address("wall"), found, "less than half the outside diameter")


def zone_limits(view: View) -> Iterator[Problem]:
    """A zone ends above its start, has a name of its own, and belongs to an item that grows."""
    names: dict[tuple[str, str], int] = {}
    for row in view.sound("Zones"):
        item = view.row_of("Equipment.equipment", row["equipment"])
        name = (row["equipment"], row["zone"])
        if row["to"] <= row["from_"]:
            found = f"the zone ends at {row.typed['to']}, where it starts or before"
            yield error("zone-order", row.address("to"), found, "To greater than From")
        elif row["zone"] is not None and name in names:
            found = f"zone {row['zone']} of {row['equipment']} stands in row {names[name]} already"
            yield error("duplicate", row.address("zone"), found, "a name of its own")
        elif item is not None and item["kind"] == "fixed":
            yield unused(row, "temperature", f"{row['equipment']} is fixed and does not grow")
        names.setdefault(name, row.number)


def zone_neighbours(view: View) -> Iterator[Problem]:
    """Zones of one item do not overlap; a gap takes the item's own temperature."""
    by_item: dict[str, list[Row]] = defaultdict(list)
    for row in view.sound("Zones"):
        by_item[row["equipment"]].append(row)
    for rows in by_item.values():
        for below, above in pairwise(sorted(rows, key=lambda r: float(r["from_"]))):
            step = above["from_"] - below["to"]
            later = max(below, above, key=lambda r: r.number)
            between = f"rows {below.number} and {above.number} of {above['equipment']}"
            if step < -_SAME:
                yield error("zone-overlap", later.address("from_"), f"zones overlap: {between}", "zones side by side")
            elif step > _SAME:
                hint = "the item's own temperature holds there"
                found = f"a gap of {step:.4g} m between zones: {between}"
                yield warning("zone-gap", above.address("from_"), found, hint=hint)


def nozzle_points(view: View) -> Iterator[Problem]:
    """One point of a line is at one nozzle only."""
    first: dict[tuple[str, str], str] = {}
    for row in view.sound("Nozzles"):
        point = (row["line"], row["point"])
        if None not in point and point in first:
            found = f"point {row['point']} of line {row['line']} is at nozzle {first[point]} already"
            yield error("nozzle-same-point", row.address("point"), found, "a point of its own")
        first.setdefault(point, row["nozzle"])


def nozzle_directions(view: View) -> Iterator[Problem]:
    """A nozzle points outward: away from its item's axis."""
    for row in view.sound("Nozzles"):
        item = view.row_of("Equipment.equipment", row["equipment"])
        if item is not None and item["kind"] != "fixed" and _points_inward(row, item):
            found = f"direction {row.typed['direction']} points towards the axis of {row['equipment']}"
            yield warning("nozzle-inward", row.address("direction"), found, "the direction outward from the item")


def _points_inward(nozzle: Row, item: Row) -> bool:
    """Whether the direction's part square to the axis leads back to the axis."""
    lift = item["centreline_height"] or 0.0
    off: list[float] = [nozzle[k] - item[f"base_{k}"] for k in ("east", "north", "up")]
    axis = item["axis"] if item["kind"] == _HORIZONTAL else (0.0, 0.0, 1.0)
    off[2] -= lift if item["kind"] == _HORIZONTAL else 0.0
    along = _dot(off, axis)
    square = [o - along * a for o, a in zip(off, axis, strict=True)]
    distance = _dot(square, square) ** 0.5
    return bool(distance > 0.01 and _dot(square, nozzle["direction"]) < -1e-3 * distance)


def _dot(a: Sequence[float], b: Sequence[float]) -> float:
    return float(sum(x * y for x, y in zip(a, b, strict=True)))


def shell_models(view: View) -> Iterator[Problem]:
    """The flexibility of a shell needs its diameter and wall, or values of its own, which a rigid nozzle ignores."""
    for row in view.sound("Nozzles"):
        given = [key for key in _STIFFNESSES if row[key] is not None]
        if row["stiffness_model"] != "shell":
            yield from (unused(row, key, "Stiffness model is rigid") for key in given)
        item = view.row_of("Equipment.equipment", row["equipment"])
        missing = [k for k in ("outside_diameter", "wall") if item is not None and item[k] is None]
        if row["stiffness_model"] == "shell" and item is not None and missing and not given:
            found = f"{row['equipment']} has no {' and '.join(title(item, k) for k in missing)}"
            accepted = "both on Equipment, stiffnesses of the nozzle, or Stiffness model rigid"
            yield error("shell-incomplete", row.address("stiffness_model"), found, accepted)


def allowable_rows(view: View) -> Iterator[Problem]:
    """A row of a vendor's table holds the values that its rule asks for."""
    for row in view.sound("Allowables"):
        needed = _RESULTANTS if row["rule"] == "resultants" else _COMPONENTS
        missing = [key for key in needed if row[key] is None]
        names = ", ".join(title(row, key) for key in missing)
        if all(row[key] is None for key in (*_COMPONENTS, *_RESULTANTS)):
            yield error("allowable-empty", row.address(needed[0]), "the row holds no allowable", "at least one")
        elif missing:
            found = f'the rule "{row["rule"]}" asks for {names} too; what is missing is not checked'
            yield warning("allowable-missing", row.address(missing[0]), found)


def allowable_sizes(view: View) -> Iterator[Problem]:
    """A vendor's set without a row for the nozzle's size cannot be checked."""
    sizes: dict[str, set[float | None]] = defaultdict(set)
    for row in view.book.rows["Allowables"]:
        if row["set"] is not None:
            sizes[row["set"]].add(None if "nps" in row.bad else row["nps"])
    for row in view.sound("Nozzles"):
        for name in row["allowable_sets"] or ():
            if name in sizes and not sizes[name] & {None, row["nps"]}:
                found = f'set "{name}" has no row for NPS {row["nps"]:g}; the nozzle is not checked against it'
                known = ", ".join(f"{s:g}" for s in sorted(s for s in sizes[name] if s is not None))
                yield warning("allowable-size", row.address("allowable_sets"), found, f"NPS {known}")
