"""Reading the flange tables: ratings, raised faces, bolts, moment factors, and what lies outside them."""

from math import isnan

import numpy as np
import pytest

from pipecalc.calc import flange as formula
from pipecalc.checks.flanges import rating as rated
from pipecalc.pipe_sizes import outside_diameter
from pipecalc.tables import load


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


def test_a_class_without_a_rating_has_no_limit_in_the_test():
    assert isnan(rated.limit_in_test("1.1", "400").value)


def test_the_gasket_reacts_between_pipe_and_edge_of_the_raised_face():
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


@pytest.mark.parametrize(("nps", "pressure_class"), [(14.0, "2500"), (26.0, "150"), (6.0, "400"), (0.0, "150")])
def test_no_moment_factor_outside_the_table(nps, pressure_class):
    assert isnan(rated.moment_factor(nps, pressure_class).value)


def test_a_flange_outside_the_table_has_no_bolts():
    assert rated.bolting(8.0, "900") is None
