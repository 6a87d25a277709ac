"""Two revisions side by side: through workbooks, results.json, the command line and the note."""

import json
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipecalc.comparison.compare import compare
from pipecalc.comparison.inputs import compare_books
from pipecalc.comparison.records import Changes, InputChanges, Nature, RowFate, Side
from pipecalc.results import Status
from pipecalc.workbook.reader import read
from tests.revisions import plant_rows, side
from tests.workbook.books import Rows, book_bytes


def inputs(old: Rows, new: Rows, **how: Any) -> InputChanges:
    return compare_books(read(book_bytes(old)), read(book_bytes(new, **how)))


def told(changes: InputChanges) -> list[tuple[str, str, str, str, str]]:
    return [(c.sheet, c.row, c.column, c.old, c.new) for c in changes.cells]


# Inputs


def test_a_workbook_against_itself_differs_in_nothing():
    assert inputs(plant_rows(), plant_rows()) == InputChanges()


def test_a_changed_value_is_told_with_its_cell_and_unit():
    new = plant_rows()
    new["Lines"][0]["operating_temperature"] = 250
    (change,) = inputs(plant_rows(), new).cells
    old = plant_rows()["Lines"][0]["operating_temperature"]
    assert (change.sheet, change.row, change.column) == ("Lines", "L-1", "Operating temperature")
    assert (change.old, change.new, change.nature) == (f"{old:g} °C", "250 °C", Nature.VALUE)
    assert change.new_at.startswith("Lines!")
    assert change.new_at == change.old_at


def test_units_alone_are_told_as_such_and_change_no_value():
    new = plant_rows()
    for row in new["Segments"]:
        for key in ("east", "north"):
            if key in row:
                row[key] = row[key] / 0.3048
    cells = {"Segments": {"east": "ft", "north": "ft"}}
    changes = inputs(plant_rows(), new, unit_cells=cells)
    assert changes.cells == ()
    assert [(u.sheet, u.column, u.old, u.new) for u in changes.units] == [
        ("Segments", "East", "m", "ft"),
        ("Segments", "North", "m", "ft"),
    ]


def test_a_value_in_a_unit_of_its_own_is_the_same_value():
    old, new = plant_rows(), plant_rows()
    old["Supports"][0]["gap"], new["Supports"][0]["gap"] = 25.4, "1 in"
    old["Supports"][0]["type"] = new["Supports"][0]["type"] = "guide"
    (change,) = inputs(old, new).cells
    assert (change.column, change.old, change.new, change.nature) == ("Gap", "25.4 mm", "1 in", Nature.UNIT)


def test_what_was_rounded_in_another_unit_is_no_change_of_value_and_is_counted():
    old, new = plant_rows(), plant_rows()
    old["Supports"][0]["gap"], new["Supports"][0]["gap"] = 25, 0.98425197
    changes = inputs(old, new, unit_cells={"Supports": {"gap": "in"}})
    assert [c.nature for c in changes.cells] == [Nature.ROUNDING]
    new["Supports"][0]["gap"] = 0.984
    changes = inputs(old, new, unit_cells={"Supports": {"gap": "in"}})
    assert [c.nature for c in changes.cells] == [Nature.VALUE]
    old["Supports"][0]["gap"], new["Supports"][0]["gap"] = 25, 25.000001
    assert [c.nature for c in inputs(old, new).cells] == [Nature.VALUE]


def test_values_are_shown_in_the_units_of_the_new_workbook():
    old, new = plant_rows(), plant_rows()
    old["Supports"][0]["gap"], new["Supports"][0]["gap"] = 25.4, 2
    (change,) = inputs(old, new, unit_cells={"Supports": {"gap": "in"}}).cells
    assert (change.old, change.new) == ("1 in", "2 in")


def test_defaults_and_blanks_are_told():
    new = plant_rows()
    new["Lines"][0] |= {"mill_tolerance": 12.5, "corrosion_allowance": 1.5, "service": "Steam"}
    old = plant_rows()
    for key in ("mill_tolerance", "corrosion_allowance", "service"):
        old["Lines"][0].pop(key, None)
    found = {c.column: (c.old, c.new, c.nature) for c in inputs(old, new).cells}
    assert found == {
        "Mill tolerance": ("12.5 % (default)", "12.5 %", Nature.DEFAULT),
        "Corrosion allowance": ("0 mm (default)", "1.5 mm", Nature.VALUE),
        "Service": ("blank", "Steam", Nature.VALUE),
    }


def test_an_inserted_row_is_one_row_added_and_no_cascade():
    new = plant_rows()
    new["Supports"].insert(0, {"support": "S-0", "line": "L-1", "point": "30", "type": "guide", "gap": 3})
    changes = inputs(plant_rows(), new)
    (row,) = changes.rows
    assert (row.row, row.fate, row.old_row, row.new_row) == ("S-0", RowFate.ADDED, 0, 3)
    assert ("Gap", "3 mm") in row.cells
    assert changes.cells == ()


def test_a_split_run_is_told_as_rows_and_a_renamed_tag_as_gone_and_new():
    new = plant_rows()
    new["Supports"][0]["support"] = "S-9"
    fates = {(r.row, r.fate) for r in inputs(plant_rows(), new).rows}
    assert fates == {("S-1", RowFate.REMOVED), ("S-9", RowFate.ADDED)}


def test_a_row_that_moved_is_told_as_moved_and_the_others_are_not():
    old = plant_rows()
    old["Supports"].append({**old["Supports"][0], "support": "S-3"})
    new = {**old, "Supports": [old["Supports"][2], *old["Supports"][:2]]}
    changes = inputs(old, new)
    assert [(r.row, r.fate, r.old_row, r.new_row) for r in changes.rows] == [("S-3", RowFate.MOVED, 5, 3)]
    assert changes.cells == ()


def test_a_blank_from_that_is_written_out_is_no_change():
    old, new = plant_rows(), plant_rows()
    old["Segments"][1]["from_"] = None
    new["Segments"][1]["from_"] = old["Segments"][0]["to"]
    assert inputs(old, new) == InputChanges()


@settings(max_examples=15)
@given(st.permutations(range(6)))
def test_the_order_of_rows_changes_no_value(order: list[int]) -> None:
    old = plant_rows()
    old["Supports"] = [{**old["Supports"][0], "support": f"S-{n}", "gap": n} for n in range(6)]
    new = {**old, "Supports": [old["Supports"][n] for n in order]}
    changes = inputs(old, new)
    assert changes.cells == ()
    assert {r.fate for r in changes.rows} <= {RowFate.MOVED}
    assert (changes.rows == ()) == (order == sorted(order))


@settings(max_examples=15)
@given(st.sets(st.integers(0, 5), min_size=1), st.sets(st.integers(0, 5), min_size=1))
def test_swapping_the_sides_of_the_inputs_turns_every_change_round(some: set[int], others: set[int]) -> None:
    sides = []
    for gap, tags in ((1, some), (2, others)):
        rows = plant_rows()
        rows["Supports"] = [{**rows["Supports"][0], "support": f"S-{n}", "gap": gap * (n % 3)} for n in sorted(tags)]
        sides.append(read(book_bytes(rows)))
    there, back = compare_books(*sides), compare_books(*reversed(sides))
    turned = {RowFate.ADDED: RowFate.REMOVED, RowFate.REMOVED: RowFate.ADDED}
    assert {(r.row, turned[r.fate]) for r in there.rows} == {(r.row, r.fate) for r in back.rows}
    assert {(c.row, c.new, c.old) for c in there.cells} == {(c.row, c.old, c.new) for c in back.cells}


# Results


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> Side:
    return side(plant_rows(), tmp_path_factory.mktemp("plain"), "plain")


@pytest.fixture(scope="module")
def thin(tmp_path_factory: pytest.TempPathFactory) -> Side:
    """The wall too thin for the pressure."""
    rows = plant_rows(revision="B")
    rows["Lines"][0] |= {"wall": 2.0}
    return side(rows, tmp_path_factory.mktemp("thin"), "thin")


def test_a_revision_against_itself_differs_in_nothing(plain: Side) -> None:
    changes = compare(plain, plain, 0.0)
    assert changes.nothing
    assert not changes.worse
    assert changes.results is not None
    assert changes.results.compared > 0
    assert "same workbook" in changes.cautions[0]


def test_a_thinner_wall_makes_a_pass_fail(plain: Side, thin: Side) -> None:
    results = compare(plain, thin).results
    assert results is not None
    first = results.flips[0]
    assert first.old is not None
    assert first.new is not None
    assert (first.old.status, first.new.status) == (Status.PASS, Status.FAIL)
    walls = [c for c in results.flips if c.check == "wall thickness"]
    assert {(c.old.status, c.new.status) for c in walls if c.old and c.new} == {(Status.PASS, Status.FAIL)}
    line = results.items[0]
    assert (line.kind, line.tag) == ("Line", "L-1")
    assert line.new is not None
    assert line.new.status is Status.FAIL
    assert compare(plain, thin).worse
    assert not compare(thin, plain).worse


def test_newly_failing_checks_come_first_and_screening_last(plain: Side, thin: Side) -> None:
    results = compare(plain, thin).results
    assert results is not None
    deciding = [c for c in results.flips if not c.screening]
    assert list(results.flips[: len(deciding)]) == deciding
    fails = [c.new.ratio for c in deciding if c.new and c.new.status is Status.FAIL]
    assert fails == sorted(fails, reverse=True)


def turned(changes: Changes) -> set[tuple[object, ...]]:
    results = changes.results
    assert results is not None
    checks = (*results.flips, *results.ratios, *results.vanished, *results.added)
    return {(c.check, c.subject, c.point, c.set, c.new, c.old) for c in checks}


def straight(changes: Changes) -> set[tuple[object, ...]]:
    results = changes.results
    assert results is not None
    checks = (*results.flips, *results.ratios, *results.vanished, *results.added)
    return {(c.check, c.subject, c.point, c.set, c.old, c.new) for c in checks}


def test_swapping_the_sides_of_the_results_turns_every_change_round(plain: Side, thin: Side) -> None:
    there, back = compare(plain, thin), compare(thin, plain)
    assert turned(there) == straight(back)
    assert there.results is not None
    assert back.results is not None
    assert len(there.results.added) == len(back.results.vanished)
    assert there.results.below == back.results.below
    amounts = [{(a.tag, a.what, a.case) for a in r.results.loads} for r in (there, back) if r.results]
    assert amounts[0] == amounts[1]
    assert {(a.old, a.new) for a in there.results.loads} == {(a.new, a.old) for a in back.results.loads}


def test_the_order_of_records_changes_nothing(plain: Side, thin: Side) -> None:
    document = dict(thin.document or {})
    for name in ("checks", "nozzle_loads", "support_loads", "movements", "points"):
        document[name] = list(reversed(document[name]))
    one, other = (compare(plain, replace(thin, document=d)).results for d in (thin.document, document))
    assert one is not None
    assert other is not None
    assert one.flips == other.flips
    assert set(one.ratios) == set(other.ratios)
    assert set(one.loads) == set(other.loads)


def test_what_a_threshold_hides_is_counted(plain: Side, thin: Side) -> None:
    all_of_them, some = (compare(plain, thin, step).results for step in (0.0, 0.1))
    assert all_of_them is not None
    assert some is not None
    assert some.below > 0
    assert len(some.ratios) + some.below == len(all_of_them.ratios) + all_of_them.below


def test_a_lost_allowable_is_no_longer_checked_and_worse(plain: Side, tmp_path: Path) -> None:
    rows = plant_rows()
    rows["Supports"][0].pop("allowable_vertical")
    changes = compare(plain, side(rows, tmp_path, "new"))
    assert changes.results is not None
    items = {(c.kind, c.tag): c for c in changes.results.items}
    now = items["Support", "S-1"].new
    assert now is not None
    assert now.status is Status.NOT_CHECKED
    assert changes.worse


def document_with(plain: Side, *checks: Mapping[str, Any]) -> Side:
    return replace(plain, book=None, document={**(plain.document or {}), "checks": list(checks)})


def check(case: str, status: str = "PASS", ratio: float | None = 0.5, **over: Any) -> dict[str, Any]:
    names = {"check": "sustained stress", "subject": "L-1", "line": "L-1", "point": "20", "set": "", "unit": "Pa"}
    words = {"clause": "", "reason": "", "screening": False, "demand": 1.0, "limit": 2.0}
    return {**names, **words, "case": case, "status": status, "ratio": ratio, **over}


def sustained_cases(plain: Side) -> list[str]:
    return [c["case"] for c in (plain.document or {})["cases"] if c["kind"] == "sustained"]


def test_a_flip_is_seen_though_another_case_governs_now(plain: Side) -> None:
    first, second = sustained_cases(plain)[:2]
    old = document_with(plain, check(first), check(first, ratio=0.4))
    new = document_with(plain, check(first, ratio=0.5), check(second, "FAIL", 1.2))
    results = compare(old, new).results
    assert results is not None
    (flip,) = results.flips
    assert flip.old is not None
    assert flip.new is not None
    assert (flip.old.ratio, flip.old.case, flip.new.case) == (0.5, first, second)
    assert results.vanished == results.added == ()


def test_a_governing_case_that_changed_is_matched_for_other_checks_too(plain: Side) -> None:
    first, second = sustained_cases(plain)[:2]
    old = document_with(plain, check(first, check="leg"), check(first, check="leg", point="30"))
    results = compare(old, document_with(plain, check(second, "FAIL", 1.2, check="leg"))).results
    assert results is not None
    assert [(c.point, c.old.case, c.new.case) for c in results.flips if c.old and c.new] == [("20", first, second)]
    assert [c.point for c in results.vanished] == ["30"]


def test_cases_of_another_kind_are_not_taken_for_each_other(plain: Side) -> None:
    other = next(c["case"] for c in (plain.document or {})["cases"] if c["kind"] == "operating")
    old = document_with(plain, check(sustained_cases(plain)[0], check="leg"))
    new = document_with(plain, check(other, "FAIL", 2.0, check="leg"))
    changes = compare(old, new)
    assert changes.results is not None
    assert (len(changes.results.vanished), len(changes.results.added)) == (1, 1)
    assert changes.worse


@pytest.mark.parametrize(
    ("was", "is_now", "worse"),
    [
        ("PASS", "FAIL", True),
        ("PASS", "NOT CHECKED", True),
        ("NOT CHECKED", "FAIL", True),
        ("FAIL", "NOT CHECKED", False),
        ("FAIL", "PASS", False),
        ("NOT CHECKED", "PASS", False),
    ],
)
def test_what_counts_as_worse(plain: Side, was: str, is_now: str, worse: bool) -> None:
    case = sustained_cases(plain)[0]
    sides = [document_with(plain, check(case, status)) for status in (was, is_now)]
    changes = compare(*sides)
    assert changes.worse is worse
    assert changes.results is not None
    assert len(changes.results.flips) == 1
    screened = [document_with(plain, check(case, s, screening=True)) for s in (was, is_now)]
    assert not compare(*screened).worse


def test_flips_are_told_worst_kind_first(plain: Side) -> None:
    case = sustained_cases(plain)[0]
    pairs = [("FAIL", "PASS"), ("PASS", "NOT APPLICABLE"), ("PASS", "NOT CHECKED"), ("PASS", "FAIL")]
    old = document_with(plain, *(check(case, was, point=str(i)) for i, (was, _) in enumerate(pairs)))
    new = document_with(plain, *(check(case, now, point=str(i)) for i, (_, now) in enumerate(pairs)))
    results = compare(old, new).results
    assert results is not None
    assert [c.point for c in results.flips] == ["3", "2", "1", "0"]


def test_another_edition_and_another_version_are_told(plain: Side) -> None:
    document = json.loads(json.dumps(plain.document))
    document["project"]["edition"] = "1999"
    document["tool"]["version"] = "0.0.1"
    said = " ".join(compare(replace(plain, document=document), plain).cautions)
    assert "edition 1999" in said
    assert "0.0.1" in said
