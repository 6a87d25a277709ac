"""The committed sample workbooks are those of the package's examples, and they hold what they are said to hold."""

import re
import zipfile
from collections import Counter
from datetime import date
from io import BytesIO
from pathlib import Path

import pytest
from openpyxl import load_workbook

from pipecalc import examples
from pipecalc.analysis.assumptions import assumptions
from pipecalc.job import check
from pipecalc.problems import Severity
from pipecalc.schema.sheets import sheet
from pipecalc.workbook.blank import blank_bytes

SAMPLES = Path(__file__).parent.parent / "sample_inputs"
SOUND = [name for name in examples.names() if name != "mistakes"]


def parts(content: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(BytesIO(content)) as package:
        return {name: package.read(name) for name in package.namelist()}


def records(name: str, title: str) -> list[dict[str, str]]:
    return list(examples.load(name)[title].records())


@pytest.mark.parametrize("name", examples.names())
def test_the_committed_file_is_the_example(name: str) -> None:
    system = examples.system(examples.load(name))
    wanted = parts(blank_bytes(system, name))  # type: ignore[arg-type]
    found = parts((SAMPLES / f"{name}.xlsx").read_bytes())
    assert list(found) == list(wanted)
    assert [part for part in wanted if found[part] != wanted[part]] == []


@pytest.mark.parametrize("name", examples.names())
def test_examples_use_titles_and_items_of_the_schema_only(name: str) -> None:
    for title, table in examples.load(name).items():
        declared = {column.title for column in sheet(title).inputs}
        if sheet(title).upright:
            assert {record["Item"] for record in table.records()} <= declared
        else:
            assert set(table.titles) <= declared
            assert set(table.units) <= declared


@pytest.mark.parametrize("name", SOUND)
@pytest.mark.parametrize("units", ["SI", "US"])
def test_sound_examples_have_no_error_and_no_warning_in_either_system(name: str, units: str, tmp_path: Path) -> None:
    path = tmp_path / "sample.xlsx"
    path.write_bytes(blank_bytes(units, name))  # type: ignore[arg-type]
    checked = check(path)
    assert [p.sentence() for p in checked.problems if p.severity is not Severity.NOTE] == []
    assert checked.plant is not None


@pytest.mark.parametrize("name", SOUND)
def test_every_assumption_says_what_is_taken_and_why(name: str, tmp_path: Path) -> None:
    checked = check(SAMPLES / f"{name}.xlsx")
    assert checked.plant is not None
    made = list(assumptions(checked.plant, checked.problems))
    assert {"Segments", "Project"} <= {a.address.partition("!")[0] for a in made}
    assert [a for a in made if not (a.what and a.value and a.why)] == []


@pytest.mark.parametrize("name", SOUND)
def test_both_systems_describe_the_same_plant(name: str, tmp_path: Path) -> None:
    plants = []
    for units in ("SI", "US"):
        path = tmp_path / f"{units}.xlsx"
        path.write_bytes(blank_bytes(units, name))  # type: ignore[arg-type]
        plants.append(check(path).plant)
    one, other = plants
    assert one is not None
    assert other is not None
    assert one.points.keys() == other.points.keys()
    for key, place in one.points.items():
        assert other.points[key] == pytest.approx(place, abs=1e-6)
    for line in one.lines.values():
        assert other.lines[line.name].fluid_density == pytest.approx(line.fluid_density, rel=1e-5)


def test_lines_meet_their_nozzles_within_a_tenth_of_a_millimetre() -> None:
    for name in SOUND:
        plant = check(SAMPLES / f"{name}.xlsx").plant
        assert plant is not None
        for nozzle in plant.nozzles.values():
            assert nozzle.point is not None
            assert plant.points[nozzle.point] == pytest.approx(nozzle.at, abs=1e-4)


def test_the_demo_has_the_size_and_the_variety_it_is_meant_to_show() -> None:
    demo = examples.load(examples.MAIN)
    assert examples.names()[0] == examples.MAIN
    assert len(records(examples.MAIN, "Lines")) == 4
    assert 60 <= len(demo["Segments"].rows) <= 90
    assert len(demo["Nozzles"].rows) >= 8
    assert len(demo["Supports"].rows) >= 25
    assert len({r["Set"] for r in demo["Allowables"].records()}) >= 2
    assert len({r["Rule"] for r in demo["Allowables"].records()}) == 4
    assert len({r["State"] for r in demo["States"].records()}) == 2
    kinds = Counter(r["Kind"] for r in demo["Equipment"].records())
    assert kinds["vertical on skirt"] == kinds["horizontal on saddles"] == 1
    assert any(r.get("Attached to") == "V-101" for r in demo["Supports"].records())
    assert any("line stop" in r["Type"] for r in demo["Supports"].records())
    assert {r.get("Item", "pipe") for r in demo["Segments"].records()} == {"pipe", "flange", "valve", "reducer"}


def mistakes() -> list[tuple[str, str, str]]:
    """Sheet, cell and text of each row of the list in the samples' README."""
    text = (SAMPLES / "README.md").read_text(encoding="utf-8")
    rows = re.findall(r"^\| ([A-Z][A-Za-z ]+)!([A-Z]+\d+) \| [^|]+ \| ([^|]+) \|", text, re.MULTILINE)
    return [(title, cell, found.strip()) for title, cell, found in rows]


def test_the_listed_mistakes_stand_where_they_are_said_to_stand() -> None:
    book = load_workbook(SAMPLES / "mistakes.xlsx")
    assert len(mistakes()) >= 24
    for title, cell, text in mistakes():
        value = book[title][cell].value
        shown = value.isoformat()[:10] if isinstance(value, date) else "(blank)" if value is None else f"{value}"
        assert shown == text, f"{title}!{cell}"


def test_every_listed_mistake_is_told_with_its_own_cell_or_row() -> None:
    errors = [p for p in check(SAMPLES / "mistakes.xlsx").problems if p.severity is Severity.ERROR]
    told = {str(p.address) for p in errors}
    told.add("Segments!E4")  # the gap is told where the line ends, one row further down; see the test below
    missed = [
        cell for title, cell, _ in mistakes() if not {f"{title}!{cell}", title + "!" + re.sub(r"\D", "", cell)} & told
    ]
    assert missed == []


def test_the_gap_of_twelve_millimetres_is_told_in_all_three_axes() -> None:
    errors = [p for p in check(SAMPLES / "mistakes.xlsx").problems if p.code == "line-open"]
    assert len(errors) == 1
    assert re.search(r"East \+0\.0 mm.*North -12\.0 mm.*Up \+0\.0 mm", errors[0].found)
