"""ASME B31.3 Process Piping, Appendix S, para. S301, Example 1 (2008 and later editions), through a workbook.

NPS 16 standard weight, two anchors, one support, two elbows; the example's vertical axis is Up. Printed: Tables
S301.5.1 and S301.5.2, operating case. Inputs and printed results from memory, verify against the edition of record;
an independent beam and curved-beam solution agrees with all printed numbers within 0.3 % (1.3 % on the small reaction
at node 50), and gives the sustained case, the displacement range, and the answers without pressure stiffening that
the printed tables do not hold.

Tolerance: 1 % of the largest value of the same kind, the tolerance of the printed table's rounding and of the unit
weight (248.4 kg/m from the parts against 248.3 printed); the independent solution is met within 0.2 %.
"""

import numpy as np
import pytest

from tests.analysis.frame_plants import COLD, OPERATING, anchor, rows, solve_rows, support

pytestmark = pytest.mark.source("ASME B31.3 Appendix S, para. S301, Example 1, Tables S301.5.1 and S301.5.2")

RANGE = "range, operating to cold"
SHIFT = 12e-6  # chosen total strain from 20 °C, the base of mean coefficients, to the installation temperature of 21 °C
HOT, CHILLED = 3.62 / 1200 + SHIFT, -0.28 / 1200 + SHIFT  # inch per 100 ft of Table C-1, on the same base


def material(temperature, strain):
    mean = strain / (temperature - 20) * 1e6
    return {
        "material": "Carbon steel of the example",
        "temperature": temperature,
        "modulus": 203.4,
        "expansion": mean,
        "allowable": 130,
        "yield_strength": 240,
        "density": 7833.4,
        "source": "ASME B31.3 Table C-1 as used in Appendix S",
    }


def example(stiffening):
    book = rows(
        [
            {"from_": "10", "to": "15", "east": 6.1},
            {"to": "20", "east": 6.1},
            {"to": "30", "east": 3.05},
            {"to": "40", "up": 6.1},
            {"to": "45", "east": 3.05},
            {"to": "50", "east": 6.1},
        ],
        [anchor("A10", "10"), support("S20", "20", "rest"), anchor("A50", "50")],
        line={
            "outside_diameter": 406.4,
            "wall": 9.53,
            "material": "Carbon steel of the example",
            "fluid_density": 1000,
            "insulation_thickness": 127,
            "insulation_density": 176,
            "design_temperature": 260,
            "design_pressure": 37.95,
            "operating_temperature": 260,
            "operating_pressure": 34.5,
            "start_point": "10",
        },
        project={"installation_temperature": 21, "pressure_stiffening": stiffening},
        States=[{"state": "cold", "applies_to": "all", "temperature": -1, "pressure": 0, "fluid_density": 0}],
    )
    steps = [(-1, CHILLED), (21, SHIFT), (260, HOT)]
    return {**book, "Materials": [material(t, strain) for t, strain in steps]}


@pytest.fixture(scope="module")
def stiffened():
    return solve_rows(example("yes"))


@pytest.fixture(scope="module")
def plain():
    return solve_rows(example("no"))


def on_pipe(found, name, case):
    """Horizontal, vertical and anticlockwise action of a support on the pipe [N, N·m], as the example prints them."""
    force, moment = found.force(name, case), found.moment(name, case)
    return -force[0], -force[2], moment[1]


def close(found, expected, kinds, share):
    """Each value within a share of the largest of its kind."""
    for value, target, largest in zip(found, expected, kinds, strict=True):
        assert value == pytest.approx(target, abs=share * largest)


FORCE, MOMENT = 63050, 65320


def test_printed_reactions(stiffened):
    close(on_pipe(stiffened, "A10", OPERATING), (26500, 12710, 21520), (FORCE, FORCE, MOMENT), 0.01)
    close(on_pipe(stiffened, "S20", OPERATING)[:2], (0, 63050), (FORCE, FORCE), 0.01)
    close(on_pipe(stiffened, "A50", OPERATING), (-26500, -2810, 47480), (FORCE, FORCE, MOMENT), 0.01)


def test_printed_movements(stiffened):
    """In millimetres, printed to a tenth: node 15 and 20, and where the first elbow begins."""
    for point, expected in (("15", (18.3, 0, -1.3)), ("20", (36.7, 0, 0))):
        assert np.multiply(stiffened.move(point), 1e3) == pytest.approx(expected, abs=0.1)


def test_printed_moments_and_axial_force(stiffened):
    for ends, end, moment in (
        (("10", "15"), "from", 21520),
        (("10", "15"), "to", 10710),
        (("15", "20"), "to", 47560),
        (("20", "30"), "to", 57530),
        (("30", "40"), "from", 65320),
    ):
        member = stiffened.member(*ends, end)
        assert abs(member.bending_in_plane) == pytest.approx(moment, abs=0.01 * MOMENT)
    for ends in (("10", "15"), ("15", "20"), ("45", "50")):
        assert stiffened.member(*ends, "to").axial == pytest.approx(-26500, rel=0.01)


def test_sustained_case_of_the_independent_solution(stiffened):
    close(on_pipe(stiffened, "A10", COLD), (3273, 11664, 17285), (46215, 46215, 56196), 0.002)
    close(on_pipe(stiffened, "S20", COLD)[:2], (0, 46215), (46215, 46215), 0.002)
    close(on_pipe(stiffened, "A50", COLD), (-3273, 15114, -37924), (46215, 46215, 56196), 0.002)


def test_operating_case_without_stiffening_of_the_independent_solution(plain):
    close(on_pipe(plain, "A10", OPERATING), (23522, 12327, 19969), (61717, 61717, 58700), 0.002)
    close(on_pipe(plain, "S20", OPERATING)[:2], (0, 61717), (61717, 61717), 0.002)
    close(on_pipe(plain, "A50", OPERATING), (-23522, -1050, 41162), (61717, 61717, 58700), 0.002)


def test_displacement_range_without_stiffening_of_the_independent_solution():
    """Hot less chilled, the same contents in both so that weight cancels; the support stays closed: a linear range."""
    book = example("no")
    book["States"][0].pop("fluid_density")
    found = solve_rows(book)
    assert found.support["S20", "operating: cold"].acting
    start, far = found.member("10", "15", "from", RANGE), found.member("45", "50", "to", RANGE)
    assert abs(start.axial) == pytest.approx(22078, rel=0.002)
    assert abs(start.bending_in_plane) == pytest.approx(3428, abs=0.002 * 85865)
    assert abs(far.bending_in_plane) == pytest.approx(85865, rel=0.002)
    assert abs(found.member("30", "40", "from", RANGE).bending_in_plane) == pytest.approx(46850, abs=0.002 * 85865)
    # Movement from hot to chilled is the opposite of the solution's from chilled to hot.
    for point, expected in (("15", (19.77, 0, -0.68)), ("45", (-19.77, 0, 19.87))):
        assert np.multiply(found.move(point, RANGE), -1e3) == pytest.approx(expected, abs=0.05)
