"""Files that are too large, or say of themselves what is not so, are refused before memory is taken."""

import os
import re
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from pipecalc import cli
from pipecalc.problems import FileUnusable, letters
from pipecalc.workbook import package_zip
from pipecalc.workbook.losses import losses
from pipecalc.workbook.package import CellWrite, edit_workbook
from pipecalc.workbook.reader import read
from tests.safety.packages import (
    SEGMENTS,
    Raw,
    changed,
    deflated,
    entries_of,
    raw_zip,
    with_shared,
    zeros,
)
from tests.workbook.books import book_bytes, small_plant

GIGABYTE = 1_000_000_000


@pytest.fixture(scope="module")
def sound() -> list[Raw]:
    return entries_of(book_bytes(small_plant()))


def refused(data: bytes | Path) -> FileUnusable:
    """Both ways into a file refuse it."""
    with pytest.raises(FileUnusable) as first:
        read(data)
    with pytest.raises(FileUnusable):
        losses(data)
    return first.value


def cell(address: str, value: str = "1") -> bytes:
    return f'<c r="{address}"><v>{value}</v></c>'.encode()


def in_first_row(more: bytes) -> bytes:
    return changed({SEGMENTS: lambda xml: xml.replace(b"</row>", more + b"</row>", 1)})


def test_the_same_entries_packed_again_are_read(sound: list[Raw]) -> None:
    assert read(raw_zip(sound)).problems == ()


# The zip file


def test_a_part_that_declares_four_gigabytes(sound: list[Raw]) -> None:
    fault = refused(raw_zip([*sound, Raw("xl/media/a.bin", zeros(10), 4_294_967_294)]))
    assert fault.code == "too-large"
    assert "4,29" in str(fault)
    assert "accepted: at most 600,000,000" in str(fault)


@pytest.mark.parametrize("name", ["xl/media/a.bin", "xl/comments9.xml"])
def test_a_part_of_ten_gigabytes_that_declares_little(sound: list[Raw], name: str) -> None:
    # A reader that trusts the declared size would unpack all of it.
    with pytest.raises(FileUnusable, match="does not have the size it declares") as fault:
        read(raw_zip([*sound, Raw(name, zeros(10_000, b"<a/>"), 1000)]))
    assert fault.value.code == "damaged"


def test_a_sheet_of_ten_gigabytes_that_declares_little(sound: list[Raw]) -> None:
    swollen = [replace(e, packed=zeros(10_000, b"<worksheet>")) if e.name == SEGMENTS else e for e in sound]
    data = raw_zip(swollen)
    with pytest.raises(FileUnusable, match="does not have the size it declares"):
        read(data)
    with pytest.raises(FileUnusable, match="damaged"):
        edit_workbook(data, [CellWrite("Segments", 3, 40, 1.0)])


def test_a_part_smaller_than_it_declares(sound: list[Raw]) -> None:
    with pytest.raises(FileUnusable, match="does not have the size it declares"):
        read(raw_zip([*sound, Raw("xl/media/a.bin", deflated(b"abc"), 4)]))


def test_a_part_that_stops_in_the_middle(sound: list[Raw]) -> None:
    with pytest.raises(FileUnusable, match="cut short"):
        read(raw_zip([*sound, Raw("xl/media/a.bin", deflated(os.urandom(1000))[:500], 1000)]))


def test_many_middling_parts(sound: list[Raw]) -> None:
    parts = [Raw(f"xl/media/{n}.bin", zeros(100)[:300_000], 100_000_000) for n in range(7)]
    fault = refused(raw_zip([*sound, *parts]))
    assert fault.code == "too-large"
    assert "bytes unpacked; accepted: at most 600,000,000" in str(fault)


def test_a_part_packed_too_tightly(sound: list[Raw]) -> None:
    fault = refused(raw_zip([*sound, Raw("xl/media/a.bin", zeros(20), 20_000_000)]))
    assert fault.code == "too-large"
    assert "times its packed size unpacked; accepted: at most 500" in str(fault)


def test_more_parts_than_any_workbook_has(sound: list[Raw], monkeypatch) -> None:
    monkeypatch.setattr(package_zip, "MAX_PARTS", 30)
    fault = refused(raw_zip([*sound, *(Raw(f"a{n}", b"", 0, method=0) for n in range(30))]))
    assert str(fault).endswith(f"{30 + len(sound)} parts; accepted: at most 30")


def test_a_list_of_parts_beyond_its_bound_is_not_read(sound: list[Raw], monkeypatch) -> None:
    monkeypatch.setattr(package_zip, "MAX_DIRECTORY", 100)
    monkeypatch.setattr(package_zip, "ZipFile", lambda *_: pytest.fail("was read"))
    assert refused(raw_zip(sound)).code == "too-large"


@pytest.mark.parametrize(
    ("entries", "words"),
    [
        ([Raw("a.bin", b"abc", 3, method=14)], "packed in a way"),
        ([Raw("a.bin", b"abc", 3, method=0), Raw("A.BIN", b"abd", 3, method=0)], "same name"),
        ([Raw("a.bin", b"abc", 3, method=0), Raw("b\\c.bin", b"", 0, 0), Raw("b/c.bin", b"", 0, 0)], "same name"),
        ([Raw("a.bin", b"abc" * 99, 297, method=0), Raw("b.bin", b"abc" * 99, 297, method=0, offset=0)], "overlap"),
    ],
)
def test_arrangements_on_which_programs_may_disagree(sound: list[Raw], entries: list[Raw], words: str) -> None:
    with pytest.raises(FileUnusable, match=words):
        read(raw_zip([*sound, *entries]))


def test_something_behind_the_end(sound: list[Raw]) -> None:
    refused(raw_zip(sound, behind=b"\0"))
    refused(raw_zip(sound, comment=raw_zip([])))
    assert read(raw_zip(sound, comment=b"a remark")).problems == ()


@pytest.mark.skipif(sys.platform == "win32", reason="writes a file with holes")
def test_a_file_too_large_on_the_disk_is_not_read(tmp_path: Path) -> None:
    path = tmp_path / "plant.xlsx"
    with path.open("wb") as file:
        file.truncate(50 * GIGABYTE)
    fault = refused(path)
    assert (fault.code, "50,000,000,000 bytes; accepted: at most 200,000,000" in str(fault)) == ("too-large", True)


@pytest.mark.skipif(sys.platform == "win32", reason="needs device files")
def test_what_is_no_ordinary_file_is_not_read(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.xlsx")
    for path in (tmp_path / "pipe.xlsx", Path("/dev/zero"), tmp_path):
        assert refused(path).code == "not-a-workbook"


@pytest.mark.parametrize("name", ["a\0b.xlsx", "x" * 5000 + ".xlsx", "x/" * 5000 + "y.xlsx"])
def test_impossible_file_names(name: str, capsys) -> None:
    assert cli.main(["check", name]) == 2
    assert "Traceback" not in capsys.readouterr().err


# The sheets


@pytest.mark.parametrize(
    "cells",
    [
        cell("ZZ1048576"),  # though it stands in row 1
        cell("XFD1") + cell("ZZ1048576") + cell("A1"),
        cell("ZZ1").replace(b'"', b"'") + cell("A1") + b'</row><row r="200000">' + cell("A200000"),
        cell("AF1") + b'</row><row r="200000">' + cell("A200000"),
    ],
)
def test_cells_far_away_wherever_they_stand(cells: bytes) -> None:
    with pytest.raises(FileUnusable, match=r"Segments reaches to row \d+ and column \d+;.*at most 4,000,000") as fault:
        read(in_first_row(cells))
    assert fault.value.code == "too-large"


@pytest.mark.parametrize("address", ["XFE1", "ZZZZ1", "A1048577", "A0", "1A", "A99999999999", "٣1", "A-1"])
def test_addresses_that_no_sheet_has(address: str) -> None:
    with pytest.raises(FileUnusable) as fault:
        read(in_first_row(cell(address)))
    assert fault.value.code == "damaged"


@pytest.mark.parametrize("number", ["-1", "0", "1048577", "9" * 5000, "1_0", " 7"])
def test_row_numbers_that_no_sheet_has(number: str) -> None:
    with pytest.raises(FileUnusable, match="damaged"):
        read(changed({SEGMENTS: lambda xml: xml.replace(b'<row r="3"', f'<row r="{number}"'.encode())}))


def test_a_declared_extent_takes_no_memory() -> None:
    declared = b'<dimension ref="A1:XFD1048576"/>'
    book = read(changed({SEGMENTS: lambda xml: xml.replace(b'<dimension ref="A1:AE5"/>', declared)}))
    assert book.problems == ()
    assert len(book.rows["Segments"]) == 3


def test_all_sheets_together(monkeypatch) -> None:
    monkeypatch.setattr("pipecalc.workbook.package_extent.MAX_ALL_CELLS", 300)
    with pytest.raises(FileUnusable, match="cells in the sheets that are read; accepted: at most 300"):
        read(book_bytes(small_plant()))


def test_many_shared_texts(monkeypatch) -> None:
    monkeypatch.setattr("pipecalc.workbook.package_scan.MAX_STRINGS", 1000)
    fault = refused_by_reader(with_shared(b"<si><t>a</t></si>" * 1500, b""))
    assert "1,500 shared texts; accepted: at most 1,000" in str(fault)


def refused_by_reader(data: bytes) -> FileUnusable:
    with pytest.raises(FileUnusable) as fault:
        read(data)
    assert fault.value.code == "too-large"
    return fault.value


def test_one_long_text_in_many_cells() -> None:
    # Half a megabyte that would become several gigabytes of text.
    rows = b"".join(
        f'<row r="{n}">'.encode()
        + b"".join(f'<c r="{letters(c)}{n}" t="s"><v>0</v></c>'.encode() for c in range(1, 101))
        + b"</row>"
        for n in range(6, 206)
    )
    fault = refused_by_reader(with_shared(b"<si><t>" + b"ab" * 16_000 + b"</t></si>", rows))
    assert "bytes of text in the cells that are read; accepted: at most 300,000,000" in str(fault)


def test_a_long_text_that_few_cells_hold_beside_many_short_ones() -> None:
    rows = b"".join(
        f'<row r="{n}">'.encode()
        + b"".join(f'<c r="{letters(c)}{n}" t="s"><v>1</v></c>'.encode() for c in range(40, 140))
        + b"</row>"
        for n in range(6, 206)
    )
    strings = b"<si><t>" + b"ab" * 16_000 + b"</t></si><si><t>b</t></si>"
    assert read(with_shared(strings, rows)).problems == ()


def test_a_text_longer_than_a_cell_holds_is_an_error_of_the_cell() -> None:
    rows = small_plant()
    rows["Segments"][0]["remark"] = "x" * 32_000
    data = book_bytes(rows)
    assert read(data).problems == ()
    grown = changed({SEGMENTS: lambda xml: xml.replace(b"HW-1", b"x" * 40_000, 1)})
    found = [p for p in read(grown).problems if p.code == "text-long"]
    assert [p.sentence() for p in found] == ["Segments!A3: 40,000 characters; accepted: at most 32,767"]


@pytest.mark.parametrize("place", [b"<sheetData>", b"</sheetData>", b"</row>"])
def test_a_sheet_that_would_become_a_huge_tree(place: bytes, monkeypatch) -> None:
    monkeypatch.setattr("pipecalc.workbook.package_xml.MAX_TAGS", 20_000)
    with pytest.raises(FileUnusable, match="more than 20,000 tags"):
        read(changed({SEGMENTS: lambda xml: xml.replace(place, b"<a/>" * 21_000 + place, 1)}))


def test_a_workbook_part_that_would_become_a_huge_tree() -> None:
    tags = b"".join(b'<a b="%d"/>' % n for n in range(1_000_001))
    data = changed({"xl/workbook.xml": lambda xml: xml.replace(b"</workbook>", tags + b"</workbook>")})
    assert "tags; accepted: at most 1,000,000" in str(refused(data))


def test_elements_nested_without_end() -> None:
    deep = b"<a>" * 100_000 + b"</a>" * 100_000
    refused(changed({"xl/workbook.xml": lambda xml: xml.replace(b"</workbook>", deep + b"</workbook>")}))
    with pytest.raises(FileUnusable):
        read(changed({SEGMENTS: lambda xml: xml.replace(b"</sheetData>", b"</sheetData>" + deep)}))


def test_merged_cells_that_overlap_a_thousandfold() -> None:
    merged = b"<mergeCells>" + b'<mergeCell ref="A1:XFD1048576"/>' * 300 + b"</mergeCells>"
    with pytest.raises(FileUnusable, match="merged cells overlap"):
        read(changed({SEGMENTS: lambda xml: xml.replace(b"</sheetData>", cell_rows(2000) + b"</sheetData>" + merged)}))


def cell_rows(count: int) -> bytes:
    return b"".join(f'<row r="{n}"><c r="A{n}"><v>1</v></c></row>'.encode() for n in range(6, 6 + count))


# The plant


def test_rows_over_their_bound_are_told_for_all_sheets_at_once(monkeypatch) -> None:
    monkeypatch.setattr("pipecalc.workbook.reader.MAX_ROWS", {"Segments": 2, "Lines": 1, "Nozzles": 0})
    fault = refused_by_reader(book_bytes(small_plant()))
    assert "Segments: 3 rows; accepted: at most 2" in str(fault)
    assert "Nozzles: 2 rows; accepted: at most 0" in str(fault)
    assert "Lines" not in str(fault)


BOMB = """
import resource, sys
resource.setrlimit(resource.RLIMIT_AS, (1_200_000_000, 1_200_000_000))
from pipecalc import cli
status = cli.main(["check", *sys.argv[1:]])
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024)
sys.exit(status)
"""


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="bounds the memory of a process")
def test_none_of_them_takes_much_memory(sound: list[Raw], tmp_path: Path) -> None:
    books = {
        "lying": raw_zip([*sound, Raw("xl/comments9.xml", zeros(10_000, b"<a/>"), 1000)]),
        "open": raw_zip([*sound, Raw("xl/media/a.bin", zeros(10), 4_294_967_294)]),
        "far": in_first_row(cell("XFD1048576")),
        "strings": with_shared(b"<si><t>a</t></si>" * 1_000_000, b""),
        "tree": changed({SEGMENTS: lambda xml: xml.replace(b"</row>", b"<c/>" * 10_000_000 + b"</row>", 1)}),
    }
    for name, data in books.items():
        (tmp_path / f"{name}.xlsx").write_bytes(data)
    paths = sorted(tmp_path.iterdir())
    done = subprocess.run([sys.executable, "-c", BOMB, *paths], capture_output=True, text=True, check=False)
    assert done.returncode == 2
    assert "Traceback" not in done.stderr
    told = [line for line in done.stderr.splitlines() if re.search("is too large|reaches to row|is damaged", line)]
    assert len(told) == len(paths)
    assert int(done.stdout.splitlines()[-1]) < 900_000_000
