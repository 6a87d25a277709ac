"""A flanged joint by three methods, in the order of use."""

from math import isnan, nan

import pytest

from pipecalc.calc import flange as formula
from pipecalc.checks.flanges.joint import (
    BEYOND,
    BOLTING,
    EQUIVALENT,
    FACTOR,
    Flange,
    JointLoad,
    accepted_by,
    flange_check,
    nozzle_joint_load,
)
from pipecalc.results import NozzleLoad, status_of

FLANGE = Flange(8.0, "300", "1.1", True, 220e6, 172e6, 0.254)
LOAD = JointLoad(8000.0, 6000.0, 1000.0)


def check(flange=FLANGE, load=LOAD, pressure=2e6, temperature=150.0, **more):
    return flange_check(flange, load, pressure, temperature, **more)


def changed(**values):
    fields = ("nps", "pressure_class", "group", "is_welding_neck", "yield_strength", "bolt_allowable")
    return Flange(**{**{f: getattr(FLANGE, f) for f in fields}, "gasket_diameter": 0.254, **values})


def test_three_lines_in_order_of_use_and_the_first_that_passes_decides():
    lines = check()
    assert [line.method for line in lines] == [EQUIVALENT, FACTOR, BOLTING]
    assert accepted_by(lines) == lines[0]


def test_the_second_method_accepts_what_the_first_does_not():
    lines = check(load=JointLoad(8000.0, 9000.0, 0.0))
    assert lines[0].ratio > 1
    assert accepted_by(lines) == lines[1]


def test_where_no_method_accepts_the_reader_is_told_what_to_do():
    lines = check(load=JointLoad(8000.0, 60e3, 0.0))
    found = accepted_by(lines)
    assert not found.passes
    assert found.ratio > 1
    assert BEYOND in found.reason


def test_a_method_that_cannot_be_used_never_accepts():
    lines = check(changed(is_welding_neck=None, yield_strength=nan), JointLoad(0.0, 60e3, 0.0))
    assert [line.is_checked for line in lines] == [True, False, False]
    found = accepted_by(lines)
    assert not found.passes
    assert "type of the flange is not known" in found.reason
    assert "yield strength" in found.reason


@pytest.mark.parametrize(
    ("flange", "word"),
    [
        (changed(pressure_class=""), "class is not given"),
        (changed(group=""), "material group is not known"),
        (changed(pressure_class="400"), "class 400"),
    ],
)
def test_without_a_rating_nothing_is_checked(flange, word):
    lines = check(flange)
    assert not any(line.is_checked for line in lines)
    found = accepted_by(lines)
    assert status_of(found.demand, found.limit) == "NOT CHECKED"
    assert word in found.reason


@pytest.mark.parametrize("temperature", [-50.0, 700.0])
def test_outside_the_rating_temperatures_nothing_is_checked(temperature):
    assert not any(line.is_checked for line in check(temperature=temperature))


@pytest.mark.parametrize(("pressure", "word"), [(-1e5, "external pressure"), (nan, "pressure is not known")])
def test_vacuum_and_unknown_pressure_are_not_covered(pressure, word):
    lines = check(pressure=pressure)
    assert not lines[0].is_checked
    assert not lines[1].is_checked
    assert word in lines[0].reason


def test_a_pressure_above_the_rating_leaves_the_first_method_only():
    lines = check(pressure=5e6)
    assert [line.is_checked for line in lines] == [True, False, False]
    assert not accepted_by(lines).passes


@pytest.mark.parametrize(
    ("flange", "method", "word"),
    [
        (changed(is_welding_neck=False), 1, "welding neck"),
        (changed(bolt_allowable=100e6), 2, "high-strength"),
        (changed(bolt_allowable=nan), 2, "bolts are not known"),
        (changed(pressure_class="900"), 2, "no bolting data"),
    ],
)
def test_each_method_has_its_conditions(flange, method, word):
    line = check(flange)[method]
    assert not line.is_checked
    assert word in line.reason


def test_without_a_size_of_the_gasket_nothing_is_added_up():
    line = check(changed(nps=26.0, gasket_diameter=nan))[0]
    assert isnan(line.demand)
    assert "no raised face" in line.reason


def test_a_force_outward_on_a_nozzle_pulls_the_joint_apart():
    load = NozzleLoad("N1", "c", 5e3, 1e3, 1e3, -700.0, 300.0, -400.0, (0, 0, 0), (0, 0, 0))
    assert nozzle_joint_load(load) == JointLoad(5e3, 500.0, 700.0)


def test_a_missing_load_is_not_checked():
    lines = check(load=JointLoad(nan, nan, nan))
    assert not any(line.passes or line.is_checked for line in lines[:1] + lines[2:])


def bolting(yield_strength):
    return formula.bolting_moment(yield_strength, 0.3, 3e-3, formula.STATIC_BOLT_STRESS, formula.FULL_YIELD)


def test_the_bolting_rule_counts_yield_up_to_36_ksi():
    soft, full, hard = (bolting(s) for s in (124.1e6, 248.22e6, 400e6))
    assert full == hard
    assert soft == pytest.approx(full / 2, rel=1e-3)
    assert isnan(bolting(0.0))


@pytest.mark.parametrize("G", [0.0, -0.1, nan])
def test_no_gasket_no_pressure(G):
    assert isnan(formula.equivalent_pressure(1000.0, 0.0, G))
    assert isnan(formula.equivalent_pressure(-1.0, 0.0, 0.2))
