"""Shells at nozzles from the workbook to verdicts.

The formulas themselves are tested beside their sources; here: which shell, neck, pad, load and pressure they are given.
"""

from math import isnan, nan

import pytest

from pipecalc.calc.material import allowable_at
from pipecalc.checks.shells.en_13445 import shell_check
from pipecalc.checks.shells.vessel import CYLINDER, SPHERE, Branch, Shell, load_at_shell
from pipecalc.results import Status, worst_status
from pipecalc.tables import material
from pipecalc.workbook.result_columns import nozzle_values
from tests.analysis.machine_plants import (
    built,
    checks_named,
    found,
    load_on,
    pump_plant,
    turned,
    vessel_plant,
    with_values,
)

NECK = 7.11e-3 * (1 - 0.125)  # NPS 6 schedule 40 less 12.5 % under-tolerance
ALLOWABLE, PIPE_ALLOWABLE = 138e6, allowable_at(material("A106 B"), 200.0)


def shell(results, tag="V1-B"):
    return checks_named(results, "shell at nozzle", tag)


@pytest.fixture(scope="module")
def plain():
    return found(vessel_plant())


def test_a_nozzle_on_a_shell_is_checked_in_every_case_as_screening(plain):
    checks = shell(plain)
    assert {c.case for c in checks} == {"sustained, cold", "operating", "sustained, supports of operating"}
    assert all(c.screening and c.ratio > 0 for c in checks)
    assert all("estimate" in c.reason and "verify against the edition of record" in c.reason for c in checks)


def by_hand(results, case, wall=10e-3, branch=None, projection=0.2, shape=CYLINDER, diameter=1.4):
    """What the method gives for the numbers that the workbook holds."""
    vessel = Shell(shape, diameter, wall, ALLOWABLE)
    neck = branch or Branch(0.1683, NECK, PIPE_ALLOWABLE, projection, pad_allowable=ALLOWABLE)
    load = load_at_shell(load_on(results, "V1-B", case), projection)
    return shell_check(vessel, neck, load, 14e5, can_expand=False)


@pytest.mark.parametrize("case", ["operating", "sustained, cold"])
def test_the_method_gets_the_workbooks_numbers(plain, case):
    (check,) = (c for c in shell(plain) if c.case == case)
    lines = by_hand(plain, case)
    worst = max(lines, key=lambda line: line.ratio)
    assert check.ratio == pytest.approx(worst.ratio, rel=1e-6)
    assert check.inputs["Phi_P"] == pytest.approx(lines[0].inputs["Phi_P"], rel=1e-9)
    assert check.inputs["F_max"] == pytest.approx(lines[0].inputs["F_max"], rel=1e-9)


def test_the_projection_follows_from_coordinates_or_is_the_users(plain):
    assert "projection from coordinates, 200 mm" in shell(plain)[0].reason
    longer = found(with_values(vessel_plant(), "Nozzles", 1, projection=300))
    assert "coordinates" not in shell(longer)[0].reason
    (check,) = (c for c in shell(longer) if c.case == "operating")
    assert check.ratio == pytest.approx(max(x.ratio for x in by_hand(longer, "operating", projection=0.3)), rel=1e-6)


def test_the_shell_does_not_decide_the_nozzles_status_but_has_its_column(plain):
    plant, _ = built(vessel_plant())
    values = nozzle_values(plant, plain)[4]
    assert values["result_shell"] == pytest.approx(max(c.ratio for c in shell(plain)))
    assert values["result_status"] == str(worst_status(checks_named(plain, "nozzle load", "V1-B")))


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"design_temperature": None}, "Design temperature of V-1 is not given"),
        ({"design_temperature": 300}, "no allowable stress of SA-516 70 at 300 °C is known; the Materials sheet"),
        ({"wall": 200}, "is outside"),
        ({"wall": 2.5}, "is outside"),
    ],
)
def test_what_is_missing_or_outside_the_method_is_said_and_not_checked(changes, words):
    (check,) = shell(found(vessel_plant(**changes)))
    assert check.status is Status.NOT_CHECKED
    assert isnan(check.ratio)
    assert check.case == ""
    assert words in check.reason


def test_a_plate_without_an_allowable_stress_takes_it_from_the_materials_sheet():
    rows = vessel_plant()
    del rows["Materials"]
    (check,) = shell(found(rows))
    assert check.status is Status.NOT_CHECKED
    assert "the Materials sheet must give it" in check.reason


def test_an_item_without_diameter_is_listed_and_stands_open_where_nothing_else_is_given():
    rows = vessel_plant(wall=None)
    results = found(rows)
    assert shell(results) == []
    assert "Strength of the shell at V1-B: Wall thickness of V-1 not given." in results.not_checked
    (check,) = shell(found(with_values(rows, "Nozzles", 1, allowable_sets=None)))
    assert check.status is Status.NOT_CHECKED
    assert any("H1-A: H-1 is a fixed item" in sentence for sentence in results.not_checked)


def test_a_nozzle_beside_the_axis_is_not_radial():
    rows = with_values(vessel_plant(), "Equipment", 1, base_east=5.2)
    (check,) = shell(found(rows))
    assert check.status is Status.NOT_CHECKED
    assert "its axis misses the shell's by 0.200 m" in check.reason


def test_less_wall_of_shell_or_zone_gives_more_ratio(plain):
    corroded = max(c.ratio for c in shell(found(vessel_plant(corrosion_allowance=4))))
    rows = vessel_plant()
    rows["Zones"] = [{"equipment": "V-1", "from_": 1.5, "to": 5, "temperature": 180, "wall": 10}]
    zone = max(c.ratio for c in shell(found(rows)))
    first = max(c.ratio for c in shell(plain))
    assert zone == pytest.approx(corroded, rel=1e-6)  # 10 less 2 is 12 less 4
    assert corroded > first


def test_without_a_corrosion_allowance_the_nominal_wall_is_named():
    assert "no corrosion allowance is given" in shell(found(vessel_plant(corrosion_allowance=None)))[0].reason


def test_the_items_design_pressure_goes_before_the_lines(plain):
    higher = found(vessel_plant(design_pressure=16))
    assert "design pressure of the item" in shell(higher)[0].reason
    assert shell(higher)[0].inputs["Phi_P"] == pytest.approx(shell(plain)[0].inputs["Phi_P"] * 16 / 14)


def test_a_pad_narrower_than_effective_is_not_counted_and_a_wide_one_helps():
    narrow = found(with_values(vessel_plant(), "Nozzles", 1, pad_thickness=10, pad_width=50))
    assert "pad not counted: narrower than effective" in shell(narrow)[0].reason
    wide = found(with_values(vessel_plant(), "Nozzles", 1, pad_thickness=10, pad_width=200))
    assert shell(wide)[0].inputs["e_c"] > shell(narrow)[0].inputs["e_c"]


def head_plant(**changes):
    """The vessel's nozzle on the middle of its top head, the line turning down to it."""
    rows = vessel_plant(crown_radius=1400, head_wall=14, base_north=4, **changes)
    rows = with_values(rows, "Nozzles", 1, up=6, direction="+U", projection=250)
    rows["Segments"][-1] = {"line": "HW-1", "to": "25", "up": 4}
    rows["Segments"] += [{"line": "HW-1", "to": "27", "north": 4}, {"line": "HW-1", "to": "30", "up": -1}]
    return rows


def test_a_nozzle_on_a_head_is_checked_as_on_a_sphere():
    results = found(head_plant())
    (check,) = (c for c in shell(results) if c.case == "operating")
    lines = by_hand(results, "operating", 12e-3, Branch(0.1683, NECK, PIPE_ALLOWABLE, 0.25), 0.25, SPHERE, 2 * 1.414)
    assert check.ratio == pytest.approx(max(line.ratio for line in lines), rel=1e-6)
    assert "head taken as a sphere of its crown radius" in check.reason


@pytest.mark.parametrize(
    ("changes", "words"),
    [({"crown_radius": None}, "Head crown radius of V-1 not given"), ({"base_east": 5.3}, "beside the head's middle")],
)
def test_a_head_that_is_not_known_or_not_met_in_its_middle_is_not_checked(changes, words):
    rows = head_plant()
    rows["Equipment"][1] |= changes
    (check,) = shell(found(rows))
    assert check.status is Status.NOT_CHECKED
    assert words in check.reason


@pytest.mark.parametrize("degrees", [30.0, 90.0])
def test_turning_the_whole_plant_changes_no_shell(plain, degrees):
    after = shell(found(turned(vessel_plant(), degrees)))
    for a, b in zip(shell(plain), after, strict=True):
        assert b.ratio == pytest.approx(a.ratio, rel=1e-6)


def test_a_pump_is_no_shell():
    assert checks_named(found(pump_plant()), "shell at nozzle") == []
    (check, _) = checks_named(found(pump_plant(sets="")), "shell at nozzle")
    assert check.status is Status.NOT_CHECKED
    assert check.ratio is nan or isnan(check.ratio)
