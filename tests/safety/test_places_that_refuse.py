"""Full disks, folders that may only be read, files in use and two runs at once: a message, and everything as it was."""

import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import pytest

from tests.analysis.hand_plants import line_rows
from tests.workbook.books import write_book

LINUX = sys.platform.startswith("linux")


@pytest.fixture
def book(tmp_path: Path) -> Path:
    return write_book(tmp_path / "plant.xlsx", line_rows([{"east": 6}, {"north": 4}]))


def pipecalc(*words: object, before: str = "") -> subprocess.CompletedProcess:
    """The command in a process of its own, after some Python of ours."""
    code = f"import os, sys\n{before}\nfrom pipecalc.cli import main\nsys.exit(main(sys.argv[1:]))"
    environment = os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)}
    command = [sys.executable, "-c", code, *map(str, words)]
    return subprocess.run(command, capture_output=True, text=True, check=False, env=environment)


def contents(folder: Path) -> dict[str, bytes]:
    return {str(f.relative_to(folder)): f.read_bytes() for f in sorted(folder.rglob("*")) if f.is_file()}


@pytest.fixture
def mounted(tmp_path: Path) -> Iterator:
    """Mounts file systems, where this user may; what was mounted is let go afterwards."""
    places: list[Path] = []

    def mount(place: Path, *options: str) -> Path:
        place.mkdir(exist_ok=True)
        done = subprocess.run(["/bin/mount", *options, str(place)], capture_output=True, check=False) if LINUX else None
        if done is None or done.returncode:
            pytest.skip("this user may not mount")
        places.append(place)
        return place

    yield mount
    for place in reversed(places):
        subprocess.run(["/bin/umount", str(place)], capture_output=True, check=False)


@pytest.mark.parametrize("room", ["4k", "12k", "32k"])
def test_a_full_disk(book: Path, tmp_path: Path, mounted, room: str) -> None:
    out = mounted(tmp_path / "out", "-t", "tmpfs", "-o", f"size={room}", "tmpfs")
    before = book.read_bytes()
    done = pipecalc("run", book, "--output", out, "--no-note", "--quiet")
    assert done.returncode == 2, done.stderr
    assert "No space left" in done.stderr
    assert "Traceback" not in done.stderr
    assert not [name for name in contents(out) if Path(name).name.startswith(".")]
    assert book.read_bytes() == before


def test_a_disk_that_fills_up_under_earlier_results(book: Path, tmp_path: Path, mounted) -> None:
    out = mounted(tmp_path / "out", "-t", "tmpfs", "-o", "size=1m", "tmpfs")
    assert pipecalc("run", book, "--output", out, "--no-note").returncode == 0
    earlier = contents(out)
    filled = out / "filled"
    with suppress(OSError), filled.open("wb", buffering=0) as file:
        while file.write(bytes(4096)):
            pass
    write_book(book, line_rows([{"east": 7}, {"north": 4}]))
    assert pipecalc("run", book, "--output", out, "--no-note").returncode == 2
    filled.unlink()
    assert contents(out) == earlier
    assert pipecalc("run", book, "--output", out, "--no-note").returncode == 0
    assert contents(out).keys() == earlier.keys()


@pytest.mark.skipif(sys.platform == "win32", reason="bounds the size of files")
def test_a_quota(book: Path, tmp_path: Path) -> None:
    quota = "import resource; resource.setrlimit(resource.RLIMIT_FSIZE, (6000, 6000))"
    before = book.read_bytes()
    done = pipecalc("run", book, "--output", tmp_path / "out", "--no-note", "--in-place", "--quiet", before=quota)
    assert done.returncode == 2, done.stderr
    assert "Cannot write into the folder" in done.stderr
    assert contents(tmp_path) == {"plant.xlsx": before}


def test_a_folder_that_may_only_be_read(book: Path, tmp_path: Path, mounted) -> None:
    out = tmp_path / "out"
    assert pipecalc("run", book, "--output", out, "--no-note").returncode == 0
    earlier = contents(out)
    mounted(out, "--bind", str(out))
    subprocess.run(["/bin/mount", "-o", "remount,ro,bind", str(out)], check=True)
    for words in (["run", book, "--output", out], ["run", book, "--output", out / "deeper"], ["blank", out / "b.xlsx"]):
        done = pipecalc(*words)
        assert done.returncode == 2, done.stderr
        assert "Read-only file system" in done.stderr
        assert "Traceback" not in done.stderr
    assert contents(out) == earlier


@pytest.mark.skipif(not LINUX or os.geteuid() != 0, reason="takes another user's place")
def test_a_folder_of_somebody_else(book: Path, tmp_path: Path) -> None:
    for folder in (tmp_path, *tmp_path.parents[:3]):
        if folder != Path(tempfile.gettempdir()):
            folder.chmod(0o755)
    warm = tmp_path / "warm"
    # The other user may not even read our Python, so everything is loaded before.
    first = ["run", str(book), "--output", str(warm), "--no-note", "--quiet"]
    other = f"from pipecalc import cli; cli.main({first!r}); os.setuid(65534)"
    done = pipecalc("run", book, "--output", tmp_path / "out", "--no-note", before=other)
    assert done.returncode == 2, done.stderr
    assert "Permission denied" in done.stderr
    hidden = other.replace("os.setuid", f"os.chmod({str(book)!r}, 0o600); os.setuid")
    done = pipecalc("check", book, before=hidden)
    assert done.returncode == 2
    assert "you may not read it" in done.stderr
    closed = other.replace("os.setuid", f"os.chmod({str(tmp_path)!r}, 0o700); os.setuid")
    for words in (["check", book], ["run", book, "--output", tmp_path / "out", "--no-note"]):
        done = pipecalc(*words, before=closed)
        assert done.returncode == 2, done.stderr
        assert "Traceback" not in done.stderr
    assert {name.split("/")[0] for name in contents(tmp_path)} == {"plant.xlsx", "warm"}


@pytest.mark.parametrize("owner", [".~lock.plant.xlsx#", "~$plant.xlsx"])
def test_a_workbook_open_in_a_spreadsheet_program(book: Path, tmp_path: Path, owner: str) -> None:
    (tmp_path / owner).write_text("somebody")
    before = contents(tmp_path)
    done = pipecalc("run", book, "--output", tmp_path / "out", "--no-note", "--in-place")
    assert done.returncode == 2
    assert f"delete {owner} if none has it open" in done.stderr
    assert contents(tmp_path) == before


HOLD = """
import sys, time
from pathlib import Path
from pipecalc.workbook.swap import locked
with locked(Path(sys.argv[1])):
    print("held", flush=True)
    sys.stdin.read()
"""


@pytest.mark.parametrize("where", ["out/plant/plant.xlsx", "plant.xlsx"])
def test_two_runs_at_once_on_one_workbook(book: Path, tmp_path: Path, where: str) -> None:
    (tmp_path / "out" / "plant").mkdir(parents=True)
    command = [sys.executable, "-c", HOLD, str(tmp_path / where)]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE) as holder:
        assert holder.stdout is not None
        assert holder.stdout.readline() == b"held\n"
        before = contents(tmp_path)
        done = pipecalc("run", book, "--output", tmp_path / "out", "--no-note", "--in-place", "--quiet")
        assert done.returncode == 2
        assert "another run works on it" in done.stderr
        assert contents(tmp_path) == before
        holder.kill()
    done = pipecalc("run", book, "--output", tmp_path / "out", "--no-note", "--in-place", "--quiet")
    assert (done.returncode, done.stderr) == (0, "")
    assert not [name for name in contents(tmp_path) if Path(name).name.startswith(".~")]


def test_many_runs_at_once_leave_one_whole_result(book: Path, tmp_path: Path) -> None:
    command = [sys.executable, "-m", "pipecalc", "run", str(book), "--output", str(tmp_path / "out"), "--no-note"]
    environment = os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)}
    runs = [
        subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True, env=environment)
        for _ in range(3)
    ]
    told = [run.communicate()[1] for run in runs]
    statuses = [run.returncode for run in runs]
    assert set(statuses) <= {0, 2}
    assert 0 in statuses
    assert all("is in use: another run" in text for text, status in zip(told, statuses, strict=True) if status)
    assert sorted(contents(tmp_path / "out")) == ["plant/plant.xlsx", "plant/results.json"]
    assert pipecalc("check", tmp_path / "out" / "plant" / "plant.xlsx").returncode == 0


# Consoles


@pytest.mark.parametrize("encoding", ["cp1252", "cp437", "ascii", "cp932", "utf-8"])
def test_a_console_that_lacks_characters(tmp_path: Path, encoding: str) -> None:
    rows = line_rows([{"east": 6}, {"north": 4}])
    rows = {s: [{k: "配管-Ω✓" if v == "L-1" else v for k, v in row.items()} for row in t] for s, t in rows.items()}
    book = write_book(tmp_path / "Anlage-Ω-配管.xlsx", rows)
    code = (
        f"sys.stdout.reconfigure(encoding={encoding!r}, errors='strict'); sys.stderr.reconfigure(encoding={encoding!r})"
    )
    environment = os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)}
    for words in (["run", book, "--output", tmp_path / "out", "--no-note"], ["check", book], ["check", book, "--json"]):
        whole = f"import sys\n{code}\nfrom pipecalc.cli import main\nsys.exit(main(sys.argv[1:]))"
        command = [sys.executable, "-c", whole, *map(str, words)]
        done = subprocess.run(command, capture_output=True, check=False, env=environment)
        assert done.returncode == 0, done.stderr.decode(encoding, "replace")
        if "--json" in words:
            assert json.loads(done.stdout.decode(encoding))[0]["file"] == str(book)
    text = (tmp_path / "out" / "Anlage-Ω-配管" / "results.json").read_text("utf-8")
    assert "配管-Ω✓" in text


def test_messages_carry_no_commands_for_the_terminal(tmp_path: Path, capsys) -> None:
    from pipecalc.cli import main

    rows = line_rows([{"east": 6}, {"north": 4}])
    rows["Lines"][0]["material"] = "A_x001B_]0;owned_x0007_\u202e\u009b31m"
    book = write_book(tmp_path / "plant.xlsx", rows)
    assert main(["check", str(book)]) == 2
    printed = capsys.readouterr().out
    assert "is not known" in printed or "owned" in printed
    assert not {"\x1b", "\x07", "\u202e", "\u009b"} & set(printed)


def test_a_short_hold_of_the_virus_scanner_is_waited_for(book: Path, tmp_path: Path) -> None:
    refuse = """
import pathlib
plain, times = pathlib.Path.replace, []
def replace(self, target):
    times.append(target)
    if len(times) % 2:
        raise PermissionError(13, "The process cannot access the file because it is being used by another process")
    return plain(self, target)
pathlib.Path.replace = replace
"""
    assert pipecalc("run", book, "--output", tmp_path / "out", "--no-note", before=refuse).returncode == 0
    never = refuse.replace("len(times) % 2", "True")
    earlier = contents(tmp_path)
    done = pipecalc("run", book, "--output", tmp_path / "out", "--no-note", before=never)
    assert done.returncode == 2
    assert "is in use: close it in the other program and run again" in done.stderr
    assert contents(tmp_path) == earlier
