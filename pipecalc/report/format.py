"""Numbers and words as the note shows them: units, rounding, directions. The only place where the note rounds."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from math import isfinite

from pipecalc import units
from pipecalc.model import Vector
from pipecalc.units import Dimension

MINUS = "\u2212"
FIGURE_SPACE = "\u2007"
NONE = "–"


@dataclass(frozen=True, slots=True)
class Quantity:
    """How one kind of quantity is shown: unit and decimals in both systems.

    Attributes:
        ratio: Display factors (SI, US) of a pure number shown with a unit, such as a strain in mm/m; None otherwise.
    """

    dimension: Dimension
    si: str
    us: str
    si_digits: int
    us_digits: int
    ratio: tuple[float, float] | None = None


QUANTITIES: Mapping[str, Quantity] = {
    "coordinate": Quantity(Dimension.LENGTH, "m", "ft", 3, 3),
    "length": Quantity(Dimension.LENGTH, "m", "ft", 3, 2),
    "dimension": Quantity(Dimension.LENGTH, "mm", "ft", 0, 2),
    "size": Quantity(Dimension.LENGTH, "mm", "in", 1, 3),
    "wall": Quantity(Dimension.LENGTH, "mm", "in", 2, 3),
    "movement": Quantity(Dimension.LENGTH, "mm", "in", 2, 3),
    "force": Quantity(Dimension.FORCE, "N", "lbf", 0, 0),
    "moment": Quantity(Dimension.MOMENT, "N·m", "ft·lbf", 0, 0),
    "stress": Quantity(Dimension.STRESS, "MPa", "ksi", 1, 2),
    "modulus": Quantity(Dimension.STRESS, "GPa", "Msi", 1, 2),
    "wind pressure": Quantity(Dimension.STRESS, "Pa", "psf", 0, 1),
    "pressure": Quantity(Dimension.PRESSURE, "barg", "psig", 2, 1),
    "temperature": Quantity(Dimension.TEMPERATURE, "°C", "°F", 1, 1),
    "density": Quantity(Dimension.DENSITY, "kg/m3", "lb/ft3", 1, 2),
    "mass": Quantity(Dimension.MASS, "kg", "lb", 1, 1),
    "mass per length": Quantity(Dimension.MASS_PER_LENGTH, "kg/m", "lb/ft", 2, 2),
    "stiffness": Quantity(Dimension.STIFFNESS, "N/mm", "lbf/in", 1, 1),
    "angular stiffness": Quantity(Dimension.ANGULAR_STIFFNESS, "N·m/deg", "in·lbf/deg", 1, 1),
    "area": Quantity(Dimension.AREA, "cm2", "in2", 2, 2),
    "section modulus": Quantity(Dimension.SECTION_MODULUS, "cm3", "in3", 1, 2),
    "frequency": Quantity(Dimension.FREQUENCY, "Hz", "Hz", 2, 2),
    "flexibility value": Quantity(Dimension.FLEXIBILITY_VALUE, "(mm/m)²", "(in/ft)²", 1, 4),
    "strain": Quantity(Dimension.FRACTION, "mm/m", "in/100 ft", 3, 3, (1000.0, 1200.0)),
    "share": Quantity(Dimension.FRACTION, "%", "%", 1, 1, (100.0, 100.0)),
    "ratio": Quantity(Dimension.FRACTION, "", "", 3, 3, (1.0, 1.0)),
    "angle": Quantity(Dimension.ANGLE, "deg", "deg", 1, 1),
    "number": Quantity(Dimension.FRACTION, "", "", 3, 3, (1.0, 1.0)),
}

#: Quantity to show for the SI unit that a check names; a length is shown as a size.
BY_UNIT: Mapping[str, str] = {
    "m": "wall",
    "N": "force",
    "N*m": "moment",
    "Pa": "stress",
    "Pa (gauge)": "pressure",
    "degC": "temperature",
    "kg": "mass",
    "Hz": "frequency",
    "m*m/m**2": "flexibility value",
    "1": "number",
    "": "number",
}

#: Quantity and size in SI of the units that sentences carry.
_SPOKEN_UNITS: Mapping[str, tuple[str, float]] = {
    "mm": ("movement", 1e-3),
    "m": ("length", 1.0),
    "°C": ("temperature", 1.0),
    "N/mm": ("stiffness", 1e3),
    "N/m": ("stiffness", 1.0),
    "N·m": ("moment", 1.0),
    "N": ("force", 1.0),
    "kN": ("force", 1e3),
    "MPa": ("stress", 1e6),
    "kg": ("mass", 1.0),
}
_LONGEST_FIRST = "|".join(re.escape(unit) for unit in sorted(_SPOKEN_UNITS, key=len, reverse=True))
_SPOKEN = re.compile(rf"(?<![\w.\-{MINUS}])([-{MINUS}]?\d+(?:\.\d+)?) ({_LONGEST_FIRST})(?![\w/·])")

_RAISED = {"kg/m3": "kg/m³", "lb/ft3": "lb/ft³", "cm2": "cm²", "in2": "in²", "cm3": "cm³", "in3": "in³"}


@dataclass(frozen=True, slots=True)
class Display:
    """Shows quantities in one unit system, ``"SI"`` or ``"US"``."""

    system: str
    _lines: dict[str, tuple[float, float]] = field(default_factory=dict)

    def unit(self, quantity: str) -> str:
        """Unit as printed."""
        q = QUANTITIES[quantity]
        text = q.us if self.system == "US" else q.si
        return _RAISED.get(text, text)

    def digits(self, quantity: str) -> int:
        """Decimals as printed."""
        q = QUANTITIES[quantity]
        return q.us_digits if self.system == "US" else q.si_digits

    def value(self, quantity: str, value: float) -> float:
        """Value in the unit shown."""
        slope, start = self._line(quantity)
        return start + slope * value

    def number(self, quantity: str, value: float | None, digits: int | None = None) -> str:
        """Rounded number without its unit; a dash where there is none."""
        if value is None or not isfinite(value):
            return NONE
        places = self.digits(quantity) if digits is None else digits
        return fixed(self.value(quantity, value), places)

    def text(self, quantity: str, value: float | None) -> str:
        """Rounded number with its unit."""
        number, unit = self.number(quantity, value), self.unit(quantity)
        if number == NONE or not unit:
            return number
        return f"{number} {unit}"

    def triple(self, quantity: str, vector: Vector, digits: int | None = None, wide: int = 7) -> str:
        """Three numbers of equal width, so that a column of triples lines up."""
        return beside((self.number(quantity, v, digits) for v in vector), wide)

    def by_unit(self, si_unit: str, value: float) -> tuple[str, str]:
        """Number and unit for a value in an SI unit named by a check; shown as it is where the unit is unknown."""
        plain = si_unit.replace("·", "*").replace("^", "**")
        quantity = BY_UNIT.get(plain)
        if quantity is None:
            return significant(value), si_unit
        return self.number(quantity, value), self.unit(quantity)

    def words(self, text: str) -> str:
        """A sentence with the SI quantities in it shown in this unit system; SI text stays as it is."""
        if self.system != "US":
            return text
        return _SPOKEN.sub(lambda found: self._spoken(found[1], found[2]), text)

    def _spoken(self, number: str, unit: str) -> str:
        quantity, size = _SPOKEN_UNITS[unit]
        return self.text(quantity, float(number.replace(MINUS, "-")) * size)

    def _line(self, quantity: str) -> tuple[float, float]:
        """Slope and value at zero of the conversion, found once from two points."""
        if quantity not in self._lines:
            q = QUANTITIES[quantity]
            unit = q.us if self.system == "US" else q.si
            if q.ratio is not None:
                self._lines[quantity] = (q.ratio[self.system == "US"], 0.0)
            else:
                start, one = (float(units.convert_out(v, unit, q.dimension)) for v in (0.0, 1.0))
                self._lines[quantity] = (one - start, start)
        return self._lines[quantity]


def at(point: str) -> str:
    """Where a check was made, for a sentence: ``at 20``, ``from 20``."""
    return point if point.startswith("from ") else f"at {point}"


def fixed(value: float, digits: int) -> str:
    """A number with fixed decimals and a true minus sign; never a minus zero."""
    text = f"{value:.{digits}f}"
    if float(text) == 0.0:
        text = text.lstrip("-")
    return text.replace("-", MINUS)


def significant(value: float, digits: int = 4) -> str:
    """A number with so many significant digits; a power of ten only where it is very small or very large."""
    if not isfinite(value):
        return NONE
    text = f"{value:.{digits}g}"
    if "e" in text and 1e-4 <= abs(value) < 1e10:
        text = f"{float(text):.0f}"
    return text.replace("-", MINUS)


def beside(numbers: Iterable[str], wide: int = 6) -> str:
    """Numbers of equal width side by side, so that a column of them lines up."""
    return " ".join(n.rjust(wide, FIGURE_SPACE) for n in numbers)


def ratio(value: float) -> str:
    """A ratio to two decimals, rounded so that a value above 1 never reads as 1.00."""
    if not isfinite(value):
        return NONE
    if 1.0 < value < 1.005:
        return f"{value:.4f}"
    return f"{value:.2f}"


def size(display: Display, nps: float | None, outside_diameter: float) -> str:
    """Nominal size where known, else the outside diameter."""
    if nps is None:
        return f"OD {display.text('size', outside_diameter)}"
    return f"NPS {nps_text(nps)}"


def nps_text(nps: float) -> str:
    """Nominal pipe size with its fraction: 1.5 reads 1 1/2."""
    whole, rest = int(nps), nps - int(nps)
    eighths = round(rest * 8)
    if abs(rest * 8 - eighths) > 1e-6:
        return f"{nps:g}"
    fractions = {0: "", 1: "1/8", 2: "1/4", 3: "3/8", 4: "1/2", 5: "5/8", 6: "3/4", 7: "7/8"}
    parts = [str(whole) if whole or not eighths else "", fractions[eighths]]
    return " ".join(p for p in parts if p)


_SIGNED = (("+E", 0, 1), ("−E", 0, -1), ("+N", 1, 1), ("−N", 1, -1), ("+U", 2, 1), ("−U", 2, -1))


def direction(vector: Vector) -> str:
    """A direction as ``+E``, or its three components where it follows no axis."""
    for words, axis, sign in _SIGNED:
        if vector[axis] * sign > 1 - 1e-9:
            return words
    return ", ".join(fixed(v, 3) for v in vector)
