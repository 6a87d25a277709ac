"""Extremes of support loads, loads on shells, and closed forms of beams.

Propped cantilever and settlement: Timoshenko, Strength of Materials, Part I, ch. 5 and 6 (three moments,
slope-deflection).
"""

from math import isnan

import pytest

from pipecalc.analysis.support_envelope import attachment_problems, shell_loads, support_envelopes
from pipecalc.model import Zone
from pipecalc.results import Case, SupportLoad
from tests.analysis.plants_for_supports import built, row_of_pipe

ANCHOR = {"support": "A", "point": "10", "type": "anchor"}
CASES = (
    Case("cold", "sustained", "", ""),
    Case("hot", "operating", "operating", ""),
    Case("quake", "occasional", "", ""),
)


def load(case, force, acting=True, axial=0.0):
    return SupportLoad("R", case, force, (0.0, 0.0, 0.0), force[2], axial, force[1], 0.0, acting, (0.0, 0.0, 0.001))


def a_plant(**support):
    return built(row_of_pipe([4.0], [ANCHOR, {"support": "R", "point": "20", "type": "rest", **support}]))


def test_extremes_carry_their_sign_and_case():
    plant = a_plant(allowable_vertical=10000, allowable_horizontal=5000)
    loads = [
        load("cold", (0.0, 0.0, -5000.0)),
        load("hot", (300.0, -400.0, -8000.0)),
        load("quake", (0.0, 900.0, 100.0)),
    ]
    *kinds, whole = support_envelopes(plant, loads, CASES)
    assert [e.kind for e in kinds] == ["sustained", "operating", "occasional"]
    assert (whole.up.least, whole.up.least_case, whole.up.most, whole.up.most_case) == (-8000.0, "hot", 100.0, "quake")
    assert (whole.up.largest, whole.up.largest_case) == (-8000.0, "hot")
    assert whole.vertical_ratio == pytest.approx(0.8)
    assert whole.horizontal_ratio == pytest.approx(900.0 / 5000.0)
    assert whole.ratio == pytest.approx(0.8)


def test_a_support_without_allowables_has_no_ratio():
    *_, whole = support_envelopes(a_plant(), [load("cold", (0.0, 0.0, -5000.0))], CASES)
    assert isnan(whole.ratio)


def test_cases_in_which_it_does_not_act_are_named():
    loads = [load("cold", (0.0, 0.0, -5.0)), load("hot", (0.0, 0.0, 0.0), acting=False)]
    *_, whole = support_envelopes(a_plant(), loads, CASES)
    assert whole.not_acting == ("hot",)


def on_a_vessel(**zone):
    rows = row_of_pipe([4.0], [ANCHOR, {"support": "R", "point": "20", "type": "rest", "attached_to": "V"}])
    rows["Equipment"] = [
        {"equipment": "V", "kind": "vertical on skirt", "base_east": 6, "base_north": 0, "base_up": 0,
         "outside_diameter": 2000, "wall": 12, "material": "A106 B", "temperature": 120, "support_height": 1}
    ]  # fmt: skip
    if zone:
        rows["Zones"] = [{"equipment": "V", "temperature": 100, **zone}]
    return built(rows)


def test_loads_on_a_shell_are_resolved_in_its_own_directions():
    plant = on_a_vessel()
    (found,) = shell_loads(plant, [load("cold", (300.0, -40.0, -5000.0))], CASES)
    assert (found.equipment, found.along, found.reach) == ("V", pytest.approx(5.0), pytest.approx(1.0))
    assert (found.radial, found.tangential, found.axial) == (pytest.approx(-300.0), pytest.approx(40.0), -5000.0)
    assert found.moment_longitudinal == pytest.approx(-5000.0)


def test_supports_on_the_structure_load_no_shell():
    assert shell_loads(a_plant(), [load("cold", (0.0, 0.0, -5.0))], CASES) == ()


def test_a_support_where_its_item_has_no_zone_is_told():
    (problem,) = attachment_problems(on_a_vessel(**{"from_": 1, "to": 3}))
    assert problem.code == "support-no-zone"
    assert "5.000 m along its axis" in problem.found
    assert not list(attachment_problems(on_a_vessel(**{"from_": 1, "to": 8})))
    assert not list(attachment_problems(on_a_vessel()))


def test_zones_are_closed_at_both_ends():
    plant = on_a_vessel(**{"from_": 1, "to": 5})
    assert isinstance(plant.equipment["V"].zones[0], Zone)
    assert not list(attachment_problems(plant))


def test_a_support_inside_the_shell_is_told():
    rows = row_of_pipe([5.5], [ANCHOR, {"support": "R", "point": "20", "type": "rest", "attached_to": "V"}])
    rows["Equipment"] = [
        {"equipment": "V", "kind": "vertical on skirt", "base_east": 6, "base_north": 0, "base_up": 0,
         "outside_diameter": 2000, "wall": 12, "material": "A106 B", "temperature": 120, "support_height": 1}
    ]  # fmt: skip
    assert [p.code for p in attachment_problems(built(rows))] == ["support-inside"]
