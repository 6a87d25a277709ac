"""Units at the edges: the only module that knows pint.

What people type is not what a units library parses, so the text is taken apart here and every word is looked
up among the spellings of the trade. A word is read as the column's dimension asks: ``lb`` is a mass in a mass
column and a force in a force column, ``C`` is a temperature in a temperature column and an interval in
``mm/m/C``. Words that stay ambiguous (``ton``) or that would be read wrongly (``kg`` as a force, ``bara`` as
a gauge pressure) are refused with a reason.
"""

import re
import sys
import unicodedata
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from difflib import get_close_matches
from enum import StrEnum
from functools import cache, lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pipecalc.units_words import POUNDS, REFUSED, REFUSED_AS_FORCE, TEMPERATURES, TON, WORDS

if TYPE_CHECKING:
    import numpy as np
    import pint
    from numpy.typing import ArrayLike, NDArray

    Quantity = pint.Quantity[Any]


class Dimension(StrEnum):
    """Physical dimensions of workbook columns; the value is the base unit inside the program."""

    LENGTH = "m"
    AREA = "m**2"
    SECTION_MODULUS = "m**3"
    MASS = "kg"
    MASS_PER_LENGTH = "kg/m"
    DENSITY = "kg/m**3"
    FORCE = "N"
    FORCE_PER_LENGTH = "N/m (line load)"
    MOMENT = "N*m"
    PRESSURE = "Pa (gauge)"
    STRESS = "Pa"
    TEMPERATURE = "degC"
    TEMPERATURE_DIFFERENCE = "K"
    EXPANSION = "1/K"
    STIFFNESS = "N/m"
    ANGULAR_STIFFNESS = "N*m/rad"
    ANGLE = "rad"
    FREQUENCY = "Hz"
    FRACTION = "1"
    FLEXIBILITY_VALUE = "m*m/m**2"  # the quick check's D*y/(L-U)^2, (mm/m)^2 or (in/ft)^2


#: Base unit as an expression, what the dimension is called, and the spellings offered in messages.
_DIMENSIONS: dict[Dimension, tuple[str, str, tuple[str, ...]]] = {
    Dimension.LENGTH: ("meter", "a length", ("mm", "cm", "m", "in", "ft")),
    Dimension.AREA: ("meter**2", "an area", ("mm2", "cm2", "m2", "in2", "ft2")),
    Dimension.SECTION_MODULUS: ("meter**3", "a section modulus", ("mm3", "cm3", "m3", "in3")),
    Dimension.MASS: ("kilogram", "a mass", ("kg", "t", "lb")),
    Dimension.MASS_PER_LENGTH: ("kilogram/meter", "a mass per length", ("kg/m", "lb/ft")),
    Dimension.DENSITY: ("kilogram/meter**3", "a density", ("kg/m3", "g/cm3", "lb/ft3")),
    Dimension.FORCE: ("newton", "a force", ("N", "kN", "kgf", "lbf", "kip")),
    Dimension.FORCE_PER_LENGTH: ("newton/meter", "a force per length", ("N/m", "kN/m", "lbf/ft")),
    Dimension.MOMENT: ("newton*meter", "a moment", ("N·m", "kN·m", "kgf·m", "ft·lbf", "in·lbf")),
    Dimension.PRESSURE: ("pascal", "a gauge pressure", ("barg", "kPag", "MPag", "psig", "kgf/cm2")),
    Dimension.STRESS: ("pascal", "a stress", ("MPa", "N/mm2", "GPa", "Pa", "psi", "ksi", "Msi", "psf")),
    Dimension.TEMPERATURE: ("degree_Celsius", "a temperature", ("°C", "°F", "K")),
    Dimension.TEMPERATURE_DIFFERENCE: ("kelvin", "a temperature difference", ("K", "°C", "°F")),
    Dimension.EXPANSION: (
        "1/kelvin",
        "a coefficient of expansion",
        ("µm/m/K", "mm/m/°C", "1/K", "1e-6/K", "in/in/°F", "µin/in/°F"),
    ),
    Dimension.STIFFNESS: ("newton/meter", "a stiffness", ("N/mm", "kN/mm", "N/m", "lbf/in", "kip/in")),
    Dimension.ANGULAR_STIFFNESS: (
        "newton*meter/radian",
        "a stiffness against turning",
        ("N·m/deg", "N·m/rad", "in·lbf/deg", "ft·lbf/deg"),
    ),
    Dimension.ANGLE: ("radian", "an angle", ("deg", "rad")),
    Dimension.FREQUENCY: ("hertz", "a frequency", ("Hz", "1/s")),
    Dimension.FRACTION: ("", "a plain number", ("%", "1")),
    Dimension.FLEXIBILITY_VALUE: ("", "a flexibility value", ("(mm/m)²", "(in/ft)²")),
}

_MASS_LIKE = (Dimension.MASS, Dimension.MASS_PER_LENGTH, Dimension.DENSITY)

_FORCE_LIKE = (
    Dimension.FORCE,
    Dimension.FORCE_PER_LENGTH,
    Dimension.MOMENT,
    Dimension.PRESSURE,
    Dimension.STRESS,
    Dimension.STIFFNESS,
    Dimension.ANGULAR_STIFFNESS,
)

_TEMPERATURE = re.compile(r"(?:°|deg(?:rees?)?\.?)?\s*(c|f|k|r|celsius|centigrade|fahrenheit|kelvin|rankine)\.?", re.I)
_INTERVAL = re.compile(r"(?:°|\bdeg(?:rees?)?\.?)\s*([CFKR])(?![A-Za-z])", re.I)
_GAUGE = re.compile(
    r"(?P<unit>[kKmMhG]?bar|k?psi|[kMGh]?Pa|kgf?/cm\^?2|(?:mm|in|m|ft)Aq)"
    r"[\s._-]*\(?(?P<kind>g|ga|gauge|gage|a|abs|absolute)\.?\)?",
    re.I,
)
_TOKEN = re.compile(
    r"\s*(?:(?P<number>10\^?-\d+|\d+(?:\.\d+)?(?:[eE][+-]?\d+)?)"
    r"|(?P<word>[A-Za-zμ]+|°|%|\"|''|'|\#)(?P<power>(?:\^|\*\*)?-?\d)?"
    r"|(?P<close>\))(?P<group_power>(?:\^|\*\*)?-?\d)?"
    r"|(?P<open>\()|(?P<divide>/)|(?P<times>\*(?!\*)|·|⋅|×|\.|-))"
)


@dataclass(frozen=True, slots=True)
class UnitProblem:
    """Why a unit does not fit.

    Attributes:
        code: ``unit-unknown`` or ``unit-dimension``.
        reason: What is wrong with it.
        accepted: What the dimension accepts, several spellings.
        hint: The nearest accepted spelling, or empty.
    """

    code: str
    reason: str
    accepted: str
    hint: str = ""

    def __str__(self) -> str:
        """The whole on one line."""
        parts = (self.reason, f"accepted: {self.accepted}", self.hint)
        return "; ".join(p for p in parts if p)


class UnitError(ValueError):
    """A unit does not fit a dimension; ``problem`` says why."""

    def __init__(self, problem: UnitProblem) -> None:
        super().__init__(str(problem))
        self.problem = problem


def convert_in(values: "ArrayLike", unit: str, dimension: Dimension) -> "NDArray[np.float64]":
    """A whole column from its unit to the base unit at once.

    Args:
        values: Numbers in ``unit``, any shape.
        unit: As typed in the workbook; blank only for plain numbers.
        dimension: Dimension of the column.

    Raises:
        UnitError: The unit is unknown or of another dimension.
    """
    import numpy as np

    factor, offset = _scale(unit, dimension)
    with np.errstate(over="ignore"):  # infinity is refused by the bounds of the column
        return np.asarray(values, dtype=float) * factor + offset


def convert_out(values: "ArrayLike", unit: str, dimension: Dimension) -> "NDArray[np.float64]":
    """Numbers in the base unit shown in another unit; the inverse of :func:`convert_in`."""
    import numpy as np

    factor, offset = _scale(unit, dimension)
    return (np.asarray(values, dtype=float) - offset) / factor


def number_out(value: float, unit: str, dimension: Dimension) -> float:
    """One number, as ``convert_out`` gives it; an array for each takes ten times as long."""
    factor, offset = _scale(unit, dimension)
    return (value - offset) / factor


def scale_of(unit: str, dimension: Dimension) -> tuple[float, float]:
    """Factor and offset of a unit, for many numbers one by one: shown = (base - offset) / factor.

    Raises:
        UnitError: The unit is unknown or of another dimension.
    """
    return _scale(unit, dimension)


def unit_problem(unit: str, dimension: Dimension) -> UnitProblem | None:
    """What is wrong with a unit in a column of this dimension, None where it fits."""
    try:
        _scale(unit, dimension)
    except UnitError as found:
        return found.problem
    return None


def accepted_units(dimension: Dimension) -> tuple[str, ...]:
    """The usual spellings for a dimension, for messages and drop-down lists; more are understood."""
    return _DIMENSIONS[dimension][2]


_LONGEST = 60  # characters; the parser of expressions nests once for each factor


@lru_cache(maxsize=4096)
def _scale(unit: str, dimension: Dimension) -> tuple[float, float]:
    """Factor and offset from a unit to the base unit: base = factor * value + offset."""
    if len(unit) > _LONGEST:
        raise UnitError(_unknown(f"{unit[:_LONGEST]}...", dimension))
    text = _tidy(unit)
    if dimension is Dimension.TEMPERATURE:
        return _temperature_scale(text, unit)
    if dimension is Dimension.FRACTION and text in ("", "-", "1"):
        return 1.0, 0.0
    text = _without_gauge(text, unit, dimension)
    quantity, base = _quantity(text, unit, dimension), _evaluate(_DIMENSIONS[dimension][0])
    if quantity.dimensionality != base.dimensionality or _wrong_pure_number(text, dimension):
        raise UnitError(_mismatch(unit, quantity, dimension))
    factor = float((quantity / base).to_root_units().magnitude)
    if not 0.0 < factor < float("inf"):
        raise UnitError(_unknown(unit, dimension))
    return factor, 0.0


def _temperature_scale(text: str, unit: str) -> tuple[float, float]:
    match = _TEMPERATURE.fullmatch(text)
    if not match:
        raise UnitError(_mismatch(unit, _quantity(text, unit, Dimension.TEMPERATURE), Dimension.TEMPERATURE))
    scale, interval = TEMPERATURES[match[1].lower()]
    zero = _registry().Quantity(0.0, scale).to("degree_Celsius").magnitude
    return float(_evaluate(interval).to("kelvin").magnitude), float(zero)


def _without_gauge(text: str, unit: str, dimension: Dimension) -> str:
    match = _GAUGE.fullmatch(text)
    if not match or dimension not in (Dimension.PRESSURE, Dimension.STRESS):
        return text
    if dimension is Dimension.STRESS:
        reason = f'"{unit}" tells gauge from absolute, which a stress does not have'
        raise UnitError(UnitProblem("unit-dimension", reason, _listed(dimension)))
    if match["kind"].lower().startswith("a"):
        reason = f'"{unit}" is an absolute pressure, where gauge is needed; subtract the atmospheric pressure'
        raise UnitError(UnitProblem("unit-dimension", reason, _listed(Dimension.PRESSURE)))
    return match["unit"]


def _quantity(text: str, unit: str, dimension: Dimension) -> "Quantity":
    expression = _expression(_INTERVAL.sub(lambda m: m[1].upper(), text), unit, dimension)
    try:
        quantity = _evaluate(expression)
    except (ArithmeticError, ValueError):
        raise UnitError(_unknown(unit, dimension)) from None
    if dimension is Dimension.EXPANSION and quantity.dimensionality != _evaluate("1/kelvin").dimensionality:
        # "mm/m·K" is widely written for mm/(m·K); strictly read it is no coefficient, so one reading is left.
        head, slash, tail = expression.partition("/")
        return _evaluate(f"{head}/({tail})") if slash and "/" not in tail else quantity
    return quantity


def _evaluate(expression: str) -> "Quantity":
    registry = _registry()
    quantity: Quantity = registry.Quantity(1.0, "") * registry.parse_expression(expression or "1")
    return quantity


def _expression(text: str, unit: str, dimension: Dimension) -> str:
    """The unit as an expression of the definition file's names.

    Raises:
        UnitError: A word is unknown or refused, or the text is no unit.
    """
    parts: list[str] = []
    position, after_operand = 0, False
    while position < len(text):
        match = _TOKEN.match(text, position)
        if not match:
            raise UnitError(_unknown(unit, dimension))
        piece, is_operand, joins = _piece(match, unit, dimension)
        if after_operand and match["number"]:
            raise UnitError(_unknown(unit, dimension))
        if after_operand and joins:
            parts.append("*")
        follows = _TOKEN.match(text, match.end())
        if match["number"] and parts[-1:] == ["/"] and follows and follows["word"]:
            piece = f"({piece}*{_piece(follows, unit, dimension)[0]})"  # "in/100 ft": 100 belongs to the foot
            match = follows
        parts.append(piece)
        position, after_operand = match.end(), is_operand
    if not after_operand or parts.count("(") != sum(p.startswith(")") for p in parts):
        raise UnitError(_unknown(unit, dimension))
    return "".join(parts)


def _piece(match: re.Match[str], unit: str, dimension: Dimension) -> tuple[str, bool, bool]:
    """A token as text, whether it is an operand, and whether it is multiplied with an operand before it."""
    if match["number"]:
        return re.sub(r"^10\^?-", "1e-", match["number"]), True, True
    if match["word"]:
        return f"({_word(match['word'], unit, dimension)}){_power(match['power'])}", True, True
    if match["close"]:
        return f"){_power(match['group_power'])}", True, False
    if match["open"]:
        return "(", False, True
    return ("/" if match["divide"] else "*"), False, False


def _power(text: str | None) -> str:
    return f"**{text.lstrip('^*')}" if text else ""


def _word(word: str, unit: str, dimension: Dimension) -> str:
    if dimension in _FORCE_LIKE and word in REFUSED_AS_FORCE:
        raise UnitError(_refused(unit, REFUSED_AS_FORCE[word], dimension))
    if word in REFUSED or word.lower() in ("ton", "tons"):
        raise UnitError(_refused(unit, REFUSED.get(word, TON), dimension))
    if word.lower() in POUNDS:
        return "pound" if dimension in _MASS_LIKE else "pound_force"
    if word.lower() == "plf":
        return f"{'pound' if dimension in _MASS_LIKE else 'pound_force'}/foot"
    found = WORDS.get(word) or _other_case().get(word.lower())
    if found is None:
        raise UnitError(_unknown(unit, dimension))
    return found


@cache
def _other_case() -> dict[str, str]:
    """Spellings that stay clear when capitals are ignored."""
    meanings: dict[str, set[str]] = {}
    for word, name in WORDS.items():
        meanings.setdefault(word.lower(), set()).add(name)
    return {word: names.pop() for word, names in meanings.items() if len(names) == 1}


def _tidy(unit: str) -> str:
    """The text with one character for each meaning; superscripts become digits."""
    text = unit.strip()
    for characters, plain in (("º˚∘", "°"), ("’′‘´", "'"), ("″”“", '"'), ("−–—", "-"), ("⁻", "-")):
        for character in characters:
            text = text.replace(character, plain)
    text = unicodedata.normalize("NFKC", text).replace("H2O", "Aq").replace("−", "-")
    text = re.sub(r"\bsq\.?\s*([a-z]+)", r"\g<1>2", text)
    text = re.sub(r"\bcu\.?\s*([a-z]+)", r"\g<1>3", text)
    text = re.sub(r"^[x×]\s*(?=10)", "", text)
    return text


def _wrong_pure_number(text: str, dimension: Dimension) -> bool:
    """Shares and flexibility values have no dimension; only the way they are written tells them apart."""
    if dimension is Dimension.FLEXIBILITY_VALUE:
        return re.fullmatch(r"\((mm/m|in/ft|m/m)\)\^?2", text) is None
    return dimension is Dimension.FRACTION and "/" in text


def _mismatch(unit: str, quantity: "Quantity", dimension: Dimension) -> UnitProblem:
    wanted = _DIMENSIONS[dimension][1]
    known = (d for d in Dimension if d not in (Dimension.FRACTION, Dimension.FLEXIBILITY_VALUE, Dimension.TEMPERATURE))
    names = [_DIMENSIONS[d][1] for d in known if _evaluate(_DIMENSIONS[d][0]).dimensionality == quantity.dimensionality]
    what = f" is {names[0]}," if names else ""
    hint = ""
    if dimension is Dimension.EXPANSION and quantity.dimensionless:
        hint = "a total expansion; divide it by the temperature difference and write mm/m/°C or in/in/°F"
    return UnitProblem("unit-dimension", f'"{unit}"{what} where {wanted} is needed', _listed(dimension), hint)


def _refused(unit: str, reason: str, dimension: Dimension) -> UnitProblem:
    return UnitProblem("unit-dimension", f'"{unit}" is refused: {reason}', _listed(dimension))


def _unknown(unit: str, dimension: Dimension) -> UnitProblem:
    offered = accepted_units(dimension)
    plain = {o.lower(): o for o in offered}
    near = get_close_matches(unit.strip().lower(), plain, n=1, cutoff=0.5)
    hint = f'did you mean "{plain[near[0]]}"?' if near else ""
    return UnitProblem("unit-unknown", f'"{unit}" is no known unit', _listed(dimension), hint)


def _listed(dimension: Dimension) -> str:
    return ", ".join(accepted_units(dimension))


@contextmanager
def _hidden(package: str) -> Iterator[None]:
    """Let a package seem absent unless it is loaded: pint would load it for a kind of array that never comes here."""
    if package in sys.modules:
        yield
        return
    sys.modules[package] = None  # type: ignore[assignment]
    try:
        yield
    finally:
        del sys.modules[package]


@cache
def _registry() -> "pint.UnitRegistry[Any]":
    # The default registry holds thousands of units, takes a tenth of a second longer and reads C as coulomb.
    with _hidden("dask"):
        import pint

    return pint.UnitRegistry(str(Path(__file__).with_name("units_trade.txt")))
