"""Stress checks gathered by section, and the pens that colour the pipe by its ratio."""

from dataclasses import replace
from itertools import pairwise
from math import nan

import pytest
from findings import check
from plants import address, plant

from pipecalc.analysis.guide_spacing import GUIDE_CHECK, STANDING_CHECK
from pipecalc.analysis.spans import SPAN_CHECK
from pipecalc.analysis.stress import CHECK_NAMES
from pipecalc.checks.stress.interface import Kind
from pipecalc.model import Item
from pipecalc.report.chapter_spans import LENGTH_CHECKS
from pipecalc.report.stress_sections import (
    CLASSES,
    KINDS,
    class_key,
    pen_of_ratio,
    point_name,
    ratio_pens,
    sections,
)
from pipecalc.report.svg import PENS
from pipecalc.results import Status

LINE = plant().lines["V-2101"]


def stress(name, point, ratio, row):
    made = check(name, "V-2101", "V-2101", point, ratio * 100e6, 100e6, "Pa")
    return replace(made, source=replace(address("Segments", row), column=0), rows=(row,))


def test_the_names_are_those_of_the_calculation():
    assert {name: kind for kind, name in CHECK_NAMES.items()} == KINDS
    assert LENGTH_CHECKS == (SPAN_CHECK, GUIDE_CHECK, STANDING_CHECK)


def test_faces_of_a_point_and_parts_of_a_turn_are_one_section():
    row = LINE.segments[1].source.row
    found = sections(
        [
            stress("sustained stress", "20", 0.3, row),
            stress("sustained stress", "20", 0.5, row),
            stress("displacement stress range", "20", 0.2, row),
            stress("sustained stress", "30, start of the turn", 0.1, row),
            stress("sustained stress", "30, middle of the turn", 0.4, row),
        ]
    )
    assert [s.where for s in found] == ["20", "30, turn"]
    assert found[0].worst[Kind.SUSTAINED].ratio == pytest.approx(0.5)
    assert found[1].governing.point == "30, middle of the turn"


def test_a_face_that_was_not_checked_is_not_hidden_by_a_good_one():
    row = LINE.segments[0].source.row
    good, unknown = stress("test stress", "20", 0.3, row), stress("test stress", "20", nan, row)
    for order in ((good, unknown), (unknown, good)):
        section = sections(order)[0]
        assert section.unknown
        assert section.worst[Kind.TEST].status is Status.NOT_CHECKED


@pytest.mark.parametrize(
    ("ratio", "pen"),
    [(0.0, "class-1"), (0.2, "class-1"), (0.21, "class-2"), (0.69, "class-3"), (1.0, "class-4"), (1.001, "class-5")],
)
def test_the_pen_of_a_ratio(ratio, pen):
    assert pen_of_ratio(ratio) == pen


def test_what_was_not_checked_has_a_pen_of_its_own():
    assert pen_of_ratio(nan) == "unchecked"


def test_the_classes_are_told_apart_without_colour():
    pens = [PENS[name] for name, _words in class_key()]
    assert len({(p.width, p.dash, p.core) for p in pens}) == len(pens)
    widths = [p.width for p in pens[: len(CLASSES) + 1]]
    assert widths == sorted(widths)
    assert all(b / a >= 1.3 for a, b in pairwise(widths))


def test_each_part_of_a_run_takes_its_own_section():
    first = LINE.segments[0]
    name_a, name_b = first.start_key[1], first.end_key[1]
    pens = ratio_pens(
        LINE,
        [
            stress("sustained stress", name_a, 0.1, first.source.row),
            stress("displacement stress range", name_a, 0.9, first.source.row),
            stress("sustained stress", name_b, 0.3, first.source.row),
            stress("sustained stress", f"{name_b}, end of the turn", 1.2, first.source.row),
        ],
    )
    assert [pens(0, part) for part in ("start", "end", "bend")] == ["class-4", "class-2", "class-5"]
    assert pens(1, "start") == "unchecked"


def test_a_section_without_a_ratio_leaves_its_part_unchecked():
    first = LINE.segments[0]
    pens = ratio_pens(LINE, [stress("sustained stress", first.start_key[1], nan, first.source.row)])
    assert pens(0, "start") == "unchecked"
    assert pens(0, "middle") == "unchecked"


@pytest.mark.parametrize("order", [(0, 1), (1, 0)])
def test_over_the_limit_is_not_hidden_by_a_check_without_a_ratio(order):
    first = LINE.segments[0]
    both = [
        stress("sustained stress", first.start_key[1], nan, first.source.row),
        stress("displacement stress range", first.start_key[1], 1.4, first.source.row),
    ]
    assert ratio_pens(LINE, [both[i] for i in order])(0, "start") == "class-5"


@pytest.mark.parametrize("order", [(0, 1), (1, 0)])
def test_a_low_ratio_does_not_hide_a_check_without_one(order):
    first = LINE.segments[0]
    both = [
        stress("sustained stress", first.start_key[1], nan, first.source.row),
        stress("displacement stress range", first.start_key[1], 0.1, first.source.row),
    ]
    assert ratio_pens(LINE, [both[i] for i in order])(0, "start") == "unchecked"


def test_an_item_without_a_check_is_no_pipe_that_was_not_checked():
    valve = next(i for i, s in enumerate(LINE.segments) if s.item is Item.VALVE)
    assert ratio_pens(LINE, [])(valve, "middle") == "unrated"


def test_names_of_points():
    assert point_name("30, middle of the turn") == "30"
    assert point_name("between 20 and 30") == ""
