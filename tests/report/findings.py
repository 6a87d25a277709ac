"""Invented results for the invented plant: a FAIL, several PASS and a NOT CHECKED."""

from collections.abc import Iterator
from math import nan
from typing import Any

from plants import STEEL

from pipecalc.model import Plant
from pipecalc.problems import Address, note, warning
from pipecalc.results import (
    Advice,
    Assumption,
    Case,
    Check,
    Expansion,
    Leg,
    LineWeight,
    Loop,
    Movement,
    MovementTerm,
    NozzleLoad,
    PropertyUse,
    Restrained,
    Results,
    Status,
)

HOT = 1.65e-3  # total strain


def results(of: Plant) -> Results:
    return Results(
        cases=(
            Case("operating", "operating", "operating", "thermal movement and growth, operating state"),
            Case("range, installed to operating", "range", "operating", "displacement range for the leg check"),
        ),
        movements=tuple(_movements(of)),
        expansions=tuple(
            Expansion(s.line, s.start, s.end, "operating", 170.0, HOT, s.length, HOT * s.length)
            for x in of.lines.values()
            for s in x.segments
        ),
        legs=tuple(_legs()),
        restrained=(Restrained("H-2204", "8", "10", "East", "operating", 0.0132, 41000.0, 61e6, 205e6),),
        loops=(Loop("V-2101", "70", "80", "East", 0.0239, 2.62, 1.31),),
        weights=(
            LineWeight("V-2101", 42.5, 0.14, 10.5, 53.1, 85.4, 2480.0),
            LineWeight("H-2204", 28.3, 16.9, 8.7, 53.9, 55.6, 1790.0),
        ),
        nozzle_loads=tuple(_loads()),
        checks=tuple(_checks()),
        assumptions=(
            Assumption(
                "turns at 20, 40, 50", "long radius elbow", "the direction changes and no turn was given", "Segments!I3"
            ),
            Assumption("corners of legs", "kept from turning", "guided cantilever method", ""),
        ),
        properties=tuple(_properties()),
        messages=(
            warning("usual-range", Address("Lines", 4, 16), "operating temperature 170 °C is close to design"),
            note("default", Address("Segments", 5, 9), "turn of 90°", "long radius elbow", "the row names none"),
        ),
        advice=(
            Advice(
                "E-220/S1",
                "the last leg needs 3.40 m against 3.20 m; a stop at point 80 takes the rack's growth.",
                1.42,
            ),
        ),
        not_checked=(
            "Sustained, occasional and test stresses of the piping code.",
            "Loads on supports, lift-off and springs.",
        ),
    )


def _movements(of: Plant) -> Iterator[Movement]:
    for i, name in enumerate(of.nozzles):
        terms = (
            MovementTerm("skirt or saddle", 2.4, 5.2e-4, 0.0, 0.0, 1.25e-3, 60.0),
            MovementTerm("shell, first zone", 4.6, 1.63e-3, 0.0, 0.0, 7.5e-3, 168.0),
            MovementTerm("radius and projection", 1.3, 1.68e-3, 2.18e-3 * (-1) ** i, 0.0, 0.0, 172.0),
            MovementTerm("settlement", 0.0, 0.0, 0.0, 0.0, -3.0e-3),
        )
        east, north, up = (sum(getattr(t, a) for t in terms) for a in ("east", "north", "up"))
        yield Movement(name, "operating", east, north, up, terms)


LEG_INPUTS = {
    "E": 203e9,
    "E_load": 203e9,
    "D": 0.2191,
    "I": 3.018e-5,
    "L": 6.4,
    "delta": 0.0266,
    "i": 1.95,
    "S_A": 205e6,
    "f": 1.0,
    "S_c": 137.9e6,
    "S_h": 137.9e6,
    "N": 7000.0,
    "Delta": 0.0266,
}


#: Of the guided cantilever with these numbers: i 3 E D delta/L².
LEG_STRESS = 1.95 * 3 * 203e9 * 0.2191 * 0.0266 / 6.4**2


def _legs() -> Iterator[Leg]:
    rows = (
        ("V-2101", "80", "90", "East", "Up", 0.0266, 6.4, 5.06, LEG_STRESS, 0.84),
        ("V-2101", "40", "50", "East", "Up", 0.0081, 4.2, 2.91, 98.7e6, 0.48),
        ("V-2101", "50", "70", "East", "North", 0.0030, 12.0, 1.70, 4.1e6, 0.02),
        ("H-2204", "4", "5", "East", "Up", 0.0112, 4.5, 3.30, 110.2e6, 0.54),
        ("H-2204", "6", "7", "East", "North", 0.0051, 2.6, 2.60, 205.9e6, 1.004),
    )
    for name, start, end, direction, along, absorbs, length, needed, stress, ratio in rows:
        yield Leg(
            name,
            start,
            end,
            direction,
            along,
            absorbs,
            (absorbs, 0.0, 0.0),
            length,
            needed,
            7457.0,
            23860.0,
            stress,
            205e6,
            ratio,
            "operating",
            1.95,
            (start, end),
            ("PS-3", "E-220/S1"),
            (10,),
            {**LEG_INPUTS, "delta": LEG_INPUTS["delta"] * stress / LEG_STRESS},
        )


def _loads() -> Iterator[NozzleLoad]:
    yield NozzleLoad("D-201/V1", "operating", 1210, -3400, 820, 950, 2100, -3320, (3400, 820, 1210), (0, 0, 0))
    yield NozzleLoad("E-220/S1", "operating", -7457, 1204, 2310, 1800, -5680, 2890, (7457, 2310, 1204), (0, 0, 0))
    yield NozzleLoad("E-220/T1", "operating", 640, 1980, -720, 400, 1320, -880, (720, -640, 1980), (0, 0, 0))
    yield NozzleLoad("D-201/B1", "operating", 1500, 900, -310, 260, 410, 990, (1500, 310, 900), (0, 0, 0))


def check(
    name: str, subject: str, line_: str, point: str, demand: float, limit: float, unit: str, **more: Any
) -> Check:
    ratio = demand / limit
    status = Status.NOT_CHECKED if ratio != ratio else Status.FAIL if ratio > 1 else Status.PASS
    return Check(name, subject, line_, point, "operating", demand, limit, unit, ratio, status, **{"clause": "", **more})


WALL_INPUTS = {"P": 14e5, "D": 0.2191, "S": 137.9e6, "E": 1.0, "W": 1.0, "Y": 0.4, "c": 0.0015, "u": 0.125}


def wall_needed(diameter: float) -> float:
    """Nominal wall for WALL_INPUTS by B31.3 304.1.2 eq. (3a), 304.1.1 eq. (2) and the mill tolerance [m]."""
    return (14e5 * diameter / (2 * (137.9e6 + 14e5 * 0.4)) + 0.0015) / (1 - 0.125)


def _checks() -> Iterator[Check]:
    hand = "guided cantilever; limit ASME B31.3 302.3.5(d), eq. (1a)"
    yield check("leg flexibility (hand method)", "V-2101", "V-2101", "80 to 90", 172.3e6, 205e6, "Pa", clause=hand)
    yield check(
        "leg flexibility (hand method)",
        "H-2204",
        "H-2204",
        "6 to 7",
        205.9e6,
        205e6,
        "Pa",
        clause=hand,
        reason="screening only: a frame analysis decides",
    )
    for name, diameter, wall in (("V-2101", 0.2191, 0.00818), ("H-2204", 0.1683, 0.00711)):
        clause = "ASME B31.3 304.1.1 eq. (2), 304.1.2 eq. (3a)"
        yield check(
            "wall thickness",
            name,
            name,
            "from 10",
            wall_needed(diameter),
            wall,
            "m",
            clause=clause,
            inputs={**WALL_INPUTS, "D": diameter},
        )
    numbers = {"D": 0.2191, "y": 0.0412, "L": 49.4, "U": 26.1, "S_A": 205e6, "E_a": 203e9}
    yield Check(
        "quick check (319.4.1)",
        "V-2101",
        "V-2101",
        "10 to 100",
        "range, installed to operating",
        0.2191 * 0.0412 / (49.4 - 26.1) ** 2,
        2.1e-4,
        "m*m/m**2",
        nan,
        Status.NOT_APPLICABLE,
        "ASME B31.3 319.4.1(c), eq. (16)",
        reason="restraints between the ends",
        inputs=numbers,
        screening=True,
    )
    yield check(
        "nozzle load",
        "D-201/V1",
        "V-2101",
        "10",
        3400.0,
        9000.0,
        "N",
        set="VES-A",
        clause="drawing D-201-004 rev. 2; rule: each component",
        reason="FL governs",
    )
    yield check(
        "nozzle load",
        "E-220/S1",
        "V-2101",
        "100",
        9230.0,
        6500.0,
        "N*m",
        set="EXC-1",
        clause="data sheet E-220 rev. 1; rule: resultants",
        reason="moment governs",
    )
    yield check(
        "nozzle load",
        "E-220/T1",
        "H-2204",
        "1",
        2202.0,
        9000.0,
        "N",
        set="EXC-1",
        clause="data sheet E-220 rev. 1; rule: resultants",
        reason="force governs",
    )
    yield check("nozzle load", "D-201/B1", "H-2204", "12", nan, nan, "N", reason="no allowable set was named")


def _properties() -> Iterator[PropertyUse]:
    book = "ASME B31.3-2012 Table A-1M"
    for temperature, value in ((10.0, 203.5e9), (170.0, 194.1e9)):
        yield PropertyUse(STEEL, "modulus", temperature, value, "Pa", "ASME II-D 2007 Table TM-1", "confirmed")
    for temperature, value in ((10.0, -1.2e-4), (170.0, 1.74e-3)):
        yield PropertyUse(STEEL, "total strain", temperature, value, "m/m", "ASME II-D 2007 Table TE-1", "confirmed")
    yield PropertyUse(STEEL, "allowable stress", 200.0, 137.9e6, "Pa", book, "memory")
