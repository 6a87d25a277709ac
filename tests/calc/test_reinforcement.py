"""Replacement of area at a welded branch: limits and what changes the areas."""

from dataclasses import replace
from math import pi, radians

import numpy as np
import pytest

from pipecalc.calc import reinforcement as r

PLAIN = r.Branch(
    pressure=3e6, angle=pi / 2, header_diameter=0.3239, header_wall=0.00834, header_strength=130e6,
    branch_diameter=0.1683, branch_wall=0.00622, branch_strength=130e6, allowance=0.0015, y=0.4,
)  # fmt: skip
PADDED = replace(PLAIN, pad=r.Pad(0.008, 0.30, 130e6))


def test_a_pad_adds_its_own_area_and_may_raise_the_zone():
    bare, padded = r.reinforcement(PLAIN), r.reinforcement(PADDED)
    assert padded.required == bare.required
    assert padded.inputs["A_pad"] == pytest.approx(0.008 * (0.30 - 0.1683))
    assert padded.inputs["L_4"] >= bare.inputs["L_4"]


def test_a_pad_beyond_the_zone_does_not_count():
    wide, wider = (r.reinforcement(replace(PADDED, pad=r.Pad(0.008, D, 130e6))) for D in (0.5, 0.7))
    assert wide.available == wider.available


def test_a_weaker_pad_or_branch_counts_by_its_strength_and_a_stronger_one_not_more():
    whole, half, strong = (r.reinforcement(replace(PADDED, pad=r.Pad(0.008, 0.3, S))) for S in (130e6, 65e6, 200e6))
    assert half.inputs["A_pad"] == pytest.approx(whole.inputs["A_pad"] / 2)
    assert strong.available == whole.available
    weak = r.reinforcement(replace(PLAIN, branch_strength=117e6)).inputs
    assert weak["ratio"] == pytest.approx(0.9)
    assert weak["A_3"] < r.reinforcement(PLAIN).inputs["A_3"]


def test_a_skewed_branch_needs_more():
    assert r.reinforcement(replace(PLAIN, angle=radians(60))).required > r.reinforcement(PLAIN).required


def test_without_pressure_nothing_is_needed():
    assert r.reinforcement(replace(PLAIN, pressure=0.0)).required == 0


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"angle": radians(44)}, "45"),
        ({"angle": radians(100)}, "45"),
        ({"branch_diameter": 0.4}, "larger"),
        ({"header_diameter": 1.2, "branch_diameter": 0.7, "pressure": 1e5}, "half"),
        ({"header_wall": 0.004}, "header"),
        ({"branch_wall": 0.0032}, "branch's wall"),
        ({"pressure": 6e7}, "304.1.2"),
        ({"pressure": float("nan")}, "304.1.2"),
        ({"pressure": -1e5}, "304.1.2"),
        ({"pad": r.Pad(0.008, 0.16, 130e6)}, "pad"),
        ({"weld_area": -1e-6}, "welds"),
        ({"allowance": float("nan")}, "header"),
    ],
)
def test_outside_the_rule_there_is_no_result_and_the_reason_is_named(change, word):
    found = r.reinforcement(replace(PLAIN, **change))
    assert np.isnan([found.required, found.available]).all()
    assert any(word in reason for reason in found.reasons)


def test_the_fillet_is_the_lesser_of_both_and_two_fillets_are_a_square():
    assert r.fillet_throat(0.005) == pytest.approx(0.0035)
    assert r.fillet_throat(0.02) == 0.006
    assert r.fillet_pair_area(0.006) == pytest.approx(36e-6)
    assert np.isnan(r.fillet_pair_area(-1.0))
