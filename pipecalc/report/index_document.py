"""One index over the notes of several workbooks: all lines and nozzles, worst first, and what could not be computed."""

import os
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any
from urllib.parse import quote

from markupsafe import escape

from pipecalc.report import format as fmt
from pipecalc.report.chapter_closing import CAUTIONS
from pipecalc.report.format import NONE
from pipecalc.report.index_entry import IndexEntry, IndexItem
from pipecalc.report.note import MARK, MARK_BELOW, embedded_faces, filled, linked_faces
from pipecalc.report.parts import Column, Table, numeric, status, text
from pipecalc.version import __version__

SCHEMA = "pipecalc-index/1"
#: File name of the index, without its ending.
STEM = "index"
#: Errors printed of a workbook without results; index.json holds all of them.
PROBLEMS = 3
_ORDER = ("FAIL", "NOT CHECKED", "PASS", "NOT APPLICABLE")


@dataclass(frozen=True, slots=True)
class IndexFiles:
    """What was written.

    Attributes:
        html: The index as one HTML file.
        data: The same for machines.
        pdf: The index as PDF, or None where none was made.
    """

    html: Path
    data: Path
    pdf: Path | None


def write_index(entries: Iterable[IndexEntry], folder: Path, *, pdf: bool = True) -> IndexFiles:
    """Write ``index.html``, ``index.json`` and ``index.pdf`` into a folder; the same entries give the same bytes.

    Args:
        entries: The workbooks in any order, those that failed among them.
        folder: Where to write, usually the folder that holds the folders of the notes; made if missing.
        pdf: False to leave the PDF out.

    Raises:
        EnvironmentLacks: A system library of the PDF renderer is missing; the other two files are written.
        FileUnusable: A file cannot be written.
    """
    from pipecalc.report.results_file import results_text
    from pipecalc.workbook.swap import write_safely

    listed = sorted(entries, key=lambda e: (e.workbook.casefold(), e.workbook, e.sha256, e.reason))
    folder.mkdir(parents=True, exist_ok=True)
    page, data, target = (folder / f"{STEM}.{ending}" for ending in ("html", "json", "pdf"))
    context = index_context(listed, folder)
    write_safely(data, results_text(index_data(listed, folder)))
    write_safely(page, filled("index.html.j2", context, embedded_faces()).encode("utf-8"))
    if not pdf:
        return IndexFiles(page, data, None)
    from pipecalc.report.pdf import Document, make_pdf

    write_safely(target, make_pdf(Document(filled("index.html.j2", context, linked_faces()))).data)
    return IndexFiles(page, data, target)


def index_data(entries: Sequence[IndexEntry], folder: Path) -> dict[str, Any]:
    """The index as plain values; paths are relative to the folder."""
    from pipecalc.report.results_file import plain

    workbooks = [plain(e) | {key: _relative(getattr(e, key), folder) for key in _PATHS} for e in entries]
    return {
        "schema": SCHEMA,
        "tool": {"name": "pipecalc", "version": __version__},
        "issued": _issued(entries),
        "workbooks": workbooks,
        "items": [{"workbook": e.workbook, **plain(item)} for e, item in _worst_first(entries)],
    }


_PATHS = ("note", "page", "results")


def index_context(entries: Sequence[IndexEntry], folder: Path, of: str = "workbook") -> dict[str, Any]:
    """Everything the template prints, as text already formatted; paths are relative to the folder.

    Args:
        entries: What is listed.
        folder: Where the index stands.
        of: What each entry is, a workbook or a volume of the note of one.
    """
    systems = {e.units for e in entries if e.units}
    titles = list(dict.fromkeys(e.title for e in entries if e.title))
    return {
        "head": "Index of calculation notes" if of == "workbook" else f"Index of the {of}s of a calculation note",
        "mark": MARK,
        "mark_below": MARK_BELOW,
        "tool": f"pipecalc {__version__}",
        "created": _issued(entries),
        "titles": titles,
        "title": titles[0] if len(titles) == 1 else f"{len(entries)} {of}s",
        "code": "; ".join(dict.fromkeys(e.code for e in entries if e.code)),
        "paper": "Letter" if systems == {"US"} else "A4",
        "summary": _summary(entries, of),
        "failed": [_failure(e) for e in entries if e.reason],
        "alarms": [f"{e.workbook}: {said}" for e in entries for said in e.alarms],
        "items": _items_table(entries, folder, of),
        "workbooks": _workbooks_table(entries, folder, of),
        "changes": None,
        "cautions": CAUTIONS,
    }


class Linked(str):
    """A cell that leads to a file; it is as wide as its words.

    Attributes:
        target: Address relative to the index.
    """

    __slots__ = ("target",)
    target: str

    def __new__(cls, words: str, target: str) -> "Linked":
        """The words with where they lead; words alone where there is no target."""
        made = super().__new__(cls, words)
        made.target = target
        return made

    def __html__(self) -> str:
        """The link for the template, escaped."""
        words = str(escape(str.__str__(self)))
        return f'<a href="{escape(self.target)}">{words}</a>' if self.target else words


_BOOK = "Workbook"
_ITEMS = (
    text("Item", 16),
    text("Kind", 11),
    text("Governing check", 34),
    text("At", 16),
    text("Case", 32),
    numeric("Ratio", 9),
    status(12),
    text(_BOOK, 26),
    numeric("Page", 7),
)

_WORKBOOKS = (
    text(_BOOK, 26),
    text("Document", 24),
    text("Rev.", 6),
    text("Issued", 13),
    text("Code", 22),
    numeric("FAIL", 7),
    numeric("NOT CHECKED", 12),
    text("SHA-256", 44),
)


def _items_table(entries: Sequence[IndexEntry], folder: Path, of: str) -> Table | None:
    rows = tuple(tuple(_item_cells(e, item, folder)) for e, item in _worst_first(entries))
    caption = "Every line and nozzle, and supports that do not pass; worst first"
    return Table("1", caption, _headed(_ITEMS, of), rows) if rows else None


def _headed(columns: Sequence[Column], of: str) -> tuple[Column, ...]:
    return tuple(replace(c, head=of.capitalize()) if c.head == _BOOK else c for c in columns)


def _item_cells(e: IndexEntry, item: IndexItem, folder: Path) -> Iterator[str]:
    ratio = NONE if item.ratio is None else fmt.ratio(item.ratio)
    yield from (item.tag, item.kind, item.check, item.point, item.case, ratio, item.status)
    yield Linked(Path(e.workbook).stem, _note_link(e, folder))
    yield Linked(NONE if item.page is None else f"{item.page}", _item_link(e, item, folder))


def _workbooks_table(entries: Sequence[IndexEntry], folder: Path, of: str) -> Table | None:
    rows = tuple(tuple(_workbook_cells(e, folder)) for e in entries)
    caption = f"{of.capitalize()}s of this index; numbers of checks over the limit and of checks that could not be made"
    return Table("2", caption, _headed(_WORKBOOKS, of), rows) if rows else None


def _workbook_cells(e: IndexEntry, folder: Path) -> Iterator[str]:
    yield Linked(e.workbook, _note_link(e, folder))
    if e.reason:
        yield from ("no results", NONE, NONE, NONE, NONE, NONE, e.sha256 or NONE)
    else:
        yield from (e.document or NONE, e.revision or NONE, e.issued, e.code)
        yield from (str(e.over_limit), str(e.not_checked), e.sha256)


def _note_link(e: IndexEntry, folder: Path) -> str:
    return _relative(e.note or e.page, folder)


def _item_link(e: IndexEntry, item: IndexItem, folder: Path) -> str:
    """The page of the PDF where it is known, else the place in the HTML note."""
    if e.note and item.page is not None:
        return f"{_relative(e.note, folder)}#page={item.page}"
    return f"{_relative(e.page, folder)}#{item.anchor}" if e.page else ""


def _relative(path: str, folder: Path) -> str:
    """A path as a link from the folder; a full address where none leads there, as between two drives."""
    if not path:
        return ""
    try:
        return quote(Path(os.path.relpath(path, folder.resolve())).as_posix())
    except ValueError:
        return Path(path).as_uri()


def _worst_first(entries: Sequence[IndexEntry]) -> list[tuple[IndexEntry, IndexItem]]:
    """Items of all workbooks; the order does not depend on that of the entries."""
    found = [(e, item) for e in entries for item in e.items]
    return sorted(found, key=lambda pair: _rank(*pair))


def _rank(e: IndexEntry, item: IndexItem) -> tuple[Any, ...]:
    ratio = 0.0 if item.ratio is None else item.ratio
    return (_ORDER.index(item.status), -ratio, e.workbook.casefold(), item.kind, item.tag)


def _summary(entries: Sequence[IndexEntry], of: str) -> str:
    items = [item for e in entries for item in e.items]
    counts = [(sum(item.status == s for item in items), s) for s in _ORDER]
    verdicts = ", ".join(f"{n} {name}" for n, name in counts if n) or "none"
    failed = sum(bool(e.reason) for e in entries)
    without = f", {failed} of them without results" if failed else ""
    books = f"{len(entries)} {of}{'' if len(entries) == 1 else 's'}{without}"
    return f"{books}. {len(items)} items: {verdicts}."


def _failure(e: IndexEntry) -> dict[str, Any]:
    more = len(e.problems) - PROBLEMS
    rest = f"{more} more; pipecalc check lists them all." if more > 0 else ""
    return {"workbook": e.workbook, "reason": e.reason, "problems": e.problems[:PROBLEMS], "more": rest}


def _issued(entries: Sequence[IndexEntry]) -> str:
    """Latest date of issue; empty where no workbook has one."""
    return max((e.issued for e in entries), default="")
