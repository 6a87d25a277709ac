"""Files replaced safely: written beside, checked, then swapped, so that nothing is ever half written.

FileUnusable
├── FileBusy             open in another program, or in use by another run
├── FileChanged          saved by somebody since it was read
└── FolderNotWritable    nothing can be written there (no right, no room, no such folder)
"""

import json
import os
import secrets
import socket
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from datetime import datetime
from pathlib import Path

from pipecalc.problems import FileUnusable

_ATTEMPTS = 4  # virus scanners and search indexers hold new files for a moment
_PAUSE = 0.15  # s
_STALE_AFTER = 6 * 3600.0  # s; no run takes as long, so an older lock was left behind


class FileBusy(FileUnusable):
    """A file is open in another program or in use by another run.

    Attributes:
        path: The file.
    """

    def __init__(self, path: Path, why: str) -> None:
        super().__init__("busy", f"{path} is in use: {why}")
        self.path = path


class FileChanged(FileUnusable):
    """A file was saved by somebody since it was read; replacing it would lose that.

    Attributes:
        path: The file.
    """

    def __init__(self, path: Path) -> None:
        super().__init__("changed", f"{path} was changed during the run and is left as it is: run again")
        self.path = path


class FolderNotWritable(FileUnusable):
    """Nothing can be written into a folder.

    Attributes:
        path: The folder.
    """

    def __init__(self, path: Path, fault: OSError) -> None:
        super().__init__("not-writable", f"Cannot write into the folder {path}: {fault.strerror or fault}")
        self.path = path


def write_safely(
    path: Path,
    data: bytes,
    verify: Callable[[Path], None] | None = None,
    *,
    backup: bool = False,
    expected: bytes | None = None,
) -> Path | None:
    """Put a file in place as a whole, or not at all.

    The bytes go to a new file in the same folder, are forced onto the disk, read back, verified and
    swapped in.
    A link is followed: the file it leads to is replaced.

    Args:
        path: The file to write; its folder exists.
        data: Its content.
        verify: Opens the new file before the swap and raises if it is not in order.
        backup: Keep the previous file as a dated copy.
        expected: Content that the previous file had when it was read; it must still have it.

    Returns:
        The dated copy, or none.

    Raises:
        FileBusy: If the file is open in another program.
        FileChanged: If the file no longer has the expected content.
        FolderNotWritable: If the new file cannot be written.
    """
    path = path.resolve()
    _refuse_open_elsewhere(path)
    new = path.with_name(f".{path.stem}-{secrets.token_hex(4)}{path.suffix}")
    try:
        _write_new(new, data, path)
        if verify is not None:
            verify(new)
        if expected is not None and path.read_bytes() != expected:
            raise FileChanged(path)
        kept = backup_of(path) if backup and path.exists() else None
        _swap(new, path)
    finally:
        with suppress(OSError):
            new.unlink(missing_ok=True)
    _flush_folder(path.parent)
    return kept


def backup_of(path: Path, now: datetime | None = None) -> Path:
    """Copy a file beside itself under a dated name and return that; an existing copy is never overwritten.

    ``plant.xlsx`` becomes ``plant.2026-11-25-101500.bak.xlsx``.

    Raises:
        FileBusy: If the file cannot be read.
        FolderNotWritable: If the copy cannot be written.
    """
    stamp = (now or datetime.now()).strftime("%Y-%m-%d-%H%M%S")
    try:
        data = path.read_bytes()
    except PermissionError as fault:
        raise FileBusy(path, "close it in the other program and run again") from fault
    count = 1
    while True:
        number = f"-{count}" if count > 1 else ""
        copy = path.with_name(f"{path.stem}.{stamp}{number}.bak{path.suffix}")
        try:
            _write_new(copy, data, path)
        except FileExistsError:
            count += 1
        else:
            return copy


@contextmanager
def locked(path: Path) -> Iterator[None]:
    """Keep other runs off a file meanwhile, by a small file beside it that names this process.

    Raises:
        FileBusy: If another run holds the lock.
        FolderNotWritable: If the lock cannot be written.
    """
    lock = path.with_name(f".~{path.name}.lock")
    mine = json.dumps({"process": os.getpid(), "machine": socket.gethostname(), "id": secrets.token_hex(8)})
    _take(lock, mine, path)
    try:
        yield
    finally:
        with suppress(OSError):
            if lock.read_text("utf-8") == mine:
                lock.unlink()


def open_elsewhere(path: Path) -> Path | None:
    """The owner file by which a spreadsheet program says that it has the file open, or none."""
    owners = (path.with_name(f".~lock.{path.name}#"), path.with_name(f"~${path.name}"))
    return next((owner for owner in owners if owner.exists()), None)


def _refuse_open_elsewhere(path: Path) -> None:
    owner = open_elsewhere(path)
    if owner is not None:
        raise FileBusy(path, f"close it in the other program (or delete {owner.name} if none has it open)")
    if path.exists() and not os.access(path, os.W_OK):
        raise FileBusy(path, "it is marked as read-only")


def _write_new(path: Path, data: bytes, like: Path) -> None:
    """Write a file that does not exist yet, force it onto the disk and read it back.

    Raises:
        FileExistsError: If it exists.
        FolderNotWritable: If it cannot be written or does not read back the same.
    """
    try:
        with path.open("xb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        if like.exists():
            path.chmod(like.stat().st_mode & 0o777)
        if path.read_bytes() != data:
            raise OSError("the file does not read back as it was written")
    except FileExistsError:
        raise
    except OSError as fault:
        with suppress(OSError):
            path.unlink(missing_ok=True)
        raise FolderNotWritable(path.parent, fault) from fault


def _swap(new: Path, path: Path) -> None:
    for attempt in range(1, _ATTEMPTS + 1):
        try:
            new.replace(path)
        except PermissionError as fault:
            if attempt == _ATTEMPTS:
                raise FileBusy(path, "close it in the other program and run again") from fault
            time.sleep(_PAUSE)
        else:
            return


def _flush_folder(folder: Path) -> None:
    """Force the new name onto the disk where the system lets folders be opened (Windows does not)."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _take(lock: Path, mine: str, path: Path) -> None:
    for _ in range(2):
        try:
            with lock.open("x", encoding="utf-8") as file:
                file.write(mine)
        except FileExistsError:
            if not _is_stale(lock):
                raise FileBusy(path, f"another run works on it (or delete {lock.name} if none does)") from None
            with suppress(OSError):
                lock.unlink()
        except OSError as fault:
            raise FolderNotWritable(path.parent, fault) from fault
        else:
            return
    raise FileBusy(path, "another run has just started on it")


def _is_stale(lock: Path) -> bool:
    """Whether the run that wrote a lock is gone; an unreadable or foreign one counts so after some hours."""
    try:
        if time.time() - lock.stat().st_mtime > _STALE_AFTER:
            return True
        owner = json.loads(lock.read_text("utf-8"))
        here = owner["machine"] == socket.gethostname()
        return here and not _is_running(int(owner["process"]))
    except FileNotFoundError:
        return True
    except (OSError, ValueError, KeyError, TypeError):
        return False


def _is_running(process: int) -> bool:
    if sys.platform == "win32":
        # os.kill would end the process there, whatever the signal.
        import ctypes

        query, still_active = 0x1000, 259
        kernel = ctypes.windll.kernel32
        handle = kernel.OpenProcess(query, False, process)
        if not handle:
            return False
        code = ctypes.c_ulong()
        kernel.GetExitCodeProcess(handle, ctypes.byref(code))
        kernel.CloseHandle(handle)
        return code.value == still_active
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except PermissionError:
        return True
    return True
