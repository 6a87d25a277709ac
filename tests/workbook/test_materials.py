"""The user's own materials and overrides; what is missing is said, never taken from elsewhere."""

import numpy as np
import pytest

from pipecalc.calc.material import allowable_at, modulus_at, strain_between
from pipecalc.results import Status
from tests.analysis.hand_plants import built, checked, codes, line_rows

RUNS = [{"east": 6}, {"north": 4}]


def rows_with(*materials, name: str = "Own", **line):
    rows = line_rows(RUNS, line={"material": name} | line)
    rows["Materials"] = [{"material": name, "source": "data sheet 5"} | m for m in materials]
    return rows


FULL = (
    {"temperature": 20, "modulus": 200, "expansion": 11.5, "allowable": 140, "density": 7900},
    {"temperature": 300, "modulus": 180, "expansion": 13, "allowable": 100},
)


def test_an_own_material_is_interpolated_between_its_rows() -> None:
    found = built(rows_with(*FULL)).lines["L-1"].material
    assert (found.density, found.user_defined) == (7900.0, True)
    assert modulus_at(found, 160.0) == pytest.approx(190e9)
    assert allowable_at(found, 160.0) == pytest.approx(120e6)


def test_mean_expansion_counts_from_20_degrees_and_totals_are_interpolated() -> None:
    found = built(rows_with(*FULL)).lines["L-1"].material
    assert strain_between(found, 20.0, 300.0) == pytest.approx(13e-6 * 280)
    assert strain_between(found, 20.0, 160.0) == pytest.approx(13e-6 * 280 / 2)
    assert found.expansion_reference == 20.0


def test_every_value_names_its_source_and_cell_row() -> None:
    found = built(rows_with(*FULL)).lines["L-1"].material
    assert found.modulus.source == ("data sheet 5 (Materials!3)", "data sheet 5 (Materials!4)")
    assert set(found.modulus.confidence) == {"user"}


def test_an_override_replaces_one_property_and_keeps_the_others() -> None:
    plain = built(line_rows(RUNS)).lines["L-1"].material
    rows = rows_with({"temperature": 20, "allowable": 90}, {"temperature": 300, "allowable": 80}, name="A106 B")
    found = built(rows).lines["L-1"].material
    assert allowable_at(found, 160.0) == pytest.approx(85e6)
    assert modulus_at(found, 160.0) == modulus_at(plain, 160.0)
    assert found.user_defined
    assert not plain.user_defined


def test_an_overriding_table_is_not_extrapolated() -> None:
    rows = rows_with({"temperature": 20, "allowable": 90}, {"temperature": 150, "allowable": 80}, name="A106 B")
    (problem,) = checked(rows).errors
    assert (problem.code, str(problem.address)) == ("temperature-outside-table", "Lines!3")
    assert problem.accepted == "20 to 150 °C"


def test_a_new_material_without_modulus_expansion_or_density_is_an_error() -> None:
    (problem,) = checked(rows_with({"temperature": 20, "modulus": 200})).errors
    assert problem.code == "material-incomplete"
    assert "no Mean expansion, Density" in problem.found


def test_a_material_without_allowable_stress_is_a_warning_and_its_checks_are_not_made() -> None:
    from pipecalc.analysis.legs import hand_line
    from pipecalc.analysis.lines import quick_checks, wall_checks

    bare = [{k: v for k, v in row.items() if k != "allowable"} for row in FULL]
    rows = rows_with(*bare)
    assert [c for c in codes(rows, "warning") if c[0] == "allowable-unknown"] == [("allowable-unknown", "Lines!3")]
    plant = built(rows)
    line = plant.lines["L-1"]
    found = [*hand_line(line, plant).checks, *wall_checks(line), *quick_checks(line, plant)]
    assert {c.status for c in found} == {Status.NOT_CHECKED}
    assert all(c.reason for c in found)


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ({"design_temperature": 900}, "temperature-outside-table"),
        ({"operating_temperature": 700, "design_temperature": 500}, "temperature-outside-table"),
    ],
)
def test_a_temperature_outside_the_library_is_an_error(line, code: str) -> None:
    assert {c for c, _ in codes(line_rows(RUNS, line=line))} == {code}


def test_the_modulus_must_be_known_at_installation_temperature_too() -> None:
    hot_only = [FULL[0] | {"temperature": 20, "modulus": None}, FULL[1], {"temperature": 100, "modulus": 195}]
    problems = checked(rows_with(*hot_only)).errors
    assert [p.code for p in problems] == ["temperature-outside-table"]
    assert "modulus of Own at 21 °C" in problems[0].found


def test_equipment_temperatures_outside_the_table_are_errors_with_the_row() -> None:
    rows = line_rows(RUNS)
    rows["Equipment"][1] |= {"kind": "vertical on lugs", "outside_diameter": 1000, "support_temperature": 50}
    rows["Zones"] = [{"equipment": "P-2", "from_": 0, "to": 3, "temperature": 1050}]
    assert set(codes(rows)) == {("temperature-outside-table", "Zones!3"), ("temperature-outside-table", "Equipment!4")}


def test_a_steel_density_override_holds_for_every_material() -> None:
    plant = built(line_rows(RUNS, project={"steel_density": 8000}))
    assert plant.lines["L-1"].material.density == 8000.0
    assert plant.equipment["P-1"].material.density == 8000.0


def test_nothing_of_a_sound_plant_is_unknown() -> None:
    plant = built(rows_with(*FULL))
    for segment in plant.lines["L-1"].segments:
        assert np.isfinite(strain_between(segment.material, 21.0, 180.0))
