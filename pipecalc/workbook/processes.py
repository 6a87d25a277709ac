"""Whether a process still runs, asked in the way of each system."""

import os
from contextlib import suppress
from pathlib import Path
from typing import Any

_QUERY, _STILL_ACTIVE, _ACCESS_DENIED = 0x1000, 259, 5  # names of the Windows interface


def is_running(process: int) -> bool:
    """Whether a process of this machine runs; one that may not be looked at counts as running."""
    if os.name == "nt":
        return _is_running_on_windows(process)
    try:
        # Signal 0 is never delivered. On Windows the same call would end the process, whatever the signal.
        os.kill(process, 0)  # noqa: TID251
    except (ProcessLookupError, OverflowError):
        return False
    except PermissionError:
        return True
    return process > 0


def started(process: int) -> str:
    """When a process of this machine started, in a form of the system's own; empty where it cannot be told.

    It tells a process from a later one that was given the same number.
    """
    if os.name == "nt":
        return _started_on_windows(process)
    with suppress(OSError, IndexError):
        # Field 22, counted from 1; the name in field 2 stands in brackets and may hold blanks. Source: proc(5).
        return Path(f"/proc/{process}/stat").read_text("utf-8", "replace").rpartition(")")[2].split()[19]
    return ""


def _kernel() -> Any:
    import ctypes

    return vars(ctypes)["windll"].kernel32  # there on Windows alone


def _is_running_on_windows(process: int) -> bool:
    import ctypes

    kernel = _kernel()
    handle = kernel.OpenProcess(_QUERY, False, process)
    if not handle:
        return bool(kernel.GetLastError() == _ACCESS_DENIED)
    code = ctypes.c_ulong()
    kernel.GetExitCodeProcess(handle, ctypes.byref(code))
    kernel.CloseHandle(handle)
    return code.value == _STILL_ACTIVE


def _started_on_windows(process: int) -> str:
    import ctypes

    kernel = _kernel()
    handle = kernel.OpenProcess(_QUERY, False, process)
    if not handle:
        return ""
    times = [ctypes.c_ulonglong() for _ in range(4)]
    done = kernel.GetProcessTimes(handle, *map(ctypes.byref, times))
    kernel.CloseHandle(handle)
    return str(times[0].value) if done else ""
