"""The PDF: text, pages, fonts, attachment, identical bytes, and no way out of the package."""

import re
import subprocess
import sys
import zlib
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

import findings
import plants
import pypdfium2
import pytest
from conftest import page_texts
from note_files import write_note

from pipecalc.report.assets import FONTS
from pipecalc.report.pdf import Document, allowed, make_pdf
from pipecalc.results import Equilibrium

A4 = (595.28, 841.89)
LETTER = (612.0, 792.0)


def test_every_page_carries_the_mark_the_document_and_its_number(pages):
    for i, text in enumerate(pages, 1):
        assert "FOR REVIEW" in text
        assert "BVH-CN-0107" in text
        assert "edition 2022" in text
        assert f"page {i} of {len(pages)}" in text


def test_the_cover_is_one_page_and_says_it_is_not_sealed(pages):
    assert "not sealed — not for construction" in pages[0]
    assert "Exchanger moved 0.5 m" in pages[0]
    assert "Verdict" not in pages[0]


def test_the_verdict_is_page_two_with_every_line_and_nozzle(pages):
    plant = plants.plant()
    for tag in (*plant.lines, *plant.nozzles):
        assert tag in pages[1]
    for governing in ("1.42", "1.0044", "0.84", "0.38", "0.24"):
        assert governing in pages[1]
    assert "NOT CHECKED" in pages[1]


def test_a_note_that_fails_its_own_checks_says_so_on_page_two(tmp_path):
    plant = plants.plant()
    spoilt = Equilibrium("operating", (0, 0, -9e3), (0, 0, 8e3), 0.11, 1e-9, 1e-9, 1e-9)
    results = replace(findings.results(plant), equilibrium=(spoilt,))
    files = write_note(plant, results, plants.TRACE, tmp_path, None)
    second = " ".join(list(page_texts(files.pdf))[1].split())
    assert "This note does not pass its own checks" in second
    assert "In case operating the reactions do not balance the loads: residual 1.1e-01." in second


def test_every_support_point_and_movement_is_somewhere(pages):
    plant, text = plants.plant(), "\n".join(pages)
    for tag in plant.supports:
        assert tag in text
    assert "5.75" in text  # sum of the movement of a nozzle, mm
    assert "86.653 MPa" in text  # stress of the worked leg
    assert "from memory: verify against the code edition of record" in " ".join(text.split())
    assert plants.TRACE.sha256 in text


def test_units_can_be_searched(pages):
    text = "\n".join(pages)
    assert "9230 N·m" in text
    assert "170.0 °C" in text


@pytest.mark.parametrize(("units", "size"), [("SI", A4), ("US", LETTER)])
def test_paper(units, size, tmp_path):
    plant = plants.plant(units)
    files = write_note(plant, findings.results(plant), plants.TRACE, tmp_path, None)
    document = pypdfium2.PdfDocument(files.pdf)
    assert all(document.get_page_size(i) == pytest.approx(size, abs=0.1) for i in range(len(document)))
    assert "Verdict" in list(page_texts(files.pdf))[1]
    document.close()


def test_metadata_and_bookmarks(files):
    document = pypdfium2.PdfDocument(files.pdf)
    facts = document.get_metadata_dict()
    assert facts["Title"] == "BVH-CN-0107 rev. B: Separator station 2: vapour and heat mains"
    assert facts["Author"] == "R. Example"
    assert "V-2101" in facts["Keywords"]
    assert facts["CreationDate"].startswith("D:20250314")
    titles = [b.get_title() for b in document.get_toc() if b.level == 0]
    assert titles[0].endswith("Verdict")
    assert titles[-1].endswith("Traceability")
    document.close()


def test_the_workbook_is_attached_with_the_documents_date(files):
    document = pypdfium2.PdfDocument(files.pdf)
    assert document.count_attachments() == 1
    attachment = document.get_attachment(0)
    assert attachment.get_name() == "flash-vessel.xlsx"
    assert bytes(attachment.get_data()) == b"the workbook's bytes"
    assert attachment.get_str_value("ModDate").startswith("D:20250314")
    document.close()


def test_the_file_calls_itself_an_archive_file_in_english(files):
    raw = unpacked(files.pdf)
    assert b"/AFRelationship /Source" in raw
    assert b"pdfaid:part" in raw
    assert re.search(rb"pdfaid:conformance\W+A\b", raw)
    assert b"/Lang (en)" in raw


def test_headings_tables_and_figures_are_tagged(files):
    raw = unpacked(files.pdf)
    assert b"/StructTreeRoot" in raw
    assert re.search(rb"/MarkInfo\s*<<\s*/Marked true", raw)
    for kind in (b"H1", b"H2", b"Table", b"TR", b"TH", b"TD", b"Figure", b"L", b"LI"):
        assert re.search(rb"/S\s*/" + kind + rb"\b", raw), kind


def test_only_the_packages_fonts_are_embedded(files):
    raw = unpacked(files.pdf)
    names = set(re.findall(rb"/FontName\s*/([^\s/>]+)", raw))
    assert names
    assert all(b"Plex" in name or b"Note" in name for name in names), names


def unpacked(path: Path) -> bytes:
    """The file with every compressed stream beside it in plain."""
    raw = path.read_bytes()
    found = [raw]
    for match in re.finditer(rb"stream\r?\n", raw):
        with suppress(zlib.error):
            found.append(zlib.decompressobj().decompress(raw[match.end() :]))
    return b"\n".join(found)


RENDER = """
import sys
from pathlib import Path
sys.path.insert(0, {tests!r})
import findings
import plants
from note_files import write_note
plant = plants.plant()
files = write_note(plant, findings.results(plant), plants.TRACE, Path({out!r}), b"the workbook's bytes")
"""


def test_another_process_gives_the_same_bytes(files, tmp_path):
    code = RENDER.format(tests=str(Path(__file__).parent), out=str(tmp_path))
    subprocess.run([sys.executable, "-c", code], check=True, env={"PYTHONHASHSEED": "7", "TZ": "Asia/Tokyo"})
    assert (tmp_path / "flash-vessel.pdf").read_bytes() == files.pdf.read_bytes()
    assert (tmp_path / "flash-vessel.html").read_bytes() == files.html.read_bytes()


@pytest.mark.parametrize(
    "url",
    [
        "http://example.org/a.ttf",
        "https://example.org/a.ttf",
        "file:///etc/passwd",
        "file://server/share/a.ttf",
        (FONTS.parent / "pdf.py").as_uri(),
        FONTS.as_uri() + "/../pdf.py",
        FONTS.as_uri() + "/%2e%2e/pdf.py",
        "data:text/plain,x",
        "ftp://example.org/a",
    ],
)
def test_nothing_outside_the_fonts_may_be_fetched(url):
    assert not allowed(url)


def test_the_fonts_may_be_fetched():
    assert allowed((FONTS / "IBMPlexSans-Regular.ttf").as_uri())


def test_rendering_opens_no_connection(monkeypatch, tmp_path):
    import socket

    def refuse(*_args, **_more):
        raise AssertionError("a connection was opened")

    monkeypatch.setattr(socket.socket, "connect", refuse)
    secret = tmp_path / "secret.txt"
    secret.write_text("top secret words", encoding="utf-8")
    html = (
        f'<html lang="en"><style>@import url("http://example.org/x.css"); '
        f'body {{ background: url("{secret.as_uri()}") }}</style>'
        f'<p>words</p><img src="http://example.org/x.png"><object data="{secret.as_uri()}"></object>'
        f'<link rel="attachment" href="{secret.as_uri()}"></html>'
    )
    made = make_pdf(Document(html, plants.TRACE.issued))
    document = pypdfium2.PdfDocument(made.data)
    assert document.count_attachments() == 0
    document.close()
