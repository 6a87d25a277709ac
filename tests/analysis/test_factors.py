"""Factors of a point: who wins, what is said, and what they were computed from."""

from dataclasses import replace
from math import isnan, pi

import pytest

from pipecalc.analysis.factors import (
    OWN,
    SET_B31J,
    SET_LEGACY,
    STRAIGHT,
    branch_factors,
    reducer_factors,
    tee_factors,
    turn_factors,
    weld_factors,
    with_own,
)
from pipecalc.model import OwnFactors, Section, Turn

NPS_6, NPS_4 = Section(0.1683, 0.00711), Section(0.1143, 0.00602)


@pytest.fixture(scope="module")
def run():
    from stress_books import anchor, book, plant_of

    row = {"from_": "1", "to": "2", "east": 2.0, "turn": "bend", "bend_radius": 228.6}
    rows = book([row, {"from_": "2", "to": "3", "north": 2.0}], [anchor("A", "1"), anchor("B", "3")])
    return plant_of(rows).lines["L"].segments[0]


def test_a_header_above_a_hundred_walls_has_no_factor():
    found = branch_factors("welding tee", Section(0.762, 0.0064), 0.0)
    assert isnan(found.i_in)
    assert "119" in found.kind


def test_the_older_set_gives_run_and_branch_the_same_and_the_later_one_does_not():
    older = tee_factors("Appendix D 2018", "welding tee", NPS_6, NPS_4, 0.0)
    later = tee_factors("B31J", "welding tee", NPS_6, NPS_4, 0.0)
    assert older.run == older.branch
    assert later.run != later.branch
    assert later.run.is_unverified
    assert not older.run.is_unverified
    assert later.branch.source == SET_B31J


def test_a_welded_on_fitting_of_the_later_set_lacks_a_dimension_and_says_so():
    found = tee_factors("B31J", "welded-on fitting", NPS_6, NPS_4, 0.0).branch
    assert not found.is_known
    assert "ratio of branch radius to fitting radius" in found.kind


def test_own_factors_take_the_place_of_what_they_give_and_no_more(run):
    plain = turn_factors(run)
    one = turn_factors(replace(run, own=OwnFactors(i_in=4.0)))
    assert (one.i_in, one.i_out, one.k) == (4.0, plain.i_out, plain.k)
    assert one.source == f"{OWN}; {SET_LEGACY}"
    both = turn_factors(replace(run, own=OwnFactors(4.0, 3.0, 7.0)))
    assert (both.i_in, both.i_out, both.k, both.source) == (4.0, 3.0, 7.0, OWN)
    only_k = turn_factors(replace(run, own=OwnFactors(k=7.0)))
    assert (only_k.i_in, only_k.k, only_k.source) == (plain.i_in, 7.0, SET_LEGACY)
    assert with_own(STRAIGHT, run) is STRAIGHT


def test_own_factors_stand_for_a_turn_without_a_rule(run):
    sharp = replace(run, turn=Turn("none", 0.0, pi / 2))
    assert not turn_factors(sharp).is_known
    assert turn_factors(replace(sharp, own=OwnFactors(5.0, 6.0))).is_known
    assert turn_factors(replace(sharp, own=OwnFactors(5.0, 6.0))).kind == "single mitre"


def test_one_unknown_factor_leaves_the_largest_unknown(run):
    sharp = replace(run, turn=Turn("none", 0.0, pi / 2))
    assert isnan(turn_factors(replace(sharp, own=OwnFactors(i_in=5.0))).largest_i)
    assert isnan(turn_factors(replace(sharp, own=OwnFactors(i_out=5.0))).largest_i)


def test_factors_without_a_plane_are_the_larger_in_both_directions(run):
    found = turn_factors(run)
    assert found.without_plane().i_out == found.without_plane().i_in == found.i_in > found.i_out


def test_the_numbers_behind_a_bend_are_kept(run):
    found = turn_factors(run)
    r2 = (0.1683 - 0.00711) / 2
    assert found.numbers == pytest.approx({"h": 0.00711 * 0.2286 / r2**2, "R1": 0.2286, "r2": r2})
    assert found.i_in == pytest.approx(0.9 / found.numbers["h"] ** (2 / 3))
    assert found.i_out == pytest.approx(0.75 / found.numbers["h"] ** (2 / 3))


def test_a_weld_that_is_named_or_not():
    assert weld_factors("") is STRAIGHT
    assert weld_factors("fillet weld").i_in == weld_factors("fillet weld").i_out == 1.3
    with pytest.raises(LookupError, match="known are"):
        weld_factors("glue")


def test_a_steep_reducer_is_beyond_the_later_rule(run):
    steep = replace(run, turn=None, end_section=NPS_4, end_at=(0.005, 0.0, 0.0))
    assert "beyond the limits" in reducer_factors(steep, "B31J").kind
    assert reducer_factors(steep, "Appendix D 2018").i_in == 1.0
