"""Turns: which elbow, what radius, and whether it fits."""

from math import pi, radians, tan

import pytest

from pipecalc.workbook.building.turns import tangent
from tests.analysis.hand_plants import built, checked, codes, line_rows


def turn_of(runs, point: str = "20", **more):
    plant = built(line_rows(runs, **more))
    (segment,) = [s for s in plant.lines["L-1"].segments if s.end == point]
    return segment.turn


def test_a_blank_turn_takes_the_projects_elbow_and_says_so() -> None:
    runs = [{"east": 6}, {"north": 4}]
    turn = turn_of(runs)
    assert (turn.kind, turn.assumed, turn.angle) == ("long radius", True, pytest.approx(pi / 2))
    assert turn.radius == pytest.approx(1.5 * 6 * 0.0254)
    notes = [p for p in checked(line_rows(runs)).problems if p.code == "elbow-assumed"]
    assert [p.address.sheet for p in notes] == ["Segments"]
    assert "90°" in notes[0].found


@pytest.mark.parametrize(
    ("typed", "kind", "radius"),
    [
        ({"turn": "short radius"}, "short radius", 6 * 0.0254),
        ({"turn": "bend", "bend_radius": 500}, "bend", 0.5),
        ({"turn": "mitre", "bend_radius": 400, "mitre_cuts": 3}, "mitre", 0.4),
        ({"turn": "none"}, "none", 0.0),
    ],
)
def test_a_typed_turn_wins(typed, kind: str, radius: float) -> None:
    turn = turn_of([{"east": 6} | typed, {"north": 4}])
    assert (turn.kind, turn.radius, turn.assumed) == (kind, pytest.approx(radius), False)


def test_a_run_straight_on_has_no_turn() -> None:
    assert turn_of([{"east": 6}, {"east": 4}]) is None
    assert codes(line_rows([{"east": 6, "turn": "bend", "bend_radius": 500}, {"east": 4}]), "warning") == [
        ("turn-unused", "Segments!I3")
    ]


def test_the_tangent_of_an_arc() -> None:
    turn = turn_of([{"east": 6}, {"east": 2, "north": 2}])
    assert tangent(turn) == pytest.approx(0.2286 * tan(radians(22.5)))
    assert tangent(None) == 0.0


def test_elbows_that_do_not_fit_into_a_run_are_an_error_with_both_lengths() -> None:
    (problem,) = checked(line_rows([{"east": 6}, {"up": 0.4}, {"north": 4}])).errors
    assert problem.code == "turn-too-large"
    assert "400 mm long" in problem.found
    assert "take 457 mm" in problem.found


def test_two_elbows_back_to_back_fit_exactly() -> None:
    assert codes(line_rows([{"east": 6}, {"up": 0.4572}, {"north": 4}])) == []


def test_an_arc_may_not_take_up_a_valve() -> None:
    runs = [{"east": 6}, {"east": 0.5, "item": "valve", "mass": 50}, {"north": 4}]
    assert codes(line_rows(runs)) == [("turn-in-item", "Segments!4")]


def test_a_run_that_leads_back_is_an_error() -> None:
    rows = line_rows([{"east": 6}, {"east": -2}, {"north": 4}])
    assert ("turn-back", "Segments!4") in codes(rows)


def test_a_run_without_length_is_told_once_and_does_not_stop_the_rest() -> None:
    rows = line_rows([{"east": 6}, {"east": 0}, {"north": 4}])
    assert codes(rows) == [("segment-length", "Segments!D4")]


def test_runs_that_meet_head_on_at_an_angle_say_that_no_elbow_is_known() -> None:
    rows = line_rows([{"east": 6}, {"north": 4}])
    rows["Segments"][0] |= {"from_": "20", "to": "10", "east": -6}
    assert codes(rows) == [("run-reversed", "Segments!4")]


def test_runs_that_meet_head_on_in_one_line_are_accepted() -> None:
    rows = line_rows([{"east": 6}, {"east": 4}])
    rows["Segments"][0] |= {"from_": "20", "to": "10", "east": -6}
    assert codes(rows) == []


def test_a_corner_between_two_lines_is_a_warning() -> None:
    rows = line_rows([{"east": 6}, {"north": 4}], line={"to": None})
    rows["Lines"].append(rows["Lines"][0] | {"line": "L-2", "from_": None, "to": "B"})
    rows["Segments"][1] = {"line": "L-2", "from_": "L-1/20", "to": "30", "north": 4}
    rows["Nozzles"][1]["line"] = "L-2"
    assert codes(rows) == []
    assert codes(rows, "warning") == [("corner-without-turn", "Segments!4")]


def test_a_header_that_turns_at_a_tee_has_no_elbow_there() -> None:
    rows = line_rows([{"east": 6, "branch": "welding tee"}, {"north": 4}])
    rows["Lines"].append(rows["Lines"][0] | {"line": "L-2", "from_": None, "to": None})
    rows["Segments"].append({"line": "L-2", "from_": "L-1/20", "to": "30", "east": 4})
    plant = built(rows)
    assert plant.lines["L-1"].segments[0].turn is None


def test_an_elbow_of_an_unusual_diameter_takes_the_diameter_for_its_size() -> None:
    turn = turn_of(
        [{"east": 6}, {"north": 4}], line={"nps": None, "schedule": None, "outside_diameter": 200, "wall": 8}
    )
    assert turn.radius == pytest.approx(0.3)
