"""Figures as they are printed: text is where it is thought to be, can be read, and nothing hangs on colour."""

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from itertools import combinations, pairwise

import findings
import plants
import pypdfium2
import pytest
from drawn_words import sheet_of, words_of
from plants import TRACE
from test_style import contrast, luminance

from pipecalc.report.format import Display
from pipecalc.report.iso_scene import Overlay
from pipecalc.report.isometric import PAIR, isometric
from pipecalc.report.note import linked_faces, note_context
from pipecalc.report.parts import Figure
from pipecalc.report.pdf import Document, make_pdf
from pipecalc.report.stress_sections import CLASSES, class_key
from pipecalc.report.svg import PENS, Drawing

SI = Display("SI")
POINT = 72.0 / 25.4  # per millimetre
KEYED = dict(class_key())


@pytest.fixture(scope="module")
def figures():
    plant = plants.plant()
    context = note_context(plant, findings.results(plant), TRACE)
    found = []

    def walk(value):
        if isinstance(value, Figure):
            found.append(value)
        elif isinstance(value, Mapping):
            for v in value.values():
                walk(v)
        elif isinstance(value, list | tuple):
            for v in value:
                walk(v)
        elif is_dataclass(value):
            for f in fields(value):
                walk(getattr(value, f.name))

    walk(context)
    return found


def test_words_on_the_page_fill_no_more_than_their_boxes():
    """The renderer's own boxes of glyphs, read back from the PDF, against the boxes that labels are placed with."""
    plant = plants.plant()
    sketch = isometric(plant, plant.lines["V-2101"], SI)
    sheet = sheet_of(sketch.svg)
    page = (
        f"@page {{ size: {sheet.right}mm {sheet.bottom}mm; margin: 0 }} body {{ margin: 0 }} svg {{ display: block }}"
    )
    document = pypdfium2.PdfDocument(make_pdf(Document(f"<style>{linked_faces()}{page}</style>{sketch.svg}")).data)
    text = document[0].get_textpage()
    glyphs = [text.get_charbox(i) for i in range(text.count_chars()) if text.get_text_range(i, 1).strip()]
    height = document[0].get_height()
    boxes = [
        (left / POINT, (height - top) / POINT, right / POINT, (height - low) / POINT)
        for left, low, right, top in glyphs
    ]
    places = [p.box.grown(0.12) for p in sketch.labels] + [w.box.grown(0.12) for w in words_of(sketch.svg)]
    stray = [
        b
        for b in boxes
        if not any(p.left <= b[0] and b[2] <= p.right and p.top <= b[1] and b[3] <= p.bottom for p in places)
    ]
    assert len(boxes) > 150
    assert stray == []


def test_there_are_figures_of_every_kind(figures):
    names = " ".join(f.name for f in figures)
    missing = [kind for kind in ("line-", "equipment-", "nozzle-ratios", "-axes") if kind not in names]
    assert missing == []


def test_every_colour_of_words_can_be_read_on_paper(figures):
    colours = {w.colour for f in figures for w in words_of(str(f.svg))}
    assert len(colours) >= 3
    assert {c for c in colours if contrast(c, "#ffffff") < 4.5} == set()


def test_words_of_all_figures_keep_apart(figures):
    for figure in figures:
        words, sheet = words_of(str(figure.svg)), sheet_of(str(figure.svg))
        assert [w.words for w in words if not w.box.inside(sheet)] == [], figure.name
        assert [(a.words, b.words) for a, b in combinations(words, 2) if a.box.meets(b.box)] == [], figure.name


def test_no_word_of_a_figure_is_smaller_than_can_be_read(figures):
    assert min(w.size for f in figures for w in words_of(str(f.svg))) * POINT >= 5.6  # type size in points


def grey(colour):
    return luminance(colour)


@pytest.mark.parametrize(("one", "other"), list(combinations(KEYED, 2)))
def test_ratio_classes_are_told_apart_in_grey(one, other):
    """Width by a third, a dash pattern of its own, or a core; colour and shade of grey do not count."""
    a, b = PENS[one], PENS[other]
    assert a.dash != b.dash or bool(a.core) != bool(b.core) or max(a.width, b.width) >= 1.33 * min(a.width, b.width)


def test_higher_classes_are_never_lighter_to_the_eye():
    """Ink of a millimetre of line on paper: width times darkness times the drawn share of the dash pattern."""

    def ink(pen):
        strokes = [float(v) for v in pen.dash.split()] or [1.0, 0.0]
        core = 2.0 / 3.0 if pen.core == "#ffffff" else 1.0
        return pen.width * (1.0 - grey(pen.colour)) * strokes[0] / sum(strokes) * core

    inks = [ink(PENS[f"class-{i + 1}"]) for i in range(len(CLASSES) + 1)]
    assert inks == sorted(inks)


def test_not_checked_looks_like_no_class():
    """Strokes across the line, wider apart than they are long, as no class of ratio has."""
    pen = PENS["unchecked"]
    drawn, gap = (float(v) for v in pen.dash.split())
    assert drawn < 0.3 < gap
    assert pen.width > 3 * PENS["class-1"].width
    assert pen.core == pen.colour
    assert KEYED["unchecked"] == "NOT CHECKED"
    for i in range(len(CLASSES) + 1):
        dash = PENS[f"class-{i + 1}"].dash
        assert not dash or float(dash.split()[0]) > 1.0


def test_classes_in_a_rendering_without_colour():
    """Drawn, printed in grey and measured: share of ink across the line differs between all pens of the key."""
    drawing = Drawing(120.0, 10.0 * len(KEYED), "pens")
    for i, pen in enumerate(KEYED):
        drawing.line(pen, (0.0, 10.0 * i + 5.0), (120.0, 10.0 * i + 5.0))
    page = f"@page {{ size: 120mm {10 * len(KEYED)}mm; margin: 0 }} body {{ margin: 0 }} svg {{ display: block }}"
    made = make_pdf(Document(f"<style>{page}</style>{drawing.svg()}"))
    image = pypdfium2.PdfDocument(made.data)[0].render(scale=6).to_pil().convert("L")
    rows = image.height / len(KEYED)
    found = []
    for i in range(len(KEYED)):
        band = image.crop((0, int(i * rows), image.width, int((i + 1) * rows))).point(lambda v: 255 if v < 160 else 0)
        box = band.getbbox()
        middle = [band.getpixel((x, (box[1] + box[3]) // 2)) > 0 for x in range(image.width)]
        changes = sum(a != b for a, b in pairwise(middle))
        edge = [band.getpixel((x, box[1] + 2)) > 0 for x in range(image.width)]
        edge_changes = sum(a != b for a, b in pairwise(edge))
        found.append((box[3] - box[1], changes, edge_changes, middle[image.width // 2]))
    for one, other in combinations(found, 2):
        thick = max(one[0], other[0]) / min(one[0], other[0]) >= 1.3
        assert thick or one[1:] != other[1:], (one, other)


def test_the_worst_ratio_says_its_verdict_in_words():
    plant = plants.plant()
    over = Overlay(values={"50": "1.31 FAIL", "80": "NOT CHECKED"}, key=class_key())
    words = [w.words for w in words_of(isometric(plant, plant.lines["V-2101"], SI, over, PAIR).svg)]
    assert {"50: 1.31 FAIL", "80: NOT CHECKED", "NOT CHECKED", "over the limit: FAIL"} <= set(words)
