"""ASME B31.1: hand evaluations of para. 104.8, from memory of the editions to 2018.

An NPS 8 Schedule 40 elbow, i = 2.4388, Z = 275 554 mm3, P = 2.5 MPa: P D/(4 t) = 16.741 MPa.
"""

import numpy as np
import pytest

from pipecalc.checks.stress import code
from pipecalc.checks.stress.interface import NO_OPTIONS, Event, Factors, Forces, Geometry

B31_1 = code("ASME B31.1", "2018")
ELBOW = Geometry.of(0.2191, 0.00818, 0.003)
FACTORS = Factors.of(2.4388, 2.0324, bend=True)
PRESSURE = np.array([2.5e6])
WEIGHT = Forces.of(1500.0, 900.0, 4200.0, 0.0)
HAND = pytest.mark.source("ASME B31.1-2018 para. 104.8, evaluated by hand")


@HAND
def test_sustained():
    """M_A = 4.2953 kN·m: 16.741 + 0.75 x 2.4388 x 4295.3/275.554 = 16.741 + 28.512 = 45.253 MPa."""
    found = B31_1.sustained(ELBOW, WEIGHT, FACTORS, PRESSURE, "2018", NO_OPTIONS)
    assert np.concatenate([found.axial, found.bending, found.total]) / 1e6 == pytest.approx(
        [16.741, 28.512, 45.253], rel=1e-4
    )


@HAND
def test_occasional_adds_resultants():
    """M_B = 2.5 kN·m: 16.741 + 1.8291 x (4295.3 + 2500)/275.554 = 61.848 MPa, whatever its direction."""
    quake = Forces.of(0.0, 0.0, 1500.0, 2000.0)
    back = Forces.of(0.0, 0.0, -1500.0, -2000.0)
    for event in (quake, back):
        found = B31_1.occasional(ELBOW, WEIGHT, event, FACTORS, PRESSURE, "2018", NO_OPTIONS)
        assert found.total / 1e6 == pytest.approx([61.848], rel=1e-4)


@HAND
def test_displacement_range():
    """M_C = sqrt(10^2 + 6^2 + 4^2) = 12.329 kN·m: 2.4388 x 12 329/275.554 = 109.12 MPa."""
    found = B31_1.displacement_range(ELBOW, Forces.of(5e3, 4e3, 10e3, 6e3), FACTORS, "2018")
    assert found.total / 1e6 == pytest.approx([109.12], rel=1e-4)
    assert found.axial == pytest.approx([0.0])


@pytest.mark.source("ASME B31.1-2018 para. 104.8.1, 104.8.2, 102.3.3(B), from memory")
def test_limits():
    assert B31_1.limit_sustained(120e6, 1.0) == 120e6
    assert B31_1.limit_occasional(120e6, Event.EARTHQUAKE) == pytest.approx(144e6)
    assert B31_1.limit_occasional(120e6, Event.WIND) == pytest.approx(138e6)
    assert B31_1.limit_test(240e6) == pytest.approx(216e6)


@pytest.mark.source("ASME B31.1-2018 para. 102.3.2(B), from memory")
def test_the_range_factor_is_never_above_one():
    f_m = B31_1.largest_cycle_factor(414e6, 200.0, "ferritic")
    assert B31_1.cycle_factor([100.0, 7000.0, 1e5], f_m, "2018") == pytest.approx([1.0, 1.0, 0.6], rel=1e-3)


def test_axial_force_does_not_enter_and_the_page_must_say_so():
    pulled = Forces.of(50e3, 900.0, 4200.0, 0.0)
    both = [B31_1.sustained(ELBOW, f, FACTORS, PRESSURE, "2018", NO_OPTIONS).total[0] for f in (WEIGHT, pulled)]
    assert both[0] == both[1]
    assert any("axial" in note for note in B31_1.notes)
