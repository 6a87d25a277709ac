"""The whole flow: what is written, when, and what stays whole when something goes wrong."""

import json
import re
import zipfile
from datetime import date
from io import BytesIO
from pathlib import Path

import pytest
from openpyxl import Workbook, load_workbook
from openpyxl.chart import BarChart, Reference
from openpyxl.comments import Comment
from openpyxl.formatting.rule import CellIsRule
from openpyxl.styles import PatternFill
from openpyxl.workbook.defined_name import DefinedName

import pipecalc
from pipecalc import job, making
from pipecalc.problems import EnvironmentLacks, FileUnusable, InputError
from pipecalc.results import Status
from pipecalc.schema.sheets import RESULT_SHEETS
from pipecalc.workbook import writer
from pipecalc.workbook.package import edit_workbook
from pipecalc.workbook.swap import FileBusy, FileChanged
from tests.analysis.hand_plants import line_rows
from tests.workbook.books import column_number, write_book

RUNS = [{"east": 6}, {"north": 4}]


class BrokenError(Exception):
    """Something went wrong in the middle of a run."""


def fail(*_args, **_more):
    raise BrokenError


@pytest.fixture
def plant_file(tmp_path: Path) -> Path:
    return write_book(tmp_path / "plant.xlsx", line_rows(RUNS))


@pytest.fixture
def out(tmp_path: Path) -> Path:
    return tmp_path / "results"


def contents(folder: Path) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def result_cells(path: Path) -> list[object]:
    rows = list(load_workbook(path)["Segments"].iter_rows(values_only=True))
    return [row[rows[0].index("Result: length")] for row in rows[2:]]


def test_a_run_writes_a_copy_and_the_results_and_leaves_the_workbook_alone(plant_file: Path, out: Path) -> None:
    before = plant_file.read_bytes()
    done = job.run(plant_file, out, pdf=False)
    assert plant_file.read_bytes() == before
    assert (done.folder, done.workbook) == (out / "plant", out / "plant" / "plant.xlsx")
    assert sorted(contents(out)) == ["plant/plant.xlsx", "plant/results.json"]
    assert result_cells(done.workbook) == [6, 4]
    assert json.loads(done.results_file.read_text("utf-8"))["input"]["name"] == "plant.xlsx"
    assert (done.note, done.backup, done.lacks) == (None, None, "")


def test_the_package_offers_the_same(plant_file: Path, out: Path) -> None:
    assert pipecalc.run(plant_file, output=out, pdf=False).results.checks
    assert pipecalc.check(plant_file).errors == []


def test_without_an_output_folder_results_go_to_output_in_the_current_one(plant_file: Path, monkeypatch) -> None:
    monkeypatch.chdir(plant_file.parent)
    assert job.run("plant.xlsx", pdf=False).folder == plant_file.parent / "output" / "plant"


def test_the_same_workbook_gives_the_same_files(plant_file: Path, out: Path) -> None:
    job.run(plant_file, out, pdf=False)
    first = contents(out)
    job.run(plant_file, out, pdf=False)
    assert contents(out) == first


def test_in_place_keeps_the_earlier_file_under_a_dated_name(plant_file: Path, out: Path) -> None:
    before = plant_file.read_bytes()
    done = job.run(plant_file, out, in_place=True, pdf=False)
    assert done.backup is not None
    assert done.backup.parent == plant_file.parent
    assert re.fullmatch(r"plant\.\d{4}-\d\d-\d\d-\d{6}\.bak\.xlsx", done.backup.name)
    assert done.backup.read_bytes() == before
    assert result_cells(plant_file) == [6, 4]


def test_a_second_run_in_place_changes_nothing(plant_file: Path, out: Path) -> None:
    job.run(plant_file, out, in_place=True, pdf=False)
    first = plant_file.read_bytes()
    job.run(plant_file, out, in_place=True, pdf=False)
    assert plant_file.read_bytes() == first


def test_a_run_on_the_written_copy_works_and_keeps_the_earlier_one(plant_file: Path, out: Path) -> None:
    first = job.run(plant_file, out, pdf=False).workbook
    before = first.read_bytes()
    done = job.run(first, out, pdf=False)
    assert done.workbook == first
    assert done.backup is not None
    assert done.backup.read_bytes() == before
    assert first.read_bytes() == before


def test_a_workbook_with_errors_writes_nothing_at_all(tmp_path: Path, out: Path) -> None:
    rows = line_rows(RUNS)
    rows["Lines"][0]["nps"] = 7
    path = write_book(tmp_path / "wrong.xlsx", rows)
    with pytest.raises(InputError) as bad:
        job.run(path, out)
    assert [str(p.address) for p in bad.value.problems if p.severity == "error"] == ["Lines!E3"]
    assert not out.exists()


def test_a_fault_while_computing_leaves_no_empty_folder(plant_file: Path, out: Path, monkeypatch) -> None:
    monkeypatch.setattr(making, "analysed", fail)
    with pytest.raises(BrokenError):
        job.run(plant_file, out, pdf=False)
    assert not out.exists()


@pytest.mark.parametrize("step", ["analysed", "_note"])
@pytest.mark.parametrize("stop", [BrokenError, KeyboardInterrupt])
def test_a_failed_run_leaves_earlier_files_and_the_workbook_whole(
    plant_file: Path, out: Path, monkeypatch, step: str, stop
) -> None:
    job.run(plant_file, out, pdf=False)
    earlier, workbook = contents(out), plant_file.read_bytes()

    def stopped(*_args, **_more):
        raise stop

    monkeypatch.setattr(making, step, stopped)
    with pytest.raises(stop):
        job.run(plant_file, out, in_place=True)
    assert contents(out) == earlier
    assert plant_file.read_bytes() == workbook


def test_a_copy_that_is_open_in_another_program_is_told_before_computing(
    plant_file: Path, out: Path, monkeypatch
) -> None:
    (out / "plant").mkdir(parents=True)
    (out / "plant" / ".~lock.plant.xlsx#").write_text("somebody")
    monkeypatch.setattr(making, "analysed", fail)
    with pytest.raises(FileBusy, match="close it in the other program"):
        job.run(plant_file, out)


def test_the_workbook_open_in_another_program_stops_a_run_in_place_only(plant_file: Path, out: Path) -> None:
    plant_file.with_name(f"~${plant_file.name}").write_text("somebody")
    assert job.run(plant_file, out, pdf=False).over_limit >= 0
    with pytest.raises(FileBusy):
        job.run(plant_file, out, in_place=True, pdf=False)


def test_another_run_on_the_same_output_is_refused(plant_file: Path, out: Path) -> None:
    from pipecalc.workbook.swap import locked

    (out / "plant").mkdir(parents=True)
    with locked(out / "plant" / "plant.xlsx"), pytest.raises(FileBusy, match="another run"):
        job.run(plant_file, out, pdf=False)


def test_an_output_folder_that_cannot_be_made_is_told_before_computing(
    plant_file: Path, tmp_path: Path, monkeypatch
) -> None:
    (tmp_path / "taken").write_text("a file, not a folder")
    monkeypatch.setattr(making, "analysed", fail)
    with pytest.raises(FileUnusable) as fault:
        job.run(plant_file, tmp_path / "taken")
    assert fault.value.code == "not-writable"


def test_an_output_folder_without_the_right_to_write_is_told_before_computing(
    plant_file: Path, out: Path, monkeypatch
) -> None:
    (out / "plant").mkdir(parents=True)
    opened = Path.open

    def refuse(self: Path, mode: str = "r", *args, **more):
        if "x" in mode and self.parent == out / "plant":
            raise PermissionError(13, "Permission denied")
        return opened(self, mode, *args, **more)

    monkeypatch.setattr(Path, "open", refuse)
    monkeypatch.setattr(making, "analysed", fail)
    with pytest.raises(FileUnusable) as fault:
        job.run(plant_file, out)
    assert fault.value.code == "not-writable"


def test_a_workbook_saved_by_somebody_meanwhile_is_left_as_it_is(plant_file: Path, out: Path, monkeypatch) -> None:
    analysed = making.analysed

    def saved_meanwhile(ready, **more):
        write_book(plant_file, line_rows([{"east": 7}, {"north": 4}]))
        return analysed(ready, **more)

    monkeypatch.setattr(making, "analysed", saved_meanwhile)
    with pytest.raises(FileChanged):
        job.run(plant_file, out, in_place=True, pdf=False)
    assert load_workbook(plant_file)["Segments"].cell(3, column_number("Segments", "east")).value == 7


def test_a_sheet_that_stands_in_the_way_is_told_before_computing(tmp_path: Path, out: Path, monkeypatch) -> None:
    path = write_book(tmp_path / "plant.xlsx", line_rows(RUNS), edit=lambda book: book.create_sheet("Stress"))
    monkeypatch.setattr(making, "analysed", fail)
    with pytest.raises(FileUnusable, match="Stress"):
        job.run(path, out)
    assert not out.exists()


def test_what_cannot_be_kept_is_told_before_anything_is_computed(plant_file: Path, out: Path, monkeypatch) -> None:
    from pipecalc.workbook import losses

    told: list[str] = []
    monkeypatch.setattr(losses, "losses", lambda *_: ["A signature is lost."])
    job.run(
        plant_file,
        out,
        pdf=False,
        progress=told.append,
        tell=lambda problems: told.extend(p.found for p in problems if p.code == "not-kept"),
    )
    assert told.index("A signature is lost.") < told.index("computing")


@pytest.mark.parametrize(("content", "code"), [(b"", "empty"), (b"plain text", "not-a-workbook"), (None, "missing")])
def test_a_file_that_is_no_workbook(tmp_path: Path, out: Path, content: bytes | None, code: str) -> None:
    path = tmp_path / "odd.xlsx"
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(FileUnusable) as fault:
        job.run(path, out)
    assert fault.value.code == code
    assert not out.exists()


def test_a_machine_without_the_pdf_library_still_gets_everything_else(plant_file: Path, out: Path, monkeypatch) -> None:
    from pipecalc.report import pdf

    def lacking(*_args):
        raise EnvironmentLacks("install it")

    monkeypatch.setattr(pdf, "make_pdf", lacking)
    done = job.run(plant_file, out)
    assert (done.note, done.lacks) == (None, "install it")
    assert done.html is not None
    assert done.html.exists()
    assert done.workbook.exists()
    assert done.results_file.exists()


def test_the_note_is_printed_beside_the_results(plant_file: Path, out: Path) -> None:
    done = job.run(plant_file, out)
    assert done.note is not None
    assert done.note.read_bytes().startswith(b"%PDF")


def test_not_checked_is_counted_and_never_a_pass(plant_file: Path, out: Path) -> None:
    done = job.run(plant_file, out, pdf=False)
    nozzles = {c.subject: c.status for c in done.results.checks if c.check == "nozzle load"}
    assert nozzles == {"A": Status.NOT_CHECKED, "B": Status.NOT_CHECKED}
    assert done.not_checked >= 2


# What belongs to the user


def furnished(book: Workbook) -> None:
    """Formulas, a chart, a name, a comment, a rule of formatting, an own column and an own sheet."""
    segments = book["Segments"]
    own = segments.max_column + 1
    segments.cell(1, own, "My check")
    segments.cell(3, own, "=D3*2")
    segments["A3"].comment = Comment("measured on site", "R. Example")
    segments.conditional_formatting.add(
        "D3:D9",
        CellIsRule(operator="greaterThan", formula=["5"], fill=PatternFill(bgColor="FFCC00", fill_type="solid")),
    )
    notes = book.create_sheet("My notes")
    for row, value in enumerate((3, 5, "=SUM(A1:A2)", date(2025, 3, 14)), start=1):
        notes.cell(row, 1, value)
    chart = BarChart()
    chart.add_data(Reference(notes, min_col=1, min_row=1, max_row=2))
    notes.add_chart(chart, "C1")
    book.defined_names["Growth"] = DefinedName("Growth", attr_text="'My notes'!$A$3")


def with_formula(path: Path) -> None:
    """Turn the length of the first run into a calculated formula, as a spreadsheet program saves it."""
    parts = {}
    with zipfile.ZipFile(path) as package:
        for name in package.namelist():
            parts[name] = package.read(name)
    part = f"xl/worksheets/sheet{load_workbook(path).sheetnames.index('Segments') + 1}.xml"
    text, count = re.subn(rb'(<c r="D3"[^>]*>)<v>6</v>', rb"\1<f>2*3</f><v>6</v>", parts[part])
    assert count == 1
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as package:
        for name, data in (parts | {part: text}).items():
            package.writestr(name, data)


def cells(data: bytes) -> dict[tuple[str, str], object]:
    """Every cell of the user's: what it holds, as text or formula."""
    found = {}
    for ws in load_workbook(BytesIO(data)).worksheets:
        if ws.title not in RESULT_SHEETS:
            own = [c.column for c in ws[1] if not str(c.value).startswith("Result: ")]
            for row in ws.iter_rows():
                found |= {(ws.title, c.coordinate): c.value for c in row if c.column in own and c.value is not None}
    return found


def test_nothing_of_the_users_is_lost(tmp_path: Path, out: Path) -> None:
    path = write_book(tmp_path / "plant.xlsx", line_rows(RUNS), edit=furnished)
    with_formula(path)
    before = path.read_bytes()
    job.run(path, out, in_place=True, pdf=False)
    job.run(path, out, in_place=True, pdf=False)
    after = path.read_bytes()
    kept = cells(before)
    assert kept["Segments", "D3"] == "=2*3"
    assert cells(after) == kept
    assert result_cells(path) == [6, 4]
    with zipfile.ZipFile(BytesIO(before)) as old, zipfile.ZipFile(BytesIO(after)) as new:
        assert set(old.namelist()) <= set(new.namelist())
        charts = [n for n in old.namelist() if n.startswith(("xl/charts/", "xl/drawings/", "xl/comments"))]
        assert charts
        assert [n for n in charts if old.read(n) != new.read(n)] == []
    book = load_workbook(path)
    assert book["Segments"]["A3"].comment.text == "measured on site"
    assert len(book["My notes"]._charts) == 1
    assert [str(r.sqref) for r in book["Segments"].conditional_formatting] == ["D3:D9"]
    assert book.defined_names["Growth"].attr_text == "'My notes'!$A$3"


def test_a_copy_that_lacks_a_result_takes_nobodys_place(plant_file: Path, out: Path, monkeypatch) -> None:
    before = plant_file.read_bytes()
    monkeypatch.setattr(writer, "edit_workbook", lambda source, writes, *more: edit_workbook(source, writes[1:], *more))
    with pytest.raises(FileUnusable, match=r"Segments!\w+ holds"):
        job.run(plant_file, out, pdf=False, in_place=True)
    assert plant_file.read_bytes() == before
    assert not out.exists() or not contents(out)
