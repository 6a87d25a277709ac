"""Spot values of the material tables, re-typed from their sources.

Modulus: ASME II-D (metric) Table TM-1, carbon steel up to 0.3 % C and Material Group G, as quoted in public
documentation.
Expansion before 2010: ASME B31.3 Table C-1 (in per 100 ft from 70 °F), the same as in expansion-joint makers'
tables; 3.62 at 500 °F is also the value of Appendix S, example 1. Allowables: ASME B31.3 Table A-1 and a pipe
supplier's page that quotes it (P11, P91).
"""

import pytest

from pipecalc import tables
from pipecalc.calc.material import allowable_at, modulus_at, strain_between

KSI = 6.894757293168e6


def celsius(fahrenheit):
    return (fahrenheit - 32) / 1.8


@pytest.mark.source("ASME II-D Table TM-1 (metric)")
@pytest.mark.parametrize(
    ("name", "temperature", "gpa"),
    [
        ("A106 B", 25, 202),
        ("A106 B", 200, 192),
        ("A106 B", 350, 179),
        ("A312 TP304", 25, 195),
        ("A312 TP316L", 300, 176),
    ],
)
def test_modulus(name, temperature, gpa):
    assert modulus_at(tables.material(name), temperature) == pytest.approx(gpa * 1e9)


@pytest.mark.source("ASME B31.3 Table C-1 before 2010; 500 °F also in Appendix S, example 1")
@pytest.mark.parametrize(
    ("group", "fahrenheit", "inches"),
    [("CS", 500, 3.62), ("CS", 300, 1.82), ("CS", -50, -0.84), ("AUST", 400, 3.80), ("AUST", -300, -3.63)],
)
def test_total_expansion_of_the_older_set(group, fahrenheit, inches):
    curve, reference = tables.expansion_curve(group, "C-1 before 2010")
    assert reference == pytest.approx(celsius(70), abs=1e-3)
    assert curve.at(celsius(fahrenheit)) * 1200 == pytest.approx(inches)


@pytest.mark.source("ASME II-D Table TE-1 (metric) against B31.3 Table C-1: sets that differ by up to 5 % and 8 %")
@pytest.mark.parametrize(("name", "group", "most"), [("A106 B", "CS", 0.055), ("A312 TP304", "AUST", 0.08)])
def test_the_newer_set_stays_near_the_older_one(name, group, most):
    old, _ = tables.expansion_curve(group, "C-1 before 2010")
    for hot in (100.0, 150.0, 200.0, 300.0):
        new = strain_between(tables.material(name), 21.111, hot)
        assert new == pytest.approx(old.at(hot), rel=most)


@pytest.mark.source("ASME B31.3 Table A-1; P11 and P91 as quoted on a pipe supplier's page")
@pytest.mark.parametrize(
    ("name", "fahrenheit", "ksi"),
    [("A106 B", 100, 20.0), ("A106 B", 300, 20.0), ("A312 TP304L", 100, 16.7), ("A335 P11", 100, 20.0),
     ("A335 P91", 100, 28.3)],
)  # fmt: skip
def test_allowable(name, fahrenheit, ksi):
    assert allowable_at(tables.material(name), celsius(fahrenheit)) / KSI == pytest.approx(ksi)
