"""The guided cantilever between two restraints, against beam theory by hand."""

import numpy as np
import pytest

from pipecalc.analysis.chains import chains_of
from pipecalc.analysis.legs import end_load, solve_chain
from pipecalc.calc.material import modulus_at, strain_between
from pipecalc.calc.section import metal_area, moment_of_inertia
from tests.analysis.hand_plants import COLD, built, line_rows

D, T = 0.1683, 0.00711


def solved(runs, **more):
    plant = built(line_rows(runs, **more))
    (chain,) = chains_of(plant.lines["L-1"])
    return solve_chain(chain, plant, plant.states[0]), plant


def growth(plant, temperature=180.0) -> float:
    return strain_between(plant.lines["L-1"].material, COLD, temperature)


def stiffness(plant) -> float:
    return modulus_at(plant.lines["L-1"].material, COLD) * moment_of_inertia(D, T)


def only(stretches):
    (found,) = stretches
    return found


def test_the_leg_across_takes_the_growth_of_the_leg_along() -> None:
    hand, plant = solved([{"east": 6}, {"north": 4}])
    east = only(hand.stretches[0])
    assert east.to_absorb == pytest.approx(-6 * growth(plant))
    assert east.force == pytest.approx(-12 * stiffness(plant) * 6 * growth(plant) / 4**3)


def test_legs_share_as_the_cube_of_their_lengths() -> None:
    hand, _ = solved([{"north": 2}, {"east": 6}, {"north": 4}])
    east = only(hand.stretches[0])
    shares = [east.displacement(p) for p in east.pieces]
    assert shares == pytest.approx([east.to_absorb * v / (8 + 64) for v in (8, 0, 64)])
    assert sum(shares) == pytest.approx(east.to_absorb)


def test_a_straight_line_between_two_anchors_pushes_with_its_full_thrust() -> None:
    hand, plant = solved([{"east": 6}])
    east = only(hand.stretches[0])
    E = modulus_at(plant.lines["L-1"].material, COLD)
    assert east.rigid
    assert east.stress == pytest.approx(E * growth(plant))
    assert east.force == pytest.approx(-E * growth(plant) * metal_area(D, T))


def test_an_oblique_leg_gives_way_by_the_square_of_its_sine() -> None:
    hand, plant = solved([{"east": 6}, {"north": 3, "east": 3}])
    east = only(hand.stretches[0])
    L = 18**0.5
    assert east.pieces[1].sine == pytest.approx(0.5**0.5)
    assert east.force == pytest.approx(east.to_absorb / (L**3 * 0.5 / (12 * stiffness(plant))))
    lateral = np.array(east.lateral(east.pieces[1]))
    assert lateral @ east.pieces[1].direction == pytest.approx(0.0, abs=1e-12)
    assert lateral @ east.axis == pytest.approx(east.to_absorb)


def test_a_guide_divides_the_line_across_the_pipe_only() -> None:
    guide = {"support": "G", "point": "20", "type": "guide"}
    hand, plant = solved([{"east": 3}, {"east": 3}, {"north": 4}], supports=[guide])
    assert [len(axis) for axis in hand.stretches] == [1, 2, 1]
    first, second = hand.stretches[1]
    assert (first.force, second.to_absorb) == (0.0, pytest.approx(-4 * growth(plant)))
    assert second.force == pytest.approx(-12 * stiffness(plant) * 4 * growth(plant) / 3**3)


def test_a_line_stop_divides_the_line_along_the_pipe() -> None:
    stop = {"support": "S", "point": "20", "type": "line stop"}
    hand, plant = solved([{"east": 3}, {"east": 3}, {"north": 4}], supports=[stop])
    held, free = hand.stretches[0]
    assert held.rigid
    assert free.to_absorb == pytest.approx(-3 * growth(plant))


def test_an_anchor_divides_the_line_in_every_direction() -> None:
    anchor = {"support": "X", "point": "20", "type": "anchor"}
    hand, _ = solved([{"north": 3}, {"east": 3}, {"north": 4}], supports=[anchor])
    assert [len(axis) for axis in hand.stretches] == [2, 2, 2]


@pytest.mark.parametrize("type", ["spring", "constant load", "snubber"])
def test_springs_and_snubbers_let_the_pipe_grow(type: str) -> None:
    more = {"direction": "+U"} if type == "snubber" else {}
    hand, _ = solved(
        [{"east": 3}, {"up": 3}, {"north": 4}], supports=[{"support": "S", "point": "20", "type": type, **more}]
    )
    assert [len(axis) for axis in hand.stretches] == [1, 1, 1]


RISER = [{"east": 4}, {"up": 3}, {"east": 4}]


def test_a_rest_counts_where_the_hot_pipe_comes_down_on_it() -> None:
    # The riser's growth pushes the upper run up and the lower one down: the rest at the foot is pressed.
    hand, _ = solved(RISER, supports=[{"support": "R", "point": "20", "type": "rest"}])
    assert [s.end.name for s in hand.stretches[2]] == ["R", "B"]


def test_a_rest_is_open_where_the_hot_pipe_rises() -> None:
    hand, _ = solved(RISER, supports=[{"support": "R", "point": "30", "type": "rest"}])
    assert [s.end.name for s in hand.stretches[2]] == ["B"]


def test_a_hold_down_works_the_other_way() -> None:
    hold_down = {"support": "R", "type": "rest", "direction": "-U"}
    above, _ = solved(RISER, supports=[hold_down | {"point": "30"}])
    below, _ = solved(RISER, supports=[hold_down | {"point": "20"}])
    assert [len(above.stretches[2]), len(below.stretches[2])] == [2, 1]


def test_a_support_on_equipment_takes_the_shells_movement() -> None:
    rows = line_rows(RISER, supports=[{"support": "G", "point": "20", "type": "strut", "direction": "+U"}])
    vessel = {"equipment": "V-9", "kind": "fixed", "base_east": 4, "base_north": 0, "base_up": 0, "material": "A106 B"}
    rows["Equipment"].append(vessel | {"temperature": 180})
    rows["Supports"][0]["attached_to"] = "V-9"
    plant = built(rows)
    hand = solve_chain(chains_of(plant.lines["L-1"])[0], plant, plant.states[0])
    first = hand.stretches[2][0]
    assert first.end.move == pytest.approx(3 * growth(plant))
    assert first.to_absorb == pytest.approx(3 * growth(plant))


def test_a_valve_at_the_end_of_a_leg_makes_the_leg_stiffer_and_its_end_moment_larger() -> None:
    valve = {"north": 1, "item": "valve", "mass": 100}
    hand, plant = solved([{"east": 6}, {"north": 3}, valve])
    east = only(hand.stretches[0])
    leg = east.pieces[1]
    assert leg.length == 3.0
    assert leg.arms == pytest.approx((1.5, 2.5))
    force, moment = end_load(hand, len(hand.chain.keys) - 1)
    assert abs(force[0]) == pytest.approx(12 * stiffness(plant) * 6 * growth(plant) / 27)
    assert abs(moment[2]) == pytest.approx(abs(east.force) * 2.5)


def test_the_stiffest_section_stands_for_a_leg_with_a_reducer() -> None:
    runs = [{"east": 6}, {"north": 2}, {"north": 0.2, "item": "reducer", "nps_at_to": 4}, {"north": 3}]
    hand, _ = solved(runs, end={"nps": 4})
    leg = only(hand.stretches[0]).pieces[-1]
    assert leg.length == pytest.approx(5.2)
    assert leg.segment.section.nps == 6


def test_an_expansion_joint_takes_the_growth_of_a_straight_run() -> None:
    joint = {
        "item": "expansion joint",
        "joint_axial": 100,
        "joint_lateral": 50,
        "joint_angular": 10,
        "joint_area": 25000,
    }
    hand, _ = solved([{"east": 4}, {"east": 0.4, **joint}, {"east": 4}])
    east = only(hand.stretches[0])
    assert not east.rigid
    assert east.force == pytest.approx(100e3 * east.to_absorb)


def test_end_loads_of_a_thermal_line_are_in_balance() -> None:
    hand, _ = solved([{"east": 3}, {"up": 2}, {"north": 4}, {"up": -1}])
    start, end = end_load(hand, 0), end_load(hand, len(hand.chain.keys) - 1)
    assert np.linalg.norm(start[0]) > 100.0
    assert start[0] == pytest.approx(-end[0])


def test_a_hot_line_pushes_outward_on_both_its_ends() -> None:
    hand, _ = solved([{"east": 6}, {"north": 4}])
    start, end = end_load(hand, 0)[0], end_load(hand, 2)[0]
    assert start[0] < 0 < end[0]
    assert start[1] < 0 < end[1]


def test_a_leg_out_of_plane_twists_the_leg_next_to_the_end() -> None:
    hand, _ = solved([{"east": 3}, {"north": 2}, {"up": 4}])
    up = only(hand.stretches[2])
    _, moment = end_load(hand, 0)
    assert moment[1] == pytest.approx(-1.5 * up.force)
    # Torsion about East is the end moment of the next leg; what the riser brings is balanced at its own corner.
    assert moment[0] == pytest.approx(1.0 * up.force)
