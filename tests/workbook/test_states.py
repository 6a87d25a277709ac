"""Thermal states, resolved for every line, item and zone."""

from itertools import permutations

import pytest

from tests.analysis.hand_plants import built, checked, line_rows

RUNS = [{"east": 6}, {"north": 4}]


def rows_with(*states):
    rows = line_rows(RUNS, states=[{"state": "s"} | s for s in states])
    rows["Equipment"][1] |= {"kind": "vertical on lugs", "outside_diameter": 1000, "temperature": 150}
    rows["Zones"] = [
        {"equipment": "P-2", "zone": "low", "from_": -2, "to": 0, "temperature": 140},
        {"equipment": "P-2", "zone": "top", "from_": 0, "to": 5, "temperature": 160},
    ]
    return rows


def state(*states):
    return built(rows_with(*states)).states[1]


def test_the_operating_state_comes_first() -> None:
    first = built(rows_with()).states[0]
    assert (first.name, first.lines["L-1"].temperature, first.equipment["P-2"]) == ("operating", 180.0, 150.0)
    assert dict(first.zones) == {("P-2", 0): 140.0, ("P-2", 1): 160.0}


@pytest.mark.parametrize("order", list(permutations(range(3))))
def test_the_narrower_row_wins_whatever_the_order(order) -> None:
    given = [
        {"applies_to": "all", "temperature": 30},
        {"applies_to": "P-2", "temperature": 40},
        {"applies_to": "P-2/top", "temperature": 50},
    ]
    found = state(*(given[n] for n in order))
    assert (found.lines["L-1"].temperature, found.equipment["P-1"], found.equipment["P-2"]) == (30.0, 30.0, 40.0)
    assert dict(found.zones) == {("P-2", 0): 40.0, ("P-2", 1): 50.0}
    assert found.overridden == {"L-1"}


def test_what_a_state_does_not_say_is_as_in_operation_and_that_is_noted() -> None:
    rows = rows_with({"applies_to": "L-1", "temperature": 30})
    (said,) = [p for p in checked(rows).problems if p.code == "state-operating"]
    assert said.sentence().endswith("P-1, P-2; taken: as in the operating state; no row of the state applies to them")
    assert built(rows).states[1].equipment["P-2"] == 150.0


def test_a_state_of_pressure_alone_leaves_segment_temperatures() -> None:
    found = state({"applies_to": "L-1", "pressure": 5})
    assert found.overridden == frozenset()
    assert found.lines["L-1"].pressure == pytest.approx(5e5)


def test_cycles_are_kept() -> None:
    assert state({"applies_to": "L-1", "temperature": 30, "cycles": 400}).cycles == 400.0
    assert state({"applies_to": "L-1", "temperature": 30}).cycles is None


def test_the_density_of_a_word_follows_the_state() -> None:
    rows = rows_with({"applies_to": "L-1", "temperature": 60})
    rows["Lines"][0]["fluid_density"] = "water"
    operating, cold = (s.lines["L-1"].density for s in built(rows).states)
    # Saturated liquid is 887 kg/m3 at 180 °C; 983 kg/m3 at 60 °C (IAPWS-IF97, rounded).
    assert (operating, cold) == (pytest.approx(887, abs=1), pytest.approx(983.8, abs=0.5))


def test_a_word_that_does_not_exist_in_a_state_keeps_the_operating_density_and_says_so() -> None:
    rows = rows_with({"applies_to": "L-1", "temperature": 60})
    rows["Lines"][0] |= {"fluid_density": "steam", "operating_pressure": 5}
    assert [p.code for p in checked(rows).problems if p.code.startswith("density")] == ["density-kept"]
    plant = built(rows)
    assert plant.states[1].lines["L-1"].density == plant.states[0].lines["L-1"].density


def test_a_typed_word_that_does_not_exist_is_an_error() -> None:
    rows = rows_with({"applies_to": "L-1", "temperature": 60, "fluid_density": "steam"})
    assert [p.code for p in checked(rows).errors] == ["density-phase"]
