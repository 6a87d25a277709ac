"""Equivalent cycles, stress range factor and allowable range: ASME B31.3 para. 302.3.5(d), eq. (1a) to (1d).

Example from memory of the 2004 and later text, numbers by direct arithmetic. The pair f = 0.60 (2020) and 0.43
(2022) at 100 000 cycles agrees with a published one-page comparison of both editions.
"""

import pytest

from pipecalc.calc import allowable_range as a

CODE = pytest.mark.source("ASME B31.3 para. 302.3.5(d), eq. (1a) to (1d), from memory")
COMPARISON = pytest.mark.source("published comparison of f in ASME B31.3-2020 and 2022")


@CODE
def test_three_ranges_and_both_forms_of_the_allowable():
    N = a.equivalent_cycles([100e6, 60e6, 30e6], [7000, 20000, 50000], "2018")
    f = a.cycle_factor(N, "2018", 1.0)
    assert pytest.approx(8676.7, rel=1e-3) == N
    assert f == pytest.approx(0.97832, rel=1e-3)
    assert a.allowable_range_basic(f, 138e6, 130e6) / 1e6 == pytest.approx(200.56, rel=1e-3)
    assert a.allowable_range_liberal(f, 138e6, 130e6, 60e6) / 1e6 == pytest.approx(269.04, rel=1e-3)


@CODE
@pytest.mark.parametrize(("N", "f"), [(7000, 1.0), (22000, 0.8122), (100000, 0.6)])
def test_factor_of_the_older_editions(N, f):
    assert a.cycle_factor(N, "2020", 1.0) == pytest.approx(f, rel=1e-3)


@COMPARISON
@pytest.mark.parametrize(("edition", "f"), [("2018", 0.60), ("2020", 0.60), ("2022", 0.43), ("2024", 0.43)])
def test_factor_at_100_000_cycles_before_and_after_the_change(edition, f):
    assert a.cycle_factor(1e5, edition, 1.0) == pytest.approx(f, abs=0.005)


@CODE
def test_the_basic_range_of_appendix_s():
    """ASME B31.3 Appendix S, example 1: 1.25 S_c + 0.25 S_h = 29.725 ksi, S_c = 20.0 and S_h = 18.9 ksi, f = 1."""
    ksi = 6.894757293168e6
    assert a.allowable_range_basic(1.0, 20.0 * ksi, 18.9 * ksi) / ksi == pytest.approx(29.725)
