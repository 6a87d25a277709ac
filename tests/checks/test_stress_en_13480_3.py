"""EN 13480-3: what no number of its published check says; see ``pipecalc/verification/sources``."""

import numpy as np

from pipecalc.checks.stress import code

EN = code("EN 13480-3", "2017")


def test_without_the_ratio_of_moduli_there_is_no_allowable_range():
    assert np.isnan(EN.allowable_range(0.9, 150e6, 120e6, None, float("nan")).value)


def test_what_is_not_checked_is_said():
    assert any("creep" in note and "not checked" in note for note in EN.notes)
