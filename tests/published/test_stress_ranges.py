"""Displacement stress range at elbows and the terminals of a system: ASME B31.3 para. 319.4.4, eq. (17) and (18).

The three elbows are recomputed by direct arithmetic with the equations to the 2018 edition, from memory of the
code, axial stress left out (axial force zero). The moments of ASME B31.3 Appendix S, example 1 (S301, 30 F to 500 F),
are an independent solution of the published system, which agrees with the published reactions to 1 %; the
stresses follow from them by hand with A = 11 882 mm2, Z = 1 151 925 mm3.
"""

import numpy as np
import pytest

from pipecalc.checks.stress import code
from pipecalc.checks.stress.interface import Factors, Forces, Geometry

ELBOWS = pytest.mark.source("ASME B31.3 para. 319.4.4 eq. (17), (18) and Appendix D, direct arithmetic")
APPENDIX_S = pytest.mark.source("ASME B31.3 Appendix S, example 1 (S301); stresses by 319.4.4 eq. (17), (18)")
B31_3 = code("ASME B31.3", "2018")

# D, T [mm]; M_i, M_o, M_t [kN·m]; i_i, i_o; S_b, S_t, S_E [MPa].
ROWS = [
    (219.1, 8.18, 10.0, 6.0, 4.0, 2.4388, 2.0324, 98.953, 7.2581, 100.01),
    (406.4, 9.53, 65.0, 20.0, 30.0, 3.2234, 2.6861, 187.77, 13.022, 189.57),
    (114.3, 8.56, 3.0, 0.0, 2.0, 1.4958, 1.2465, 64.111, 14.287, 70.19),
]


def stress_range(D, T, forces, factors):
    return B31_3.displacement_range(Geometry.of(D * 1e-3, T * 1e-3, 0.003), forces, factors, "2018")


@ELBOWS
@pytest.mark.parametrize(("D", "T", "M_i", "M_o", "M_t", "i_i", "i_o", "S_b", "S_t", "S_E"), ROWS)
def test_three_elbows(D, T, M_i, M_o, M_t, i_i, i_o, S_b, S_t, S_E):
    forces = Forces.of(0.0, M_t * 1e3, M_i * 1e3, M_o * 1e3)
    found = stress_range(D, T, forces, Factors.of(i_i, i_o, bend=True))
    assert found.bending / 1e6 == pytest.approx([S_b], rel=1e-3)
    assert found.torsion / 1e6 == pytest.approx([S_t], rel=1e-3)
    assert found.total / 1e6 == pytest.approx([S_E], rel=1e-3)


@ELBOWS
def test_an_nps_6_elbow_with_axial_force():
    """NPS 6 STD, R1 229 mm: S_b 146.66, S_t 10.774, S_a 1.389, S_E 149.61 MPa with i_a = i_t = 1."""
    forces, factors = Forces.of(5e3, 3e3, 8e3, 5e3), Factors.of(2.2639, 1.8866, bend=True)
    found = stress_range(168.3, 7.11, forces, factors)
    parts = np.concatenate([found.bending, found.torsion, found.axial, found.total]) / 1e6
    assert parts == pytest.approx([146.66, 10.774, 1.389, 149.61], rel=3e-4)


@APPENDIX_S
def test_the_range_of_appendix_s_is_worst_at_the_upper_elbow_and_just_exceeds_its_allowable():
    """Elbow ends 30 and 40 with i_i = 3.2234, anchor 50: 159.6, 205.6 and 81.9 MPa against 204.9 MPa, eq. (1a)."""
    forces = Forces.of(25001.0, 0.0, [56275.0, 72734.0, 91865.0], 0.0)
    factors = Factors.of([3.2234, 3.2234, 1.0], [2.6861, 2.6861, 1.0], bend=[True, True, False])
    found = stress_range(406.4, 9.53, forces, factors).total / 1e6
    assert found == pytest.approx([159.58, 205.63, 81.85], rel=1e-3)
    ksi = 6.894757293168e6
    allowed = B31_3.allowable_range(1.0, 20.0 * ksi, 18.9 * ksi, None, 1.0).value / 1e6
    assert allowed == pytest.approx(204.95, rel=1e-4)
    assert found.argmax() == 1
    assert found.max() > allowed
