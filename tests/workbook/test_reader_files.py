"""Reading: files that are no workbook, damaged, too large or hostile, and what reading imports."""

import io
import subprocess
import sys
import zipfile

import pytest
from books import (
    book_bytes,
    problems_of,
    put,
    repacked,
    small_plant,
    write_book,
)

from pipecalc.problems import Address, FileUnusable
from pipecalc.workbook.reader import read


def archive(**parts):
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as package:
        for name, content in parts.items():
            package.writestr(name, content)
    return stream.getvalue()


OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(500)


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"", "empty"),
        (b"Line,From,To\nA,1,2\n", "not-a-workbook"),
        (b"%PDF-1.7", "not-a-workbook"),
        (OLE + "EncryptedPackage".encode("utf-16-le"), "encrypted"),
        (OLE + "Workbook".encode("utf-16-le"), "other-format"),
        (archive(mimetype="application/vnd.oasis.opendocument.spreadsheet"), "other-format"),
        (archive(**{"xl/workbook.bin": "x"}), "other-format"),
        (archive(**{"word/document.xml": "<a/>", "_rels/.rels": "<a/>"}), "not-a-workbook"),
        (archive(**{"xl/worksheets/sheet1.xml": "<a/>", "_rels/.rels": "<a/>"}), "damaged"),
        (b"PK\x03\x04 and then nothing", "damaged"),
    ],
)
def test_what_is_no_workbook(data, code):
    with pytest.raises(FileUnusable) as refused:
        read(data)
    assert refused.value.code == code


def test_a_truncated_file_is_damaged():
    data = book_bytes(small_plant())
    with pytest.raises(FileUnusable, match="damaged"):
        read(data[: len(data) // 2])


def test_a_part_with_wrong_bytes_is_damaged():
    data = bytearray(book_bytes(small_plant()))
    middle = data.index(b"xl/worksheets/sheet3.xml") + 200
    data[middle : middle + 40] = bytes(40)
    with pytest.raises(FileUnusable, match="damaged"):
        read(bytes(data))


def test_a_broken_sheet_is_damaged():
    with pytest.raises(FileUnusable, match="damaged"):
        read(repacked(book_bytes(small_plant()), lambda xml: xml.replace(b"</row>", b"", 1)))


def test_files_that_cannot_be_opened(tmp_path, monkeypatch):
    with pytest.raises(FileUnusable, match="no such file"):
        read(tmp_path / "absent.xlsx")
    with pytest.raises(FileUnusable, match="folder"):
        read(tmp_path)

    def busy(self):
        raise PermissionError(13, "used by another process")

    path = write_book(tmp_path / "open.xlsx", small_plant())
    monkeypatch.setattr(type(path), "read_bytes", busy)
    with pytest.raises(FileUnusable, match="open in another program") as refused:
        read(path)
    assert refused.value.code == "busy"


def test_entities_are_refused():
    bomb = b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "aaaa">]>'
    data = repacked(book_bytes(small_plant()), lambda xml: bomb + xml)
    with pytest.raises(FileUnusable, match="document type"):
        read(data)


def test_a_sheet_that_reaches_too_far_is_refused():
    def edit(workbook):
        workbook["Segments"]["ZZ1048576"] = 1

    with pytest.raises(FileUnusable, match="Segments reaches to row 1048576 and column 702"):
        read(book_bytes(small_plant(), edit=edit))


def test_formatting_far_away_is_no_content():
    def edit(workbook):
        workbook["Segments"]["ZZ1048576"].number_format = "0.00"

    assert problems_of(small_plant(), edit=edit) == []


@pytest.mark.parametrize("address", [b"XFD1048576", b"A1048576", b"&#88;FD9", b"XFD9999"])
def test_a_cell_that_claims_a_far_address_is_refused_before_memory_is_taken(address):
    def moved(xml):
        return xml.replace(b'r="A3"', b'r="' + address + b'"').replace(b'r="A4"', b'r="B999999"')

    with pytest.raises(FileUnusable) as refused:
        read(repacked(book_bytes(small_plant()), moved))
    assert refused.value.code in ("too-large", "damaged")


def test_a_package_that_unpacks_too_large_is_refused(monkeypatch):
    monkeypatch.setattr("pipecalc.workbook.package_zip.MAX_UNPACKED", 10_000)
    with pytest.raises(FileUnusable) as refused:
        read(book_bytes(small_plant()))
    assert refused.value.code == "too-large"


def test_a_prefixed_main_namespace_is_read():
    main = b"http://schemas.openxmlformats.org/spreadsheetml/2006/main"

    def prefixed(xml):
        return (
            xml.replace(b'xmlns="' + main, b'xmlns:x="' + main)
            .replace(b"</", b"<\x00x:")
            .replace(b"<", b"<x:")
            .replace(b"<x:\x00x:", b"</x:")
        )

    data = repacked(book_bytes(small_plant(), edit=put("Segments", "east", "=1+1")), prefixed)
    found = read(data)
    assert [p.code for p in found.problems] == ["formulas-stale", "formula-no-value"]


def test_checking_imports_neither_openpyxl_nor_pandas_nor_a_pdf_library(tmp_path):
    path = write_book(tmp_path / "plant.xlsx", small_plant())
    code = (
        "import sys; from pathlib import Path; from pipecalc.workbook.reader import read;"
        "from pipecalc.workbook.rules import check_book; check_book(read(Path(sys.argv[1])));"
        "print([m for m in ('openpyxl', 'pandas', 'weasyprint', 'jinja2') if m in sys.modules])"
    )
    shown = subprocess.run([sys.executable, "-c", code, str(path)], capture_output=True, text=True, check=True)
    assert shown.stdout.strip() == "[]"


def test_an_address_without_row_is_the_sheet():
    assert str(Address("Lines")) == "Lines"
