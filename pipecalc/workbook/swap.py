"""Files replaced safely: written beside, checked, then swapped, so that nothing is ever half written.

FileUnusable
├── FileBusy             open in another program, or in use by another run
├── FileChanged          saved by somebody since it was read
└── FolderNotWritable    nothing can be written there (no right, no room, no such folder)
"""

import json
import os
import re
import secrets
import socket
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from datetime import datetime
from io import BytesIO
from itertools import zip_longest
from pathlib import Path
from typing import Any, TextIO

from pipecalc.problems import FileUnusable
from pipecalc.workbook.file_names import clipped
from pipecalc.workbook.places import is_folder, is_there
from pipecalc.workbook.processes import is_running, started

_ATTEMPTS = 4  # virus scanners and search indexers hold new files for a moment
_PAUSE = 0.15  # s
_STALE_AFTER = 6 * 3600.0  # s; no run takes as long, so an older lock was left behind
_SETTLING = 20  # looks at a lock without content, each a pause apart, before its writer counts as gone
_PIECE = 1 << 20  # bytes written and read back at a time
_ROOM = 150  # bytes of a file's name that names made from it take over
_LONGEST_PATH = 259  # characters that Windows takes unless long paths are switched on


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
        why = fault.strerror or str(fault)
        if len(str(fault.filename or "")) > _LONGEST_PATH:
            why += f" (its path is longer than {_LONGEST_PATH} characters; choose a shorter folder)"
        super().__init__("not-writable", f"Cannot write into the folder {path}: {why}")
        self.path = path


def write_safely(
    path: Path,
    data: bytes | Path,
    *,
    backup: bool = False,
    expected: bytes | None = None,
) -> Path | None:
    """Put a file in place as a whole, or not at all.

    The bytes go to a new file in the same folder, are forced onto the disk, read back and
    swapped in. A link is followed: the file it leads to is replaced.

    Args:
        path: The file to write; its folder exists.
        data: Its content, or a file that holds it.
        backup: Keep the previous file as a dated copy.
        expected: Content that the previous file had when it was read; it must still have it.

    Returns:
        The dated copy, or none.

    Raises:
        FileBusy: If the file is open in another program.
        FileChanged: If the file no longer has the expected content.
        FolderNotWritable: If the new file cannot be written.
    """
    path = _followed(path)
    _refuse_open_elsewhere(path)
    new = _beside(path)
    try:
        _write_new(new, data, path)
        if expected is not None and path.read_bytes() != expected:
            raise FileChanged(path)
        kept = backup_of(path) if backup and is_there(path) else None
        if kept is not None:
            _flush_folder(path.parent)  # the copy is safe before the file it was made of goes
        _swap(new, path)
    finally:
        with suppress(OSError):
            new.unlink(missing_ok=True)
    _flush_folder(path.parent)
    return kept


def make_folder(folder: Path) -> None:
    """Make a folder and those above it where they are missing.

    Raises:
        FileUnusable: If it cannot be made.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as fault:
        raise FileUnusable("not-writable", f"Cannot make the folder {folder}: {fault.strerror or fault}") from fault


def clear_leftovers(folder: Path, stem: str = "") -> None:
    """Delete what a run that was ended by force left half written; call it while no other run can write there.

    Args:
        folder: Where to look; it need not exist.
        stem: Name without ending of the file whose leftovers are meant; all files where empty.
    """
    own = re.escape(clipped(stem, _ROOM)) if stem else ".*"
    pattern = re.compile(rf"\.~{own}-[0-9a-f]{{8}}\.part(?:\.[^.]*)?", re.DOTALL)
    with suppress(OSError):
        for left in [file for file in folder.iterdir() if pattern.fullmatch(file.name)]:
            with suppress(OSError):
                left.unlink()


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
    new = _beside(path)
    try:
        _write_new(new, data, path)
        return _named_freely(new, path, stamp)
    finally:
        with suppress(OSError):
            new.unlink(missing_ok=True)


def _named_freely(new: Path, path: Path, stamp: str) -> Path:
    """Give a file the dated name of a copy, with a number where that is taken."""
    for count in range(1, 10_000):
        number = f"-{count}" if count > 1 else ""
        copy = path.with_name(f"{clipped(path.stem, _ROOM)}.{stamp}{number}.bak{path.suffix}")
        if copy.exists():
            continue
        try:
            new.rename(copy)
        except FileExistsError:
            continue
        except OSError as fault:
            raise FolderNotWritable(path.parent, fault) from fault
        return copy
    raise FolderNotWritable(path.parent, OSError(f"there are too many copies of {path.name}"))


def _beside(path: Path) -> Path:
    """A name that is not taken, in the folder of a file, by which what is half written can be told."""
    return path.with_name(f".~{clipped(path.stem, _ROOM)}-{secrets.token_hex(4)}.part{clipped(path.suffix, 20)}")


@contextmanager
def locked(path: Path) -> Iterator[None]:
    """Keep other runs off a file meanwhile, by a small file beside it that names this process.

    Raises:
        FileBusy: If another run holds the lock.
        FolderNotWritable: If the lock cannot be written.
    """
    path = _followed(path)
    lock = path.with_name(f".~{clipped(path.name, _ROOM + 20)}.lock")
    owner = {"process": os.getpid(), "started": started(os.getpid()), "machine": socket.gethostname()}
    mine = json.dumps({**owner, "id": secrets.token_hex(8)})
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
    with suppress(OSError):  # no program could write a name that the system finds too long
        return next((owner for owner in owners if is_there(owner)), None)
    return None


def _followed(path: Path) -> Path:
    """The file that a link leads to.

    Raises:
        FolderNotWritable: If links lead in a circle.
    """
    try:
        return path.resolve()
    except (OSError, RuntimeError) as fault:
        raise FolderNotWritable(path.parent, OSError(f"{path.name} is a link that leads nowhere")) from fault


def _refuse_open_elsewhere(path: Path) -> None:
    owner = open_elsewhere(path)
    if owner is not None:
        raise FileBusy(path, f"close it in the other program (or delete {owner.name} if none has it open)")
    if is_folder(path):
        raise FileBusy(path, "a folder bears this name; rename it")
    if is_there(path) and not os.access(path, os.W_OK):
        raise FileBusy(path, "it is marked as read-only")


def _write_new(path: Path, data: bytes | Path, like: Path) -> None:
    """Write a file that does not exist yet, force it onto the disk and read it back.

    Raises:
        FileExistsError: If it exists.
        FolderNotWritable: If it cannot be written or does not read back the same.
    """
    try:
        given = isinstance(data, Path) and _is_given_name(data, path)
        with path.open("r+b" if given else "xb") as file:
            for piece in () if given else _pieces(data):
                file.write(piece)
            file.flush()
            os.fsync(file.fileno())
        if like.exists():
            path.chmod(like.stat().st_mode & 0o777)
        if not given and not all(a == b for a, b in zip_longest(_pieces(path), _pieces(data))):
            raise OSError("the file does not read back as it was written")
    except FileExistsError:
        raise
    except OSError as fault:
        with suppress(OSError):
            path.unlink(missing_ok=True)
        raise FolderNotWritable(path.parent, fault) from fault


def _is_given_name(data: Path, path: Path) -> bool:
    """Give a file a second name instead of copying it, where both places are on one disk that can do so."""
    try:
        path.hardlink_to(data)
    except FileExistsError:
        raise
    except (OSError, NotImplementedError):
        return False
    return True


def _pieces(data: bytes | Path) -> Iterator[bytes]:
    """Content piece by piece: that of a file need not fit into memory."""
    with BytesIO(data) if isinstance(data, bytes) else data.open("rb") as file:
        while piece := file.read(_PIECE):
            yield piece


def _swap(new: Path, path: Path) -> None:
    for attempt in range(1, _ATTEMPTS + 1):
        try:
            new.replace(path)
        except PermissionError as fault:
            if attempt == _ATTEMPTS:
                raise FileBusy(path, "close it in the other program and run again") from fault
            time.sleep(_PAUSE)
        except OSError as fault:
            raise FolderNotWritable(path.parent, fault) from fault
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
    took_over = False
    for _ in range(2):
        try:
            file = lock.open("x", encoding="utf-8")
        except FileExistsError:
            if not _is_stale(lock):
                raise FileBusy(path, f"another run works on it (or delete {lock.name} if none does)") from None
            with suppress(OSError):
                lock.unlink()
            took_over = True
        except OSError as fault:
            raise FolderNotWritable(path.parent, fault) from fault
        else:
            _sign(lock, file, mine, path)
            if not took_over or _is_still(lock, mine):
                return
            break
    raise FileBusy(path, "another run has just started on it")


def _sign(lock: Path, file: TextIO, mine: str, path: Path) -> None:
    try:
        with file:
            file.write(mine)
    except OSError as fault:
        with suppress(OSError):
            lock.unlink()
        raise FolderNotWritable(path.parent, fault) from fault


def _is_still(lock: Path, mine: str) -> bool:
    """Whether a lock that was taken over is ours after a moment: two runs may have found the old one stale."""
    time.sleep(_PAUSE)
    with suppress(OSError, ValueError):
        return lock.read_text("utf-8") == mine
    return False


def _is_stale(lock: Path) -> bool:
    """Whether the run that wrote a lock is gone; an unreadable or foreign one counts so after some hours."""
    try:
        if time.time() - lock.stat().st_mtime > _STALE_AFTER:
            return True
        text = _content(lock)
        if not text:
            return True
        owner = json.loads(text)
        return bool(owner["machine"] == socket.gethostname()) and not _is_at_work(owner)
    except FileNotFoundError:
        return True
    except (OSError, ValueError, KeyError, TypeError):
        return False


def _content(lock: Path) -> str:
    """What stands in a lock; a run that has just made it is given time to write, unless it was ended before."""
    for _ in range(_SETTLING):
        if text := lock.read_text("utf-8").strip():
            return text
        time.sleep(_PAUSE / 2)
    return ""


def _is_at_work(owner: Mapping[str, Any]) -> bool:
    """Whether the process named in a lock runs and is not a later one of the same number."""
    process = int(owner["process"])
    now, then = started(process), owner.get("started", "")
    return is_running(process) and not (now and then and now != then)
