"""One cell: what somebody typed, read as its column asks; units are named here but not converted.

Each function takes the cell's value and returns what it means, or a :class:`Fault` that says what is wrong. Numbers are
taken apart here, because "1 1/2 in" is one and a half inches and nothing else. A comma in a number is refused: it
may mean thousands or decimals. Dates are refused where no date belongs: a spreadsheet makes dates of "1-2" and "1/2".
"""

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from difflib import get_close_matches
from math import isfinite
from typing import Any

from pipecalc.problems import visible
from pipecalc.workbook.limits import MAX_VALUES

YES = ("yes", "y", "true", "1")
NO = ("no", "n", "false", "0")


@dataclass(frozen=True, slots=True)
class Fault:
    """Why a cell cannot be read.

    Attributes:
        code: Stable word of the problem.
        found: What is wrong, in the user's words.
        accepted: What would be accepted.
        hint: What to do.
    """

    code: str
    found: str
    accepted: str = ""
    hint: str = ""


@dataclass(frozen=True, slots=True)
class Amount:
    """A number with the unit typed in its own cell; ``unit`` is empty where the column's unit holds."""

    number: float
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Tolerance:
    """A mill tolerance: a share of the wall, or a length [m]."""

    value: float
    is_length: bool = False


@dataclass(frozen=True, slots=True)
class ValueList:
    """Values of a study, each as it would be typed in the cell that is varied."""

    typed: str
    items: tuple[str, ...]


def is_blank(value: Any) -> bool:
    """True for an empty cell and for one that holds blanks only."""
    return value is None or (isinstance(value, str) and not value.strip())


def shown(value: Any) -> str:
    """A cell's value in messages and in the note's tables of inputs."""
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, float | int):
        return f"{value:.12g}"
    if isinstance(value, datetime) and value.time() == time():
        return value.date().isoformat()
    return visible(" ".join(str(value).split()))


def name(value: Any) -> str | Fault:
    """Text or a tag; a number becomes its shortest text, so a point 10 is "10"."""
    if isinstance(value, date | time | timedelta):
        return _date_fault(value, "text", 'format the cell as text and type it again (points like "1-2" turn to dates)')
    if isinstance(value, bool):
        return Fault("cell-kind", f"{shown(value)} is a yes/no value", "text")
    return shown(value)


def reference(value: Any, words: Sequence[str]) -> str | Fault:
    """A name declared elsewhere, or one of the column's own words in the schema's spelling."""
    typed = name(value)
    if isinstance(typed, Fault):
        return typed
    return {_folded(w): w for w in words}.get(_folded(typed), typed)


def remark(value: Any) -> str:
    """Free text; anything may stand there."""
    return shown(value)


def amount(value: Any) -> Amount | Fault:
    """A number, with its own unit where one is typed behind it."""
    if isinstance(value, bool):
        return Fault("number-text", f"{shown(value)} is no number", "a number")
    if isinstance(value, date | time | timedelta):
        return _date_fault(value, "a number", "format the cell as a number and type it again")
    if isinstance(value, int | float):
        return _finite(float(value), shown(value))
    return _amount_of_text(str(value))


_LONGEST = 60  # characters of a number with its unit
_FRACTIONS = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_NUMBER = re.compile(
    r"(?P<sign>[+-]?)\s*"
    r"(?:(?P<whole>\d{1,6})(?:\s+|\s*-\s*))?(?P<over>\d{1,6})\s*/\s*(?P<under>\d{1,6})(?!\d)"
    r"|(?P<decimal>[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)"
)
_FEET = re.compile(
    r"(?P<sign>[+-]?)\s*(?P<feet>\d+(?:\.\d+)?)\s*(?:'|ft\.?|feet|foot)\s*-?\s*"
    r"(?P<inches>\d[\d\s./-]*)\s*(?:\"|''|in\.?|inch(?:es)?)",
    re.I,
)


def plain(text: str) -> str:
    """Text with ordinary quotation marks, minus signs, blanks and fractions."""
    for fraction, spelled in _FRACTIONS.items():
        text = text.replace(fraction, f" {spelled}")
    for characters, ordinary in (("−–—‐‑", "-"), ("’′‘", "'"), ("″”“", '"')):
        for character in characters:
            text = text.replace(character, ordinary)
    return " ".join(unicodedata.normalize("NFKC", text.replace("º", "°")).split())


def _amount_of_text(typed: str) -> Amount | Fault:
    text = plain(typed)
    if len(text) > _LONGEST:
        return _no_number(text[:_LONGEST] + "...")
    if feet := _FEET.fullmatch(text):
        return _feet_and_inches(feet, text)
    match = _NUMBER.match(text)
    if not match:
        return _no_number(text)
    rest = text[match.end() :]
    if re.match(r"\s*[,.]?\s*\d", rest) or rest.startswith((",", ".")):
        return _no_number(text)
    number = _value(match)
    if number is None:
        return Fault("number-text", f'"{text}" divides by zero', "a number")
    finite = _finite(number, text)
    return finite if isinstance(finite, Fault) else Amount(finite.number, rest.strip())


def _value(match: re.Match[str]) -> float | None:
    if match["decimal"]:
        return float(match["decimal"])
    if int(match["under"]) == 0:
        return None
    size = float(match["whole"] or 0) + int(match["over"]) / int(match["under"])
    return -size if match["sign"] == "-" else size


def _feet_and_inches(match: re.Match[str], text: str) -> Amount | Fault:
    inches = _amount_of_text(match["inches"])
    if isinstance(inches, Fault) or inches.unit:
        return _no_number(text)
    size = 12.0 * float(match["feet"]) + inches.number
    return Amount(-size if match["sign"] == "-" else size, "in")


def _finite(number: float, text: str) -> Amount | Fault:
    if not isfinite(number):
        return Fault("number-finite", f"{text} is not a finite number", "a finite number")
    return Amount(number)


def _no_number(text: str) -> Fault:
    if re.fullmatch(r"[+-]?(nan|inf(inity)?)", text, re.I):
        return Fault("number-finite", f"{text} is not a finite number", "a finite number")
    if re.search(r"\d\s*,\s*\d", text):
        hint = "a comma may mean thousands or decimals: write 1234.5, without separators"
        return Fault("number-comma", f'"{text}" holds a comma', "a number with a decimal point", hint)
    hint = "leave the cell empty if it does not apply" if len(text) < 5 and not re.search(r"\d", text) else ""
    return Fault("number-text", f'"{text}" is no number', "a number, with its own unit if wanted", hint)


def count(value: Any) -> int | Fault:
    """A whole number, not negative."""
    found = amount(value)
    if isinstance(found, Fault):
        return found
    if found.unit or found.number < 0 or found.number != int(found.number):
        return Fault("number-whole", f"{shown(value)} is no whole number", "a whole number, not negative")
    return int(found.number)


def yes_no(value: Any) -> bool | Fault:
    """Yes or no, also true/false."""
    word = shown(value).lower()
    if word in YES or word in NO:
        return word in YES
    return Fault("choice-unknown", f'"{shown(value)}" is neither yes nor no', "yes, no")


def choice(value: Any, words: Sequence[str]) -> str | Fault:
    """One of the words, in the schema's spelling; capitals, blanks and line breaks do not matter."""
    if isinstance(value, date | time | timedelta):
        return _date_fault(value, ", ".join(words), "")
    typed = shown(value)
    by_spelling = {_folded(w): w for w in words}
    found = by_spelling.get(_folded(typed))
    if found is not None:
        return found
    return Fault("choice-unknown", f'"{typed}" is not among the words', ", ".join(words), suggestion(typed, words))


def choices(value: Any) -> tuple[str, ...] | Fault:
    """Several names with ";" between, each once."""
    typed = name(value)
    if isinstance(typed, Fault):
        return typed
    parts = (" ".join(p.split()) for p in typed.split(";"))
    return tuple(dict.fromkeys(p for p in parts if p))


def suggestion(typed: str, words: Sequence[str]) -> str:
    """A question that offers the nearest of the words, or empty."""
    by_spelling = {_folded(w): w for w in words}
    near = get_close_matches(_folded(typed), by_spelling, n=1, cutoff=0.6)
    return f'did you mean "{by_spelling[near[0]]}"?' if near else ""


def _folded(text: str) -> str:
    return " ".join(text.casefold().replace("_", " ").split())


def nps(value: Any) -> float | Fault:
    """A pipe size: 6, "6", "1 1/2", 8", "NPS 8" or "DN 200"."""
    from pipecalc.pipe_sizes import UnknownSizeError, nps_from_dn

    if isinstance(value, str):
        text = plain(value)
        if dn := re.fullmatch(r"DN\s*(\d+)", text, re.I):
            try:
                return nps_from_dn(float(dn[1]))
            except UnknownSizeError as unknown:
                return Fault("nps-unknown", str(unknown), _NPS_ACCEPTED)
        value = re.sub(r"^NPS\s*", "", text, flags=re.I)
    found = amount(value)
    if isinstance(found, Fault):
        return Fault(found.code, found.found, _NPS_ACCEPTED, found.hint)
    return _size(found, shown(value))


_NPS_ACCEPTED = 'an NPS such as 6 or 1 1/2, or "DN 150"'


def _size(found: Amount, typed: str) -> float | Fault:
    from pipecalc.pipe_sizes import NPS_OF_DN, sizes

    if found.unit.lower() == "mm":
        return Fault("nps-unknown", f"{typed} is a measure, not a size", _NPS_ACCEPTED, f"DN {found.number:g}?")
    if found.unit.lower().rstrip(".") not in ("", '"', "''", "in", "inch"):
        return Fault("nps-unknown", f'"{typed}" is no pipe size', _NPS_ACCEPTED)
    if found.number in sizes():
        return found.number
    near = sorted(sorted(sizes(), key=lambda n: abs(n - found.number))[:2])
    hint = (
        f"did you mean DN {found.number:g}?" if found.number in NPS_OF_DN else f"nearest: {near[0]:g} and {near[1]:g}"
    )
    return Fault("nps-unknown", f"NPS {typed} does not exist", _NPS_ACCEPTED, hint)


def schedule(value: Any) -> str | Fault:
    """A schedule in the standards' spelling: 40, STD, XS, 10S."""
    from pipecalc.pipe_sizes import SCHEDULES, UnknownSizeError, schedule_name

    typed = name(value)
    if isinstance(typed, Fault):
        return typed
    try:
        return schedule_name(re.sub(r"^S(?=\d+S?$)", "", plain(typed).upper()).removesuffix("."))
    except UnknownSizeError:
        return Fault("schedule-unknown", f'"{typed}" is no schedule', ", ".join(SCHEDULES), _near_schedule(typed))


def _near_schedule(typed: str) -> str:
    from pipecalc.pipe_sizes import SCHEDULES

    if not typed.isdigit():
        return suggestion(typed, SCHEDULES)
    numbers = sorted((s for s in SCHEDULES if s.isdigit()), key=lambda s: abs(int(s) - int(typed)))
    return f"nearest: {numbers[0]}, {numbers[1]}"


def day(value: Any) -> date | Fault:
    """A date: a date cell, or text as year-month-day."""
    if isinstance(value, datetime):
        return value.date()
    if isinstance(value, date):
        return value
    typed = shown(value)
    try:
        return date.fromisoformat(typed) if isinstance(value, str) else _no_date(typed)
    except ValueError:
        return _no_date(typed)


def _no_date(typed: str) -> Fault:
    return Fault("date-unknown", f'"{typed}" is no date', "a date cell, or text such as 2025-03-14")


def density(value: Any, words: Sequence[str]) -> Amount | str | Fault:
    """A number with unit, or one of the words."""
    if isinstance(value, str):
        typed = plain(value)
        if typed.casefold() in words:
            return typed.casefold()
        found = amount(typed)
        if isinstance(found, Fault) and not re.search(r"\d", typed):
            accepted = "a number, or " + ", ".join(words)
            return Fault("choice-unknown", f'"{typed}" is no density', accepted, suggestion(typed, words))
        return found
    return amount(value)


def values(value: Any) -> ValueList | Fault:
    """Values of a study: "a; b; c" or "from : to : step", with one unit behind the last number."""
    if isinstance(value, date | time | timedelta):
        return _date_fault(value, _VALUES, 'format the cell as text and type it again ("1:5:1" turns to a time)')
    typed = shown(value)
    if ":" in typed:
        return _range(typed)
    items = tuple(" ".join(p.split()) for p in typed.split(";"))
    if not all(items):
        return Fault("values-unknown", f'"{typed}" has an empty value', _VALUES)
    if len(items) > MAX_VALUES:
        return Fault("values-many", f"{len(items):,} values", f"at most {MAX_VALUES:,}")
    return ValueList(typed, items)


_VALUES = '"a; b; c" or "from : to : step"'


def _range(typed: str) -> ValueList | Fault:
    parts = [amount(p) for p in typed.split(":")]
    sound = [p for p in parts if isinstance(p, Amount)]
    if len(parts) != 3 or len(sound) != 3 or sound[0].unit or sound[1].unit:
        return Fault("values-unknown", f'"{typed}" is no range', _VALUES)
    start, end, step = (p.number for p in sound)
    steps = (end - start) / step if step else -1.0
    if steps < 0 or steps > MAX_VALUES:
        return Fault("values-unknown", f'"{typed}" never ends, or has over {MAX_VALUES} values', _VALUES)
    numbers = (start + i * step for i in range(int(steps + 1e-9) + 1))
    return ValueList(typed, tuple(f"{n:.12g} {sound[2].unit}".strip() for n in numbers))


def _date_fault(value: Any, accepted: str, hint: str) -> Fault:
    kind = "date" if isinstance(value, date) else "time"
    return Fault("cell-date", f"{shown(value)} is a {kind}", accepted, hint)
