"""Short ways to declare columns of the common dimensions, with their usual units."""

from dataclasses import replace
from typing import Any

from pipecalc.schema.column import Column, Kind
from pipecalc.units import Dimension

#: Dimension, usual SI unit and usual US unit of each quantity.
UNITS: dict[str, tuple[Dimension, str, str]] = {
    "coordinate": (Dimension.LENGTH, "m", "ft"),
    "size": (Dimension.LENGTH, "mm", "in"),
    "mass": (Dimension.MASS, "kg", "lb"),
    "density": (Dimension.DENSITY, "kg/m3", "lb/ft3"),
    "mass per length": (Dimension.MASS_PER_LENGTH, "kg/m", "lb/ft"),
    "force": (Dimension.FORCE, "N", "lbf"),
    "load": (Dimension.FORCE, "kN", "kip"),
    "moment": (Dimension.MOMENT, "N·m", "ft·lbf"),
    "pressure": (Dimension.PRESSURE, "barg", "psig"),
    "wind pressure": (Dimension.STRESS, "Pa", "psf"),
    "stress": (Dimension.STRESS, "MPa", "ksi"),
    "modulus": (Dimension.STRESS, "GPa", "Msi"),
    "temperature": (Dimension.TEMPERATURE, "°C", "°F"),
    "expansion": (Dimension.EXPANSION, "µm/m/K", "µin/in/°F"),
    "stiffness": (Dimension.STIFFNESS, "N/mm", "lbf/in"),
    "angular stiffness": (Dimension.ANGULAR_STIFFNESS, "N·m/deg", "in·lbf/deg"),
    "area": (Dimension.AREA, "cm2", "in2"),
    "share": (Dimension.FRACTION, "%", "%"),
    "frequency": (Dimension.FREQUENCY, "Hz", "Hz"),
    "flexibility value": (Dimension.FLEXIBILITY_VALUE, "(mm/m)²", "(in/ft)²"),
}


def measured(quantity: str, title: str, key: str, meaning: str, **more: Any) -> Column:
    """A number with a unit; ``quantity`` is one of the words above."""
    dimension, si, us = UNITS[quantity]
    kind = more.pop("kind", Kind.NUMBER)
    return Column(title, key, meaning, kind, dimension, si, us, **more)


def number(title: str, key: str, meaning: str, **more: Any) -> Column:
    """A plain number without unit."""
    return Column(title, key, meaning, Kind.NUMBER, Dimension.FRACTION, "", "", **more)


def text(title: str, key: str, meaning: str, **more: Any) -> Column:
    """Free text."""
    return Column(title, key, meaning, Kind.TEXT, width=more.pop("width", 18.0), **more)


def tag(title: str, key: str, meaning: str, **more: Any) -> Column:
    """A name declared in this column."""
    return Column(title, key, meaning, Kind.TAG, **more)


def reference(title: str, key: str, meaning: str, *refers_to: str, **more: Any) -> Column:
    """A name declared in one of the columns given as ``"Sheet.key"``."""
    return Column(title, key, meaning, Kind.REFERENCE, refers_to=refers_to, **more)


def choice(title: str, key: str, meaning: str, *words: str, **more: Any) -> Column:
    """One of the given words."""
    return Column(title, key, meaning, Kind.CHOICE, words=words, width=more.pop("width", 16.0), **more)


def yes_no(title: str, key: str, meaning: str, **more: Any) -> Column:
    """Yes or no."""
    return Column(title, key, meaning, Kind.YES_NO, words=("yes", "no"), **more)


def nps(title: str, key: str, meaning: str, **more: Any) -> Column:
    """A nominal pipe size."""
    return Column(title, key, meaning, Kind.NPS, **more)


def remark(width: float = 28.0) -> Column:
    """The user's own words on a row."""
    return text("Remark", "remark", "Free text; printed with the inputs.", width=width)


def result(column: Column) -> Column:
    """The same column as a result: titled "Result: ...", written by a run and never read."""
    return replace(column, title=f"Result: {column.title}", result=True)
