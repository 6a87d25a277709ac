"""Lines as chains of points, and what a support holds by the hand method."""

from itertools import permutations

import numpy as np
import pytest

from pipecalc.analysis.chains import axis_name, chains_of, holds, junction_movement, own_axes, restrained_directions
from pipecalc.calc.material import strain_between
from pipecalc.model import Vector
from tests.analysis.hand_plants import COLD, built, line_rows, support

E, N, U = (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)
RUNS = [{"east": 6}, {"north": 4}, {"up": 2}]


def names(chain) -> list[str]:
    return [key[1] for key in chain.keys]


def shuffled(rows, order):
    return rows | {"Segments": [rows["Segments"][n] for n in order]}


@pytest.mark.parametrize("order", list(permutations(range(3))))
def test_the_order_of_rows_does_not_matter(order) -> None:
    plant = built(shuffled(line_rows(RUNS), order))
    (chain,) = chains_of(plant.lines["L-1"])
    assert names(chain) == ["10", "20", "30", "40"]
    assert chain.at[-1] == pytest.approx((6.0, 4.0, 5.0))


def test_runs_that_meet_head_on_in_one_line_make_one_chain() -> None:
    rows = line_rows([{"east": 6}, {"east": 3}, {"north": 4}])
    rows["Segments"][0] |= {"from_": "20", "to": "10", "east": -6}
    (chain,) = chains_of(built(rows).lines["L-1"])
    assert names(chain) in (["10", "20", "30", "40"], ["40", "30", "20", "10"])
    steps = np.diff(chain.at, axis=0)
    assert [tuple(s.vector) for s in chain.segments] == [pytest.approx(tuple(v)) for v in steps]


def test_a_header_runs_straight_through_its_own_branch() -> None:
    rows = line_rows([{"east": 3}, {"from_": "20", "to": "90", "up": 2}, {"from_": "20", "to": "40", "east": 3}])
    rows["Nozzles"][1] |= {"east": 6, "up": 3, "point": "40"}
    chains = chains_of(built(rows).lines["L-1"])
    assert [names(c) for c in chains] == [["10", "20", "40"], ["20", "90"]]


def test_axes_are_those_most_of_the_line_runs_in_however_it_is_cut_into_runs() -> None:
    diagonal = {"east": 1.5, "north": 1.5}
    rows = line_rows([{"east": 3}, diagonal, diagonal, {"east": 1}])
    axes = own_axes(built(rows).lines["L-1"])
    assert axes[0] == pytest.approx((0.5**0.5, 0.5**0.5, 0.0))
    assert axes @ axes.T == pytest.approx(np.eye(3))


def test_a_line_that_only_rises_has_the_plants_axes() -> None:
    assert own_axes(built(line_rows([{"up": 3}])).lines["L-1"]) == pytest.approx(np.eye(3))


@pytest.mark.parametrize(
    ("direction", "name"),
    [
        (E, "East"),
        ((-1.0, 0.0, 0.0), "East"),
        ((0.0, -1.0, 0.0), "North"),
        ((0.0, 0.0, -1.0), "Up"),
        ((0.5, 3**0.5 / 2, 0.0), "az 30.0"),
        ((-0.5, -(3**0.5) / 2, 0.0), "az 30.0"),
        ((0.5, -(3**0.5) / 2, 0.0), "az 150.0"),
        ((0.6, 0.0, 0.8), "az 90.0 el 53.1"),
        ((-0.6, 0.0, -0.8), "az 90.0 el 53.1"),
        ((-0.6, 0.0, 0.8), "az 90.0 el -53.1"),
    ],
)
def test_a_direction_and_its_opposite_have_one_name(direction: Vector, name: str) -> None:
    assert axis_name(np.array(direction)) == name


def held(type: str, pipe: Vector = E, direction: Vector | None = None) -> list[tuple[tuple[float, ...], bool]]:
    found = restrained_directions(support(type, pipe_direction=pipe, direction=direction))
    return [(tuple(float(v) + 0.0 for v in np.abs(unit)), one_way) for unit, one_way in found]


@pytest.mark.parametrize(
    ("type", "wanted"),
    [
        ("anchor", [(E, False), (N, False), (U, False)]),
        ("rest", [(U, True)]),
        ("guide", [(N, False)]),
        ("line stop", [(E, False)]),
        ("rest and guide", [(U, True), (N, False)]),
        ("rest and line stop", [(U, True), (E, False)]),
        ("rest, guide and line stop", [(U, True), (N, False), (E, False)]),
        ("hanger rod", [(U, True)]),
        ("spring", []),
        ("constant load", []),
        ("snubber", []),
    ],
)
def test_what_each_type_holds_on_a_pipe_that_runs_east(type: str, wanted) -> None:
    assert held(type) == wanted


def test_a_guide_on_a_vertical_pipe_holds_both_horizontal_axes() -> None:
    assert held("guide", U) == [(E, False), (N, False)]


def test_a_strut_holds_along_its_direction() -> None:
    assert held("strut", E, (0.0, 0.6, 0.8)) == [((0.0, 0.6, 0.8), False)]


def test_a_given_direction_replaces_the_pipes() -> None:
    assert held("line stop", E, N) == [(N, False)]
    assert held("guide", E, U) == [(U, False)]
    assert held("rest and line stop", E, N) == [(U, True), (N, False)]
    assert held("rest and guide", E, N) == [(U, True), (N, False)]
    assert held("rest", E, N) == [(N, True)]


def holds_of(supports, runs=({"east": 3}, {"east": 3}, {"north": 4}), **more):
    plant = built(line_rows(runs, supports=supports, **more))
    (chain,) = chains_of(plant.lines["L-1"])
    return [h for h in holds(chain, plant, plant.states[0]) if h.name not in ("A", "B")]


def test_a_guide_counts_for_the_axis_across_the_pipe() -> None:
    (hold,) = holds_of([{"support": "G", "point": "20", "type": "guide"}])
    assert (hold.index, hold.axis, hold.one_way) == (1, 1, 0)


def test_a_two_way_hold_wins_over_a_rest_at_the_same_point() -> None:
    rest, stop = {"support": "R", "type": "rest"}, {"support": "S", "type": "strut", "direction": "+U"}
    (hold,) = holds_of([r | {"point": "20"} for r in (rest, stop)])
    assert (hold.name, hold.one_way) == ("S", 0)


def test_a_rest_with_a_direction_against_an_axis_holds_the_other_sense() -> None:
    (hold,) = holds_of([{"support": "R", "point": "20", "type": "rest", "direction": "-U"}])
    assert (hold.axis, hold.one_way) == (2, -1)


def branched(supports=()):
    rows = line_rows([{"east": 4}, {"east": 6}], supports=supports)
    rows["Segments"][0]["branch"] = "welding tee"
    rows["Lines"].append(rows["Lines"][0] | {"line": "L-2", "from_": None, "to": None})
    rows["Segments"].append({"line": "L-2", "from_": "L-1/20", "to": "10", "north": 3})
    return built(rows)


def test_a_branch_goes_where_its_header_goes_half_way_between_both_ends() -> None:
    plant = branched()
    header, branch = chains_of(plant.lines["L-1"])[0], chains_of(plant.lines["L-2"])[0]
    move = junction_movement(header, ("L-1", "20"), plant, plant.states[0])
    whole = [h for h in holds(branch, plant, plant.states[0]) if h.axis == 1]
    assert whole[0].name == "joint with L-1/20"
    # From end A it moves by 4 m of growth, from end B by -6 m of growth: half way is -1 m of growth.
    assert move[0] == pytest.approx(-strain_between(plant.lines["L-1"].material, COLD, 180.0))


def test_a_line_stop_on_the_header_decides_how_the_branch_moves() -> None:
    plant = branched([{"support": "S", "point": "20", "type": "line stop"}])
    header = chains_of(plant.lines["L-1"])[0]
    assert junction_movement(header, ("L-1", "20"), plant, plant.states[0])[0] == 0.0
