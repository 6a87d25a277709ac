"""NUREG/CR-1677 Vol. 1, Piping Benchmark Problems, Problem 1, pp. 24-47 (P. Bezler, M. Hartzman, M. Reich, 1980).

Through a workbook in US units: two anchors, two bends whose beginnings and ends are points of the line, lumped masses
on the Point loads sheet, pipe without weight of its own. Inputs and frequencies as repeated in a general
finite-element verification manual (case VM-NR1677-01-1). The frequencies prove the elbow factor (k = 1 gives 9 to 14
% more) and the masses. Tolerance 1 % on modes 1 to 3 and 2 % on modes 4 and 5 without shear deformation, 2.5 % with
it: the reference's shear coefficient is not known.
"""

from dataclasses import replace

import pytest

from pipecalc.analysis.modes import natural_modes
from tests.analysis.frame_plants import anchor, plant_of, rows, solve_plant

pytestmark = pytest.mark.source("NUREG/CR-1677 Vol. 1, 1980, Problem 1, pp. 24-47")

FREQUENCY = [28.515, 56.441, 82.947, 144.14, 166.26]
# lbf s²/in at points 2 to 10; the elbows' middles are points 4 and 8.
MASS = [0.03988, 0.05032, 0.02088, 0.01698, 0.01307, 0.01698, 0.01044, 0.01795, 0.01501]
POUND_FORCE_SECONDS = 386.0885826771654  # in/s²: one lbf s²/in in lb
INCH = 1 / 12  # ft, the unit of coordinates


def problem(shear, own_k=None):
    bend = {"turn": "bend", "bend_radius": 36.3, "own_k": own_k}
    lengths = [
        ("1", "2", "up", 54.45),
        ("2", "3", "up", 54.45),
        ("3", "4", "up", 36.3, bend),
        ("4", "5", "east", 36.3),
        ("5", "6", "east", 17.85),
        ("6", "7", "east", 17.85),
        ("7", "8", "east", 36.3, bend),
        ("8", "9", "north", 36.3),
        ("9", "10", "north", 20.5),
        ("10", "11", "north", 20.5),
    ]
    segments = [
        {"from_": a, "to": b, way: size * INCH, **(more[0] if more else {})} for a, b, way, size, *more in lengths
    ]
    book = rows(
        segments,
        [anchor("A", "1"), anchor("B", "11")],
        line={
            "outside_diameter": 7.289,
            "wall": 0.241,
            "operating_temperature": 70,
            "design_temperature": 300,
            "material": "Pipe of the problem",
        },
        project={"installation_temperature": 70, "shear_deformation": shear},
    )
    steel = {"material": "Pipe of the problem", "modulus": 24, "expansion": 6, "allowable": 20, "yield_strength": 30}
    book["Materials"] = [{**steel, "temperature": t, "density": 490, "source": "NUREG/CR-1677"} for t in (0, 70, 600)]
    book["Point loads"] = [
        {"load": f"M{n}", "line": "L", "point": str(n), "mass": mass * POUND_FORCE_SECONDS}
        for n, mass in enumerate(MASS, start=2)
    ]
    return weightless(plant_of(book, units="US"))


def weightless(plant):
    """The same plant of pipe without mass, which no workbook would accept."""
    line = plant.lines["L"]
    light = replace(line.material, density=0.0)
    segments = tuple(replace(s, material=light) for s in line.segments)
    return replace(plant, lines={"L": replace(line, material=light, segments=segments)})


def frequencies(*given):
    plant = problem(*given)
    return [m.frequency for m in natural_modes(solve_plant(plant).run, plant)][:5]


def test_frequencies_without_shear_deformation():
    found = frequencies("no")
    assert found[:3] == pytest.approx(FREQUENCY[:3], rel=0.01)
    assert found[3:] == pytest.approx(FREQUENCY[3:], rel=0.02)


def test_frequencies_with_shear_deformation():
    assert frequencies("yes") == pytest.approx(FREQUENCY, rel=0.025)


def test_without_elbow_factor_the_frequencies_are_missed():
    assert all(f > 1.07 * target for f, target in zip(frequencies("no", 1.0), FREQUENCY, strict=True))
