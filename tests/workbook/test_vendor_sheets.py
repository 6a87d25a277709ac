"""The nozzle load data sheet: every item's loads in nozzle axes, sets, sums and requests."""

from io import BytesIO

import pytest
from openpyxl import load_workbook

from pipecalc.workbook.blank import blank_bytes
from pipecalc.workbook.package import SheetCell
from pipecalc.workbook.vendor_sheets import AXES, EMPTY, nozzle_data_sheets
from tests.analysis.machine_plants import built, found, load_on, pump_plant, vessel_plant


def cells(rows, units="SI"):
    plant, _ = built(rows, units)
    return [
        [c.value if isinstance(c, SheetCell) else c for c in row]
        for row in nozzle_data_sheets(plant, found(rows, units)).rows
    ]


@pytest.fixture(scope="module")
def pump():
    return cells(pump_plant("API 610; NEMA SM 23"))


def row_after(table, head, first):
    start = next(n for n, row in enumerate(table) if row and str(row[0]).startswith(head))
    return next(row for row in table[start:] if row and row[0] == first)


def test_loads_by_case_stand_in_nozzle_axes(pump):
    load = load_on(found(pump_plant("API 610; NEMA SM 23")), "S", "operating")
    row = row_after(pump, "Nozzle S:", "operating")
    assert row[1] == "operating"
    assert row[2:8] == pytest.approx(list(load.components.values()))


def test_the_test_is_listed_and_the_largest_of_all_cases_stands_below(pump):
    assert row_after(pump, "Nozzle S:", "pressure test")
    largest = row_after(pump, "Nozzle S:", "largest of all cases, each by itself")
    cases = [row for row in pump if row and row[0] in ("operating", "sustained, cold", "pressure test")][:3]
    assert all(abs(largest[2]) >= abs(row[2]) for row in cases)


def test_axes_are_told_in_words_and_as_vectors(pump):
    texts = [str(row[0]) for row in pump if row]
    assert all(line in texts for line in AXES)
    assert (
        "Axes, East, North, Up: R = (-1.000, 0.000, 0.000);  L = (0.000, 0.000, 1.000);  C = (0.000, 1.000, 0.000)"
        in texts
    )


def test_a_set_over_its_limit_says_by_which_factor_to_raise_it(pump):
    row = row_after(pump, "Nozzle S:", "API 610")
    assert row[1] == "FAIL"
    assert row[3] >= row[2] > 1
    assert row[3] == pytest.approx(row[2], abs=0.01)


def test_loads_in_a_standards_own_axes_and_the_machines_sums_are_listed(pump):
    texts = [str(row[0]) for row in pump if row]
    assert "The same loads in the axes of API 610: X along the shaft, Y horizontal across it, Z up" in texts
    assert row_after(pump, "The same loads in the axes of API 610", "allowable, either sense")[2] == pytest.approx(3110)
    assert row_after(pump, "All nozzles of P-1 together", "all connections: resultants")[3] == "NEMA SM 23"


def test_supports_on_the_shell_are_listed_with_their_loads():
    rows = vessel_plant()
    rows["Supports"][0]["attached_to"] = "V-1"
    table = cells(rows)
    head = next(n for n, row in enumerate(table) if row and str(row[0]).startswith("Support S-1 (rest) on the shell"))
    assert "NOT CHECKED" in table[head + 1][0]
    assert any(row and row[0] == "operating" for row in table[head:])


def test_us_units_are_those_of_the_display():
    rows = pump_plant()
    rows["Project"][0]["units"] = "US"
    row = row_after(cells(rows), "Nozzle S:", "operating")
    load = load_on(found(pump_plant()), "S", "operating")
    assert row[2] == pytest.approx(load.FR / 4.4482216152605)
    assert any("lbf" in row for row in cells(rows) if row)


def test_a_plant_without_equipment_says_so():
    rows = pump_plant()
    rows["Equipment"], rows["Nozzles"] = [], []
    rows["Supports"] += [
        {"support": "A-3", "line": "S-1", "point": "10", "type": "anchor"},
        {"support": "A-4", "line": "D-1", "point": "10", "type": "anchor"},
    ]
    for line in rows["Lines"]:
        line |= {"start_point": "10", "start_east": 0, "start_north": 0, "start_up": 0}
    assert cells(rows)[0] == [EMPTY]


def test_the_drop_down_of_allowable_sets_offers_standards_and_declared_sets():
    book = load_workbook(BytesIO(blank_bytes("SI", None)))
    column = next(c for c in book["Nozzles"][1] if c.value == "Allowable sets").column_letter
    rules = book["Nozzles"].data_validations.dataValidation
    (rule,) = (r for r in rules if f"{column}3" in str(r.sqref).split(":")[0].split())
    where = rule.formula1.partition("!")[2].replace("$", "")
    offered = [cell.value for (cell,) in book["Lists"][where]]
    assert offered[:6] == ["API 560", "API 610", "API 610 annex F", "API 617", "API 661", "NEMA SM 23"]
    assert offered[6] == "='Allowables'!$A$3&\"\""
