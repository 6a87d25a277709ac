"""The fonts of the package hold every sign the note prints, and the widths used to place labels are theirs."""

import pytest
from fontTools.ttLib import TTFont

from pipecalc.report.assets import FACES, FONTS
from pipecalc.report.format import FIGURE_SPACE, MINUS
from pipecalc.report.type_width import (
    ADVANCES,
    BOLD_ADVANCES,
    BOLD_FURTHER,
    CHARACTERS,
    FURTHER,
    text_rise,
    text_width,
)

SIGNS = "°²³·×≤≥ΔσεµΦλκ√±–—→∑θφπδ⁴“”[]" + MINUS + FIGURE_SPACE
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


@pytest.mark.parametrize(
    ("file", "advances", "further"), [(FILES[0], ADVANCES, FURTHER), (FILES[1], BOLD_ADVANCES, BOLD_FURTHER)]
)
def test_the_widths_for_labels_are_those_of_the_faces(file, advances, further):
    with TTFont(FONTS / file) as font:
        cmap, widths = font.getBestCmap(), font["hmtx"]
        assert tuple(widths[cmap[i]][0] for i in CHARACTERS) == advances
        assert {sign: widths[cmap[ord(sign)]][0] for sign in further} == further


@pytest.mark.parametrize("file", FILES[:2])
def test_no_character_is_wider_or_taller_than_is_counted(file):
    with TTFont(FONTS / file) as font:
        cmap, widths, glyphs = font.getBestCmap(), font["hmtx"], font["glyf"]
        for code, name in cmap.items():
            above, below = text_rise(chr(code))
            assert widths[name][0] <= 1000 * text_width(chr(code), 1.0, bold=file == FILES[1])
            if code < 0x2190:  # arrows and blocks fill more than a line and stand in no name
                assert getattr(glyphs[name], "yMax", 0) <= 1000 * above
                assert getattr(glyphs[name], "yMin", 0) >= -1000 * below


def test_words_are_as_wide_as_their_characters():
    assert text_width("D-201/V1", 2.0) == sum(text_width(c, 2.0) for c in "D-201/V1")
    assert text_width("D-201/V1", 2.0, bold=True) > text_width("D-201/V1", 2.0)


def test_the_licence_is_beside_the_fonts_and_they_are_small():
    assert "SIL OPEN FONT LICENSE" in (FONTS / "OFL.txt").read_text(encoding="utf-8").upper()
    assert sum((FONTS / file).stat().st_size for file in FILES) < 2_000_000
