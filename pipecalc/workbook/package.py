"""Results written into a workbook file without touching anything else in it.

Only the parts that hold results change: the sheets with target cells, the cell formats (appended to, never
changed), the workbook part (new sheets; a request to recalculate), a table's list of columns where a title in
it is written and, where a formula was replaced, the calculation chain, a cache that is left out and made anew
by spreadsheet programs. Every other part keeps its bytes, and in the sheets everything but the target cells
keeps its elements, attributes and text. Equal input gives equal bytes; writing the same results twice is the
same as writing them once.

The workbook part asks for a full calculation when the file is opened (``fullCalcOnLoad``), since formulas of
the user's may depend on results. Their stored values stay in the file, so that it can be read again without a
spreadsheet program; those that depend on results hold the old ones until then. The list of sheet titles in the
document properties is left as it was; spreadsheet programs renew it on saving.

Text is stored as text, whatever it starts with. A digital signature cannot hold any longer and is removed, as
spreadsheet programs do; `pipecalc.workbook.losses` says so beforehand.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from pipecalc.problems import Address
from pipecalc.workbook.package_book import Book, SheetEntry
from pipecalc.workbook.package_cells import Pen, Targets, by_row, frame, put
from pipecalc.workbook.package_edits import (
    Block,
    CellStyle,
    CellWrite,
    NewSheet,
    SheetCell,
    TargetBlocked,
    TitleTaken,
    Value,
)
from pipecalc.workbook.package_formulas import blocked, release_shared
from pipecalc.workbook.package_parts import Package, free_name, not_a_workbook
from pipecalc.workbook.package_plain import plain_rows
from pipecalc.workbook.package_sheets import refuse_bad_titles, worksheet
from pipecalc.workbook.package_styles import StyleBook, reused
from pipecalc.workbook.package_tables import edit_tables
from pipecalc.workbook.package_text import NotPlain, SheetText, cut, rewritten

__all__ = [
    "Block",
    "CellStyle",
    "CellWrite",
    "NewSheet",
    "SheetCell",
    "TargetBlocked",
    "TitleTaken",
    "Value",
    "edit_workbook",
    "foreign_titles",
    "refuse_blocked_edits",
]

Widths = Mapping[str, Mapping[int, float]]

_SHEET_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"
_STYLES_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.styles+xml"


@dataclass(slots=True)
class _SheetEdit:
    """What becomes of one sheet: its new bytes, those of its tables, and what stands in the way."""

    entry: SheetEntry
    data: bytes
    tables: dict[str, bytes]
    formulas: int


def edit_workbook(
    source: bytes | Path,
    writes: Sequence[CellWrite] = (),
    new_sheets: Sequence[NewSheet] = (),
    column_widths: Widths | None = None,
) -> bytes:
    """A copy of a workbook with results in it.

    Args:
        source: The workbook file or its bytes (.xlsx, .xlsm, .xltx, .xltm; transitional or strict).
        writes: Cells to write; of several writes to one cell the last counts.
        new_sheets: Sheets to append, in order; a sheet of that title which an earlier run wrote is replaced
            in its place.
        column_widths: Widths in characters by sheet title and column number. They win over widths that the
            user set, so give them for columns that are new.

    Returns:
        Bytes of the new file.

    Raises:
        FileUnusable: With code ``empty``, ``encrypted``, ``not-a-workbook``, ``too-large``, ``busy`` or
            ``missing``.
        TargetBlocked: If target cells are merged, part of an array formula or the like; names all of them.
        TitleTaken: If a sheet that no run wrote bears the title of a new sheet.
        ValueError: If a number is not finite, a cell lies outside the sheet or a title is not possible.
    """
    titles = [sheet.title for sheet in new_sheets]
    refuse_bad_titles(titles)
    package = Package(source)
    book = Book(package)
    taken = _taken(book, titles)
    if taken:
        raise TitleTaken(taken)
    styles = _styles(book)
    edits, blocks = _edit_sheets(book, styles, _by_sheet(writes), column_widths or {})
    if blocks:
        raise TargetBlocked(blocks)
    if edits or new_sheets:
        _store(book, edits, new_sheets, styles, recalculate=bool(writes or new_sheets))
    return package.to_bytes()


def refuse_blocked_edits(source: bytes | Path, targets: Mapping[str, Targets], titles: Sequence[str]) -> None:
    """Find what would keep results from being written; rows that cannot stand in the way are not looked at closely.

    Args:
        source: The workbook file or its bytes.
        targets: Cells that will be written, by sheet title, row and column.
        titles: Titles of the sheets that will be written anew.

    Raises:
        FileUnusable: As ``edit_workbook`` does.
    """
    refuse_bad_titles(titles)
    package = Package(source)
    book = Book(package)
    taken = _taken(book, titles)
    if taken:
        raise TitleTaken(taken)
    styles = _styles(book)
    blocks: list[Block] = []
    for title, rows in targets.items():
        entry = _sheet_of(book, title)
        found = [entry] if isinstance(entry, Block) else _edit_sheet(book, styles, entry, rows, {}, look=True)[1]
        blocks += found
        for write in (write for cells in {id(c): c for c in rows.values()}.values() for write in cells.values()):
            if write.style is not None:
                styles.index(write.style)
    if blocks:
        raise TargetBlocked(blocks)
    _store(book, (), [NewSheet(title, []) for title in titles], styles, recalculate=True)


def foreign_titles(source: bytes | Path, titles: Sequence[str]) -> list[str]:
    """Those of the titles that sheets bear which no run wrote.

    Raises:
        FileUnusable: If the file cannot be used.
    """
    return _taken(Book(Package(source)), titles)


def _taken(book: Book, titles: Sequence[str]) -> list[str]:
    return [title for title in titles if book.sheet(title) and not book.is_marked(title)]


def _by_sheet(writes: Sequence[CellWrite]) -> dict[str, list[CellWrite]]:
    sheets: dict[str, list[CellWrite]] = {}
    for write in writes:
        sheets.setdefault(write.sheet.lower(), []).append(write)
    return sheets


def _styles(book: Book) -> StyleBook:
    part = book.related("styles")
    return StyleBook(book.package.read(part) if part else None, book.namespace)


def _edit_sheets(
    book: Book, styles: StyleBook, writes: Mapping[str, list[CellWrite]], widths: Widths
) -> tuple[list[_SheetEdit], list[Block]]:
    edits, blocks = [], []
    widths = {title.lower(): columns for title, columns in widths.items()}
    for title in dict.fromkeys((*writes, *widths)):
        entry = _sheet_of(book, writes[title][0].sheet if title in writes else title)
        if isinstance(entry, Block):
            blocks.append(entry)
            continue
        edit, found = _edit_sheet(book, styles, entry, by_row(writes.get(title, ())), widths.get(title, {}))
        edits.append(edit)
        blocks += found
    return edits, blocks


def _sheet_of(book: Book, title: str) -> SheetEntry | Block:
    entry = book.sheet(title)
    if entry is None or entry.kind != "worksheet":
        return Block(Address(title), "there is no such sheet" if entry is None else "the sheet holds no cells")
    return entry


def _edit_sheet(
    book: Book,
    styles: StyleBook,
    entry: SheetEntry,
    targets: Targets,
    widths: Mapping[int, float],
    *,
    look: bool = False,
) -> tuple[_SheetEdit, list[Block]]:
    """A sheet with its results, or, where a look at it is enough, what stands in the way alone."""
    data = book.package.read(entry.part)
    written = targets
    if look and (plain := plain_rows(data)) is not None and len(set(plain.numbers)) == len(plain.numbers):
        data = plain.rest
        written = {number: targets[number] for number in plain.others if number in targets}
    pen = Pen(reused(styles.index), styles.quoted)
    try:
        try:
            sheet, blocks = _fill(cut(data), entry.title, targets, written, pen)
        except NotPlain:
            sheet, blocks = _fill(cut(rewritten(data)), entry.title, targets, written, pen)
    except NotPlain as fault:
        raise not_a_workbook(f"the rows of the sheet {entry.title} cannot be read") from fault
    frame(sheet, targets, widths)
    tables = list(edit_tables(book.package, entry.part, entry.title, targets))
    blocks += [block for table in tables for block in table.blocks]
    contents = {table.part: table.data for table in tables if table.changed}
    return _SheetEdit(entry, sheet.to_bytes(), contents, pen.formulas), blocks


def _fill(sheet: SheetText, title: str, targets: Targets, written: Targets, pen: Pen) -> tuple[SheetText, list[Block]]:
    blocks = list(blocked(sheet, title, targets))
    release_shared(sheet, targets)
    put(sheet, written, pen)
    return sheet, blocks


def _store(
    book: Book, edits: Sequence[_SheetEdit], new_sheets: Sequence[NewSheet], styles: StyleBook, *, recalculate: bool
) -> None:
    """Everything that changes, put into the package."""
    package, before = book.package, book.package.reachable()
    for edit in edits:
        package.write(edit.entry.part, edit.data)
        for part, data in edit.tables.items():
            package.write(part, data)
    if any(edit.formulas for edit in edits):
        book.drop("calcChain")
    _write_new_sheets(book, new_sheets, styles)
    _store_styles(book, styles)
    if recalculate:
        book.recalculate()
    book.save()
    _drop_signature(package)
    for orphan in sorted(before - package.reachable()):
        package.remove(orphan)


def _write_new_sheets(book: Book, sheets: Sequence[NewSheet], styles: StyleBook) -> None:
    pen = Pen(reused(styles.index), styles.quoted)
    for sheet in sheets:
        data = worksheet(sheet, pen, book.namespace)
        entry = book.sheet(sheet.title)
        if entry is None:
            folder = book.part.rpartition("/")[0]
            part = free_name(book.package, f"{folder}/worksheets/sheet{{}}.xml".lstrip("/"))
            book.package.add(part, _SHEET_TYPE, data)
            book.add_sheet(sheet.title, part)
        else:
            _replace(book, entry, data)
        del data  # a long sheet is text of 50 MB
        book.mark(sheet.title, sheet.repeat_row)


def _replace(book: Book, entry: SheetEntry, data: Sequence[bytes]) -> None:
    if b"<f" in book.package.read(entry.part):
        book.drop("calcChain")
    attached = {relationship.id for relationship in book.package.relationships(entry.part)}
    if attached:
        book.package.unrelate(entry.part, attached)
    book.package.write(entry.part, data)


def _store_styles(book: Book, styles: StyleBook) -> None:
    if not styles.changed:
        return
    part = book.related("styles")
    if part:
        book.package.write(part, styles.to_bytes())
        return
    folder = book.part.rpartition("/")[0]
    # Some readers look for the usual name instead of following the relationship.
    part = f"{folder}/styles.xml".lstrip("/")
    if book.package.has(part):
        part = free_name(book.package, part.replace(".xml", "{}.xml"))
    book.package.add(part, _STYLES_TYPE, styles.to_bytes())
    book.relate("styles", part)


def _drop_signature(package: Package) -> None:
    signatures = {r.id for r in package.relationships("") if r.type.endswith("digital-signature/origin")}
    if signatures:
        package.unrelate("", signatures)
