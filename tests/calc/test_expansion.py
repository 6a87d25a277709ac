"""Thermal growth and restrained thrust."""

import numpy as np
import pytest

from pipecalc.calc import expansion


def test_growth_of_a_hot_and_of_a_cold_line():
    assert expansion.free_growth(2.4e-3, 8.0) == pytest.approx(0.0192)
    assert expansion.free_growth(-1e-3, 8.0) < 0


def test_coefficient_and_strain_are_each_others_inverse():
    for dT in (180.0, -50.0):
        eps = expansion.strain_from_coefficient(12e-6, dT)
        assert expansion.mean_coefficient(eps, dT) == pytest.approx(12e-6)
    assert np.isnan(expansion.mean_coefficient(1e-3, 0.0))


def test_a_held_hot_pipe_is_compressed_and_pushes_outwards():
    stress = expansion.restrained_stress(200e9, 1e-3)
    assert stress == pytest.approx(-200e6)
    assert expansion.restrained_thrust(200e9, 3.6e-3, 1e-3) == pytest.approx(-stress * 3.6e-3)
    assert np.isnan(expansion.restrained_thrust(200e9, -1.0, 1e-3))


def test_resultant_does_not_know_signs():
    assert expansion.resultant(-3.0, 4.0, -12.0) == pytest.approx(13.0)
