"""Allowable displacement range of a line for the hand method, by code and edition."""

import pytest
from stress_books import anchor, book, plant_of, steel

from pipecalc.analysis.ranges import allowable_range, cycles, temperatures

RUN = [{"from_": "1", "to": "2", "east": 8.0}]
HELD = [anchor("A", "1"), anchor("B", "2")]


def found(line=None, project=None, states=(), materials=()):
    plant = plant_of(book(RUN, HELD, line=line, project=project, States=list(states), materials=list(materials)))
    own = plant.lines["L"]
    return plant, own, allowable_range(own, own.material, plant)


@pytest.mark.parametrize("edition", ["2018", "2020", "2022", "2024"])
def test_the_limit_names_the_edition(edition):
    _, _, limit = found({"cycles": 1e5}, {"edition": edition})
    assert limit.clause.startswith(f"ASME B31.3-{edition}")


@pytest.mark.parametrize(("code", "edition"), [("ASME B31.1", "2018"), ("EN 13480-3", "2017")])
def test_other_codes_are_named_too(code, edition):
    _, _, limit = found({"cycles": 1e4}, {"code": code, "edition": edition})
    assert code in limit.clause


def test_cycles_of_all_states_are_added_and_a_line_is_heated_once():
    states = [
        {"state": "a", "applies_to": "all", "temperature": 90, "cycles": 40},
        {"state": "b", "applies_to": "all", "temperature": -10},
    ]
    plant, line, limit = found({"cycles": 1000}, states=states)
    assert cycles(line, plant) == limit.cycles == 2040
    assert temperatures(line, plant) == (-10, 90)
    plant, line, limit = found({"cycles": 0})
    assert (cycles(line, plant), limit.f) == (1.0, 1.0)


def test_without_an_allowable_there_is_no_limit():
    bare = [{**row, "allowable": None} for row in steel("Bare")]
    _, _, limit = found({"material": "Bare"}, materials=bare)
    assert limit.S_A != limit.S_A
