"""Isometric sheets: true projection, and labels that never cover one another."""

from dataclasses import replace
from itertools import combinations
from math import hypot, sqrt
from xml.etree import ElementTree

import plants
import pytest
from drawn_words import sheet_of, words_of

from pipecalc.report.equipment_sketch import equipment_sketch
from pipecalc.report.format import Display
from pipecalc.report.iso_scene import Overlay
from pipecalc.report.isometric import FULL, PAIR, isometric
from pipecalc.report.labels import WIDEST_LABEL, Board, Box, Wanted, text_size, wrapped
from pipecalc.report.projection import VIEWS, View, best_view, layout
from pipecalc.report.type_width import text_width

SI = Display("SI")


@pytest.mark.parametrize("name", list(VIEWS))
def test_the_three_axes_are_equally_short_and_120_degrees_apart(name):
    axes = [View(name).flat(v) for v in ((1, 0, 0), (0, 1, 0), (0, 0, 1))]
    assert [hypot(*a) for a in axes] == pytest.approx([sqrt(2 / 3)] * 3)
    for a, b in combinations(axes, 2):
        assert abs(a[0] * b[0] + a[1] * b[1]) == pytest.approx(1 / 3)


@pytest.mark.parametrize("name", list(VIEWS))
def test_up_is_up_and_the_viewers_corner_is_near(name):
    view = View(name)
    assert view.flat((0, 0, 1))[1] < 0
    toward = {"e": (1, 0, 0), "w": (-1, 0, 0), "n": (0, 1, 0), "s": (0, -1, 0)}
    north_south, east_west = name.split("-")
    assert view.depth(toward[north_south[0]]) > 0
    assert view.depth(toward[east_west[0]]) > 0


@pytest.mark.parametrize("size", [FULL, PAIR])
def test_labels_stay_on_the_sheet(size):
    plant = plants.plant()
    for line in plant.lines.values():
        sketch = isometric(plant, line, SI, sheet_size=size)
        root = ElementTree.fromstring(sketch.svg)  # noqa: S314 - our own text
        width, height = (float(v) for v in root.get("viewBox").split()[2:])
        assert (width, height) <= (size[0], size[1] + 40)
        assert all(p.box.inside(Box(0, 0, width, height)) for p in sketch.labels)


def test_every_point_support_and_nozzle_is_named_once():
    plant = plants.plant()
    sketch = isometric(plant, plant.lines["V-2101"], SI)
    lines = [line for p in sketch.labels for line in p.label.words.split("\n")]
    for expected in ("D-201/V1 (10)", "E-220/S1 (100)", "PS-1", "PS-4", "20", "95"):
        assert lines.count(expected) == 1


def test_the_pipe_is_one_path():
    plant = plants.plant()
    root = ElementTree.fromstring(isometric(plant, plant.lines["V-2101"], SI).svg)  # noqa: S314 - our own text
    pens = [p.get("stroke-width") for p in root.iter("{http://www.w3.org/2000/svg}path")]
    assert pens.count("0.55") == 1
    assert len(pens) < 14


def test_short_runs_are_stretched_and_said_so():
    plant = plants.plant()
    assert not isometric(plant, plant.lines["V-2101"], SI).to_scale


def test_the_sheet_says_whether_lengths_are_to_scale():
    plant = plants.plant()
    parts = plants.segments("L", "a", (0, 0, 0), [("b", 3, 0, 0), ("c", 0, 3, 0)], plants.NPS6)
    equal = plants.line("L", "equal", ("", ""), plants.NPS6, parts)
    for line, words in ((plant.lines["V-2101"], "Not to scale"), (equal, "Lengths to scale")):
        for over in (None, Overlay()):
            first = isometric(plant, line, SI, over, FULL if over is None else PAIR).labels[0].label.words
            assert first.startswith(words)


def test_a_line_of_equal_runs_is_drawn_to_scale():
    steps = [("b", 3, 0, 0), ("c", 0, 3, 0), ("d", 0, 0, 3)]
    parts = plants.segments("L", "a", (0, 0, 0), steps, plants.NPS6)
    where = layout(parts, 140, 100, best_view(parts))
    assert where.to_scale
    assert where.at["L", "d"] == (3, 3, 3)


def test_a_long_run_among_short_ones_is_broken():
    steps = [("b", 0.4, 0, 0), ("c", 0, 300.0, 0), ("d", 0, 0, 0.5), ("e", 0.4, 0, 0)]
    parts = plants.segments("L", "a", (0, 0, 0), steps, plants.NPS6)
    where = layout(parts, 140, 100, best_view(parts))
    assert where.broken == {1}


def test_a_ring_keeps_its_shape():
    steps = [("b", 30, 0, 0), ("c", 0, 0.3, 0), ("d", -30, 0, 0), ("a", 0, -0.3, 0)]
    parts = plants.segments("L", "a", (0, 0, 0), steps, plants.NPS6)
    assert layout(parts, 140, 100, View("south-east")).to_scale


def test_the_moved_shape_states_its_magnification():
    plant = plants.plant()
    moved = {"50": (0.0, 0.0, 0.022), "60": (0.011, 0.0, 0.0)}
    sketch = isometric(plant, plant.lines["V-2101"], SI, Overlay(moved))
    assert sketch.magnification == pytest.approx(0.022 * sqrt(2 / 3) / 11.0 * 1000)


def test_hostile_names_are_escaped_in_drawings():
    plant = plants.plant()
    item = plant.equipment["D-201"]
    nozzle = plants.nozzle("<script>alert(1)</script>", "D-201", 8, (0, 0, 12.4), (0, 0, 1), ("V-2101", "10"))
    svg = equipment_sketch(item, [nozzle], SI).svg
    assert "<script>" not in svg
    ElementTree.fromstring(svg)  # noqa: S314 - our own text


@pytest.mark.parametrize("tag", ["D-201", "E-220"])
def test_labels_of_an_equipment_sketch_do_not_cover_one_another(tag):
    plant = plants.plant()
    nozzles = [n for n in plant.nozzles.values() if n.equipment == tag]
    sketch = equipment_sketch(plant.equipment[tag], nozzles, SI)
    assert not sketch.missing
    for one, other in combinations(sketch.labels, 2):
        assert not one.box.meets(other.box)


@pytest.mark.parametrize("tag", ["D-201", "E-220"])
def test_many_nozzles_are_numbered_and_listed(tag):
    plant = plants.plant()
    out = [(0, 0, 1), (0, 0, -1), (1, 0, 0)] if tag == "E-220" else [(1, 0, 0), (-1, 0, 0), (0, 1, 0)]
    at = [(25.6, 9.0 + 0.35 * i, 1.2) if tag == "E-220" else (0.0, 0.0, 1.0 + 0.5 * i) for i in range(14)]
    nozzles = [
        plants.nozzle(f"{tag}/NOZZLE {i} WITH A LONG NAME", tag, 8, at[i], out[i % 3], ("L", str(i))) for i in range(14)
    ]
    sketch = equipment_sketch(plant.equipment[tag], nozzles, SI)
    assert not sketch.missing
    words = words_of(sketch.svg)
    assert [w.words for w in words if "NOZZLE" in w.words] == [f"{i + 1}: {n.name}" for i, n in enumerate(nozzles)]
    assert {str(i + 1) for i in range(14)} <= {w.words for w in words}
    assert all(w.box.inside(sheet_of(sketch.svg)) for w in words)
    assert not any(one.box.meets(other.box) for one, other in combinations(words, 2))


def test_a_nozzle_below_the_lugs_is_on_the_sheet():
    item = replace(plants.plant().equipment["D-201"], kind="vertical on lugs", support_height=None, zones=())
    nozzle = plants.nozzle("D-201/X", "D-201", 6, (1.3, 0.0, -4.0), (1.0, 0.0, 0.0), ("L", "1"))
    sketch = equipment_sketch(item, [nozzle], SI)
    tip = next(p for p in sketch.labels if p.label.words == "D-201/X").label.anchor
    root = ElementTree.fromstring(sketch.svg)  # noqa: S314 - our own text
    width, height = (float(v) for v in root.get("viewBox").split()[2:])
    assert 0 < tip[0] < width
    assert 0 < tip[1] < height


def test_a_label_without_room_is_reported_not_forced():
    board, label = Board(Box(0, 0, 9, 3.5)), Wanted("12345", (0.2, 3.4), 2.3, clear=0.5)
    assert board.place(label) is not None
    assert board.place(label) is None


def test_widths_grow_with_size_and_text():
    assert text_width("10", 2.0) == pytest.approx(2.4)
    assert text_width("10", 4.0) == pytest.approx(4.8)
    assert text_size("10", 2.0)[0] == pytest.approx(2.4)
    assert text_size("10\n1000", 2.0)[0] == pytest.approx(4.8)
    assert text_size("10\n1000", 2.0)[1] > 2 * text_size("10", 2.0)[1]


def test_long_words_are_wrapped_without_loss():
    words = "UNIT-100/AREA-A/RACK-7/POINT-1000 and an elevation"
    lines = wrapped(words, 2.2).split("\n")
    assert all(text_width(line, 2.2) <= WIDEST_LABEL for line in lines)
    assert "".join(lines).replace(" ", "") == words.replace(" ", "")
    assert wrapped("W" * 90, 2.2).replace("\n", "") == "W" * 90


@pytest.mark.parametrize("seed", range(12))
def test_labels_of_a_small_sheet_with_values_do_not_cover_one_another(seed):
    plant, line = plants.random_line(seed, 24)
    values = {s.end: f"0.{i + 10}" for i, s in enumerate(line.segments[::6])}
    sketch = isometric(plant, line, SI, Overlay(values=values), PAIR)
    words = [p.label.words for p in sketch.labels]
    assert all(any(w.startswith(f"{point}: ") for w in words) for point in values)
    for one, other in combinations(sketch.labels, 2):
        assert not one.box.meets(other.box), (one.label.words, other.label.words)


def test_every_part_of_the_pipe_is_drawn_with_its_own_pen():
    plant = plants.plant()
    line = plant.lines["V-2101"]
    over = Overlay(pen_of=lambda run, part: "class-5" if (run, part) == (2, "end") else "class-1")
    root = ElementTree.fromstring(isometric(plant, line, SI, over, PAIR).svg)  # noqa: S314 - our own text
    pens = [p.get("stroke-width") for p in root.iter("{http://www.w3.org/2000/svg}path")]
    assert pens.count("2.4") == 1
    assert pens.count("0.8") == 1  # the white core
    assert pens.count("0.4") == 1
