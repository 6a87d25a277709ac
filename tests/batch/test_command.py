"""``pipecalc run`` of many workbooks: what is printed and the exit status."""

import json
from io import StringIO
from pathlib import Path

import pytest
from rich.console import Console

from pipecalc import cli
from pipecalc.batch.runner import Ended
from pipecalc.batch.selection import Item
from pipecalc.commands.batch_progress import Progress
from tests.batch.batches import write_bad, write_plant


@pytest.fixture
def plants(tmp_path: Path) -> Path:
    write_plant(tmp_path / "plants" / "a.xlsx")
    write_plant(tmp_path / "plants" / "north" / "a.xlsx", east=7.0)
    (tmp_path / "plants" / "~$a.xlsx").write_bytes(b"")
    return tmp_path / "plants"


def run(*words: object) -> int:
    return cli.main(["run", *map(str, words), "--workers", "1", "--no-note"])


def test_a_folder_gives_a_table_an_index_and_what_was_left_out(plants: Path, tmp_path: Path, capsys) -> None:
    write_bad(plants / "bad.xlsx")
    assert run(plants, "--output", tmp_path / "out") == 2
    printed = capsys.readouterr()
    rows = {line.split()[0]: line for line in printed.out.splitlines() if line.startswith("  ")}
    assert rows["a.xlsx"].endswith("NOT CHECKED")
    assert rows["north/a.xlsx"].endswith("NOT CHECKED")
    assert rows["bad.xlsx"].endswith("no results: the workbook has errors")
    assert "error    Lines!E3" in printed.out
    assert "FOR REVIEW" in printed.out
    assert f"skipped {plants / '~$a.xlsx'}: a lock or hidden file" in printed.err
    assert "[3/3]" in printed.err
    index = json.loads((tmp_path / "out" / "index.json").read_text("utf-8"))
    assert sorted(book["workbook"] for book in index["workbooks"]) == ["a.xlsx", "bad.xlsx", "north/a.xlsx"]
    assert (tmp_path / "out" / "north" / "a" / "results.json").exists()


def test_a_second_time_nothing_is_run_where_that_is_asked_for(plants: Path, tmp_path: Path, capsys) -> None:
    words = (plants, "--output", tmp_path / "out", "--resume", "--json")
    assert run(*words) == 0
    first = json.loads(capsys.readouterr().out)
    assert run(*words) == 0
    second = json.loads(capsys.readouterr().out)
    assert [book.pop("kept") for book in first] == [False, False]
    assert [book.pop("kept") for book in second] == [True, True]
    assert second == first


def test_a_folder_or_pattern_without_workbooks_is_status_2(tmp_path: Path, capsys) -> None:
    assert run(tmp_path, "--output", tmp_path / "out") == 2
    assert run(tmp_path / "*.xlsx", "--output", tmp_path / "out") == 2
    assert capsys.readouterr().err.count("no workbook (.xlsx) is found") == 2
    assert list(tmp_path.iterdir()) == []


def test_an_earlier_revision_goes_with_one_workbook(plants: Path, tmp_path: Path, capsys) -> None:
    assert run(plants, "--since", plants / "a.xlsx", "--output", tmp_path / "out") == 2
    assert "--since goes with one workbook" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("typed", ["0", "-1", "two", "1e3", "513"])
def test_a_number_of_processes_that_is_none(typed: str, capsys) -> None:
    with pytest.raises(SystemExit) as ended:
        cli.main(["run", "a.xlsx", "--workers", typed])
    assert ended.value.code == 2
    assert "is no number of processes from 1 to 512" in capsys.readouterr().err


def test_the_live_table_shows_what_is_under_way_and_what_has_ended() -> None:
    progress = Progress(3)
    first, second = (Item(Path(f"[red]{name}.xlsx"), Path(name)) for name in "ab")
    progress.step(first, "computing")
    progress.step(second, "reading")
    progress.end(Ended(first, fault="boom"))
    shown = StringIO()
    Console(file=shown, width=100).print(progress.table())
    assert "1 of 3 done, 1 without results" in shown.getvalue()
    assert "[red]a.xlsx" in shown.getvalue()
    assert "no results: boom" in shown.getvalue()
    assert "reading" in shown.getvalue()
