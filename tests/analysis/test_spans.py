"""Spans found on the plant, and their limits by hand."""

from dataclasses import replace
from math import isnan, pi, sqrt

import pytest

from pipecalc.analysis.guide_spacing import guide_checks
from pipecalc.analysis.span_runs import spans
from pipecalc.analysis.spans import SPAN_CHECK, span_checks
from pipecalc.calc import span_loads
from pipecalc.calc.material import allowable_at
from pipecalc.model import Section
from pipecalc.results import Status
from tests.analysis.plants_for_supports import built, row_of_pipe

ANCHOR = {"support": "A", "point": "10", "type": "anchor"}


def rest(name, point, **more):
    return {"support": name, "point": point, "type": "rest", **more}


def beam(lengths, *supports, **line):
    return built(row_of_pipe(lengths, [ANCHOR, *supports], **line))


def test_a_span_runs_between_neighbouring_vertical_supports():
    found = spans(beam([4.0, 2.0, 3.0], rest("R1", "30"), rest("R2", "40")))
    assert [(s.held_by, s.length) for s in found] == [(("A", "R1"), 6.0), (("R1", "R2"), 3.0)]
    assert found[0].rows == (3, 4)


def test_a_guide_carries_no_weight():
    plant = beam([4.0, 2.0], {"support": "G", "point": "20", "type": "guide"}, rest("R", "30"))
    assert [s.held_by for s in spans(plant)] == [("A", "R")]


def test_a_rest_that_does_not_act_leaves_a_longer_span():
    plant = beam([4.0, 2.0], rest("R1", "20"), rest("R2", "30"))
    assert [s.length for s in spans(plant, leave_out={"R1"})] == [6.0]


def test_what_hangs_beyond_the_last_support_is_an_overhang():
    plant = beam([4.0, 2.0], rest("R", "20"))
    (check,) = [c for c in span_checks(plant) if "overhang" in c.reason]
    w, Z, S = (check.inputs[k] for k in ("w", "Z", "S_w"))
    assert check.inputs["span by stress"] == pytest.approx(sqrt(2 * S * Z / w))
    assert check.inputs["stress"] == pytest.approx(w * 2.0**2 / 2 / Z)


def test_the_limits_of_a_plain_span_are_those_of_the_formulas():
    plant = beam([6.0], rest("R", "20"))
    (check,) = span_checks(plant)
    n = check.inputs
    assert n["S_w"] == pytest.approx(allowable_at(plant.lines["L-1"].material, 200.0) / 4)
    assert n["span by stress"] == pytest.approx(sqrt(10 * n["S_w"] * n["Z"] / n["w"]))
    assert n["span by sag"] == pytest.approx((128 * n["E"] * n["I"] * 0.0125 / n["w"]) ** 0.25)
    assert n["span by frequency"] == pytest.approx(sqrt(pi / 2 / 4.0 * sqrt(n["E"] * n["I"] / (n["w"] / 9.80665))))
    assert check.limit == min(n["span by stress"], n["span by sag"], n["span by frequency"])
    assert (check.check, check.screening, check.ratio) == (SPAN_CHECK, True, pytest.approx(6.0 / check.limit))


def test_a_span_over_its_limit_fails():
    (check,) = span_checks(beam([16.0], rest("R", "20")))
    assert check.status is Status.FAIL
    assert check.ratio > 1


def test_a_valve_shortens_the_span_that_is_allowed():
    plain, loaded = ([5.0, 1.0, 5.0], "pipe", None), ([5.0, 1.0, 5.0], "valve", 800)
    limits = []
    for lengths, item, mass in (plain, loaded):
        rows = row_of_pipe(lengths, [ANCHOR, rest("R", "40")])
        rows["Segments"][1].update(item=item, mass=mass)
        (check,) = span_checks(built(rows))
        limits.append(check.limit)
    assert limits[1] < 0.8 * limits[0]


def test_at_the_allowed_span_stress_sag_and_frequency_meet_their_limits():
    numbers = {"E": 2e11, "I": 1.17e-5, "Z": 1.4e-4, "w": 460.0, "m": 460.0 / 9.80665}
    by_stress = span_loads.loaded_span_by_stress(30e6, numbers["Z"], numbers["w"], 10.0, 500.0)
    assert span_loads.loaded_span_stress(numbers["w"], by_stress, numbers["Z"], 10.0, 500.0) == pytest.approx(30e6)
    by_sag = span_loads.loaded_span_by_sag(0.0125, numbers["E"], numbers["I"], numbers["w"], 128.0, 40.0)
    assert span_loads.loaded_span_sag(numbers["w"], by_sag, numbers["E"], numbers["I"], 128.0, 40.0) == pytest.approx(
        0.0125
    )
    slow = span_loads.loaded_span_by_frequency(4.0, numbers["E"], numbers["I"], numbers["m"], 15.0, pi**2)
    assert span_loads.loaded_frequency(slow, numbers["E"], numbers["I"], numbers["m"], 15.0, pi**2) == pytest.approx(
        4.0
    )


@pytest.mark.parametrize(
    ("A", "B", "limit"), [(-1.0, 0.0, 1.0), (1.0, -1.0, 1.0), (1.0, 1.0, 0.0), (1.0, float("nan"), 1.0)]
)
def test_a_length_outside_its_range_is_not_a_number(A, B, limit):
    assert isnan(span_loads.length_by_quartic(A, B, limit))


def test_a_turn_takes_a_quarter_off_the_allowed_span():
    rows = row_of_pipe([3.0, 3.0], [ANCHOR, rest("R", "30")])
    (straight,) = span_checks(built(rows))
    rows["Segments"][1] = {"line": "L-1", "to": "30", "north": 3.0}
    (turned,) = span_checks(built(rows))
    assert turned.limit == pytest.approx(0.75 * straight.limit)


def test_a_riser_hangs_in_its_span_as_a_concentrated_load():
    rows = row_of_pipe([3.0, 3.0, 3.0], [ANCHOR, rest("R", "40")])
    rows["Segments"][1] = {"line": "L-1", "to": "30", "up": 3.0}
    (span,) = spans(built(rows))
    assert span.length == 6.0
    assert [share for share, _ in span.loads] == [0.5]
    assert span.loads[0][1] == pytest.approx(3.0 * span.uniform)


def test_without_an_allowable_stress_a_span_is_not_checked():
    plant = beam([6.0], rest("R", "20"))
    line = plant.lines["L-1"]
    bare = replace(line.material, allowable=None)
    segments = tuple(replace(s, material=bare) for s in line.segments)
    (check,) = span_checks(replace(plant, lines={"L-1": replace(line, segments=segments)}))
    assert check.status is Status.NOT_CHECKED
    assert "no allowable stress" in check.reason


def test_a_pipe_of_no_size_has_no_published_span():
    plant = beam([6.0], rest("R", "20"))
    line = plant.lines["L-1"]
    odd = replace(line, section=Section(0.2, 0.006))
    (check,) = span_checks(replace(plant, lines={"L-1": odd}))
    assert isnan(check.inputs["published span, water"])


def test_a_line_that_goes_on_as_another_is_one_span():
    rows = row_of_pipe([3.0], [ANCHOR])
    rows["Lines"].append(
        {**rows["Lines"][0], "line": "L-2", **dict.fromkeys(("start_point", "start_east", "start_north", "start_up"))}
    )
    rows["Segments"].append({"line": "L-2", "from_": "L-1/20", "to": "20", "east": 4.0})
    rows["Supports"].append({"line": "L-2", "point": "20", "support": "R", "type": "rest"})
    assert [(s.held_by, s.length) for s in spans(built(rows))] == [(("A", "R"), 7.0)]


def test_a_header_carries_half_of_its_branch():
    rows = row_of_pipe([3.0, 3.0], [ANCHOR, rest("R", "30")])
    rows["Lines"].append(
        {**rows["Lines"][0], "line": "L-2", **dict.fromkeys(("start_point", "start_east", "start_north", "start_up"))}
    )
    rows["Segments"][0]["branch"] = "welding tee"
    rows["Segments"].append({"line": "L-2", "from_": "L-1/20", "to": "20", "north": 4.0})
    rows["Supports"].append({"line": "L-2", "point": "20", "support": "R-2", "type": "rest"})
    header, branch = spans(built(rows))
    assert branch.held_by == ("L-1", "R-2")
    assert header.loads == ((0.5, pytest.approx(branch.uniform * 4.0 / 2)),)


def riser(height, *supports):
    rows = row_of_pipe([1.0, 1.0], [ANCHOR, *supports])
    rows["Segments"][1] = {"line": "L-1", "to": "30", "up": height}
    return built(rows)


def test_a_riser_needs_guides_within_the_spacing_of_practice():
    checks = [c for c in guide_checks(riser(12.0)) if c.check == "guide spacing"]
    assert [(c.demand, c.limit) for c in checks] == [(12.0, pytest.approx(1.5 * 17 * 0.3048))]
    assert checks[0].status is Status.FAIL


def test_wind_limits_the_spacing_of_guides():
    plant = riser(4.0)
    windy = replace(plant, project=replace(plant.project, wind_pressure=12000.0))
    (calm,) = [c for c in guide_checks(plant) if c.check == "guide spacing"]
    found = [c for c in guide_checks(windy) if c.check == "guide spacing" and c.demand == 4.0]
    q = 12000.0 * plant.project.wind_shape_factor * plant.lines["L-1"].section.outside_diameter
    n = found[0].inputs
    assert n["w_wind"] == pytest.approx(q)
    assert n["spacing by wind stress"] == pytest.approx(sqrt(10 * n["S_w"] * n["Z"] / q))
    assert found[0].limit < calm.limit


def test_a_guide_halves_the_unguided_length():
    rows = row_of_pipe([1.0, 1.0, 1.0], [ANCHOR, {"support": "G", "point": "30", "type": "guide"}])
    rows["Segments"][1:] = [{"line": "L-1", "to": "30", "up": 6.0}, {"line": "L-1", "to": "40", "up": 6.0}]
    checks = [c for c in guide_checks(built(rows)) if c.check == "guide spacing"]
    assert [c.demand for c in checks] == [6.0, 6.0]
    assert not [c for c in guide_checks(built(rows)) if c.check == "vertical run"]
