"""Springs chosen by load, travel and variation; constant-load supports where no spring does."""

from dataclasses import replace
from math import isnan, nan

import pytest

from pipecalc import tables
from pipecalc.analysis.frame import run_frame
from pipecalc.analysis.frame_support_loads import support_loads
from pipecalc.analysis.spring_design import (
    CONSTANT,
    NONE,
    SPRING,
    SpringSize,
    choose,
    fits,
    generic_sizes,
    size_problems,
    sizes_of,
    spring_checks,
    spring_choices,
    spring_problems,
    spring_results,
    with_designed_springs,
)
from pipecalc.calc.material import strain_between
from pipecalc.results import Status
from tests.analysis.plants_for_supports import built, row_of_pipe

R10 = (1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0, 6.3, 8.0)


def test_the_built_in_table_is_its_stated_rule():
    """ISO 3, R10: each most load is a preferred number, each least load half of it; 40, 80 and 160 mm."""
    table = tables.load("springs_generic")
    most = table.numbers("most load [kN]")
    assert all(min(abs(m / 10**e - r) for e in (-1, 0, 1, 2) for r in R10) < 1e-9 for m in most)
    assert table.numbers("least load [kN]") == pytest.approx(most / 2)
    assert set(table.numbers("working travel [mm]")) == {40.0, 80.0, 160.0}
    assert len(table.rows) == 3 * len(set(most))


@pytest.mark.parametrize("load", [300.0, 1111.0, 7000.0, 33333.0, 150000.0])
def test_every_load_of_the_table_finds_a_spring_for_a_small_travel(load):
    found = choose("S", load, 0.002, 0.25)
    assert found.kind == SPRING
    assert found.size.least < found.cold_load < found.size.most


def test_loads_stay_clear_of_the_ends_of_the_range_by_half_the_reserve():
    found = choose("S", 7000.0, 0.010, 0.25)
    margin = found.rate * 0.025 / 2
    assert found.size.least + margin <= min(found.hot_load, found.cold_load)
    assert max(found.hot_load, found.cold_load) <= found.size.most - margin
    assert found.variation == pytest.approx(found.rate * 0.010 / 7000.0)
    assert found.cold_load == pytest.approx(7000.0 + found.rate * 0.010)


def test_a_downward_travel_gives_a_lower_cold_load():
    found = choose("S", 7000.0, -0.010, 0.25)
    assert found.cold_load == pytest.approx(7000.0 - found.rate * 0.010)


def test_a_tighter_limit_takes_a_softer_spring():
    assert choose("S", 7000.0, 0.012, 0.10).rate < choose("S", 7000.0, 0.012, 0.25).rate


def test_travels_to_other_states_count_for_the_range():
    size = SpringSize("X", 5000.0, 10000.0, 0.04, "")
    assert fits(size, 7500.0, 0.005)
    assert not fits(size, 7500.0, 0.005, (0.030,))


def test_a_large_travel_calls_for_a_constant_load():
    found = choose("S", 7000.0, 0.090, 0.25)
    assert (found.kind, found.failed) == (CONSTANT, (0.090, 0.075, "m"))
    assert "constant-load support is needed" in found.reason


def test_the_variation_that_fails_is_named():
    found = choose("S", 7000.0, 0.070, 0.05)
    assert found.kind == CONSTANT
    assert "load variation" in found.reason
    assert "over the limit of 5%" in found.reason
    assert found.failed[0] > found.failed[1] == 0.05


def test_a_load_beyond_the_table_is_named():
    found = choose("S", 9e5, 0.01, 0.25)
    assert "over the largest of the table" in found.reason
    assert found.failed == (9e5, max(s.most for s in generic_sizes()), "N")


@pytest.mark.parametrize("load", [-500.0, 0.0])
def test_a_spring_that_would_have_to_pull_is_not_designed(load):
    found = choose("S", load, 0.01, 0.25)
    assert found.kind == NONE
    assert "hold the pipe down" in found.reason


def test_a_load_that_was_not_found_designs_nothing():
    assert choose("S", nan, 0.01, 0.25).kind == NONE


def test_the_users_table_replaces_the_built_in_one():
    rows = [{"size": "A", "least_load": 4000, "most_load": 9000, "travel": 0.05, "source": "data sheet 7"}]
    found = choose("S", 7000.0, 0.005, 0.25, sizes_of(rows))
    assert (found.size.name, found.rate) == ("A", pytest.approx(1e5))


def test_sizes_without_a_range_are_refused():
    plant = built(row_of_pipe([4.0], [{"support": "A", "point": "10", "type": "anchor"}]))
    (problem,) = size_problems([SpringSize("B", 5.0, 4.0, 0.1, "")], plant)
    assert problem.code == "spring-size"


def with_spring(**spring):
    """A loop in the vertical plane that rises where the spring stands."""
    rows = row_of_pipe(
        [4.0, 4.0, 4.0],
        [
            {"support": "A", "point": "10", "type": "anchor"},
            {"support": "H", "point": "30", "type": "spring", **spring},
            {"support": "R", "point": "40", "type": "rest"},
        ],
        operating_temperature=180,
    )
    rows["Segments"][0] = {"line": "L-1", "from_": "10", "to": "20", "up": 4.0}
    return built(rows)


def test_a_spring_without_a_rate_is_designed_and_solved_again():
    plant = with_spring()
    run = run_frame(plant)
    designed, choices = with_designed_springs(plant, run)
    (choice,) = choices
    assert choice.designed
    assert choice.kind == SPRING
    assert designed.supports["H"].spring_rate == choice.rate
    again = run_frame(designed)
    loads = {(x.support, x.case): x for x in support_loads(again, designed)}
    assert -loads["H", "operating"].vertical == pytest.approx(choice.hot_load, rel=1e-6)
    assert -loads["H", "sustained, cold"].vertical == pytest.approx(choice.cold_load, rel=0.02)
    assert again.travel["H"] == pytest.approx(choice.travel, abs=1e-6)


def test_the_hot_load_is_the_weight_balance_and_the_travel_the_rise_of_the_riser():
    plant = with_spring()
    (choice,) = spring_choices(plant, run_frame(plant))
    assert 0.3 * 8.0 * 9.80665 * 46.9 < choice.hot_load < 0.8 * 8.0 * 9.80665 * 46.9
    rise = 4.0 * strain_between(plant.lines["L-1"].material, 20.0, 180.0)
    assert 0.3 * rise < choice.travel < rise


def test_a_plant_without_springs_to_design_stays_the_same_object():
    plant = with_spring(spring_rate=20, spring_load=2000)
    found, choices = with_designed_springs(plant, run_frame(plant))
    assert found is plant
    assert choices[0].designed is False


def test_a_given_spring_is_held_against_the_variation_too():
    plant = with_spring(spring_rate=200, spring_load=2000)
    choices = spring_choices(plant, run_frame(plant))
    (check,) = spring_checks(plant, choices)
    assert check.demand == pytest.approx(2e5 * abs(choices[0].travel) / 2000.0)
    assert check.status is Status.FAIL
    assert "constant-load support" in check.reason
    soft = with_spring(spring_rate=20, spring_load=2000)
    (check,) = spring_checks(soft, spring_choices(soft, run_frame(soft)))
    assert check.status is Status.PASS


def test_a_spring_that_cannot_be_designed_is_never_green():
    plant = with_spring()
    run = run_frame(plant)
    for load, status in ((-1.0, Status.NOT_CHECKED), (9e6, Status.FAIL)):
        changed = replace(run, hot_load={"H": load})
        choices = spring_choices(plant, changed)
        (check,) = spring_checks(plant, choices)
        assert check.status is status
        assert [p.code for p in spring_problems(plant, choices)] == ["spring-impossible"]
    assert isnan(spring_results(spring_choices(plant, replace(run, hot_load={"H": -1.0})))[0].rate)


def test_a_constant_load_takes_the_place_of_a_spring_that_does_not_fit():
    plant = with_spring()
    changed, _ = with_designed_springs(plant, replace(run_frame(plant), travel={"H": 0.2}))
    assert (changed.supports["H"].type, changed.supports["H"].spring_rate) == (CONSTANT, None)


def test_the_record_of_a_designed_spring_names_its_size():
    plant = with_spring()
    choices = spring_choices(plant, run_frame(plant))
    (record,) = spring_results(choices)
    assert record.kind == f"spring, {choices[0].size.name}"
