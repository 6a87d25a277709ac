"""Studies: what is varied, what is watched, what is refused."""

from math import isnan

import pytest
from books import book_bytes, small_plant

from pipecalc import making, studies
from pipecalc.analysis.analyse import analyse
from pipecalc.problems import InputError
from pipecalc.results import Status
from pipecalc.study_cells import study_problems
from pipecalc.workbook.reader import read


def book(*rows, **changes):
    plant = small_plant()
    for sheet, more in changes.items():
        plant[sheet] = [*plant.get(sheet, []), *more]
    keys = ("study", "sheet", "row", "column", "values", "watch")
    plant["Studies"] = [dict(zip(keys, row, strict=False)) for row in rows]
    return read(book_bytes(plant))


HOT = ("hot", "Lines", "HW-1", "Operating temperature", "100 : 180 : 40", "V1-B")


def codes(*rows, consent=False, **changes):
    return [p.code for p in study_problems(book(*rows, **changes), consent=consent)]


def test_each_point_is_what_a_run_of_that_workbook_gives():
    (result,) = studies.run_studies(book(HOT))
    assert [p.typed for p in result.points] == [("100",), ("140",), ("180",)]
    for point in result.points:
        rows = small_plant()
        rows["Lines"][0]["operating_temperature"] = float(point.typed[0])
        results = analyse(making.checked(read(book_bytes(rows))).plant)
        checks = [c for c in results.checks if c.subject == "V1-B" and not c.screening and not isnan(c.ratio)]
        worst = max(checks, key=lambda c: c.ratio)
        assert (point.ratio, point.case, point.subject) == (pytest.approx(worst.ratio, rel=1e-9), worst.case, "V1-B")
        forces = [load for load in results.nozzle_loads if load.nozzle == "V1-B" and load.method == "frame"]
        largest = max(sum(f * f for f in load.force) ** 0.5 for load in forces)
        assert point.force == pytest.approx(largest, rel=1e-9)


def test_the_worst_of_all_is_watched_where_nothing_is_named():
    (watched,) = studies.run_studies(book(("s", "Supports", "S-1", "Friction", "0; 0.3", "HW-1")))
    (everything,) = studies.run_studies(book(("s", "Supports", "S-1", "Friction", "0; 0.3")))
    assert watched.points[0].subject == "HW-1"
    assert all(a.ratio >= w.ratio for a, w in zip(everything.points, watched.points, strict=True))
    assert everything.points[0].status is Status.FAIL
    assert "S-1, support load" in everything.points[0].reason


def test_a_unit_in_the_values_wins_over_the_columns():
    (result,) = studies.run_studies(book(("s", "Lines", "HW-1", "Operating temperature", "212 °F; 356 °F", "V1-B")))
    (plain,) = studies.run_studies(book(("s", "Lines", "HW-1", "Operating temperature", "100; 180", "V1-B")))
    assert [p.ratio for p in result.points] == pytest.approx([p.ratio for p in plain.points], rel=1e-6)
    assert (result.variables[0].unit, plain.variables[0].unit) == ("°F", "°C")


def test_an_item_of_the_project_sheet_is_varied_by_its_name():
    (result,) = studies.run_studies(book(("s", "Project", "Installation temperature", "-", "0; 20", "V1-B")))
    assert result.points[0].ratio > result.points[1].ratio


def test_a_segment_is_named_by_line_from_and_to():
    (result,) = studies.run_studies(book(("s", "Segments", "HW-1 15 20", "Schedule", "40; 80", "HW-1")))
    assert result.points[0].ratio != result.points[1].ratio


def test_two_variables_give_a_grid():
    (result,) = studies.run_studies(book(HOT, ("hot", "Supports", "S-1", "Friction", "0; 0.3")))
    assert len(result.points) == 6
    grid = studies.shades(result)
    assert (grid.x_words, grid.y_words) == (("100", "140", "180"), ("0", "0.3"))
    assert grid.ratio[1][2] == result.points[5].ratio
    assert grid.ratio[0][2] == result.points[4].ratio
    assert studies.curve(result) is None


def test_one_variable_gives_a_curve():
    (result,) = studies.run_studies(book(HOT))
    found = studies.curve(result)
    assert found.x == (100.0, 140.0, 180.0)
    assert found.x_label == "HW-1, Operating temperature [°C]"
    assert found.title == "hot: V1-B"
    assert studies.shades(result) is None


def test_words_on_an_axis_are_counted():
    (result,) = studies.run_studies(book(("s", "Supports", "S-1", "Type", "rest; spring", "HW-1")))
    assert studies.curve(result).x == (0.0, 1.0)


def test_a_table_has_a_row_for_each_point():
    (result,) = studies.run_studies(book(HOT))
    titles, rows = studies.study_table(result)
    assert titles[:3] == ("HW-1, Operating temperature [°C]", "Ratio", "Status")
    assert [row["Ratio"] for row in rows] == [p.ratio for p in result.points]


def test_what_does_not_change_is_not_solved_again():
    (result,) = studies.run_studies(book(("s", "Supports", "S-1", "Remark", "a; b; a; b; a", "V1-B")))
    assert (result.solved, result.reused) == (2, 3)
    start = {"start_point": "1", "start_east": 0, "start_north": 50, "start_up": 3}
    other = {**small_plant()["Lines"][0], "line": "HW-2", "from_": None, "to": None, **start}
    far = {"Lines": [other], "Segments": [{"line": "HW-2", "from_": "1", "to": "2", "east": 3}],
           "Supports": [{"support": "A-2", "line": "HW-2", "point": "1", "type": "anchor"}]}  # fmt: skip
    (result,) = studies.run_studies(book(("s", "Lines", "HW-2", "Operating temperature", "60 : 150 : 10"), **far))
    assert (result.solved, result.reused) == (11, 9)


def test_a_value_that_breaks_the_geometry_is_told_at_its_point():
    (result,) = studies.run_studies(book(("s", "Segments", "HW-1 20 30", "North", "4; 4.5", "V1-B")))
    good, broken = result.points
    assert good.ratio > 0
    assert (broken.status, isnan(broken.ratio)) == (Status.NOT_CHECKED, True)
    assert "away from nozzle" in broken.reason


def test_the_book_is_left_as_it_was():
    read_book = book(HOT)
    before = read_book.rows["Lines"][0]["operating_temperature"]
    studies.run_studies(read_book)
    assert read_book.rows["Lines"][0]["operating_temperature"] == before


@pytest.mark.parametrize(
    ("row", "code"),
    [
        (("s", "Pipes", "HW-1", "NPS", "4; 6"), "study-unknown"),
        (("s", "Lines", "HW-9", "NPS", "4; 6"), "study-unknown"),
        (("s", "Lines", "HW-1", "Colour", "red"), "study-unknown"),
        (("s", "Nozzles", "V1-B", "Result: governing ratio", "1; 2"), "study-result"),
        (("s", "Nozzles", "V1-B", "governing ratio", "1; 2"), "study-result"),
        (("s", "Nozzle loads", "V1-B", "FR", "1; 2"), "study-result"),
        (("s", "Lines", "HW-1", "Operating temperature", "100 : 200 : 0"), "values-unknown"),
        (("s", "Lines", "HW-1", "Operating temperature", "200 : 100 : 10"), "values-unknown"),
        (("s", "Lines", "HW-1", "Operating temperature", "100; warm"), "study-values"),
        (("s", "Lines", "HW-1", "Corrosion allowance", "1; 900"), "study-values"),
        (("s", "Lines", "HW-1", "Operating temperature", "100", "X-1"), "reference-unknown"),
    ],
)
def test_bad_studies_give_a_message(row, code):
    found = study_problems(book(row))
    assert [p.code for p in found] == [code] or (code == "reference-unknown" and len(found) == 1)
    assert found[0].address.sheet == "Studies"
    with pytest.raises(InputError):
        studies.run_studies(book(row))


def test_more_than_the_bound_needs_consent():
    rows = (
        ("s", "Lines", "HW-1", "Operating temperature", "100 : 200 : 0.5", "V1-B"),
        ("s", "Supports", "S-1", "Friction", "0 : 0.5 : 0.005"),
    )
    assert codes(*rows) == ["study-size"]
    assert codes(*rows, consent=True) == []


def test_a_name_of_several_rows_is_refused_with_their_full_names():
    states = [
        {"state": "start", "applies_to": "HW-1", "temperature": 90},
        {"state": "start", "applies_to": "V-1", "temperature": 120},
    ]
    (problem,) = study_problems(book(("s", "States", "start", "Temperature", "80; 90"), States=states))
    assert problem.code == "study-ambiguous"
    assert "3, 4" in problem.found


def test_two_watches_of_one_study_are_refused():
    assert codes(HOT, ("hot", "Supports", "S-1", "Friction", "0; 0.3", "HW-1")) == ["study-watch"]


def test_a_study_that_is_not_there_is_named():
    with pytest.raises(InputError, match="there is no study 'cold'"):
        studies.run_studies(book(HOT), names=["cold"])


def test_progress_counts_all_points():
    seen = []
    studies.run_studies(book(HOT), progress=lambda done, total: seen.append((done, total)))
    assert seen == [(1, 3), (2, 3), (3, 3)]
