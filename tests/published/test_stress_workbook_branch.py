"""Branch reinforcement of ASME B31.3 Appendix H, examples 1 and 3 (304.3.3), through a workbook in US units.

From memory. The printed numbers are rounded on the way, which shifts the areas by up to 1 %; the fillet welds of the
examples (0.055 in2 and less) are not counted here.
"""

from math import cos, radians, sin

import pytest
from stress_books import anchor, book, stresses

EXAMPLE_1 = pytest.mark.source(
    "ASME B31.3 Appendix H, example 1: NPS 4 on NPS 8, Schedule 40, API 5L Grade A, 300 psig"
)
EXAMPLE_3 = pytest.mark.source("ASME B31.3 Appendix H, example 3: NPS 6 at 60 degrees on NPS 16, 12 in. pad, 500 psig")
INCH = 0.0254


def example(strength, header, leg, pressure, angle, **tee):
    along = {"east": 6 * cos(radians(angle)), "north": 6 * sin(radians(angle))}
    runs = [{"from_": "1", "to": "2", "east": 10.0, **tee}, {"from_": "2", "to": "3", "east": 10.0},
            {"line": "B", "from_": "L/2", "to": "9", **along}]  # fmt: skip
    common = {"design_pressure": pressure, "corrosion_allowance": 0.10, "material": "Pipe of the example",
              "design_temperature": 400, "operating_temperature": 70}  # fmt: skip
    pipe = [{"material": "Pipe of the example", "temperature": t, "modulus": 29.0, "expansion": 6.5,
             "allowable": strength, "yield_strength": 30, "density": 490, "source": "ASME B31.3 Appendix H"}
            for t in (-20, 70, 700)]  # fmt: skip
    rows = book(
        runs,
        [anchor("A", "1"), anchor("B", "3")],
        line={"outside_diameter": header[0], "wall": header[1], **common},
        lines=[{"line": "B", "outside_diameter": leg[0], "wall": leg[1], **common}],
    )
    rows["Materials"] = pipe
    return stresses(rows, units="US").at("branch reinforcement")


@EXAMPLE_1
def test_an_nps_4_branch_on_an_nps_8_header_needs_no_pad():
    found = example(16, (8.625, 0.322), (4.5, 0.237), 300, 90, branch="unreinforced fabricated tee")
    areas = [found.inputs[name] / INCH**2 for name in ("A_1", "A_2", "A_3")]
    assert areas == pytest.approx([0.343, 0.437, 0.035], rel=0.01, abs=5e-4)
    assert found.demand / INCH**2 == pytest.approx(0.343, rel=0.01)
    assert found.status.value == "PASS"


@EXAMPLE_3
def test_a_skewed_nps_6_branch_with_a_pad_of_12_inches():
    width = (12 - 6.625 / sin(radians(60))) / 2
    tee = {"branch": "reinforced fabricated tee", "pad_thickness": 0.5, "pad_width": width}
    found = example(14.4, (16, 0.5), (6.625, 0.280), 500, 60, **tee)
    areas = [found.inputs[name] / INCH**2 for name in ("A_1", "A_2", "A_3", "A_pad")]
    assert areas == pytest.approx([2.27, 0.468, 0.062, 2.175], abs=0.01)
    assert found.status.value == "PASS"
    bare = example(14.4, (16, 0.5), (6.625, 0.280), 500, 60, branch="unreinforced fabricated tee")
    assert bare.status.value == "FAIL"
