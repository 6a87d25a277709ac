"""The fonts of the package hold every sign the note prints, and the widths used to place labels are theirs."""

import pytest
from fontTools.ttLib import TTFont

from pipecalc.report.assets import FACES, FONTS
from pipecalc.report.format import FIGURE_SPACE, MINUS
from pipecalc.report.type_width import ADVANCES, FURTHER, text_width

SIGNS = "°²³·×≤≥Δσεµ√±–—→∑θφπδ⁴“”[]" + MINUS + FIGURE_SPACE
FILES = [file for file, _weight, _style in FACES]


@pytest.mark.parametrize("file", FILES)
def test_every_sign_is_there(file):
    with TTFont(FONTS / file) as font:
        cmap = font.getBestCmap()
        missing = [c for c in SIGNS + "".join(map(chr, range(32, 127))) if ord(c) not in cmap]
        assert missing == []


@pytest.mark.parametrize("file", FILES)
def test_figures_minus_and_figure_space_have_one_width(file):
    with TTFont(FONTS / file) as font:
        cmap, widths = font.getBestCmap(), font["hmtx"]
        assert len({widths[cmap[ord(c)]][0] for c in "0123456789" + MINUS + FIGURE_SPACE}) == 1


def test_the_widths_for_labels_are_those_of_the_regular_face():
    with TTFont(FONTS / FILES[0]) as font:
        cmap, widths = font.getBestCmap(), font["hmtx"]
        assert tuple(widths[cmap[i]][0] for i in range(32, 127)) == ADVANCES


def test_the_widths_of_further_signs_are_those_of_the_regular_face():
    with TTFont(FONTS / FILES[0]) as font:
        cmap, widths = font.getBestCmap(), font["hmtx"]
        assert {sign: widths[cmap[ord(sign)]][0] for sign in FURTHER} == FURTHER


def test_the_semibold_width_is_not_underestimated():
    words = "D-201/V1 (10) E-220/S1"
    with TTFont(FONTS / FILES[1]) as font:
        cmap, widths = font.getBestCmap(), font["hmtx"]
        own = sum(widths[cmap[ord(c)]][0] for c in words) / 1000
    assert text_width(words, 1.0, bold=True) >= 0.995 * own


def test_the_licence_is_beside_the_fonts_and_they_are_small():
    assert "SIL OPEN FONT LICENSE" in (FONTS / "OFL.txt").read_text(encoding="utf-8").upper()
    assert sum((FONTS / file).stat().st_size for file in FILES) < 2_000_000
