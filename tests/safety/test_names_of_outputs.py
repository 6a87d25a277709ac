"""Whatever a workbook is called, its results stay in the folder that was asked for."""

import json
import os
import shutil
import sys
from pathlib import Path

import pytest

from pipecalc import cli, job
from tests.analysis.hand_plants import line_rows
from tests.workbook.books import write_book

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="makes names that only POSIX systems allow")


@pytest.fixture(scope="module")
def plain(tmp_path_factory) -> Path:
    return write_book(tmp_path_factory.mktemp("plain") / "plant.xlsx", line_rows([{"east": 6}, {"north": 4}]))


def written(folder: Path) -> set[str]:
    return {str(file.relative_to(folder)) for file in folder.rglob("*") if file.is_file()}


@pytest.mark.parametrize(
    ("name", "folder"),
    [
        ("..xlsx", "workbook"),
        ("...xlsx", "workbook"),
        ("..\\..\\plant.xlsx", ".._.._plant"),
        ("C:\\CON.xlsx", "C__CON"),
        ("nul.xlsx", "nul_"),
        ("plant .xlsx", "plant"),
        ("pl\u202e\x1b[31mant.xlsx", "pl__[31mant"),
        ("$(reboot) `x` ; ' \" %41.xlsx", "$(reboot) `x` ; ' _ %41"),
    ],
)
def test_results_stay_inside(plain: Path, tmp_path: Path, name: str, folder: str) -> None:
    book = tmp_path / "in" / name
    book.parent.mkdir()
    shutil.copy(plain, book)
    out = tmp_path / "deep" / "out"
    done = job.run(book, out, pdf=False)
    assert done.folder == out / folder
    assert written(tmp_path) == {
        f"in/{name}", f"deep/out/{folder}/{folder}.xlsx", f"deep/out/{folder}/results.json"
    }  # fmt: skip
    assert json.loads(done.results_file.read_text("utf-8"))["input"]["name"] == f"{folder}.xlsx"


def test_a_name_that_is_no_text_is_run_with_its_note(plain: Path, tmp_path: Path, capsys) -> None:
    book = Path(os.fsdecode(os.fsencode(tmp_path) + b"/pl\xff.xlsx"))
    try:
        shutil.copy(plain, book)
    except OSError:
        pytest.skip("this file system takes no such name")
    assert cli.main(["run", str(book), "--output", str(tmp_path / "out")]) == 0
    assert {"pl_/pl_.xlsx", "pl_/pl_.pdf", "pl_/pl_.html", "pl_/results.json"} < written(tmp_path / "out")


def test_a_name_as_long_as_the_system_takes(plain: Path, tmp_path: Path) -> None:
    book = tmp_path / ("ü" * 125 + ".xlsx")
    shutil.copy(plain, book)
    done = job.run(book, tmp_path / "out", in_place=True)
    assert done.folder.parent == tmp_path / "out"
    assert done.note is not None
    assert done.note.stem == done.folder.name == done.workbook.stem
    assert done.backup is not None
    assert done.backup.read_bytes() == plain.read_bytes()


def test_line_names_make_no_paths(tmp_path: Path) -> None:
    rows = line_rows([{"east": 6}, {"north": 4}])
    name = "../../" + "x" * 300 + "\\CON:"
    rows = {s: [{k: name if v == "L-1" else v for k, v in row.items()} for row in table] for s, table in rows.items()}
    book = write_book(tmp_path / "plant.xlsx", rows)
    done = job.run(book, tmp_path / "out")
    assert done.note is not None
    figures = [file for file in written(tmp_path) if file.endswith(".svg")]
    assert figures
    assert all(file.startswith("out/plant/figures/") and file.count("/") == 3 for file in figures)


@pytest.mark.parametrize("other", ["PLANT.xlsx", "plant..xlsx", "plant.xlsm"])
def test_names_that_meet_in_one_folder_are_refused(plain: Path, tmp_path: Path, capsys, other: str) -> None:
    assert cli.main(["run", str(plain), str(tmp_path / other), "--output", str(tmp_path / "out")]) == 2
    assert "run them apart" in capsys.readouterr().err
    assert written(tmp_path) == set()
