"""Plain rows are told from the bytes as a parser of the whole sheet tells them, and what is not plain is left."""

import random
import re

import pytest
from lxml import etree
from package_samples import MAIN, SHEET, bare_book, unzipped

from pipecalc.problems import FileUnusable, letters
from pipecalc.workbook import package_scan
from pipecalc.workbook.package_extent import Budget
from pipecalc.workbook.package_plain import plain_rows
from pipecalc.workbook.package_scan import SheetScan

HEAD = (
    f'<?xml version="1.0" encoding="UTF-8"?>\n<worksheet xmlns="{MAIN}" xmlns:x14ac="http://example.com/ac">'
    '<dimension ref="A1:C9"/><cols><col min="1" max="3" width="9"/></cols>'
)
TAIL = '<mergeCells count="1"><mergeCell ref="A4:A5"/></mergeCells></worksheet>'
ROWS = (
    '<row r="1" spans="1:3" x14ac:dyDescent="0.25"><c r="A1" s="1" t="s"><v>0</v></c><c r="B1" s="2"/></row>',
    '<row r="2" ht="30" customHeight="1"><c r="A2" t="inlineStr"><is><t xml:space="preserve">&gt;€ </t></is></c></row>',
    '<row r="3"><c r="A3"><v>1.5</v></c><c r="B3" t="b"><v>1</v></c><c r="C3" t="n"><v /></c></row>',
    '<row r="4"><c r="A4"><f>A3+1</f><v>2.5</v></c><c r="B4"><f>A3</f><v></v></c></row>',
    '<row r="5"><c r="A5" t="str"><f>""</f><v></v></c><c r="C5" t="e"><v>#DIV/0!</v></c></row>',
    '<row r="6" hidden="1"><c r="A6"><v>3</v></c></row>',
    '<row r="7" hidden="false"/>',
    '<row r="8"><c r="A8" t="inlineStr"><is><r><t>rich</t></r></is></c></row>',
    '<row r="9"><c r="A9"><f aca="false">1+1</f><v>2</v></c><c r="B9"><f t="shared" si="0"/><v>7</v></c></row>',
)
SHEET_TEXT = f"{HEAD}<sheetData>{''.join(ROWS)}</sheetData>{TAIL}".encode()

#: What is put at random places of a sheet.
SPLINTERS = (
    b"<!-- <row> -->",
    b"<![CDATA[<row r='2'/>]]>",
    b"<?a b?>",
    b"<!DOCTYPE a>",
    b"&m;",
    b"&#0;",
    b"&#65;",
    b"&amp;",
    b"&",
    b"\0",
    b"\x0b",
    b"\xff",
    b"\xef\xbf\xbe",
    b"\xed\xa0\x80",
    b"\xe2\x82\xac",
    b"]]>",
    b"<",
    b">",
    b'"',
    b"'",
    b" ",
    b"\n",
    b"/",
    b"<row r='9'/>",
    b'<row r="12"/>',
    b"<row><c><v>1</v></c></row>",
    b'<row r="1048577"><c r="A1048577"><v>1</v></c></row>',
    b'<row r="1048576"><c r="XFD1048576"><v>1</v></c></row>',
    b"<c/>",
    b'<c r="ZZ3"><v>1</v></c>',
    b'<c r="XFE3"><v>1</v></c>',
    b'<c r="A0"/>',
    b"<f>1</f>",
    b"<v>1</v>",
    b"<x:v>1</x:v>",
    b"<a>",
    b"</a>",
    b"</c>",
    b"</row>",
    b"<sheetData>",
    b"</sheetData>",
    b"</sheetData><sheetData>",
    b' r="5"',
    b' s="1"',
    b' t="e"',
    b' hidden="1"',
    b' hidden="true"',
    b' spans="1:2"',
    b' x:y="1"',
    b' x14ac:dyDescent="1"',
    b"ZZ",
    b"99999",
)


#: What may change places with its like.
PIECES = (
    rb"<row .*?(?:</row>|/>)",
    rb"<c [^<>]*/>|<c .*?</c>",
    rb"<v>.*?</v>|<f.*?</f>",
    rb' \w+="[^"]*"',
    rb">[^<>]*<",
)


def mutated(number: int) -> bytes:
    """A sheet with one to three faults or oddities, told by its number."""
    pick = random.Random(number)  # noqa: S311 - not for secrets
    xml = SHEET_TEXT
    for _ in range(pick.choice((1, 1, 2, 3))):
        if pick.random() < 0.8:  # a whole piece goes, comes twice, or takes the place of another
            start = max(xml.find(b"<sheetData>"), 0)
            pieces = [found.span() for found in re.compile(pick.choice(PIECES)).finditer(xml, start)] or [
                (start, start)
            ]
            (place, end), other = pick.choice(pieces), slice(*pick.choice(pieces))
            middle = pick.choice((b"", xml[place:end] * 2, xml[other], xml[other], pick.choice(SPLINTERS)))
        else:
            place = pick.choice([found.start() for found in re.finditer(rb"[<>]", xml)]) + pick.choice((0, 0, 1, 5))
            end, middle = place + pick.choice((0, 0, 0, 1, 9)), pick.choice(SPLINTERS)
        xml = xml[:place] + middle + xml[end:]
    return xml


def scanned(xml: bytes) -> SheetScan | str:
    """What is found in a sheet, or how it is refused; numbers in messages may differ."""
    try:
        return package_scan._scan_sheet(xml, "sheet", Budget("book", []))
    except FileUnusable as fault:
        return re.sub(r"\d+", "0", f"{fault.code}: {fault}")
    except (ValueError, etree.XMLSyntaxError):
        return "damaged"


@pytest.mark.parametrize("first", range(0, 6000, 1000))
def test_what_is_found_does_not_depend_on_the_way(first: int, monkeypatch) -> None:
    mutants = [SHEET_TEXT, *map(mutated, range(first, first + 1000))]
    quickly = [scanned(xml) for xml in mutants]
    taken = sum(plain_rows(xml) is not None for xml in mutants)
    monkeypatch.setattr(package_scan, "plain_rows", lambda _: None)
    assert [n for n, xml in enumerate(mutants) if scanned(xml) != quickly[n]] == []
    assert taken > 100
    assert len({str(found) for found in quickly}) > 20


def test_plain_rows_are_taken_and_the_others_left() -> None:
    found = plain_rows(SHEET_TEXT)
    assert found is not None
    assert found.numbers == [1, 2, 3, 4, 5, 6, 7, 8, 9]
    assert found.others == [4, 5, 6, 8]
    assert (found.last_row, found.last_column, found.filled, found.has_formulas) == (9, 3, 4, True)
    others = "".join(ROWS[n - 1] for n in found.others)
    assert found.rest == f"{HEAD}<sheetData>{others}</sheetData>{TAIL}".encode()


@pytest.mark.parametrize(
    "change",
    [
        lambda xml: xml.replace(b"UTF-8", b"us-ascii"),
        lambda xml: xml.replace(b'version="1.0"', b'version="1.1"'),
        lambda xml: xml.replace(b"<sheetData>", b"<!-- --><sheetData>"),
        lambda xml: xml.replace(b"</worksheet>", b"<?a b?></worksheet>"),
        lambda xml: xml.replace(b"<sheetData>", b"<row/><sheetData>"),
        lambda xml: xml.replace(b"<sheetData>", b"<f>1</f><sheetData>"),
        lambda xml: xml.replace(b"</worksheet>", b'<row r="10"/></worksheet>'),
        lambda xml: xml.replace(b'<row r="4"', b"<row"),
        lambda xml: xml.replace("€".encode(), b"\xa4"),
        lambda xml: xml.replace("€".encode(), b"\xef\xbf\xbf"),
        lambda xml: xml.replace(b"sheetData", b"x:sheetData"),
        lambda xml: xml.replace(b"<sheetData>", b"<sheetData ><!-- -->"),
    ],
)
def test_sheets_that_are_parsed_as_a_whole(change) -> None:
    assert change(SHEET_TEXT) != SHEET_TEXT
    assert plain_rows(change(SHEET_TEXT)) is None


@pytest.mark.parametrize(
    "row",
    [
        '<row r="3"><c r="A4"><v>1</v></c></row>',
        '<row r="3" hidden="1"/>',
        '<row r="3" spans="1:2" spans="1:2"/>',
        '<row r="3" y14:a="1"/>',
        '<row r="03"/>',
        '<row r="3"><c r="A3" s="1" s="1"/></row>',
        '<row r="3"><c r="A3"><v>1</v><v>2</v></c></row>',
        '<row r="3"><c r="A3"><v>&#65;</v></c></row>',
        '<row r="3"><c r="A3"><v>a]]></v></c></row>',
        '<row r="3"><c r="A3"><f>1</f></c></row>',
        '<row r="3"><c r="A3"><f>1</f><v> </v></c></row>',
        '<row r="3"><c r="A3"><f t="array" ref="A3">1</f><v>1</v></c></row>',
        '<row r="3"><c r="A3" t="e"><v>#N/A</v></c></row>',
        '<row r="3"><c r="A3" t="d"><v>2025-01-01</v></c></row>',
        '<row r="3"><c r="A3"/><extLst/></row>',
        f'<row r="3"><c r="A3" t="inlineStr"><is><t>{"x" * 1_000_001}</t></is></c></row>',
    ],
)
def test_rows_that_are_left_to_the_parser(row: str) -> None:
    found = plain_rows(f"{HEAD}<sheetData>{row}</sheetData>{TAIL}".encode())
    assert found is not None
    assert row.encode() in found.rest
    assert found.filled == 0


def test_the_rows_of_written_workbooks_are_plain() -> None:
    rows = "".join(
        f'<row r="{n}">' + "".join(f'<c r="{letters(c)}{n}"><v>{c}</v></c>' for c in range(1, 40)) + "</row>"
        for n in range(1, 50)
    )
    found = plain_rows(unzipped(bare_book(f"<sheetData>{rows}</sheetData>"))[SHEET])
    assert found is not None
    assert (found.others, found.filled, found.last_row, found.last_column) == ([], 49, 49, 39)
