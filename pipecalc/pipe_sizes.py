"""Pipe sizes: outside diameters and walls of ASME B36.10M and B36.19M, from the ``fluids`` library.

Sizes are always asked for by NPS: asked by diameter, the library answers with the next larger pipe without a
word. A combination that the standards do not list raises ``UnknownSizeError``. The library is imported on the
first question only.
"""

import re
from difflib import get_close_matches
from functools import cache
from typing import Any, cast

# Schedule names of the two standards; the library also holds plastic and other pipe under further names.
_B36_10M = ("5", "10", "20", "30", "40", "60", "80", "100", "120", "140", "160", "STD", "XS", "XXS")
_B36_19M = ("5S", "10S", "40S", "80S")
SCHEDULES = _B36_10M + _B36_19M

# ASME B36.10M: DN of each NPS. DN is a name, not a measure: it is never converted by 25.4.
NPS_OF_DN: dict[int, float] = {
    6: 0.125, 8: 0.25, 10: 0.375, 15: 0.5, 20: 0.75, 25: 1.0, 32: 1.25, 40: 1.5, 50: 2.0, 65: 2.5, 80: 3.0,
        90: 3.5,
    100: 4.0, 125: 5.0, 150: 6.0, 200: 8.0, 250: 10.0, 300: 12.0, 350: 14.0, 400: 16.0, 450: 18.0, 500: 20.0,
    550: 22.0, 600: 24.0, 650: 26.0, 700: 28.0, 750: 30.0, 800: 32.0, 850: 34.0, 900: 36.0, 950: 38.0, 1000:
        40.0,
    1050: 42.0, 1100: 44.0, 1150: 46.0, 1200: 48.0,
}  # fmt: skip

_SPELLINGS = {"STANDARD": "STD", "S": "STD", "EXTRASTRONG": "XS", "EH": "XS", "DOUBLEEXTRASTRONG": "XXS"}


class UnknownSizeError(LookupError):
    """No such pipe in ASME B36.10M or B36.19M; the message says what there is instead."""


def outside_diameter(nps: float, schedule: str = "STD") -> float:
    """Outside diameter of a pipe size.

    Args:
        nps: Nominal pipe size, such as 1.5.
        schedule: Decides between B36.10M and B36.19M, which differ by 0.1 mm at NPS 12.

    Returns:
        Outside diameter [m].

    Raises:
        UnknownSizeError: No such NPS, or not in this schedule.
    """
    if schedule == "STD":
        _must_be_known(nps)
    return _dimensions(nps, schedule)[0]


def wall(nps: float, schedule: str) -> float:
    """Nominal wall of a pipe size.

    Args:
        nps: Nominal pipe size, such as 1.5.
        schedule: ``40``, ``STD``, ``XS``, ``10S`` and so on, with or without the word "Sch".

    Returns:
        Wall thickness [m].

    Raises:
        UnknownSizeError: No such NPS or schedule, or not this schedule at this NPS.
    """
    return _dimensions(nps, schedule)[1]


def schedules(nps: float) -> tuple[str, ...]:
    """Schedules that exist for an NPS, in the order of SCHEDULES; none for an unknown NPS."""
    return tuple(s for s in SCHEDULES if nps in _walls(s))


@cache
def sizes() -> tuple[float, ...]:
    """All NPS known, ascending."""
    return tuple(sorted({nps for schedule in SCHEDULES for nps in _walls(schedule)}))


def nps_from_dn(dn: float) -> float:
    """NPS of a DN.

    Raises:
        UnknownSizeError: No such DN.
    """
    if dn not in NPS_OF_DN:
        near = ", ".join(f"DN {d}" for d in sorted(NPS_OF_DN, key=lambda d: abs(d - dn))[:2])
        raise UnknownSizeError(f"DN {dn:g} is not in ASME B36.10M; nearest: {near}")
    return NPS_OF_DN[int(dn)]


def dn_from_nps(nps: float) -> int:
    """DN of an NPS.

    Raises:
        UnknownSizeError: No such NPS.
    """
    for dn, size in NPS_OF_DN.items():
        if size == nps:
            return dn
    raise UnknownSizeError(_no_such_nps(nps))


def schedule_name(text: str) -> str:
    """A schedule as the standards write it: ``Sch. 40`` is ``40``, ``std`` is ``STD``.

    Raises:
        UnknownSizeError: No such schedule; the message names the nearest.
    """
    name = re.sub(r"^SCH(EDULE)?\.?", "", re.sub(r"[\s_-]", "", str(text).upper()))
    name = _SPELLINGS.get(name, name)
    if name not in SCHEDULES:
        near = ", ".join(get_close_matches(name, SCHEDULES)) or ", ".join(SCHEDULES)
        raise UnknownSizeError(f"no schedule {text!r}; nearest: {near}")
    return name


def _dimensions(nps: float, schedule: str) -> tuple[float, float]:
    name = schedule_name(schedule)
    found = _walls(name).get(nps)
    if found is None:
        _must_be_known(nps)
        there = ", ".join(schedules(nps))
        raise UnknownSizeError(f"NPS {nps:g} has no schedule {name}; it has {there}")
    return found


def _must_be_known(nps: float) -> None:
    if nps not in sizes():
        raise UnknownSizeError(_no_such_nps(nps))


def _no_such_nps(nps: float) -> str:
    near = " and ".join(f"{n:g}" for n in sorted(sorted(sizes(), key=lambda n: abs(n - nps))[:2]))
    return f"NPS {nps:g} is not in ASME B36.10M or B36.19M; nearest: {near}"


@cache
def _walls(schedule: str) -> dict[float, tuple[float, float]]:
    """Outside diameter and wall [m] by NPS, for one schedule."""
    nps, _, outside, walls = cast(Any, _library())[schedule][:4]
    return {
        float(n): (round(float(d) / 1e3, 6), round(float(t) / 1e3, 6))
        for n, d, t in zip(nps, outside, walls, strict=True)
    }


def _library() -> object:
    from fluids.piping import schedule_lookup

    return schedule_lookup
