"""ASME B31.1: what no number of its published check says; see ``pipecalc/verification/sources``."""

import numpy as np

from pipecalc.checks.stress import code
from pipecalc.checks.stress.interface import NO_OPTIONS, Factors, Forces, Geometry

B31_1 = code("ASME B31.1", "2018")
ELBOW = Geometry.of(0.2191, 0.00818, 0.003)
FACTORS = Factors.of(2.4388, 2.0324, bend=True)
PRESSURE = np.array([2.5e6])
WEIGHT = Forces.of(1500.0, 900.0, 4200.0, 0.0)


def test_axial_force_does_not_enter_and_the_page_must_say_so():
    pulled = Forces.of(50e3, 900.0, 4200.0, 0.0)
    both = [B31_1.sustained(ELBOW, f, FACTORS, PRESSURE, "2018", NO_OPTIONS).total[0] for f in (WEIGHT, pulled)]
    assert both[0] == both[1]
    assert any("axial" in note for note in B31_1.notes)
