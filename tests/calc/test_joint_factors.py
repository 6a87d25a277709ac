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


def test_a_fillet_without_a_leg_has_no_factor():
    assert np.isnan(j.fillet_weld_intensification(0.005, 0.0))


@pytest.mark.parametrize(
    ("alpha", "D2", "t2"), [(radians(61), 0.2, 0.008), (0.2, 0.2, 0.0019), (-0.1, 0.2, 0.008), (0.2, 0.2, 0.0)]
)
def test_outside_its_limits_a_reducer_has_no_factor(alpha, D2, t2):
    assert np.isnan(j.reducer_intensification(alpha, D2, t2))
