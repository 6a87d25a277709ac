"""Units, rounding and directions as the note shows them."""

from math import inf, nan

import pytest

from pipecalc.report import format as fmt
from pipecalc.report.format import BY_UNIT, QUANTITIES, Display
from pipecalc.units import Dimension

SI, US = Display("SI"), Display("US")


@pytest.mark.parametrize(
    ("quantity", "value", "si", "us"),
    [
        ("movement", 0.0254, "25.40 mm", "1.000 in"),
        ("force", 4448.2216, "4448 N", "1000 lbf"),
        ("moment", 1355.8179, "1356 N·m", "1000 ft·lbf"),
        ("stress", 137.895146e6, "137.9 MPa", "20.00 ksi"),
        ("temperature", 100.0, "100.0 °C", "212.0 °F"),
        ("pressure", 1e5, "1.00 barg", "14.5 psig"),
        ("strain", 0.001, "1.000 mm/m", "1.200 in/100 ft"),
        ("share", 0.125, "12.5 %", "12.5 %"),
        ("density", 1000.0, "1000.0 kg/m³", "62.43 lb/ft³"),
        ("flexibility value", 30 / 144, "208333.3 (mm/m)²", "30.0000 (in/ft)²"),
    ],
)
def test_a_value_is_shown_in_both_systems(quantity, value, si, us):
    assert SI.text(quantity, value) == si
    assert US.text(quantity, value) == us


@pytest.mark.parametrize("display", [SI, US])
@pytest.mark.parametrize("quantity", list(QUANTITIES))
def test_every_quantity_can_be_shown(quantity, display):
    assert fmt.NONE not in display.text(quantity, 1.0)


def test_every_si_unit_of_a_check_has_a_quantity_of_its_own_dimension():
    for unit, quantity in BY_UNIT.items():
        if unit not in ("", "1"):
            assert QUANTITIES[quantity].dimension is Dimension(unit)


@pytest.mark.parametrize("value", [None, nan, inf])
def test_what_is_not_a_number_is_a_dash(value):
    assert SI.text("force", value) == "–"


def test_a_tiny_negative_number_is_not_a_minus_zero():
    assert fmt.fixed(-0.0004, 2) == "0.00"
    assert fmt.fixed(-1.5, 1) == "−1.5"


def test_a_ratio_just_above_one_does_not_read_as_one():
    assert fmt.ratio(1.0004) == "1.0004"
    assert fmt.ratio(1.0) == "1.00"
    assert fmt.ratio(0.997) == "1.00"
    assert fmt.ratio(nan) == "–"


def test_a_triple_lines_up():
    one, other = SI.triple("force", (1, -20, 300)), SI.triple("force", (-4000, 5, 6))
    assert len(one) == len(other)


@pytest.mark.parametrize(("nps", "text"), [(8.0, "8"), (1.5, "1 1/2"), (0.75, "3/4"), (2.5, "2 1/2")])
def test_sizes_carry_fractions(nps, text):
    assert fmt.nps_text(nps) == text


@pytest.mark.parametrize(
    ("vector", "words"),
    [((1, 0, 0), "+E"), ((0, -1, 0), "−N"), ((0, 0, 1), "+U"), ((0.6, 0.8, 0), "0.600, 0.800, 0.000")],
)
def test_directions_in_words(vector, words):
    assert fmt.direction(vector) == words


def test_an_unknown_unit_is_shown_as_it_is():
    assert SI.by_unit("m/s", 3.25) == ("3.25", "m/s")


@pytest.mark.parametrize(
    ("text", "us"),
    [
        ("skirt along the axis, 3.000 m at 70 °C", "skirt along the axis, 9.84 ft at 158.0 °F"),
        ("stands 25.4 mm above; 20 kg concentrated", "stands 1.000 in above; 44.1 lb concentrated"),
        ("item E-201 m and 12 metres", "item E-201 m and 12 metres"),
        ("a rate of at most 1000 N/m", "a rate of at most 5.7 lbf/in"),
        ("6 Nm of nothing, 5 MPa.", "6 Nm of nothing, 0.73 ksi."),
    ],
)
def test_quantities_in_sentences_follow_the_units(text, us):
    assert Display("US").words(text) == us
    assert Display("SI").words(text) == text
