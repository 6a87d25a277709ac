"""results.json: names, units, numbers that are not known, and its schema."""

import json
from dataclasses import fields, replace
from math import inf, nan
from pathlib import Path

import jsonschema
import pytest

from pipecalc import examples, job, results
from pipecalc.analysis.analyse import analyse
from pipecalc.report.results_file import encoded, lines, plain, results_document, results_schema, results_text
from pipecalc.results import Check, Results, Status
from tests.analysis.hand_plants import built, line_rows

SAMPLES = Path(__file__).parent.parent / "sample_inputs"
SOUND = [name for name in examples.names() if name != "mistakes"]
SHA = "0" * 64

#: Names that other programs rely on, by list; more may be added.
FIXED = {
    "cases": "case kind state title",
    "movements": "nozzle state east north up terms",
    "legs": "line from to direction absorbs length length_needed force moment stress limit ratio",
    "points": "line point case east north up rot_east rot_north rot_up",
    "members": "line from to part case end axial shear_y shear_z torsion bending_in_plane bending_out_of_plane "
    "force moment",
    "nozzle_loads": "nozzle case FR FL FC MR ML MC force moment",
    "support_loads": "support case force moment vertical axial lateral friction acting move",
    "checks": "check subject line point case demand limit unit ratio status clause set inputs",
    "springs": "support kind hot_load cold_load travel rate variation",
    "modes": "system mode frequency",
    "equilibrium": "case applied reactions residual node_residual energy_residual symmetry_residual",
    "assumptions": "what value why address",
    "messages": "severity code address found accepted hint",
    "advice": "about text gain change",
}
RECORDS = {
    "cases": results.Case,
    "movements": results.Movement,
    "support_movements": results.Movement,
    "expansions": results.Expansion,
    "legs": results.Leg,
    "restrained": results.Restrained,
    "loops": results.Loop,
    "weights": results.LineWeight,
    "points": results.PointMovement,
    "members": results.MemberForce,
    "nozzle_loads": results.NozzleLoad,
    "support_loads": results.SupportLoad,
    "checks": results.Check,
    "springs": results.SpringResult,
    "modes": results.Mode,
    "equilibrium": results.Equilibrium,
    "assumptions": results.Assumption,
    "properties": results.PropertyUse,
}


def faults(document) -> list[str]:
    validator = jsonschema.Draft202012Validator(results_schema())
    return [f"{'/'.join(map(str, e.absolute_path))}: {e.message[:200]}" for e in validator.iter_errors(document)]


def sample(name: str) -> dict:
    plant = job.check(SAMPLES / f"{name}.xlsx").plant
    assert plant is not None
    return results_document(plant, analyse(plant), name=f"{name}.xlsx", sha256=SHA)


@pytest.fixture(scope="module")
def small():
    plant = built(line_rows([{"east": 6}, {"north": 4}]))
    return plant, analyse(plant)


def document_of(small, **over):
    plant, found = small
    return results_document(plant, replace(found, **over), name="plant.xlsx", sha256=SHA)


def test_the_schema_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(results_schema())


@pytest.mark.parametrize("name", SOUND)
def test_every_sample_meets_the_schema(name: str) -> None:
    assert faults(json.loads(results_text(sample(name)))) == []


@pytest.mark.parametrize("name", list(FIXED))
def test_fixed_names_are_required_by_the_schema(name: str) -> None:
    item = results_schema()["properties"][name]["items"]
    assert set(FIXED[name].split()) <= set(item["required"])
    assert item["additionalProperties"] is False


@pytest.mark.parametrize("name", list(RECORDS))
def test_the_schema_lists_every_field_of_a_record(name: str) -> None:
    item = results_schema()["properties"][name]["items"]
    assert set(item["properties"]) == {f.name.rstrip("_") for f in fields(RECORDS[name])}


def test_every_list_of_results_is_written_out(small) -> None:
    assert {f.name for f in fields(Results)} <= set(document_of(small))


@pytest.mark.parametrize("count", [0, 1, 2, 3, 7])
def test_records_in_one_go_are_those_one_by_one(small, count: int, monkeypatch) -> None:
    monkeypatch.setattr("pipecalc.report.results_file._AT_ONCE", 3)
    _, found = small
    odd = Check("a,\n,b", 'q"', "},{", "", "", nan, inf, "", nan, Status.PASS, "", inputs={"\n": ",\n,"})
    for records in ([odd] * count, *(getattr(found, name)[:count] for name in RECORDS)):
        assert lines(records) == b",\n".join(map(encoded, records))
        assert lines(records).count(b"\n") == max(0, len(records) - 1)


def test_a_number_that_is_not_finite_is_null(small) -> None:
    check = Check(
        "c", "L-1", "L-1", "", "", nan, inf, "Pa", nan, Status.NOT_CHECKED, "", inputs={"S": nan, "word": "x"}
    )
    document = json.loads(results_text(document_of(small, checks=(check,))))
    (written,) = document["checks"]
    assert [written[key] for key in ("demand", "limit", "ratio")] == [None, None, None]
    assert written["inputs"] == {"S": None, "word": "x"}
    assert faults(document) == []


def test_a_pass_without_a_ratio_breaks_the_schema(small) -> None:
    check = Check("c", "L-1", "L-1", "", "", nan, nan, "Pa", nan, Status.PASS, "")
    assert faults(json.loads(results_text(document_of(small, checks=(check,)))))


@pytest.mark.parametrize("wrong", [{"extra": 1}, {"schema": "other"}])
def test_other_names_and_another_version_break_the_schema(small, wrong) -> None:
    assert faults(json.loads(results_text(document_of(small))) | wrong)


def test_numbers_are_unrounded_and_the_same_input_gives_the_same_text(small) -> None:
    plant, found = small
    document = json.loads(results_text(document_of(small)))
    assert document["expansions"][0]["expansion"] == found.expansions[0].expansion
    assert results_text(document_of(small)) == results_text(
        results_document(plant, analyse(plant), name="plant.xlsx", sha256=SHA)
    )


def test_plain_values() -> None:
    assert plain({"status": Status.PASS, "n": (1, 2.5, True, None)}) == {"status": "PASS", "n": [1, 2.5, True, None]}
