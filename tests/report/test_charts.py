"""Bars and pictures of studies: words keep apart whatever the names; what has no ratio is not drawn as low."""

from itertools import combinations
from math import nan

import pytest
from drawn_words import crosses, sheet_of, strokes_of, words_of

from pipecalc.report.charts import ratio_bars
from pipecalc.report.study_charts import study_picture
from pipecalc.results import Status, Study, StudyRow

LONG = "E-101/NOZZLE WITH A NAME THAT TAKES MORE THAN HALF OF THE WIDTH OF THE WHOLE PICTURE, AND THEN SOME"
RATIOS = [0.0, 0.05, 0.79, 0.84, 0.97, 1.0, 1.03, 1.61, 2.49, 17.2]


def study(values, ratios, *variables):
    rows = [
        StudyRow(v, r, Status.PASS, "N-1", "nozzle load", "operating", 1.0, 1.0, "")
        for v, r in zip(values, ratios, strict=True)
    ]
    return Study("first leg", "nozzle N-1", variables, tuple(rows))


def apart(svg):
    words, sheet = words_of(svg), sheet_of(svg)
    assert [w.words for w in words if not w.box.inside(sheet)] == []
    assert [(a.words, b.words) for a, b in combinations(words, 2) if a.box.meets(b.box)] == []


@pytest.mark.parametrize("wide", [126.0, 174.0])
@pytest.mark.parametrize("name", ["N1", LONG])
@pytest.mark.parametrize("status", list(Status))
def test_words_of_bars_touch_neither_one_another_nor_the_limit(wide, name, status):
    rows = [(name, value, status.value) for value in [*RATIOS, nan]]
    svg = ratio_bars(rows, "bars", wide)
    apart(svg)
    limit = [s for s in strokes_of(svg) if s.width == 0.25 and len(s.points) == 2]
    assert len(limit) == 1
    assert not any(crosses(limit[0], w.box) for w in words_of(svg))


def test_a_bar_that_was_not_checked_is_empty():
    bars = [ratio_bars([("N1", 0.5, s.value)], "bars") for s in (Status.PASS, Status.NOT_CHECKED)]
    assert ["#9fb4c0" in svg for svg in bars] == [True, False]
    assert "NOT CHECKED" in bars[1]


def test_a_bar_longer_than_the_picture_is_cut():
    whole, cut = (ratio_bars([("N1", value, "FAIL")], "bars") for value in (2.5, 2.6))
    assert [svg.count('fill="#ffffff"') for svg in (whole, cut)] == [0, 1]
    assert cut.index("#1f4e66") < cut.index('fill="#ffffff"')  # painted over the bar


@pytest.mark.parametrize("count", [1, 2, 5, 12, 30])
@pytest.mark.parametrize("value", ["{}", "{}.000 m", "support type number {} at the first point of the line"])
def test_words_of_a_curve_touch_nothing(count, value):
    values = [(value.format(i + 1),) for i in range(count)]
    ratios = [nan if i % 7 == 3 else 1.5 / (1 + 0.2 * i) for i in range(count)]
    svg = study_picture(study(values, ratios, "length of the first leg"))
    apart(svg)
    curve = [s for s in strokes_of(svg) if s.width == 0.55]
    assert not any(crosses(s, w.box) for s in curve for w in words_of(svg))
    written = [w.words for w in words_of(svg)]
    said = any("stands in the table" in w for w in written)
    assert (
        said or sum("." in w and w.replace(".", "").isdecimal() for w in written if " m" not in w) >= count - count // 4
    )


def test_a_curve_is_broken_where_nothing_was_judged():
    values = [(str(i),) for i in range(5)]
    svg = study_picture(study(values, [1.2, 1.1, nan, 0.8, 0.7], "length"))
    assert [len(s.points) for s in strokes_of(svg) if s.width == 0.55] == [2, 2]
    assert "none" in [w.words for w in words_of(svg)]


@pytest.mark.parametrize(("across", "down"), [(2, 2), (9, 4), (40, 3)])
@pytest.mark.parametrize("name", ["{}", "support type {} beside the fixed saddle of the exchanger"])
def test_words_of_a_grid_touch_nothing_and_every_cell_is_there(across, down, name):
    values = [(name.format(a), name.format(b)) for a in range(down) for b in range(across)]
    svg = study_picture(study(values, [0.05 * i for i in range(len(values))], "support at PS-1", "place of the stop"))
    apart(svg)
    assert sheet_of(svg).right <= 174.0
    cells = [s for s in strokes_of(svg) if len(s.points) == 5]
    assert len(cells) == across * down
