"""Rows -> plant: what is built, in which order, and what is said on the way."""

from dataclasses import fields
from itertools import permutations

import numpy as np
import pytest

from pipecalc.model import Plant, Project
from pipecalc.problems import Severity
from pipecalc.workbook.build import build, stand_in
from pipecalc.workbook.reader import read
from pipecalc.workbook.rows import mark_bad
from tests.analysis.hand_plants import built, checked, codes, line_rows
from tests.workbook.books import book_bytes, small_plant, twin

RUNS = [{"east": 6}, {"north": 4}]


def test_a_sound_workbook_gives_a_plant_in_workbook_order() -> None:
    plant = built(small_plant())
    assert (list(plant.lines), list(plant.equipment), list(plant.nozzles)) == (
        ["HW-1"],
        ["H-1", "V-1"],
        ["H1-A", "V1-B"],
    )
    assert plant.nozzle_at == {("HW-1", "10"): "H1-A", ("HW-1", "30"): "V1-B"}
    assert plant.points["HW-1", "30"] == (5.0, 4.0, 3.0)
    assert [s.source.row for s in plant.lines["HW-1"].segments] == [3, 4, 5]


def test_an_error_gives_no_plant() -> None:
    rows = small_plant()
    rows["Lines"][0]["nps"] = 7
    assert checked(rows).plant is None


def test_errors_of_geometry_are_found_though_the_project_sheet_has_one() -> None:
    rows = line_rows(RUNS, project={"friction": 7, "elbow": "sharpish"})
    rows["Segments"][1]["north"] = 3.9
    found = checked(rows)
    assert {p.address.sheet for p in found.errors} == {"Project", "Segments"}
    assert [p.code for p in found.errors if p.address.sheet == "Segments"] == ["line-open"]
    assert found.plant is None


def test_no_table_is_read_at_an_unknown_installation_temperature() -> None:
    rows = line_rows(RUNS, project={"installation_temperature": "cool"})
    assert [address.split("!")[0] for _, address in codes(rows)] == ["Project"]


def test_a_stand_in_holds_defaults_for_what_is_wrong_only() -> None:
    book = read(book_bytes(line_rows(RUNS, project={"friction": 7, "cycles": 900})))
    values = stand_in(book.project).values
    assert (values["friction"], values["cycles"]) == (0.3, 900.0)


def test_rows_with_errors_are_left_out_and_nothing_raises() -> None:
    book = read(book_bytes(line_rows(RUNS)))
    for title, rows in book.rows.items():
        for row in rows:
            wrong = mark_bad(book, [error_at(title, row.number)])
            assert build(wrong, [error_at(title, row.number)]).plant is None


def test_a_run_without_length_that_no_rule_has_marked_does_not_raise() -> None:
    book = read(book_bytes(line_rows([{"east": 6}, {"east": 0}, {"north": 4}])))
    assert build(book).problems


def error_at(title: str, row: int):
    from pipecalc.problems import Address, error

    return error("test", Address(title, row), "wrong")


def test_an_edition_that_the_code_does_not_have_is_an_error() -> None:
    (problem,) = checked(line_rows(RUNS, project={"code": "EN 13480-3", "edition": "2022"})).errors
    assert problem.code == "edition-unknown"
    assert "2017" in problem.accepted


def test_defaults_that_count_are_noted_once_with_value_and_unit() -> None:
    notes = [p for p in checked(line_rows(RUNS)).problems if p.code == "default-taken"]
    found = {(p.found, p.accepted) for p in notes}
    assert ("Default friction coefficient left blank", "0.3") in found
    assert ("Mill tolerance left blank", "12.5 %") in found
    assert all(p.severity is Severity.NOTE for p in notes)
    assert len(found) == len(notes)


REDUCED = [
    {"east": 3},
    {"east": 0.2, "item": "reducer", "nps_at_to": 4},
    {"east": 3},
    {"north": 4, "wall": 8.0},
    {"north": 2},
]


@pytest.mark.parametrize("order", list(permutations(range(5)))[::7])
def test_the_section_goes_on_along_the_line_and_not_down_the_sheet(order) -> None:
    rows = line_rows(REDUCED, end={"nps": 4})
    plant = built(rows | {"Segments": [rows["Segments"][n] for n in order]})
    found = {s.start: (s.section.nps, round(s.section.wall * 1e3, 2)) for s in plant.lines["L-1"].segments}
    assert found == {"10": (6.0, 7.11), "20": (6.0, 7.11), "30": (4.0, 6.02), "40": (4.0, 8.0), "50": (4.0, 6.02)}
    (reducer,) = [s for s in plant.lines["L-1"].segments if s.start == "20"]
    assert reducer.end_section.outside_diameter == pytest.approx(0.1143)


def test_another_wall_keeps_the_lines_own_diameter() -> None:
    line = {"outside_diameter": 170, "wall": 7, "nps": 6, "schedule": None}
    rows = line_rows([{"east": 6, "wall": 9}, {"north": 4}], line=line)
    segments = built(rows).lines["L-1"].segments
    found = [size for s in segments for size in (s.section.outside_diameter, s.section.wall)]
    assert found == pytest.approx([0.17, 0.009, 0.17, 0.007])


def test_a_schedule_that_the_size_does_not_have_is_an_error_on_segments_too() -> None:
    runs = [{"east": 3}, {"east": 0.2, "item": "reducer", "nps_at_to": 2}, {"east": 3}]
    rows = line_rows(runs, line={"schedule": "20", "nps": 8}, end={"nps": 2})
    rows["Nozzles"][0]["nps"] = 8
    assert codes(rows) == [("section-unknown", "Segments!P4")]


def test_a_schedule_for_a_pipe_given_by_its_diameter_is_an_error() -> None:
    line = {"outside_diameter": 200, "wall": 8, "nps": None, "schedule": None}
    (problem,) = checked(line_rows([{"east": 6, "schedule": "80"}, {"north": 4}], line=line)).errors
    assert problem.code == "section-unknown"
    assert "a pipe given by its diameter" in problem.found


def test_a_wall_that_leaves_no_pipe_is_an_error() -> None:
    assert codes(line_rows([{"east": 6, "wall": 100}, {"north": 4}]))[0][0] == "wall-misfits"
    assert (
        codes(line_rows([{"east": 6, "wall": 3}, {"north": 4}], line={"corrosion_allowance": 4}))[0][0]
        == "wall-misfits"
    )


def test_the_direction_at_a_tee_is_that_of_the_header() -> None:
    rows = line_rows([{"east": 3, "branch": "welding tee"}, {"east": 3}])
    rows["Lines"].insert(0, rows["Lines"][0] | {"line": "L-2", "from_": None, "to": None})
    rows["Segments"].insert(0, {"line": "L-2", "from_": "10", "to": "L-1/20", "north": -3})
    rows["Supports"] = [{"support": "S", "line": "L-1", "point": "20", "type": "guide"}]
    assert built(rows).supports["S"].pipe_direction == (1.0, 0.0, 0.0)


@pytest.mark.parametrize(
    ("kind", "direction", "L"),
    [
        ("vertical on skirt", "+E", (0, 0, 1)),
        ("vertical on skirt", "+U", (0, 1, 0)),
        ("fixed", "+U", (0, 1, 0)),
        ("horizontal on saddles", "+U", (0, 1, 0)),
        ("horizontal on saddles", "+N", (0, 0, 1)),
        ("vertical on lugs", "az 90 el 30", (-0.5, 0, 3**0.5 / 2)),
    ],
)
def test_nozzle_axes_follow_the_equipment(kind: str, direction: str, L) -> None:
    rows = line_rows(RUNS)
    rows["Equipment"][0] |= {"kind": kind, "outside_diameter": 800, "base_north": -2}
    if kind.startswith("horizontal"):
        rows["Equipment"][0] |= {"axis": "+N", "centreline_height": 1}
    rows["Nozzles"][0]["direction"] = direction
    found = np.array(built(rows).nozzles["A"].axes)
    assert found[1] == pytest.approx(L)
    assert found @ found.T == pytest.approx(np.eye(3))
    assert np.linalg.det(found) == pytest.approx(1.0)


def test_the_same_plant_in_us_units_is_the_same_plant() -> None:
    si, us = built(small_plant()), built(twin(small_plant()), units="US")
    for name, at in si.points.items():
        assert us.points[name] == pytest.approx(at, abs=1e-9)
    assert flat_numbers(us) == pytest.approx(flat_numbers(si), rel=1e-9)


def flat_numbers(plant: Plant) -> list[float]:
    line, vessel, row = plant.lines["HW-1"], plant.equipment["V-1"], plant.allowables["Vendor"][0]
    return [
        line.design_pressure,
        line.operating_temperature,
        line.fluid_density,
        line.section.wall,
        vessel.temperature,
        vessel.support_temperature,
        vessel.outside_diameter,
        row.limits["FR"],
        row.limits["MR"],
        plant.project.installation_temperature,
        plant.project.limit_sag,
    ]


def test_every_field_of_the_project_is_filled() -> None:
    project = built(small_plant()).project
    assert [f.name for f in fields(Project) if not hasattr(project, f.name)] == []


def test_a_swaying_support_of_the_user_keeps_its_own_friction() -> None:
    rows = line_rows(RUNS, supports=[{"support": "a", "point": "20", "type": "rest", "friction": 0.1}])
    rows["Supports"].append({"support": "b", "line": "L-1", "point": "20", "type": "guide"})
    found = built(rows).supports
    assert (found["a"].friction, found["b"].friction) == (0.1, 0.3)


def test_names_written_as_numbers_are_the_names_they_show() -> None:
    rows = line_rows(RUNS)
    for row in rows["Segments"]:
        row |= {"from_": int(row["from_"]), "to": int(row["to"])}
    assert set(built(rows).points) == {("L-1", "10"), ("L-1", "20"), ("L-1", "30")}
