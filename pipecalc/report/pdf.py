"""HTML to PDF: the only module that knows the rendering library; it fetches nothing but the package's fonts."""

import warnings
from collections.abc import Mapping
from contextlib import redirect_stdout
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from io import BytesIO, StringIO
from typing import Any
from urllib.parse import unquote, urlsplit
from urllib.request import url2pathname

from pipecalc.garbage import rare_collection
from pipecalc.problems import EnvironmentLacks
from pipecalc.report.assets import FACES, FONTS

#: Declared, not confirmed by a validator: an archive file with attachments and the tagged structure that the library
#: gives. A tagged document cannot be rendered in pieces and merged.
VARIANT = "pdf/a-3a"

HOW_TO_GET_IT = """A PDF needs the Pango text library, which this machine lacks. Install it, then run again:
  Debian, Ubuntu:  sudo apt install libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0
  Fedora:          sudo dnf install pango
  macOS:           brew install pango
  Windows:         install MSYS2 (https://www.msys2.org), then in its shell: pacman -S mingw-w64-x86_64-pango
                   and set WEASYPRINT_DLL_DIRECTORIES=C:\\msys64\\mingw64\\bin
Everything else was written, the note as HTML too."""


@dataclass(frozen=True, slots=True)
class Document:
    """What to render.

    Attributes:
        html: The document; names its fonts by their full address. Relative links stay relative.
        issued: Date of the document, the only date that enters the file; None where nothing is attached.
        workbook: Bytes to attach, or None.
        workbook_name: File name of the attachment.
    """

    html: str
    issued: date | None = None
    workbook: bytes | None = None
    workbook_name: str = "workbook.xlsx"


@dataclass(frozen=True, slots=True)
class Pdf:
    """A rendered document: its bytes, and the page on which each identified element of the HTML stands, from 1."""

    data: bytes
    pages: Mapping[str, int]


def make_pdf(document: Document) -> Pdf:
    """Render a document; the same document gives the same bytes.

    Raises:
        EnvironmentLacks: A system library of the renderer is missing.
    """
    library = _library()
    places: dict[str, int] = {}

    def note_places(rendered: Any, _file: Any) -> None:
        for number, page in enumerate(rendered.pages, 1):
            for name in page.anchors:
                places.setdefault(name, number)

    with warnings.catch_warnings(), rare_collection():
        # The renderer leaves its own colour profile file to be closed by the interpreter.
        warnings.simplefilter("ignore", ResourceWarning)
        page = library.HTML(string=document.html, url_fetcher=_fetcher(), media_type="print")
        # Whole fonts: a subset carries the time of its making, and is slower to make.
        made: bytes = page.write_pdf(
            finisher=note_places,
            attachments=_attachments(library, document),
            pdf_variant=VARIANT,
            full_fonts=True,
        )
    return Pdf(made, places)


def _library() -> Any:
    """The renderer; what it prints when a system library is missing gives way to one message of our own."""
    try:
        with warnings.catch_warnings(), redirect_stdout(StringIO()):
            # It warns where an optional library for smaller fonts is missing, which this note does not use.
            warnings.simplefilter("ignore", DeprecationWarning)
            import weasyprint
    except OSError as missing:
        raise EnvironmentLacks(HOW_TO_GET_IT) from missing
    return weasyprint


def _attachments(library: Any, document: Document) -> list[Any]:
    if document.workbook is None or document.issued is None:
        return []
    issued = datetime.combine(document.issued, time(), tzinfo=UTC)
    return [
        library.Attachment(
            file_obj=BytesIO(document.workbook),
            name=document.workbook_name,
            description="The workbook this note was computed from",
            created=issued,
            modified=issued,
            relationship="Source",
        )
    ]


def allowed(url: str) -> bool:
    """Whether a URL is one of the package's own font files."""
    parts = urlsplit(url)
    if parts.scheme != "file" or parts.netloc not in ("", "localhost"):
        return False
    path = url2pathname(unquote(parts.path))
    return path in {str(FONTS / file) for file, _weight, _style in FACES}


def _fetcher() -> Any:
    from weasyprint.urls import URLFetcher

    class PackageOnly(URLFetcher):  # type: ignore[misc]
        """Serves the package's fonts and refuses everything else."""

        def fetch(self, url: str, headers: Any = None) -> Any:
            if not allowed(url):
                raise ValueError(f"not part of the package: {url[:80]}")
            return super().fetch(url, headers)

    return PackageOnly(allowed_protocols=("file",))
