"""The sheets that a run writes: Summary, loads on nozzles and supports, Stress, Springs, data sheets, Messages."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cache

from pipecalc.analysis.nozzle_standards import EQUIPMENT_CHECK
from pipecalc.analysis.nozzles import NOZZLE_CHECK
from pipecalc.analysis.stress import CHECK_NAMES
from pipecalc.checks.nozzles.interface import COMPONENTS
from pipecalc.checks.nozzles.rules import resultant_force, resultant_moment
from pipecalc.model import Plant
from pipecalc.results import Check, Results, Status, governing, worst_status
from pipecalc.schema.build_columns import UNITS
from pipecalc.units import scale_of
from pipecalc.workbook.package import CellStyle, NewSheet, SheetCell, Value
from pipecalc.workbook.package_table import Table, TableColumn
from pipecalc.workbook.result_columns import checks_of
from pipecalc.workbook.vendor_sheets import nozzle_data_sheets

_STRESS_CHECKS = frozenset(CHECK_NAMES.values())
_STRESS_INPUTS = ("factors", "N", "f", "U")
_HEAD = CellStyle(bold=True, wrap=True, fill="E3E9F0")
_HEAD_UNIT = CellStyle(italic=True, fill="E3E9F0")
_TEXT = CellStyle()
_MARK = CellStyle(bold=True, font_colour="8A3B12")
_WRAPPED = CellStyle(wrap=True)
_STATUS = {
    str(status): CellStyle(fill=fill, bold=status is Status.FAIL, wrap=True)
    for status, fill in (
        (Status.PASS, "E6F0E6"),
        (Status.FAIL, "F6DCD6"),
        (Status.NOT_CHECKED, "F5EBCF"),
        (Status.NOT_APPLICABLE, "EEEEEE"),
    )
}
#: Longest list of stresses; beyond it only the worst points of each line and check are listed.
STRESS_ROWS = 50_000
REVIEW_MARK = "FOR REVIEW - not sealed, not for construction"


@dataclass(frozen=True, slots=True)
class Field:
    """One column of a result sheet: title, quantity of ``UNITS`` (empty for text), decimal places and width."""

    title: str
    quantity: str = ""
    digits: int = 1
    width: float = 12.0


def result_sheets(plant: Plant, results: Results) -> tuple[NewSheet, ...]:
    """All sheets, those without content too: they then say so."""
    units = plant.project.units
    builders: Sequence[Callable[[Plant, Results], tuple[str, list[Field], list[list[object]], str]]] = (
        _summary,
        _nozzle_loads,
        _support_loads,
        _stress,
        _springs,
        _studies,
        _messages,
    )
    made = [_sheet(*builder(plant, results), units) for builder in builders]
    return (*made[:-1], nozzle_data_sheets(plant, results), made[-1])


def _sheet(title: str, fields: list[Field], rows: list[list[object]], empty: str, units: str) -> NewSheet:
    head: list[list[SheetCell | Value]] = [
        [SheetCell(field.title, _HEAD) for field in fields],
        [SheetCell(_unit(field, units) or None, _HEAD_UNIT) for field in fields],
    ]
    if not rows:
        head.append([SheetCell(empty, _TEXT)])
    return NewSheet(
        title,
        Table(head, [_column(field, units) for field in fields], rows, [[], [SheetCell(REVIEW_MARK, _MARK)]]),
        {number: field.width for number, field in enumerate(fields, start=1)},
        freeze=(2, 1),
        repeat_row=1,
    )


def _unit(field: Field, units: str) -> str:
    return UNITS[field.quantity][2 if units == "US" else 1] if field.quantity in UNITS else ""


def inputs_shown(check: str) -> tuple[str, ...]:
    """Names of the inputs of a check that the sheets show, by name of the check."""
    if check in _STRESS_CHECKS:
        return _STRESS_INPUTS
    return (*COMPONENTS, *(f"allowable {axis}" for axis in COMPONENTS)) if check == NOZZLE_CHECK else ()


def _column(field: Field, units: str) -> TableColumn:
    """How the values of a field are shown."""
    factor, offset = 1.0, 0.0
    if field.quantity in UNITS:
        factor, offset = scale_of(_unit(field, units), UNITS[field.quantity][0])
    return TableColumn(_number_style(field.digits), _WRAPPED, _TEXT, _STATUS, offset, factor)


@cache
def _number_style(digits: int) -> CellStyle:
    return CellStyle(number_format="#,##0" + ("." + "0" * digits if digits else "") + "_ ", wrap=True)


def _summary(plant: Plant, results: Results) -> tuple[str, list[Field], list[list[object]], str]:
    fields = [
        Field("Subject", width=16),
        Field("What", width=14),
        Field("Governing ratio", "ratio", 2),
        Field("Check", width=30),
        Field("Case", width=38),
        Field("Set", width=20),
        Field("Status", width=16),
        Field("Remark", width=70),
    ]
    summed = {c.subject for c in results.checks if c.check == EQUIPMENT_CHECK}
    named = (
        ("line", plant.lines),
        ("nozzle", plant.nozzles),
        ("equipment", {name: item for name, item in plant.equipment.items() if name in summed}),
        ("support", plant.supports),
    )
    rows = [
        _summary_row(name, what, checks_of(results, record))
        for what, records in named
        for name, record in records.items()
    ]
    return "Summary", fields, rows, "nothing was computed"


def _summary_row(name: str, what: str, checks: Iterable[Check]) -> list[object]:
    own = list(checks)
    worst = governing(own)
    status = worst_status(own)
    told = [worst] if worst is not None and status is Status.PASS else [c for c in own if c.status is status]
    reasons = dict.fromkeys(c.reason for c in told if c.reason)
    return [
        name,
        what,
        worst.ratio if worst else None,
        worst.check if worst else "",
        worst.case if worst else "",
        worst.set if worst else "",
        str(status),
        "; ".join(list(reasons)[:3]),
    ]


def _nozzle_loads(plant: Plant, results: Results) -> tuple[str, list[Field], list[list[object]], str]:
    fields = [
        Field("Nozzle", width=14),
        Field("Equipment", width=14),
        Field("Case", width=38),
        Field("Method", width=10),
        *(Field(name, "force", 0) for name in ("FR", "FL", "FC")),
        *(Field(name, "moment", 0) for name in ("MR", "ML", "MC")),
        Field("Resultant force", "force", 0),
        Field("Resultant moment", "moment", 0),
        Field("Force East", "force", 0),
        Field("Force North", "force", 0),
        Field("Force Up", "force", 0),
        Field("Moment East", "moment", 0),
        Field("Moment North", "moment", 0),
        Field("Moment Up", "moment", 0),
    ]
    rows: list[list[object]] = [
        [
            load.nozzle,
            plant.nozzles[load.nozzle].equipment,
            load.case,
            load.method,
            *load.components.values(),
            resultant_force(load),
            resultant_moment(load),
            *load.force,
            *load.moment,
        ]
        for load in results.nozzle_loads
    ]
    return "Nozzle loads", fields, rows, "no line connects to a nozzle"


def _support_loads(plant: Plant, results: Results) -> tuple[str, list[Field], list[list[object]], str]:
    fields = [
        Field("Support", width=12),
        Field("Type", width=24),
        Field("Case", width=38),
        Field("Acts", width=8),
        Field("Force East", "load", 2),
        Field("Force North", "load", 2),
        Field("Force Up", "load", 2),
        Field("Vertical", "load", 2),
        Field("Axial", "load", 2),
        Field("Lateral", "load", 2),
        Field("Friction", "load", 2),
        Field("Movement East", "size", 1),
        Field("Movement North", "size", 1),
        Field("Movement Up", "size", 1),
    ]
    rows: list[list[object]] = [
        [
            load.support,
            plant.supports[load.support].type,
            load.case,
            "yes" if load.acting else "no",
            *load.force,
            load.vertical,
            load.axial,
            load.lateral,
            load.friction,
            *load.move,
        ]
        for load in results.support_loads
    ]
    return "Support loads", fields, rows, "NOT CHECKED: loads on supports were not computed"


def _stress(plant: Plant, results: Results) -> tuple[str, list[Field], list[list[object]], str]:
    fields = [
        Field("Line", width=14),
        Field("Where", width=26),
        Field("Check", width=30),
        Field("Case", width=38),
        Field("Stress", "stress", 1),
        Field("Limit", "stress", 1),
        Field("Ratio", "ratio", 2),
        Field("Status", width=16),
        Field("Factors", width=34),
        Field("Cycles", digits=0),
        Field("Range factor f", digits=3),
        Field("Fatigue usage", digits=4),
        Field("Clause", width=96),
        Field("Remark", width=50),
    ]
    rows: list[list[object]] = [
        [c.line, c.point, c.check, c.case, c.demand, c.limit, c.ratio, str(c.status)]
        + [c.inputs.get(name) for name in _STRESS_INPUTS]
        + [c.clause, c.reason]
        for c in _listed([c for c in results.checks if c.check in _STRESS_CHECKS])
    ]
    return "Stress", fields, rows, "NOT CHECKED: no stress was computed"


def _listed(checks: list[Check]) -> list[Check]:
    """All of them; of too many those that do not pass and the worst of each line and check, in their order."""
    if len(checks) <= STRESS_ROWS:
        return checks
    same: dict[tuple[str, str], list[int]] = defaultdict(list)
    for number, check in enumerate(checks):
        same[check.line, check.check].append(number)
    most = max(1, STRESS_ROWS // len(same))
    worst = {n for own in same.values() for n in sorted(own, key=lambda n: -checks[n].ratio)[:most]}
    return [check for n, check in enumerate(checks) if n in worst or check.status is not Status.PASS]


def _springs(plant: Plant, results: Results) -> tuple[str, list[Field], list[list[object]], str]:
    fields = [
        Field("Support", width=12),
        Field("Kind", width=18),
        Field("Hot load", "force", 0),
        Field("Cold load", "force", 0),
        Field("Travel", "size", 1),
        Field("Rate", "stiffness", 1),
        Field("Variation", "share", 1),
    ]
    rows: list[list[object]] = [
        [s.support, s.kind, s.hot_load, s.cold_load, s.travel, s.rate, s.variation] for s in results.springs
    ]
    springs = any(s.type in ("spring", "constant load") for s in plant.supports.values())
    return "Springs", fields, rows, "NOT CHECKED: springs were not computed" if springs else "no springs"


def _studies(_: Plant, results: Results) -> tuple[str, list[Field], list[list[object]], str]:
    fields = [
        Field("Study", width=26),
        Field("Watch", width=14),
        Field("First cell", width=24),
        Field("Value", width=14),
        Field("Second cell", width=24),
        Field("Value", width=14),
        Field("Ratio", "ratio", 2),
        Field("Status", width=16),
        Field("Governed by", width=16),
        Field("Check", width=26),
        Field("Case", width=38),
        Field("Force", "force", 0),
        Field("Moment", "moment", 0),
        Field("Remark", width=60),
    ]
    rows: list[list[object]] = []
    for study in results.studies:
        for row in study.rows:
            cells = [word for pair in zip(study.variables, row.values, strict=True) for word in pair]
            found = [row.ratio, str(row.status), row.subject, row.check, row.case, row.force, row.moment, row.reason]
            rows.append([study.study, study.watch or "the worst of all", *cells, *[""] * (4 - len(cells)), *found])
    return "Study results", fields, rows, "no study was run: pipecalc run FILE --studies"


def _messages(_: Plant, results: Results) -> tuple[str, list[Field], list[list[object]], str]:
    fields = [
        Field("Severity", width=10),
        Field("Where", width=22),
        Field("Message", width=90),
        Field("Accepted", width=50),
        Field("Hint", width=60),
        Field("Code", width=22),
    ]
    rows: list[list[object]] = [
        [str(p.severity), str(p.address), p.found, p.accepted, p.hint, p.code] for p in results.messages
    ]
    rows += [["assumption", a.address, a.what, a.value, a.why, ""] for a in results.assumptions if not a.address]
    return "Messages", fields, rows, "nothing to say"
