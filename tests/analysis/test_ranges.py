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


@pytest.mark.source("ASME B31.3 para. 302.3.5(d), eq. (1a) and (1c): f = 6.0 N^-0.2 to 2020, 20 N^-0.333 from 2022")
@pytest.mark.parametrize(
    ("edition", "f"), [("2018", 6.0 * 1e5**-0.2), ("2020", 6.0 * 1e5**-0.2), ("2022", 20 * 1e5**-0.333),
                       ("2024", 20 * 1e5**-0.333)]
)  # fmt: skip
def test_the_edition_decides_the_factor(edition, f):
    _, _, limit = found({"cycles": 1e5}, {"edition": edition})
    assert limit.f == pytest.approx(f)
    assert pytest.approx(f * 1.5 * 120e6) == limit.S_A
    assert limit.clause.startswith(f"ASME B31.3-{edition}")


@pytest.mark.source("ASME B31.1 para. 102.3.2(B): f at most 1; EN 13480-3 table 12.1.3-1: U = 0.9 to 14 000 cycles")
@pytest.mark.parametrize(("code", "edition", "f"), [("ASME B31.1", "2018", 0.951), ("EN 13480-3", "2017", 0.9)])
def test_other_codes_have_their_own_factor(code, edition, f):
    _, _, limit = found({"cycles": 1e4}, {"code": code, "edition": edition})
    assert limit.f == pytest.approx(f, rel=1e-3)
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
