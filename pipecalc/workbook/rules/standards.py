"""Rules for nozzle-load standards, flanges, and supports on a vessel's shell: what keeps a check from being made."""

from collections.abc import Iterator, Mapping
from math import isfinite

from pipecalc.checks.flanges.rating import rated_classes
from pipecalc.checks.nozzles.interface import Connection, Item, NozzleStandard, standards
from pipecalc.problems import Problem, error, warning
from pipecalc.workbook.rows import Row
from pipecalc.workbook.rules.view import View, title, unused

_CENTRE = ("centre_east", "centre_north", "centre_up")
_ON_FLANGES = ("flange_group", "flange_type", "bolt_allowable", "gasket_diameter")
_ON_SHELLS = ("attachment_radius", "attachment_arm")
_NO_LOAD = (0.0, 0.0, 0.0)


def set_names(view: View) -> Iterator[Problem]:
    """A vendor's set that bears a standard's name goes before it."""
    told = set()
    for row in view.sound("Allowables"):
        if row["set"] in standards() and row["set"] not in told:
            told.add(row["set"])
            found = f'set "{row["set"]}" of this sheet takes the place of the built-in standard of that name'
            yield warning("set-name-standard", row.address("set"), found, "a name of its own, if both are wanted")


def machine_centres(view: View) -> Iterator[Problem]:
    """A pump's centre has three coordinates; an exhaust is a nozzle of the item."""
    for row in view.sound("Equipment"):
        missing = [key for key in _CENTRE if row[key] is None]
        if 0 < len(missing) < len(_CENTRE):
            found = f"{' and '.join(title(row, key) for key in missing)} missing"
            yield error("centre-incomplete", row.address(missing[0]), found, "all three coordinates, or none")
        nozzle = view.row_of("Nozzles.nozzle", row["exhaust"]) if row["exhaust"] is not None else None
        if nozzle is not None and nozzle["equipment"] != row["equipment"]:
            found = f"nozzle {row['exhaust']} belongs to {nozzle['equipment']}"
            yield error("exhaust-elsewhere", row.address("exhaust"), found, f"a nozzle of {row['equipment']}")


def standards_fit(view: View) -> Iterator[Problem]:
    """A standard that cannot judge a nozzle says so before the run."""
    own = view.names("Allowables.set")
    items = {row["equipment"]: row for row in view.sound("Equipment")}
    for row in view.sound("Nozzles"):
        named = [name for name in row["allowable_sets"] or () if name in standards() and name not in own]
        if row["equipment"] in items:
            for name in named:
                yield from _fit(standards()[name], row, items[row["equipment"]])


def _fit(standard: NozzleStandard, nozzle: Row, equipment: Row) -> Iterator[Problem]:
    address = nozzle.address("allowable_sets")
    if equipment["kind"] not in standard.kinds:
        found = f"{standard.title} does not fit {equipment['equipment']}, which is {equipment['kind']}"
        yield warning("standard-misfits", address, found, f"equipment of kind {' or '.join(standard.kinds)}")
        return
    if standard.axis_needed and equipment["machine_axis"] is None:
        found = f"{standard.title} needs the {standard.axis_needed} of {equipment['equipment']}"
        where = equipment.address("machine_axis")
        yield warning(
            "axis-missing", where, found, "the column Shaft or header", "without it nothing is checked by axis"
        )
        return
    reason = _no_limits(standard, nozzle, equipment)
    if reason:
        found = f"{standard.title}: {reason}; the nozzle is not checked against it"
        yield warning("standard-no-limit", address, found)


def _no_limits(standard: NozzleStandard, nozzle: Row, equipment: Row) -> str:
    """Why the standard has no allowable for a nozzle; empty where it has."""
    out = nozzle["direction"]
    # Whether a standard has a row depends on the outward direction alone; the other two axes are stand-ins.
    connection = Connection(nozzle["nozzle"], nozzle["nps"], _NO_LOAD, (out, out, out), None, None)
    item = Item(equipment["equipment"], equipment["kind"], equipment["machine_axis"])
    limits = standard.limits(connection, item)
    is_there = isfinite(limits.force) or any(isfinite(value) for value in limits.components.values())
    return "" if is_there else limits.reason or "no allowable"


def flange_values(view: View) -> Iterator[Problem]:
    """Flange columns that have no effect, and classes without a rating."""
    for row in view.sound("Segments"):
        if row["item"] != "flange":
            given = [key for key in ("flange_class", "flange_group") if row[key] is not None]
            yield from (unused(row, key, f"Item is {row['item']}") for key in given)
    for row in view.sound("Nozzles"):
        if row["flange_class"] is None:
            yield from (unused(row, key, "no Flange class is given") for key in _ON_FLANGES if row[key] is not None)
    for sheet in ("Lines", "Segments", "Nozzles"):
        for row in view.sound(sheet):
            if row["flange_class"] is not None and row["flange_class"] not in rated_classes():
                found = f"there is no rating table for class {row['flange_class']}; the joint is not checked"
                yield warning("class-unrated", row.address("flange_class"), found, ", ".join(rated_classes()))


def attachments(view: View) -> Iterator[Problem]:
    """Attachment columns of supports that no vessel carries."""
    kinds: Mapping[str, str] = {row["equipment"]: row["kind"] for row in view.sound("Equipment")}
    for row in view.sound("Supports"):
        kind = kinds.get(row["attached_to"])
        if kind in (None, "fixed"):
            why = f"Attached to is {row['attached_to']}" + (", a fixed item" if kind else "")
            yield from (unused(row, key, why) for key in _ON_SHELLS if row[key] is not None)
