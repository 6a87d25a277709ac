"""The reference tables: their form, their reading, and the material library made from them."""

import re
import subprocess
import sys

import numpy as np
import pytest

from pipecalc import tables
from pipecalc.calc.material import allowable_at, modulus_at, strain_between, value_used

UNITS = {
    "-", "°C", "°F", "kg/m³", "ksi", "psi", "GPa", "MPa", "bar", "mm/m", "in/100 ft", "mm", "m", "in", "ft", "N", "N·m",
    "lbf", "ft·lbf", "kg", "1/K", "kN", "kN·m", "Hz", "lb",
}  # fmt: skip
ROWS = {
    "allowable_stress_asme_b31_3_2012": 356,
    "elbows_asme_b16_9": 21,
    "expansion_asme_ii_d_2007": 269,
    "friction_common_practice": 9,
    "insulation_typical": 10,
    "materials_asme_b31_3": 24,
    "modulus_asme_ii_d_2007": 145,
    "reducers_asme_b16_9": 20,
    "spans_mss_sp_58": 21,
    "tees_asme_b16_9": 21,
}
NAMES = tables.names()


@pytest.mark.parametrize("name", NAMES)
def test_every_row_has_a_source_and_a_known_confidence(name):
    table = tables.load(name)
    assert table.columns[-2:] == ("source", "confidence")
    assert all(len(source) >= 10 for source in table.texts("source"))
    assert set(table.texts("confidence")) <= set(tables.CONFIDENCE_WORDS)


@pytest.mark.parametrize("name", NAMES)
def test_every_unit_in_a_title_is_a_known_one(name):
    brackets = [re.search(r"\[(.*)\]$", column) for column in tables.load(name).columns]
    assert {found.group(1) for found in brackets if found} <= UNITS


@pytest.mark.parametrize("name", NAMES)
def test_columns_with_a_unit_hold_numbers(name):
    table = tables.load(name)
    for column in table.columns:
        if column.endswith("]"):
            assert not np.isnan(table.numbers(column)).all(), column


@pytest.mark.parametrize("name", NAMES)
def test_a_conflict_says_what_conflicts(name):
    rows = tables.load(name).where("confidence", "conflict").rows
    assert all(row["note"] for row in rows)


@pytest.mark.parametrize(("name", "count"), ROWS.items())
def test_the_number_of_rows_is_pinned(name, count):
    assert len(tables.load(name).rows) == count


def test_a_table_is_read_once_and_cannot_be_changed():
    table = tables.load("elbows_asme_b16_9")
    assert tables.load("elbows_asme_b16_9") is table
    with pytest.raises(TypeError):
        table.rows[0]["NPS [-]"] = "7"
    with pytest.raises(ValueError, match="read-only"):
        table.numbers("NPS [-]")[0] = 7.0


def test_an_unknown_table_names_the_nearest():
    with pytest.raises(tables.UnknownNameError, match="elbows_asme_b16_9"):
        tables.load("elbows_b16_9")


def test_empty_cells_are_no_numbers():
    short = tables.load("elbows_asme_b16_9").numbers("short radius [mm]")
    assert np.isnan(short[0])
    assert np.isfinite(short[2])


@pytest.mark.parametrize("name", tables.material_names())
def test_every_material_has_a_modulus_and_expansion_at_installation_and_when_warm(name):
    material = tables.material(name)
    for temperature in (20.0, 21.0, 150.0):
        assert 1.5e11 < modulus_at(material, temperature) < 2.2e11
    assert 1.2e-3 < strain_between(material, 20.0, 150.0) < 2.3e-3
    assert 7000 < material.density < 9000
    assert material.family in ("ferritic", "austenitic", "nickel", "other ductile")


@pytest.mark.parametrize("name", tables.material_names())
def test_properties_go_the_right_way_with_temperature(name):
    material = tables.material(name)
    assert np.all(np.diff(material.expansion.value) > 0)
    assert np.all(np.diff(material.modulus.value) <= 0)
    if material.allowable is not None:
        assert np.all(np.diff(material.allowable.value) <= 0)


@pytest.mark.parametrize("name", [n for n in tables.material_names() if not n.startswith("SA-")])
def test_the_first_allowable_is_the_one_of_the_rule(name):
    """ASME B31.3 para. 302.3.2(d): the lower of a third of tensile and two thirds of yield, at room temperature."""
    material = tables.material(name)
    rule = min(material.tensile_strength / 3, material.minimum_yield * 2 / 3)
    assert allowable_at(material, 21.0) == pytest.approx(rule, rel=0.004)


def test_plates_have_no_pipe_allowable():
    for name in ("SA-516 70", "SA-240 304"):
        assert np.isnan(allowable_at(tables.material(name), 100.0))


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("A106 B", "A106 B"),
        ("A106 Gr.B", "A106 B"),
        ("a106-b", "A106 B"),
        ("ASTM A106 Grade B", "A106 B"),
        ("SA-106 B", "A106 B"),
        ("SA106 GR B", "A106 B"),
        ("A53 Gr. B", "A53 B"),
        ("API 5L Gr.B", "API 5L B"),
        ("A333 Gr.6", "A333 6"),
        ("A335-P11", "A335 P11"),
        ("p91", "A335 P91"),
        ("A312 304L", "A312 TP304L"),
        ("A312-TP304L", "A312 TP304L"),
        ("TP316", "A312 TP316"),
        ("SA-516 70", "SA-516 70"),
        ("SA 516 Gr. 70", "SA-516 70"),
        ("ASTM A240 Type 304", "SA-240 304"),
        ("SA-387 Gr 11 Class 1", "SA-387 11 Cl.1"),
        ("Alloy 400", "B165 N04400"),
    ],
)
def test_usual_spellings_are_understood(typed, name):
    assert tables.material(typed).name == name


@pytest.mark.parametrize("typed", ["A106", "A106 A", "304", "316L", "A312 TP304H", "SA-516 60", "P", "", "steel"])
def test_what_is_not_one_material_is_refused(typed):
    with pytest.raises(tables.UnknownNameError):
        tables.material(typed)


def test_the_nearest_materials_are_offered():
    assert tables.nearest_material("A106 BB")[0] == "A106 B"
    with pytest.raises(tables.UnknownNameError, match="A335 P1,"):
        tables.material("A335 P12")


def test_no_two_materials_share_a_spelling():
    spellings = [
        (tables._spelling(name), row["material"])
        for row in tables.load("materials_asme_b31_3").rows
        for name in (row["material"], *row["also written"].split(";"))
    ]
    by_spelling: dict[str, set[str]] = {}
    for spelling, material in spellings:
        by_spelling.setdefault(spelling, set()).add(material)
    assert all(len(materials) == 1 for materials in by_spelling.values())


def test_cold_expansion_is_the_older_set_shifted():
    material = tables.material("A106 B")
    old, reference = tables.expansion_curve("CS", "C-1 before 2010")
    assert reference == pytest.approx(21.11, abs=0.01)
    for cold in (-29.0, -100.0):
        assert strain_between(material, 20.0, cold) == pytest.approx(old.at(cold) - old.at(20.0))
    assert "shifted" in value_used(material, "total strain", -29.0).source
    assert "shifted" not in value_used(material, "total strain", 100.0).source


def test_the_join_has_no_step():
    material = tables.material("A312 TP304")
    assert abs(strain_between(material, 19.99, 20.01)) < 1e-6


def test_below_20_degrees_there_is_nothing_where_no_set_has_data():
    assert np.isnan(strain_between(tables.material("A790 S31803"), 20.0, 0.0))


@pytest.mark.parametrize(("limit", "fahrenheit"), [("A106 B", 1100.0), ("A312 TP304", 1500.0)])
def test_the_last_fahrenheit_row_is_inside_the_table(limit, fahrenheit):
    material = tables.material(limit)
    assert np.isfinite(allowable_at(material, (fahrenheit - 32) * 5 / 9))
    assert np.isnan(allowable_at(material, (fahrenheit + 1 - 32) * 5 / 9))


@pytest.mark.parametrize("kind", ["long radius", "short radius"])
def test_elbow_radii_follow_the_inch_rule_within_the_rounding_of_the_standard(kind):
    table = tables.load("elbows_asme_b16_9")
    printed = table.numbers(f"{kind} [mm]") * 1e-3
    for nps, radius in zip(table.numbers("NPS [-]"), printed, strict=True):
        found = tables.elbow_radius(kind, float(nps), 0.0)
        assert np.isnan(radius) or found == pytest.approx(radius, abs=0.6e-3)


def test_elbow_radius_of_small_large_and_unsized_pipe():
    assert tables.elbow_radius("long radius", 0.75, 0.0267) == pytest.approx(0.038)
    assert tables.elbow_radius("long radius", 30.0, 0.762) == pytest.approx(1.143)
    assert tables.elbow_radius("long radius", None, 0.1683) == pytest.approx(0.2286)
    assert tables.elbow_radius("long radius", None, 0.2) == pytest.approx(0.3)
    assert np.isnan(tables.elbow_radius("bend", 6.0, 0.1683))
    assert np.isnan(tables.elbow_radius("short radius", 0.5, 0.0213))


def test_reading_tables_imports_no_heavy_library():
    code = "import sys; from pipecalc import tables, fluid, pipe_sizes; tables.material('A106 B'); print(*sys.modules)"
    loaded = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.split()
    assert not {"scipy", "iapws", "fluids", "pandas", "pint", "openpyxl"} & set(loaded)
