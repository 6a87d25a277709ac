"""The quick check of ASME B31.3 para. 319.4.1(c), eq. (16): the printed constants, and three lines.

Both printed constants, 208 000 S_A/E_a (mm/m)² and 30 S_A/E_a (in/ft)², agree with public quotations of the
paragraph. The limit of 208.3 of the examples is the older fixed form 0.03 (in/ft)², D and y in mm, L and U in
m. Lines from memory, numbers by arithmetic.
"""

import pytest

from pipecalc.calc import quick_check as q

pytestmark = pytest.mark.source("ASME B31.3 para. 319.4.1(c), eq. (16)")


def test_the_si_constant_follows_from_the_us_one_by_units_alone():
    """30 (in/ft)² in (mm/m)²: one inch is 25.4 mm, one foot 0.3048 m."""
    derived = 30.0 * (25.4 / 0.3048) ** 2
    assert abs(derived - 208_333.3) < 0.1
    assert derived * q.MM_PER_M_SQUARED == pytest.approx(q.K_US)
    assert abs(derived / q.K_PRINTED_SI - 1) < 0.002


def test_both_printed_limits_agree_to_their_rounding():
    S_A, E_a = 205e6, 203.4e9
    assert q.quick_check_limit(S_A, E_a) == pytest.approx(q.quick_check_limit_us(S_A, E_a), rel=0.002)
    assert q.quick_check_limit(S_A, E_a) < q.quick_check_limit_us(S_A, E_a)


def test_the_older_fixed_limit_is_that_of_a_thousandth():
    assert q.quick_check_limit_us(1.0, 1000.0) / q.MM_PER_M_SQUARED == pytest.approx(208.3, rel=1e-3)


@pytest.mark.parametrize(
    ("D", "L", "U", "y", "value", "satisfied"),
    [
        (406.4, 30.5, 25.1509, 75.872, 1077.7, False),
        (168.3, 15.0, 10.8167, 25.96, 249.66, False),
        (88.9, 20.0, 14.1421, 20.365, 52.759, True),
    ],
)
def test_three_lines(D, L, U, y, value, satisfied):
    found = q.quick_check_value(D * 1e-3, y * 1e-3, L, U)
    assert found / q.MM_PER_M_SQUARED == pytest.approx(value, rel=1e-3)
    assert bool(found <= q.quick_check_limit_us(1.0, 1000.0)) is satisfied
