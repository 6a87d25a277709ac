"""Workbooks to write into, and a comparison of what was there before and after."""

import io
import re
import shutil
import subprocess
import warnings
import zipfile
from collections.abc import Iterable
from pathlib import Path

import openpyxl
import xlsxwriter
from lxml import etree
from openpyxl.chart import BarChart, Reference
from openpyxl.comments import Comment
from openpyxl.formatting.rule import CellIsRule
from openpyxl.styles import PatternFill
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.table import Table
from PIL import Image

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
STRICT = "http://purl.oclc.org/ooxml/spreadsheetml/main"
_RELATIONS = {
    MAIN: "http://schemas.openxmlformats.org/officeDocument/2006/relationships",
    STRICT: "http://purl.oclc.org/ooxml/officeDocument/relationships",
}
_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml"
SHEET = "xl/worksheets/sheet1.xml"


def picture() -> io.BytesIO:
    data = io.BytesIO()
    Image.new("RGB", (40, 24), (20, 90, 160)).save(data, "PNG")
    data.seek(0)
    return data


def full_book(macros: bytes | None = None) -> bytes:
    """Everything a user may put on a sheet, around two columns of results at G and H of the sheet Lines."""
    data = io.BytesIO()
    book = xlsxwriter.Workbook(data, {"in_memory": True})
    lines, other = book.add_worksheet("Lines"), book.add_worksheet("Own sheet")
    bold, number = book.add_format({"bold": True}), book.add_format({"num_format": "0.0"})
    lines.write_row(0, 0, ["Line", "Service", "Temperature", "Double", "Grade", "Remark", "Result: old"])
    for row in range(2, 12):
        lines.write_row(row, 0, [f"L{row}", "Steam", row * 10.5])
        lines.write_formula(row, 3, f"=C{row + 1}*2", number, row * 21)
        lines.write_string(row, 5, "keep me")
    lines.write_rich_string(3, 5, "plain ", bold, "bold", " text")
    lines.write_number(4, 6, 99.5, number)
    lines.write_array_formula("J3:J5", "{=C3:C5*2}", number, 42)
    lines.write_dynamic_array_formula("K3", "=SORT(C3:C5)", number, 21)
    lines.write_comment("A3", "A remark", {"author": "Reviewer"})
    lines.data_validation("B3:B12", {"validate": "list", "source": ["Steam", "Water"]})
    lines.conditional_format("C3:C12", {"type": "data_bar", "data_bar_2010": True})
    lines.conditional_format("C3:C12", {"type": "icon_set", "icon_style": "3_traffic_lights"})
    lines.add_sparkline("L3", {"range": "Lines!C3:C12"})
    lines.insert_textbox("N3", "A text box")
    lines.insert_button("N9", {"macro": "Anything", "caption": "Press"})
    lines.insert_image("P3", "logo.png", {"image_data": picture()})
    lines.embed_image("M3", "cell.png", {"image_data": picture()})
    chart = book.add_chart({"type": "line"})
    chart.add_series({"values": "=Lines!$C$3:$C$12"})
    lines.insert_chart("N15", chart)
    lines.set_header("&L&G", {"image_left": "logo.png", "image_data_left": picture()})
    lines.set_footer("&CPage &P of &N")
    lines.set_background(picture())
    lines.set_column("A:C", 12)
    lines.set_column("F:XFD", 9.5, bold)
    lines.freeze_panes(2, 1)
    lines.repeat_rows(0, 1)
    lines.protect("secret")
    lines.autofilter("A1:F12")
    other.add_table(
        "A1:C4", {"columns": [{"header": "Item"}, {"header": "Count"}, {"header": "Sum"}], "total_row": True}
    )
    other.merge_range("E2:F3", "merged")
    other.write_formula("A9", "=SUM(Lines!G3:G12)", None, 99.5)
    other.write_url("A10", "https://example.org/", string="a link")
    book.define_name("Temperatures", "=Lines!$C$3:$C$12")
    book.define_name("'Own sheet'!Local", "='Own sheet'!$A$1")
    book.set_custom_property("Plant", "North")
    if macros is not None:
        book.add_vba_project(io.BytesIO(macros), is_stream=True)
    book.close()
    return data.getvalue()


def openpyxl_book() -> bytes:
    """A workbook as openpyxl writes it."""
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Lines"
    sheet.append(["Line", "Temperature", "Double"])
    for row in range(2, 12):
        sheet.append([f"L{row}", row * 10.5, f"=B{row}*2"])
    sheet["A3"].comment = Comment("A remark", "Reviewer")
    words = DataValidation(type="list", formula1='"Steam,Water"')
    words.add("D2:D11")
    sheet.add_data_validation(words)
    red = PatternFill("solid", bgColor="FFC7CE")
    sheet.conditional_formatting.add("B2:B11", CellIsRule(operator="greaterThan", formula=["50"], fill=red))
    sheet.add_table(Table(displayName="Data", ref="A1:C11"))
    chart = BarChart()
    chart.add_data(Reference(sheet, min_col=2, min_row=1, max_row=11), titles_from_data=True)
    sheet.add_chart(chart, "J2")
    book.defined_names["Warm"] = DefinedName("Warm", attr_text="Lines!$B$2:$B$11")
    alone = BarChart()
    alone.add_data(Reference(sheet, min_col=2, min_row=1, max_row=11), titles_from_data=True)
    book.create_chartsheet("Picture").add_chart(alone)
    data = io.BytesIO()
    book.save(data)
    return data.getvalue()


def bare_book(
    rows: str,
    *,
    head: str = "",
    tail: str = "",
    prefix: str = "",
    namespace: str = MAIN,
    parts: dict[str, bytes] | None = None,
    overrides: str = "",
    book_relations: str = "",
    sheet: bytes | None = None,
) -> bytes:
    """The smallest workbook around the text of some rows of the sheet Data."""
    relations = _RELATIONS[namespace]
    name = f":{prefix[:-1]}" if prefix else ""
    p = prefix
    text = f'<{p}worksheet xmlns{name}="{namespace}">{head}{rows}{tail}</{p}worksheet>'
    package = "http://schemas.openxmlformats.org/package/2006"
    files = {
        "[Content_Types].xml": f'<Types xmlns="{package}/content-types">'
        '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
        '<Default Extension="xml" ContentType="application/xml"/>'
        f'<Override PartName="/xl/workbook.xml" ContentType="{_TYPE}.sheet.main+xml"/>'
        f'<Override PartName="/{SHEET}" ContentType="{_TYPE}.worksheet+xml"/>{overrides}</Types>',
        "_rels/.rels": f'<Relationships xmlns="{package}/relationships">'
        f'<Relationship Id="rId1" Type="{relations}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
        "xl/workbook.xml": f'<workbook xmlns="{namespace}" xmlns:r="{relations}"><sheets>'
        '<sheet name="Data" sheetId="1" r:id="rId1"/></sheets></workbook>',
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{package}/relationships">'
        f'<Relationship Id="rId1" Type="{relations}/worksheet" Target="worksheets/sheet1.xml"/>{book_relations}'
        "</Relationships>",
        SHEET: text if sheet is None else sheet,
    }
    return zipped({name: c.encode() if isinstance(c, str) else c for name, c in files.items()} | (parts or {}))


def zipped(parts: dict[str, bytes]) -> bytes:
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w", zipfile.ZIP_DEFLATED) as file:
        for name, content in parts.items():
            file.writestr(name, content)
    return data.getvalue()


def unzipped(data: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(data)) as file:
        assert file.testzip() is None
        return {name: file.read(name) for name in file.namelist()}


def differing(before: bytes, after: bytes) -> set[str]:
    """Names of parts that were added, taken away or changed."""
    old, new = unzipped(before), unzipped(after)
    return {name for name in old.keys() | new.keys() if old.get(name) != new.get(name)}


def without(sheet: bytes, cells: Iterable[str]) -> bytes:
    """A worksheet without some cells, without rows that only held them, and without derived hints."""
    root = etree.fromstring(sheet)
    gone = set(cells)
    for row in list(root.iterfind("{*}sheetData/{*}row")):
        row.attrib.pop("spans", None)
        for cell in list(row.iterfind("{*}c")):
            if cell.get("r") in gone:
                row.remove(cell)
        if len(row) == 0:
            row.getparent().remove(row)
    for dimension in root.findall("{*}dimension"):
        root.remove(dimension)
    return etree.tostring(root, method="c14n")


def opened(data: bytes, **options) -> openpyxl.Workbook:
    """The workbook in openpyxl, which warns of what it cannot keep."""
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", category=UserWarning, module="openpyxl")
        return openpyxl.load_workbook(io.BytesIO(data), **options)


def values(data: bytes, sheet: str, computed: bool = True) -> dict[str, object]:
    """Values by address as openpyxl reads them."""
    book = opened(data, data_only=computed)
    rows = book[sheet].iter_rows()
    return {cell.coordinate: cell.value for row in rows for cell in row if cell.value is not None}


def converted(path: Path, kind: str, profile: Path) -> list[Path]:
    """Files that LibreOffice makes of a workbook."""
    soffice = shutil.which("soffice")
    assert soffice
    target = path.parent / f"to-{re.sub('[^a-z]', '', kind[:4])}"
    command = [soffice, f"-env:UserInstallation={profile.as_uri()}", "--headless", "--convert-to", kind]
    done = subprocess.run(
        [*command, "--outdir", str(target), str(path)], capture_output=True, text=True, timeout=180, check=False
    )
    assert done.returncode == 0, done.stderr
    assert "rror" not in done.stdout + done.stderr
    return sorted(target.iterdir())
