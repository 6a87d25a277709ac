"""Flanged joints from the workbook to verdicts.

Source: equivalent pressure P + 16 M/(pi G³) + 4 F/(pi G²), M. W. Kellogg Co., Design of Piping Systems, 1956; ratings
of ASME B16.5-2009 Table 2-1.1, class 150: 19.6 bar at 38 °C, 15.8 bar at 150 °C; raised face NPS 6: 215.9 mm; effective
gasket width of ASME VIII-1 App. 2, Table 2-5.2: b = 0.5 sqrt(b0) in inches.
"""

from math import hypot, pi, sqrt

import pytest

from pipecalc.results import Status
from tests.analysis.machine_plants import built, checks_named, found, load_on, pump_plant, said, turned, with_values

G = 0.2159 - 2 * 0.0254 * 0.5 * sqrt((215.9 - 168.3) / 4 / 25.4)
RATED = 15.8e5  # class 150 at 150 °C


def rated(rows=None, nozzle=0, **flange):
    return with_values(rows or pump_plant(), "Nozzles", nozzle, flange_class="150", **flange)


def equivalent(pressure, load):
    return pressure + 16 * hypot(load.ML, load.MC) / (pi * G**3) + 4 * max(load.FR, 0.0) / (pi * G**2)


@pytest.fixture(scope="module")
def nozzle_results():
    return found(rated())


@pytest.mark.parametrize("case", ["sustained, cold", "operating", "sustained, supports of operating"])
def test_a_nozzles_joint_is_held_against_the_rating_of_its_state(nozzle_results, case):
    (check,) = (c for c in checks_named(nozzle_results, "flange", "S") if c.case == case)
    assert check.demand == pytest.approx(equivalent(8e5, load_on(nozzle_results, "S", case)), rel=1e-6)
    assert check.limit == pytest.approx(RATED)
    assert check.line == "S-1"


def test_the_test_takes_the_test_pressure_against_the_cold_rating(nozzle_results):
    (check,) = (c for c in checks_named(nozzle_results, "flange", "S") if c.case == "pressure test")
    assert check.demand == pytest.approx(equivalent(15e5, load_on(nozzle_results, "S", "pressure test")), rel=1e-6)
    assert check.limit == pytest.approx(1.5 * 19.6e5)


def test_a_line_that_takes_no_part_in_the_test_has_no_joint_in_it():
    rows = with_values(rated(), "Lines", 0, test_pressure=None)
    assert "pressure test" not in {c.case for c in checks_named(found(rows), "flange", "S")}


def test_the_design_pressure_alone_is_held_against_the_rating_at_design_temperature(nozzle_results):
    (check,) = (c for c in checks_named(nozzle_results, "flange", "S") if c.case == "design")
    assert (check.demand, check.limit) == (pytest.approx(10e5), pytest.approx((15.8 - 0.2 * 2.0) * 1e5))
    assert "design pressure" in check.reason


def test_a_joint_without_a_class_has_no_verdict_and_is_listed(nozzle_results):
    assert checks_named(nozzle_results, "flange", "D") == []
    assert "Flanges of nozzles D: no flange class is given." in nozzle_results.not_checked


def with_flange(**line):
    """The suction line with a flange item in its middle run."""
    rows = with_values(pump_plant(), "Lines", 0, **line)
    middle = rows["Segments"].pop(1)
    rows["Segments"][1:1] = [
        middle | {"to": "22", "north": 1.4},
        {"line": "S-1", "to": "24", "north": 0.2, "item": "flange", "mass": 30},
        {"line": "S-1", "to": "30", "north": 1.4},
    ]
    return rows


def test_a_flange_in_a_line_is_checked_with_the_forces_in_the_pipe():
    results = found(with_flange(flange_class="150"))
    (check,) = (c for c in checks_named(results, "flange", "S-1") if c.case == "operating")
    ends = [
        m
        for m in results.members
        if (m.line, m.from_, m.to, m.case) == ("S-1", "22", "24", "operating") and m.end in ("from", "to")
    ]
    assert len(ends) == 2
    demand = max(
        8e5 + 16 * hypot(m.bending_in_plane, m.bending_out_of_plane) / (pi * G**3) + 4 * max(m.axial, 0.0) / (pi * G**2)
        for m in ends
    )
    assert check.demand == pytest.approx(demand, rel=1e-6)
    assert (check.point, check.rows) == ("22 to 24", (5,))


def test_a_flange_in_a_line_without_a_class_is_listed():
    results = found(with_flange())
    assert checks_named(results, "flange", "S-1") == []
    assert "Flanges of line S-1, 22 to 24: no flange class is given." in results.not_checked


def test_a_rows_own_class_and_group_go_before_the_lines():
    rows = with_values(with_flange(flange_class="150"), "Segments", 2, flange_class="300", flange_group="group 2.1")
    plant, _ = built(rows)
    flange = plant.lines["S-1"].segments[2].flange
    assert (flange.pressure_class, flange.group) == ("300", "2.1")
    (check,) = (c for c in checks_named(found(rows), "flange", "S-1") if c.case == "operating")
    assert "group 2.1, class 300" in check.clause


def test_the_second_line_may_accept_a_welding_neck_flange(nozzle_results):
    plain = next(c for c in checks_named(nozzle_results, "flange", "S") if c.case == "sustained, cold")
    assert plain.status is Status.FAIL
    assert "a flange calculation" in plain.reason
    neck_results = found(rated(flange_type="welding neck"))
    neck = next(c for c in checks_named(neck_results, "flange", "S") if c.case == "sustained, cold")
    assert neck.status is Status.PASS
    assert neck.demand == pytest.approx(plain.demand)
    assert neck.limit == pytest.approx((1 + neck.inputs["F_M"]) * plain.limit)
    assert "moment factor" in neck.reason
    assert "equivalent pressure: ratio" in neck.reason
    assert neck.inputs["ratio, equivalent pressure"] == pytest.approx(plain.ratio)


def test_the_bolting_rule_needs_yield_strength_and_bolts():
    rows = rated(bolt_allowable=172)
    steel = {"material": "A106 B", "yield_strength": 200, "source": "chosen for the test"}
    rows["Materials"] = [steel | {"temperature": t} for t in (20, 200)]
    check = next(c for c in checks_named(found(rows), "flange", "S") if c.case == "sustained, cold")
    assert check.inputs["ratio, bolting rule"] > 0
    assert (
        "ratio, bolting rule"
        not in next(c for c in checks_named(found(rated()), "flange", "S") if c.case == "sustained, cold").inputs
    )


def test_a_temperature_outside_the_rating_table_is_not_checked():
    rows = rated()
    rows["Lines"][0] |= {"material": "A333 6", "operating_temperature": -40, "design_temperature": -45}
    checks = [c for c in checks_named(found(rows), "flange", "S") if c.status is Status.NOT_CHECKED]
    assert any("-40 °C is outside the rating table" in c.reason for c in checks)
    assert all(c.ratio != c.ratio for c in checks)


def test_a_material_without_a_rating_group_is_not_checked():
    rows = with_values(rated(), "Lines", 0, material="A335 P5")
    checks = checks_named(found(rows), "flange", "S")
    assert {c.status for c in checks} == {Status.NOT_CHECKED}
    assert all("no rating for material group 1.17" in c.reason for c in checks)


def test_a_class_without_a_table_is_told_and_not_checked():
    rows = with_values(pump_plant(), "Nozzles", 0, flange_class="400")
    assert [w[:3] for w in said(rows)] == [("Nozzles", 3, "class-unrated")]
    assert {c.status for c in checks_named(found(rows), "flange", "S")} == {Status.NOT_CHECKED}


def test_flange_columns_without_effect_are_told():
    rows = with_values(pump_plant(), "Nozzles", 0, flange_type="welding neck")
    rows = with_values(rows, "Segments", 0, flange_class="150")
    assert [w[:3] for w in said(rows)] == [("Segments", 3, "value-unused"), ("Nozzles", 3, "value-unused")]


def test_the_users_gasket_diameter_goes_before_the_tables():
    results = found(rated(gasket_diameter=190))
    (check,) = (c for c in checks_named(results, "flange", "S") if c.case == "operating")
    assert check.inputs["G"] == pytest.approx(0.190)


@pytest.mark.parametrize("degrees", [30.0, 90.0])
def test_turning_the_whole_plant_changes_no_joint(degrees):
    rows = rated(with_flange(flange_class="150"))
    before, after = checks_named(found(rows), "flange"), checks_named(found(turned(rows, degrees)), "flange")
    assert len(before) > 8
    for a, b in zip(before, after, strict=True):
        assert (a.subject, a.case, a.status) == (b.subject, b.case, b.status)
        assert b.ratio == pytest.approx(a.ratio, rel=1e-6)
