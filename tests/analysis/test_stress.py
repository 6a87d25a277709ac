"""Code stresses of whole plants, from the workbook to the verdict, by hand with the clause."""

import pytest
from stress_books import (
    DENSITY,
    OD,
    S_E,
    S_L,
    S_O,
    S_T,
    WALL,
    G,
    anchor,
    area,
    book,
    modulus,
    steel,
    stresses,
)

from pipecalc.results import Status

HELD = [anchor("A", "1"), anchor("B", "2")]
RUN = [{"from_": "1", "to": "2", "east": 8.0}]
WEIGHT = DENSITY * area() * G  # N/m
MPa = 1e6


def held(**more):
    """A straight pipe of 8 m between two anchors."""
    return stresses(book(RUN, HELD, **more))


# --- sustained ---------------------------------------------------------------------------------------------------


def test_the_verdict_on_sustained_stress_names_its_clause():
    found = held(line={"design_pressure": 40, "corrosion_allowance": 3}).at(S_L, "1")
    assert found.status is Status.PASS
    assert found.clause.startswith("ASME B31.3-2018 para. 320.2")


def test_weight_is_that_of_the_pipe_as_new():
    thick, thin = (held(line={"corrosion_allowance": c}).at(S_L, "1").inputs["M_i"] for c in (0, 3))
    assert thick == pytest.approx(thin)


def test_the_largest_moment_between_the_ends_is_not_passed_over():
    supports = [
        {"support": "S1", "point": "1", "type": "rest, guide and line stop"},
        {"support": "S2", "point": "2", "type": "rest and guide"},
        {"support": "S3", "point": "3", "type": "rest"},
    ]
    runs = [*RUN, {"from_": "2", "to": "3", "north": 1.0, "turn": "none"}]
    runs[0] = {**RUN[0], "turn": "none"}
    found = stresses(book(runs, supports))
    middle = found.at(S_L, "between 1 and 2, 50 %")
    assert found.at(S_L, "1").demand < 1e-3 * middle.demand


def test_a_rest_that_lifts_off_hot_counts_in_the_sustained_stress():
    """The riser grows and takes the line off the rest; its weight then hangs on the anchors."""
    runs = [
        {"from_": "1", "to": "2", "up": 4.0},
        {"from_": "2", "to": "3", "east": 6.0},
        {"from_": "3", "to": "4", "east": 6.0},
        {"from_": "4", "to": "5", "up": -4.0},
    ]
    supports = [anchor("A", "1"), anchor("B", "5"), {"support": "R", "point": "3", "type": "rest"}]
    cold = stresses(book(runs, supports)).at(S_L, "3")
    hot = stresses(book(runs, supports, line={"operating_temperature": 220})).at(S_L, "3")
    assert hot.case == "sustained, supports of operating"
    assert hot.demand > 1.5 * cold.demand
    assert cold.case == "sustained, cold"


def test_without_pressure_a_heavy_riser_may_be_worse():
    """12 t on a riser of 3 m: pressure would relieve its compression, so the pipe without pressure governs."""
    runs = [{"from_": "1", "to": "2", "up": 3.0}, {"from_": "2", "to": "3", "up": 0.5, "item": "rigid", "mass": 12000}]
    found = stresses(book(runs, [anchor("A", "1")], line={"design_pressure": 10})).at(S_L, "1")
    force = 12000 * G + WEIGHT * 3.0
    assert found.demand == pytest.approx(force / area(), rel=1e-4)
    assert found.inputs["P"] == 0.0


def test_vacuum_adds_to_a_compressed_pipe():
    runs = [{"from_": "1", "to": "2", "up": 3.0}]
    d = OD - 2 * WALL
    found = stresses(book(runs, [anchor("A", "1")], line={"design_pressure": -1})).at(S_L, "1")
    by_hand = 1e5 * d**2 / (OD**2 - d**2) + WEIGHT * 3.0 / area()
    assert found.demand == pytest.approx(by_hand, rel=1e-6)


def test_pressure_and_allowable_are_the_worst_of_design_and_all_states():
    upset = {"state": "upset", "applies_to": "all", "temperature": 400, "pressure": 30}
    soft = [*steel("Soft", (-50, 350)), *steel("Soft", (600,), allowable=70)]
    line = {"design_pressure": 10, "material": "Soft"}
    found = held(line=line, States=[upset], materials=soft).at(S_L, "1")
    assert found.inputs["P"] == pytest.approx(3e6)
    assert found.limit == pytest.approx((120 - 50 * 50 / 250) * MPa)


def test_weld_strength_reduction_is_asked_for_and_taken():
    creep = {"design_temperature": 538}
    unknown = held(line=creep).at(S_L, "1")
    assert unknown.status is Status.NOT_CHECKED
    assert "W is not known" in unknown.reason
    assert "Lines" in unknown.reason
    given = held(line={**creep, "weld_strength": 0.8}).at(S_L, "1")
    assert given.status is Status.PASS
    assert held(line={**creep, "weld_strength": 0.8}).at(S_E, "1").status is Status.PASS


# --- displacement range ------------------------------------------------------------------------------------------


def test_nothing_moves_where_nothing_is_heated():
    found = held(line={"design_pressure": 20}).all(S_E)
    assert [c.demand for c in found] == pytest.approx([0.0] * len(found), abs=1e-3)
    assert {c.status for c in found} == {Status.PASS}


@pytest.mark.parametrize(("edition", "m"), [("2018", 5), ("2020", 5), ("2022", 3), ("2024", 3)])
def test_the_cycles_of_two_states_are_told_with_the_exponent_of_the_edition(edition, m):
    start = {"state": "start-up", "applies_to": "all", "temperature": 120, "cycles": 300}
    line = {"operating_temperature": 70, "cycles": 1000}
    found = held(line=line, States=[start], project={"edition": edition}).at(S_E, "1")
    assert found.inputs["m"] == m
    assert found.case == "range, installed to start-up"
    assert "range, installed to operating: 1000 at 0.50000" in found.inputs["cycles"]


def test_two_states_on_either_side_count_with_their_whole_difference():
    cold = {"state": "cold", "applies_to": "all", "temperature": -30, "cycles": 200}
    found = held(line={"operating_temperature": 120, "cycles": 300}, States=[cold]).at(S_E, "1")
    assert found.case == "range, operating to cold"


def test_every_pair_that_exceeds_its_own_states_counts_not_only_the_largest():
    states = [
        {"state": "a", "applies_to": "all", "temperature": -30, "cycles": 200},
        {"state": "b", "applies_to": "all", "temperature": -20, "cycles": 90},
    ]
    found = held(line={"operating_temperature": 120, "cycles": 300}, States=states).at(S_E, "1")
    singles = (100 / 150) ** 5 * 300 + (50 / 150) ** 5 * 200 + (40 / 150) ** 5 * 90
    assert found.inputs["N"] == pytest.approx(singles + 200 + (140 / 150) ** 5 * 90, rel=1e-6)


def test_a_state_without_cycles_has_those_of_the_line():
    hot = {"state": "hot", "applies_to": "all", "temperature": 120}
    found = held(line={"operating_temperature": 70, "cycles": 500}, States=[hot]).at(S_E, "1")
    assert found.inputs["N"] == pytest.approx(500 + 0.5**5 * 500, rel=1e-6)


def test_a_line_without_cycles_is_heated_once():
    found = held(line={"operating_temperature": 70, "cycles": 0}).at(S_E, "1")
    assert found.inputs["N"] == 1.0
    assert found.inputs["f"] == found.inputs["f_m"] == 1.0


def test_the_sustained_margin_counts_where_the_project_asks():
    line = {"operating_temperature": 70, "design_pressure": 20}
    basic = held(line=line).at(S_E, "1")
    with_margin = held(line=line, project={"use_sustained_margin": "yes"})
    found, own = with_margin.at(S_E, "1"), with_margin.at(S_L, "1").demand
    assert found.limit > basic.limit
    assert found.inputs["S_L"] == pytest.approx(own)
    assert "S_L" not in basic.inputs


def test_the_basic_form_holds_where_the_sustained_stress_is_over_its_own_limit():
    runs = [{"from_": "1", "to": "2", "east": 45.0}]
    found = stresses(book(runs, HELD, line={"operating_temperature": 70}, project={"use_sustained_margin": "yes"}))
    assert found.at(S_L, "1").status is Status.FAIL
    assert found.at(S_E, "1").limit == pytest.approx(1.5 * 120 * MPa)
    assert "S_L" not in found.at(S_E, "1").inputs


def test_between_two_hot_states_the_cold_end_is_the_colder_of_them():
    falling = [*steel("Falls", (-50, 20), allowable=130), *steel("Falls", (600,), allowable=72)]
    hot = {"state": "hot", "applies_to": "all", "temperature": 420, "cycles": 10}
    found = held(line={"material": "Falls", "operating_temperature": 220}, States=[hot], materials=falling)
    pair = [c for c in found.all(S_E, "1") if c.case == "range, installed to hot"]
    assert pair[0].inputs["S_c"] == pytest.approx(130 * MPa)


def test_an_allowable_that_the_table_does_not_hold_is_said_with_its_range():
    found = held(line={"material": "Hot only", "operating_temperature": 70}, materials=[
        {**row, "allowable": None if row["temperature"] < 50 else 120} for row in steel("Hot only", (-50, 20, 50, 600))
    ]).at(S_E, "1")  # fmt: skip
    assert found.status is Status.NOT_CHECKED
    assert found.reason == "allowable stress of Hot only is not known at 20 °C; its table holds 50 to 600 °C"


# --- occasional --------------------------------------------------------------------------------------------------


def test_the_worst_direction_of_the_earthquake_governs():
    assert held(project={"seismic_horizontal": 0.4, "seismic_vertical": 0.3}).at(S_O, "1").case == "seismic Up -"


def test_wind_and_earthquake_never_act_together():
    wind = held(project={"wind_pressure": 5000}).at(S_O, "1").demand
    both = held(project={"wind_pressure": 5000, "seismic_horizontal": 0.2}).at(S_O, "1").demand
    assert both == wind


def test_a_relief_force_is_a_case_of_its_own():
    load = {"load": "PSV", "line": "L", "point": "2", "force_north": 2000, "acts_in": "occasional"}
    cantilever = {"segments": RUN, "supports": [anchor("A", "1")]}
    found = stresses(book(**cantilever, Point_loads=[load])).at(S_O, "1")
    moment = ((WEIGHT * 8.0**2 / 2) ** 2 + (2000 * 8.0) ** 2) ** 0.5
    assert found.demand == pytest.approx(moment / modulus(), rel=1e-6)
    assert found.case == "load PSV"


def test_an_event_is_added_to_the_sustained_forces_of_the_worst_condition():
    """The rest lifts hot: the earthquake adds to the span without it."""
    runs = [
        {"from_": "1", "to": "2", "up": 4.0},
        {"from_": "2", "to": "3", "east": 6.0},
        {"from_": "3", "to": "4", "east": 6.0},
        {"from_": "4", "to": "5", "up": -4.0},
    ]
    supports = [anchor("A", "1"), anchor("B", "5"), {"support": "R", "point": "3", "type": "rest"}]
    project = {"seismic_horizontal": 0.1}
    found = stresses(book(runs, supports, line={"operating_temperature": 220}, project=project))
    worst = found.at(S_O, "3")
    assert worst.inputs["added to"] == "sustained, supports of operating"
    assert worst.demand > found.at(S_L, "3").demand


# --- test --------------------------------------------------------------------------------------------------------


def test_the_hoop_stress_of_the_test_names_its_rows():
    assert held(line={"test_pressure": 60, "corrosion_allowance": 3}).at("test hoop stress").rows == (3,)


def test_a_line_without_test_pressure_has_no_test():
    assert {c.check for c in held().checks}.isdisjoint({S_T, "test hoop stress"})


# --- what is not checked -------------------------------------------------------------------------------------------


def test_valves_are_left_to_their_own_standard_and_joints_to_their_maker():
    runs = [
        *RUN,
        {"from_": "2", "to": "3", "east": 0.5, "item": "valve", "mass": 80},
        {"from_": "3", "to": "4", "east": 0.3, "item": "expansion joint", "joint_axial": 200, "joint_lateral": 200,
         "joint_angular": 100, "joint_area": 200},
        {"from_": "4", "to": "5", "east": 2.0},
    ]  # fmt: skip
    supports = [anchor("A", "1"), anchor("C", "3"), anchor("B", "5")]
    found = {c.point: c for c in stresses(book(runs, supports)).all("stress of items")}
    assert found["3"].status is Status.NOT_APPLICABLE
    assert found["3"].rows == (4,)
    assert found["4"].status is Status.NOT_CHECKED


def test_a_case_that_did_not_settle_leaves_its_kind_unchecked():
    from dataclasses import replace

    from pipecalc.analysis.stress import left_out_checks
    from pipecalc.results import Case

    plant = held().plant
    cases = [Case("sustained, cold", "sustained", "", ""), Case("operating", "operating", "operating", "")]
    assert list(left_out_checks(cases, cases, plant)) == []
    (found,) = left_out_checks(cases, [], plant)
    assert (found.check, found.status, found.case, found.rows) == (S_L, Status.NOT_CHECKED, "sustained, cold", (3,))
    (seismic,) = left_out_checks([replace(cases[0], kind="occasional")], [], plant)
    assert seismic.check == S_O
    assert seismic.source.sheet == "Lines"
