"""Sustained stress: ASME B31.3 para. 320.2, eq. (23a) to (23d), allowances deducted.

Loads of the first row are those of ASME B31.3 Appendix S, example 1, node 20, as remembered; numbers by direct
arithmetic with the pressure stress P d^2/(D^2 - d^2). The other nodes take the moments of an independent solution
of the same system (node 20: 56 196 against 56 130 N·m as remembered).
"""

import numpy as np
import pytest

from pipecalc.checks.stress import code
from pipecalc.checks.stress.interface import NO_OPTIONS, Factors, Forces, Geometry, Options

CODE = pytest.mark.source("ASME B31.3 para. 320.2, eq. (23a) to (23d), from memory; Appendix S, example 1, node 20")
NODES = pytest.mark.source("ASME B31.3 Appendix S, example 1 (S301); stresses by 320.2 eq. (23a) to (23d)")
B31_3 = code("ASME B31.3", "2018")
STRAIGHT = Factors.of(1.0, 1.0, bend=False)
THIN = Options(thin_pressure=True)

# D, T, c [mm]; P [MPa]; F [N]; M_i, M_t [N·m]; i_i; A [mm²], Z [mm³]; S_p, S_p thin, S_a, S_b, S_t, S_L [MPa].
NODE_20 = (406.4, 9.53, 1.59, 3.795, 3270.0, 56130.0, 0.0, 1.0)
NODE_20_FOUND = (9939.28, 971143.0, 45.733, 48.561, 46.062, 57.798, 0.0, 103.86)
ELBOW = (219.1, 8.18, 3.0, 2.5, 1500.0, 4200.0, 900.0, 2.4388)
ELBOW_FOUND = (3481.22, 181880.0, 24.576, 26.436, 25.007, 42.238, 2.4742, 67.426)


def stress(D, T, c, P, F, M_i, M_t, i_i, options=NO_OPTIONS):
    geometry = Geometry.of(D * 1e-3, T * 1e-3, c * 1e-3)
    factors = Factors.of(i_i, 1.0, bend=True)
    return B31_3.sustained(geometry, Forces.of(F, M_t, M_i, 0.0), factors, np.array([P * 1e6]), "2018", options)


@CODE
@pytest.mark.parametrize(("given", "expected"), [(NODE_20, NODE_20_FOUND), (ELBOW, ELBOW_FOUND)])
def test_two_sections(given, expected):
    found, thin = stress(*given), stress(*given, options=THIN)
    A, Z = found.inputs["A_p"] * 1e6, found.inputs["Z"] * 1e9
    pressure = [found.inputs["S_p"], thin.inputs["S_p"]]
    parts = [*pressure, found.axial, found.bending, found.torsion, found.total]
    assert np.concatenate([A, Z, *(np.asarray(p) / 1e6 for p in parts)]) == pytest.approx(list(expected), rel=1e-3)


@CODE
def test_an_nps_6_elbow():
    """NPS 6 STD, c 3 mm, P 4 MPa, i_i 2.2639, i_o 1.8866: S_a 42.69, S_b 43.31, S_t 2.943, S_L 86.20 MPa."""
    geometry, factors = Geometry.of(0.1683, 0.00711, 0.003), Factors.of(2.2639, 1.8866, bend=True)
    found = B31_3.sustained(geometry, Forces.of(10e3, 500.0, 2e3, 1e3), factors, np.array([4e6]), "2022", NO_OPTIONS)
    parts = np.concatenate([found.axial, found.bending, found.torsion, found.total]) / 1e6
    assert parts == pytest.approx([42.69, 43.31, 2.943, 86.20], rel=2e-4)
    assert found.inputs["Z"] * 1e9 == pytest.approx([84949.0], rel=1e-5)


@NODES
def test_four_nodes_of_appendix_s_stay_within_the_hot_allowable():
    """Nodes 10, 20, 50 straight, elbow 30 with 0.75 x 3.2234 = 2.4176; the elbow's leg is in compression."""
    forces = Forces.of([3273.0, 3273.0, 3273.0, -19898.0], 0.0, [17285.0, 56196.0, 37924.0, 16343.0], 0.0)
    factors = Factors.of([1.0, 1.0, 1.0, 3.2234], [1.0, 1.0, 1.0, 2.6861], bend=[False, False, False, True])
    geometry = Geometry.of(np.full(4, 0.4064), 0.00953, 0.00159)
    found = B31_3.sustained(geometry, forces, factors, np.full(4, 3.795e6), "2018", NO_OPTIONS).total
    assert found / 1e6 == pytest.approx([63.861, 103.93, 85.114, 84.415], rel=1e-3)
    assert np.all(found <= B31_3.limit_sustained(130e6, 1.0))
