"""The one interpolation of the package: linear, with an explicit rule at both ends."""

from math import nan
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pipecalc.calc.domain import inside

EndRule = Literal["hold", "refuse"]

# A limit typed in °F and converted to °C may miss the table's end by rounding alone.
END_TOLERANCE = 1e-6


def interpolate(
    x: ArrayLike,
    points: ArrayLike,
    values: ArrayLike,
    below: EndRule = "refuse",
    above: EndRule = "refuse",
) -> float:
    """Linear interpolation in a table; outside it NaN, unless the table says that its end value holds.

    There is no extrapolation. A NaN argument gives NaN.

    Args:
        x: Where to read the table, scalar or array of any shape.
        points: Abscissae, shape (n,), strictly increasing.
        values: Ordinates, shape (n,).
        below: Below the first point: "refuse" gives NaN, "hold" the first value.
        above: Above the last point: likewise.

    Returns:
        A float for a scalar x, an array of the shape of x otherwise.

    Raises:
        ValueError: The points do not increase or the lengths differ.
    """
    at, abscissae, ordinates = (np.asarray(a, dtype=float) for a in (x, points, values))
    must_increase(abscissae, ordinates)
    return read_between(at, abscissae, ordinates, below, above)


def read_between(
    at: NDArray[np.float64],
    abscissae: NDArray[np.float64],
    ordinates: NDArray[np.float64],
    below: EndRule,
    above: EndRule,
) -> float:
    """The same for a table that is known to increase, as every ``Curve`` is."""
    if not at.ndim:
        return _read_one(float(at), abscissae, ordinates, below, above)
    low, high = abscissae[0] - END_TOLERANCE, abscissae[-1] + END_TOLERANCE
    covered = (at >= low) | ((below == "hold") & (at < low))
    covered &= (at <= high) | ((above == "hold") & (at > high))
    return inside(covered, np.interp(at, abscissae, ordinates))


def _read_one(
    at: float, abscissae: NDArray[np.float64], ordinates: NDArray[np.float64], below: EndRule, above: EndRule
) -> float:
    """One number read with the arithmetic of ``np.interp``; arrays of no dimension take ten times as long."""
    first, last = abscissae.item(0), abscissae.item(-1)
    if not first - END_TOLERANCE <= at <= last + END_TOLERANCE:
        held = (at < first and below == "hold") or (at > last and above == "hold")
        if not held:
            return nan
    if at <= first or at >= last:
        return ordinates.item(0 if at <= first else -1)
    after = int(abscissae.searchsorted(at, "right"))
    x, y = abscissae.item(after - 1), ordinates.item(after - 1)
    return (ordinates.item(after) - y) / (abscissae.item(after) - x) * (at - x) + y


def neighbours(x: float, points: ArrayLike) -> tuple[int, ...]:
    """Indices of the table rows that a value at x is read from.

    Args:
        x: Scalar.
        points: Abscissae, shape (n,), strictly increasing.

    Returns:
        One index where x meets a row or lies beyond an end, two between rows, none for NaN.
    """
    table: NDArray[np.float64] = np.asarray(points, dtype=float)
    if np.isnan(x):
        return ()
    met = np.flatnonzero(np.abs(table - x) <= END_TOLERANCE)
    if met.size:
        return (int(met[0]),)
    after = int(np.searchsorted(table, x))
    if after in (0, table.size):
        return (min(after, table.size - 1),)
    return (after - 1, after)


def must_increase(points: NDArray[np.float64], values: NDArray[np.float64]) -> None:
    """Refuse a table whose points do not increase.

    Raises:
        ValueError: They do not, or the lengths differ.
    """
    if points.ndim != 1 or points.shape != values.shape or points.size == 0:
        raise ValueError("a table needs as many values as points, and at least one")
    if np.any(np.diff(points) <= 0):
        raise ValueError("table points must increase")
