"""Tables on a sheet (ranges with titles, filters and names) where results are to be written.

A table keeps its extent: result columns to the right of it stay outside. A title written inside it is written
into its list of columns as well, because the two must agree.

Source: ECMA-376 Part 1, clause 18.5 (tables).
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from xml.sax.saxutils import escape

from pipecalc.problems import Address
from pipecalc.workbook.package_cells import Targets, range_of
from pipecalc.workbook.package_edits import Block
from pipecalc.workbook.package_parts import Package, not_a_workbook, parse, serialise, whole_number
from pipecalc.workbook.package_xml import Element


@dataclass(frozen=True, slots=True)
class TableEdit:
    """What a table part becomes, and what stands in the way."""

    part: str
    data: bytes
    changed: bool
    blocks: tuple[Block, ...]


def edit_tables(package: Package, sheet: str, title: str, targets: Targets) -> Iterator[TableEdit]:
    """Tables of a sheet whose title row or totals row holds targets."""
    for relationship in package.relationships(sheet):
        if relationship.kind == "table" and relationship.target:
            root = parse(package.read(relationship.target))
            before = serialise(root)
            blocks = tuple(_edit(root, package, title, targets))
            yield TableEdit(relationship.target, serialise(root), serialise(root) != before, blocks)


def _edit(root: Element, package: Package, title: str, targets: Targets) -> Iterator[Block]:
    area = range_of(root.get("ref", ""))
    if area is None:
        return
    top, left, bottom, right = area
    totals = min(whole_number(root, "totalsRowCount", 0), max(bottom - top + 1, 0))
    for row in range(bottom - totals + 1, bottom + 1):
        for column in sorted(targets.get(row, ())):
            if left <= column <= right:
                yield Block(Address(title, row, column), "the cell is in the totals row of a table")
    if root.get("headerRowCount", "1") != "0":
        columns = root.findall("{*}tableColumns/{*}tableColumn")
        if len(columns) != right - left + 1:
            raise not_a_workbook(f"a table on the sheet {title} does not have the columns of its range")
        for column, write in sorted(targets.get(top, {}).items()):
            if left <= column <= right:
                reason = _retitle(columns, column - left, write.value, package)
                if reason:
                    yield Block(Address(title, top, column), reason)


def _retitle(columns: list[Element], place: int, value: object, package: Package) -> str:
    """Give a table column its new title; the reason why not, or empty."""
    old, new = columns[place].get("name"), _as_name(value)
    if old == new:
        return ""
    if not new:
        return "the title of a table's column must be a text"
    if any(other.get("name", "").lower() == new.lower() for other in columns if other is not columns[place]):
        return f'the table has another column "{value}"'
    if columns[place].get("queryTableFieldId"):
        return "the column's title comes from a data query"
    if _is_referred_to(old, package):
        return f'formulas refer to the table\'s column "{old}"'
    columns[place].set("name", new)
    return ""


def _as_name(value: object) -> str:
    """A title as tables keep it: line breaks are escaped."""
    return re.sub(r"\r\n|\r|\n", "_x000a_", value) if isinstance(value, str) else ""


def _is_referred_to(name: str, package: Package) -> bool:
    """Whether any part holds the name in brackets, as formulas write table columns."""
    # In such references the special characters of a name are marked with an apostrophe.
    marked = re.sub(r"(['\[\]#@])", r"'\1", name)
    wanted = f"{escape(marked)}]".lower().encode()
    return any(wanted in package.read(part).lower() for part in package.names() if part.endswith(".xml"))
