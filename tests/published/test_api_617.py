"""API 617, annex on nozzle loads, metric form; agreement with 1.85 times NEMA SM 23.

Equations as reproduced in public copies of three editions; component multipliers from memory.
"""

import pytest

from pipecalc.checks.nozzles import api_617, nema_sm_23
from pipecalc.checks.nozzles.interface import Connection, Item
from pipecalc.checks.nozzles.rotating import reduced_size

ANNEX = pytest.mark.source("API 617 (6th ed. App. G, 7th ed. annex E, 8th ed. annex F), metric form")
UP = (0.0, 0.0, 1.0)


@ANNEX
def test_a_10_inch_connection():
    """D_e = (400 + 254)/3 = 218 mm; 3000 + 1.09*2000 = 5180 N of 54.1*218 = 11 794 N."""
    one = Connection("N", 10.0, (0, 0, 0), (UP, UP, UP), (0.0, 0.0, 3000.0), (2000.0, 0.0, 0.0))
    rated = api_617.verdict(one, Item("C-1", "fixed")).rated
    assert (rated.demand, rated.limit, rated.ratio) == pytest.approx((5180, 11794, 0.439), rel=1e-3)


@ANNEX
@pytest.mark.parametrize(("size", "reduced"), [(150.0, 150.0), (200.0, 200.0), (254.0, 218.0), (500.0, 300.0)])
def test_reduced_sizes(size, reduced):
    assert reduced_size(size, 200.0) == pytest.approx(reduced)


@ANNEX
def test_the_form_is_1_85_times_nema_within_its_rounding():
    """NEMA's 3 F + M <= 500 D_e divided by 3 ft and raised by 1.85 is F + 1.09 M <= 54.1 D_e."""
    for ours, theirs in (
        (api_617.RULE.single, nema_sm_23.RULE.single),
        (api_617.RULE.combined, nema_sm_23.RULE.combined),
    ):
        assert ours.c * theirs.a == pytest.approx(1.85 * theirs.c, rel=5e-3)
        assert ours.b * theirs.a == pytest.approx(1.0, rel=5e-3)
    for name, value in api_617.RULE.per_size.items():
        assert value == pytest.approx(1.85 * nema_sm_23.RULE.per_size[name], rel=0.01)
