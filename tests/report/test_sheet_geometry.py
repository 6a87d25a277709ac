"""Isometric sheets by geometry: no text touches a text or a line, all is on the sheet, nothing is dropped unsaid."""

from dataclasses import replace
from itertools import combinations
from math import hypot

import plants
import pytest
from drawn_words import crosses, sheet_of, strokes_of, words_of

from pipecalc.model import Item
from pipecalc.report.format import Display
from pipecalc.report.iso_dimensions import dimensioned
from pipecalc.report.iso_scene import Overlay, Sketch
from pipecalc.report.iso_sheet import laid_out
from pipecalc.report.isometric import FULL, PAIR, isometric, isometric_sheets
from pipecalc.report.labels import Board, Box
from pipecalc.report.projection import best_view
from pipecalc.report.svg import PENS

SI, US = Display("SI"), Display("US")
NAMES = ("{}", "POINT-{}", "UNIT 100/RACK-7/{}", "Æ-Ørsted–{}", "WWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWW-{}")


def renamed(plant, line, pattern):
    """The line with its points and supports named after a pattern."""

    def key(old):
        return (old[0], pattern.format(old[1]))

    segments = tuple(
        replace(s, start=key(s.start_key)[1], end=key(s.end_key)[1], start_key=key(s.start_key), end_key=key(s.end_key))
        for s in line.segments
    )
    held = [replace(s, name=pattern.format(s.name), point=key(s.point)) for s in plant.supports.values()]
    line = replace(line, segments=segments)
    return replace(plant, lines={line.name: line}, supports={s.name: s for s in held}), line


def straight(count, spacing=6.0):
    """A run on a pipe rack with a support at every point."""
    steps = [(str(i + 2), 0, spacing, 0) for i in range(count)]
    parts = plants.segments("R-1", "1", (0, 0, 5.0), steps, plants.NPS8)
    line = plants.line("R-1", "rack", ("", ""), plants.NPS8, parts)
    kinds = ("rest", "rest and guide", "rest, guide and line stop", "spring")
    held = [plants.support(f"PS-{i}", {"R-1": line}, ("R-1", str(i)), kinds[i % 4]) for i in range(2, count + 2)]
    return replace(
        plants.plant(), lines={"R-1": line}, supports={s.name: s for s in held}, nozzle_at={}, nozzles={}
    ), line


def apart(svg):
    words, sheet = words_of(svg), sheet_of(svg)
    assert all(w.box.inside(sheet) for w in words), [w.words for w in words if not w.box.inside(sheet)]
    touching = [(a.words, b.words) for a, b in combinations(words, 2) if a.box.meets(b.box)]
    assert touching == []


def clear_of_lines(svg):
    words = words_of(svg)
    crossed = [(w.words, s.points[0]) for s in strokes_of(svg) for w in words if crosses(s, w.box.grown(-0.15))]
    assert crossed == []


def told(sketches):
    """Every line of every label, and what is said to have had no room."""
    found = [line for s in sketches for p in s.labels for line in p.label.words.split("\n")]
    return found, [words for s in sketches for words in s.missing]


@pytest.mark.parametrize("seed", range(220))
def test_words_of_random_lines_touch_nothing(seed):
    count = (4, 6, 8, 11, 15)[seed % 5]
    plant, line = renamed(*plants.random_line(seed, count), NAMES[seed // 5 % 5])
    for sketch in isometric_sheets(plant, line, US if seed % 3 else SI):
        apart(sketch.svg)
        if seed % 6 == 0:
            clear_of_lines(sketch.svg)


@pytest.mark.parametrize("count", [45, 60])
def test_words_of_a_long_random_line_touch_nothing(count):
    for sketch in isometric_sheets(*plants.random_line(count, count), SI):
        apart(sketch.svg)
        clear_of_lines(sketch.svg)


@pytest.mark.parametrize("size", [FULL, PAIR])
@pytest.mark.parametrize("seed", range(12))
def test_words_of_a_figure_with_values_touch_nothing(seed, size):
    plant, line = plants.random_line(seed, 18)
    values = {s.end: f"0.{i + 10} FAIL" for i, s in enumerate(line.segments[::5])}
    moved = {s.end: (0.01 * i, -0.004 * i, 0.002) for i, s in enumerate(line.segments)}
    sketch = isometric(plant, line, SI, Overlay(moved, values=values, key=(("class-1", "low"),)), size)
    apart(sketch.svg)
    lines, missing = told([sketch])
    assert all(any(w.startswith(f"{point}: ") for w in (*lines, *missing)) for point in values)


@pytest.mark.parametrize("seed", range(30))
def test_every_name_and_length_is_written_or_said_to_be_missing(seed):
    plant, line = plants.random_line(seed, 6 + seed)
    sketches = isometric_sheets(plant, line, SI)
    lines, missing = told(sketches)
    said = " ".join(missing).split() + lines
    names = {k[1] for s in line.segments for k in (s.start_key, s.end_key)} | set(plant.supports)
    assert names <= set(said)
    lengths = sum(line.isdecimal() for line in lines) + sum(m.startswith("dimension ") for m in missing)
    assert lengths == len(line.segments)


@pytest.mark.parametrize("count", [12, 30, 60])
def test_a_long_run_with_many_supports_has_room_for_every_name(count):
    plant, line = straight(count)
    sketches = isometric_sheets(plant, line, SI)
    assert told(sketches)[1] == []
    assert {name for name in told(sketches)[0] if name.startswith("PS-")} == set(plant.supports)
    assert len(sketches) == {12: 1, 30: 2, 60: 4}[count]


def test_sheets_refer_to_one_another():
    plant, line = straight(60)
    marks = [
        [p.label.words.split()[-1] for p in s.labels if p.label.words.startswith("continued")]
        for s in isometric_sheets(plant, line, SI)
    ]
    assert marks == [["2"], ["1", "3"], ["2", "4"], ["3"]]


def test_every_run_is_on_one_sheet_and_its_ends_are_named_there():
    plant, line = straight(60)
    sheets = isometric_sheets(plant, line, SI)
    points = [[w for w in told([s])[0] if w.isdecimal() and len(w) < 3] for s in sheets]
    assert [group[-1] for group in points[:-1]] == [group[0] for group in points[1:]]
    assert sum(len(group) - 1 for group in points) == 60


def test_a_sheet_too_full_says_what_it_leaves_out():
    plant, line = straight(60)
    sketch = isometric(plant, line, SI)
    assert isinstance(sketch, Sketch)
    assert sketch.missing
    lines, missing = told([sketch])
    assert set(plant.supports) <= set(lines) | set(" ".join(missing).split())
    apart(sketch.svg)


def test_two_nozzles_at_one_place_are_both_named():
    plant = plants.plant()
    twin = replace(plant.nozzles["D-201/V1"], name="D-201/V2")
    both = replace(plant, nozzles={**plant.nozzles, twin.name: twin})
    sketch = isometric(both, both.lines["V-2101"], SI)
    lines, missing = told([sketch])
    assert {"D-201/V1 (10)", "D-201/V2 (10)"} <= set(lines)
    assert missing == []
    apart(sketch.svg)


def test_very_short_runs_can_be_read():
    steps = [
        ("2", 0.05, 0, 0, Item.FLANGE, 0.0),
        ("3", 0.02, 0, 0),
        ("4", 0, 0, 0.03),
        ("5", 0, 40.0, 0),
        ("6", 0.01, 0, 0),
    ]
    parts = plants.segments("S-1", "1", (0, 0, 0), steps, plants.NPS6)
    line = plants.line("S-1", "short", ("", ""), plants.NPS6, parts)
    (sketch,) = isometric_sheets(replace(plants.plant(), lines={"S-1": line}), line, SI)
    assert sketch.broken
    assert {"50", "20", "30", "40000", "10", "EL +0.000", "EL +0.030"} <= set(told([sketch])[0])
    apart(sketch.svg)
    clear_of_lines(sketch.svg)


def test_slopes_and_skew_runs_are_told():
    steps = [("2", 0, 10.0, -0.1), ("3", 3.0, 4.0, 0), ("4", 2.0, 1.0, -3.0), ("5", 0, 0, -2.0)]
    parts = plants.segments("S-1", "1", (0, 0, 8.0), steps, plants.NPS6)
    line = plants.line("S-1", "drain", ("", ""), plants.NPS6, parts)
    sketch = isometric(replace(plants.plant(), lines={"S-1": line}), line, SI)
    lines = told([sketch])[0]
    assert "1:100 down to 2" in lines
    assert {"skew: E +3000, N +4000", "skew: E +2000, N +1000, U −3000"} <= set(lines)
    assert [w for w in lines if w.startswith("EL")] == ["EL +8.000", "EL +7.900", "EL +4.900", "EL +2.900"]


def test_a_joint_with_another_line_is_drawn_on_both():
    header = plants.segments("H-1", "1", (0, 0, 0), [("2", 4, 0, 0), ("3", 4, 0, 0)], plants.NPS8)
    branch = plants.segments("B-1", "2", (4, 0, 0), [("b2", 0, 3, 0), ("b3", 0, 0, 4)], plants.NPS6)
    branch = (replace(branch[0], start_key=("H-1", "2")), *branch[1:])
    lines = {
        "H-1": plants.line("H-1", "header", ("", ""), plants.NPS8, header),
        "B-1": plants.line("B-1", "branch", ("", ""), plants.NPS6, branch),
    }
    plant = replace(plants.plant(), lines=lines)
    assert told([isometric(plant, lines["H-1"], SI)])[0].count("line B-1") == 1
    lines_of_branch = told([isometric(plant, lines["B-1"], SI)])[0]
    assert lines_of_branch.count("line H-1") == 2  # the header runs both ways
    assert "H-1/2" in lines_of_branch


def test_the_shape_is_magnified_alike_on_every_sheet():
    plant, line = straight(60)
    moved = {s.end: (0.0, 0.001 * i, 0.0) for i, s in enumerate(line.segments)}
    sheets = isometric_sheets(plant, line, SI, Overlay(moved))
    assert len(sheets) > 1
    assert len({round(s.magnification, 9) for s in sheets}) == 1


def test_dimension_lines_run_along_the_axes():
    _plant, line = plants.random_line(2, 12)
    sheet = laid_out(line, FULL, best_view(line.segments))
    placed, rest = dimensioned(sheet, Board(Box(0.5, 0.5, 173.0, 107.0)), SI)
    assert len(placed) + len(rest) == 12
    assert len(placed) > 6
    hairs = [points for points, half in sheet.drawing.marks if half == PENS["hair"].width / 2]
    assert len(hairs) > 2 * len(placed)
    axes = [sheet.direction(v) for v in ((1, 0, 0), (0, 1, 0), (0, 0, 1))]
    for (x, y), (u, v) in hairs:
        length = hypot(u - x, v - y)
        assert min(abs((u - x) * b - (v - y) * a) for a, b in axes) < 1e-6 * max(length, 1.0)


def test_the_same_line_gives_the_same_sheets():
    one, other = ([s.svg for s in isometric_sheets(*plants.random_line(7, 30), SI)] for _ in range(2))
    assert one == other
