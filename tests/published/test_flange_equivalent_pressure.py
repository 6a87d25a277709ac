"""Equivalent pressure: M. W. Kellogg Co., Design of Piping Systems, 1956, as repeated in public training notes.

Cases recomputed: P_e = 16 M/(pi G³) + 4 F/(pi G²).
"""

import pytest

from pipecalc.calc.flange import equivalent_pressure, total_pressure

TEXT = pytest.mark.source("M. W. Kellogg Co., Design of Piping Systems, 1956, equivalent pressure")


@TEXT
@pytest.mark.parametrize(
    ("G", "F", "M", "P", "P_e", "total"),
    [
        (0.254, 8000.0, 6000.0, 2e6, 2.0226e6, 4.0226e6),
        (0.145, 2500.0, 1200.0, 1e6, 2.1561e6, 3.1561e6),
    ],
    ids=["NPS 8 class 300", "NPS 4 class 150"],
)
def test_two_joints(G, F, M, P, P_e, total):
    assert equivalent_pressure(M, F, G) == pytest.approx(P_e, rel=1e-3)
    assert total_pressure(P, M, F, G) == pytest.approx(total, rel=1e-3)


@TEXT
def test_a_third_joint():
    """G = 190 mm, 2.0 MPa, 4 kN·m, 8 kN: 5.252 MPa."""
    assert total_pressure(2e6, 4000.0, 8000.0, 0.190) == pytest.approx(5.252e6, rel=1e-3)
