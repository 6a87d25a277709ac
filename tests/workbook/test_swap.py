"""Files are replaced as a whole or not at all."""

import json
import os
import socket
import stat
import subprocess
import sys
import time
from datetime import datetime
from io import TextIOWrapper
from pathlib import Path

import pytest

from pipecalc.workbook import swap
from pipecalc.workbook.swap import (
    FileBusy,
    FileChanged,
    FolderNotWritable,
    backup_of,
    locked,
    open_elsewhere,
    write_safely,
)


@pytest.fixture
def book(tmp_path: Path) -> Path:
    path = tmp_path / "plant.xlsx"
    path.write_bytes(b"old")
    return path


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_a_file_is_replaced_and_nothing_else_stays(book: Path):
    assert write_safely(book, b"new") is None
    assert book.read_bytes() == b"new"
    assert names(book.parent) == ["plant.xlsx"]


def test_a_file_that_was_not_there_is_written(tmp_path: Path):
    write_safely(tmp_path / "fresh.xlsx", b"new", backup=True)
    assert names(tmp_path) == ["fresh.xlsx"]


@pytest.mark.parametrize("links", [True, False])
def test_a_file_can_be_the_content_of_another(book: Path, tmp_path: Path, monkeypatch, links: bool):
    def no_links(*_):
        raise OSError("this disk has no second names")

    if not links:
        monkeypatch.setattr(Path, "hardlink_to", no_links)
    content = tmp_path / "made" / "content"
    content.parent.mkdir()
    content.write_bytes(b"new")
    write_safely(book, content)
    assert book.read_bytes() == content.read_bytes() == b"new"
    assert book.samefile(content) is links
    content.unlink()
    assert book.read_bytes() == b"new"


def test_the_previous_file_is_kept_with_its_date(book: Path):
    kept = write_safely(book, b"new", backup=True)
    assert kept is not None
    assert kept.read_bytes() == b"old"
    stamp = kept.name.removeprefix("plant.").removesuffix(".bak.xlsx")
    assert abs((datetime.strptime(stamp, "%Y-%m-%d-%H%M%S") - datetime.now()).total_seconds()) < 60
    assert names(book.parent) == sorted([kept.name, "plant.xlsx"])


def test_dated_copies_never_overwrite_each_other(book: Path):
    moment = datetime(2026, 11, 25, 10, 15, 0)
    first = backup_of(book, moment)
    book.write_bytes(b"later")
    second = backup_of(book, moment)
    assert (first.name, first.read_bytes()) == ("plant.2026-11-25-101500.bak.xlsx", b"old")
    assert (second.name, second.read_bytes()) == ("plant.2026-11-25-101500-2.bak.xlsx", b"later")


def test_a_file_that_was_saved_meanwhile_is_left_alone(book: Path):
    with pytest.raises(FileChanged) as refused:
        write_safely(book, b"new", backup=True, expected=b"even older")
    assert refused.value.code == "changed"
    assert (book.read_bytes(), names(book.parent)) == (b"old", ["plant.xlsx"])
    write_safely(book, b"new", expected=b"old")
    assert book.read_bytes() == b"new"


@pytest.mark.parametrize("owner", [".~lock.plant.xlsx#", "~$plant.xlsx"])
def test_a_file_open_in_a_spreadsheet_program_is_left_alone(book: Path, owner: str):
    book.with_name(owner).write_text("somebody")
    assert open_elsewhere(book) == book.with_name(owner)
    with pytest.raises(FileBusy) as refused:
        write_safely(book, b"new")
    assert (refused.value.code, refused.value.path) == ("busy", book)
    assert owner in str(refused.value)
    assert (book.read_bytes(), names(book.parent)) == (b"old", sorted(["plant.xlsx", owner]))


def test_a_file_that_the_system_holds_is_left_alone(book: Path, monkeypatch):
    # Windows refuses to replace a file that another program has open.
    attempts = []

    def refuse(self: Path, target: Path) -> Path:
        attempts.append(target)
        raise PermissionError(13, "in use")

    monkeypatch.setattr(Path, "replace", refuse)
    monkeypatch.setattr(swap, "_PAUSE", 0.0)
    with pytest.raises(FileBusy, match=r"plant\.xlsx is in use: close it"):
        write_safely(book, b"new")
    assert len(attempts) > 1
    assert (book.read_bytes(), names(book.parent)) == (b"old", ["plant.xlsx"])


def test_a_short_hold_is_waited_for(book: Path, monkeypatch):
    plain, attempts = Path.replace, []

    def refuse_once(self: Path, target: Path) -> Path:
        attempts.append(target)
        if len(attempts) == 1:
            raise PermissionError(13, "in use")
        return plain(self, target)

    monkeypatch.setattr(Path, "replace", refuse_once)
    monkeypatch.setattr(swap, "_PAUSE", 0.0)
    write_safely(book, b"new")
    assert book.read_bytes() == b"new"


def test_a_missing_folder_is_named(tmp_path: Path):
    with pytest.raises(FolderNotWritable) as refused:
        write_safely(tmp_path / "none" / "plant.xlsx", b"new")
    assert (refused.value.code, refused.value.path) == ("not-writable", tmp_path / "none")


def test_a_full_disk_leaves_all_as_it_was(book: Path, monkeypatch):
    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(FolderNotWritable, match="No space left"):
        write_safely(book, b"new")
    assert (book.read_bytes(), names(book.parent)) == (b"old", ["plant.xlsx"])


@pytest.mark.skipif(sys.platform == "win32" or os.geteuid() == 0, reason="this user may write anywhere")
def test_a_folder_without_the_right_to_write(book: Path):
    book.parent.chmod(0o500)
    try:
        with pytest.raises(FolderNotWritable):
            write_safely(book, b"new")
    finally:
        book.parent.chmod(0o700)


def test_a_folder_that_refuses_new_files(book: Path, monkeypatch):
    plain = Path.open

    def refuse(self: Path, mode: str = "r", *args, **options):
        if "x" in mode:
            raise PermissionError(13, "Permission denied")
        return plain(self, mode, *args, **options)

    monkeypatch.setattr(Path, "open", refuse)
    with pytest.raises(FolderNotWritable, match="Permission denied"):
        write_safely(book, b"new")
    with pytest.raises(FolderNotWritable), locked(book):
        pytest.fail("was not refused")


@pytest.mark.skipif(sys.platform == "win32", reason="needs links")
def test_a_link_stays_a_link(book: Path):
    link = book.with_name("link.xlsx")
    link.symlink_to(book)
    write_safely(link, b"new")
    assert link.is_symlink()
    assert book.read_bytes() == b"new"


@pytest.mark.skipif(sys.platform == "win32", reason="needs file modes")
def test_rights_of_the_file_stay(book: Path):
    book.chmod(0o640)
    write_safely(book, b"new")
    assert stat.S_IMODE(book.stat().st_mode) == 0o640


def test_two_runs_at_once_are_told_apart(book: Path):
    with locked(book):
        assert names(book.parent) == [".~plant.xlsx.lock", "plant.xlsx"]
        with pytest.raises(FileBusy, match="another run works on it"), locked(book):
            pytest.fail("was not refused")
        assert names(book.parent) == [".~plant.xlsx.lock", "plant.xlsx"]
    assert names(book.parent) == ["plant.xlsx"]


def test_the_lock_goes_when_the_run_fails(book: Path):
    with pytest.raises(KeyError), locked(book):
        raise KeyError
    assert names(book.parent) == ["plant.xlsx"]


def lock_of(book: Path, **owner) -> Path:
    lock = book.with_name(f".~{book.name}.lock")
    lock.write_text(json.dumps({"machine": socket.gethostname(), "process": os.getpid()} | owner))
    return lock


def test_the_lock_of_a_run_that_ended_is_taken_over(book: Path):
    done = subprocess.run([sys.executable, "-c", "import os; print(os.getpid())"], capture_output=True, check=True)
    lock_of(book, process=int(done.stdout))
    with locked(book):
        pass
    assert names(book.parent) == ["plant.xlsx"]


@pytest.mark.parametrize("owner", [{"machine": "another"}, {"process": "no number"}])
def test_a_foreign_or_unreadable_lock_holds_for_some_hours(book: Path, owner: dict[str, str]):
    lock = lock_of(book, **owner)
    with pytest.raises(FileBusy), locked(book):
        pytest.fail("was not refused")
    long_ago = time.time() - 7 * 3600
    os.utime(lock, (long_ago, long_ago))
    with locked(book):
        pass


def test_a_lock_that_was_never_written_is_taken_over_after_a_moment(book: Path, monkeypatch):
    monkeypatch.setattr(swap, "_PAUSE", 0.002)
    book.with_name(f".~{book.name}.lock").touch()
    with locked(book):
        pass
    assert names(book.parent) == ["plant.xlsx"]


def test_a_run_that_has_just_made_its_lock_is_given_time_to_write(book: Path, monkeypatch):
    lock = book.with_name(f".~{book.name}.lock")
    lock.touch()
    monkeypatch.setattr(swap.time, "sleep", lambda _: lock_of(book))
    with pytest.raises(FileBusy, match="another run works on it"), locked(book):
        pytest.fail("was not refused")


def test_the_lock_of_an_earlier_process_of_the_same_number_is_taken_over(book: Path, monkeypatch):
    monkeypatch.setattr(swap, "started", lambda _: "today")
    lock_of(book, started="last week")
    with locked(book):
        pass
    lock_of(book, started="today")
    with pytest.raises(FileBusy), locked(book):
        pytest.fail("was not refused")


def test_of_two_runs_that_find_a_stale_lock_one_gives_way(book: Path, monkeypatch):
    lock_of(book, process=0)
    monkeypatch.setattr(swap.time, "sleep", lambda _: lock_of(book))  # the other one takes it over in between
    with pytest.raises(FileBusy, match="just started"), locked(book):
        pytest.fail("was not refused")


def test_a_lock_that_cannot_be_written_does_not_stay(book: Path, monkeypatch):
    class Full(TextIOWrapper):
        def write(self, _):
            raise OSError(28, "No space left on device")

    plain = Path.open
    monkeypatch.setattr(Path, "open", lambda self, mode, **_: Full(plain(self, mode + "b")))
    with pytest.raises(FolderNotWritable, match="No space left"), locked(book):
        pytest.fail("was not refused")
    assert names(book.parent) == ["plant.xlsx"]


def test_leftovers_of_runs_that_were_ended_are_cleared_and_nothing_else(tmp_path: Path):
    left = [".~plant-0123abcd.part.xlsx", ".~results-0123abcd.part.json", ".~pl.ant-0123abcd.part"]
    kept = ["plant.xlsx", ".~plant.xlsx.lock", "plant-0123abcd.xlsx", ".~plant-0123abcg.part.xlsx", "~$plant.xlsx"]
    for name in (*left, *kept):
        (tmp_path / name).touch()
    swap.clear_leftovers(tmp_path, "plant")
    assert names(tmp_path) == sorted([*left[1:], *kept])
    swap.clear_leftovers(tmp_path)
    assert names(tmp_path) == sorted(kept)
    swap.clear_leftovers(tmp_path / "none")


def test_leftovers_bear_the_name_that_is_cleared(book: Path, monkeypatch):
    monkeypatch.setattr(Path, "unlink", lambda *_, **__: None)
    with pytest.raises(swap.FileChanged):
        write_safely(book, b"new", expected=b"something else")
    assert len(names(book.parent)) == 2
    monkeypatch.undo()
    swap.clear_leftovers(book.parent, "plant")
    assert names(book.parent) == ["plant.xlsx"]


def test_a_long_name_leaves_room_for_the_names_made_from_it(tmp_path: Path):
    book = tmp_path / ("ü" * 120 + ".xlsx")
    book.write_bytes(b"old")
    with locked(book):
        kept = write_safely(book, b"new", backup=True)
    assert kept is not None
    assert (book.read_bytes(), kept.read_bytes()) == (b"new", b"old")


def test_a_folder_in_the_files_place_is_named(tmp_path: Path):
    (tmp_path / "plant.xlsx").mkdir()
    with pytest.raises(FileBusy, match="a folder bears this name"):
        write_safely(tmp_path / "plant.xlsx", b"new")
    assert names(tmp_path) == ["plant.xlsx"]


def test_a_disk_that_fills_at_the_swap_leaves_all_as_it_was(book: Path, monkeypatch):
    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", full)
    with pytest.raises(FolderNotWritable, match="No space left"):
        write_safely(book, b"new")
    assert (book.read_bytes(), names(book.parent)) == (b"old", ["plant.xlsx"])


def test_a_path_too_long_for_windows_is_told_as_such(tmp_path: Path):
    far = tmp_path / "/".join(["a" * 60] * 5) / "plant.xlsx"
    with pytest.raises(FolderNotWritable, match="longer than 259 characters"):
        write_safely(far, b"new")


@pytest.mark.skipif(sys.platform == "win32", reason="needs links")
def test_links_in_a_circle_are_told(tmp_path: Path):
    link = tmp_path / "plant.xlsx"
    link.symlink_to(link)
    with pytest.raises(FolderNotWritable, match="leads nowhere"):
        write_safely(link, b"new")
