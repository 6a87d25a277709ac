"""Springs and constant loads against statics: hot load as given or balanced, installed load, travel, test locked."""

import pytest

from tests.analysis.frame_plants import (
    ALPHA,
    BORE,
    COLD,
    METAL,
    OPERATING,
    TEST,
    E,
    G,
    I,
    anchor,
    plant_of,
    rows,
    solve,
    solve_plant,
    straight,
    support,
)

L = 6.0
W = METAL * G
SAG = W * L**4 / (8 * E * I)
PROP = 3 * W * L / 8
SOFT = L**3 / (3 * E * I)
PROJECT = {"shear_deformation": "no", "elbow": "none"}
RISE = 3.0
RISING = [{"from_": "1", "to": "2", "up": RISE}, {"to": "3", "east": L}]
HOT = {"operating_temperature": 220}
HOT_SUSTAINED = "sustained, supports of operating"


def carried(found, case=OPERATING, name="S"):
    return -found.force(name, case)[2]


@pytest.mark.parametrize("rubbing", [False, True])
def test_the_given_load_is_there_in_the_operating_state_and_more_before_the_pipe_rises(rubbing):
    rest = [support("R", "2", "rest and line stop", direction="+N", friction=0.3)] if rubbing else []
    extra = [{"from_": "3", "to": "4", "east": 3}] if rubbing else []
    rest += [support("T", "4", "rest", friction=0.3, stiffness=20)] if rubbing else []
    found = solve(
        [*RISING, *extra],
        [anchor("A", "1"), support("S", "3", "spring", spring_rate=30, spring_load=1200), *rest],
        line=HOT,
        project=PROJECT,
    )
    spring = found.spring["S"]
    assert carried(found) == pytest.approx(1200, rel=1e-9)
    assert spring.hot_load == 1200
    assert spring.travel == pytest.approx(found.move("3")[2], rel=1e-8)
    assert spring.cold_load == pytest.approx(1200 + 30e3 * spring.travel, rel=1e-9)
    assert spring.variation == pytest.approx(30e3 * abs(spring.travel) / 1200, rel=1e-9)
    assert carried(found, COLD) == pytest.approx(spring.cold_load - 30e3 * found.move("3", COLD)[2], rel=1e-9)
    assert (spring.rate, spring.kind) == (30e3, "spring")


def test_a_spring_without_load_takes_the_weight_it_balances():
    found = solve(
        straight([L]),
        [anchor("A", "1"), support("S", "2", "spring", spring_rate=20)],
        line={**HOT, "fluid_density": 800},
        project=PROJECT,
    )
    weight = 3 / 8 * L * G * (METAL + 800 * BORE)
    assert found.spring["S"].hot_load == pytest.approx(weight, rel=1e-9)
    assert found.spring["S"].travel == pytest.approx(0, abs=1e-12)
    assert carried(found) == pytest.approx(weight, rel=1e-9)
    assert carried(found, COLD) == pytest.approx(weight, rel=1e-9)


def test_a_spring_beside_a_given_one_balances_what_is_left():
    """Two supports of a cantilever: the given one pushes 1500 N at 3 m, the other holds the tip level."""
    found = solve(
        straight([L / 2, L / 2]),
        [
            anchor("A", "1"),
            support("S", "2", "spring", spring_rate=20, spring_load=1500),
            support("T", "3", "spring", spring_rate=20),
        ],
        project=PROJECT,
    )
    # Tip deflection from P at mid length: 5 P L³/(48 E I).
    left = (SAG - 5 * 1500 * L**3 / (48 * E * I)) / SOFT
    assert found.spring["T"].hot_load == pytest.approx(left, rel=1e-9)
    assert carried(found, name="T") == pytest.approx(left, rel=1e-9)


def test_a_spring_without_rate_keeps_its_load_and_shows_no_variation():
    found = solve(RISING, [anchor("A", "1"), support("S", "3", "spring")], line=HOT, project=PROJECT)
    assert carried(found, COLD) == pytest.approx(carried(found), rel=1e-9)
    spring = found.spring["S"]
    assert spring.travel > 200 * ALPHA * RISE * 0.5
    assert spring.rate != spring.rate
    assert spring.variation != spring.variation
    assert spring.cold_load != spring.cold_load


def test_a_constant_load_is_the_same_cold_and_hot():
    found = solve(
        RISING, [anchor("A", "1"), support("S", "3", "constant load", spring_load=900)], line=HOT, project=PROJECT
    )
    for case in (COLD, OPERATING, HOT_SUSTAINED):
        assert carried(found, case) == pytest.approx(900, rel=1e-9)
    assert (found.spring["S"].variation, found.spring["S"].cold_load) == (0, 900)


def test_the_hot_sustained_case_has_springs_at_their_hot_load():
    found = solve(
        RISING,
        [anchor("A", "1"), support("S", "3", "spring", spring_rate=30, spring_load=1200)],
        line=HOT,
        project=PROJECT,
    )
    # Linear: taking the growth away moves pipe and spring alike, so that the force stays.
    assert carried(found, HOT_SUSTAINED) == pytest.approx(1200, rel=1e-9)
    assert carried(found, COLD) > 1250


def test_springs_are_locked_in_the_test_and_the_line_is_full_of_water():
    found = solve(
        straight([L]),
        [anchor("A", "1"), support("S", "2", "spring", spring_rate=20, spring_load=500)],
        line={**HOT, "fluid_density": 50, "test_pressure": 30},
        project=PROJECT,
    )
    weight = 3 / 8 * L * G * (METAL + 1000 * BORE)
    assert carried(found, TEST) == pytest.approx(weight, rel=1e-9)
    assert found.move("2", TEST)[2] == pytest.approx(0, abs=1e-12)
    assert found.force("A", TEST)[0] == pytest.approx(0, abs=1e-9)


def test_a_locked_spring_cannot_pull():
    push = {"load": "U", "line": "L", "point": "2", "force_up": 5000, "acts_in": "test"}
    found = solve(
        straight([L]),
        [anchor("A", "1"), support("S", "2", "spring", spring_rate=20, spring_load=500)],
        line={"test_pressure": 30},
        **{"Point loads": [push]},
    )
    assert carried(found, TEST) == 0
    assert found.move("2", TEST)[2] > 0


HUNG = [
    {"from_": "1", "to": "2", "east": 4},
    {"to": "3", "north": 3},
    {"to": "4", "east": -4},
]


def hanging(**more):
    """A level U hung on springs alone, kept in place level by guides and stops on its ends."""
    held = [support(f"G{n}", n, "guide") for n in "14"] + [support(f"P{n}", n, "line stop", gap=5) for n in "14"]
    springs = [support(f"S{n}", n, "spring", spring_rate=40, **more) for n in ("1", "2a", "4")]
    runs = [HUNG[0], {"from_": "2", "to": "2a", "north": 1.5}, {"from_": "2a", "to": "3", "north": 1.5}, HUNG[2]]
    return rows(runs, [*held, *springs], line={**HOT, "fluid_density": 700}, project=PROJECT)


def test_a_line_that_hangs_on_springs_alone_finds_its_balance():
    found = solve_plant(plant_of(hanging()))
    assert [p.sentence() for p in found.problems] == []
    assert found.unsettled == ()
    total = 11 * G * (METAL + 700 * BORE)
    assert sum(s.hot_load for s in found.spring.values()) == pytest.approx(total, rel=1e-9)
    for name, spring in found.spring.items():
        assert carried(found, name=name) == pytest.approx(spring.hot_load, rel=1e-8)
        assert spring.travel == pytest.approx(found.move(name[1:])[2], abs=1e-9)


def test_a_spring_where_nothing_weighs_is_said():
    """Beyond an anchor's neighbour an overhang lifts the spring: the balance would have to pull."""
    runs = straight([1, 1, 9])
    found = solve(runs, [anchor("A", "1"), support("S", "2", "spring"), support("R", "3", "rest")], line=HOT)
    (problem,) = found.problems
    assert (problem.code, problem.address.sheet, problem.address.row) == ("spring-without-load", "Supports", 4)
