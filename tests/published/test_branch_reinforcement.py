"""Branch reinforcement by area: ASME B31.3 Appendix H, examples 1 and 3 (304.3.3), from memory, in inches and psi.

The arithmetic of both examples is reproduced here step by step. The printed numbers are rounded to three decimals on
the way, which shifts the areas by up to 1 %.
"""

from math import radians

import pytest

from pipecalc.calc.reinforcement import Branch, Pad, reinforcement

INCH, PSI = 0.0254, 6894.757293168
EXAMPLE_1 = pytest.mark.source(
    "ASME B31.3 Appendix H, example 1: NPS 4 on NPS 8, Schedule 40, API 5L Grade A, 300 psig"
)
EXAMPLE_3 = pytest.mark.source("ASME B31.3 Appendix H, example 3: NPS 6 at 60 degrees on NPS 16, 12 in. pad, 500 psig")


@EXAMPLE_1
def test_an_nps_4_branch_on_an_nps_8_header_needs_no_pad():
    leg = 0.235 * INCH
    found = reinforcement(
        Branch(
            pressure=300 * PSI, angle=radians(90), header_diameter=8.625 * INCH, header_wall=0.322 * 0.875 * INCH,
            header_strength=16000 * PSI, branch_diameter=4.5 * INCH, branch_wall=0.237 * 0.875 * INCH,
            branch_strength=16000 * PSI, allowance=0.10 * INCH, y=0.4, weld_area=leg**2,
        )
    )  # fmt: skip
    lengths = [found.inputs[name] / INCH for name in ("t_h", "t_b", "L_4", "d_1", "d_2")]
    assert lengths == pytest.approx([0.080, 0.042, 0.268, 4.286, 4.286], abs=1e-3)
    areas = [found.inputs[name] / INCH**2 for name in ("A_1", "A_2", "A_3", "A_4")]
    assert areas == pytest.approx([0.343, 0.437, 0.035, 0.055], rel=0.01, abs=5e-4)
    assert found.available / INCH**2 == pytest.approx(0.527, abs=0.003)
    assert found.available > found.required
    assert found.reasons == ()


@EXAMPLE_3
def test_a_skewed_nps_6_branch_on_an_nps_16_header_with_a_pad():
    found = reinforcement(
        Branch(
            pressure=500 * PSI, angle=radians(60), header_diameter=16 * INCH, header_wall=0.5 * 0.875 * INCH,
            header_strength=14400 * PSI, branch_diameter=6.625 * INCH, branch_wall=0.280 * 0.875 * INCH,
            branch_strength=14400 * PSI, allowance=0.10 * INCH, y=0.4,
            pad=Pad(0.5 * INCH, 12 * INCH, 14400 * PSI),
        )
    )  # fmt: skip
    lengths = [found.inputs[name] / INCH for name in ("t_h", "t_b", "L_4", "d_1", "d_2")]
    assert lengths == pytest.approx([0.274, 0.113, 0.845, 7.315, 7.315], abs=2e-3)
    areas = [found.inputs[name] / INCH**2 for name in ("A_1", "A_2", "A_3", "A_pad")]
    assert areas == pytest.approx([2.27, 0.468, 0.062, 2.175], abs=0.01)
    assert found.available > found.required


@EXAMPLE_3
def test_without_its_pad_the_skewed_branch_fails():
    bare = reinforcement(
        Branch(
            pressure=500 * PSI, angle=radians(60), header_diameter=16 * INCH, header_wall=0.5 * 0.875 * INCH,
            header_strength=14400 * PSI, branch_diameter=6.625 * INCH, branch_wall=0.280 * 0.875 * INCH,
            branch_strength=14400 * PSI, allowance=0.10 * INCH, y=0.4,
        )
    )  # fmt: skip
    assert bare.available < bare.required
