"""What must hold for any plant: balance, turning, order of rows, splitting of runs, units, laws of supports."""

import numpy as np
import pytest
from books import twin

from tests.analysis.frame_plants import Found, plant_of, solve_plant
from tests.properties.frame_books import random_book, size, turn_back, turned

SEEDS = range(24)
#: Cases whose loads have compass directions stay behind when the plant turns.
COMPASS = ("seismic East", "seismic North", "wind")


@pytest.fixture(scope="module")
def found() -> dict[int, Found]:
    return {seed: solve_plant(plant_of(random_book(seed))) for seed in SEEDS}


@pytest.mark.parametrize("seed", SEEDS)
def test_every_case_settles_and_balances(found, seed):
    assert [p.sentence() for p in found[seed].problems if p.code not in ("joined-on-turn", "spring-without-load")] == []
    assert found[seed].unsettled == ()
    assert max(e.residual for e in found[seed].equilibrium) <= 1e-8


@pytest.mark.parametrize("seed", SEEDS)
def test_reactions_of_all_supports_carry_the_applied_load(found, seed):
    one = found[seed]
    for e in one.equilibrium:
        total = np.sum([load.force for (_, case), load in one.support.items() if case == e.case], axis=0)
        scale = np.linalg.norm(e.applied) + size([s.force for (_, c), s in one.support.items() if c == e.case])
        assert np.abs(total - e.applied).max() <= 1e-8 * scale


@pytest.mark.parametrize("seed", SEEDS)
def test_laws_of_supports_hold(found, seed):
    """No rest pulls; friction stays within mu N; nothing acts where it is said not to."""
    one = found[seed]
    for (name, case), load in one.support.items():
        kind, mu = one.plant.supports[name].type, one.plant.supports[name].friction
        scale = 1e-9 * size([s.force for (_, c), s in one.support.items() if c == case])
        if kind in ("rest", "hanger rod"):
            assert load.vertical <= scale
        if kind == "rest":
            assert np.hypot(*load.force[:2]) <= -mu * load.vertical + scale
        if not load.acting and kind in ("rest", "hanger rod", "guide", "line stop", "snubber"):
            assert load.force == (0, 0, 0)
        if kind == "snubber" and not case.startswith(("seismic", "wind", "load")):
            assert not load.acting


def compare(one: Found, other: Found, angle: float = 0.0, within: float = 1e-6) -> None:
    """Loads on supports and movements agree case by case, within a part of the largest of the case."""
    for case in one.cases:
        if angle and case.startswith(COMPASS):
            continue
        pairs = [(one.support[k].force, other.support[k].force) for k in one.support if k[1] == case]
        pairs_m = [(one.support[k].moment, other.support[k].moment) for k in one.support if k[1] == case]
        moves = [
            ((p.east, p.north, p.up), (q.east, q.north, q.up))
            for k, p in one.point.items()
            if k[2] == case and (q := other.point.get(k)) is not None
        ]
        for group in (pairs, pairs_m, moves):
            largest = size([a for a, _ in group])
            for a, b in group:
                assert np.abs(turn_back(b, angle) - a).max() <= within * largest, case


@pytest.mark.parametrize("angle", [30.0, 90.0, 217.0])
@pytest.mark.parametrize("seed", SEEDS[::3])
def test_results_turn_with_the_plant(found, seed, angle):
    compare(found[seed], solve_plant(plant_of(turned(random_book(seed), angle))), angle)


@pytest.mark.parametrize("seed", SEEDS[1::3])
def test_the_order_of_rows_has_no_bearing(found, seed):
    book = random_book(seed)
    mixed = {**book, "Lines": book["Lines"][::-1], "Supports": book["Supports"][::-1]}
    mixed["Segments"] = [book["Segments"][n] for n in np.random.default_rng(seed).permutation(len(book["Segments"]))]
    compare(found[seed], solve_plant(plant_of(mixed)))


@pytest.mark.parametrize("seed", SEEDS[2::3])
def test_new_points_on_straight_runs_change_nothing(found, seed):
    book = random_book(seed)
    # A branch on a turn starts at the middle of the arc: its first run stays whole.
    whole = {p.address.row - 3 for p in found[seed].problems if p.code == "joined-on-turn"}
    segments = []
    for n, row in enumerate(book["Segments"]):
        if row.get("mass") or n % 2 or n in whole:
            segments.append(row)
            continue
        share = 0.45
        first = {k: v * share if k in ("east", "north", "up") else v for k, v in row.items()}
        second = {k: v * (1 - share) if k in ("east", "north", "up") else v for k, v in row.items()}
        segments += [{**first, "to": f"n{n}"}, {**second, "from_": f"n{n}"}]
    compare(found[seed], solve_plant(plant_of({**book, "Segments": segments})))


@pytest.mark.parametrize("seed", SEEDS[::4])
def test_a_workbook_in_us_units_gives_the_same(found, seed):
    compare(found[seed], solve_plant(plant_of(twin(random_book(seed)), units="US")))


@pytest.mark.parametrize("seed", SEEDS[::4])
def test_a_plant_far_from_the_origin_gives_the_same(found, seed):
    book = random_book(seed)
    lines = [
        {**row, "start_east": 5000, "start_north": -8000, "start_up": 120} if "start_east" in row else row
        for row in book["Lines"]
    ]
    compare(found[seed], solve_plant(plant_of({**book, "Lines": lines})), within=1e-5)
