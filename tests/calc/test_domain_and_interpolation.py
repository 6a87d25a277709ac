"""Outside its range a value is NaN; a table's ends follow a stated rule."""

import numpy as np
import pytest

from pipecalc.calc.domain import inside, power, quotient, square_root
from pipecalc.calc.interpolation import interpolate, neighbours

POINTS, VALUES = np.array([10.0, 20.0, 40.0]), np.array([1.0, 3.0, 2.0])


def test_between_rows_it_is_linear():
    assert interpolate(25.0, POINTS, VALUES) == pytest.approx(2.75)


@pytest.mark.parametrize("x", [9.99, 40.01, float("nan"), float("inf"), -float("inf")])
def test_outside_the_table_is_refused(x):
    assert np.isnan(interpolate(x, POINTS, VALUES))


def test_each_end_holds_only_if_it_is_told_to():
    assert interpolate(0.0, POINTS, VALUES, below="hold") == 1.0
    assert np.isnan(interpolate(50.0, POINTS, VALUES, below="hold"))
    assert interpolate(50.0, POINTS, VALUES, above="hold") == 2.0


def test_holding_does_not_make_a_number_of_nothing():
    assert np.isnan(interpolate(float("nan"), POINTS, VALUES, "hold", "hold"))


def test_rounding_of_a_unit_conversion_does_not_leave_the_table():
    assert interpolate((1100.0 - 32.0) / 1.8 + 1e-9, [0.0, (1100.0 - 32.0) / 1.8], [1.0, 5.0]) == 5.0


def test_arrays_keep_their_shape():
    read = interpolate(np.array([[5.0, 10.0], [20.0, 41.0]]), POINTS, VALUES)
    np.testing.assert_array_equal(read, [[np.nan, 1.0], [3.0, np.nan]])


@pytest.mark.parametrize(
    ("points", "values"), [([1.0, 1.0], [0.0, 1.0]), ([2.0, 1.0], [0.0, 1.0]), ([1.0], [1.0, 2.0]), ([], [])]
)
def test_a_table_out_of_order_is_a_mistake(points, values):
    with pytest.raises(ValueError, match="table"):
        interpolate(1.0, points, values)


@pytest.mark.parametrize(("x", "rows"), [(20.0, (1,)), (15.0, (0, 1)), (5.0, (0,)), (99.0, (2,)), (float("nan"), ())])
def test_the_rows_a_value_comes_from(x, rows):
    assert neighbours(x, POINTS) == rows


def test_a_scalar_stays_a_float_and_an_array_an_array():
    assert isinstance(inside(True, 2.0), float)
    np.testing.assert_array_equal(inside(np.array([True, False]), np.array([1.0, 2.0])), [1.0, np.nan])


def test_no_ratio_root_or_power_raises_or_warns():
    assert quotient(6.0, 3.0) == 2.0
    assert np.isnan(quotient(1.0, 0.0))
    assert np.isnan(quotient(1.0, -2.0))
    assert np.isnan(square_root(-1.0))
    assert square_root(9.0) == 3.0
    assert np.isnan(power(0.0, -0.2))
    assert power(8.0, 1 / 3) == pytest.approx(2.0)
