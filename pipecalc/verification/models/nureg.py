"""NUREG/CR-1677, Problem 1: natural frequencies, through the frame solver alone and through a workbook."""

from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np

from pipecalc.analysis.analyse import analyse
from pipecalc.calc.elbow import elbow_factors
from pipecalc.calc.frame import anchors, build_frame
from pipecalc.calc.modes import natural_modes
from pipecalc.model import Plant
from pipecalc.verification.models import Numbers
from pipecalc.verification.models.frames import tube
from pipecalc.verification.models.plants import anchor, plant_of, rows

_INCH, _POUND = 0.0254, 4.4482216152605
_PSI = _POUND / _INCH**2
_D, _T, _R = 7.289, 0.241, 36.3  # in
_POINTS = np.array([
    (0, 0, 0), (0, 54.45, 0), (0, 108.9, 0), (10.632, 134.568, 0), (36.3, 145.2, 0), (54.15, 145.2, 0),
    (72, 145.2, 0), (97.668, 145.2, 10.632), (108.3, 145.2, 36.3), (108.3, 145.2, 56.8), (108.3, 145.2, 77.3),
])  # fmt: skip
#: lbf s²/in at points 2 to 10; the elbows' middles are points 4 and 8.
_MASS = (0.03988, 0.05032, 0.02088, 0.01698, 0.01307, 0.01698, 0.01044, 0.01795, 0.01501)
_STANDARD_GRAVITY = 386.0885826771654  # in/s²: one lbf s²/in in lb


def _by_mode(frequencies: Sequence[float]) -> Numbers:
    return {f"mode {n}": float(f) for n, f in enumerate(frequencies[:5], start=1)}


def frame(shear: str) -> Numbers:
    """The frame solver alone, with or without shear deformation."""
    return _by_mode(frame_frequencies(elbow_factor(), 0.5 if shear == "yes" else np.inf))


def elbow_factor() -> float:
    """Flexibility factor of the elbows, from the program's own formula."""
    factors = elbow_factors(_T * _INCH, _R * _INCH, 0.5 * (_D - _T) * _INCH)
    return float(factors.k)


def frame_frequencies(k: float, shear_share: float) -> Sequence[float]:
    """Frequencies [Hz] for a flexibility factor and a share of the section that carries shear."""
    A, I = tube(_D * _INCH, _T * _INCH)
    centre, normal = np.full((10, 3), np.nan), np.full((10, 3), np.nan)
    centre[2:4], normal[2:4] = np.array((36.3, 108.9, 0)) * _INCH, (0, 0, -1)
    centre[6:8], normal[6:8] = np.array((72, 145.2, 36.3)) * _INCH, (0, -1, 0)
    points = _POINTS * _INCH
    # the printed middle points are rounded to a thousandth of an inch; put them on the circle
    for node, c in ((3, centre[2]), (7, centre[6])):
        points[node] = c + _R * _INCH * (points[node] - c) / np.linalg.norm(points[node] - c)
    model = build_frame(
        points, [(i, i + 1) for i in range(10)], E=24.0e6 * _PSI, A=A, I=I, J=2.0 * I, shear_area=shear_share * A,
        centre=centre, normal=normal, k_in=k, k_out=k,
    )  # fmt: skip
    masses = np.array((0.0, *_MASS, 0.0)) * _POUND / _INCH
    return [float(f) for f in natural_modes(model, anchors([0, 10]), masses).frequency]


def workbook(shear: str) -> Numbers:
    """The same through a workbook in US units."""
    return _by_mode(workbook_frequencies(shear, None))


@cache
def workbook_frequencies(shear: str, own_k: float | None) -> tuple[float, ...]:
    """Frequencies [Hz]; ``own_k`` in place of the elbows' own factor where given."""
    return tuple(mode.frequency for mode in analyse(_plant(shear, own_k)).modes)


def _plant(shear: str, own_k: float | None) -> Plant:
    bend = {"turn": "bend", "bend_radius": _R, "own_k": own_k}
    plain: dict[str, Any] = {}
    lengths = [
        ("1", "2", "up", 54.45, plain), ("2", "3", "up", 54.45, plain), ("3", "4", "up", 36.3, bend),
        ("4", "5", "east", 36.3, plain), ("5", "6", "east", 17.85, plain), ("6", "7", "east", 17.85, plain),
        ("7", "8", "east", 36.3, bend), ("8", "9", "north", 36.3, plain), ("9", "10", "north", 20.5, plain),
        ("10", "11", "north", 20.5, plain),
    ]  # fmt: skip
    name = "Pipe of the problem"
    book = rows(
        [{"from_": a, "to": b, way: inches / 12, **more} for a, b, way, inches, more in lengths],
        [anchor("A", "1"), anchor("B", "11")],
        line={
            "outside_diameter": _D, "wall": _T, "operating_temperature": 70, "design_temperature": 300,
            "material": name,
        },
        project={"installation_temperature": 70, "shear_deformation": shear},
        Point_loads=[
            {"load": f"M{n}", "line": "L", "point": str(n), "mass": mass * _STANDARD_GRAVITY}
            for n, mass in enumerate(_MASS, start=2)
        ],
    )  # fmt: skip
    steel = {
        "material": name, "modulus": 24, "expansion": 6, "allowable": 20, "yield_strength": 30, "density": 490,
        "source": "NUREG/CR-1677",
    }  # fmt: skip
    book["Materials"] = [{**steel, "temperature": t} for t in (0, 70, 600)]
    return _weightless(plant_of(book, units="US"))


def _weightless(plant: Plant) -> Plant:
    """The same plant of pipe without mass, which no workbook would accept."""
    line = plant.lines["L"]
    light = replace(line.material, density=0.0)
    segments = tuple(replace(s, material=light) for s in line.segments)
    return replace(plant, lines={"L": replace(line, material=light, segments=segments)})
