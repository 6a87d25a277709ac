"""A vessel's shell at its pipe supports, from the workbook to verdicts.

Source: line load of a round attachment, M. W. Kellogg Co., Design of Piping Systems, 1956: f = 1.5 F/(2 pi r) +
M/(pi r²), stress 1.17 f sqrt(R)/t^1.5, pressure P R/(2 t) along and P R/t around added.
"""

from math import isnan, pi, sqrt

import pytest

from pipecalc.analysis.attachments import attachment_axes
from pipecalc.results import Status
from pipecalc.schema.sheets import sheet
from tests.analysis.machine_plants import built, checks_named, found, said, turned, vessel_plant, with_values

CHECK = "shell at attachment"
CASES = {"sustained, cold", "operating", "sustained, supports of operating"}


def bracket_plant(**support):
    """A vessel of 700 mm by 12 mm whose bracket, to the South of it, carries point 25 of the line, 0.45 m from it."""
    rows = vessel_plant(base_north=4.9, outside_diameter=700)
    rows = with_values(rows, "Nozzles", 1, north=4.35, up=5)
    rows["Segments"] = [
        {"line": "HW-1", "from_": "10", "to": "20", "east": 5},
        {"line": "HW-1", "to": "22", "north": 1.5},
        {"line": "HW-1", "to": "25", "north": 2.6},
        {"line": "HW-1", "to": "26", "north": -1.0, "up": 1},
        {"line": "HW-1", "to": "27", "up": 1},
        {"line": "HW-1", "to": "30", "north": 1.25},
    ]
    row = {"support": "S-1", "line": "HW-1", "point": "25", "type": "rest", "friction": 0, "attached_to": "V-1"}
    rows["Supports"] = [{**row, "attachment_radius": 150, **support}]
    rows["Point loads"] = [{"load": "M-1", "line": "HW-1", "point": "25", "mass": 800, "acts_in": "always"}]
    return rows


@pytest.fixture(scope="module")
def bracket():
    return found(bracket_plant())


@pytest.mark.parametrize("case", sorted(CASES))
def test_a_weight_on_a_bracket_bends_the_shell_lengthwise(bracket, case):
    """A load down, 0.45 m from the shell, is a longitudinal moment of load times arm and nothing else."""
    (check,) = (c for c in checks_named(bracket, CHECK) if c.case == case)
    (load,) = (x for x in bracket.support_loads if (x.support, x.case) == ("S-1", case))
    arm, r, R, t, P = 0.45, 0.15, 0.35, 0.010, 14e5
    f_2 = abs(load.vertical) * arm / (pi * r**2)
    longitudinal = 1.17 * f_2 * sqrt(R) / t**1.5 + P * R / (2 * t)
    circumferential = P * R / t
    limit = 1.5 * 138e6
    assert load.vertical < -3000
    assert check.inputs["ratio, line load, longitudinal"] == pytest.approx(longitudinal / limit, rel=1e-6)
    assert check.inputs["ratio, line load, circumferential"] == pytest.approx(circumferential / limit, rel=1e-6)
    assert check.ratio >= longitudinal / limit * (1 - 1e-9)
    assert check.screening


def test_the_axes_of_the_attachment_are_outward_up_and_the_rest():
    plant, _ = built(bracket_plant())
    axes = attachment_axes(plant.supports["S-1"], plant.equipment["V-1"])
    for axis, wanted in zip(axes, ((0, -1, 0), (0, 0, 1), (-1, 0, 0)), strict=True):
        assert axis == pytest.approx(wanted, abs=1e-12)


def test_the_arm_is_the_users_or_follows_from_coordinates(bracket):
    assert "arm from coordinates, 450 mm" in checks_named(bracket, CHECK)[0].reason
    longer = checks_named(found(bracket_plant(attachment_arm=900)), CHECK)
    assert all("coordinates" not in c.reason for c in longer)
    for a, b in zip(checks_named(bracket, CHECK), longer, strict=True):
        assert b.inputs["ratio, line load, longitudinal"] >= a.inputs["ratio, line load, longitudinal"]


def test_outside_the_range_of_the_line_load_the_other_estimate_stands_and_says_so():
    checks = checks_named(found(bracket_plant(attachment_radius=60)), CHECK)
    assert {c.case for c in checks} == CASES
    assert all(c.ratio > 0 for c in checks)
    assert all("attachment/shell radius 0.17 is outside" in c.reason for c in checks)


@pytest.mark.parametrize(
    ("support", "vessel", "words"),
    [
        ({"attachment_radius": None}, {}, "Attachment radius is not given"),
        ({}, {"wall": None}, "Wall thickness of V-1 not given"),
        ({}, {"design_temperature": None}, "Design temperature of V-1 is not given"),
        ({}, {"material": "A106 B", "design_temperature": 800}, "no allowable stress of A106 B at 800 °C"),
        ({"attached_to": "H-1", "attachment_radius": None}, {}, "fixed item"),
    ],
)
def test_what_is_missing_is_said_and_not_checked(support, vessel, words):
    rows = with_values(bracket_plant(**support), "Equipment", 1, **vessel)
    (check,) = checks_named(found(rows), CHECK)
    assert check.status is Status.NOT_CHECKED
    assert isnan(check.ratio)
    assert words in check.reason


def test_a_support_on_the_structure_has_no_shell_and_its_columns_are_told():
    rows = bracket_plant(attached_to=None)
    assert checks_named(found(rows), CHECK) == []
    assert [w[:3] for w in said(rows)] == [("Supports", 3, "value-unused")]
    assert sheet("Supports").column("attachment_radius").title in said(rows)[0][3]


def test_turning_the_whole_plant_changes_no_attachment(bracket):
    after = checks_named(found(turned(bracket_plant(), 30.0)), CHECK)
    for a, b in zip(checks_named(bracket, CHECK), after, strict=True):
        assert (a.case, a.status) == (b.case, b.status)
        assert b.ratio == pytest.approx(a.ratio, rel=1e-6)
