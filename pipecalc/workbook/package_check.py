"""A written workbook opened again and compared with what it was made of."""

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from io import BytesIO
from pathlib import Path

from python_calamine import CalamineError, CalamineWorkbook

from pipecalc.problems import FileUnusable
from pipecalc.workbook.limits import MAX_STRING
from pipecalc.workbook.package_book import Book
from pipecalc.workbook.package_cells import by_row
from pipecalc.workbook.package_edits import CellWrite, NewSheet, Value, reference
from pipecalc.workbook.package_parts import Package


def check_written(
    written: Path | bytes,
    source: bytes | Path,
    writes: Sequence[CellWrite] = (),
    new_sheets: Sequence[NewSheet] = (),
) -> None:
    """Open a written workbook with the reader of workbooks and compare every result; every part must unpack.

    Args:
        written: The written file, or its bytes.
        source: The workbook it was made of.
        writes: The cells that were written.
        new_sheets: The sheets that were written.

    Raises:
        FileUnusable: With code ``not-verified`` if a sheet is missing, a value differs or a part is damaged.
    """
    data = written if isinstance(written, bytes) else written.read_bytes()
    with ThreadPoolExecutor(1) as beside:
        unpacked = beside.submit(_unpack, Package(data))
        _compare(data, source, writes, new_sheets)
    unpacked.result()


def _unpack(package: Package) -> None:
    """Every part, against its own sum."""
    for name in package.names():
        package.read(name)


def _compare(data: bytes, source: bytes | Path, writes: Sequence[CellWrite], new_sheets: Sequence[NewSheet]) -> None:
    titles = [entry.title for entry in Book(Package(source)).sheets]
    expected = titles + [sheet.title for sheet in new_sheets if sheet.title.lower() not in map(str.lower, titles)]
    try:
        book = CalamineWorkbook.from_filelike(BytesIO(data))
        if book.sheet_names != expected:
            raise _differs(f"its sheets are {', '.join(book.sheet_names)}")
        _compare_cells(book, writes)
    except CalamineError as fault:
        raise _differs(str(fault)) from fault


def _compare_cells(book: CalamineWorkbook, writes: Sequence[CellWrite]) -> None:
    names = {name.lower(): name for name in book.sheet_names}
    sheets: dict[str, list[CellWrite]] = {}
    for write in writes:
        sheets.setdefault(write.sheet, []).append(write)
    merged: dict[str, list[CellWrite]] = {}
    for title, own in sheets.items():
        merged.setdefault(title.lower(), []).extend(own)
    for title in sorted(merged):
        rows = book.get_sheet_by_name(names[title]).to_python(skip_empty_area=False)
        wanted = by_row(merged[title])
        for number in sorted(wanted):
            row = rows[number - 1] if number <= len(rows) else []
            for column, write in wanted[number].items():
                found = row[column - 1] if column <= len(row) else ""
                if type(found) is type(write.value) and found == write.value:
                    continue
                if not _agrees(found, write.value):
                    raise _differs(f"{write.sheet}!{reference(number, column)} holds {found!r}")


def _agrees(found: object, wanted: Value) -> bool:
    if wanted is None:
        return found == ""
    if isinstance(wanted, str):
        # The reader may or may not undo the escapes of characters that XML cannot hold, and long texts are cut.
        return isinstance(found, str) and (
            found == wanted or not wanted.isprintable() or "_x" in wanted or len(wanted) > MAX_STRING
        )
    if isinstance(wanted, bool) or isinstance(found, bool | int | float):
        return found == wanted
    # In a cell that has the look of a date the reader makes a date of any number.
    return not isinstance(found, str)


def _differs(what: str) -> FileUnusable:
    return FileUnusable("not-verified", f"The written workbook is not as it should be: {what}")
