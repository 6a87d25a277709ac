"""Coordinates: walking the segments, and what `check` says of lines that do not close."""

import re

import pytest

from pipecalc.problems import Address, Problems
from pipecalc.workbook.building.placing import Seed, Step, place
from tests.analysis.hand_plants import built, checked, codes, line_rows

RUNS = [{"east": 6}, {"north": 4}]


def step(a: str, b: str, vector, row: int = 3) -> Step:
    return Step(("L", a), ("L", b), vector, Address("Segments", row))


def seed(point: str, at, label: str = "nozzle N") -> Seed:
    return Seed(("L", point), at, label, Address("Nozzles", 3))


def test_points_are_placed_from_the_first_seed_along_both_senses() -> None:
    problems = Problems()
    steps = [step("1", "2", (1.0, 0, 0)), step("2", "3", (0, 2.0, 0))]
    at = place(steps, [seed("2", (10.0, 0.0, 5.0))], problems)
    assert at == {("L", "1"): (9.0, 0.0, 5.0), ("L", "2"): (10.0, 0.0, 5.0), ("L", "3"): (10.0, 2.0, 5.0)}
    assert len(problems) == 0


def test_a_gap_at_a_second_nozzle_is_told_in_all_three_axes() -> None:
    problems = Problems()
    steps = [step("1", "2", (1.0, 0, 0))]
    place(steps, [seed("1", (0, 0, 0), "nozzle A"), seed("2", (0.99, 0.002, -0.03), "nozzle B")], problems)
    (problem,) = problems
    assert problem.code == "line-open"
    assert "from nozzle A reaches L/2 East +10.0 mm, North -2.0 mm, Up +30.0 mm away from nozzle B" in problem.found
    assert "Nozzles!3" in problem.hint


@pytest.mark.parametrize(("short", "count"), [(0.0009, 0), (0.0011, 1)])
def test_a_line_closes_within_a_millimetre(short: float, count: int) -> None:
    problems = Problems()
    place([step("1", "2", (1.0, 0, 0))], [seed("1", (0, 0, 0)), seed("2", (1.0 + short, 0, 0))], problems)
    assert len(problems) == count


@pytest.mark.parametrize("first", range(4))
def test_a_ring_that_does_not_close_gives_its_gap_wherever_walking_begins(first: int) -> None:
    vectors = [(1.0, 0, 0), (0, 1.0, 0), (-1.0, 0, 0.02), (0, -1.0, 0)]
    steps = [step(str(n), str((n + 1) % 4), v, row=3 + n) for n, v in enumerate(vectors)]
    problems = Problems()
    place(steps, [seed(str(first), (0, 0, 0))], problems)
    (problem,) = problems
    assert problem.code == "ring-open"
    assert problem.found.endswith("does not close: East +0.0 mm, North +0.0 mm, Up +20.0 mm")


def test_a_line_that_nothing_places_is_said_once() -> None:
    problems = Problems()
    assert place([step("1", "2", (1, 0, 0)), step("2", "3", (1, 0, 0))], [], problems) == {}
    assert [p.code for p in problems] == ["line-unplaced"]


def test_a_line_takes_its_place_from_the_line_it_joins() -> None:
    rows = line_rows([{"east": 6, "branch": "welding tee"}, {"east": 4}])
    rows["Lines"].append(rows["Lines"][0] | {"line": "L-2", "from_": None, "to": None})
    rows["Segments"].insert(0, {"line": "L-2", "from_": "10", "to": "L-1/20", "north": -3})
    assert built(rows).points["L-2", "10"] == (6.0, 3.0, 3.0)


def test_a_start_point_places_a_line_without_nozzles() -> None:
    rows = line_rows(RUNS, line={"from_": None, "to": None, "start_point": "30"})
    rows["Lines"][0] |= {"start_east": 106, "start_north": 4, "start_up": 3}
    rows["Nozzles"] = []
    assert built(rows).points["L-1", "10"] == (100.0, 0.0, 3.0)


def test_the_nozzle_a_line_starts_at_decides_and_not_the_order_of_rows() -> None:
    rows = line_rows(RUNS)
    rows["Nozzles"][1]["east"] += 0.0004
    rows["Equipment"][1]["base_east"] += 0.0004
    straight, turned = built(rows), built(rows | {"Segments": rows["Segments"][::-1]})
    assert straight.points == turned.points
    assert straight.points["L-1", "10"] == (0.0, 0.0, 3.0)


def test_a_line_that_does_not_reach_its_nozzle_is_an_error_with_the_gap() -> None:
    rows = line_rows(RUNS)
    rows["Segments"][1]["north"] = 3.9
    (problem,) = checked(rows).errors
    assert problem.code == "line-open"
    assert re.search(r"East \+0\.0 mm, North -100\.0 mm, Up \+0\.0 mm", problem.found)


def test_a_nozzle_takes_its_point_from_the_line_that_names_it_whatever_the_order_of_rows() -> None:
    rows = line_rows(RUNS)
    for nozzle in rows["Nozzles"]:
        nozzle |= {"line": None, "point": None}
    for segments in (rows["Segments"], rows["Segments"][::-1]):
        plant = built(rows | {"Segments": segments})
        assert [plant.nozzles[n].point for n in "AB"] == [("L-1", "10"), ("L-1", "30")]


def test_a_nozzle_named_by_a_line_but_placed_on_another_point_is_an_error() -> None:
    rows = line_rows(RUNS)
    rows["Nozzles"][0] |= {"point": "20", "east": 6}
    assert codes(rows)[0][0] == "nozzle-elsewhere"


def test_an_end_that_nothing_holds_is_a_warning() -> None:
    rows = line_rows(RUNS, line={"to": None})
    rows["Nozzles"].pop()
    assert codes(rows, "warning") == [("point-dangling", "Segments!4")]
    rows["Supports"] = [{"support": "S", "line": "L-1", "point": "30", "type": "anchor"}]
    assert codes(rows, "warning") == []


def test_one_mistake_in_a_line_does_not_bring_a_second_message() -> None:
    rows = line_rows([{"east": 3}, {"east": 3}, {"north": 4}])
    rows["Segments"][1]["east"] = "about 3"
    assert [address for _, address in codes(rows)] == ["Segments!D4"]
    assert [p for p in checked(rows).problems if p.code in ("point-dangling", "line-unplaced", "turn-unused")] == []


def test_a_line_whose_nozzle_has_an_error_is_not_blamed_for_having_no_place() -> None:
    rows = line_rows(RUNS, line={"to": None})
    rows["Nozzles"] = [rows["Nozzles"][0] | {"direction": "sideways"}]
    assert [address for _, address in codes(rows)] == ["Nozzles!H3"]


def test_an_unknown_line_among_joined_ones_excuses_those_that_hang_on_it() -> None:
    rows = line_rows([{"east": 6, "branch": "welding tee"}, {"east": 3}], line={"to": None})
    rows["Segments"][1]["east"] = "nothing"
    rows["Nozzles"].pop()
    rows["Lines"].append(rows["Lines"][0] | {"line": "L-2", "from_": None, "to": None})
    rows["Segments"].append({"line": "L-2", "from_": "L-1/30", "to": "40", "north": 3})
    assert [address for _, address in codes(rows)] == ["Segments!D4"]
