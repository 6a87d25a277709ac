"""NEMA SM 23-1991 (R2002), part 8: two connections in US units.

Formulas as given in a public article on steam turbine forces and moments (piping-engineering.com); loads made up for
the check, expected values by direct arithmetic.
"""

import pytest

from pipecalc.checks.nozzles.interface import Connection, Item
from pipecalc.checks.nozzles.nema_sm_23 import RULE, limits, verdict

TEXT = pytest.mark.source("NEMA SM 23-1991 part 8, as given in a public article on steam turbine loads")
LBF, FT_LBF = 4.4482216152605, 1.3558179483314
UP = (0.0, 0.0, 1.0)
TURBINE = Item("T-1", "fixed")


def connection(nps, F, M):
    force, moment = tuple(LBF * f for f in F), tuple(FT_LBF * m for m in M)
    return Connection("N", nps, (0, 0, 0), (UP, UP, UP), force, moment)


@TEXT
@pytest.mark.parametrize(
    ("nps", "F", "M", "value", "limit", "ratio"),
    [
        (6.0, (300, -450, 200), (400, -250, 300), 2288.9, 3000.0, 0.763),
        (10.0, (-250, 350, -180), (-600, 300, 450), 2206.56, 4333.33, 0.5092),
    ],
    ids=["inlet", "exhaust"],
)
def test_each_connection(nps, F, M, value, limit, ratio):
    rated = verdict(connection(nps, F, M), TURBINE).rated
    assert rated.demand / FT_LBF == pytest.approx(value, rel=1e-3)
    assert rated.limit / FT_LBF == pytest.approx(limit, rel=1e-3)
    assert rated.ratio == pytest.approx(ratio, rel=1e-3)


@TEXT
def test_the_metric_constants():
    """500 ft·lbf/in = 26.689 N·m/mm and so on, from the SI form of the rule."""
    assert RULE.single.c == pytest.approx(26689, rel=1e-4)
    assert RULE.combined.c == pytest.approx(13345, rel=1e-4)
    assert (RULE.single.a, RULE.combined.a) == pytest.approx((0.9144, 0.6096))
    assert [v / 1e3 for v in RULE.per_size.values()] == pytest.approx(
        [8.756, 21.891, 17.513, 13.345, 6.672, 6.672], rel=1e-3
    )


@TEXT
def test_a_10_inch_connection_in_si():
    """F_R = 3000 N and M_R = 2000 N·m: 0.9144*3000 + 2000 = 4743 N·m of 5875 N·m."""
    one = Connection("N", 10.0, (0, 0, 0), (UP, UP, UP), (0.0, 0.0, 3000.0), (2000.0, 0.0, 0.0))
    rated = verdict(one, TURBINE).rated
    assert (rated.demand, rated.limit, rated.ratio) == pytest.approx((4743, 5875, 0.807), rel=1e-3)
    assert limits(one, TURBINE).moment == pytest.approx(5875, rel=1e-3)
