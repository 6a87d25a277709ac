"""Whether the process named in a lock still runs, on Windows too."""

import ctypes
import os
import subprocess
import sys
from types import SimpleNamespace

import pytest

from pipecalc.workbook import processes
from pipecalc.workbook.processes import is_running, started


def ended() -> int:
    done = subprocess.run([sys.executable, "-c", "import os; print(os.getpid())"], capture_output=True, check=True)
    return int(done.stdout)


def test_this_process_runs_and_one_that_ended_does_not() -> None:
    assert is_running(os.getpid())
    assert not is_running(ended())


@pytest.mark.parametrize("number", [0, -1, 10**30])
def test_numbers_that_no_process_has(number: int) -> None:
    assert not is_running(number)


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="reads /proc")
def test_the_start_tells_processes_apart() -> None:
    with subprocess.Popen([sys.executable, "-c", "input()"], stdin=subprocess.PIPE) as child:
        assert started(child.pid)
        assert started(child.pid) != started(os.getpid()) == started(os.getpid())
        child.communicate(b"\n")
    assert started(ended()) == ""


class Kernel:
    """The calls of the Windows interface that are used, with processes of our choosing."""

    def __init__(self, codes: dict[int, int], denied: tuple[int, ...] = ()) -> None:
        self.codes, self.denied, self.open, self.error = codes, denied, [], 0

    def OpenProcess(self, _right, _inherit, process):
        self.error = 5 if process in self.denied else 87
        if process not in self.codes:
            return 0
        self.open.append(process)
        return process

    def GetLastError(self):
        return self.error

    def GetExitCodeProcess(self, handle, code):
        code._obj.value = self.codes[handle]

    def GetProcessTimes(self, handle, created, *_others):
        created._obj.value = 1000 + handle
        return 1

    def CloseHandle(self, handle):
        self.open.remove(handle)


@pytest.fixture
def windows(monkeypatch) -> Kernel:
    kernel = Kernel({7: 259, 8: 0}, denied=(9,))
    monkeypatch.setattr(ctypes, "windll", SimpleNamespace(kernel32=kernel), raising=False)
    monkeypatch.setattr(processes.os, "name", "nt")
    monkeypatch.setattr(processes.os, "kill", lambda *_: pytest.fail("would end the process"))
    return kernel


def test_windows_is_asked_without_harm(windows: Kernel) -> None:
    assert [is_running(process) for process in (7, 8, 9, 10)] == [True, False, True, False]
    assert windows.open == []


def test_windows_tells_the_start(windows: Kernel) -> None:
    assert [started(process) for process in (7, 10)] == ["1007", ""]
    assert windows.open == []
