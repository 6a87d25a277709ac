"""Keeping a formula inside its range: outside, the result is NaN, never a clipped or made-up number."""

from typing import Any, cast

import numpy as np

_ONE_TRUTH = (bool, np.bool_)


def scalar(value: Any) -> float:
    """An array without dimensions as a float; any other array as it is.

    Scalars and arrays go through the same formulas; they are typed by their scalar form.
    """
    opened: Any = np.asarray(value, dtype=float)[()]
    return cast(float, opened)


def inside(condition: object, value: Any) -> float:
    """The value where the condition holds, NaN elsewhere.

    Args:
        condition: True or False; an array of them where the value is an array.
        value: Result of a formula [any unit], scalar or array.

    Returns:
        The value itself or NaN, element by element for arrays.
    """
    if isinstance(value, float) and isinstance(condition, _ONE_TRUTH):  # arrays of no dimension take ten times as long
        return np.float64(value if condition else np.nan)
    return scalar(np.where(np.asarray(condition, dtype=bool), value, np.nan))


def quotient(numerator: float, denominator: float) -> float:
    """A ratio that is NaN, not an exception or infinity, unless the denominator is above zero.

    Args:
        numerator: Scalar or array.
        denominator: Scalar or array; a length, an area, a stiffness: above zero wherever the formula makes
            sense.

    Returns:
        numerator / denominator, NaN where the denominator is not above zero.
    """
    if isinstance(numerator, float) and isinstance(denominator, float):
        return np.float64(numerator / denominator if denominator > 0 else np.nan)
    top, bottom = np.broadcast_arrays(np.asarray(numerator, float), np.asarray(denominator, float))
    out = np.full(top.shape, np.nan)
    np.divide(top, bottom, out=out, where=bottom > 0)
    return scalar(out)


def power(base: float, exponent: float) -> float:
    """A power that is NaN unless the base is above zero.

    Args:
        base: Scalar or array.
        exponent: Any real number.

    Returns:
        base**exponent, NaN where the base is not above zero.
    """
    b = np.asarray(base, float)
    return scalar(np.where(b > 0, np.where(b > 0, b, 1.0) ** exponent, np.nan))


def square_root(value: float) -> float:
    """A square root that is NaN, without a warning, below zero.

    Args:
        value: Scalar or array.

    Returns:
        sqrt(value), NaN where the value is negative.
    """
    v = np.asarray(value, float)
    return scalar(np.where(v >= 0, np.sqrt(np.abs(v)), np.nan))
