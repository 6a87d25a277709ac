"""Advice is what a run of the change gives; where the best is known in closed form, it is found."""

import itertools
from dataclasses import replace
from math import isfinite
from pathlib import Path

import pytest
from books import small_plant

from pipecalc import making
from pipecalc.analysis.advice_findings import length_advice, valve_advice, weight_advice
from pipecalc.analysis.advice_legs import leg_advice, shift_for, shifted
from pipecalc.analysis.advice_plan import advise
from pipecalc.analysis.advice_stops import differential, places, stop_advice
from pipecalc.analysis.advice_supports import carrier_advice, first_support, lifted_rests, spring_advice
from pipecalc.analysis.advice_trials import Trials
from pipecalc.analysis.analyse import analyse
from pipecalc.analysis.outcome import outcome
from pipecalc.analysis.span_runs import straight_runs
from pipecalc.analysis.spans import span_checks
from pipecalc.analysis.systems import part_of, parts_of, systems_of
from pipecalc.analysis.words import Words
from pipecalc.calc.material import modulus_at, strain_between
from pipecalc.calc.section import moment_of_inertia
from pipecalc.model import Section
from pipecalc.workbook.reader import read
from tests.analysis.plants_for_supports import PIPE, built, row_of_pipe

DEMO = Path(__file__).parents[2] / "sample_inputs" / "geothermal-heat.xlsx"
STATIONS = (1.8, 3.6, 5.4, 7.2, 9.0, 10.8, 14.4)
LEG_A, LEG_B, RUN = 3.0, 4.0, 20.0


def nozzle(name, item, east, north, point):
    return {
        "nozzle": name, "equipment": item, "nps": 3, "east": east, "north": north, "up": 3, "direction": "+N",
        "line": "L-1", "point": point, "allowable_sets": "Bending",
    }  # fmt: skip


def between_anchors(stop="stop"):
    """Two flexible legs towards North at the ends of a stiff run towards East, a line stop in between."""
    segments = [{"line": "L-1", "from_": "1", "to": "2", "north": LEG_A, "turn": "none"}]
    marks = [0.0, *STATIONS, RUN]
    segments += [
        {"line": "L-1", "to": str(10 + n), "east": b - a} for n, (a, b) in enumerate(itertools.pairwise(marks))
    ]
    segments[-1]["turn"] = "none"
    segments.append({"line": "L-1", "to": "3", "north": -LEG_B})
    fixed = {"kind": "fixed", "base_up": 3, "material": "A106 B", "temperature": 20}
    rows = {
        "Project": small_plant()["Project"],
        "Lines": [{**PIPE, "nps": 3, "operating_temperature": 180, "fluid_density": "empty"}],
        "Segments": segments,
        "Equipment": [
            {**fixed, "equipment": "E-1", "base_east": 0, "base_north": 0},
            {**fixed, "equipment": "E-2", "base_east": RUN, "base_north": LEG_A - LEG_B},
        ],
        "Nozzles": [nozzle("N1", "E-1", 0, 0, "1"), nozzle("N2", "E-2", RUN, LEG_A - LEG_B, "3")],
        "Allowables": [{"set": "Bending", "ML": 1000, "rule": "each component", "document": "Data sheet 3"}],
        "Supports": [
            {"support": "stop", "line": "L-1", "point": "16", "type": "line stop", "friction": 0},
            *(
                {"support": f"R{n}", "line": "L-1", "point": str(n), "type": "rest", "friction": 0}
                for n in (10, 13, 16)
            ),
        ],
    }
    plant = built(rows)
    line = plant.lines["L-1"]
    stiff = Section(0.6, 0.02)
    wide = tuple(replace(s, section=stiff, end_section=stiff) if s.vector[0] else s for s in line.segments)
    return replace(plant, lines={"L-1": replace(line, segments=wide)})


@pytest.mark.source("guided cantilever, M = 6 E I delta/L²: Roark, 8th ed., Table 8.1; best stop at x = L a²/(a² + b²)")
def test_the_best_place_of_a_stop_between_two_anchors_is_found():
    """Both legs bend alike where x/a² = (L - x)/b²: here at 7.2 m, point 13."""
    plant = between_anchors()
    best = RUN * LEG_A**2 / (LEG_A**2 + LEG_B**2)
    assert best == pytest.approx(7.2)
    (found, *_) = stop_advice(plant, Trials(plant))
    assert (found.sheet, found.column, found.value) == ("Supports", "Point", "13")
    stop = plant.supports["stop"]
    moved = outcome(
        replace(
            plant, supports={**plant.supports, "stop": replace(stop, point=("L-1", "13"), at=plant.points["L-1", "13"])}
        )
    )
    line = plant.lines["L-1"]
    section = line.segments[0].section
    EI = modulus_at(line.material, 20.0) * moment_of_inertia(section.outside_diameter, section.wall)
    moment = 6 * EI * strain_between(line.material, 20.0, 180.0) * best / LEG_A**2
    assert moved.ratio(("N1",)) == pytest.approx(moment / 1000.0, rel=0.03)
    assert moved.ratio(("N2",)) == pytest.approx(moved.ratio(("N1",)), rel=0.05)
    assert found.gain == pytest.approx(outcome(plant).ratio() - moved.ratio(), rel=1e-6)


def test_candidates_are_points_of_the_same_straight_run_between_pipe():
    plant = between_anchors()
    found = places(plant.supports["stop"], plant, straight_runs(plant))
    assert {p.point[1] for p in found} == {"10", "11", "12", "13", "14", "15"}
    assert found[0].point[1] == "15"


def test_the_growth_between_stop_and_nozzle_is_strain_times_distance():
    plant = between_anchors()
    line = plant.lines["L-1"]
    strain = strain_between(line.material, 20.0, 180.0)
    found = differential(plant.supports["stop"], plant.nozzles["N2"], plant, plant.states[0])
    assert found == pytest.approx(strain * (RUN - 14.4))


def demo():
    return making.checked(read(DEMO)).plant


@pytest.fixture(scope="module")
def demo_advice():
    plant = demo()
    results = analyse(plant)
    return plant, results, advise(plant, results)


def test_advice_is_ranked_by_its_gain_and_tells_its_runs(demo_advice):
    _, _, found = demo_advice
    gains = [a.gain for a in found]
    assert gains == sorted(gains, reverse=True)
    assert found[-1].about == "runs"
    assert "Changed plants run" in found[-1].text


def test_advice_is_the_same_twice_and_leaves_the_plant_alone(demo_advice):
    plant, results, found = demo_advice
    assert advise(plant, results) == found
    assert repr(plant) == repr(demo())  # curves hold arrays, which have no plain equality


def test_every_stop_of_the_demo_is_spoken_of(demo_advice):
    plant, _, found = demo_advice
    stops = {s.name for s in plant.supports.values() if "line stop" in s.type}
    assert stops == {a.about.removeprefix("line stop ") for a in found if a.about.startswith("line stop")}


def test_the_gain_of_a_carrier_is_that_of_a_run(demo_advice):
    plant, _, found = demo_advice
    (advice,) = [a for a in found if a.column == "Attached to"]
    name = advice.about.split()[1].rstrip(",")
    line = plant.supports[name].point[0]
    changed = replace(plant, supports={**plant.supports, name: replace(plant.supports[name], attached_to=advice.value)})
    tag = advice.about.split()[-1]
    gain = outcome(part_of(plant, [line])).ratio((tag,)) - outcome(part_of(changed, [line])).ratio((tag,))
    assert advice.gain == pytest.approx(gain)


def test_the_bound_on_runs_holds_and_is_told(demo_advice):
    plant, results, _ = demo_advice
    found = advise(plant, results, most_runs=3)
    assert "run for this chapter: 3 " in found[-1].text
    assert "left out" in found[-1].text


def test_a_part_of_the_plant_has_the_numbers_of_the_whole(demo_advice):
    plant, results, _ = demo_advice
    assert systems_of(plant) == tuple((name,) for name in plant.lines)
    for part in parts_of(plant):
        found = outcome(part)
        for tag in part.nozzles:
            own = [c.ratio for c in results.checks if c.subject == tag and not c.screening and isfinite(c.ratio)]
            assert found.ratio((tag,)) == pytest.approx(max(own), rel=1e-6)


def test_a_trial_reaches_every_verdict_of_a_full_run(demo_advice):
    plant, results, _ = demo_advice
    full = {(c.check, c.subject, c.point, c.case, c.set, c.status) for c in results.checks if not c.screening}
    trial = {(c.check, c.subject, c.point, c.case, c.set, c.status) for c in outcome(plant).checks}
    assert {key for key in trial if key[0] != "spring variation"} == {
        key for key in full if key[0] != "spring variation"
    }


def test_lines_of_one_machine_judged_by_a_standard_stay_together(demo_advice):
    plant, _, _ = demo_advice
    tags = ("V-101/N1", "V-101/N2")
    summed = {**plant.nozzles, **{t: replace(plant.nozzles[t], sets=("API 610 Table 5",)) for t in tags}}
    assert systems_of(replace(plant, nozzles=summed))[0] == ("101-VP-12", "102-BR-8")


def test_what_does_not_hold_is_words_and_no_exception():
    plant = built(row_of_pipe([4.0], [{"support": "R", "point": "20", "type": "rest"}]))
    assert "is not held" in outcome(plant).failed


def test_rests_that_lift_off_are_tried_as_springs():
    plant = built(small_plant())
    results = analyse(plant)
    lifted = lifted_rests(plant, results)
    trials = Trials(plant)
    found = list(spring_advice(plant, results, trials))
    assert len(found) == len(lifted) == trials.ran.total()
    assert all("above S-1" in a.text for a in found)


def test_the_first_support_from_a_vessels_nozzle_is_found():
    plant = demo()
    assert first_support(plant, plant.nozzles["V-101/N1"]).name == "S-101"
    assert first_support(plant, plant.nozzles["P-301/S"]) is None
    assert {a.about.split()[1].rstrip(",") for a in carrier_advice(plant, Trials(plant))} == {"S-101", "S-201"}


def test_a_leg_is_lengthened_with_its_opposite(demo_advice):
    plant, results, _ = demo_advice
    leg = max(results.legs, key=lambda leg: leg.ratio)
    shift = shift_for(plant, leg)
    longer = shifted(plant, shift)
    before = {s.source.row: s.length for s in plant.lines[leg.line].segments}
    after = {s.source.row: s.length for s in longer.lines[leg.line].segments}
    grown = {row: after[row] - before[row] for row in before if abs(after[row] - before[row]) > 1e-9}
    assert set(grown) == set(shift.rows)
    assert list(grown.values()) == pytest.approx([leg.length_needed - leg.length] * 2)
    assert longer.nozzles == plant.nozzles
    (advice, *_) = leg_advice(plant, results, Trials(plant))
    assert f"needs {leg.length_needed:.2f} m" in advice.text


def test_a_leg_without_an_opposite_is_not_run():
    rows = small_plant()
    rows["Lines"][0]["design_temperature"] = rows["Lines"][0]["operating_temperature"] = 340
    rows["Segments"][2]["north"] = rows["Segments"][2]["north"]
    plant = built(rows)
    results = analyse(plant)
    legs = [leg for leg in results.legs if leg.ratio > 1]
    found = list(leg_advice(plant, results, Trials(plant)))
    assert len(found) == len(legs) > 0
    assert all("Not run" in a.text for a in found)


def test_a_support_with_most_of_the_weight_is_named():
    plant = built(row_of_pipe([1.0, 5.0, 5.0], [
        {"support": "A", "point": "10", "type": "anchor"}, {"support": "R", "point": "30", "type": "rest"},
    ]))  # fmt: skip
    found = list(weight_advice(plant, analyse(plant)))
    assert [a.about for a in found] == ["support R"]
    assert "of the weight of L-1" in found[0].text


def test_spans_over_their_limit_and_hanging_valves_are_named():
    rows = row_of_pipe([8.0, 0.5, 8.0], [
        {"support": "A", "point": "10", "type": "anchor"}, {"support": "R", "point": "40", "type": "rest"},
    ])  # fmt: skip
    rows["Segments"][1].update(item="valve", mass=200)
    plant = built(rows)
    (long,) = length_advice(span_checks(plant), Words("SI"))
    assert long.gain == 0.0  # nothing was run for it
    (valve,) = valve_advice(plant)
    assert "200 kg" in valve.text
    assert "8.00 m from A and 8.00 m from R" in valve.text


def test_sentences_speak_the_projects_units():
    assert Words("US").size(0.0254) == "1.000 in"
    assert Words("US").length(0.3048) == "1.00 ft"
    assert Words("SI").length(-0.001, "+") == "0.00 m"
    assert Words("US").force(4448.2216) == "1000 lbf"
    assert Words("US").mass(0.45359237) == "1 lb"
    assert Words("SI").rate(20000.0) == "20.0 N/mm"
    assert Words("US").rate(175.126835) == "1.0 lbf/in"
