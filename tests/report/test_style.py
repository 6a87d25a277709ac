"""Colours of the style sheet and the figures: text can be read, and verdicts do not hang on colour."""

import re

import pytest

from pipecalc.report.assets import templates_folder
from pipecalc.report.svg import ACCENT, INK, PALE, PENS, QUIET

CSS = (templates_folder() / "note.css").read_text(encoding="utf-8")
FILLS: dict[str, str] = dict(re.findall(r"^\.([\w-]+) \{ background: (#\w{6})", CSS, re.MULTILINE))


def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2.1 defines it."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


@pytest.mark.source("WCAG 2.1, success criterion 1.4.3: 4.5 to 1; black on white is 21 to 1")
def test_the_measure_itself():
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)


@pytest.mark.parametrize("colour", sorted(set(re.findall(r"(?<!-)color: (#\w{6})", CSS)) | {INK, QUIET, ACCENT}))
def test_text_on_white_can_be_read(colour):
    assert contrast(colour, "#ffffff") >= 4.5


@pytest.mark.parametrize("fill", sorted(FILLS.values()))
def test_text_on_the_fill_of_a_verdict_can_be_read(fill):
    assert contrast(INK, fill) >= 4.5


@pytest.mark.parametrize("colour", [INK, QUIET])
def test_text_on_a_shell_can_be_read(colour):
    assert contrast(colour, PALE) >= 4.5


def test_text_on_the_shades_of_a_study_can_be_read():
    assert all(contrast(INK, PENS[f"shade-{n}"].fill) >= 4.5 for n in (1, 2, 3))
    assert contrast("#ffffff", PENS["shade-over"].fill) >= 4.5


def test_every_verdict_has_a_fill_of_its_own():
    assert len({FILLS[name] for name in ("fail", "pass", "not-checked")}) == 3
