"""The declaration of the workbook hangs together."""

import pytest

from pipecalc.problems import Address
from pipecalc.schema.column import Kind
from pipecalc.schema.sheets import RESULT_SHEETS, SHEETS, TITLES, declared
from pipecalc.units import Dimension, convert_in, unit_problem
from pipecalc.workbook.columns import read_column
from pipecalc.workbook.titles import RESULT_PREFIX, folded

COLUMNS = [pytest.param(s, c, id=f"{s.title}-{c.key}") for s in SHEETS for c in s.columns]
MEASURED = (Kind.NUMBER, Kind.DENSITY, Kind.TOLERANCE)


def test_sheet_titles_are_unique_and_fit_a_tab():
    folded_titles = [folded(t) for t in (*TITLES, *RESULT_SHEETS)]
    assert len(set(folded_titles)) == len(folded_titles)
    assert all(len(t) <= 31 for t in (*TITLES, *RESULT_SHEETS))


@pytest.mark.parametrize("sheet", SHEETS, ids=TITLES)
def test_titles_and_keys_are_unique_in_a_sheet(sheet):
    titles = [folded(c.title) for c in sheet.columns]
    keys = [c.key for c in sheet.columns]
    assert (len(set(titles)), len(set(keys))) == (len(titles), len(keys))
    assert set(sheet.unique) <= {c.key for c in sheet.inputs}


@pytest.mark.parametrize("sheet", SHEETS, ids=TITLES)
def test_every_sheet_says_what_it_is_for(sheet):
    assert len(sheet.meaning) > 10


@pytest.mark.parametrize(("sheet", "column"), COLUMNS)
def test_every_column_has_a_meaning(sheet, column):
    assert column.meaning.endswith(".")
    assert len(column.meaning) > 3


@pytest.mark.parametrize(("sheet", "column"), COLUMNS)
def test_units_fit_the_dimension(sheet, column):
    if column.dimension is None:
        assert (column.si, column.us) == ("", "")
    else:
        assert [unit_problem(u, column.dimension) for u in (column.si, column.us)] == [None, None]


@pytest.mark.parametrize(("sheet", "column"), COLUMNS)
def test_numbers_have_a_dimension_and_nothing_else_has(sheet, column):
    assert (column.dimension is not None) == (column.kind in MEASURED)


@pytest.mark.parametrize(("sheet", "column"), COLUMNS)
def test_words_defaults_and_references_are_declared(sheet, column):
    if column.kind in (Kind.CHOICE, Kind.YES_NO, Kind.DENSITY):
        assert column.words
    if isinstance(column.default, str):
        assert column.default in column.words
    if column.kind in (Kind.REFERENCE, Kind.CHOICES):
        assert all(declared(r)[1].title for r in column.refers_to)
        assert column.refers_to
    assert not (column.required and column.default is not None)


@pytest.mark.parametrize(("sheet", "column"), COLUMNS)
def test_bounds_are_in_order_and_hold_the_default(sheet, column):
    bounds = [column.low, column.usual_low, column.usual_high, column.high]
    given = [b for b in bounds if b is not None]
    assert given == sorted(given)
    if isinstance(column.default, float) and column.dimension is not None:
        low, high = (
            None if b is None else convert_in(b, column.si, column.dimension) for b in (column.low, column.high)
        )
        assert low is None or column.default >= low
        assert high is None or column.default <= high


@pytest.mark.parametrize(("sheet", "column"), COLUMNS)
def test_results_carry_the_prefix_and_inputs_do_not(sheet, column):
    assert column.title.startswith(f"{RESULT_PREFIX} ") == column.result


@pytest.mark.parametrize(("sheet", "column"), COLUMNS)
def test_every_kind_of_column_reads_a_blank_cell(sheet, column):
    read = read_column(column, column.si, Address(sheet.title, 2, 1), [None], lambda _: Address(sheet.title, 3, 1))
    codes = [p.code for p in read.problems]
    assert codes == (["value-missing"] if column.required else [])


def test_base_units_of_dimensions_are_distinct():
    assert len({d.value for d in Dimension}) == len(Dimension)
