"""What a workbook holds that writing results could not keep, said before anything is written."""

from collections.abc import Sequence
from pathlib import Path

from pipecalc.workbook.package_book import Book
from pipecalc.workbook.package_parts import Package

_ATTACHED = {
    "comments": "comments",
    "threadedComment": "comments",
    "drawing": "charts, pictures or shapes",
    "table": "tables",
    "pivotTable": "pivot tables",
    "customProperty": "properties",
}


def losses(source: bytes | Path, replaced: Sequence[str] = ()) -> list[str]:
    """Sentences that name what a written copy would not hold any longer; none for most workbooks.

    Args:
        source: The workbook file or its bytes.
        replaced: Titles of the result sheets that will be written anew.

    Raises:
        FileUnusable: If the file cannot be used at all (empty, encrypted, no workbook, too large).
    """
    package = Package(source)
    book = Book(package)
    found = []
    if any(r.type.endswith("digital-signature/origin") for r in package.relationships("")):
        found.append(
            "The workbook is digitally signed; a signature does not hold once results are written, so they "
            "are written without it. Sign the result again."
        )
    if book.related("revisionHeaders"):
        found.append("The workbook records its changes; the record will not show the results that are written.")
    for title in replaced:
        found += _on_sheet(book, title)
    return found


def _on_sheet(book: Book, title: str) -> list[str]:
    entry = book.sheet(title)
    if entry is None or not book.is_marked(title):
        return []
    kinds = [r.kind for r in book.package.relationships(entry.part)]
    attached = list(dict.fromkeys(_ATTACHED[kind] for kind in kinds if kind in _ATTACHED))
    if not attached:
        return []
    return [f'The sheet "{title}" is written anew, without the {" and ".join(attached)} put on it since.']
