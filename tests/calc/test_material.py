"""Reading properties at a temperature, and saying where they came from."""

import dataclasses

import numpy as np
import pytest

from pipecalc.calc.material import (
    Curve,
    Material,
    allowable_at,
    least_sure,
    modulus_at,
    strain_between,
    value_used,
    values_used,
    yield_at,
)


def curve(points, below="refuse", confidence=None):
    temperatures, values = zip(*points, strict=True)
    words = confidence or ("confirmed",) * len(points)
    sources = tuple(f"book {t:g}" for t in temperatures)
    return Curve(np.array(temperatures, float), np.array(values, float), sources, words, below)


STEEL = Material(
    name="own steel",
    title="made-up steel",
    density=7850.0,
    poisson=0.3,
    modulus=curve([(-100.0, 210e9), (20.0, 200e9), (420.0, 160e9)]),
    expansion=curve([(20.0, 0.0), (120.0, 1.2e-3), (220.0, 2.6e-3)], confidence=("confirmed", "memory", "conflict")),
    expansion_reference=20.0,
    allowable=curve([(40.0, 138e6), (240.0, 118e6)], below="hold"),
    yield_strength=None,
    minimum_yield=240e6,
    tensile_strength=415e6,
    min_temperature=-29.0,
    family="ferritic",
    flange_group="1.1",
    note="",
    user_defined=True,
    source="mill sheet",
    confidence="user",
)


def test_modulus_is_linear_between_rows():
    assert modulus_at(STEEL, 220.0) == pytest.approx(180e9)
    assert np.isnan(modulus_at(STEEL, 421.0))
    assert np.isnan(modulus_at(STEEL, -101.0))


def test_strain_is_the_difference_of_totals():
    assert strain_between(STEEL, 70.0, 170.0) == pytest.approx(1.9e-3 - 0.6e-3)
    assert strain_between(STEEL, 170.0, 70.0) == pytest.approx(-1.3e-3)
    assert strain_between(STEEL, 60.0, 60.0) == 0.0


@pytest.mark.parametrize(("cold", "hot"), [(19.0, 100.0), (20.0, 221.0), (float("nan"), 100.0)])
def test_strain_outside_the_table_is_refused(cold, hot):
    assert np.isnan(strain_between(STEEL, cold, hot))


def test_allowable_holds_down_to_the_minimum_temperature_and_no_further():
    assert allowable_at(STEEL, 20.0) == 138e6
    assert allowable_at(STEEL, -29.0) == 138e6
    assert np.isnan(allowable_at(STEEL, -30.0))
    assert np.isnan(allowable_at(STEEL, 241.0))
    assert allowable_at(STEEL, 140.0) == pytest.approx(128e6)


def test_without_a_minimum_temperature_nothing_is_held():
    unknown = dataclasses.replace(STEEL, min_temperature=float("nan"))
    assert np.isnan(allowable_at(unknown, 39.0))
    assert allowable_at(unknown, 40.0) == 138e6


def test_without_a_line_there_is_no_allowable():
    assert np.isnan(allowable_at(dataclasses.replace(STEEL, allowable=None), 100.0))


def test_specified_yield_is_a_room_temperature_value():
    assert yield_at(STEEL, 38.0 - 0.3) == 240e6
    assert np.isnan(yield_at(STEEL, 39.0))
    hot = dataclasses.replace(STEEL, yield_strength=curve([(20.0, 240e6), (220.0, 200e6)]))
    assert yield_at(hot, 120.0) == pytest.approx(220e6)


def test_properties_take_arrays():
    np.testing.assert_array_equal(allowable_at(STEEL, np.array([-30.0, 0.0, 300.0])), [np.nan, 138e6, np.nan])


def test_a_value_names_the_rows_it_was_read_from():
    used = value_used(STEEL, "total strain", 170.0)
    assert (used.source, used.confidence) == ("book 120; book 220", "memory")
    assert used.value == pytest.approx(1.9e-3)


def test_a_held_value_says_so():
    assert value_used(STEEL, "allowable stress", 0.0).source == "book 40 (first row held below its temperature)"


def test_no_value_has_no_source():
    used = value_used(STEEL, "modulus", 900.0)
    assert np.isnan(used.value)
    assert used.source == "no value"


def test_specified_yield_carries_the_materials_source():
    assert value_used(STEEL, "yield", 20.0).source == "mill sheet"


def test_values_used_list_every_property_once_per_temperature():
    listed = values_used(STEEL, [120.0, 20.0, 120.0])
    assert [(v.quantity, v.temperature) for v in listed] == [
        (q, t) for q in ("modulus", "total strain", "allowable stress") for t in (20.0, 120.0)
    ]


@pytest.mark.parametrize(
    ("words", "weakest"),
    [(["confirmed"], "confirmed"), (["confirmed", "conflict"], "conflict"), (["conflict", "memory"], "memory"),
     (["odd"], "memory"), ([], "memory")],
)  # fmt: skip
def test_the_weakest_word_counts(words, weakest):
    assert least_sure(words) == weakest


def test_a_curve_cannot_be_changed_or_be_out_of_order():
    with pytest.raises(ValueError, match="read-only"):
        STEEL.modulus.value[0] = 1.0
    with pytest.raises(ValueError, match="increase"):
        curve([(20.0, 1.0), (10.0, 2.0)])
    with pytest.raises(ValueError, match="every row"):
        Curve(np.array([1.0]), np.array([1.0]), (), ("confirmed",))
