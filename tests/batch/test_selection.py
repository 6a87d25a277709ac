"""Which workbooks a command line means."""

from pathlib import Path

import pytest

from pipecalc.batch.selection import is_single, select
from pipecalc.problems import FileUnusable


@pytest.fixture
def plants(tmp_path: Path, monkeypatch) -> Path:
    """A folder of workbooks, and of what lies among them."""
    names = (
        "b.xlsx",
        "A.XLSX",
        "~$b.xlsx",
        ".hidden.xlsx",
        "b.2026-01-31-101500.bak.xlsx",
        "b.2026-01-31-101500-2.bak.xlsx",
        "notes.txt",
        "north/b.xlsx",
        "north/east/c.xlsx",
        ".git/d.xlsx",
        "output/b/b.xlsx",
        "earlier/b/b.xlsx",
        "earlier/b/results.json",
    )
    for name in names:
        path = tmp_path / "plants" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(b"")
    monkeypatch.chdir(tmp_path / "plants")
    return tmp_path / "plants"


def chosen(*words: object, output: str = "output") -> list[tuple[str, str]]:
    found = select([Path(str(word)) for word in words], Path(output))
    return [(item.path.name, item.folder.as_posix()) for item in found.items]


BELOW = [("A.XLSX", "A"), ("b.xlsx", "b"), ("c.xlsx", "north/east/c"), ("b.xlsx", "north/b")]


@pytest.mark.parametrize("word", [".", "**/*", "**/*.xlsx"])
def test_a_folder_is_searched_and_places_below_it_are_kept(plants: Path, word: str) -> None:
    found = chosen(word)
    if word == "**/*.xlsx":  # a pattern minds the case where the system does
        assert set(found) | {BELOW[0]} == set(BELOW)
    else:
        assert sorted(found) == sorted(BELOW)


def test_what_is_left_out_is_said(plants: Path) -> None:
    found = select([plants], plants / "output")
    assert {(s.path.name, s.why) for s in found.skipped} == {
        ("~$b.xlsx", "a lock or hidden file"),
        (".hidden.xlsx", "a lock or hidden file"),
        ("b.2026-01-31-101500.bak.xlsx", "a dated copy of an earlier workbook"),
        ("b.2026-01-31-101500-2.bak.xlsx", "a dated copy of an earlier workbook"),
        ("b.xlsx", "a copy with results of an earlier run"),
    }
    assert sorted((i.path.name, i.folder.as_posix()) for i in found.items) == sorted(BELOW)


def test_a_pattern_keeps_places_below_its_fixed_part(plants: Path) -> None:
    assert chosen("no*/*.xlsx") == [("b.xlsx", "north/b")]
    assert chosen(plants / "north" / "*.xlsx") == [("b.xlsx", "b")]
    assert chosen("*/e*t") == [("c.xlsx", "north/east/c")]


def test_the_output_folder_is_searched_only_where_a_file_in_it_is_named(plants: Path) -> None:
    assert chosen("output/b/b.xlsx") == [("b.xlsx", "b")]
    found = select([Path("output/*/*.xlsx")], plants / "output")
    assert [s.why for s in found.skipped] == ["in the folder for results"]
    assert [str(e) for e in found.empty] == [f"{Path('output/*/*.xlsx')}: no workbook (.xlsx) is found by this pattern"]


def test_an_existing_file_with_a_name_like_a_pattern_is_that_file(plants: Path) -> None:
    (plants / "u[1].xlsx").write_bytes(b"")
    assert chosen("u[1].xlsx") == [("u[1].xlsx", "u[1]")]
    assert is_single([Path("u[1].xlsx")])
    assert not is_single([Path("u?1*.xlsx")])
    assert not is_single([plants])


def test_a_workbook_named_twice_is_run_once(plants: Path) -> None:
    assert chosen("b.xlsx", plants / "b.xlsx", "b*.xlsx") == [("b.xlsx", "b")]


def test_two_workbooks_that_would_write_into_one_folder_are_refused(plants: Path) -> None:
    with pytest.raises(FileUnusable, match="would both write to b/") as fault:
        chosen("b.xlsx", "north/b.xlsx")
    assert fault.value.code == "same-name"
    with pytest.raises(FileUnusable, match="would both write to B/"):
        chosen("north/b.xlsx", "B.xlsx")
    assert len(chosen(".", "north/b.xlsx")) == 4  # the folder has it already


def test_a_folder_without_workbooks_is_said(plants: Path) -> None:
    (plants / "empty").mkdir()
    found = select([Path("empty"), Path("b.xlsx")], Path("output"))
    assert [item.path.name for item in found.items] == ["b.xlsx"]
    assert [str(e) for e in found.empty] == ["empty: no workbook (.xlsx) is found by this folder"]
