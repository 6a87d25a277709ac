"""Allowable displacement stress range of a line by the project's code."""

from math import isnan

import pytest

from pipecalc.analysis.ranges import allowable_range, cycles, temperatures
from pipecalc.calc.material import allowable_at
from tests.analysis.hand_plants import COLD, built, line_rows

RUNS = [{"east": 6}, {"north": 4}]


def found(**more):
    plant = built(line_rows(RUNS, **more))
    line = plant.lines["L-1"]
    return allowable_range(line, line.material, plant), line, plant


def test_the_basic_range_by_hand() -> None:
    limit, line, _ = found()
    S_c, S_h = (min(allowable_at(line.material, t), 138e6) for t in (COLD, 180.0))
    f = 6.0 * 7000**-0.2
    assert (limit.S_A, limit.f) == pytest.approx((f * (1.25 * S_c + 0.25 * S_h), f))
    assert limit.cycles == 7000.0


@pytest.mark.parametrize(("edition", "f"), [("2018", 6 * 20000**-0.2), ("2022", 20 * 20000**-0.333)])
def test_the_edition_decides_over_the_cycles(edition: str, f: float) -> None:
    limit, _, _ = found(project={"edition": edition}, line={"cycles": 20000})
    assert limit.f == pytest.approx(f)
    assert edition in limit.clause


def test_another_code_has_its_own_range() -> None:
    limit, _, _ = found(project={"code": "EN 13480-3", "edition": "2017"})
    assert limit.f == 1.0
    assert "EN 13480-3" in limit.clause


def test_cycles_of_further_states_are_added() -> None:
    states = [{"state": "steam-out", "applies_to": "L-1", "temperature": 190, "cycles": 500}]
    _, line, plant = found(states=states)
    assert cycles(line, plant) == 7500.0


def test_temperatures_span_all_states_and_the_installed_one() -> None:
    states = [{"state": s, "applies_to": "L-1", "temperature": t} for s, t in (("chilled", 5), ("hot", 195))]
    _, line, plant = found(states=states)
    assert temperatures(line, plant) == (5.0, 195.0)


def test_below_the_materials_lowest_temperature_the_range_is_not_known() -> None:
    states = [{"state": "blow-down", "applies_to": "L-1", "temperature": -100}]
    assert isnan(found(states=states)[0].S_A)
