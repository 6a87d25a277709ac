"""A direction in a cell: an axis, a plan azimuth or a vector."""

import re
from math import cos, hypot, isfinite, radians, sin
from typing import Any

from pipecalc.model import Vector
from pipecalc.workbook.cells import Fault, plain, shown

_AXES: dict[str, Vector] = {
    **dict.fromkeys(("e", "east"), (1.0, 0.0, 0.0)),
    **dict.fromkeys(("w", "west"), (-1.0, 0.0, 0.0)),
    **dict.fromkeys(("n", "north"), (0.0, 1.0, 0.0)),
    **dict.fromkeys(("s", "south"), (0.0, -1.0, 0.0)),
    **dict.fromkeys(("u", "up"), (0.0, 0.0, 1.0)),
    **dict.fromkeys(("d", "down"), (0.0, 0.0, -1.0)),
}
_DECIMAL = r"[+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?"
_AZIMUTH = re.compile(rf"az\.?\s*({_DECIMAL})\s*(?:°|deg)?(?:[\s,;]*el\.?\s*({_DECIMAL})\s*(?:°|deg)?)?", re.I)
_VECTOR = re.compile(rf"\(?\s*({_DECIMAL})\s*[,;\s]\s*({_DECIMAL})\s*[,;\s]\s*({_DECIMAL})\s*\)?", re.I)
_DIRECTIONS = '"+E", "-N", "+U", "az 30", "az 30 el -15" or "0.6, 0.8, 0"'


def direction(value: Any) -> Vector | Fault:
    """A unit vector East, North, Up from an axis, a plan azimuth (clockwise from North) or a vector."""
    if not isinstance(value, str):
        return Fault("direction-unknown", f"{shown(value)} is no direction", _DIRECTIONS)
    text = plain(value)
    if axis := re.fullmatch(r"([+-]?)\s*([a-z]+)", text, re.I):
        return _axis(axis, text)
    if azimuth := _AZIMUTH.fullmatch(text):
        return _from_azimuth(float(azimuth[1]), float(azimuth[2] or 0.0), text)
    if vector := _VECTOR.fullmatch(text):
        return _unit_vector((float(vector[1]), float(vector[2]), float(vector[3])), text)
    return Fault("direction-unknown", f'"{text}" is no direction', _DIRECTIONS)


def _axis(match: re.Match[str], text: str) -> Vector | Fault:
    found = _AXES.get(match[2].lower())
    if found is None:
        return Fault("direction-unknown", f'"{text}" is no direction', _DIRECTIONS)
    if match[1] != "-":
        return found
    return (0.0 - found[0], 0.0 - found[1], 0.0 - found[2])


def _from_azimuth(azimuth: float, elevation: float, text: str) -> Vector | Fault:
    if not (-360.0 <= azimuth <= 360.0 and -90.0 <= elevation <= 90.0):
        return Fault("direction-unknown", f'"{text}" is out of range', "az -360 to 360, el -90 to 90")
    a, e = radians(azimuth), radians(elevation)
    return _unit_vector((sin(a) * cos(e), cos(a) * cos(e), sin(e)), text)


def _unit_vector(vector: Vector, text: str) -> Vector | Fault:
    length = hypot(*vector)
    if not isfinite(length) or length < 1e-12:
        return Fault("direction-unknown", f'"{text}" has no direction', _DIRECTIONS)
    # Sines of whole quadrants come out as 1e-16; an axis stays an axis.
    east, north, up = (c / length if abs(c / length) > 1e-15 else 0.0 for c in vector)
    return (east, north, up)
