"""Free expansion, wall thickness, weight and the quick check of a line."""

from math import isnan, nan, pi

import pytest

from pipecalc.analysis.lines import expansions, quick_checks, wall_checks, weight
from pipecalc.calc.material import allowable_at, modulus_at, strain_between
from pipecalc.results import Status
from tests.analysis.hand_plants import COLD, built, line_rows

L_BEND = [{"east": 6}, {"north": 4}]


def line_of(runs=L_BEND, **more):
    plant = built(line_rows(runs, **more))
    return plant.lines["L-1"], plant


def test_expansion_is_length_times_strain_in_the_state_in_which_it_is_largest() -> None:
    hot = [{"state": "steam-out", "applies_to": "L-1", "temperature": 195}]
    line, plant = line_of(states=hot)
    first, second = expansions(line, plant)
    strain = strain_between(line.material, COLD, 195.0)
    assert (first.state, first.expansion, second.expansion) == ("steam-out", 6 * strain, 4 * strain)


def test_a_segments_own_temperature_gives_way_to_a_state_that_sets_the_lines() -> None:
    cooler = [{"east": 6, "temperature": 100}, {"north": 4}]
    states = [{"state": "start-up", "applies_to": "L-1", "temperature": 120}]
    line, plant = line_of(cooler, states=states)
    assert [e.temperature for e in expansions(line, plant)] == [120.0, 180.0]


def wall(**line):
    found, _ = line_of(line=line)
    (check,) = wall_checks(found)
    return check


def test_the_wall_by_hand() -> None:
    check = wall(design_pressure=40, corrosion_allowance=3, mill_tolerance=12.5)
    line, _ = line_of()
    S = allowable_at(line.material, 200.0)
    t = 40e5 * 0.1683 / (2 * (S + 40e5 * 0.4))
    assert check.demand == pytest.approx((t + 0.003) / 0.875)
    assert (check.limit, check.status, check.unit) == (pytest.approx(0.00711), Status.PASS, "m")
    assert check.inputs["t_m"] == pytest.approx(t + 0.003)


def test_a_wall_that_is_too_thin_fails() -> None:
    check = wall(design_pressure=120, corrosion_allowance=3)
    assert check.status is Status.FAIL
    assert check.ratio > 1


def test_a_mill_tolerance_given_as_a_length_is_added_and_not_divided_by() -> None:
    share, length = wall(mill_tolerance=0), wall(mill_tolerance="0.8 mm")
    assert length.demand == pytest.approx(share.demand + 0.0008)


def test_vacuum_is_not_covered_and_does_not_pass() -> None:
    check = wall(design_pressure=-0.9, operating_pressure=-0.9)
    assert (check.status, isnan(check.ratio)) == (Status.NOT_CHECKED, True)
    assert "304.1.3" in check.reason


def test_above_the_temperature_of_the_weld_factor_the_wall_is_not_checked() -> None:
    check = wall(design_temperature=450)
    assert check.status is Status.NOT_CHECKED
    assert "weld strength" in check.reason


def test_each_section_and_material_is_checked_once_for_all_its_rows() -> None:
    runs = [{"east": 6}, {"east": 2, "wall": 10}, {"north": 4}]
    line, _ = line_of(runs)
    assert [(round(c.limit * 1e3, 2), c.rows) for c in wall_checks(line)] == [(7.11, (3, 5)), (10.0, (4,))]


def test_mass_per_metre_by_hand() -> None:
    line, plant = line_of(line={"insulation_thickness": 50, "insulation_density": 120})
    found = weight(line)
    metal = pi * (0.1683 - 0.00711) * 0.00711 * line.material.density
    bore = pi / 4 * (0.1683 - 2 * 0.00711) ** 2
    jacket = pi / 4 * ((0.1683 + 0.1) ** 2 - 0.1683**2) * 120
    assert found.metal == pytest.approx(metal)
    assert found.fluid == pytest.approx(900 * bore)
    assert found.insulation == pytest.approx(jacket)
    assert found.test == pytest.approx(metal + jacket + 1000 * bore)
    assert found.total == pytest.approx(10 * found.operating)
    assert plant.project.units == "SI"


def test_a_valves_own_mass_stands_for_its_metal() -> None:
    with_valve, _ = line_of([{"east": 1, "item": "valve", "mass": 80}, {"east": 5}, {"north": 4}])
    bare, _ = line_of([{"east": 1, "item": "pipe"}, {"east": 5}, {"north": 4}])
    assert weight(with_valve).total == pytest.approx(weight(bare).total - weight(bare).metal + 80)


def quick(runs=L_BEND, **more):
    line, plant = line_of(runs, **more)
    (check,) = quick_checks(line, plant)
    return check, line


def test_the_quick_check_by_hand() -> None:
    check, line = quick([{"east": 6}, {"north": 6}])
    strain = strain_between(line.material, COLD, 180.0)
    U = 72**0.5
    assert check.demand == pytest.approx(0.1683 * strain * U / (12 - U) ** 2)
    assert check.limit == pytest.approx(0.208 * check.inputs["S_A"] / modulus_at(line.material, COLD))
    assert check.status is Status.FAIL
    assert check.screening
    assert quick([{"east": 6}, {"north": 6}], temperature=60)[0].status is Status.PASS


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        ({"supports": [{"support": "R", "point": "20", "type": "rest"}]}, "restraints between"),
        ({"runs": [{"east": 6, "wall": 10}, {"north": 4}]}, "more than one pipe size"),
        ({"runs": [{"east": 6}, {"north": 0.25}]}, "nearly straight"),
        ({"project": {"code": "EN 13480-3", "edition": "2017"}}, "not of EN 13480-3"),
    ],
)
def test_where_the_quick_check_may_not_be_used_it_says_so(change, reason: str) -> None:
    check, _ = quick(**change)
    assert check.status is Status.NOT_APPLICABLE
    assert reason in check.reason
    assert isnan(check.ratio)


def test_a_guide_at_an_end_is_no_point_of_fixation() -> None:
    rows = line_rows(L_BEND, supports=[{"support": "G", "point": "30", "type": "guide"}])
    rows["Lines"][0]["to"] = None
    rows["Nozzles"].pop()
    plant = built(rows)
    (check,) = quick_checks(plant.lines["L-1"], plant)
    assert check.status is Status.NOT_APPLICABLE
    assert "two points of fixation" in check.reason


def test_a_range_in_which_it_may_not_be_used_decides_over_one_in_which_it_passes() -> None:
    # In the second state the nozzle moves across the line between the anchors.
    rows = line_rows([{"east": 6}, {"north": 6}], states=[{"state": "hot", "applies_to": "P-2", "temperature": 400}])
    rows["Equipment"][1] |= {"base_east": 16, "base_north": -4}
    plant = built(rows)
    (check,) = quick_checks(plant.lines["L-1"], plant)
    assert check.status is Status.NOT_APPLICABLE
    assert "not along the line" in check.reason


def test_without_an_allowable_the_quick_check_is_not_checked(monkeypatch) -> None:
    from pipecalc.analysis import lines

    monkeypatch.setattr(lines, "quick_check_limit", lambda S_A, E_a: nan)
    check, _ = quick([{"east": 6}, {"north": 6}])
    assert check.status is Status.NOT_CHECKED
    assert check.reason
