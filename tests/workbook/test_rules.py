"""Rules between rows and sheets: every mistake is one message, in the right cell."""

import pytest
from books import book_bytes, flat, item_row, small_plant, twin

from pipecalc.problems import Severity
from pipecalc.workbook.reader import read
from pipecalc.workbook.rows import mark_bad
from pipecalc.workbook.rules import check_book

HORIZONTAL = {
    "equipment": "E-1", "kind": "horizontal on saddles", "base_east": 0, "base_north": -20, "base_up": 0,
    "material": "A106 B", "temperature": 90, "axis": "+E", "centreline_height": 2, "outside_diameter": 900,
}  # fmt: skip
OTHER_NOZZLE = {
    "nozzle": "X", "equipment": "V-1", "nps": 6, "east": 5, "north": 5.8, "up": 6, "direction": "+N",
}  # fmt: skip
ZONE = {"equipment": "V-1", "zone": "Z1", "from_": 0, "to": 2, "temperature": 150}
STATE = {"state": "start-up", "applies_to": "all", "temperature": 120}
STUDY = {"study": "A", "sheet": "Segments", "row": "HW-1 10 15", "column": "East", "values": "2; 3"}
MATERIAL = {"material": "Own steel", "temperature": 20, "source": "Mill certificate 4"}
SECOND_LINE = {
    "line": "HW-2", "nps": 6, "schedule": "40", "material": "A106 B", "fluid_density": "water",
    "design_temperature": 100, "design_pressure": 6, "operating_temperature": 90,
}  # fmt: skip
VALVE = {"line": "HW-1", "from_": "20", "to": "21", "up": 0.5}


def found_in(rows, built_in_sets=(), **more):
    book = read(book_bytes(rows, **more))
    return flat(book, [*book.problems, *check_book(book, built_in_sets)])


def changed(sheet, number, **values):
    rows = small_plant()
    rows[sheet][number].update(values)
    return rows


def added(**rows_by_sheet):
    rows = small_plant()
    for sheet, more in rows_by_sheet.items():
        title = sheet.replace("_", " ")
        rows[title] = [*rows.get(title, []), *(more if isinstance(more, list) else [more])]
    return rows


def test_a_sound_plant_breaks_no_rule():
    assert found_in(small_plant()) == []
    assert found_in(twin(small_plant()), units="US") == []


CHANGES = [
    # names
    ("Lines", 0, {"from_": "H1-B"}, ("Lines", 3, "From", "reference-unknown")),
    ("Lines", 0, {"to": "HW-9/20"}, ("Lines", 3, "To", "reference-unknown")),
    ("Lines", 0, {"to": "HW-1/77"}, ("Lines", 3, "To", "point-unknown")),
    ("Lines", 0, {"material": "A106 X"}, ("Lines", 3, "Material", "reference-unknown")),
    ("Segments", 1, {"line": "HW-11"}, ("Segments", 4, "Line", "reference-unknown")),
    ("Segments", 1, {"material": "Tin"}, ("Segments", 4, "Material", "reference-unknown")),
    ("Segments", 0, {"from_": "HW-9/20"}, ("Segments", 3, "From", "point-unknown")),
    ("Nozzles", 0, {"equipment": "H-2"}, ("Nozzles", 3, "Equipment", "reference-unknown")),
    ("Nozzles", 0, {"point": "11"}, ("Nozzles", 3, "Point", "point-unknown")),
    ("Nozzles", 0, {"point": None}, ("Nozzles", 3, "Point", "point-half")),
    ("Nozzles", 0, {"line": None}, ("Nozzles", 3, "Line", "point-half")),
    ("Nozzles", 0, {"allowable_sets": "Vendor; Owner"}, ("Nozzles", 3, "Allowable sets", "reference-unknown")),
    ("Supports", 0, {"line": "HW-3"}, ("Supports", 3, "Line", "reference-unknown")),
    ("Supports", 0, {"point": "16"}, ("Supports", 3, "Point", "point-unknown")),
    ("Supports", 0, {"attached_to": "V-2"}, ("Supports", 3, "Attached to", "reference-unknown")),
    # lines
    ("Lines", 0, {"schedule": None}, ("Lines", 3, "Schedule", "section-missing")),
    ("Lines", 0, {"nps": None}, ("Lines", 3, "NPS", "section-missing")),
    ("Lines", 0, {"schedule": "60"}, ("Lines", 3, "Schedule", "schedule-unknown")),
    ("Lines", 0, {"nps": 2, "wall": 40}, ("Lines", 3, "Wall thickness", "wall-misfits")),
    ("Lines", 0, {"corrosion_allowance": "5 mm", "wall": 4}, ("Lines", 3, "Corrosion allowance", "wall-misfits")),
    ("Lines", 0, {"start_point": "10"}, ("Lines", 3, "Start East", "start-incomplete")),
    ("Lines", 0, {"start_east": 0, "start_north": 0, "start_up": 3}, ("Lines", 3, "Start point", "start-incomplete")),
    ("Lines", 0, {"from_": "V1-B"}, ("Lines", 3, "To", "line-ends")),
    ("Lines", 0, {"operating_temperature": 210}, ("Lines", 3, "Operating temperature", "beyond-design")),
    ("Lines", 0, {"operating_pressure": 17}, ("Lines", 3, "Operating pressure", "beyond-design")),
    ("Lines", 0, {"insulation_thickness": 60}, ("Lines", 3, "Insulation density", "insulation-weightless")),
    # segments
    ("Segments", 1, {"east": None}, ("Segments", 4, "East", "segment-length")),
    ("Segments", 1, {"from_": "20"}, ("Segments", 4, "To", "segment-same-point")),
    ("Segments", 1, {"turn": "bend"}, ("Segments", 4, "Bend radius", "bend-radius")),
    ("Segments", 1, {"turn": "mitre", "bend_radius": 400}, ("Segments", 4, "Mitre cuts", "mitre-cuts")),
    ("Segments", 1, {"turn": "mitre"}, ("Segments", 4, "Bend radius", "bend-radius")),
    ("Segments", 1, {"turn": "none", "bend_radius": 400}, ("Segments", 4, "Bend radius", "value-unused")),
    ("Segments", 1, {"mitre_cuts": 2}, ("Segments", 4, "Mitre cuts", "value-unused")),
    ("Segments", 1, {"branch": "reinforced fabricated tee"}, ("Segments", 4, "Pad thickness", "pad-missing")),
    ("Segments", 1, {"pad_thickness": 8}, ("Segments", 4, "Pad thickness", "value-unused")),
    ("Segments", 1, {"item": "reducer"}, ("Segments", 4, "NPS at To", "reducer-size")),
    ("Segments", 1, {"nps_at_to": 4}, ("Segments", 4, "NPS at To", "reducer-item")),
    ("Segments", 1, {"item": "expansion joint", "joint_axial": 100},
     ("Segments", 4, "Joint lateral stiffness", "joint-incomplete")),
    ("Segments", 1, {"joint_area": 100}, ("Segments", 4, "Joint effective area", "value-unused")),
    ("Segments", 1, {"item": "valve"}, ("Segments", 4, "Mass", "mass-missing")),
    # equipment
    ("Equipment", 1, {"axis": "+E"}, ("Equipment", 4, "Axis", "value-unused")),
    ("Equipment", 1, {"outside_diameter": 300, "wall": 150}, ("Equipment", 4, "Wall thickness", "wall-misfits")),
    ("Nozzles", 1, {"direction": "+N"}, ("Nozzles", 4, "Direction", "nozzle-inward")),
    ("Nozzles", 0, {"stiffness_model": "shell"}, ("Nozzles", 3, "Stiffness model", "shell-incomplete")),
    ("Nozzles", 0, {"nps": 4}, ("Nozzles", 3, "Allowable sets", "allowable-size")),
    ("Nozzles", 0, {"point": "30"}, ("Nozzles", 4, "Point", "nozzle-same-point")),
    ("Allowables", 0, {"FC": None}, ("Allowables", 3, "FC", "allowable-missing")),
    ("Allowables", 0, {"rule": "resultants", "resultant_force": 9},
     ("Allowables", 3, "Resultant moment", "allowable-missing")),
    ("Allowables", 0, dict.fromkeys(("FR", "FL", "FC", "MR", "ML", "MC")), ("Allowables", 3, "FR", "allowable-empty")),
    # supports
    ("Supports", 0, {"type": "strut"}, ("Supports", 3, "Direction", "direction-missing")),
    ("Supports", 0, {"type": "snubber"}, ("Supports", 3, "Direction", "direction-missing")),
    ("Supports", 0, {"gap": 3}, ("Supports", 3, "Gap", "value-unused")),
    ("Supports", 0, {"spring_rate": 30}, ("Supports", 3, "Spring rate", "value-unused")),
    ("Supports", 0, {"spring_load": 3000}, ("Supports", 3, "Spring load (hot)", "value-unused")),
]  # fmt: skip


@pytest.mark.parametrize(("sheet", "number", "values", "expected"), CHANGES)
def test_one_mistake_gives_one_message(sheet, number, values, expected):
    assert found_in(changed(sheet, number, **values)) == [expected]


ADDITIONS = [
    # names
    ({"Lines": {**SECOND_LINE, "line": "HW-1"}}, ("Lines", 4, "Line", "duplicate")),
    ({"Supports": {"support": "S-1", "line": "HW-1", "point": "20", "type": "guide"}},
     ("Supports", 4, "Support", "duplicate")),
    ({"Allowables": {"set": "Vendor", "nps": "DN 150", "FR": 1, "FL": 1, "FC": 1, "MR": 1, "ML": 1, "MC": 1,
                     "rule": "each component", "document": "Same"}}, ("Allowables", 4, "Set", "duplicate")),
    ({"Materials": [MATERIAL, MATERIAL]}, ("Materials", 4, "Material", "duplicate")),
    ({"Point_loads": {"load": "P-1", "line": "HW-1", "point": "99", "mass": 20}},
     ("Point loads", 3, "Point", "point-unknown")),
    ({"Point_loads": {"load": "P-1", "line": "HW-1", "point": "20"}}, ("Point loads", 3, "Load", "load-empty")),
    # lines and segments
    ({"Lines": SECOND_LINE}, ("Lines", 4, "Line", "line-empty")),
    ({"Segments": {"line": "HW-1", "from_": "15", "to": "10", "east": -2.5}}, ("Segments", 6, "To", "segment-twice")),
    ({"Lines": SECOND_LINE, "Segments": {"line": "HW-2", "from_": "HW-1/99", "to": "40", "up": 1}},
     ("Segments", 6, "From", "point-unknown")),
    # equipment
    ({"Equipment": {**HORIZONTAL, "axis": None}}, ("Equipment", 5, "Axis", "horizontal-incomplete")),
    ({"Equipment": {**HORIZONTAL, "centreline_height": None, "outside_diameter": None}},
     ("Equipment", 5, "Centreline height", "horizontal-incomplete")),
    ({"Equipment": {**HORIZONTAL, "axis": "az 90 el 10"}}, ("Equipment", 5, "Axis", "axis-slopes")),
    ({"Nozzles": {**OTHER_NOZZLE, "direction": "-N"}}, ("Nozzles", 5, "Direction", "nozzle-inward")),
    ({"Zones": {**ZONE, "equipment": "V-9"}}, ("Zones", 3, "Equipment", "reference-unknown")),
    ({"Zones": {**ZONE, "to": 0}}, ("Zones", 3, "To", "zone-order")),
    ({"Zones": [ZONE, {**ZONE, "from_": 2, "to": 3}]}, ("Zones", 4, "Zone", "duplicate")),
    ({"Zones": [ZONE, {**ZONE, "zone": "Z2", "from_": 1.5, "to": 3}]}, ("Zones", 4, "From", "zone-overlap")),
    ({"Zones": [ZONE, {**ZONE, "zone": "Z2", "from_": 2.5, "to": 3}]}, ("Zones", 4, "From", "zone-gap")),
    ({"Zones": {**ZONE, "equipment": "H-1"}}, ("Zones", 3, "Temperature", "value-unused")),
    # states
    ({"States": {**STATE, "applies_to": "V-1/Z9"}}, ("States", 3, "Applies to", "reference-unknown")),
    ({"States": {**STATE, "temperature": None}}, ("States", 3, "Temperature", "state-empty")),
    ({"States": {**STATE, "state": "Installed"}}, ("States", 3, "State", "state-name")),
    ({"States": {**STATE, "applies_to": "V-1", "pressure": 3}}, ("States", 3, "Pressure", "value-unused")),
    ({"States": [{**STATE, "cycles": 10}, {**STATE, "applies_to": "V-1", "cycles": 20}]},
     ("States", 4, "Cycles", "state-cycles")),
    # studies and revisions
    ({"Studies": {**STUDY, "sheet": "Segment"}}, ("Studies", 3, "Sheet", "study-unknown")),
    ({"Studies": {**STUDY, "row": "HW-1 10 16"}}, ("Studies", 3, "Row", "study-unknown")),
    ({"Studies": {**STUDY, "column": "Status"}}, ("Studies", 3, "Column", "study-unknown")),
    ({"Studies": {**STUDY, "values": "2; two"}}, ("Studies", 3, "Values", "study-values")),
    ({"Studies": {**STUDY, "values": "2; 3 kN"}}, ("Studies", 3, "Values", "study-values")),
    ({"Studies": {**STUDY, "watch": "N9"}}, ("Studies", 3, "Watch", "reference-unknown")),
    ({"Studies": [STUDY, STUDY, STUDY]}, ("Studies", 5, "Study", "study-variables")),
    ({"Studies": {**STUDY, "sheet": "Project", "row": "Friction"}}, ("Studies", 3, "Row", "study-unknown")),
]  # fmt: skip


@pytest.mark.parametrize(("rows", "expected"), ADDITIONS)
def test_one_added_mistake_gives_one_message(rows, expected):
    assert found_in(added(**rows)) == [expected]


SOUND = [
    {"Equipment": HORIZONTAL},
    {"Nozzles": OTHER_NOZZLE},
    {"Nozzles": {**OTHER_NOZZLE, "equipment": "V-1", "direction": "+U"}},
    {"Equipment": HORIZONTAL,
     "Nozzles": {**OTHER_NOZZLE, "equipment": "E-1", "east": 1, "north": -20, "up": 2.6, "direction": "+U"}},
    {"Zones": [ZONE, {**ZONE, "zone": "Z2", "from_": 2, "to": 3}], "States": {**STATE, "applies_to": "V-1/Z2"}},
    {"Zones": [{**ZONE, "zone": None}, {**ZONE, "zone": None, "from_": 2, "to": 3}]},
    {"States": [STATE, {**STATE, "applies_to": "HW-1", "fluid_density": "steam"}]},
    {"Lines": {**SECOND_LINE, "from_": "HW-1/15"},
     "Segments": {"line": "HW-2", "from_": "HW-1/15", "to": "2", "up": 1}},
    {"Lines": {**SECOND_LINE, "nps": None, "schedule": None, "outside_diameter": 150, "wall": 4},
     "Segments": {"line": "HW-2", "from_": "1", "to": "2", "up": 1}},
    {"Lines": {**SECOND_LINE, "start_point": "1", "start_east": 0, "start_north": 0, "start_up": 0},
     "Segments": {"line": "HW-2", "from_": "1", "to": "2", "up": 1}},
    {"Segments": {**VALVE, "item": "valve", "mass": 60}},
    {"Segments": {**VALVE, "item": "reducer", "nps_at_to": 4}},
    {"Segments": {**VALVE, "item": "expansion joint", "joint_axial": 90, "joint_lateral": 40, "joint_angular": 9,
                  "joint_area": 200}},
    {"Supports": {"support": "S-2", "line": "HW-1", "point": "20", "type": "strut", "direction": "az 45"}},
    {"Supports": {"support": "S-2", "line": "HW-1", "point": "20", "type": "spring", "spring_rate": 20,
                  "spring_load": 3000, "attached_to": "V-1"}},
    {"Point_loads": {"load": "P-1", "line": "HW-1", "point": "20", "force_up": -500, "acts_in": "occasional"}},
    {"Studies": [STUDY, {**STUDY, "row": "HW-1 15 20", "values": "1 : 3 : 1 ft"}]},
    {"Studies": {**STUDY, "sheet": "Project", "row": "Default friction coefficient", "column": "Value",
                 "values": "0.1; 0.3"}},
    {"Materials": [MATERIAL, {**MATERIAL, "temperature": 100}]},
]  # fmt: skip


@pytest.mark.parametrize("rows", SOUND)
def test_what_is_right_gives_no_message(rows):
    assert found_in(added(**rows)) == []


def test_a_material_may_be_the_users_own_or_spelt_in_another_way():
    rows = changed("Lines", 0, material="own STEEL")
    rows["Materials"] = [MATERIAL]
    assert found_in(rows) == []
    assert found_in(changed("Lines", 0, material="ASTM A106 Gr. B")) == []


def test_a_built_in_set_is_known():
    rows = changed("Nozzles", 0, allowable_sets="House rule; Vendor")
    assert found_in(rows, built_in_sets=("House rule",)) == []


def test_the_nearest_name_is_offered():
    book = read(book_bytes(changed("Nozzles", 0, equipment="H1")))
    (problem,) = check_book(book)
    assert problem.sentence() == (
        'Nozzles!B3: Equipment "H1" is not known: it is not on sheet Equipment; accepted: H-1, V-1; did you mean "H-1"?'
    )


def test_names_of_rows_with_errors_stay_known():
    rows = changed("Equipment", 1, temperature="hot")
    assert found_in(rows) == [("Equipment", 4, "Temperature", "number-text")]
    rows = changed("Segments", 0, east="far")
    assert found_in(rows) == [("Segments", 3, "East", "number-text")]


def test_points_of_a_line_with_an_unread_point_are_not_asked_for():
    rows = changed("Segments", 2, to=None)
    assert found_in(rows) == [("Segments", 5, "To", "value-missing")]


def test_a_misspelt_line_on_segments_does_not_make_the_line_empty():
    rows = small_plant()
    for segment in rows["Segments"]:
        segment["line"] = "HW-11"
    assert found_in(rows) == [("Segments", n, "Line", "reference-unknown") for n in (3, 4, 5)]


def test_an_empty_segments_sheet_is_one_error():
    assert found_in({**small_plant(), "Segments": []}) == [("Segments", 0, "", "sheet-empty")]


def test_the_covers_revision_stands_in_the_table():
    rows = added(Revisions={"revision": "B"})
    rows["Project"][0]["revision"] = "A"
    assert found_in(rows) == [("Project", item_row("revision"), "Revision", "revision-unknown")]


def test_warnings_do_not_take_a_row_out_of_later_rules():
    rows = changed("Lines", 0, insulation_thickness=60, operating_pressure=17)
    book = read(book_bytes(rows))
    assert {p.severity for p in check_book(book)} == {Severity.WARNING}
    assert len(check_book(book)) == 2


def test_rows_that_rules_refuse_are_marked_for_building():
    book = read(book_bytes(changed("Supports", 0, point="16")))
    marked = mark_bad(book, check_book(book))
    assert [bool(r.bad) for r in (*marked.rows["Supports"], *marked.rows["Lines"])] == [True, False]
