"""EN 13480-3: hand evaluations of clause 12.3, from memory of the editions 2012 and 2017.

A 219.1 x 8.18 mm elbow less 3 mm, i = 2.4388, Z = 181 880 mm3, p = 2.5 MPa: p d_o/(4 e) = 26.436 MPa.
"""

import numpy as np
import pytest

from pipecalc.checks.stress import code
from pipecalc.checks.stress.interface import NO_OPTIONS, Event, Factors, Forces, Geometry

EN = code("EN 13480-3", "2017")
ELBOW = Geometry.of(0.2191, 0.00818, 0.003)
FACTORS = Factors.of(2.4388, 2.0324, bend=True)
PRESSURE = np.array([2.5e6])
WEIGHT = Forces.of(1500.0, 900.0, 4200.0, 0.0)
HAND = pytest.mark.source("EN 13480-3:2017 clause 12.3, evaluated by hand")


@HAND
def test_sustained():
    """26.436 + 0.75 x 2.4388 x 4295.3/181.880 = 26.436 + 43.196 = 69.633 MPa."""
    found = EN.sustained(ELBOW, WEIGHT, FACTORS, PRESSURE, "2017", NO_OPTIONS)
    assert found.total / 1e6 == pytest.approx([69.633], rel=1e-4)


@HAND
def test_occasional():
    """M_B = 2.5 kN·m: 69.633 + 1.8291 x 2500/181.880 = 94.774 MPa."""
    quake = Forces.of(0.0, 0.0, 1500.0, 2000.0)
    found = EN.occasional(ELBOW, WEIGHT, quake, FACTORS, PRESSURE, "2017", NO_OPTIONS)
    assert found.total / 1e6 == pytest.approx([94.774], rel=1e-4)


@HAND
def test_range_and_test_have_the_nominal_wall():
    """i M_C/Z = 2.4388 x 12 329/275.554 = 109.12 MPa; test 16.741 + 28.512 = 45.253 MPa."""
    found = EN.displacement_range(ELBOW, Forces.of(5e3, 4e3, 10e3, 6e3), FACTORS, "2017")
    assert found.total / 1e6 == pytest.approx([109.12], rel=1e-4)
    tested = EN.test(ELBOW, WEIGHT, FACTORS, PRESSURE, "2017", NO_OPTIONS)
    assert tested.total / 1e6 == pytest.approx([45.253], rel=1e-4)


@pytest.mark.source("EN 13480-3:2017 Table 12.1.3-1, from memory")
def test_the_cycle_factor_goes_in_steps():
    N = [100, 7000, 7001, 14000, 22000, 45000, 100000, 100001, 1e6]
    expected = [1.0, 1.0, 0.9, 0.9, 0.8, 0.7, 0.6, 0.5, 6.0 * 1e6**-0.2]
    assert EN.cycle_factor(N, 1.0, "2017") == pytest.approx(expected)


@pytest.mark.source("EN 13480-3:2017 clause 12.1.3, from memory; by hand")
def test_the_allowable_range_has_the_ratio_of_moduli_but_not_above_one():
    """0.9 x (1.25 x 150 + 0.25 x 120) x 0.95 = 185.96 MPa; with sigma_1 = 50: + 70 = 255.96 MPa."""
    assert EN.allowable_range(0.9, 150e6, 120e6, None, 0.95).value / 1e6 == pytest.approx(185.96, rel=1e-4)
    assert EN.allowable_range(0.9, 150e6, 120e6, [50e6], 0.95).value / 1e6 == pytest.approx([255.96], rel=1e-4)
    cold = EN.allowable_range(0.9, 150e6, 120e6, None, 1.05).value
    assert cold == EN.allowable_range(0.9, 150e6, 120e6, None, 1.0).value
    assert np.isnan(EN.allowable_range(0.9, 150e6, 120e6, None, float("nan")).value)


@pytest.mark.source("EN 13480-3:2017 clause 12.3.3, from memory")
def test_limits():
    assert EN.limit_occasional(120e6, Event.EARTHQUAKE) == pytest.approx(144e6)
    assert EN.limit_occasional(120e6, Event.WIND) == pytest.approx(138e6)
    assert EN.limit_test(235e6) == pytest.approx(0.95 * 235e6)


def test_what_is_not_checked_is_said():
    assert any("creep" in note and "not checked" in note for note in EN.notes)
