"""The blank workbook says what the schema says, warns without stopping, and is the same every time."""

import zipfile
from datetime import date
from pathlib import Path

import pytest
from openpyxl import load_workbook
from openpyxl.workbook import Workbook
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.worksheet import Worksheet

from pipecalc import examples
from pipecalc.problems import FileUnusable, letters
from pipecalc.schema.column import Column, Kind
from pipecalc.schema.sheets import GUIDE_SHEET, SHEETS, TITLES, sheet
from pipecalc.tables import material_names
from pipecalc.workbook.blank import blank_bytes, write_blank
from pipecalc.workbook.example_cells import in_system, typed
from pipecalc.workbook.validation import LISTS_SHEET

FLAT = [s for s in SHEETS if not s.upright]


@pytest.fixture(scope="module", params=["SI", "US"])
def written(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> tuple[str, Workbook]:
    path = tmp_path_factory.mktemp("blank") / "blank.xlsx"
    write_blank(path, request.param)
    return request.param, load_workbook(path)


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Workbook:
    path = tmp_path_factory.mktemp("blank") / "blank.xlsx"
    write_blank(path)
    return load_workbook(path)


def place(title: str, key: str) -> tuple[str, Column]:
    columns = sheet(title).columns
    number = next(i for i, column in enumerate(columns, start=1) if column.key == key)
    return letters(number), columns[number - 1]


def rule_at(page: Worksheet, address: str) -> DataValidation | None:
    return next((rule for rule in page.data_validations.dataValidation if address in rule.sqref), None)


def test_sheets_stand_in_order_with_the_guide_first_and_the_lists_hidden(book: Workbook) -> None:
    assert book.sheetnames == [GUIDE_SHEET, *TITLES, LISTS_SHEET]
    assert book[LISTS_SHEET].sheet_state == "hidden"
    assert book.active.title == GUIDE_SHEET


@pytest.mark.parametrize("title", [s.title for s in FLAT])
def test_titles_units_and_notes_are_those_of_the_schema(written: tuple[str, Workbook], title: str) -> None:
    units, book = written
    page, columns = book[title], sheet(title).columns
    assert [cell.value for cell in page[1]] == [c.title for c in columns]
    assert [cell.value or "" for cell in page[2]] == [c.unit(units) for c in columns]
    assert page.max_row == 2
    for cell, column in zip(page[1], columns, strict=True):
        assert column.meaning in cell.comment.text
        assert ("Required." in cell.comment.text) == column.required
        assert cell.font.bold == column.required


def test_project_is_upright_with_its_units(written: tuple[str, Workbook]) -> None:
    units, book = written
    rows = list(book["Project"].iter_rows(values_only=True))
    assert rows[0] == ("Item", "Value", "Unit", "Note")
    assert [(r[0], r[1], r[2] or "") for r in rows[1:]] == [
        (c.title, None, c.unit(units)) for c in sheet("Project").columns
    ]


@pytest.mark.parametrize("title", TITLES)
def test_pages_are_landscape_fitted_with_repeated_titles_name_and_number(book: Workbook, title: str) -> None:
    page = book[title]
    assert page.page_setup.orientation == "landscape"
    assert page.sheet_properties.pageSetUpPr.fitToPage
    assert page.page_setup.fitToHeight == 0
    assert page.page_setup.fitToWidth in (1, 2)
    assert page.print_title_rows == ("$1:$1" if title == "Project" else "$1:$2")
    assert page.oddHeader.left.text == "&A"
    assert "&P" in page.oddFooter.right.text
    assert page.freeze_panes in ("B2", "B3", "D3")


def test_results_are_visibly_apart(book: Workbook) -> None:
    page = book["Nozzles"]
    fills = {c.result: page.cell(1, i).fill.start_color.rgb for i, c in enumerate(sheet("Nozzles").columns, start=1)}
    assert fills[True] != fills[False]


def test_no_title_word_is_cut(book: Workbook) -> None:
    for declared in FLAT:
        for number, column in enumerate(declared.columns, start=1):
            width = book[declared.title].column_dimensions[letters(number)].width
            assert width >= max(len(word) for word in column.title.split()) + 2, column.title


def test_no_validation_stops_anybody(written: tuple[str, Workbook]) -> None:
    _, book = written
    rules = [rule for page in book for rule in page.data_validations.dataValidation]
    assert len(rules) > 100
    assert all(rule.errorStyle == "warning" or not rule.showErrorMessage for rule in rules)
    assert all(len(rule.formula1) <= 257 for rule in rules)


def test_every_choice_offers_exactly_its_words(book: Workbook) -> None:
    for declared in FLAT:
        for column in declared.inputs:
            if column.kind in (Kind.CHOICE, Kind.YES_NO):
                address = place(declared.title, column.key)[0] + "7"
                assert offered(book, rule_at(book[declared.title], address)) == list(column.words), column.title


def offered(book: Workbook, rule: DataValidation | None) -> list[str]:
    assert rule is not None
    if rule.formula1.startswith('"'):
        return str(rule.formula1).strip('"').split(",")
    title, _, span = rule.formula1.partition("!")
    return [row[0].value for row in book[title.strip("'")][span.replace("$", "")]]


def test_materials_offer_the_whole_library(book: Workbook) -> None:
    assert offered(book, rule_at(book["Lines"], place("Lines", "material")[0] + "3")) == list(material_names())


def test_a_reference_offers_the_tags_of_its_sheet(book: Workbook) -> None:
    rule = rule_at(book["Segments"], "A5")
    assert rule is not None
    assert rule.formula1 == "'Lines'!$A$3:$A$2000"
    assert rule.errorStyle == "warning"


def test_a_reference_that_also_takes_words_is_offered_without_a_warning(book: Workbook) -> None:
    rule = rule_at(book["Supports"], place("Supports", "attached_to")[0] + "3")
    assert rule is not None
    assert rule.formula1.startswith("'Equipment'!")
    assert not rule.showErrorMessage


@pytest.mark.parametrize(
    ("title", "key", "units", "formula"),
    [
        (
            "Lines",
            "corrosion_allowance",
            "SI",
            'AND(ISNUMBER({0}3),OR(${0}$2<>"mm",AND(ISNUMBER({0}3),{0}3>=0,{0}3<=6)))',
        ),
        ("Lines", "weld_factor", "SI", "AND(ISNUMBER({0}3),{0}3>0,{0}3<=1)"),
        (
            "Lines",
            "operating_temperature",
            "US",
            'AND(ISNUMBER({0}3),OR(${0}$2<>"°F",AND(ISNUMBER({0}3),{0}3>=-454,{0}3<=2012)))',
        ),
    ],
)
def test_plausible_bounds_hold_only_for_the_unit_they_were_written_in(
    tmp_path: Path, title: str, key: str, units: str, formula: str
) -> None:
    write_blank(tmp_path / "b.xlsx", units)  # type: ignore[arg-type]
    column = place(title, key)[0]
    rule = rule_at(load_workbook(tmp_path / "b.xlsx")[title], f"{column}3")
    assert rule is not None
    assert rule.formula1 == formula.format(column)


def test_typed_directions_tags_and_sizes_survive_a_spreadsheet_program(book: Workbook) -> None:
    formats = {
        ("Supports", "direction"): "@",
        ("Segments", "to"): "@",
        ("Lines", "line"): "@",
        ("Lines", "nps"): "# ?/?",
        ("Revisions", "date"): "yyyy-mm-dd",
    }
    for (title, key), wanted in formats.items():
        assert book[title].column_dimensions[place(title, key)[0]].number_format == wanted


def test_the_guide_is_one_page_and_names_every_sheet(book: Workbook) -> None:
    page = book[GUIDE_SHEET]
    texts = [str(cell.value) for row in page.iter_rows() for cell in row if cell.value]
    assert set(TITLES) <= set(texts)
    assert page.max_row <= 50
    assert (page.page_setup.fitToWidth, page.page_setup.fitToHeight) == (1, 1)


def test_the_same_call_gives_the_same_bytes_and_no_clock(tmp_path: Path) -> None:
    assert blank_bytes("SI", "geothermal-heat") == blank_bytes("SI", "geothermal-heat")
    write_blank(tmp_path / "b.xlsx")
    with zipfile.ZipFile(tmp_path / "b.xlsx") as package:
        assert {item.date_time[:3] for item in package.infolist()} == {(2025, 1, 1)}
        assert package.read("docProps/core.xml").count(b"2025-01-01T00:00:00Z") == 2


def test_a_place_that_cannot_be_written_is_said(tmp_path: Path) -> None:
    with pytest.raises(FileUnusable) as failure:
        write_blank(tmp_path / "no such folder" / "b.xlsx")
    assert failure.value.code == "not-writable"


def test_an_unknown_example_is_said_with_those_there_are(tmp_path: Path) -> None:
    with pytest.raises(examples.UnknownExampleError, match="geothermal-heat"):
        write_blank(tmp_path / "b.xlsx", example="no such")


@pytest.mark.parametrize(
    ("text", "title", "key", "value"),
    [
        ("12", "Lines", "nps", 12),
        ("1 1/2", "Lines", "nps", "1 1/2"),
        ("40", "Lines", "schedule", "40"),
        ("10", "Segments", "to", "10"),
        ("-1.5", "Segments", "east", -1.5),
        ("4 in", "Segments", "east", "4 in"),
        ("2025-03-14", "Segments", "east", date(2025, 3, 14)),
        ("NaN", "Segments", "up", "NaN"),
        ("2018", "Project", "edition", 2018),
        ("7", "Segments", "remark", "7"),
    ],
)
def test_example_texts_become_what_a_person_would_have_typed(text: str, title: str, key: str, value: object) -> None:
    assert typed(text, sheet(title).column(key)) == value


def test_an_example_in_the_other_system_holds_the_same_quantities() -> None:
    demo = in_system(examples.load("geothermal-heat"), "US")
    first = next(demo["Lines"].records())
    assert float(first["Design temperature"]) == pytest.approx(365.0)  # 185 °C
    assert float(first["Insulation thickness"]) == pytest.approx(100 / 25.4)
    assert first["Fluid density"] == "steam"
    assert {r["Item"]: r["Value"] for r in demo["Project"].records()}["Display units"] == "US"
