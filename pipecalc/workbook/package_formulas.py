"""Merged cells and formulas that reach over several cells, where results are to be written.

Source: ECMA-376 Part 1, clauses 18.3.1.40 (f: shared, array and data table formulas), 18.3.1.55 (mergeCells).
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from xml.sax.saxutils import escape, unescape

from pipecalc.problems import Address
from pipecalc.workbook.package_cells import Targets, range_of
from pipecalc.workbook.package_edits import Block, reference
from pipecalc.workbook.package_text import Row, SheetText, split_cells

Range = tuple[int, int, int, int]

_ATTRIBUTE = r"""\s{}=["']([^"']*)["']"""


@dataclass(frozen=True, slots=True)
class _Formula:
    """A formula that is stated once for a range of cells."""

    row: int
    column: int
    kind: str
    group: str
    range: Range
    text: str


def blocked(sheet: SheetText, title: str, targets: Targets) -> Iterator[Block]:
    """Targets in merged cells, and in a formula over several cells that is not replaced as a whole."""
    for merged in sheet.skeleton().iterfind("{*}mergeCells/{*}mergeCell"):
        area = range_of(merged.get("ref", ""))
        for row, column in _inside(targets, area) if area else ():
            yield Block(Address(title, row, column), f"the cell is part of the merged cells {merged.get('ref')}")
    for formula in _spread_formulas(sheet):
        if formula.kind not in ("array", "dataTable"):
            continue
        found = list(_inside(targets, formula.range))
        if len(found) < _size(formula.range):
            where = reference(formula.row, formula.column)
            for row, column in found:
                yield Block(Address(title, row, column), f"the cell is part of the array formula in {where}")


def release_shared(sheet: SheetText, targets: Targets) -> None:
    """Write out the formulas that lean on a formula about to be replaced, in place."""
    for formula in list(_spread_formulas(sheet)):
        if formula.kind == "shared" and formula.column in targets.get(formula.row, {}):
            for row in sheet.rows:
                if f'si="{formula.group}"' in row.body or f"si='{formula.group}'" in row.body:
                    row.body = _written_out(row, formula, sheet.prefix)


def _written_out(row: Row, master: _Formula, prefix: str) -> str:
    cells, rest = split_cells(row, prefix)
    return "".join(_member_written_out(text, row.number, column, master, prefix) for column, text in cells) + rest


def _member_written_out(cell: str, row: int, column: int, master: _Formula, prefix: str) -> str:
    found = _formula_element(prefix).search(cell)
    if not found or _attribute(found.group(1), "si") != master.group or (row, column) == (master.row, master.column):
        return cell
    attributes = re.sub(r"""\s(?:t|si|ref)=(?:"[^"]*"|'[^']*')""", "", found.group(1))
    formula = escape(_translated(master, row, column))
    new = f"<{prefix}f{attributes}>{formula}</{prefix}f>"
    return cell[: found.start()] + new + cell[found.end() :]


def _translated(master: _Formula, row: int, column: int) -> str:
    # Needed for shared formulas in result cells only, which are rare; the library takes a while to load.
    from openpyxl.formula.translate import Translator

    origin = reference(master.row, master.column)
    moved: str = Translator(f"={master.text}", origin=origin).translate_formula(reference(row, column))
    return moved.removeprefix("=")


def _spread_formulas(sheet: SheetText) -> Iterator[_Formula]:
    pattern = _formula_element(sheet.prefix)
    for row in sheet.rows:
        if f"<{sheet.prefix}f " not in row.body or "ref=" not in row.body:
            continue
        for column, cell in split_cells(row, sheet.prefix)[0]:
            found = pattern.search(cell)
            area = range_of(_attribute(found.group(1), "ref")) if found else None
            if found and area:
                kind, group = _attribute(found.group(1), "t"), _attribute(found.group(1), "si")
                text = unescape(found.group(2) or "", {"&quot;": '"', "&apos;": "'"})
                yield _Formula(row.number, column, kind, group, area, text)


def _formula_element(prefix: str) -> re.Pattern[str]:
    return re.compile(rf"<{prefix}f((?:\s[^<>]*?)?)(?:/>|>([^<]*)</{prefix}f\s*>)")


def _attribute(attributes: str, name: str) -> str:
    found = re.search(_ATTRIBUTE.format(name), attributes)
    return found.group(1) if found else ""


def _size(area: Range) -> int:
    top, left, bottom, right = area
    return (bottom - top + 1) * (right - left + 1)


def _inside(targets: Targets, area: Range) -> Iterator[tuple[int, int]]:
    top, left, bottom, right = area
    rows = range(top, bottom + 1)
    for row in rows if len(rows) < len(targets) else sorted(set(targets) & set(rows)):
        for column in sorted(targets.get(row, ())):
            if left <= column <= right:
                yield row, column
