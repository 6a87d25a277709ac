"""A large plant in portions gives the numbers of the whole one, and its note in volumes with an index."""

import errno
import json
import os
import sys
import tempfile
from datetime import date
from pathlib import Path

import jsonschema
import pypdfium2
import pytest
from books import book_bytes
from openpyxl import load_workbook

from pipecalc import job, portions
from pipecalc.analysis import apart
from pipecalc.problems import EnvironmentLacks, FileUnusable
from pipecalc.report import results_file
from pipecalc.report.results_file import results_schema

SAMPLES = Path(__file__).parent.parent / "sample_inputs"
DEMO, SMALL = SAMPLES / "geothermal-heat.xlsx", SAMPLES / "l-line-us.xlsx"


def in_portions(monkeypatch, book: Path, folder: Path, **wanted) -> job.Run:
    """A run with limits so low that the sample counts as large; every system is a portion."""
    monkeypatch.setattr(apart, "LINES_AT_ONCE", 0)
    monkeypatch.setattr(apart, "LINES_OF_A_PORTION", 1)
    return job.run(book, folder, **wanted)


def entries(document: dict, key: str) -> list:
    """Records of a list in an order of their own, numbers rounded to what both ways of solving share."""

    def rounded(value):
        if isinstance(value, float):
            return round(value, 5 - len(f"{abs(value):.0f}")) + 0.0 if abs(value) > 1e-3 else 0.0
        if isinstance(value, list):
            return [rounded(one) for one in value]
        return {k: rounded(v) for k, v in value.items()} if isinstance(value, dict) else value

    return sorted(json.dumps(rounded(record), sort_keys=True) for record in document[key])


@pytest.fixture(scope="module")
def whole(tmp_path_factory) -> job.Run:
    return job.run(DEMO, tmp_path_factory.mktemp("whole"), pdf=False)


def test_portions_give_what_the_whole_plant_gives(whole, monkeypatch, tmp_path) -> None:
    apart_run = in_portions(monkeypatch, DEMO, tmp_path, pdf=False)
    one, other = (json.loads(run.results_file.read_bytes()) for run in (whole, apart_run))
    assert one.keys() == other.keys()
    for key in ("movements", "expansions", "legs", "weights", "springs", "properties"):
        assert entries(one, key) == entries(other, key)
    for key in ("points", "members", "nozzle_loads", "support_loads", "modes"):
        assert len(one[key]) >= len(other[key]) > 0
    assert {c["case"] for c in one["cases"]} == {c["case"] for c in other["cases"]}
    assert [m["found"] for m in one["messages"]] == [m["found"] for m in other["messages"]]
    loads = {(x["nozzle"], x["case"], x["method"]): x["FR"] for x in one["nozzle_loads"]}
    for load in other["nozzle_loads"]:
        assert load["FR"] == pytest.approx(loads[load["nozzle"], load["case"], load["method"]], rel=1e-6, abs=1e-3)
    assert {v.subject: (v.status, v.check) for v in whole.made.verdicts} == {
        v.subject: (v.status, v.check) for v in apart_run.made.verdicts
    }


def test_the_number_of_processes_changes_nothing(monkeypatch, tmp_path) -> None:
    alone = in_portions(monkeypatch, DEMO, tmp_path / "1", pdf=False)
    both = in_portions(monkeypatch, DEMO, tmp_path / "2", pdf=False, workers=2)
    assert alone.results_file.read_bytes() == both.results_file.read_bytes()
    assert alone.workbook.read_bytes() == both.workbook.read_bytes()


def row_of_lines(count: int) -> bytes:
    """A workbook of lines side by side, each hot, with a rest that rubs and a spring between two anchors."""
    names = [f"L{n:02d}" for n in range(count)]
    line = {
        "nps": 6,
        "schedule": "40",
        "material": "A106 B",
        "fluid_density": 1000,
        "design_temperature": 200,
        "design_pressure": 10,
        "operating_temperature": 180,
        "operating_pressure": 5,
        "start_point": "1",
        "start_east": 0,
        "start_up": 2,
    }
    way = [
        {"from_": "1", "to": "2", "east": 3.0},
        {"from_": "2", "to": "3", "east": 4.0},
        {"from_": "3", "to": "4", "north": 2.0},
        {"from_": "4", "to": "5", "east": 3.0},
    ]
    holds = [
        {"support": "A", "point": "1", "type": "anchor"},
        {"support": "R", "point": "2", "type": "rest", "friction": 0.3},
        {"support": "H", "point": "4", "type": "spring"},
        {"support": "B", "point": "5", "type": "anchor"},
    ]
    return book_bytes(
        {
            "Project": [{"title": "Row", "date": date(2025, 1, 1), "edition": "2018"}],
            "Lines": [{**line, "line": name, "start_north": 5 * n} for n, name in enumerate(names)],
            "Segments": [{**run, "line": name} for name in names for run in way],
            "Supports": [{**h, "line": name, "support": f"{h['support']}-{name}"} for name in names for h in holds],
        }
    )


def test_the_size_of_the_portions_changes_nothing(monkeypatch, tmp_path) -> None:
    workbook = tmp_path / "lines.xlsx"
    workbook.write_bytes(row_of_lines(apart.LINES_AT_ONCE + 2))
    documents = []
    for size in (1, apart.LINES_OF_A_PORTION):
        monkeypatch.setattr(apart, "LINES_OF_A_PORTION", size)
        done = job.run(workbook, tmp_path / str(size), pdf=False)
        documents.append(json.loads(done.results_file.read_bytes()))
    first, other = documents
    assert len(first["checks"]) > 100
    assert {check["status"] for check in first["checks"]} >= {"PASS"}
    for one, same in zip(first.pop("equilibrium"), other.pop("equilibrium"), strict=True):
        assert one["reactions"] == pytest.approx(same["reactions"], rel=1e-12, abs=1e-9)
        assert one["node_residual"] == same["node_residual"]
    assert first == other


def test_files_on_their_way_are_gone_after_the_run(monkeypatch, tmp_path) -> None:
    done = in_portions(monkeypatch, SMALL, tmp_path, pdf=False)
    folder = done.made.room.folder
    assert folder.exists()
    del done
    assert not folder.exists()


def test_the_note_comes_in_volumes_with_an_index(monkeypatch, tmp_path) -> None:
    done = in_portions(monkeypatch, SMALL, tmp_path)
    assert done.html == done.folder / "index.html"
    index = done.html.read_text("utf-8")
    names = [path.relative_to(done.folder).as_posix() for path in sorted(done.folder.rglob("*.html"))]
    assert names == ["index.html", "volume-1/l-line-us.html"]
    for link in ("volume-1/l-line-us.pdf", "volume 1 of 1: line"):
        assert link in index
    assert all(name in index for name in done.plant.nozzles)
    volume = (done.folder / names[1]).read_text("utf-8")
    assert "(volume 1 of 1: line" in volume
    assert done.made.sha256 in volume


def test_systems_are_gathered_in_order_and_stay_whole(monkeypatch) -> None:
    plant = job.check(DEMO).plant
    assert plant is not None
    monkeypatch.setattr(apart, "LINES_OF_A_PORTION", 3)
    assert [list(part.lines) for part in apart.portions_of(plant)] == [list(plant.lines)[:3], list(plant.lines)[3:]]
    assert not apart.is_large(plant)


def test_the_index_of_a_large_plant_tells_what_changed(monkeypatch, tmp_path) -> None:
    old, new = (tmp_path / name for name in ("old.xlsx", "new.xlsx"))
    old.write_bytes(row_of_lines(2))
    book = load_workbook(old)
    sheet = book["Lines"]
    column = next(c.column for c in sheet[1] if c.value == "Operating temperature")
    sheet.cell(3, column, 150)
    book.save(new)
    done = in_portions(monkeypatch, new, tmp_path / "out", since=old)
    assert done.note is not None
    document = pypdfium2.PdfDocument(done.note)
    text = " ".join(" ".join(page.get_textpage().get_text_range() for page in document).split())
    document.close()
    assert "Changes since" in text
    assert "Operating temperature" in text
    assert "Movements along the lines were NOT compared" in text
    written = json.loads(done.results_file.read_bytes())
    jsonschema.validate(written, results_schema())
    (cell,) = written["changes"]["inputs"]["cells"]
    assert (cell["row"], cell["old"], cell["new"]) == ("L00", "180 °C", "150 °C")
    assert {c["tag"] for c in written["changes"]["results"]["loads"]} == {"A-L00", "B-L00"}


@pytest.mark.skipif(sys.platform != "linux", reason="needs a device that is always full")
@pytest.mark.parametrize("workers", [1, 2])
def test_a_full_disk_for_files_on_their_way_is_told(workers, monkeypatch, tmp_path) -> None:
    full = tmp_path / "full"
    full.mkdir()
    for key in apart.BY_PORTION:
        for number in range(1, 9):
            (full / f"{key}-{number}.json").symlink_to("/dev/full")
    monkeypatch.setattr(tempfile, "mkdtemp", lambda **_: str(full))
    with pytest.raises(FileUnusable, match=r"No space left on device.*TMPDIR"):
        in_portions(monkeypatch, DEMO, tmp_path / "out", pdf=False, workers=workers)
    assert not [*(tmp_path / "out").rglob("*.*")]


def test_a_disk_that_is_full_for_results_alone_is_told(monkeypatch, tmp_path) -> None:
    def full(_document):
        yield b"{"
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(results_file, "chunks", full)
    with pytest.raises(FileUnusable, match=r"No space left on device.*TMPDIR"):
        in_portions(monkeypatch, DEMO, tmp_path / "out", pdf=False)
    assert not [*(tmp_path / "out").rglob("*.*")]


def test_a_process_that_ends_by_itself_is_told(monkeypatch, tmp_path) -> None:
    class Deadly:
        trace = None

        def __reduce__(self):
            return os._exit, (3,)

    monkeypatch.setattr(portions, "Task", lambda *_: Deadly())
    with pytest.raises(EnvironmentLacks, match="ended by itself"):
        in_portions(monkeypatch, DEMO, tmp_path / "out", pdf=False, workers=2)
    assert not [*(tmp_path / "out").rglob("*.*")]
