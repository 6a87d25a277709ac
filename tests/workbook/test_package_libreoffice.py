"""Written workbooks in LibreOffice: opened, shown, printed, and saved by it before and after."""

import csv
import re
import shutil
from pathlib import Path

import pytest
from lxml import etree
from package_samples import bare_book, converted, differing, full_book, unzipped, values, without

from pipecalc.workbook.package import CellStyle, CellWrite, NewSheet, SheetCell, edit_workbook, foreign_titles

pytestmark = pytest.mark.skipif(shutil.which("soffice") is None, reason="LibreOffice (soffice) is not installed")

# Comma, quotes, UTF-8, every sheet to a file of its own.
CSV = "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,true,false,false,false,-1"
GREEN = CellStyle(number_format="0.000", fill="E2EFDA")
RESULTS = [
    CellWrite("Lines", 1, 7, "Result: leg", CellStyle(bold=True)),
    CellWrite("Lines", 1, 8, "Result: axis"),
    *(CellWrite("Lines", row, 7, row / 7, GREEN) for row in range(3, 13)),
    *(CellWrite("Lines", row, 8, "+E") for row in range(3, 13)),
]
TARGETS = [f"{c}{r}" for c in "GH" for r in (1, *range(3, 13))]
SUMMARY = NewSheet("Summary", [[SheetCell("Check", CellStyle(bold=True)), "=1+1"], ["Leg", 0.25]], {1: 20}, (1, 0), 1)


@pytest.fixture(scope="module")
def profile(tmp_path_factory) -> Path:
    return tmp_path_factory.mktemp("profile")


@pytest.fixture(scope="module")
def saved_by_it(tmp_path_factory, profile) -> bytes:
    """The full workbook, opened and saved by LibreOffice."""
    path = tmp_path_factory.mktemp("saved") / "plant.xlsx"
    path.write_bytes(full_book())
    return converted(path, "xlsx:Calc MS Excel 2007 XML", profile)[0].read_bytes()


def shown(data: bytes, folder: Path, profile: Path) -> dict[str, list[list[str]]]:
    path = folder / "book.xlsx"
    path.write_bytes(data)
    files = converted(path, CSV, profile)
    texts = {file.stem.removeprefix("book-"): file.read_text("utf-8") for file in files}
    return {title: list(csv.reader(text.splitlines())) for title, text in texts.items()}


def test_it_shows_the_written_values(tmp_path, profile):
    sheets = shown(edit_workbook(full_book(), RESULTS, [SUMMARY]), tmp_path, profile)
    lines = sheets["Lines"]
    assert lines[0][6:8] == ["Result: leg", "Result: axis"]
    assert [row[6:8] for row in lines[2:12]] == [[f"{row / 7:.15g}", "+E"] for row in range(3, 13)]
    assert [row[3] for row in lines[2:5]] == ["42", "63", "84"]
    assert sheets["Summary"] == [["Check", "=1+1"], ["Leg", "0.25"]]


def test_it_shows_number_format_and_fill(tmp_path, profile):
    path = tmp_path / "book.xlsx"
    path.write_bytes(edit_workbook(full_book(), RESULTS, [SUMMARY]))
    page = next(f for f in converted(path, "html", profile) if f.suffix == ".html").read_text("utf-8")
    cell = re.search(r"<td[^>]*>(?:<[^>]*>)*0\.429<", page)
    assert cell
    assert 'bgcolor="#E2EFDA"' in cell.group(0)


def test_it_prints_the_written_workbook(tmp_path, profile):
    path = tmp_path / "book.xlsx"
    path.write_bytes(edit_workbook(full_book(), RESULTS, [SUMMARY]))
    pdf = converted(path, "pdf", profile)[0].read_bytes()
    assert pdf.startswith(b"%PDF")


def test_its_own_files_keep_everything_else(tmp_path, profile, saved_by_it):
    after = edit_workbook(saved_by_it, RESULTS, [SUMMARY], {"Lines": {8: 20}})
    sheet = "xl/worksheets/sheet1.xml"
    touched = {sheet, "xl/styles.xml", "xl/workbook.xml", "xl/_rels/workbook.xml.rels", "[Content_Types].xml"}
    assert differing(saved_by_it, after) == touched | {"xl/worksheets/sheet3.xml"}
    old, new = (without_columns(without(unzipped(data)[sheet], TARGETS)) for data in (saved_by_it, after))
    assert old == new
    assert values(after, "Lines")["D5"] == values(saved_by_it, "Lines")["D5"] == 84
    assert edit_workbook(after, RESULTS, [SUMMARY], {"Lines": {8: 20}}) == after
    shown_values = [row[6] for row in shown(after, tmp_path, profile)["Lines"][2:4]]
    assert shown_values == [f"{3 / 7:.15g}", f"{4 / 7:.15g}"]


def without_columns(sheet: bytes) -> bytes:
    root = etree.fromstring(sheet)
    root.remove(root.find("{*}cols"))
    return etree.tostring(root)


def test_a_written_copy_that_it_saved_takes_a_second_run(tmp_path, profile):
    path = tmp_path / "book.xlsx"
    path.write_bytes(edit_workbook(full_book(), RESULTS, [SUMMARY]))
    saved = converted(path, "xlsx:Calc MS Excel 2007 XML", profile)[0].read_bytes()
    assert foreign_titles(saved, ["Summary", "Lines"]) == ["Lines"]
    after = edit_workbook(saved, RESULTS, [NewSheet("Summary", [["fresh"]])])
    assert values(after, "Summary") == {"A1": "fresh"}
    assert values(after, "Lines")["D5"] == 84
    assert values(after, "Lines")["G5"] == 5 / 7


def test_it_reads_prefixed_elements_and_new_formats(tmp_path, profile):
    rows = "<x:sheetData><x:row><x:c><x:v>1</x:v></x:c></x:row></x:sheetData>"
    writes = [CellWrite("Data", 1, 2, 2.0, GREEN), CellWrite("Data", 3, 1, "é & <b>")]
    after = edit_workbook(bare_book(rows, prefix="x:"), writes, [SUMMARY])
    sheets = shown(after, tmp_path, profile)
    assert sheets["Data"] == [["1", "2"], ["", ""], ["é & <b>", ""]]
    assert sheets["Summary"][1] == ["Leg", "0.25"]
