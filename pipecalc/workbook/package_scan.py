"""The file before its values: is it a workbook, and what does the reader of values not tell.

Values are read by a fast library that gives empty text for a formula without a stored value and for an error such
as #DIV/0!, and nothing about merged cells and hidden rows. One pass over the sheets' XML finds these. It
resolves no entities, opens no network, and stops at bounds on unpacked size and on a sheet's extent.
"""

import re
import zlib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from io import BytesIO
from pathlib import Path
from types import MappingProxyType
from typing import Any
from zipfile import BadZipFile, ZipFile

from pipecalc.problems import FileUnusable

MAX_UNPACKED = 600_000_000  # bytes of all parts together
MAX_CELLS = 4_000_000  # a sheet's last row times its last column

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
    """

    without_value: frozenset[Cell] = frozenset()
    errors: Mapping[Cell, str] = field(default_factory=lambda: MappingProxyType({}))
    merged: tuple[tuple[int, int, int, int], ...] = ()
    hidden_rows: frozenset[int] = frozenset()
    has_formulas: bool = False


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


def load_bytes(path: Path) -> bytes:
    """The file's bytes.

    Raises:
        FileUnusable: ``missing``, ``busy`` or ``not-a-workbook`` (a folder).
    """
    try:
        return path.read_bytes()
    except FileNotFoundError:
        raise FileUnusable("missing", f"{path}: there is no such file") from None
    except IsADirectoryError:
        raise FileUnusable("not-a-workbook", f"{path} is a folder, not a workbook") from None
    except PermissionError:
        reason = "it is open in another program, or you may not read it; close it and run again"
        raise FileUnusable("busy", f"{path} cannot be read: {reason}") from None
    except OSError as failure:
        raise FileUnusable("busy", f"{path} cannot be read: {failure.strerror or failure}") from None


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
        with ZipFile(BytesIO(data)) as package:
            _refuse_other_packages(package, name)
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
    if any(info.flag_bits & 1 for info in package.infolist()):
        raise FileUnusable("encrypted", f"{name} is protected by a password; save a copy without one")
    if sum(info.file_size for info in package.infolist()) > MAX_UNPACKED:
        raise FileUnusable("too-large", f"{name} unpacks to more than {MAX_UNPACKED // 1_000_000} MB")
    if "mimetype" in parts and b"opendocument" in package.read("mimetype"):
        raise FileUnusable("other-format", f"{name} is an OpenDocument file; {_SAVE_AS}")
    if any(part.lower().endswith("workbook.bin") for part in parts):
        raise FileUnusable("other-format", f"{name} is a binary workbook; {_SAVE_AS}")
    if "_rels/.rels" not in parts or not any("sheet" in part.lower() for part in parts):
        raise FileUnusable("not-a-workbook", f"{name} is a package of some other kind, not a workbook")


def _scan_package(package: ZipFile, name: str, wanted: Callable[[str], bool]) -> PackageScan:
    book_part = _office_part(package)
    book = _parse(package.read(book_part))
    targets = _relations(package, book_part)
    sheets: dict[str, SheetScan] = {}
    names = []
    for sheet in book.iterfind("{*}sheets/{*}sheet"):
        title = sheet.get("name", "")
        kind, part = targets[next((v for k, v in sheet.attrib.items() if k.endswith("}id")), "")]
        if not kind.endswith("/worksheet"):
            continue
        names.append(title)
        if wanted(title):
            sheets[title] = _scan_sheet(package.read(part), f"{name}, sheet {title}")
    calculation = book.find("{*}calcPr")
    again = calculation is not None and calculation.get("fullCalcOnLoad") in ("1", "true")
    return PackageScan(tuple(names), sheets, again)


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
    for relation in _parse(package.read(where)):
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


_SAFE = {"resolve_entities": False, "no_network": True, "load_dtd": False, "huge_tree": False}


def _parse(xml: bytes) -> Any:
    from lxml.etree import XMLParser, fromstring

    _refuse_doctype(xml)
    return fromstring(xml, XMLParser(**_SAFE))


def _refuse_doctype(xml: bytes) -> None:
    if b"<!DOCTYPE" in xml[:4096]:
        raise ValueError("a part declares a document type, which workbooks never do")


def _scan_sheet(xml: bytes, name: str) -> SheetScan:
    from lxml.etree import iterparse

    _refuse_doctype(xml)
    far = _farthest(xml)
    without: set[Cell] = set()
    errors: dict[Cell, str] = {}
    merged, hidden = [], set()
    formulas: list[Any] = []
    has_formulas, may_have_errors, number, last_column = False, b'"e"' in xml or b"'e'" in xml, 0, far[1]
    for _, element in iterparse(BytesIO(xml), tag=("{*}row", "{*}f", "{*}mergeCell"), **_SAFE):
        kind = element.tag.rpartition("}")[2]
        if kind == "f":
            formulas.append(element)
        elif kind == "mergeCell":
            merged.append(_range(element.get("ref", "")))
        else:
            number = int(element.get("r", number + 1))
            if filled := _last_column(element):
                last_column = max(last_column, filled)
                _refuse_extent(number, last_column, name)
            has_formulas = has_formulas or bool(formulas)
            without.update((number, _column(f.getparent())) for f in formulas if _valueless(f))
            if may_have_errors:
                errors.update(_errors(element, number))
            if element.get("hidden") in ("1", "true"):
                hidden.add(number)
            formulas = []
            element.clear()
    _refuse_extent(far[0], last_column, name)
    return SheetScan(frozenset(without), errors, tuple(merged), frozenset(hidden), has_formulas)


#: Addresses of cells with content beyond column ZZ or row 9999, and those spelled with entities.
_FAR = re.compile(rb"""\br\s*=\s*["']([A-Za-z]{3,}\d+|[A-Za-z]+\d{5,}|[^"'<>]*&[^"'<>]*)["'][^<>]*(?<!/)>(?!</)""")


def _farthest(xml: bytes) -> Cell:
    """Row and column that cell addresses reach to, whatever row a cell stands in: the reader of values goes by them."""
    found = [_position(far.decode("ascii", "replace")) for far in set(_FAR.findall(xml))]
    return max((row for row, _ in found), default=1), max((column for _, column in found), default=1)


def _refuse_extent(row: int, column: int, name: str) -> None:
    if row * column > MAX_CELLS:
        reason = f"reaches to row {row} and column {column}; clear the cells far from the table"
        raise FileUnusable("too-large", f"{name} {reason}")


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
            yield (number, _column(cell)), (value.text if value is not None else None) or "an error"


def _last_column(row: Any) -> int:
    filled = next((cell for cell in reversed(row) if len(cell)), None)
    return _column(filled) if filled is not None else 0


def _column(cell: Any) -> int:
    reference = cell.get("r")
    return _position(reference)[1] if reference else cell.getparent().index(cell) + 1


def _position(reference: str) -> Cell:
    match = re.fullmatch(r"\$?([A-Za-z]{1,3})\$?(\d{1,7})", reference)
    if not match:
        raise ValueError(f"no cell reference: {reference[:20]!r}")
    column = 0
    for letter in match[1].upper():
        column = 26 * column + ord(letter) - ord("A") + 1
    return int(match[2]), column


def _range(reference: str) -> tuple[int, int, int, int]:
    first, _, last = reference.partition(":")
    return (*_position(first), *_position(last or first))
