"""Sheets that are allowed by the standard, though few programs write them so; and what is refused."""

import io
import zipfile

import pytest
from lxml import etree
from package_samples import MAIN, SHEET, STRICT, bare_book, differing, opened, unzipped, values, without, zipped

from pipecalc.problems import FileUnusable
from pipecalc.workbook import package_zip
from pipecalc.workbook.losses import losses
from pipecalc.workbook.package import CellStyle, CellWrite, NewSheet, TargetBlocked, edit_workbook

CALC_CHAIN = {
    "xl/calcChain.xml": f'<calcChain xmlns="{MAIN}"><c r="B1" i="1"/><c r="C1"/></calcChain>'.encode(),
}
CALC_RELATION = (
    '<Relationship Id="rId9" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/calcChain" '
    'Target="/xl/calcChain.xml"/>'
)
CALC_TYPE = (
    '<Override PartName="/xl/calcChain.xml" '
    'ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.calcChain+xml"/>'
)


def put(rows: str, *targets: tuple[int, int, object], **options) -> tuple[bytes, bytes]:
    before = bare_book(rows, **options)
    return before, edit_workbook(before, [CellWrite("Data", *target) for target in targets])


def order(data: bytes) -> list[str]:
    root = etree.fromstring(unzipped(data)[SHEET])
    return [f"{row.get('r')}:{cell.get('r')}" for row in root.iter("{*}row") for cell in row.iter("{*}c")]


@pytest.mark.parametrize("rows", ["<sheetData/>", "<sheetData></sheetData>", "<sheetData />"])
def test_no_rows_at_all(rows: str):
    _, after = put(rows, (3, 2, 1.5), (1, 1, "t"))
    assert order(after) == ["1:A1", "3:B3"]
    assert values(after, "Data") == {"A1": "t", "B3": 1.5}


def test_rows_without_content():
    rows = '<sheetData><row r="1"/><row r="2" ht="30" customHeight="1"/><row r="4"></row><row r="6"/></sheetData>'
    _, after = put(rows, (2, 1, 1), (3, 1, 2), (6, 1, 3), (7, 1, 4))
    assert order(after) == ["2:A2", "3:A3", "6:A6", "7:A7"]
    root = etree.fromstring(unzipped(after)[SHEET])
    assert [row.get("r") for row in root.iter("{*}row")] == ["1", "2", "3", "4", "6", "7"]
    assert root.find(".//{*}row[@r='2']").get("ht") == "30"


def test_addresses_left_out():
    rows = "<sheetData><row><c><v>1</v></c><c><v>2</v></c></row><row r='5'><c/><c r='D5'><v>3</v></c></row></sheetData>"
    _, after = put(rows + "", (1, 2, 20), (2, 1, 21), (5, 3, 30))
    assert values(after, "Data") == {"A1": 1, "B1": 20, "A2": 21, "C5": 30, "D5": 3}
    assert order(after) == ["1:A1", "1:B1", "2:A2", "5:A5", "5:C5", "5:D5"]


def test_rows_and_cells_out_of_order():
    rows = (
        '<sheetData><row r="5"><c r="C5"><v>1</v></c><c r="A5"><v>2</v></c></row>'
        '<row r="2"><c r="B2"><v>3</v></c></row></sheetData>'
    )
    before, after = put(rows, (5, 1, 20), (5, 2, 21), (2, 3, 22), (3, 1, 23))
    assert values(after, "Data") == {"A5": 20, "B5": 21, "C5": 1, "B2": 3, "C2": 22, "A3": 23}
    cells = ["A5", "B5", "C2", "A3"]
    assert without(unzipped(before)[SHEET], cells) == without(unzipped(after)[SHEET], cells)


@pytest.mark.parametrize("namespace", [MAIN, STRICT])
def test_prefixed_elements(namespace: str):
    rows = '<x:sheetData><x:row r="1"><x:c r="A1"><x:f>1+1</x:f><x:v>2</x:v></x:c></x:row></x:sheetData>'
    options = {"prefix": "x:", "namespace": namespace, "head": '<x:dimension ref="A1"/>'}
    before, after = put(rows, (1, 2, "t"), (2, 1, 4.0), **options)
    root = etree.fromstring(unzipped(after)[SHEET])
    assert root.nsmap == {"x": namespace}
    assert {element.prefix for element in root.iter()} == {"x"}
    assert root.find("{*}dimension").get("ref") == "A1:B2"
    assert without(unzipped(before)[SHEET], ["B1", "A2"]) == without(unzipped(after)[SHEET], ["B1", "A2"])
    assert edit_workbook(after, [CellWrite("Data", 1, 2, "t"), CellWrite("Data", 2, 1, 4.0)]) == after


def test_strict_workbook_takes_new_sheets_and_formats():
    before = bare_book("<sheetData/>", namespace=STRICT)
    bold = CellWrite("Data", 1, 1, 1.0, CellStyle(bold=True))
    after = edit_workbook(before, [bold], [NewSheet("Summary", [["x"]], repeat_row=1)])
    parts = unzipped(after)
    assert all(STRICT.encode() in parts[n] for n in ("xl/worksheets/sheet2.xml", "xl/styles.xml", "xl/workbook.xml"))
    assert MAIN.encode() not in b"".join(parts.values())
    assert edit_workbook(after, [bold], [NewSheet("Summary", [["x"]], repeat_row=1)]) == after


def test_formats_where_there_were_none():
    _, after = put("<sheetData/>", (1, 1, 2.0, CellStyle(number_format="0.0", italic=True, size=14)))
    cell = opened(after)["Data"]["A1"]
    assert (cell.number_format, cell.font.i, cell.font.sz, cell.font.b) == ("0.0", True, 14, False)


def test_remarks_blanks_and_other_quotes():
    rows = """<!-- <sheetData> -->
    <sheetData>
      <row r='1' spans='1:2'>
        <c r='A1' s='0' ><v>1</v></c > <!-- a remark -->
        <c t="str" r="B1"><f>"a>b"</f><v>a&gt;b</v></c>
      </row >
    </sheetData>"""
    before, after = put(rows, (1, 1, 5), (1, 4, 6))
    assert values(after, "Data") == {"A1": 5, "B1": "a>b", "D1": 6}
    assert etree.fromstring(unzipped(after)[SHEET]).find(".//{*}row").get("spans") == "1:4"
    assert b"<!-- <sheetData> -->" in unzipped(after)[SHEET]
    assert values(before, "Data")["A1"] == 1


@pytest.mark.parametrize("encoding", ["UTF-16", "ISO-8859-1", "UTF-8"])
def test_other_encodings(encoding: str):
    text = f'<?xml version="1.0" encoding="{encoding}"?><worksheet xmlns="{MAIN}"><sheetData><row r="1">'
    text += '<c r="A1" t="inlineStr"><is><t>Düse</t></is></c></row></sheetData></worksheet>'
    after = edit_workbook(bare_book("", sheet=text.encode(encoding)), [CellWrite("Data", 1, 2, "é 温")])
    assert values(after, "Data") == {"A1": "Düse", "B1": "é 温"}


def test_rich_text_in_place_is_kept():
    rows = (
        '<sheetData><row r="1"><c r="A1" t="inlineStr"><is><r><rPr><b/><color rgb="FF00FF00"/><charset val="1"/>'
        '</rPr><t>bold</t></r></is></c><c r="B1"><v>1</v></c></row></sheetData>'
    )
    before, after = put(rows, (1, 2, 2), (1, 3, 3))
    assert without(unzipped(before)[SHEET], ["B1", "C1"]) == without(unzipped(after)[SHEET], ["B1", "C1"])
    assert values(after, "Data") == {"A1": "bold", "B1": 2, "C1": 3}


@pytest.mark.parametrize(("spans", "expected"), [("2:3", "2:5"), ("1:9", "1:9"), ("1:2 4:6", None)])
def test_hint_of_the_rows_extent(spans: str, expected: str | None):
    _, after = put(f'<sheetData><row r="1" spans="{spans}"><c r="B1"/></row></sheetData>', (1, 5, 1))
    assert etree.fromstring(unzipped(after)[SHEET]).find(".//{*}row").get("spans") == expected


def test_a_rows_own_format_is_taken_over():
    rows = '<sheetData><row r="1" s="3" customFormat="1"/><row r="2" s="3"/></sheetData>'
    _, after = put(rows, (1, 1, 1), (2, 1, 1), head='<cols><col min="1" max="1" width="9" style="2"/></cols>')
    cells = etree.fromstring(unzipped(after)[SHEET]).iterfind(".//{*}c")
    assert [cell.get("s") for cell in cells] == ["3", "2"]


def test_marks_of_cell_pictures_and_spilled_arrays_go_with_the_old_value():
    rows = '<sheetData><row r="1"><c r="A1" s="1" t="e" vm="1" cm="1"><f>X()</f><v>#VALUE!</v></c></row></sheetData>'
    _, after = put(rows, (1, 1, 7))
    cell = etree.fromstring(unzipped(after)[SHEET]).find(".//{*}c")
    assert (dict(cell.attrib), [child.tag for child in cell]) == ({"r": "A1", "s": "1"}, [f"{{{MAIN}}}v"])


SHARED = (
    '<sheetData><row r="1"><c r="A1"><v>1</v></c><c r="B1"><f t="shared" ref="B1:B4" si="0">A1*2&amp;"&lt;"</f>'
    '<v>2</v></c></row><row r="2"><c r="B2"><f t="shared" si="0"/><v>4</v></c></row>'
    '<row r="3"><c r="B3"><f t="shared" si="0"/><v>6</v></c><c r="C3"><f t="shared" ref="C3:C4" si="1">$A$1+A3</f>'
    '<v>9</v></c></row><row r="4"><c r="B4"><f t="shared" ca="1" si="0"></f><v>8</v></c>'
    '<c r="C4"><f t="shared" si="1"/><v>9</v></c></row></sheetData>'
)


def test_members_of_a_shared_formula_are_written_out_when_its_first_cell_goes():
    before, after = put(SHARED, (1, 2, 10), (3, 2, 30))
    found = values(after, "Data", computed=False)
    assert (found["B1"], found["B2"], found["B3"], found["B4"]) == (10, '=A2*2&"<"', 30, '=A4*2&"<"')
    assert {a: v for a, v in values(after, "Data").items() if a in ("B2", "B4")} == {"B2": 4, "B4": 8}
    assert without(unzipped(before)[SHEET], ["B1", "B2", "B3", "B4"]) == without(
        unzipped(after)[SHEET], ["B1", "B2", "B3", "B4"]
    )
    assert b'ca="1"' in unzipped(after)[SHEET]


def test_a_shared_formula_stays_when_another_member_goes():
    before, after = put(SHARED, (2, 2, 20))
    assert without(unzipped(before)[SHEET], ["B2"]) == without(unzipped(after)[SHEET], ["B2"])
    assert values(after, "Data", computed=False)["B4"] == '=A4*2&"<"'


ARRAY = (
    '<sheetData><row r="1"><c r="B1"><f t="array" ref="B1:B2">A1:A2*2</f><v>2</v></c>'
    '<c r="C1"><f t="array" ref="C1">SUM(A1:A2*2)</f><v>2</v></c></row>'
    '<row r="2"><c r="B2"><v>4</v></c></row></sheetData>'
)


def test_part_of_an_array_formula_is_refused():
    for row in (1, 2):
        with pytest.raises(TargetBlocked) as refused:
            put(ARRAY, (row, 2, 1.0))
        assert [str(b.address) for b in refused.value.blocks] == [f"Data!B{row}"]
        assert "array formula in B1" in refused.value.blocks[0].reason


def test_a_whole_array_formula_is_replaced():
    _, after = put(ARRAY, (1, 2, 1.0), (2, 2, 2.0), (1, 3, 3.0))
    assert values(after, "Data", computed=False) == {"B1": 1, "B2": 2, "C1": 3}


def test_merged_cells_are_refused_all_at_once():
    tail = '<mergeCells count="2"><mergeCell ref="A1:B2"/><mergeCell ref="D:D"/></mergeCells>'
    with pytest.raises(TargetBlocked) as refused:
        put("<sheetData/>", (1, 1, 1), (2, 2, 1), (2, 3, 1), (9, 9, 1), tail=tail)
    assert [str(b.address) for b in refused.value.blocks] == ["Data!A1", "Data!B2"]
    assert "A1:B2" in str(refused.value)


def test_unknown_sheets_and_sheets_without_cells_are_refused():
    from package_samples import openpyxl_book

    with pytest.raises(TargetBlocked) as refused:
        edit_workbook(openpyxl_book(), [CellWrite("Picture", 1, 1, 1), CellWrite("Nowhere", 1, 1, 1)])
    assert [(b.address.sheet, b.reason) for b in refused.value.blocks] == [
        ("Picture", "the sheet holds no cells"),
        ("Nowhere", "there is no such sheet"),
    ]


def chained(rows: str, **options) -> bytes:
    return bare_book(rows, parts=CALC_CHAIN, overrides=CALC_TYPE, book_relations=CALC_RELATION, **options)


CHAIN_ROWS = '<sheetData><row r="1"><c r="B1"><f>1+1</f><v>2</v></c><c r="C1"><f>2+2</f><v>4</v></c></row></sheetData>'


def test_the_calculation_chain_goes_when_a_formula_goes():
    after = edit_workbook(chained(CHAIN_ROWS), [CellWrite("Data", 1, 2, 5.0)])
    parts = unzipped(after)
    assert "xl/calcChain.xml" not in parts
    assert b"calcChain" not in parts["[Content_Types].xml"] + parts["xl/_rels/workbook.xml.rels"]
    assert values(after, "Data") == {"B1": 5, "C1": 4}


def test_the_calculation_chain_stays_otherwise():
    before = chained(CHAIN_ROWS)
    after = edit_workbook(before, [CellWrite("Data", 1, 4, 5.0)])
    assert differing(before, after) == {SHEET, "xl/workbook.xml"}


def table_book(*, totals: bool = False, refer: str = "", calculated: str = "") -> bytes:
    relation = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/table"
    rels = '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
    rels += f'<Relationship Id="rId1" Type="{relation}" Target="../tables/table1.xml"/></Relationships>'
    table = f'<table xmlns="{MAIN}" id="1" name="T" displayName="T" ref="A1:B4"'
    table += ' totalsRowCount="1"' if totals else ""
    table += '><tableColumns count="2"><tableColumn id="1" name="Line"/>'
    table += f'<tableColumn id="2" name="Column2">{calculated}</tableColumn></tableColumns></table>'
    rows = (
        '<sheetData><row r="1"><c r="A1" t="inlineStr"><is><t>Line</t></is></c>'
        f'<c r="B1" t="inlineStr"><is><t>Column2</t></is></c></row><row r="2"><c r="D2">{refer}</c></row></sheetData>'
    )
    parts = {"xl/worksheets/_rels/sheet1.xml.rels": rels.encode(), "xl/tables/table1.xml": table.encode()}
    tail = (
        '<tableParts xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships" count="1">'
        '<tablePart r:id="rId1"/></tableParts>'
    )
    return bare_book(rows, tail=tail, parts=parts)


def test_a_title_in_a_table_is_written_into_the_tables_columns():
    before = table_book()
    after = edit_workbook(before, [CellWrite("Data", 1, 2, "Result: a & b\nc")])
    assert differing(before, after) == {SHEET, "xl/workbook.xml", "xl/tables/table1.xml"}
    names = [c.get("name") for c in etree.fromstring(unzipped(after)["xl/tables/table1.xml"]).iter("{*}tableColumn")]
    assert names == ["Line", "Result: a & b_x000a_c"]
    assert edit_workbook(after, [CellWrite("Data", 1, 2, "Result: a & b\nc")]) == after


def test_values_in_a_table_and_titles_beside_it_leave_it_alone():
    before = table_book()
    writes = [CellWrite("Data", 2, 2, 1.0), CellWrite("Data", 1, 3, "Result: c"), CellWrite("Data", 1, 2, "Column2")]
    assert differing(before, edit_workbook(before, writes)) == {SHEET, "xl/workbook.xml"}


@pytest.mark.parametrize(
    ("book", "write", "reason"),
    [
        (table_book(), CellWrite("Data", 1, 2, "line"), 'another column "line"'),
        (table_book(), CellWrite("Data", 1, 2, 3.0), "must be a text"),
        (table_book(), CellWrite("Data", 1, 2, None), "must be a text"),
        (table_book(totals=True), CellWrite("Data", 4, 1, 1.0), "totals row"),
        (table_book(refer="<f>SUM(T[column2])</f>"), CellWrite("Data", 1, 2, "Result: x"), "formulas refer"),
    ],
)
def test_what_would_break_a_table_is_refused(book: bytes, write: CellWrite, reason: str):
    with pytest.raises(TargetBlocked) as refused:
        edit_workbook(book, [write])
    assert [str(b.address) for b in refused.value.blocks] == [f"Data!{'AB'[write.column - 1]}{write.row}"]
    assert reason in refused.value.blocks[0].reason


def signed_book() -> bytes:
    parts = unzipped(bare_book("<sheetData/>"))
    relation = "http://schemas.openxmlformats.org/package/2006/relationships/digital-signature/origin"
    parts["_rels/.rels"] = parts["_rels/.rels"].replace(
        b"</Relationships>",
        f'<Relationship Id="rId7" Type="{relation}" Target="_xmlsignatures/origin.sigs"/></Relationships>'.encode(),
    )
    inner = relation.replace("origin", "signature")
    rels = '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
    rels += f'<Relationship Id="rId1" Type="{inner}" Target="sig1.xml"/></Relationships>'
    parts["_xmlsignatures/origin.sigs"] = b""
    parts["_xmlsignatures/_rels/origin.sigs.rels"] = rels.encode()
    parts["_xmlsignatures/sig1.xml"] = b"<Signature/>"
    return zipped(parts)


def test_a_signature_is_named_beforehand_and_removed():
    before = signed_book()
    assert [sentence for sentence in losses(before) if "digitally signed" in sentence] == losses(before) != []
    after = edit_workbook(before, [CellWrite("Data", 1, 1, 1.0)])
    assert [name for name in unzipped(after) if "signature" in name] == []
    assert b"signature" not in unzipped(after)["_rels/.rels"]
    assert losses(after) == []


def test_what_was_put_on_a_result_sheet_is_named_and_goes_with_it():
    from openpyxl.comments import Comment

    first = edit_workbook(bare_book("<sheetData/>"), (), [NewSheet("Summary", [["x"]])])
    book = opened(first)
    book["Summary"]["A1"].comment = Comment("mine", "me")
    data = io.BytesIO()
    book.save(data)
    assert losses(data.getvalue()) == []
    assert losses(data.getvalue(), ["Summary", "Data"]) == [
        'The sheet "Summary" is written anew, without the comments put on it since.'
    ]
    again = edit_workbook(data.getvalue(), (), [NewSheet("Summary", [["y"]])])
    assert [name for name in unzipped(again) if "comment" in name or "vml" in name.lower()] == []
    assert values(again, "Summary") == {"A1": "y"}


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"", "empty"),
        (b"Line;Service\n", "not-a-workbook"),
        (bare_book("<sheetData/>")[:300], "not-a-workbook"),
        (bytes.fromhex("D0CF11E0A1B11AE1") + bytes(600) + "EncryptedPackage".encode("utf-16-le"), "encrypted"),
        (bytes.fromhex("D0CF11E0A1B11AE1") + bytes(600), "not-a-workbook"),
        (zipped({"mimetype": b"application/vnd.oasis.opendocument.spreadsheet"}), "not-a-workbook"),
        (zipped({"[Content_Types].xml": b"<Types/>"}), "not-a-workbook"),
        (bare_book("<sheetData><row></sheetData>"), "not-a-workbook"),
        (bare_book('<sheetData><row r="2"/><row r="2"/></sheetData>'), "not-a-workbook"),
        (bare_book('<sheetData><row r="2"><c r="A3"/></row></sheetData>'), "not-a-workbook"),
        (bare_book("", sheet=b"<!DOCTYPE x [<!ENTITY a 'b'>]><worksheet/>"), "not-a-workbook"),
        (bare_book("", sheet=b"<chartsheet><sheetData/></chartsheet>"), "not-a-workbook"),
    ],
)
def test_files_that_are_no_workbook(data: bytes, code: str):
    with pytest.raises(FileUnusable) as refused:
        edit_workbook(data, [CellWrite("Data", 2, 1, 1.0)])
    assert refused.value.code == code


def test_zip_with_a_password():
    data = bytearray(bare_book("<sheetData/>"))
    place = data.index(b"PK\x01\x02")
    data[place + 8] |= 1
    with pytest.raises(FileUnusable) as refused:
        losses(bytes(data))
    assert refused.value.code == "encrypted"


def test_unreasonable_sizes_are_refused_before_unpacking(monkeypatch):
    monkeypatch.setattr(package_zip, "MAX_UNPACKED", 100_000)
    bomb = bare_book("<sheetData/>", parts={"xl/big.bin": bytes(200_000)})
    monkeypatch.setattr(zipfile.ZipFile, "open", lambda *_: pytest.fail("was unpacked"))
    with pytest.raises(FileUnusable) as refused:
        edit_workbook(bomb, [CellWrite("Data", 1, 1, 1.0)])
    assert refused.value.code == "too-large"


def test_a_missing_file(tmp_path):
    with pytest.raises(FileUnusable) as refused:
        losses(tmp_path / "none.xlsx")
    assert refused.value.code == "missing"


def test_the_calculation_chain_goes_with_the_formulas_of_a_replaced_sheet():
    names = '<definedNames><definedName name="pipecalc_results" localSheetId="0">TRUE</definedName></definedNames>'
    parts = unzipped(chained(CHAIN_ROWS))
    parts["xl/workbook.xml"] = parts["xl/workbook.xml"].replace(b"</sheets>", f"</sheets>{names}".encode())
    after = edit_workbook(zipped(parts), (), [NewSheet("Data", [["x"]])])
    assert "xl/calcChain.xml" not in unzipped(after)
    assert values(after, "Data") == {"A1": "x"}


def test_remarks_that_look_like_rows():
    rows = (
        '<sheetData><row r="1"><c r="A1"><v>1</v></c><!-- </row><row r="7"><c r="A7"/> --><c r="B1"><v>2</v></c>'
        "<?keep </row>?></row></sheetData>"
    )
    _, after = put(rows, (1, 2, 20), (7, 1, 70))
    assert values(after, "Data") == {"A1": 1, "B1": 20, "A7": 70}
    assert order(after) == ["1:A1", "1:B1", "7:A7"]


class _Stream(io.BytesIO):
    """A target that cannot be gone back in, so that sizes follow the contents, as some programs write them."""

    def seekable(self) -> bool:
        return False

    def seek(self, *_):
        raise io.UnsupportedOperation

    def tell(self):
        raise io.UnsupportedOperation


def test_sizes_that_follow_the_contents():
    stream = _Stream()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as file:
        for name, content in unzipped(bare_book("<sheetData/>", parts={"xl/kept-é.bin": b"kept" * 50})).items():
            file.writestr(name, content)
    before = stream.getvalue()
    after = edit_workbook(before, [CellWrite("Data", 1, 1, 1.0)])
    assert differing(before, after) == {SHEET, "xl/workbook.xml"}
    with zipfile.ZipFile(io.BytesIO(before)) as old, zipfile.ZipFile(io.BytesIO(after)) as new:
        assert all(info.flag_bits & 8 for info in old.infolist())
        assert not any(info.flag_bits & 8 for info in new.infolist())
        assert [info.date_time for info in new.infolist() if "kept" in info.filename] == [
            info.date_time for info in old.infolist() if "kept" in info.filename
        ]
    place = after.index("xl/kept-é.bin".encode()) - 30
    assert int.from_bytes(after[place + 22 : place + 26], "little") == 200


def test_remarks_that_look_like_cells():
    rows = '<sheetData><row r="1"><c r="A1"><v>1</v></c><!-- <c r="C1"><v>0</v></c> --></row></sheetData>'
    _, after = put(rows, (1, 3, 30))
    assert values(after, "Data") == {"A1": 1, "C1": 30}


def test_attributes_in_any_order():
    rows = '<sheetData><row r="1"><c r="A1"/><c s="0" r="B1"><v>2</v></c><c\n r="C1"><v>3</v></c></row></sheetData>'
    _, after = put(rows, (1, 2, 20), (1, 4, 40))
    assert values(after, "Data") == {"B1": 20, "C1": 3, "D1": 40}
