"""A run that is ended at any moment leaves every file as it was or as it is to be, and the next run goes through."""

import os
import signal
import stat
import subprocess
import sys
import time
import warnings
from dataclasses import dataclass
from pathlib import Path

import pytest

from pipecalc import job, making
from pipecalc.output import Target, claimed, write
from pipecalc.workbook import swap
from tests.analysis.hand_plants import line_rows
from tests.workbook.books import write_book

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="ends processes by a signal")

_EVENTS = ("open", "os.rename", "os.remove", "os.mkdir", "os.rmdir", "os.chmod", "os.link", "os.truncate")


@dataclass(frozen=True)
class Plan:
    """What a run would write over what an earlier one wrote."""

    old: bytes
    new: bytes
    first: making.Made
    second: making.Made


def made(source: bytes, note: bytes) -> making.Made:
    """Everything of a run; a note stands for the PDF, which takes long to make."""
    found, _ = making.make(making.ready("plant.xlsx", source), making.Options(pdf=False))
    files = {"plant.html": note, "figures/1-a.svg": note, "plant.pdf": note, **found.files}
    return making.Made(**{name: getattr(found, name) for name in found.__slots__} | {"files": files})


@pytest.fixture(scope="module")
def plan(tmp_path_factory) -> Plan:
    folder = tmp_path_factory.mktemp("plan")
    old = write_book(folder / "old.xlsx", line_rows([{"east": 6}, {"north": 4}])).read_bytes()
    new = write_book(folder / "new.xlsx", line_rows([{"east": 7}, {"north": 4}])).read_bytes()
    return Plan(old, new, made(old, b"first note"), made(new, b"second note"))


@pytest.fixture
def target(plan: Plan, tmp_path: Path) -> Target:
    """An earlier run's results, and the workbook changed since."""
    target = Target(tmp_path / "plant.xlsx", tmp_path / "out" / "plant", in_place=True)
    target.path.write_bytes(plan.old)
    with claimed(Target(target.path, target.folder)):
        write(plan.first, Target(target.path, target.folder), plan.old)
    target.path.write_bytes(plan.new)
    return target


def run_and_end_at(plan: Plan, target: Target, step: int, halve: bool) -> bool:
    """Run in a process of its own that is killed before its step-th change of a file; whether it was killed."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)
        child = os.fork()
    if child == 0:
        try:
            _end_at(target.path.parent, step, halve)
            with claimed(target):
                write(plan.second, target, plan.new)
            os._exit(0)
        except BaseException:
            os._exit(1)
    _, status = os.waitpid(child, 0)
    assert os.WIFSIGNALED(status) or os.WEXITSTATUS(status) == 0
    return os.WIFSIGNALED(status)


def _end_at(folder: Path, step: int, halve: bool) -> None:
    seen = 0

    def count() -> None:
        nonlocal seen
        seen += 1
        if seen == step:
            os.kill(os.getpid(), signal.SIGKILL)

    def halved(file: int) -> None:
        """What was written had not all reached the disk."""
        if stat.S_ISREG(os.fstat(file).st_mode):
            if seen == step - 1:
                os.ftruncate(file, os.fstat(file).st_size // 2)
            count()

    if halve:
        os.fsync = halved
        return

    def watch(event: str, arguments: tuple) -> None:
        if event in _EVENTS and any(
            str(folder) in os.fsdecode(a) for a in arguments if isinstance(a, str | bytes | Path)
        ):
            count()

    sys.addaudithook(watch)
    plain = os.fsync
    os.fsync = lambda file: (count(), plain(file))


def assert_whole(plan: Plan, target: Target) -> None:
    for name in plan.second.files:
        found = (target.folder / name).read_bytes()
        assert found in (plan.first.files[name], plan.second.files[name]), name
    assert target.copy.read_bytes() in (plan.first.workbook, plan.second.workbook)
    book = target.path.read_bytes()
    assert book in (plan.new, plan.second.workbook)
    kept = {copy.read_bytes() for copy in target.path.parent.glob("*.bak.xlsx")}
    assert kept == {plan.new} or (not kept and book == plan.new)


def assert_next_run_succeeds(plan: Plan, target: Target) -> None:
    source = target.path.read_bytes()
    with claimed(target):
        write(plan.second, target, source)
    names = {str(f.relative_to(target.folder)) for f in target.folder.rglob("*") if f.is_file()}
    assert names == {"plant.xlsx", *plan.second.files}
    assert all((target.folder / name).read_bytes() == data for name, data in plan.second.files.items())
    assert target.path.read_bytes() == target.copy.read_bytes() == plan.second.workbook
    beside = {f.name for f in target.path.parent.iterdir() if ".bak." not in f.name}
    assert beside == {"plant.xlsx", "out"}


@pytest.mark.parametrize("halve", [False, True])
def test_killed_at_every_change_of_a_file(plan: Plan, target: Target, tmp_path: Path, halve: bool, monkeypatch) -> None:
    monkeypatch.setattr(swap, "_PAUSE", 0.001)
    before = {f: f.read_bytes() for f in tmp_path.rglob("*") if f.is_file()}
    steps = 0
    while run_and_end_at(plan, target, steps + 1, halve):
        steps += 1
        assert_whole(plan, target)
        assert_next_run_succeeds(plan, target)
        for file in set(tmp_path.rglob("*.bak.xlsx")):
            file.unlink()
        for file, data in before.items():
            file.write_bytes(data)
    assert steps > (5 if halve else 40)


#: Seconds after which a run is ended: while it starts, computes and writes.
MOMENTS = (0.4, 1.5, 3.0, 4.0, 5.0)


@pytest.mark.parametrize("seconds", MOMENTS)
def test_killed_at_any_time(plan: Plan, target: Target, seconds: float) -> None:
    before = {f: f.read_bytes() for f in target.path.parent.rglob("*") if f.is_file()}
    words = ["run", str(target.path), "--output", str(target.folder.parent), "--in-place", "--no-note", "--quiet"]
    with subprocess.Popen([sys.executable, "-m", "pipecalc", *words], stdout=subprocess.DEVNULL) as process:
        time.sleep(seconds)
        process.kill()
    for file, data in before.items():
        name = str(file.relative_to(target.folder)) if file.is_relative_to(target.folder) else ""
        new = (plan.second.files.get(name), plan.second.workbook)
        assert file.read_bytes() in (data, *new), file
    done = job.run(target.path, target.folder.parent, in_place=True, pdf=False)
    assert done.workbook.read_bytes() == plan.second.workbook
    assert not list(target.path.parent.rglob(".~*"))
