"""Result columns in place: where they go, in which unit, and that a second run changes only them."""

from dataclasses import replace
from io import BytesIO

import pytest
from openpyxl import Workbook, load_workbook
from openpyxl.utils import get_column_letter

from pipecalc.analysis.legs import hand_line
from pipecalc.analysis.lines import expansions, quick_checks, wall_checks
from pipecalc.making import checked
from pipecalc.problems import FileUnusable
from pipecalc.results import Results, Status
from pipecalc.schema.sheets import RESULT_SHEETS, sheet
from pipecalc.workbook.package_edits import TargetBlocked, TitleTaken
from pipecalc.workbook.reader import read
from pipecalc.workbook.writer import STATUS_FILLS, number_format, refuse_blocked, shown, write_results
from tests.analysis.hand_plants import line_rows
from tests.workbook.books import book_bytes

RUNS = [{"east": 6}, {"north": 4}]


def by_hand(plant) -> Results:
    lines = list(plant.lines.values())
    hand = [hand_line(line, plant) for line in lines]
    return Results(
        expansions=tuple(e for line in lines for e in expansions(line, plant)),
        legs=tuple(leg for h in hand for leg in h.legs),
        checks=(
            *(c for h in hand for c in h.checks),
            *(c for line in lines for c in (*wall_checks(line), *quick_checks(line, plant))),
        ),
    )


def written(source: bytes) -> tuple[bytes, Results]:
    book = read(source)
    plant = checked(book).plant
    assert plant is not None
    results = by_hand(plant)
    return write_results(source, book, plant, results).data, results


def cells(data: bytes, title: str) -> dict[str, list[object]]:
    """Cells of a sheet by column title, from the units row down."""
    rows = list(load_workbook(BytesIO(data))[title].iter_rows(values_only=True))
    return {str(name): [row[n] for row in rows[1:]] for n, name in enumerate(rows[0]) if name}


@pytest.fixture(scope="module")
def copy():
    source = book_bytes(line_rows(RUNS))
    return source, *written(source)


def test_results_stand_behind_the_last_column_with_title_and_unit(copy) -> None:
    source, data, results = copy
    found = cells(data, "Segments")
    names = list(found)
    own = list(cells(source, "Segments"))
    assert names[: len(own)] == own
    assert names[len(own) :] == [c.title for c in sheet("Segments").results]
    assert all(name.startswith("Result: ") for name in names[len(own) :])
    assert found["Result: length"][:3] == ["m", 6, 4]
    assert found["Result: free expansion"][1] == pytest.approx(results.expansions[0].expansion * 1e3)


def test_status_is_a_word_with_a_quiet_fill(copy) -> None:
    _, data, _ = copy
    ws = load_workbook(BytesIO(data))["Segments"]
    column = [c.value for c in ws[1]].index("Result: status") + 1
    cell = ws.cell(3, column)
    assert cell.value in set(Status)
    assert cell.fill.fgColor.rgb.endswith(STATUS_FILLS[cell.value])


def test_numbers_have_a_format_and_new_columns_a_width(copy) -> None:
    _, data, _ = copy
    ws = load_workbook(BytesIO(data))["Segments"]
    column = [c.value for c in ws[1]].index("Result: length") + 1
    assert ws.cell(3, column).number_format == number_format(sheet("Segments").column("result_length").digits)
    assert ws.column_dimensions[get_column_letter(column)].width > 5


def test_all_result_sheets_are_there(copy) -> None:
    _, data, _ = copy
    assert load_workbook(BytesIO(data)).sheetnames[-len(RESULT_SHEETS) :] == list(RESULT_SHEETS)


def test_writing_again_into_the_copy_gives_the_same_file(copy) -> None:
    _, data, _ = copy
    assert written(data)[0] == data


def test_the_same_input_gives_the_same_bytes(copy) -> None:
    source, data, _ = copy
    assert written(source)[0] == data


def test_result_columns_that_the_user_moved_are_found_again(copy) -> None:
    def moved(book: Workbook) -> None:
        ws = book["Segments"]
        ws.insert_cols(1, 2)
        ws.cell(1, 1, "Result: length")
        ws.cell(2, 1, "ft")
        ws.cell(1, 2, "My own")
        ws.cell(3, 2, "kept")

    data, _ = written(book_bytes(line_rows(RUNS), edit=moved))
    found = cells(data, "Segments")
    assert found["Result: length"] == ["ft", pytest.approx(6 / 0.3048), pytest.approx(4 / 0.3048)]
    assert found["My own"][1] == "kept"


def test_a_result_that_is_gone_is_cleared(copy) -> None:
    _, data, _ = copy
    book = load_workbook(BytesIO(data))
    column = [c.value for c in book["Segments"][1]].index("Result: sustained ratio") + 1
    book["Segments"].cell(3, column, 99.0)
    stream = BytesIO()
    book.save(stream)
    again, _ = written(stream.getvalue())
    assert cells(again, "Segments")["Result: sustained ratio"][1] is None


def test_the_new_file_is_compared_with_what_was_meant(copy) -> None:
    source, _, results = copy
    book = read(source)
    plant = checked(book).plant
    meant = write_results(source, book, plant, results)
    meant.verify()
    with pytest.raises(FileUnusable) as fault:
        replace(meant, data=source).verify()
    assert fault.value.code == "not-verified"


def test_a_sheet_of_the_users_own_that_bears_a_result_title_is_found_before_computing() -> None:
    source = book_bytes(line_rows(RUNS), edit=lambda book: book.create_sheet("Summary"))
    with pytest.raises(TitleTaken):
        refuse_blocked(source, read(source), "SI")


def test_merged_result_cells_are_found_before_computing(copy) -> None:
    _, data, _ = copy
    book = load_workbook(BytesIO(data))
    ws = book["Segments"]
    column = get_column_letter([c.value for c in ws[1]].index("Result: length") + 2)
    ws.merge_cells(f"{column}3:{column}4")
    stream = BytesIO()
    book.save(stream)
    with pytest.raises(TargetBlocked):
        refuse_blocked(stream.getvalue(), read(stream.getvalue()), "SI")


def test_a_sound_workbook_is_not_refused(copy) -> None:
    source, data, _ = copy
    refuse_blocked(source, read(source), "SI")
    refuse_blocked(data, read(data), "US")


@pytest.mark.parametrize("value", [None, "", float("nan"), float("inf")])
def test_what_is_not_known_leaves_the_cell_blank(value) -> None:
    assert shown(value, sheet("Segments").column("result_length"), "m") is None
