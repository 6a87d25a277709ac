"""EN 13480-3: what no number of its published check says; see ``pipecalc/verification/sources``."""

import numpy as np
import pytest

from pipecalc.checks.stress import code

EN = code("EN 13480-3", "2017")


@pytest.mark.source("EN 13480-3:2017 clause 12.1.3, from memory")
def test_the_ratio_of_moduli_does_not_raise_the_allowable_range_and_one_that_is_missing_gives_none():
    cold = EN.allowable_range(0.9, 150e6, 120e6, None, 1.05).value
    assert cold == EN.allowable_range(0.9, 150e6, 120e6, None, 1.0).value
    assert np.isnan(EN.allowable_range(0.9, 150e6, 120e6, None, float("nan")).value)


def test_what_is_not_checked_is_said():
    assert any("creep" in note and "not checked" in note for note in EN.notes)
