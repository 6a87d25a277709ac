"""The file before its values: is it a workbook, and what does the reader of values not tell.

Values are read by a fast library that gives empty text for a formula without a stored value and for an error such
as #DIV/0!, and nothing about merged cells and hidden rows. One pass over the sheets' XML finds these. The same pass
holds each sheet against the bounds of `limits.py`: that library makes room for all cells up to the last one.
"""

import re
import zlib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from io import BytesIO
from types import MappingProxyType
from typing import Any
from zipfile import BadZipFile, ZipFile

from pipecalc.problems import FileUnusable
from pipecalc.workbook.limits import MAX_PROLOG, MAX_STRINGS, too_large
from pipecalc.workbook.package_extent import Budget, Extent, column_of, position, row_number
from pipecalc.workbook.package_plain import plain_rows
from pipecalc.workbook.package_xml import SAFE, parse_xml, refuse_encoding, refuse_prolog, refuse_tags_of_rows
from pipecalc.workbook.package_zip import open_zip, refuse_false_parts, unpacked

Cell = tuple[int, int]

_UNREADABLE = (BadZipFile, zlib.error, LookupError, ValueError, EOFError, OSError, RuntimeError)

_OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_ENCRYPTED = "EncryptedPackage".encode("utf-16-le")
_SAVE_AS = "open it in a spreadsheet program and save it as .xlsx"


@dataclass(frozen=True, slots=True)
class SheetScan:
    """What one sheet's XML says beside the values.

    Attributes:
        without_value: Formula cells that hold no stored value.
        errors: Error word by cell, such as ``#DIV/0!``.
        merged: Merged ranges as (first row, first column, last row, last column).
        hidden_rows: Row numbers.
        has_formulas: Any formula at all.
        filled_rows: How many rows hold anything.
    """

    without_value: frozenset[Cell] = frozenset()
    errors: Mapping[Cell, str] = field(default_factory=lambda: MappingProxyType({}))
    merged: tuple[tuple[int, int, int, int], ...] = ()
    hidden_rows: frozenset[int] = frozenset()
    has_formulas: bool = False
    filled_rows: int = 0


@dataclass(frozen=True, slots=True)
class PackageScan:
    """A workbook's sheets in order, and the scan of those asked for.

    Attributes:
        sheet_names: Worksheets in order.
        sheets: Scans by sheet name.
        recalculates: The file asks to be calculated anew when opened, so stored values may be out of date.
    """

    sheet_names: tuple[str, ...]
    sheets: Mapping[str, SheetScan]
    recalculates: bool


def scan(data: bytes, name: str, wanted: Callable[[str], bool]) -> PackageScan:
    """Scan a workbook's package.

    Args:
        data: The file's bytes.
        name: What to call the file in messages.
        wanted: Says by name which sheets to scan.

    Raises:
        FileUnusable: ``empty``, ``encrypted``, ``other-format``, ``not-a-workbook``, ``damaged`` or ``too-large``.
    """
    from lxml.etree import XMLSyntaxError

    _refuse_other_files(data, name)
    try:
        with open_zip(data, name) as package:
            _refuse_other_packages(package, name)
            refuse_false_parts(data, package)
            return _scan_package(package, name, wanted)
    except (*_UNREADABLE, XMLSyntaxError) as failure:
        raise FileUnusable("damaged", f"{name} is damaged and cannot be read: {failure}") from failure


def _refuse_other_files(data: bytes, name: str) -> None:
    if not data:
        raise FileUnusable("empty", f"{name} is empty: it has zero bytes")
    if data.startswith(_OLE):
        if _ENCRYPTED in data:
            raise FileUnusable("encrypted", f"{name} is protected by a password; save a copy without one")
        raise FileUnusable("other-format", f"{name} is in an older spreadsheet format; {_SAVE_AS}")
    if not data.startswith(b"PK"):
        raise FileUnusable("not-a-workbook", f"{name} is not a workbook; if it is a table of text, {_SAVE_AS}")


def _refuse_other_packages(package: ZipFile, name: str) -> None:
    parts = {info.filename for info in package.infolist()}
    if "mimetype" in parts and b"opendocument" in _read(package, "mimetype"):
        raise FileUnusable("other-format", f"{name} is an OpenDocument file; {_SAVE_AS}")
    if any(part.lower().endswith("workbook.bin") for part in parts):
        raise FileUnusable("other-format", f"{name} is a binary workbook; {_SAVE_AS}")
    if "_rels/.rels" not in parts or not any("sheet" in part.lower() for part in parts):
        raise FileUnusable("not-a-workbook", f"{name} is a package of some other kind, not a workbook")


def _scan_package(package: ZipFile, name: str, wanted: Callable[[str], bool]) -> PackageScan:
    book_part = _office_part(package)
    book = parse_xml(_read(package, book_part), plain=True)
    targets = _relations(package, book_part)
    budget = Budget(name, _shared_sizes(package, targets, name))
    _refuse_odd_styles(package, targets)
    sheets: dict[str, SheetScan] = {}
    names = []
    for sheet in book.iterfind("{*}sheets/{*}sheet"):
        title = sheet.get("name", "")
        kind, part = targets[next((v for k, v in sheet.attrib.items() if k.endswith("}id")), "")]
        if not kind.endswith("/worksheet"):
            continue
        names.append(title)
        if wanted(title):
            sheets[title] = _scan_sheet(_read(package, part), f"{name}, sheet {title}", budget)
    calculation = book.find("{*}calcPr")
    again = calculation is not None and calculation.get("fullCalcOnLoad") in ("1", "true")
    return PackageScan(tuple(names), sheets, again)


def _read(package: ZipFile, part: str) -> bytes:
    return unpacked(package, package.getinfo(part))


_SHARED = re.compile(rb"<(?:[\w.-]+:)?si[\s/>]")


def _shared_sizes(package: ZipFile, targets: Mapping[str, tuple[str, str]], name: str) -> list[int]:
    """Bytes that each text of the table of shared texts takes in the file, which no text of it exceeds."""
    part = next((part for kind, part in targets.values() if kind.endswith("/sharedStrings")), None)
    if part is None or part not in package.namelist():
        return []
    xml = _read(package, part)
    refuse_encoding(xml, plain=True)
    starts = []
    for found in _SHARED.finditer(xml):
        starts.append(found.start())
        if len(starts) > MAX_STRINGS:
            raise too_large(name, "shared texts", len(_SHARED.findall(xml)), MAX_STRINGS)
    return [end - start for start, end in zip(starts, [*starts[1:], len(xml)], strict=True)]


def _refuse_odd_styles(package: ZipFile, targets: Mapping[str, tuple[str, str]]) -> None:
    part = next((part for kind, part in targets.values() if kind.endswith("/styles")), None)
    if part is not None and part in package.namelist():
        refuse_encoding(_read(package, part), plain=True)


def _office_part(package: ZipFile) -> str:
    for kind, part in _relations(package, "").values():
        if kind.endswith("/officeDocument"):
            return part
    raise KeyError("no workbook part")


def _relations(package: ZipFile, part: str) -> dict[str, tuple[str, str]]:
    """Type and target part by relation id."""
    folder, _, file = part.rpartition("/")
    where = f"{folder}/_rels/{file}.rels" if folder else f"_rels/{file}.rels"
    found = {}
    for relation in parse_xml(_read(package, where), plain=True).iterchildren("{*}Relationship"):
        target = relation.get("Target", "")
        absolute = target.lstrip("/") if target.startswith("/") else _joined(folder, target)
        found[relation.get("Id", "")] = (relation.get("Type", ""), absolute)
    return found


def _joined(folder: str, target: str) -> str:
    parts = folder.split("/") if folder else []
    for step in target.split("/"):
        if step == "..":
            parts = parts[:-1]
        elif step != ".":
            parts.append(step)
    return "/".join(parts)


def _scan_sheet(xml: bytes, name: str, budget: Budget) -> SheetScan:
    refuse_encoding(xml, plain=True)
    refuse_prolog(xml[:MAX_PROLOG], whole=len(xml) <= MAX_PROLOG)
    refuse_tags_of_rows(xml)
    extent = Extent(xml, name, budget)
    plain = None if extent.closely else plain_rows(xml)
    if plain is None:
        found = _parsed(xml, extent)
    else:
        extent.add(plain.last_row, plain.last_column, plain.filled)
        found = _parsed(plain.rest, extent)
        found = replace(found, has_formulas=found.has_formulas or plain.has_formulas)
    extent.settle()
    return replace(found, filled_rows=extent.filled)


def _parsed(xml: bytes, extent: Extent) -> SheetScan:
    """What a parser finds in a sheet, or in what is left of it without its plain rows."""
    from lxml.etree import iterparse

    without: set[Cell] = set()
    errors: dict[Cell, str] = {}
    merged, hidden = [], set()
    formulas: list[Any] = []
    has_formulas, may_have_errors, number = False, b'"e"' in xml or b"'e'" in xml, 0
    for _, element in iterparse(BytesIO(xml), tag=("{*}row", "{*}f", "{*}mergeCell"), **SAFE):
        kind = element.tag.rpartition("}")[2]
        if kind == "f":
            formulas.append(element)
        elif kind == "mergeCell":
            merged.append(_range(element.get("ref", "")))
        else:
            number = row_number(element, number)
            extent.take(element, number)
            has_formulas = has_formulas or bool(formulas)
            without.update((number, column_of(f.getparent())) for f in formulas if _valueless(f))
            if may_have_errors:
                errors.update(_errors(element, number))
            if element.get("hidden") in ("1", "true"):
                hidden.add(number)
            formulas = []
            element.clear()
    return SheetScan(frozenset(without), errors, tuple(merged), frozenset(hidden), has_formulas)


def _valueless(formula: Any) -> bool:
    cell = formula.getparent()
    if cell.get("t") == "str":  # a formula that gives empty text has been calculated
        return False
    value = cell.find("{*}v")
    return value is None or not (value.text or "").strip()


def _errors(row: Any, number: int) -> Iterator[tuple[Cell, str]]:
    for cell in row:
        if cell.get("t") == "e":
            value = cell.find("{*}v")
            yield (number, column_of(cell)), (value.text if value is not None else None) or "an error"


def _range(reference: str) -> tuple[int, int, int, int]:
    first, _, last = reference.partition(":")
    return (*position(first), *position(last or first))
