"""Axes of nozzle-load standards in plant directions, East, North, Up, and the little vector arithmetic they need."""

from dataclasses import dataclass
from math import cos, hypot, nan, radians, sin, sqrt

from pipecalc.model import Vector

#: A direction this close to an axis counts as that axis; further off no row of a table is meant for it.
ALIGNED = radians(5.0)
UP: Vector = (0.0, 0.0, 1.0)


@dataclass(frozen=True, slots=True)
class Axes:
    """A standard's axes as unit vectors East, North, Up; NaN with a reason where they cannot be told."""

    X: Vector
    Y: Vector
    Z: Vector
    reason: str = ""


def no_axes(reason: str) -> Axes:
    """Axes that cannot be told."""
    nothing = (nan, nan, nan)
    return Axes(nothing, nothing, nothing, reason)


def shaft_axes(shaft: Vector | None, machine: str, vertical: str) -> Axes:
    """X along the shaft, the named axis Up, the third by the right-hand rule.

    Args:
        shaft: Direction of the shaft in either sense, any length; None where not given.
        machine: Its tag, for the reason.
        vertical: ``"Y"`` or ``"Z"``.

    Returns:
        The axes; NaN with a reason where the shaft is not given or not horizontal.
    """
    if shaft is None:
        return no_axes(f"the direction of the shaft of {machine} is not given")
    if not is_level(shaft):
        return no_axes(f"the shaft of {machine} is not horizontal")
    level = hypot(shaft[0], shaft[1])
    X = (shaft[0] / level, shaft[1] / level, 0.0)
    return Axes(X, cross(UP, X), UP) if vertical == "Z" else Axes(X, UP, cross(X, UP))


def is_level(direction: Vector) -> bool:
    """Whether a direction is horizontal within ``ALIGNED``; False for no direction at all."""
    length = norm(direction)
    return length > 0 and abs(direction[2]) <= length * sin(ALIGNED)


def is_along(direction: Vector, axis: Vector) -> bool:
    """Whether two unit vectors lie along each other in either sense, within ``ALIGNED``; False for NaN."""
    return abs(dot(direction, axis)) >= cos(ALIGNED)


def is_square(direction: Vector, axis: Vector) -> bool:
    """Whether two unit vectors are square to each other within ``ALIGNED``; False for NaN."""
    return abs(dot(direction, axis)) <= sin(ALIGNED)


def square_to(direction: Vector, axis: Vector) -> Vector:
    """The part of a direction that is square to a unit vector, as a unit vector; NaN where there is none."""
    along = dot(direction, axis)
    return unit(minus(direction, (along * axis[0], along * axis[1], along * axis[2])))


def unit(a: Vector) -> Vector:
    """A vector of length 1; NaN for one without length."""
    length = norm(a)
    return (a[0] / length, a[1] / length, a[2] / length) if length > 0 else (nan, nan, nan)


def dot(a: Vector, b: Vector) -> float:
    """Scalar product."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def cross(a: Vector, b: Vector) -> Vector:
    """Vector product a x b."""
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def norm(a: Vector) -> float:
    """Length of a vector."""
    return sqrt(dot(a, a))


def plus(a: Vector, b: Vector) -> Vector:
    """Sum a + b."""
    return (a[0] + b[0], a[1] + b[1], a[2] + b[2])


def minus(a: Vector, b: Vector) -> Vector:
    """Difference a - b."""
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])
