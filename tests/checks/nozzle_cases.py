"""Nozzles and items that the tests of nozzle standards share."""

from math import cos, radians, sin

from pipecalc.checks.nozzles.interface import Connection, Item

EAST, NORTH, UP = (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)
DOWN, WEST = (0.0, 0.0, -1.0), (-1.0, 0.0, 0.0)
NOTHING = (0.0, 0.0, 0.0)
PUMP = Item("P-1", "fixed", axis=EAST, centre=NOTHING)


def cross(a, b):
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def axes_of(outward):
    """R outward, L Up (North where R is vertical), C = R x L."""
    L = NORTH if abs(outward[2]) > 0.9 else UP
    return (outward, L, cross(outward, L))


def nozzle(outward=UP, nps=6.0, force=NOTHING, moment=NOTHING, name="N1", at=NOTHING, **more):
    return Connection(name, nps, at, axes_of(outward), force, moment, **more)


def about_up(vector, degrees):
    c, s = cos(radians(degrees)), sin(radians(degrees))
    return (c * vector[0] - s * vector[1], s * vector[0] + c * vector[1], vector[2])


def turned(connection, degrees):
    """The nozzle with its axes and loads, turned about Up."""
    axes = tuple(about_up(axis, degrees) for axis in connection.axes)
    at, force, moment = (about_up(v, degrees) for v in (connection.at, connection.force, connection.moment))
    return Connection(connection.name, connection.nps, at, axes, force, moment, connection.factor, connection.group)


def turned_item(item, degrees):
    centre = about_up(item.centre, degrees) if item.centre else None
    return Item(item.name, item.kind, about_up(item.axis, degrees), centre, item.exhaust)
