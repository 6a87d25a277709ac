"""Guided cantilever against beam theory and against a published worked rule.

(a) Young and Budynas, Roark's Formulas for Stress and Strain, 8th ed., Table 8.1: fixed and guided beam with an
imposed end displacement, F = 12 E I d/L³, and the cantilever with end load.
(b) G. M. Crews, The Guided Cantilever Method for Quickly Checking Piping Flexibility, parts 2 and 4, 2013: NPS
6 carbon steel at 500 °F, legs of 25 ft and 20 ft, L = 7.77 sqrt(y D) in ft and inches. The rule's lengths are
recomputed from its formula.
"""

from math import sqrt

import pytest

from pipecalc.calc import leg
from pipecalc.calc.section import moment_of_inertia

ROARK = pytest.mark.source("Roark's Formulas for Stress and Strain, 8th ed., Table 8.1")
CREWS = pytest.mark.source("Crews, The Guided Cantilever Method, 2013, parts 2 and 4")

INCH, FOOT, PSI = 0.0254, 0.3048, 6894.757293168

# D [mm], T [mm], L [m], delta [mm]; then I [mm4], F [N], M [N·m], S [MPa], and F, M with the far end free to turn.
LEGS = [
    (114.3, 6.02, 3.0, 15.0, 3_010_520, 4014.03, 6021.04, 114.3, 1003.51, 3010.52),
    (219.1, 8.18, 6.0, 25.0, 30_186_900, 8385.26, 25155.8, 91.2917, 2096.32, 12577.9),
    (323.9, 9.53, 5.0, 10.0, 116_379_000, 22344.8, 55862.0, 77.736, 5586.2, 27931.0),
]


@ROARK
@pytest.mark.parametrize(("D", "T", "L", "d", "I", "F", "M", "S", "F_free", "M_free"), LEGS)
def test_leg_with_guided_and_with_free_end(D, T, L, d, I, F, M, S, F_free, M_free):
    E, delta = 200e9, d * 1e-3
    inertia = moment_of_inertia(D * 1e-3, T * 1e-3)
    assert inertia * 1e12 == pytest.approx(I, rel=1e-4)
    assert leg.cantilever_force(E, inertia, L, delta) == pytest.approx(F, rel=1e-4)
    assert leg.cantilever_moment(E, inertia, L, delta) == pytest.approx(M, rel=1e-4)
    assert leg.cantilever_stress(E, D * 1e-3, L, delta) == pytest.approx(S * 1e6, rel=1e-4)
    assert leg.propped_force(E, inertia, L, delta) == pytest.approx(F_free, rel=1e-4)
    assert leg.propped_moment(E, inertia, L, delta) == pytest.approx(M_free, rel=1e-4)


@CREWS
@pytest.mark.parametrize(("diameter_in", "length_ft"), [(6.0, 19.033), (6.625, 19.999)])
def test_required_length_of_the_published_rule(diameter_in, length_ft):
    # 7.77 is sqrt(3 E/(144 S)) rounded, at E = 29 000 000 psi and S = 10 000 psi.
    found = leg.required_length(29e6 * PSI, diameter_in * INCH, 1.0 * INCH, 1.0, 10_000 * PSI) / FOOT
    assert found == pytest.approx(length_ft, rel=1e-3)
    assert found == pytest.approx(7.77 * sqrt(1.0 * diameter_in), rel=1e-3)


@CREWS
def test_the_printed_us_form_of_the_stress():
    # S = E D delta/(48 L²) with D and delta in inches and L in feet.
    E, D, delta, L = 29e6, 6.625, 1.5, 20.0
    us = E * D * delta / (48 * L**2)
    assert leg.cantilever_stress(E * PSI, D * INCH, L * FOOT, delta * INCH) / PSI == pytest.approx(us, rel=1e-12)
