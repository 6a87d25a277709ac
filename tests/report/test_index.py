"""The index over several notes: worst first, nothing left out, links that lead somewhere, the same bytes twice."""

import ctypes
import json
import pickle
from dataclasses import replace
from datetime import date
from pathlib import Path

import findings
import plants
import pypdfium2
import pypdfium2.raw as raw
import pytest
from conftest import page_texts

from pipecalc.report.index_document import index_data, write_index
from pipecalc.report.index_entry import IndexEntry, entry_of, failed_entry
from pipecalc.results import Status

FAILED = failed_entry("boiler.xlsx", "the workbook has errors", [f"Lines!E{n}: wrong" for n in range(1, 7)])


@pytest.fixture
def entry(files) -> IndexEntry:
    plant = plants.plant()
    return entry_of(
        plant,
        findings.results(plant),
        workbook=plants.TRACE.workbook,
        sha256=plants.TRACE.sha256,
        note=files.pdf,
        page=files.html,
        pages=files.pages,
    )


def text_of(path: Path) -> str:
    return " ".join(" ".join(page_texts(path)).split())


def links_of(path: Path) -> list[str]:
    document, found = pypdfium2.PdfDocument(path), []
    for page in document:
        start, link = ctypes.c_int(0), raw.FPDF_LINK()
        while raw.FPDFLink_Enumerate(page.raw, start, link):
            action, text = raw.FPDFLink_GetAction(link), ctypes.create_string_buffer(500)
            raw.FPDFAction_GetURIPath(document.raw, action, text, 500)
            found.append(text.value.decode("ascii"))
        page.close()
    document.close()
    return found


def test_an_entry_passes_between_processes(entry):
    assert pickle.loads(pickle.dumps(entry)) == entry  # noqa: S301 - our own bytes


def test_every_line_and_nozzle_is_in_the_entry_with_its_page(entry, pages):
    plant = plants.plant()
    found = {(item.kind, item.tag): item for item in entry.items}
    for kind, tags in (("Line", plant.lines), ("Nozzle", plant.nozzles)):
        for tag in tags:
            page = found[kind, tag].page
            assert page is not None
            assert tag in pages[page - 1]
    assert "Line" in pages[found["Line", next(iter(plant.lines))].page - 1]


def test_counts_are_those_of_the_checks(entry):
    results = findings.results(plants.plant())
    assert entry.over_limit == sum(c.status is Status.FAIL and not c.screening for c in results.checks) > 0
    assert entry.not_checked == sum(c.status is Status.NOT_CHECKED for c in results.checks)


def test_the_worst_of_all_workbooks_comes_first(entry, tmp_path):
    milder = replace(
        entry,
        workbook="a.xlsx",
        items=tuple(replace(i, ratio=None if i.ratio is None else i.ratio / 2) for i in entry.items),
    )
    rows = [(i["status"], i["ratio"], i["workbook"]) for i in index_data([milder, entry], tmp_path)["items"]]
    order = ["FAIL", "NOT CHECKED", "PASS", "NOT APPLICABLE"]
    assert [order.index(status) for status, _, _ in rows] == sorted(order.index(status) for status, _, _ in rows)
    failing = [ratio for status, ratio, _ in rows if status == "FAIL" and ratio is not None]
    assert failing == sorted(failing, reverse=True)
    assert rows[0][2] == entry.workbook
    assert len(rows) == 2 * len(entry.items)


def test_what_has_no_results_is_named_with_its_reason(entry, tmp_path):
    made = write_index([entry, FAILED], tmp_path)
    text = text_of(made.pdf)
    assert "2 workbooks, 1 of them without results" in text
    assert "boiler.xlsx: the workbook has errors" in text
    assert "Lines!E3: wrong" in text
    assert "3 more; pipecalc check lists them all." in text
    listed = json.loads(made.data.read_text("utf-8"))["workbooks"]
    assert [len(w["problems"]) for w in listed] == [6, 0]


def test_an_index_of_failures_alone(tmp_path):
    made = write_index([FAILED], tmp_path)
    assert "0 items: none" in text_of(made.pdf)


def test_a_note_that_fails_its_own_checks_is_told_of(entry, tmp_path):
    made = write_index([replace(entry, alarms=("The coordinates of line X miss.",))], tmp_path)
    assert f"{entry.workbook}: The coordinates of line X miss." in text_of(made.pdf)


def test_every_page_is_for_review_and_the_cautions_are_there(entry, tmp_path):
    texts = list(page_texts(write_index([entry], tmp_path).pdf))
    assert all("FOR REVIEW" in text for text in texts)
    assert "certify nothing" in " ".join(texts)
    assert entry.sha256 in "".join("".join(texts).split())


def test_links_lead_to_the_page_of_the_note_by_a_relative_path(entry, files, tmp_path):
    beside = files.pdf.parent.parent
    made = write_index([entry], tmp_path / "apart")
    found = links_of(made.pdf)
    assert len(found) > 2 * len(entry.items)  # note and page of every item, and the table of workbooks
    for link in found:
        path, _, page = link.partition("#page=")
        assert not path.startswith(("file:", "/"))
        assert (made.pdf.parent / path).resolve() == files.pdf.resolve()
        assert not page or int(page) in files.pages.values()
    assert index_data([entry], beside)["workbooks"][0]["note"] == f"{files.pdf.parent.name}/{files.pdf.name}"


def test_odd_file_names_and_words_are_escaped(entry, tmp_path):
    odd = replace(entry, title="<b>A & B</b>", note=str(tmp_path / "50% of #1" / "a b.pdf"), workbook="<i>.xlsx")
    made = write_index([odd], tmp_path, pdf=False)
    html = made.html.read_text("utf-8")
    assert "&lt;b&gt;A &amp; B&lt;/b&gt;" in html
    assert 'href="50%25%20of%20%231/a%20b.pdf"' in html
    assert "<i>.xlsx" not in html


def test_without_a_pdf_links_lead_into_the_html_note(entry, tmp_path):
    bare = replace(entry, note="", items=tuple(replace(i, page=None) for i in entry.items))
    made = write_index([bare], tmp_path, pdf=False)
    assert made.pdf is None
    assert 'flash-vessel.html#line-1"' in made.html.read_text("utf-8")


def test_the_order_of_the_entries_changes_no_byte(entry, tmp_path):
    a = write_index([entry, FAILED], tmp_path / "a")
    b = write_index([FAILED, entry], tmp_path / "a" / ".." / "b")
    for one, other in ((a.html, b.html), (a.data, b.data), (a.pdf, b.pdf)):
        assert one.read_bytes() == other.read_bytes()


def test_the_date_is_the_latest_issue(entry, tmp_path):
    later = replace(entry, workbook="z.xlsx", issued=date(2026, 1, 2).isoformat())
    assert index_data([later, entry, FAILED], tmp_path)["issued"] == "2026-01-02"
