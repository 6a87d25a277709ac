"""The quick check of para. 319.4.1(c)."""

from dataclasses import replace

import numpy as np
import pytest

from pipecalc.calc import quick_check as q

FIT = q.QuickCheckLine(
    sizes=1,
    anchors=2,
    restraints_between=0,
    developed_length=15.0,
    anchor_distance=10.8,
    unequal_u_bend=False,
    largest_intensification=2.3,
    extraneous_share=0.0,
)


def test_the_value_has_no_unit_of_its_own():
    si = q.quick_check_value(0.1683, 0.026, 15.0, 10.8)
    printed = 168.3 * 26.0 / (15.0 - 10.8) ** 2  # (mm/m)²
    assert si == pytest.approx(printed * q.MM_PER_M_SQUARED)


@pytest.mark.parametrize(("L", "U"), [(10.0, 10.0), (9.0, 10.0), (float("nan"), 5.0)])
def test_without_spare_length_there_is_no_value(L, U):
    assert np.isnan(q.quick_check_value(0.1683, 0.026, L, U))


def test_without_an_allowable_there_is_no_limit():
    assert np.isnan(q.quick_check_limit(float("nan"), 203e9))
    assert np.isnan(q.quick_check_limit(200e6, 0.0))


def test_a_plain_line_may_use_the_check():
    assert q.quick_check_obstacles(FIT) == ()


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"sizes": 2}, "size"),
        ({"anchors": 3}, "fixation"),
        ({"anchors": 1}, "fixation"),
        ({"restraints_between": 1}, "restraints"),
        ({"branches": 1}, "branches"),
        ({"developed_length": 11.0}, "straight"),
        ({"unequal_u_bend": True, "developed_length": 28.0}, "U bend"),
        ({"largest_intensification": 5.0}, "intensification"),
        ({"largest_intensification": float("nan")}, "intensification"),
        ({"extraneous_share": 0.6}, "displacement"),
        ({"extraneous_share": float("nan")}, "displacement"),
    ],
)
def test_each_limit_of_validity_is_stated(change, words):
    (reason,) = q.quick_check_obstacles(replace(FIT, **change))
    assert words in reason


def test_no_spare_length_is_an_obstacle():
    assert any("spare" in r for r in q.quick_check_obstacles(replace(FIT, developed_length=10.0)))


def test_a_short_unequal_u_bend_is_no_obstacle():
    assert q.quick_check_obstacles(replace(FIT, unequal_u_bend=True)) == ()
