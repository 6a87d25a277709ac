"""Column widths: heads, words and numbers have room, and the shares asked for hold where they can."""

import pytest

from pipecalc.report.columns import SIZE, TABLE, column_shares
from pipecalc.report.parts import numeric, status, text, triple
from pipecalc.report.type_width import text_width


def test_shares_add_up_and_follow_what_is_asked_for():
    shares = column_shares([text("a", 10), text("b", 30), text("c", 60)], [("x", "y", "z")])
    assert shares == pytest.approx([0.1, 0.3, 0.6])


def test_a_long_head_gets_its_room():
    shares = column_shares([text("Direction", 1), text("Line/point", 1), text("Remark", 98)], [("+U", "a", "b")])
    for share, head in zip(shares, ("Direction", "Line/point"), strict=False):
        assert share * TABLE > text_width(head, SIZE, bold=True)


def test_a_number_is_never_wider_than_its_column():
    rows = [("1", "−1234567.89", "FAIL"), ("2", "0", "NOT APPLICABLE")]
    shares = column_shares([text("Case", 90), numeric("F", 5), status(5)], rows)
    assert shares[1] * TABLE > text_width("−1234567.89", SIZE)
    assert shares[2] * TABLE > text_width("NOT APPLICABLE", 2.33, bold=True)


def test_needs_that_together_are_too_wide_are_scaled():
    wide = "9" * 60
    shares = column_shares([triple("a", 1), triple("b", 1), text("c", 1)], [(wide, wide, "word")])
    assert sum(shares) == pytest.approx(1.0)
    assert min(shares) > 0


def test_a_head_over_all_columns_does_not_count():
    rows = [("a very long head over all of the columns of the table",), ("1", "2")]
    assert column_shares([text("a", 1), text("b", 1)], rows) == pytest.approx([0.5, 0.5])
