"""Extremes of support loads, loads on shells, and closed forms of beams.

Propped cantilever and settlement: Timoshenko, Strength of Materials, Part I, ch. 5 and 6 (three moments,
slope-deflection).
"""

from math import isnan

import numpy as np
import pytest

from pipecalc.analysis.analyse import analyse
from pipecalc.analysis.lines import weight
from pipecalc.analysis.support_envelope import attachment_problems, shell_loads, support_envelopes
from pipecalc.calc.material import modulus_at
from pipecalc.calc.section import moment_of_inertia
from pipecalc.calc.weight import GRAVITY
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


@pytest.mark.source("Timoshenko, Strength of Materials, Part I: propped cantilever, R = 3 w L/8")
def test_a_propped_cantilever_rests_on_three_eighths_of_its_weight():
    plant = a_plant()
    results = analyse(plant)
    *_, rest = [e for e in support_envelopes(plant, results.support_loads, results.cases) if e.support == "R"]
    w = weight(plant.lines["L-1"]).operating * GRAVITY
    assert rest.up.largest == pytest.approx(-3 / 8 * w * 4.0, rel=1e-6)


@pytest.mark.source("slope-deflection: Timoshenko, Strength of Materials, Part I")
def test_a_beam_on_three_supports_with_settlement():
    length, settles = 5.0, 0.010
    rows = row_of_pipe(
        [length, length],
        [
            ANCHOR,
            {"support": "B", "point": "20", "type": "rest", "attached_to": "E"},
            {"support": "C", "point": "30", "type": "rest"},
        ],
    )
    rows["Equipment"] = [
        {"equipment": "E", "kind": "fixed", "base_east": length, "base_north": 0, "base_up": 4, "material": "A106 B",
         "temperature": 20, "settlement": 1000 * settles}
    ]  # fmt: skip
    plant = built(rows)
    line = plant.lines["L-1"]
    loads = {(x.support, x.case): x.vertical for x in analyse(plant).support_loads}
    w = weight(line).operating * GRAVITY
    EI = modulus_at(line.material, 20.0) * moment_of_inertia(line.section.outside_diameter, line.section.wall)
    middle, end = two_spans(w, length, EI, settles)
    assert loads["B", "operating"] == pytest.approx(-middle, rel=1e-4)
    assert loads["C", "operating"] == pytest.approx(-end, rel=1e-4)
    middle, end = two_spans(w, length, EI, 0.0)
    assert loads["B", "sustained, cold"] == pytest.approx(-middle, rel=1e-4)
    assert loads["C", "sustained, cold"] == pytest.approx(-end, rel=1e-4)


def two_spans(w, L, EI, settles):
    """Reactions at the middle and end of a beam fixed at its start, the middle support settling: slope-deflection."""
    psi, fixed = settles / L, w * L**2 / 12
    k = 2 * EI / L
    # Rotations at B and C from M_BA + M_BC = 0 and M_CB = 0; moments clockwise on the ends of members.
    theta = np.linalg.solve([[4 * k, k], [k, 2 * k]], [3 * k * psi - 3 * k * psi, -3 * k * psi - fixed])
    M_BA = k * (2 * theta[0] - 3 * psi) + fixed
    M_AB = k * (theta[0] - 3 * psi) - fixed
    M_BC = k * (2 * theta[0] + theta[1] + 3 * psi) - fixed
    left, right = w * L / 2 + (M_AB + M_BA) / L, w * L / 2 - M_BC / L
    return left + right, w * L / 2 + M_BC / L


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
