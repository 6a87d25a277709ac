"""Growth of equipment by hand: expansion times length, term by term. The metals grow in proportion to temperature."""

import pytest

from pipecalc.analysis.equipment import (
    all_support_movements,
    equipment_assumptions,
    nozzle_movement,
    profile,
    skirt_height,
    support_movement,
    support_temperature,
)
from pipecalc.model import Vector
from pipecalc.results import Movement
from tests.analysis.hand_plants import COLD, item, metal, nozzle, plant_of, project, state_of, support, zone

A = 12e-6  # of the metal [1/K]
HOT = 221.0  # 200 K above installation
EPS = A * 200.0
HORIZONTAL = "horizontal on saddles"


def moved(equipment, at: Vector, **over) -> Movement:
    plant = plant_of(equipment)
    return nozzle_movement(nozzle(at, **over), plant, plant.states[0])


def is_sum_of_terms(move: Movement) -> bool:
    return all(
        getattr(move, axis) == pytest.approx(sum(getattr(t, axis) for t in move.terms), abs=1e-15)
        for axis in ("east", "north", "up")
    )


def test_a_skirt_grows_at_its_own_temperature_and_the_shell_at_the_shells() -> None:
    vessel = item(support_height=4.0, support_temperature=121.0)
    move = moved(vessel, (1.5, 0.0, 10.0))
    assert move.vector == pytest.approx((1.5 * EPS, 0.0, 4.0 * A * 100.0 + 6.0 * EPS))
    assert is_sum_of_terms(move)
    assert [t.length for t in move.terms] == pytest.approx([4.0, 6.0, 1.5])


def test_each_term_is_length_times_expansion() -> None:
    move = moved(item(support_height=4.0, settlement=0.006), (0.9, 1.2, 10.0))
    for term in move.terms[:-1]:
        size = (term.east**2 + term.north**2 + term.up**2) ** 0.5
        assert size == pytest.approx(abs(term.length * term.expansion))
    assert move.terms[-1].up == -0.006


def test_the_skirt_without_a_temperature_is_half_way_and_that_is_said() -> None:
    vessel = item(support_height=4.0)
    assert support_temperature(vessel, state_of(vessel), project()) == (HOT + COLD) / 2
    assert any("half way" in a.value for a in equipment_assumptions(plant_of(vessel)))


def test_zones_are_integrated_up_the_axis_and_the_local_zone_gives_the_radius() -> None:
    vessel = item(support_height=3.0, support_temperature=COLD, zones=(zone(3, 7, 121.0), zone(7, 12, 321.0)))
    move = moved(vessel, (0.0, -1.4, 9.0))
    assert move.vector == pytest.approx((0.0, -1.4 * A * 300, 4 * A * 100 + 2 * A * 300))


def test_a_gap_between_zones_has_the_items_own_temperature() -> None:
    vessel = item(zones=(zone(2, 4, 121.0), zone(6, 9, 321.0)), support_height=2.0, support_temperature=COLD)
    assert moved(vessel, (0, 0, 8.0)).up == pytest.approx(2 * A * 100 + 2 * A * 200 + 2 * A * 300)


def test_the_skirt_ends_where_the_first_zone_starts_if_no_height_is_given() -> None:
    vessel = item(zones=(zone(3, 9, HOT),))
    assert skirt_height(vessel) == 3.0
    assert any("start of the first zone" in a.why for a in equipment_assumptions(plant_of(vessel)))


def test_shell_between_skirt_and_first_zone_has_the_items_own_material_and_temperature() -> None:
    vessel = item(support_height=1.0, support_temperature=COLD, zones=(zone(3, 9, 121.0, metal(20e-6, "alloy")),))
    assert moved(vessel, (0, 0, 5.0)).up == pytest.approx(2 * EPS + 2 * 20e-6 * 100)


def test_a_bottom_nozzle_through_the_skirt_hangs_from_the_shell() -> None:
    vessel = item(support_height=4.0, support_temperature=121.0)
    assert moved(vessel, (0.0, 0.0, 3.0)).up == pytest.approx(4 * A * 100 - 1.0 * EPS)


def test_a_bottom_nozzle_below_the_skirts_base_hangs_too() -> None:
    vessel = item(support_height=4.0, support_temperature=121.0, base=(0.0, 0.0, 8.0))
    move = moved(vessel, (0.5, 0.0, 7.0))
    assert move.vector == pytest.approx((0.5 * EPS, 0.0, 4 * A * 100 - 5.0 * EPS))
    assert is_sum_of_terms(move)


def test_a_bracket_on_the_skirt_moves_with_the_skirt_and_not_with_the_bottom() -> None:
    vessel = item(support_height=4.0, support_temperature=121.0)
    plant = plant_of(vessel, supports=[support(at=(3.0, 0.0, 2.0), attached_to="V-1")])
    move = all_support_movements(plant)[0]
    assert move.vector == pytest.approx((1.0 * A * 100, 0.0, 2 * A * 100))


def test_a_support_on_the_shell_moves_with_its_radius_and_not_with_the_arm() -> None:
    vessel = item(support_height=0.0, settlement=0.004)
    plant = plant_of(vessel, supports=[support(at=(0.0, 3.0, 8.0), attached_to="V-1")])
    assert all_support_movements(plant)[0].vector == pytest.approx((0.0, 1.0 * EPS, 8 * EPS - 0.004))


def test_a_support_on_the_structure_does_not_move_with_equipment() -> None:
    plant = plant_of(item(), supports=[support()])
    assert support_movement(plant.supports["S-1"], plant, plant.states[0]) is None


def test_lugs_are_the_fixed_plane_and_the_shell_grows_both_ways() -> None:
    vessel = item("vertical on lugs", base=(0.0, 0.0, 6.0))
    assert moved(vessel, (0, 0, 9.0)).up == pytest.approx(3 * EPS)
    assert moved(vessel, (0, 0, 4.0)).up == pytest.approx(-2 * EPS)


def test_a_zone_below_the_lugs_says_nothing_about_the_shell_above() -> None:
    vessel = item("vertical on lugs", zones=(zone(-4, 0, 121.0),))
    assert moved(vessel, (0, 0, 3.0)).up == pytest.approx(3 * EPS)
    assert moved(vessel, (0, 0, -5.0)).up == pytest.approx(-5 * A * 100)


def test_horizontal_items_grow_from_the_fixed_saddle_along_up_and_across() -> None:
    drum = item(HORIZONTAL, axis=(0.0, 1.0, 0.0), centreline_height=3.0, support_temperature=71.0)
    move = moved(drum, (0.0, 5.0, 4.5))
    rise = 2.0 * A * 50 + 1.0 * EPS  # saddle up to the shell, then the shell's radius
    assert move.vector == pytest.approx((0.0, 5 * EPS, rise + 1.5 * EPS))
    assert is_sum_of_terms(move)
    assert moved(drum, (0.0, 5.0, 1.5)).up == pytest.approx(rise - 1.5 * EPS)
    assert moved(drum, (1.5, -1.0, 3.0)).vector == pytest.approx((1.5 * EPS, -1.0 * EPS, rise))


def test_a_channel_on_the_sliding_side_is_a_zone_beyond_the_shell() -> None:
    drum = item(HORIZONTAL, axis=(1.0, 0.0, 0.0), centreline_height=1.0, zones=(zone(6, 7.5, 121.0),))
    move = moved(drum, (7.0, 0.0, 2.0))
    assert move.east == pytest.approx(6 * EPS + 1.0 * A * 100)
    assert move.terms[-1].up == pytest.approx(1.0 * A * 100)


def test_a_channel_on_the_fixed_side_leaves_the_shell_at_its_own_temperature() -> None:
    drum = item(HORIZONTAL, axis=(1.0, 0.0, 0.0), centreline_height=1.0, zones=(zone(-1.5, -0.5, 121.0),))
    assert moved(drum, (4.0, 0.0, 1.0)).east == pytest.approx(4 * EPS)
    assert moved(drum, (-1.5, 0.0, 1.0)).east == pytest.approx(-0.5 * EPS - 1.0 * A * 100)


def test_a_saddles_temperature_follows_the_shell_above_it_and_not_the_channel() -> None:
    zones = (zone(-1.5, -0.5, 121.0, name="channel"), zone(-0.5, 6, HOT, name="body"))
    drum = item(HORIZONTAL, axis=(1.0, 0.0, 0.0), centreline_height=1.5, zones=zones, support_temperature=121.0)
    start = state_of(drum, name="start-up", body=121.0)
    assert support_temperature(drum, start, project()) == pytest.approx(COLD + 0.5 * 100)


def test_a_support_temperature_that_lies_outside_is_kept_and_not_extrapolated() -> None:
    vessel = item(temperature=25.0, support_height=2.0, support_temperature=40.0)
    hot = state_of(vessel, name="steam-out", V1=150.0)
    assert support_temperature(vessel, hot, project()) == 40.0


def test_fixed_items_grow_from_their_point_in_all_directions() -> None:
    pump = item("fixed", base=(1.0, 1.0, 0.5))
    assert moved(pump, (1.6, 1.0, 1.3)).vector == pytest.approx((0.6 * EPS, 0.0, 0.8 * EPS))


def test_settlement_counts_in_every_state_and_beside_a_vendors_movement() -> None:
    vessel = item("fixed", settlement=0.005)
    move = moved(vessel, (1.0, 0.0, 0.0), vendor_move=(0.001, 0.002, 0.003))
    assert move.vector == pytest.approx((0.001, 0.002, 0.003 - 0.005))
    assert is_sum_of_terms(move)


def test_a_vendors_component_replaces_that_component_only() -> None:
    move = moved(item("fixed"), (1.0, 2.0, 0.0), vendor_move=(None, None, 0.004))
    assert move.vector == pytest.approx((1 * EPS, 2 * EPS, 0.004))
    assert is_sum_of_terms(move)


def test_a_vendors_zero_is_a_statement() -> None:
    assert moved(item("fixed"), (1.0, 0.0, 1.0), vendor_move=(0.0, None, None)).vector == pytest.approx((0, 0, EPS))


def test_a_state_moves_the_item_by_its_own_temperature() -> None:
    vessel = item("fixed")
    plant = plant_of(vessel, states=[state_of(vessel), state_of(vessel, name="cold", V1=-79.0)])
    assert nozzle_movement(nozzle((1.0, 0.0, 0.0)), plant, plant.states[1]).east == pytest.approx(-A * 100)


def test_a_profile_has_no_gaps_and_no_overlaps() -> None:
    vessel = item(support_height=1.0, zones=(zone(2, 4, 100.0), zone(5, 6, 150.0)))
    parts = profile(vessel, state_of(vessel), project())
    assert [p.start for p in parts[1:]] == [p.end for p in parts[:-1]]
    assert [p.name for p in parts] == ["shell", "skirt", "shell", "zone 1", "shell", "zone 2", "zone 2"]
