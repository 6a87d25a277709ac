"""Stresses of a line: every section with its four ratios, and the worst of each kind worked."""

from collections.abc import Iterator, Sequence

from pipecalc.model import Line
from pipecalc.report import format as fmt
from pipecalc.report.format import NONE, Display
from pipecalc.report.parts import Sheets, Table, numeric, status, text, triple, without_empty
from pipecalc.report.stress_sections import (
    HEADS,
    Section,
    sections,
    worst_of_kind,
)
from pipecalc.report.worked import Group, explained
from pipecalc.report.worked_stress import worked_stress
from pipecalc.results import Check


def table(sheets: Sheets, line: Line, checks: Sequence[Check]) -> Table | None:
    """One row for every section; a ratio above zero names its case."""
    rows = [_row(section, sheets.display) for section in sections(checks)]
    columns = [
        text("Section", 25),
        text("Component, i in / out", 36),
        triple(" / ".join(head for _kind, head in HEADS), 38),
        numeric("Highest: stress / limit", 18, sheets.display.unit("stress")),
        text("in case", 42),
        status(),
    ]
    caption = f"Stress ratios of line {line.name} at every section, each in its governing case"
    return sheets.table(caption, *without_empty(columns, rows))


def _row(section: Section, display: Display) -> list[str]:
    top = section.governing
    ratios = [fmt.ratio(section.worst[kind].ratio) if kind in section.worst else NONE for kind, _ in HEADS]
    factors = str(top.inputs.get("factors", "")).partition(":")[0]
    statuses = [c.status for c in section.worst.values()]
    unknown = next((c for c in section.worst.values() if section.unknown and c.reason), None)
    return [
        section.where.removeprefix("between ").replace(" and ", " to "),
        (factors if unknown is None else f"{factors}; {unknown.reason}") + f", {_both_factors(top)}",
        fmt.beside(ratios, 7),
        f"{display.number('stress', top.demand)} / {display.number('stress', top.limit)}",
        top.case if top.ratio > 0 else "",
        max(statuses, key=_WORST.index).value,
    ]


def _both_factors(check: Check) -> str:
    return f"{_number(check, 'i_i', 'i')} / {_number(check, 'i_o', 'i')}"


def _number(check: Check, *names: str) -> str:
    value = next((check.inputs[n] for n in names if n in check.inputs), None)
    return fmt.fixed(value, 2) if isinstance(value, float) else NONE


_WORST = ("NOT APPLICABLE", "PASS", "NOT CHECKED", "FAIL")


def worked(sheets: Sheets, checks: Sequence[Check], told: set[tuple[str, str]]) -> Iterator[Group]:
    """The worst point of each kind with its formulas."""
    for kind, _head in HEADS:
        check = worst_of_kind(checks, kind)
        found = worked_stress(check, sheets.plant.project, sheets.display) if check else None
        if found is not None:
            where = tuple(explained(found.steps, told))
            yield Group(found.title, found.steps, where, found.component, found.verdict)
