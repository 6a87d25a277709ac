"""The column reference says everything that the schema declares."""

import pytest

from pipecalc.schema.column import Column, Kind
from pipecalc.schema.reference import BEGIN, END, accepted, column_reference, default, limits, with_reference
from pipecalc.schema.sheets import SHEETS, sheet

REFERENCE = column_reference()


def section(title: str) -> str:
    start = REFERENCE.index(f"### {title}")
    end = REFERENCE.find("\n### ", start + 1)
    return REFERENCE[start : end if end > 0 else None]


@pytest.mark.parametrize("title", [s.title for s in SHEETS])
def test_each_sheet_lists_each_of_its_columns_in_order(title: str) -> None:
    rows = [
        line
        for line in section(title).splitlines()
        if line.startswith("| ") and not line.startswith("| Title | Meaning")
    ]
    names = [row.split("|")[1].strip().strip("*") for row in rows]
    assert names == [column.title for column in sheet(title).inputs]
    assert all(len(row.replace("\\|", "").split("|")) == 9 for row in rows)


def test_units_limits_words_and_defaults_stand_in_the_row() -> None:
    row = next(line for line in section("Lines").splitlines() if line.startswith("| Corrosion allowance"))
    assert [cell.strip() for cell in row.strip("|").split("|")] == [
        "Corrosion allowance",
        "Lost from the inside wall over the line's life. Where blank: 0 mm.",
        "mm",
        "in",
        "",
        "number",
        "≥ 0 and ≤ 12; usually ≤ 6",
    ]
    assert "each component / resultants / sum of ratios / square root of squares" in section("Allowables")


def test_required_columns_are_marked() -> None:
    for s in SHEETS:
        for column in s.inputs:
            row = next(line for line in section(s.title).splitlines() if column.meaning in line)
            assert column.title in row or column.meaning in row
            assert row.split("|")[5].strip() in ("yes", "")
    assert "| **Line** |" in section("Lines")
    assert "| Service |" in section("Lines")


def test_results_are_listed_with_their_units() -> None:
    assert "length [m, ft]" in section("Segments")
    assert "Results:" not in section("Lines")


@pytest.mark.parametrize(
    ("column", "text"),
    [
        (Column("a", "a", "", Kind.NUMBER, low=0.0, above_low=True), "> 0"),
        (Column("a", "a", "", Kind.NUMBER, high=3.0), "≤ 3"),
        (Column("a", "a", "", Kind.NUMBER, usual_low=2.0, usual_high=9.0), "usually ≥ 2 and ≤ 9"),
        (Column("a", "a", "", Kind.NUMBER), ""),
    ],
)
def test_limits_read_as_a_sentence(column: Column, text: str) -> None:
    assert limits(column) == text


def test_every_kind_has_words_for_what_it_accepts() -> None:
    assert all(accepted(column) for s in SHEETS for column in s.columns)
    assert accepted(sheet("Supports").column("attached_to")) == "structure, or a name of Equipment (Equipment)"
    assert "built-in library" in accepted(sheet("Lines").column("material"))


def test_defaults_are_shown_in_the_units_row_unit() -> None:
    assert default(sheet("Project").column("limit_sag")) == "12.5 mm"
    assert default(sheet("Project").column("installation_temperature")) == "20 °C"
    assert default(sheet("Lines").column("mill_tolerance")) == "12.5 %"
    assert default(sheet("Lines").column("service")) == ""


def test_the_reference_is_renewed_between_its_markers_and_nothing_else() -> None:
    renewed = with_reference(f"before\n{BEGIN}\nold\n{END}\nafter\n")
    assert renewed.startswith("before\n")
    assert renewed.endswith("\nafter\n")
    assert "\nold\n" not in renewed
    assert with_reference(renewed) == renewed


@pytest.mark.parametrize("text", ["no markers", f"{BEGIN} only", f"{END} then {BEGIN}"])
def test_missing_markers_are_an_error(text: str) -> None:
    with pytest.raises(ValueError, match="needs the lines"):
        with_reference(text)
