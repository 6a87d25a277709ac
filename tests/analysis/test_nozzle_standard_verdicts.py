"""Standards as allowable sets: from the workbook to verdicts on nozzles and on machines.

Source: API 610 / ISO 13709 Table 5 (end nozzle NPS 6, top nozzle NPS 4); NEMA SM 23-1991 (R2002) part 8.
"""

from math import hypot, isnan

import pytest

from pipecalc.analysis.nozzle_standards import EQUIPMENT_CHECK, rounded_up
from pipecalc.checks.nozzles.interface import standards
from pipecalc.results import Status
from pipecalc.schema.equipment_sheets import STANDARD_SETS
from tests.analysis.machine_plants import (
    built,
    checks_named,
    found,
    load_on,
    pump_plant,
    said,
    turned,
    vessel_plant,
    with_values,
)

# API 610 Table 5, N and N·m: X shaft, Y across, Z up.
END_6 = {"FX": 3110, "FY": 2490, "FZ": 2050, "MX": 2300, "MY": 1180, "MZ": 1760}
TOP_4 = {"FX": 1420, "FY": 1160, "FZ": 1780, "MX": 1330, "MY": 680, "MZ": 1000}
VENDOR = {
    "set": "Pump maker", "FR": 9000, "FL": 9000, "FC": 9000, "MR": 9000, "ML": 9000, "MC": 9000,
    "rule": "each component", "document": "Data sheet 4, rev. 1",
}  # fmt: skip


def in_plant_axes(load):
    """With the shaft along East the axes of API 610 are East, North, Up."""
    return dict(zip(("FX", "FY", "FZ", "MX", "MY", "MZ"), (*load.force, *load.moment), strict=True))


@pytest.fixture(scope="module")
def pump():
    return found(pump_plant())


def test_the_workbook_offers_every_standard():
    assert set(STANDARD_SETS) == set(standards())


@pytest.mark.parametrize(("nozzle", "table"), [("S", END_6), ("D", TOP_4)])
def test_every_case_is_held_against_table_5(pump, nozzle, table):
    checks = checks_named(pump, "nozzle load", nozzle)
    assert {c.case for c in checks} == {"sustained, cold", "operating", "sustained, supports of operating"}
    for check in checks:
        load = in_plant_axes(load_on(pump, nozzle, check.case))
        assert check.set == "API 610"
        assert check.ratio == pytest.approx(max(abs(load[name]) / table[name] for name in table), rel=1e-9)
        assert {name: check.inputs[name] for name in table} == pytest.approx(load)
        assert {name: check.inputs[f"allowable {name}"] for name in table} == pytest.approx(table)
        assert check.status is (Status.PASS if check.ratio <= 1 else Status.FAIL)
        assert "Table 5" in check.clause


def test_the_pressure_test_is_listed_but_not_held_against_a_standard(pump):
    assert load_on(pump, "S", "pressure test")
    assert "pressure test" not in {c.case for c in checks_named(pump, "nozzle load")}


def test_a_standard_stands_beside_a_vendors_set():
    rows = pump_plant("Pump maker; API 610") | {"Allowables": [VENDOR]}
    checks = checks_named(found(rows), "nozzle load", "S")
    assert {c.set for c in checks} == {"Pump maker", "API 610"}
    assert len(checks) == 6


def test_a_vendors_set_of_a_standards_name_goes_before_it_and_is_told():
    rows = pump_plant() | {"Allowables": [VENDOR | {"set": "API 610"}]}
    checks = checks_named(found(rows), "nozzle load", "S")
    assert {c.clause for c in checks} == {"Data sheet 4, rev. 1; rule: each component"}
    assert [w[:3] for w in said(rows)] == [("Allowables", 3, "set-name-standard")]


def test_a_machines_nozzles_are_added_up_in_every_case():
    results = found(pump_plant("NEMA SM 23", exhaust="D"))
    sums = checks_named(results, EQUIPMENT_CHECK, "P-1")
    assert len(sums) == 2 * 3
    foot, lbf, inch = 0.3048, 4.4482216152605, 0.0254
    size = (2 * 9 + hypot(6, 4)) / 3 if hypot(6, 4) > 9 else hypot(6, 4)
    for check in (c for c in sums if c.point == "all connections: resultants"):
        s, d = load_on(results, "S", check.case), load_on(results, "D", check.case)
        force = [a + b for a, b in zip(s.force, d.force, strict=True)]
        arm = (-0.5, 0.0, -0.4)  # from D to S
        carried = (
            arm[1] * s.force[2] - arm[2] * s.force[1],
            arm[2] * s.force[0] - arm[0] * s.force[2],
            arm[0] * s.force[1] - arm[1] * s.force[0],
        )
        moment = [a + b + c for a, b, c in zip(s.moment, d.moment, carried, strict=True)]
        demand = 2 * foot * hypot(*force) + hypot(*moment)
        assert check.demand == pytest.approx(demand, rel=1e-9)
        assert check.limit == pytest.approx(250 * size * foot * lbf, rel=1e-9)
        assert check.ratio == pytest.approx(demand / (250 * size / inch * inch * foot * lbf))
        assert check.subject == "P-1"
        assert "D" in check.reason


def test_the_annex_judges_both_nozzles_and_the_pumps_centre():
    results = found(pump_plant("API 610 annex F"))
    points = {c.point for c in checks_named(results, EQUIPMENT_CHECK)}
    assert points == {"pump centre: resultant force", "pump centre: moment about Y", "pump centre: resultant moment"}
    assert all("verify" in c.reason for c in checks_named(results, EQUIPMENT_CHECK))


def test_table_5_has_no_sums(pump):
    assert checks_named(pump, EQUIPMENT_CHECK) == []


def test_a_nozzle_without_a_line_leaves_the_sum_unchecked_and_is_named():
    rows = pump_plant("NEMA SM 23")
    rows["Nozzles"].append(
        {"nozzle": "X", "equipment": "P-1", "nps": 1, "east": 0, "north": 0.3, "up": 0.5, "direction": "+N"}
    )
    (check,) = checks_named(found(rows), EQUIPMENT_CHECK)
    assert check.status is Status.NOT_CHECKED
    assert "no load was found for X" in check.reason


@pytest.mark.parametrize(
    ("rows", "code", "words"),
    [
        (pump_plant(machine_axis=None), "axis-missing", "is not given"),
        (pump_plant(machine_axis="+U"), "standard-no-limit", "not horizontal"),
        (with_values(pump_plant(), "Nozzles", 1, direction="0.6, 0.8, 0"), "standard-no-limit", "no axis of the pump"),
        (with_values(vessel_plant(), "Nozzles", 1, allowable_sets="API 610"), "standard-misfits", "vertical on skirt"),
    ],
)
def test_what_a_standard_cannot_judge_is_told_and_never_passes(rows, code, words):
    assert code in [w[2] for w in said(rows)]
    bare = [c for c in checks_named(found(rows), "nozzle load") if c.status is Status.NOT_CHECKED]
    assert any(words in c.reason for c in bare)
    assert all(isnan(c.ratio) and c.case == "" for c in bare)


@pytest.mark.parametrize(("sets", "nps"), [("API 610", 5), ("API 560", 2.5)])
def test_a_size_outside_the_table_is_told_and_not_checked(sets, nps):
    rows = with_values(pump_plant(sets), "Nozzles", 0, nps=nps)
    assert any(w[:3] == ("Nozzles", 3, "standard-no-limit") and f"NPS {nps:g}" in w[3] for w in said(rows))
    (check,) = checks_named(found(rows), "nozzle load", "S")
    assert check.status is Status.NOT_CHECKED
    assert f"NPS {nps:g}" in check.reason


def test_a_centre_with_two_coordinates_and_an_exhaust_elsewhere_are_errors():
    assert [w[2] for w in said(pump_plant(centre_up=None))] == ["centre-incomplete"]
    rows = with_values(vessel_plant(), "Equipment", 0, exhaust="V1-B")
    assert [w[2] for w in said(rows)] == ["exhaust-elsewhere"]


def test_an_unknown_set_is_an_error_that_lists_the_standards():
    ((_, _, code, text),) = said(pump_plant("API 601"))[:1]
    assert code == "reference-unknown"
    assert "API 661" in text


@pytest.mark.parametrize("title", ["API 560", "API 661", "API 617", "API 610 annex F"])
def test_values_from_memory_ask_for_verification(title):
    rows = pump_plant(title, machine_axis="+N")  # square to both nozzles, as a header would be
    checks = checks_named(found(rows), "nozzle load")
    assert checks
    assert all("verify against the edition of record" in c.reason for c in checks)


def test_factor_and_limit_of_the_ratio_scale_the_verdict(pump):
    rows = with_values(pump_plant(), "Nozzles", 0, allowable_factor=2.0)
    rows = with_values(rows, "Project", 0, limit_nozzle=0.8)
    for before, after in zip(
        checks_named(pump, "nozzle load", "S"), checks_named(found(rows), "nozzle load", "S"), strict=True
    ):
        assert after.ratio == pytest.approx(before.ratio / 1.6, rel=1e-9)


def test_the_request_for_higher_allowables_is_enough_and_no_more_than_enough():
    rows = pump_plant()
    results = found(rows)
    request = next(a for a in results.advice if a.about == "S")
    worst = max(c.ratio for c in checks_named(results, "nozzle load", "S"))
    assert (request.sheet, request.row, request.column) == ("Nozzles", 3, "Factor on allowables")
    assert float(request.value) == rounded_up(worst)
    assert worst > 1
    raised = found(with_values(rows, "Nozzles", 0, allowable_factor=float(request.value)))
    assert all(c.status is Status.PASS for c in checks_named(raised, "nozzle load", "S"))
    lower = found(with_values(rows, "Nozzles", 0, allowable_factor=float(request.value) - 0.02))
    assert any(c.status is Status.FAIL for c in checks_named(lower, "nozzle load", "S"))


def test_rounding_up_never_goes_below():
    assert [rounded_up(x) for x in (1.0, 1.001, 1.1, 2.345)] == [1.0, 1.01, 1.1, 2.35]


@pytest.mark.parametrize("sets", ["API 610; API 610 annex F", "NEMA SM 23; API 617"])
@pytest.mark.parametrize("degrees", [30.0, 90.0])
def test_turning_the_whole_plant_changes_no_verdict(sets, degrees):
    before, after = found(pump_plant(sets)), found(turned(pump_plant(sets), degrees))
    for name in ("nozzle load", EQUIPMENT_CHECK):
        pairs = list(zip(checks_named(before, name), checks_named(after, name), strict=True))
        assert pairs
        for a, b in pairs:
            assert (a.subject, a.case, a.set, a.point, a.status) == (b.subject, b.case, b.set, b.point, b.status)
            assert b.ratio == pytest.approx(a.ratio, rel=1e-6)


def test_a_header_named_on_the_nozzle_reaches_the_sum():
    rows = pump_plant("API 661", machine_axis="+N")
    rows["Nozzles"] = [rows["Nozzles"][1] | {"header": "H-1"}]
    rows["Lines"], rows["Segments"] = rows["Lines"][1:], rows["Segments"][3:]
    rows["Supports"] = rows["Supports"][1:]
    plant, _ = built(rows)
    assert plant.nozzles["D"].header == "H-1"
    assert {c.point for c in checks_named(found(rows), EQUIPMENT_CHECK)} == {"header H-1: sum of components"}
