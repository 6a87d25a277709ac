"""A written workbook is compared before it takes the place of another."""

from pathlib import Path

import pytest
from package_samples import SHEET, bare_book, unzipped, zipped

from pipecalc.problems import FileUnusable
from pipecalc.workbook.package import CellWrite, NewSheet, edit_workbook
from pipecalc.workbook.package_check import check_written

SOURCE = bare_book('<sheetData><row r="2"><c r="B2"><v>1</v></c></row></sheetData>')
WRITES = [
    CellWrite("Data", 2, 2, 2.5),
    CellWrite("data", 3, 1, "=a & b\x01"),
    CellWrite("Data", 3, 2, "two\r\nlines"),
    CellWrite("Data", 4, 1, True),
    CellWrite("Data", 9, 9, None),
    CellWrite("Data", 9, 9, None),
    CellWrite("Data", 5, 1, 3),
    CellWrite("Data", 5, 1, 4),
]
SHEETS = [NewSheet("Summary", [["x"]])]


@pytest.fixture
def written(tmp_path: Path) -> Path:
    path = tmp_path / "plant.xlsx"
    path.write_bytes(edit_workbook(SOURCE, WRITES, SHEETS))
    return path


def test_a_good_copy_passes(written: Path):
    check_written(written, SOURCE, WRITES, SHEETS)
    check_written(written, written, WRITES, SHEETS)


def refused(path: Path, writes=WRITES, sheets=SHEETS) -> str:
    with pytest.raises(FileUnusable) as error:
        check_written(path, SOURCE, writes, sheets)
    return f"{error.value.code}: {error.value}"


@pytest.mark.parametrize(
    "write",
    [
        CellWrite("Data", 2, 2, 2.6),
        CellWrite("Data", 2, 2, None),
        CellWrite("Data", 2, 2, "2.5"),
        CellWrite("Data", 2, 2, True),
        CellWrite("Data", 40, 1, 1.0),
        CellWrite("Data", 4, 1, False),
    ],
)
def test_another_value_is_noticed(written: Path, write: CellWrite):
    assert "not-verified" in refused(written, [write])
    assert f"Data!{'AB'[write.column - 1]}{write.row}" in refused(written, [write])


def test_a_missing_sheet_is_noticed(written: Path):
    assert "its sheets are Data, Summary" in refused(written, (), ())


def test_a_damaged_part_is_noticed(written: Path):
    data = bytearray(zipped(unzipped(written.read_bytes()) | {"xl/picture.bin": bytes(range(256)) * 9}))
    place = data.index(b"xl/picture.bin") + 40
    data[place] ^= 255
    written.write_bytes(bytes(data))
    assert "xl/picture.bin is damaged" in refused(written)


def test_an_unreadable_sheet_is_noticed(written: Path):
    parts = unzipped(written.read_bytes())
    written.write_bytes(zipped(parts | {SHEET: parts[SHEET].replace(b"</sheetData>", b"")}))
    assert "not-verified" in refused(written)
