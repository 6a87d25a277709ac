"""Stress equations with one factor on the resultant moment."""

import numpy as np
import pytest

from pipecalc.calc import resultant_stress as r

NAN = float("nan")


def test_the_resultant_does_not_know_directions():
    assert r.sustained_resultant(3.0, -4.0, 12.0) == pytest.approx(13.0)
    assert r.range_resultant(12.0, 3.0, 4.0) == pytest.approx(13.0)
    assert r.event_resultant(-4.0, 12.0, 3.0) == pytest.approx(13.0)


def test_an_event_without_moment_adds_nothing():
    alone = r.resultant_sustained_stress(2e6, 0.2, 0.008, 1.8, 5e3, 2e-4)
    assert r.resultant_occasional_stress(2e6, 0.2, 0.008, 1.8, 5e3, 0.0, 2e-4) == pytest.approx(alone)


def test_the_weight_term_has_three_quarters_of_the_factor_and_the_range_all_of_it():
    moment_part = r.resultant_sustained_stress(0.0, 0.2, 0.008, 4.0, 1e3, 1e-4)
    assert moment_part == pytest.approx(0.75 * r.resultant_stress_range(4.0, 1e3, 1e-4))


@pytest.mark.parametrize("i", [0.9, NAN])
def test_a_factor_below_one_gives_no_stress(i):
    assert np.isnan(r.resultant_sustained_stress(1e6, 0.2, 0.008, i, 1e3, 1e-4))
    assert np.isnan(r.resultant_stress_range(i, 1e3, 1e-4))
