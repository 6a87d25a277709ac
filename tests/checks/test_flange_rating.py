"""Reading the flange tables: ratings, raised faces, bolts, moment factors, and what lies outside them."""

from math import isnan

import numpy as np
import pytest

from pipecalc.calc import flange as formula
from pipecalc.checks.flanges import rating as rated
from pipecalc.pipe_sizes import outside_diameter
from pipecalc.tables import load


def test_ratings_are_linear_between_temperatures():
    """Group 1.1, class 300: 45.1 bar at 150 °C and 43.8 bar at 200 °C."""
    assert rated.rating("1.1", "300", 175.0).value == pytest.approx(44.45e5)


@pytest.mark.parametrize(
    ("group", "pressure_class", "temperature", "word"),
    [
        ("1.1", "300", 538.1, "outside the rating table"),
        ("1.1", "300", -29.1, "outside the rating table"),
        ("2.3", "150", 451.0, "outside the rating table"),
        ("1.1", "400", 100.0, "class 400"),
        ("1.1", "225", 100.0, "class 225"),
        ("1.5", "300", 100.0, "group 1.5"),
        ("", "300", 100.0, "material group is not known"),
        ("1.1", "", 100.0, "class is not given"),
        ("1.1", "300", float("nan"), "outside"),
    ],
)
def test_outside_the_table_there_is_no_rating(group, pressure_class, temperature, word):
    found = rated.rating(group, pressure_class, temperature)
    assert isnan(found.value)
    assert word in found.reason


def test_groups_1_1_and_1_10_are_not_the_same():
    assert rated.rating("1.10", "300", 400.0).value != rated.rating("1.1", "300", 400.0).value


def test_the_weakest_row_used_gives_the_confidence_and_its_note():
    assert rated.rating("1.1", "300", 150.0).confidence == "confirmed"
    assert "graphitization" in rated.rating("1.1", "300", 450.0).reason
    assert rated.rating("1.13", "300", 475.0).confidence == "conflict"
    assert rated.rating("1.10", "600", 100.0).confidence == "memory"


@pytest.mark.parametrize("group", sorted(set(load("flange_ratings_asme_b16_5_2009").texts("material group"))))
def test_ratings_fall_with_temperature_and_rise_with_class(group):
    curves = []
    for pressure_class in ("150", "300", "600", "900", "1500", "2500"):
        rows = load("flange_ratings_asme_b16_5_2009").where("material group", group).where("class", pressure_class)
        assert np.all(np.diff(rows.numbers("temperature [°C]")) > 0)
        assert np.all(np.diff(rows.numbers("rating [bar]")) <= 0)
        curves.append([rated.rating(group, pressure_class, t).value for t in (38.0, 200.0, 400.0)])
    assert np.all(np.diff(np.array(curves), axis=0) > 0)


def test_the_test_limit_is_one_and_a_half_times_the_cold_rating():
    assert rated.limit_in_test("1.1", "150").value == pytest.approx(1.5 * 19.6e5)
    assert isnan(rated.limit_in_test("1.1", "400").value)


def test_the_gasket_reacts_between_pipe_and_edge_of_the_raised_face():
    """NPS 8: raised face 269.9 mm, pipe 219.1 mm, b0 = 12.7 mm, b = 2.52 sqrt(12.7) = 8.98 mm, G = 251.9 mm."""
    assert rated.reaction_diameter(8.0).value == pytest.approx(0.2519, abs=1e-4)
    for nps in load("flange_raised_face_asme_b16_5").numbers("NPS [-]"):
        G = rated.reaction_diameter(float(nps)).value
        assert outside_diameter(float(nps)) < G


def test_a_narrow_gasket_counts_in_full():
    assert formula.effective_width(0.005) == 0.005
    assert formula.effective_width(0.0063499) == pytest.approx(formula.effective_width(0.0063501), rel=1e-4)
    assert isnan(formula.gasket_reaction_diameter(0.2, 0.2191))


@pytest.mark.parametrize("nps", [3.5, 26.0, 0.0])
def test_sizes_without_a_raised_face(nps):
    found = rated.reaction_diameter(nps)
    assert isnan(found.value)
    assert "NPS" in found.reason


@pytest.mark.parametrize(
    ("nps", "pressure_class", "factor"),
    [(0.5, "150", 1.2), (12.0, "300", 0.5), (24.0, "600", 0.5), (14.0, "900", 0.3), (12.0, "2500", 0.5)],
)
def test_moment_factors(nps, pressure_class, factor):
    assert rated.moment_factor(nps, pressure_class).value == factor


@pytest.mark.parametrize(("nps", "pressure_class"), [(14.0, "2500"), (26.0, "150"), (6.0, "400"), (0.0, "150")])
def test_no_moment_factor_outside_the_table(nps, pressure_class):
    assert isnan(rated.moment_factor(nps, pressure_class).value)


@pytest.mark.source("ASME and TEMA bolting tables: root area of 5/8 to 1 1/2 in bolts, square inches")
@pytest.mark.parametrize(
    ("size", "threads", "area"),
    [(0.625, 11, 0.202), (0.75, 10, 0.302), (0.875, 9, 0.419), (1.0, 8, 0.551), (1.25, 8, 0.929), (1.5, 8, 1.405)],
)
def test_root_areas(size, threads, area):
    found = formula.bolt_root_area(size * 0.0254, 0.0254 / threads) / 0.0254**2
    assert found == pytest.approx(area, abs=6e-4)


def test_bolts_of_a_flange():
    """NPS 8 class 300: 12 bolts of 7/8 in on 330.2 mm."""
    bolts = rated.bolting(8.0, "300")
    assert bolts.circle == pytest.approx(0.3302)
    assert bolts.area == pytest.approx(12 * 0.419 * 0.0254**2, rel=2e-3)
    assert rated.bolting(8.0, "900") is None
