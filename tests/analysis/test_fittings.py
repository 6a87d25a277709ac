"""Walls of bends, branch reinforcement and hoop stress in the test, by hand with the clause."""

from math import cos, radians, sin

import pytest
from stress_books import OD, WALL, anchor, book, stresses

from pipecalc.calc.pressure import pressure_design_thickness
from pipecalc.results import Status

BEND, BRANCH = "wall of bends", "branch reinforcement"
HELD = [anchor("A", "1"), anchor("B", "3")]


def bent(line=None, project=None, **turn):
    first = {"from_": "1", "to": "2", "east": 2.0, "turn": "bend", "bend_radius": 500, **turn}
    return stresses(book([first, {"from_": "2", "to": "3", "north": 2.0}], HELD, line=line, project=project))


def test_the_inside_of_a_bend_needs_more_wall_than_the_pipe():
    line = {"design_pressure": 60, "corrosion_allowance": 1.5, "mill_tolerance": "12.5 %"}
    found = bent(line=line).at(BEND)
    assert found.inputs["I_b"] > 1
    assert found.limit == pytest.approx(WALL)
    assert (found.point, found.status) == ("2, intrados", Status.PASS)
    assert "thinning" in found.reason
    assert bent(line={**line, "design_pressure": 90}).at(BEND).status is Status.FAIL


def test_what_a_bend_lacks_is_said():
    vacuum = bent(line={"design_pressure": -1}).at(BEND)
    assert (vacuum.status, "304.1.3" in vacuum.reason) == (Status.NOT_CHECKED, True)
    creep = bent(line={"design_temperature": 538}).at(BEND)
    assert "W is not known" in creep.reason
    assert bent(line={"design_temperature": 538, "weld_strength": 0.9}).at(BEND).status is Status.PASS


def test_an_elbow_is_rated_as_its_pipe_and_a_mitre_is_not_computed():
    line = {"outside_diameter": None, "wall": None, "nps": 6, "schedule": "40"}
    elbow = bent(line=line, turn="long radius", bend_radius=None)
    assert BEND not in {c.check for c in elbow.checks}
    mitre = bent(turn="mitre", mitre_cuts=3).at(BEND)
    assert (mitre.status, "304.2.3" in mitre.reason) == (Status.NOT_CHECKED, True)


def test_the_rules_of_b31_3_pass_no_bend_or_branch_of_another_code():
    other = {"code": "ASME B31.1", "edition": "2018"}
    bend = bent(project=other).at(BEND)
    assert bend.status is Status.NOT_CHECKED
    assert bend.reason == "the rule is one of ASME B31.3, not of ASME B31.1"
    assert joined("unreinforced fabricated tee", project=other).status is Status.NOT_CHECKED


def joined(kind, angle=90.0, line=None, project=None, **more):
    """A branch of NPS 4 at an angle on the header "L" of NPS 6."""
    along = {"east": 2.0 * cos(radians(angle)), "north": 2.0 * sin(radians(angle))}
    first = {"from_": "1", "to": "2", "east": 3.0, "branch": kind, **more}
    runs = [first, {"from_": "2", "to": "3", "east": 3.0}, {"line": "B", "from_": "L/2", "to": "9", **along}]
    own = {"line": "B", "outside_diameter": 114.3, "wall": 6.02, "design_pressure": 10}
    return stresses(book(runs, HELD, line={"design_pressure": 30, **(line or {})}, project=project, lines=[own])).at(
        BRANCH
    )


def test_area_replacement_of_a_fabricated_branch_at_the_higher_pressure_of_both_lines():
    found = joined("unreinforced fabricated tee", line={"mill_tolerance": "0 %"})
    assert found.inputs["t_h"] == pytest.approx(pressure_design_thickness(3e6, OD, 120e6, 1.0, 1.0, 0.4))
    assert found.limit == pytest.approx(found.inputs["A_2"] + found.inputs["A_3"])
    assert (found.rows, found.point, found.status) == ((3,), "2", Status.PASS)


def test_a_pad_counts_with_its_width_along_the_header():
    found = joined("reinforced fabricated tee", 60.0, pad_thickness=8, pad_width=30)
    beta = radians(60)
    assert found.inputs["beta"] == pytest.approx(beta)
    assert found.inputs["A_pad"] == pytest.approx(0.008 * 2 * 0.030, rel=1e-9)
    unknown = joined("reinforced fabricated tee", pad_thickness=8)
    assert (unknown.status, unknown.reason) == (Status.NOT_CHECKED, "the pad's width is not given")


def test_a_shallow_branch_is_outside_the_rule():
    found = joined("unreinforced fabricated tee", 30.0)
    assert (found.status, found.reason) == (Status.NOT_CHECKED, "the angle is not 45 to 90 degrees")


def test_listed_fittings_are_proven_elsewhere_and_others_say_what_is_missing():
    assert joined("welding tee").status is Status.NOT_APPLICABLE
    assert joined("welded-on fitting").status is Status.NOT_APPLICABLE
    extruded = joined("extruded outlet")
    assert (extruded.status, "304.3.4" in extruded.reason) == (Status.NOT_CHECKED, True)
    unnamed = joined(None)
    assert (unnamed.status, unnamed.reason) == (Status.NOT_CHECKED, "no kind is named in Branch at To")


def test_a_header_too_weak_for_its_pressure_is_not_called_reinforced():
    found = joined("unreinforced fabricated tee", line={"design_pressure": 130, "corrosion_allowance": 2})
    assert found.status is Status.NOT_CHECKED
    assert "does not carry the pressure" in found.reason


def test_a_name_without_a_branch_has_nothing_to_check():
    runs = [{"from_": "1", "to": "2", "east": 3.0, "branch": "welding tee"}, {"from_": "2", "to": "3", "east": 3.0}]
    found = stresses(book(runs, HELD)).at(BRANCH)
    assert (found.status, found.reason) == (Status.NOT_CHECKED, "no header with one branch meets there")
