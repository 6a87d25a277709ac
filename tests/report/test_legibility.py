"""Colours and words: contrast of text, statuses that need no colour, characters that survive copying."""

import re
import shutil
import subprocess
from functools import cache
from html import unescape

import pytest
from conftest import page_texts
from demo import run_of

from pipecalc.report.assets import templates_folder
from pipecalc.results import Status

DEMO = "geothermal-heat"
LEAST_CONTRAST = 4.5  # WCAG 2.2, success criterion 1.4.3, normal text
PAPER = "#ffffff"
STATUS_CLASSES = {s.value.lower().replace(" ", "-"): s.value for s in Status}
UNITS = ("N·m", "°C", "kg/m³", "(mm/m)²", "MPa", "N/mm", "barg", "Σ", "δ", "π", "√", "≤", "×", "−")


@cache
def rules():
    """Declarations of every rule of the style sheet, by selector."""
    text = re.sub(r"/\*.*?\*/", "", (templates_folder() / "note.css").read_text(encoding="utf-8"), flags=re.DOTALL)
    return [
        (selector.strip(), dict(re.findall(r"(?<![\w-])([\w-]+)\s*:\s*([^;]+)", body)))
        for selector, body in re.findall(r"([^{}]+)\{([^{}]*)\}", text)
    ]


def luminance(colour):
    def linear(value):
        return value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4

    red, green, blue = (linear(int(colour[i : i + 2], 16) / 255) for i in (1, 3, 5))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one, other):
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_contrast_is_that_of_its_definition():
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)


def test_every_text_can_be_read_on_paper_and_on_every_fill():
    """The text colour of the page on every fill, and every other text colour on paper."""
    inks = {d["color"]: s for s, d in rules() if d.get("color", "").startswith("#")}
    fills = {d["background"]: s for s, d in rules() if d.get("background", "").startswith("#")}
    body = next(d["color"] for s, d in rules() if s == "html")
    assert len(inks) >= 3
    assert len(fills) >= 3
    assert {ink: where for ink, where in inks.items() if contrast(ink, PAPER) < LEAST_CONTRAST} == {}
    assert {fill: where for fill, where in fills.items() if contrast(body, fill) < LEAST_CONTRAST} == {}


def test_figures_write_nothing_too_pale():
    drawn = " ".join(
        path.read_text(encoding="utf-8") for path in sorted((run_of(DEMO).folder / "figures").glob("*.svg"))
    )
    inks = set(re.findall(r'<g font-size="[^"]*" fill="(#[0-9a-fA-F]{6})"', drawn))
    assert inks
    assert {ink for ink in inks if contrast(ink, PAPER) < LEAST_CONTRAST} == set()


def test_a_status_is_always_a_word_and_never_a_colour_alone():
    html = (run_of(DEMO).folder / f"{DEMO}.html").read_text(encoding="utf-8")
    found = re.findall(r'<(?:td|span) class="(?:word )?([a-z-]+)">([^<]*)</', html)
    coloured = [(name, words.strip()) for name, words in found if name in STATUS_CLASSES]
    assert len(coloured) > 50
    assert {(name, words) for name, words in coloured if STATUS_CLASSES[name] != words} == set()


def test_fills_of_statuses_stay_pale_without_colour():
    """Printed in grey, every fill leaves the words above it readable."""
    for selector, declared in rules():
        fill = declared.get("background", "")
        if selector.lstrip(".") in STATUS_CLASSES and fill:
            grey = round(255 * luminance(fill) ** (1 / 2.2))
            assert contrast("#1c1f22", f"#{grey:02x}{grey:02x}{grey:02x}") >= LEAST_CONTRAST, selector


def test_every_character_of_the_note_can_be_copied_from_the_pdf():
    html = (run_of(DEMO).folder / f"{DEMO}.html").read_text(encoding="utf-8")
    body = re.sub(r"<(style|head)\b.*?</\1>", "", html, flags=re.DOTALL)
    said = set(unescape(re.sub(r"<[^>]+>", "", body)))
    copied = set("".join(page_texts(run_of(DEMO).note)))
    assert {c for c in said - copied if not c.isspace()} == set()
    assert {c for c in copied if "\ue000" <= c <= "\uf8ff" or c == "\ufffd"} == set()


def test_units_can_be_searched_in_the_demo_note():
    text = "".join(page_texts(run_of(DEMO).note))
    assert [unit for unit in UNITS if unit not in text] == []


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="poppler's tools are not installed")
def test_another_reader_finds_the_same_units_pages_and_facts():
    note = str(run_of(DEMO).note)
    text = subprocess.run(["pdftotext", note, "-"], check=True, capture_output=True, encoding="utf-8").stdout  # noqa: S607
    assert [unit for unit in UNITS if unit not in text] == []
    told = subprocess.run(["pdfinfo", note], check=True, capture_output=True, encoding="utf-8")  # noqa: S607
    assert told.stderr == ""
    assert re.search(rf"Pages:\s+{len(list(page_texts(run_of(DEMO).note)))}\b", told.stdout)
    assert re.search(r"Subject:\s+Piping calculation note", told.stdout)
    assert re.search(r"Tagged:\s+yes", told.stdout)
