"""The nozzle load data sheet for the makers of equipment: one block for each item, loads by case in nozzle axes."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from functools import cache
from math import isfinite

from pipecalc.analysis.attachments import ATTACHMENT_CHECK
from pipecalc.analysis.nozzle_standards import EQUIPMENT_CHECK, rounded_up
from pipecalc.analysis.nozzles import NOZZLE_CHECK
from pipecalc.checks.nozzles.interface import COMPONENTS, standards
from pipecalc.checks.nozzles.rules import resultant_force, resultant_moment
from pipecalc.model import Equipment, Nozzle, Plant, Support, Vector
from pipecalc.results import Check, NozzleLoad, Results, Status, governing, worst_status
from pipecalc.schema.build_columns import UNITS
from pipecalc.units import scale_of
from pipecalc.workbook.package import CellStyle, NewSheet, SheetCell, Value
from pipecalc.workbook.result_columns import checks_by_subject, nozzle_loads_by_tag, support_loads_by_tag

TITLE = "Nozzle data sheets"
EMPTY = "no nozzle and no support on equipment"
AXES = (
    "Loads are the pipe's action ON the nozzle, at the centre of the flange face.",
    "R: along the nozzle, outward. L: along the item's axis (Up for vertical and fixed items), square to R. C = R x L.",
    "A positive force pushes the nozzle along its axis; a positive moment turns it like a right-hand screw along it.",
)
#: R points at the reader's right, L upward, C out of the page; a moment about R turns L towards C.
SKETCH = (
    "          ^ L",
    "          |",
    "  item ===|=====> R   (flange face)",
    "          |",
    "          o C, towards the reader",
)
_MARK = "FOR REVIEW - not sealed, not for construction"
_WIDTHS = (38.0, 14.0, *(11.0,) * 10)

_BIG = CellStyle(bold=True, size=14.0)
_HEAD = CellStyle(bold=True, wrap=True, fill="E3E9F0")
_UNIT = CellStyle(italic=True, fill="E3E9F0")
_TEXT = CellStyle()
_BOLD = CellStyle(bold=True)
_DRAWN = CellStyle(font_colour="444444")
_WARN = CellStyle(bold=True, font_colour="8A3B12")
_ROUND = CellStyle(number_format="#,##0")
_FINE = CellStyle(number_format="0.00")

Row = Sequence[SheetCell | Value]


def nozzle_data_sheets(plant: Plant, results: Results) -> NewSheet:
    """Everything that the makers are to be told, item by item in the order of the workbook.

    Args:
        plant: The plant.
        results: What was found; loads of the frame only.

    Returns:
        The sheet, ready to be written.
    """
    nozzles: dict[str, list[Nozzle]] = defaultdict(list)
    supports: dict[str, list[Support]] = defaultdict(list)
    for nozzle in plant.nozzles.values():
        nozzles[nozzle.equipment].append(nozzle)
    for support in plant.supports.values():
        supports[support.attached_to].append(support)
    items = [(item, nozzles[item.name], supports[item.name]) for item in plant.equipment.values()]
    blocks = [row for item, own, held in items for row in _block(item, own, held, plant, results)]
    body: list[Row] = blocks or [[SheetCell(EMPTY, _TEXT)]]
    return NewSheet(TITLE, [*body, [], [SheetCell(_MARK, _WARN)]], dict(enumerate(_WIDTHS, start=1)))


def _block(
    item: Equipment, nozzles: Sequence[Nozzle], supports: Sequence[Support], plant: Plant, results: Results
) -> Iterator[Row]:
    if not nozzles and not supports:
        return
    yield [SheetCell(f"Nozzle load data sheet: {item.name}", _BIG)]
    yield [SheetCell(f"{item.kind}; {plant.project.title}, {plant.project.document_number} {plant.project.revision}")]
    yield from ([SheetCell(line)] for line in AXES)
    yield from ([SheetCell(line, _DRAWN)] for line in SKETCH)
    for nozzle in nozzles:
        yield []
        yield from _nozzle(nozzle, plant, results)
    yield from _sums(item, results)
    yield from _attachments(supports, plant, results)
    yield []


def _nozzle(nozzle: Nozzle, plant: Plant, results: Results) -> Iterator[Row]:
    at = ", ".join(f"{_out(v, 'coordinate', plant):.3f}" for v in nozzle.at)
    rated = f", class {nozzle.flange_class}" if nozzle.flange_class else ""
    line = f", line {nozzle.point[0]}" if nozzle.point else ", no line"
    unit = _unit("coordinate", plant)
    yield [SheetCell(f"Nozzle {nozzle.name}: NPS {nozzle.nps:g}{rated}{line}", _BOLD)]
    yield [SheetCell(f"Centre of flange face, East, North, Up: {at} {unit}")]
    directions = zip("RLC", nozzle.axes, strict=True)
    yield [SheetCell("Axes, East, North, Up: " + ";  ".join(f"{name} = {_vector(axis)}" for name, axis in directions))]
    loads = [x for x in nozzle_loads_by_tag(results).get(nozzle.name, ()) if x.method == "frame"]
    if not loads:
        yield [SheetCell("No load was found for this nozzle.")]
        return
    yield from _load_table(loads, plant, results)
    checks = [c for c in checks_by_subject(results).get(nozzle.name, ()) if c.check == NOZZLE_CHECK]
    yield from _set_table(checks)
    for name in dict.fromkeys(c.set for c in checks if c.set in standards() and c.set not in plant.allowables):
        yield from _standard_table(name, [c for c in checks if c.set == name], plant)


def _vector(axis: Vector) -> str:
    return "(" + ", ".join(f"{value + 0.0:.3f}" for value in axis) + ")"


def _load_table(loads: Sequence[NozzleLoad], plant: Plant, results: Results) -> Iterator[Row]:
    kinds = {case.case: case.kind for case in results.cases}
    names = ("FR", "FL", "FC", "MR", "ML", "MC", "Resultant force", "Resultant moment")
    quantities = ("force",) * 3 + ("moment",) * 3 + ("force", "moment")
    yield [SheetCell(name, _HEAD) for name in ("Case", "Kind", *names)]
    yield [SheetCell(None, _UNIT), SheetCell(None, _UNIT), *(SheetCell(_unit(q, plant), _UNIT) for q in quantities)]
    table = [(x, [*x.components.values(), resultant_force(x), resultant_moment(x)]) for x in loads]
    for load, values in table:
        yield _line([load.case, kinds.get(load.case, "")], values, quantities, plant)
    largest = [max((values[n] for _, values in table), key=abs) for n in range(len(names))]
    yield _line(["largest of all cases, each by itself", ""], largest, quantities, plant)


def _line(words: Sequence[str], values: Sequence[float], quantities: Sequence[str], plant: Plant) -> Row:
    scales = [_scale(quantity, plant.project.units) for quantity in quantities]
    shown = [(float(value) - offset) / factor + 0.0 for value, (factor, offset) in zip(values, scales, strict=True)]
    numbers = [SheetCell(value if isfinite(value) else None, _ROUND) for value in shown]
    return [*(SheetCell(word or None, _TEXT) for word in words), *numbers]


def _set_table(checks: Sequence[Check]) -> Iterator[Row]:
    """Every allowable set with its governing case, and by which factor its allowables would have to be raised."""
    if not checks:
        return
    yield []
    head = ("Allowable set", "Status", "Ratio", "Raise by factor", "Governing case")
    yield [SheetCell(name, _HEAD) for name in head]
    for name in dict.fromkeys(check.set for check in checks):
        own = [check for check in checks if check.set == name]
        worst = governing(own)
        ratio = worst.ratio if worst else None
        factor = rounded_up(ratio) if ratio is not None and worst is not None and worst.status is Status.FAIL else None
        told = worst or own[0]
        remark = "; ".join(part for part in (told.clause, told.reason) if part)
        yield [
            SheetCell(name or "none", _TEXT),
            SheetCell(str(worst_status(own)), _TEXT),
            SheetCell(ratio, _FINE),
            SheetCell(factor, _FINE),
            SheetCell(told.case or None, _TEXT),
        ]
        if remark:
            yield [SheetCell(remark, _DRAWN)]


def _standard_table(name: str, checks: Sequence[Check], plant: Plant) -> Iterator[Row]:
    """Loads in a standard's own axes."""
    found = [check for check in checks if all(axis in check.inputs for axis in COMPONENTS)]
    if not found:
        return
    yield []
    yield [SheetCell(f"The same loads in the axes of {name}: {standards()[name].axes_in_words}", _BOLD)]
    yield [SheetCell(word, _HEAD) for word in ("Case", "", *COMPONENTS)]
    quantities = ("force",) * 3 + ("moment",) * 3
    yield [SheetCell(None, _UNIT), SheetCell(None, _UNIT), *(SheetCell(_unit(q, plant), _UNIT) for q in quantities)]
    for check in found:
        yield _line([check.case, ""], [float(check.inputs[axis]) for axis in COMPONENTS], quantities, plant)
    allowed = [check.inputs.get(f"allowable {axis}") for axis in COMPONENTS for check in found[:1]]
    if None not in allowed:
        yield _line(["allowable, either sense", ""], [float(v) for v in allowed if v is not None], quantities, plant)


def _sums(item: Equipment, results: Results) -> Iterator[Row]:
    checks = [c for c in checks_by_subject(results).get(item.name, ()) if c.check == EQUIPMENT_CHECK]
    if not checks:
        return
    yield []
    yield [SheetCell(f"All nozzles of {item.name} together", _BOLD)]
    yield [SheetCell(name, _HEAD) for name in ("Sum", "Status", "Ratio", "Set", "", "Governing case")]
    for point, name in dict.fromkeys((c.point, c.set) for c in checks):
        own = [c for c in checks if (c.point, c.set) == (point, name)]
        told = governing(own) or own[0]
        yield [
            SheetCell(point, _TEXT),
            SheetCell(str(worst_status(own)), _TEXT),
            SheetCell(told.ratio if isfinite(told.ratio) else None, _FINE),
            SheetCell(name, _TEXT),
            SheetCell(None, _TEXT),
            SheetCell(told.case or None, _TEXT),
        ]
        yield [SheetCell("; ".join(part for part in (told.clause, told.reason) if part), _DRAWN)]


def _attachments(supports: Sequence[Support], plant: Plant, results: Results) -> Iterator[Row]:
    """Loads where the item's shell carries supports, and the estimate of the shell's stress."""
    for support in supports:
        loads = support_loads_by_tag(results).get(support.name, ())
        yield []
        at = ", ".join(f"{_out(v, 'coordinate', plant):.3f}" for v in support.at)
        yield [SheetCell(f"Support {support.name} ({support.type}) on the shell, at {at} East, North, Up", _BOLD)]
        checks = [c for c in checks_by_subject(results).get(support.name, ()) if c.check == ATTACHMENT_CHECK]
        told = governing(checks) or next(iter(checks), None)
        if told is not None:
            shown = f"{worst_status(checks)}, ratio {told.ratio:.2f}" if isfinite(told.ratio) else str(told.status)
            yield [SheetCell(f"Shell at the attachment, an estimate: {shown}; {told.reason}")]
        yield [SheetCell(n, _HEAD) for n in ("Case", "", *(f"Force {a}" for a in _ENU), *(f"Moment {a}" for a in _ENU))]
        quantities = ("force",) * 3 + ("moment",) * 3
        yield [SheetCell(None, _UNIT), SheetCell(None, _UNIT), *(SheetCell(_unit(q, plant), _UNIT) for q in quantities)]
        for load in loads:
            yield _line([load.case, ""], [*load.force, *load.moment], quantities, plant)


_ENU = ("East", "North", "Up")


def _unit(quantity: str, plant: Plant) -> str:
    return _unit_in(quantity, plant.project.units)


def _unit_in(quantity: str, units: str) -> str:
    return UNITS[quantity][2 if units == "US" else 1]


@cache
def _scale(quantity: str, units: str) -> tuple[float, float]:
    """Factor and offset of a quantity as it is shown."""
    return scale_of(_unit_in(quantity, units), UNITS[quantity][0])


def _out(value: float, quantity: str, plant: Plant) -> float:
    factor, offset = _scale(quantity, plant.project.units)
    return (float(value) - offset) / factor + 0.0
