"""Factors of welds, flanges, reducers and other joints."""

from math import radians

import numpy as np
import pytest

from pipecalc.calc import joint_factors as j


def test_every_entry_says_where_it_comes_from_and_none_is_below_one():
    for entry in j.JOINTS.values():
        assert entry.i >= 1
        assert entry.k >= 1
        assert "Table D300" in entry.source


def test_an_unknown_joint_is_refused_with_those_there_are():
    with pytest.raises(LookupError, match="threaded joint"):
        j.joint_factor("misaligned weld")


def test_a_small_fillet_is_worse_and_a_full_one_keeps_the_least():
    assert j.fillet_weld_intensification(0.005, 0.005) == pytest.approx(2.1)
    assert j.fillet_weld_intensification(0.005, 0.020) == 1.3
    assert np.isnan(j.fillet_weld_intensification(0.005, 0.0))


def test_a_reducer_by_hand():
    """30 degrees, D/t = 25: 0.5 + 0.01 x 30 x 5 = 2.0; 20 degrees: 1.5; a slight cone: 1."""
    assert j.reducer_intensification(radians(30), 0.2, 0.008) == pytest.approx(2.0)
    assert j.reducer_intensification(radians(20), 0.2, 0.008) == pytest.approx(1.5)
    assert j.reducer_intensification(radians(5), 0.2, 0.008) == 1.0
    assert j.reducer_intensification(radians(55), 0.2, 0.008) == 2.0


@pytest.mark.parametrize(
    ("alpha", "D2", "t2"), [(radians(61), 0.2, 0.008), (0.2, 0.2, 0.0019), (-0.1, 0.2, 0.008), (0.2, 0.2, 0.0)]
)
def test_outside_its_limits_a_reducer_has_no_factor(alpha, D2, t2):
    assert np.isnan(j.reducer_intensification(alpha, D2, t2))
