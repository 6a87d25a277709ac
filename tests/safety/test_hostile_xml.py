"""Document types, entities and inclusions in any part do nothing, whatever encoding they hide in."""

import pytest

from pipecalc.problems import FileUnusable
from pipecalc.workbook.losses import losses
from pipecalc.workbook.package import CellWrite, NewSheet, edit_workbook
from pipecalc.workbook.package_xml import XmlRefused, parse_xml
from pipecalc.workbook.reader import read
from tests.safety.packages import MAIN, SEGMENTS, changed, with_shared

READ_PARTS = ["xl/workbook.xml", "xl/_rels/workbook.xml.rels", "_rels/.rels", "xl/styles.xml", SEGMENTS]
WRITTEN_PARTS = ["[Content_Types].xml", "xl/workbook.xml", "xl/_rels/workbook.xml.rels", "xl/styles.xml", SEGMENTS]
LAUGHS = (
    b'<!DOCTYPE a [<!ENTITY a "ha">'
    + b"".join(b'<!ENTITY %c "%b">' % (98 + n, b"&%c;" % (97 + n) * 10) for n in range(12))
    + b"]>"
)
EXTERNAL = b'<!DOCTYPE a [<!ENTITY m SYSTEM "file:///etc/passwd">]>'
OUTSIDE = b'<!DOCTYPE a SYSTEM "http://127.0.0.1:9/a.dtd">'
PARAMETER = b'<!DOCTYPE a [<!ENTITY % p SYSTEM "http://127.0.0.1:9/p.dtd"> %p;]>'
HIDDEN = b"<!-- " + b"x" * 5000 + b" --><?a b?>\n" + EXTERNAL
DECLARED = b'<?xml version="1.0" encoding="UTF-8"?>\n'


def edit(data: bytes) -> bytes:
    return edit_workbook(data, [CellWrite("Segments", 3, 40, 1.0)], [NewSheet("Summary", [["x"]])])


@pytest.fixture(autouse=True)
def no_way_out(monkeypatch):
    import socket

    monkeypatch.setattr(socket.socket, "connect", lambda *_: pytest.fail("a connection was opened"))


@pytest.mark.parametrize("part", READ_PARTS)
@pytest.mark.parametrize("doctype", [LAUGHS, EXTERNAL, OUTSIDE, PARAMETER, HIDDEN, b"<!doctype a>", DECLARED + LAUGHS])
def test_the_reader_refuses_document_types(part: str, doctype: bytes) -> None:
    with pytest.raises(FileUnusable, match="declares a document type") as fault:
        read(changed({part: lambda xml: doctype + xml.replace(DECLARED, b"")}))
    assert fault.value.code == "damaged"


@pytest.mark.parametrize("part", WRITTEN_PARTS)
@pytest.mark.parametrize("doctype", [LAUGHS, EXTERNAL, OUTSIDE, PARAMETER, HIDDEN, DECLARED + LAUGHS])
def test_the_writer_refuses_document_types(part: str, doctype: bytes) -> None:
    with pytest.raises(FileUnusable) as fault:
        edit(changed({part: lambda xml: doctype + xml.replace(DECLARED, b"")}))
    assert fault.value.code == "not-a-workbook"


@pytest.mark.parametrize("doctype", [LAUGHS, HIDDEN])
def test_parts_that_only_the_reader_of_values_opens(doctype: bytes) -> None:
    data = changed(extra={"xl/sharedStrings.xml": doctype + b'<sst xmlns="%b"/>' % MAIN.encode()})
    with pytest.raises(FileUnusable, match="declares a document type"):
        read(data)


def test_entities_without_a_document_type_are_no_xml() -> None:
    for old in (b"<v>", b"<t>"):
        with pytest.raises(FileUnusable, match="damaged"):
            read(changed({SEGMENTS: lambda xml, old=old: xml.replace(old, old + b"&m;", 1)}))


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-16-be", "utf-32", "utf-7", "cp037", "iso-8859-1"])
@pytest.mark.parametrize("part", READ_PARTS)
def test_the_reader_takes_no_encoding_that_hides_something(part: str, encoding: str) -> None:
    # The reader of values takes every part for UTF-8: it would find nothing in the sheet, without a word.
    def recoded(xml: bytes) -> bytes:
        text = xml.decode("utf-8").removeprefix(DECLARED.decode())
        return f'<?xml version="1.0" encoding="{encoding}"?>{text}'.encode(encoding)

    with pytest.raises(FileUnusable):
        read(changed({part: recoded}))


@pytest.mark.parametrize("encoding", ["utf-7", "cp037", "utf-32", "ucs-4", "hz", "nonsense", "UTF-16LE\x00"])
def test_the_writer_takes_the_usual_encodings_only(encoding: str) -> None:
    hidden = f'<?xml version="1.0" encoding="{encoding}"?>+ADwAIQ-DOCTYPE a +AFs-+ADwAIQ-ENTITY b "c"+AF0APg-<a/>'
    with pytest.raises(XmlRefused):
        parse_xml(hidden.encode("ascii"), plain=False)


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-16-be"])
@pytest.mark.parametrize("mark", ["\ufeff", ""])
def test_a_document_type_in_another_encoding_is_seen(encoding: str, mark: str) -> None:
    mark = "" if encoding == "utf-16" else mark
    text = f'{mark}<?xml version="1.0" encoding="UTF-16"?><!DOCTYPE a [<!ENTITY b "c">]><a>&b;</a>'
    with pytest.raises(XmlRefused):
        parse_xml(text.encode(encoding), plain=False)


def test_attributes_take_nothing_from_outside() -> None:
    with pytest.raises(XmlRefused):
        parse_xml(b'<!DOCTYPE a [<!ATTLIST a b CDATA "c">]><a/>', plain=True)


def test_a_prolog_without_end() -> None:
    with pytest.raises(FileUnusable, match="does not begin within 65,536 bytes"):
        read(changed({"xl/styles.xml": lambda xml: b"<!--" + b"x" * 70_000 + b"-->" + xml}))


def test_inclusions_are_not_followed() -> None:
    include = b'<xi:include xmlns:xi="http://www.w3.org/2001/XInclude" href="file:///etc/passwd" parse="text"/>'
    cell = b'<c r="B5" t="inlineStr"><is><t>' + include + b"</t></is></c>"
    data = changed({SEGMENTS: lambda xml: xml.replace(b"</sheetData>", b'<row r="6">' + cell + b"</row></sheetData>")})
    assert "root:" not in repr(read(data))
    assert b"root:" not in edit(data)


def test_references_to_other_files_are_kept_and_never_followed() -> None:
    link = (
        b'<Relationship Id="rId98" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/externalLink"'
        b' Target="file:///etc/passwd" TargetMode="External"/></Relationships>'
    )
    data = changed({"xl/_rels/workbook.xml.rels": lambda xml: xml.replace(b"</Relationships>", link)})
    assert read(data).problems == ()
    assert losses(data) == []
    assert len(edit(data)) > 0


@pytest.mark.parametrize(
    "target", ["file:///etc/passwd", "http://127.0.0.1:9/sheet.xml", "../../../../etc/passwd", "/"]
)
def test_a_sheet_that_lies_elsewhere_is_missing(target: str) -> None:
    part = "xl/_rels/workbook.xml.rels"
    data = changed({part: lambda xml: xml.replace(b"/xl/worksheets/sheet4.xml", target.encode())})
    for call in (read, edit):
        with pytest.raises(FileUnusable):
            call(data)


def test_formulas_are_never_calculated() -> None:
    rows = (
        b'<row r="6"><c r="A6" t="str"><f>"HW"&amp;"-1"</f><v>HW-1</v></c><c r="C6" t="str"><f>HYPERLINK("x")</f>'
        b'<v>50</v></c><c r="D6"><f>WEBSERVICE("http://127.0.0.1:9")+1</f><v>7</v></c></row>'
    )
    data = changed({SEGMENTS: lambda xml: xml.replace(b"</sheetData>", rows + b"</sheetData>")})
    (row,) = (r for r in read(data).rows["Segments"] if r.number == 6)
    assert (row["to"], row["east"]) == ("50", 7.0)
    unset = changed(
        {SEGMENTS: lambda xml: xml.replace(b"</sheetData>", rows.replace(b"<v>7</v>", b"") + b"</sheetData>")}
    )
    assert [p.code for p in read(unset).problems] == ["formulas-stale", "formula-no-value"]


def test_shared_texts_in_another_encoding_are_refused() -> None:
    assert read(with_shared(b"<si><t>a</t></si>", b"")).problems == ()
    with pytest.raises(FileUnusable, match="encoding"):
        read(with_shared(b"<si><t>a</t></si>", b"", encoding="utf-16"))
