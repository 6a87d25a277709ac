"""What holds for every nozzle standard: its record, its gaps, its signs, and that turning the plant changes nothing."""

from math import isnan

import numpy as np
import pytest
from nozzle_cases import DOWN, EAST, NORTH, NOTHING, PUMP, UP, WEST, axes_of, nozzle, turned, turned_item

from pipecalc.checks.nozzles import api_610
from pipecalc.checks.nozzles.interface import (
    COMPONENTS,
    Connection,
    Item,
    components,
    highest,
    judge,
    judge_item,
    resultant_at,
    standards,
)

ALL = standards()
LOAD = {"force": (900.0, -700.0, 400.0), "moment": (300.0, 250.0, -150.0)}
# Direction of the nozzle and of the item's axis for which each standard has limits.
OUTWARD = {"API 661": UP, "API 560": EAST}
PAIR = [
    nozzle(UP, 6.0, name="S", at=(0.4, 0.3, 0.5), **LOAD),
    nozzle(UP, 4.0, name="D", at=(-0.2, 0.1, 0.6), force=(-200.0, 500.0, 100.0), moment=(90.0, -80.0, 70.0)),
]


def test_the_folder_is_listed_and_titles_are_those_of_the_workbook():
    assert set(ALL) == {"API 610", "API 610 annex F", "API 661", "NEMA SM 23", "API 617", "API 560"}
    assert all(title == standard.title for title, standard in ALL.items())


@pytest.mark.parametrize("standard", ALL.values(), ids=ALL)
def test_a_standard_names_its_document_axes_and_confidence(standard):
    assert len(standard.source) > 10
    assert standard.axes_in_words
    assert standard.confidence in ("confirmed", "memory")
    assert standard.notes
    if standard.confidence == "memory":
        assert any("from memory" in note or "verify" in note for note in standard.notes)


@pytest.mark.parametrize("standard", ALL.values(), ids=ALL)
def test_an_item_of_another_kind_is_not_judged(standard):
    found = judge(standard, nozzle(**LOAD), Item("V-1", "vertical on skirt", axis=EAST))
    assert isnan(found.rated.ratio)
    assert "vertical on skirt" in found.reason


@pytest.mark.parametrize("standard", ALL.values(), ids=ALL)
@pytest.mark.parametrize("load", [(None, None), (NOTHING, None), ((1.0, float("nan"), 0.0), NOTHING)])
def test_a_nozzle_without_load_is_not_judged(standard, load):
    force, moment = load
    found = judge(standard, Connection("N1", 6.0, NOTHING, axes_of(UP), force, moment), PUMP)
    assert isnan(found.rated.ratio)
    assert "no load" in found.reason


@pytest.mark.parametrize("standard", [s for s in ALL.values() if s.equipment_verdict], ids=lambda s: s.title)
def test_a_sum_with_a_nozzle_missing_is_not_made(standard):
    bare = Connection("D", 4.0, NOTHING, axes_of(UP), None, None)
    (found,) = judge_item(standard, [PAIR[0], bare], PUMP)
    assert isnan(found.rated.ratio)
    assert "D" in found.reason


@pytest.mark.parametrize(
    ("title", "nps"),
    [
        *((title, nps) for title in ("API 610", "API 610 annex F") for nps in (0.0, 2.5, 5.0, 18.0)),
        *(("API 661", nps) for nps in (0.0, 1.0, 2.5, 5.0, 16.0)),
        *(("API 560", nps) for nps in (0.0, 1.5, 2.5, 7.0, 14.0)),
    ],
)
def test_sizes_outside_or_between_the_rows_have_no_limit(title, nps):
    standard = ALL[title]
    one = nozzle(OUTWARD.get(standard.title, UP), nps, **LOAD)
    item = Item("X", "fixed", axis=EAST)
    assert all(isnan(v) for v in standard.limits(one, item).components.values())
    found = judge(standard, one, item)
    assert isnan(found.rated.ratio)
    assert f"NPS {nps:g}" in found.reason


@pytest.mark.parametrize("title", ["API 610", "API 610 annex F", "API 661"])
def test_without_the_items_axis_components_are_not_judged(title):
    found = judge(ALL[title], nozzle(**LOAD), Item("P-1", "fixed"))
    assert isnan(found.rated.ratio)
    assert "is not given" in found.reason


@pytest.mark.parametrize("title", ["NEMA SM 23", "API 617"])
def test_without_a_shaft_the_components_of_the_sum_are_not_judged_but_the_resultants_are(title):
    together, each = judge_item(ALL[title], PAIR, Item("T-1", "fixed"))
    assert together.rated.ratio > 0
    assert isnan(each.rated.ratio)
    assert "shaft" in each.reason


def test_a_vertical_shaft_has_no_axes():
    found = judge(ALL["API 610"], nozzle(**LOAD), Item("P-1", "fixed", axis=UP))
    assert "not horizontal" in found.reason


@pytest.mark.parametrize(
    ("outward", "how"),
    [(UP, "top"), (NORTH, "side"), ((0.0, -1.0, 0.0), "side"), (EAST, "end"), (WEST, "end"), (DOWN, "")],
)
def test_how_a_nozzle_points_follows_from_its_direction_and_the_shaft(outward, how):
    assert api_610.orientation(nozzle(outward), PUMP)[0] == how


def test_a_nozzle_on_the_skew_has_no_row():
    skew = (0.5**0.5, 0.5**0.5, 0.0)
    assert "no axis" in api_610.limits(nozzle(skew), PUMP).reason


@pytest.mark.parametrize("standard", ALL.values(), ids=ALL)
@pytest.mark.parametrize("degrees", [30.0, 90.0, 200.0])
def test_turning_nozzle_loads_and_machine_together_changes_nothing(standard, degrees):
    one = nozzle(OUTWARD.get(standard.title, UP), 6.0, at=(0.4, 0.3, 0.5), **LOAD)
    before = judge(standard, one, PUMP).rated
    after = judge(standard, turned(one, degrees), turned_item(PUMP, degrees)).rated
    assert before.ratio > 0
    assert after.ratio == pytest.approx(before.ratio, rel=1e-9)
    assert after.governs == before.governs


@pytest.mark.parametrize("standard", [s for s in ALL.values() if s.equipment_verdict], ids=lambda s: s.title)
@pytest.mark.parametrize("degrees", [30.0, 90.0, 200.0])
def test_turning_the_whole_machine_changes_no_sum(standard, degrees):
    before = judge_item(standard, PAIR, PUMP)
    after = judge_item(standard, [turned(c, degrees) for c in PAIR], turned_item(PUMP, degrees))
    assert [f.name for f in after] == [f.name for f in before]
    for a, b in zip(after, before, strict=True):
        assert b.rated.ratio > 0
        assert a.rated.ratio == pytest.approx(b.rated.ratio, rel=1e-9)


@pytest.mark.parametrize("standard", ALL.values(), ids=ALL)
def test_the_ratio_grows_with_the_loads_and_falls_with_the_factor(standard):
    def ratio(times, factor):
        force, moment = (tuple(times * v for v in LOAD[k]) for k in ("force", "moment"))
        one = nozzle(OUTWARD.get(standard.title, UP), 6.0, force=force, moment=moment, factor=factor)
        return judge(standard, one, PUMP).rated.ratio

    assert ratio(3.0, 1.0) == pytest.approx(3 * ratio(1.0, 1.0))
    assert ratio(1.0, 2.0) == pytest.approx(ratio(1.0, 1.0) / 2)


@pytest.mark.parametrize(
    ("title", "directions"),
    [
        # Shaft East. Top nozzle of a pump: X East, Y North, Z Up.
        ("API 610", {"X": EAST, "Y": NORTH, "Z": UP}),
        # Turbine with shaft East: X East, Y Up, Z = X x Y = East x Up = South.
        ("NEMA SM 23", {"X": EAST, "Y": UP, "Z": (0.0, -1.0, 0.0)}),
        ("API 617", {"X": EAST, "Y": UP, "Z": (0.0, -1.0, 0.0)}),
        # Header East, nozzle Up: Y Up, X East, Z = East x Up = South.
        ("API 661", {"X": EAST, "Y": UP, "Z": (0.0, -1.0, 0.0)}),
        # Tube Up: X = R Up, Y = L North, Z = C = R x L = Up x North = West.
        ("API 560", {"X": UP, "Y": NORTH, "Z": WEST}),
    ],
)
def test_each_of_the_six_components_has_its_sign(title, directions):
    """Pipe pushes the nozzle along an axis: that force is positive and alone; likewise a right-hand turn about it.

    Seen from above, shaft East, North up the page; a moment about Up turns the nozzle anticlockwise::

            N
            |     o---> shaft (E)         moment about Up
            +---> E                            <-.
                                                  )  anticlockwise: +
    """
    axes = ALL[title].axes(nozzle(UP), PUMP)
    for axis, direction in directions.items():
        pushed = components(direction, NOTHING, axes)
        twisted = components(NOTHING, direction, axes)
        pulled = components(tuple(-v for v in direction), NOTHING, axes)
        assert pushed == {name: pytest.approx(1.0 if name == f"F{axis}" else 0.0) for name in COMPONENTS}
        assert twisted == {name: pytest.approx(1.0 if name == f"M{axis}" else 0.0) for name in COMPONENTS}
        assert pulled[f"F{axis}"] == pytest.approx(-1.0)


@pytest.mark.parametrize(
    ("at", "force", "moment"),
    [
        # The arm points from the reference to the nozzle; the moment is arm x force.
        (NORTH, UP, EAST),  # lifted on the North side: the machine turns over towards the South, about East
        (EAST, NORTH, UP),  # pushed North on the East side: anticlockwise from above
        (UP, EAST, NORTH),  # pushed East on top: turns over towards the East, about North
        (EAST, EAST, NOTHING),  # along the arm: nothing
    ],
)
def test_a_force_beside_the_reference_adds_arm_times_force(at, force, moment):
    total_force, total_moment = resultant_at([nozzle(at=at, force=force)], NOTHING)
    assert total_force == pytest.approx(force)
    assert total_moment == pytest.approx(moment)


def test_moving_the_reference_changes_the_moment_only():
    here, there = (resultant_at(PAIR, point) for point in (NOTHING, (1.0, 2.0, 3.0)))
    assert there[0] == pytest.approx(here[0])
    assert there[1] != pytest.approx(here[1])
    back = np.array(there[1]) + np.cross((1.0, 2.0, 3.0), there[0])
    assert back == pytest.approx(np.array(here[1]))


def test_a_gap_in_one_part_leaves_no_rating():
    whole = {"FX": (1.0, 2.0, "N"), "FY": (3.0, 4.0, "N")}
    assert highest(whole).ratio == pytest.approx(0.75)
    assert isnan(highest({**whole, "FZ": (0.0, float("nan"), "N")}).ratio)
    assert isnan(highest({**whole, "FZ": (float("nan"), 9.0, "N")}).ratio)
    assert isnan(highest({}).ratio)
