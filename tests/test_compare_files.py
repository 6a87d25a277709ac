"""Revisions compared through results.json, the command line and the note."""

import json
from pathlib import Path

import jsonschema
import pypdfium2
import pytest

from pipecalc import cli, job, making
from pipecalc.comparison.compare import compare
from pipecalc.comparison.records import Side
from pipecalc.problems import FileUnusable
from pipecalc.report.results_file import results_schema
from pipecalc.report.results_reader import read_results
from tests.revisions import plant_rows, side
from tests.workbook.books import write_book

# results.json


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> Side:
    return side(plant_rows(), tmp_path_factory.mktemp("plain"), "plain")


@pytest.fixture
def files(tmp_path: Path) -> tuple[Path, Path]:
    old = write_book(tmp_path / "old.xlsx", plant_rows())
    rows = plant_rows(revision="B", cycles=9000)
    rows["Lines"][0]["wall"] = 2.0
    return old, write_book(tmp_path / "new.xlsx", rows)


def test_a_results_file_stands_for_its_workbook(files: tuple[Path, Path], tmp_path: Path) -> None:
    old, new = files
    written = job.run(old, tmp_path / "out", pdf=False).results_file
    by_books, mixed = (compare(job.revision(path), job.revision(new)) for path in (old, written))
    assert by_books.results == mixed.results
    assert "NOT compared" in mixed.inputs.not_compared[0]
    assert ("Project", "", "cycles", "7000", "9000") in {
        (c.sheet, c.row, c.column.lower().replace("stress ", ""), c.old, c.new) for c in mixed.inputs.cells
    }
    assert mixed.old.name == "results.json of old.xlsx"


@pytest.mark.parametrize(
    ("content", "code"),
    [
        ("", "damaged"),
        ("[1, 2", "damaged"),
        ("[" * 100_000, "damaged"),
        ('{"schema": NaN}', "damaged"),
        ("[]", "not-results"),
        ('{"schema": "other/1"}', "not-results"),
        ('{"schema": "pipecalc-results/1"}', "damaged"),
        (None, "missing"),
    ],
)
def test_a_file_that_is_no_results_file_is_refused(tmp_path: Path, content: str | None, code: str) -> None:
    path = tmp_path / "results.json"
    if content is not None:
        path.write_text(content, "utf-8")
    with pytest.raises(FileUnusable) as refused:
        read_results(path)
    assert refused.value.code == code


@pytest.mark.parametrize(
    ("spoil", "said"),
    [
        (lambda d: d["checks"][0].pop("ratio"), "checks, record 1: ratio"),
        (lambda d: d["checks"][0].update(status="GOOD"), "status 'GOOD'"),
        (lambda d: d["checks"][0].update(ratio=True), "ratio is not"),
        (lambda d: d["nozzle_loads"].append(7), "it is no record"),
        (lambda d: d.pop("springs"), "the list springs is missing"),
        (lambda d: d["project"].update(revision=None), "revision of project"),
        (lambda d: d.update(tool=[]), "tool is missing"),
    ],
)
def test_a_results_file_that_is_not_whole_is_refused_with_what_is_wrong(
    plain: Side, tmp_path: Path, spoil, said
) -> None:
    document = json.loads(json.dumps(plain.document))
    spoil(document)
    path = tmp_path / "results.json"
    path.write_text(json.dumps(document), "utf-8")
    with pytest.raises(FileUnusable, match=said):
        read_results(path)


# Command line and note


def run(*words: object) -> int:
    return cli.main([str(word) for word in words])


def test_the_command_tells_flips_and_inputs(files: tuple[Path, Path], capsys) -> None:
    before = {path: path.read_bytes() for path in files}
    assert run("compare", *files) == 0
    printed = capsys.readouterr().out
    assert "A → B" in printed
    assert "Wall thickness" in printed
    assert "2 mm" in printed
    assert "Worse than in the earlier revision: Line L-1 FAIL; wall thickness of L-1 FAIL" in printed
    assert "FOR REVIEW" in printed
    assert {path: path.read_bytes() for path in files} == before
    assert sorted(p.name for p in files[0].parent.iterdir()) == ["new.xlsx", "old.xlsx"]


def test_strict_gives_1_where_something_got_worse(files: tuple[Path, Path]) -> None:
    old, new = files
    assert run("compare", old, new, "--strict", "--json") == 1
    assert run("compare", new, old, "--strict", "--json") == 0


def test_json_holds_every_change(files: tuple[Path, Path], capsys) -> None:
    assert run("compare", *files, "--json", "--threshold", "0") == 0
    document = json.loads(capsys.readouterr().out)
    assert document["results"]["flips"][0]["new"]["status"] == "FAIL"
    schema = results_schema()
    jsonschema.validate(document, {**schema["properties"]["changes"], "$defs": schema["$defs"]})


def test_inputs_only_computes_nothing(files: tuple[Path, Path], capsys, monkeypatch) -> None:
    monkeypatch.setattr(making, "revision_of", None)
    assert run("compare", *files, "--inputs-only") == 0
    printed = capsys.readouterr().out
    assert "Results were not compared." in printed
    assert "Wall thickness" in printed


def test_no_difference_is_said(files: tuple[Path, Path], capsys) -> None:
    assert run("compare", files[0], files[0], "--strict") == 0
    assert "No difference." in capsys.readouterr().out


def test_errors_of_either_workbook_are_named(files: tuple[Path, Path], tmp_path: Path, capsys) -> None:
    rows = plant_rows()
    rows["Lines"][0]["nps"] = 7
    bad = write_book(tmp_path / "bad.xlsx", rows)
    assert run("compare", bad, files[1]) == 2
    assert "bad.xlsx: 1 error" in capsys.readouterr().out
    assert run("compare", files[0], tmp_path / "none.json") == 2
    assert "none.json" in capsys.readouterr().err
    with pytest.raises(SystemExit) as stopped:
        run("compare", *files, "--threshold", "nan")
    assert stopped.value.code == 2


def test_the_note_tells_what_changed_since_the_earlier_revision(files: tuple[Path, Path], tmp_path: Path) -> None:
    old, new = files
    done = job.run(new, tmp_path / "out", since=old)
    document = pypdfium2.PdfDocument(done.note)
    text = " ".join(" ".join(page.get_textpage().get_text_range() for page in document).split())
    document.close()
    assert "2 Changes since revision A" in text
    assert "Worse than in the earlier revision: Line L-1 FAIL" in text
    assert "Checks with another status" in text
    assert "Wall thickness" in text
    written = json.loads(done.results_file.read_text("utf-8"))
    jsonschema.validate(written, results_schema())
    assert written["changes"]["old"]["revision"] == "A"
    assert any(c["column"] == "Wall thickness" and c["new"] == "2 mm" for c in written["changes"]["inputs"]["cells"])


def test_without_an_earlier_revision_there_is_no_chapter(files: tuple[Path, Path], tmp_path: Path) -> None:
    done = job.run(files[1], tmp_path / "out", pdf=False)
    assert "changes" not in json.loads(done.results_file.read_text("utf-8"))


def test_an_earlier_workbook_with_errors_is_told_apart_and_nothing_is_written(
    files: tuple[Path, Path], tmp_path: Path, capsys
) -> None:
    rows = plant_rows()
    rows["Lines"][0]["nps"] = 7
    bad = write_book(tmp_path / "bad.xlsx", rows)
    assert run("run", files[1], "--since", bad, "--output", tmp_path / "out") == 2
    assert "nothing can be compared with it" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


def test_since_goes_with_one_workbook(files: tuple[Path, Path], tmp_path: Path, capsys) -> None:
    assert run("run", *files, "--since", files[0], "--output", tmp_path / "out") == 2
    assert "--since" in capsys.readouterr().err
