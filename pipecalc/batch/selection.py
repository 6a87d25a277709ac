"""Files, folders and patterns -> the workbooks to run, each with the folder for its results, and what was left out.

Patterns are expanded here too, since not every shell does it. A workbook found below a folder or by a pattern keeps
its place below it among the results; one that is named goes straight below the output folder.
"""

import os
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from glob import glob, has_magic
from pathlib import Path

from pipecalc.making import RESULTS_FILE
from pipecalc.output import folder_name
from pipecalc.problems import FileUnusable
from pipecalc.workbook.file_names import portable, same_place
from pipecalc.workbook.places import is_folder, is_there

ENDING = ".xlsx"
_BACKUP = re.compile(r"\.\d{4}-\d\d-\d\d-\d{6}(-\d+)?\.bak\.xlsx$", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Item:
    """A workbook to run.

    Attributes:
        path: The workbook.
        folder: Folder for its results, relative to the output folder.
    """

    path: Path
    folder: Path

    @property
    def label(self) -> str:
        """What to call it where workbooks of one name may stand in several folders."""
        return (self.folder.parent / self.path.name).as_posix()


@dataclass(frozen=True, slots=True)
class Skipped:
    """A file that was found and left out, and why."""

    path: Path
    why: str


@dataclass(frozen=True, slots=True)
class Selection:
    """What was named on the command line.

    Attributes:
        items: Workbooks in the order named, those of a folder or pattern by name.
        skipped: What was found and left out.
        empty: Folders and patterns without a workbook, as sentences.
    """

    items: tuple[Item, ...]
    skipped: tuple[Skipped, ...]
    empty: tuple[FileUnusable, ...]


def is_single(words: Sequence[Path]) -> bool:
    """Whether one file is named and nothing has to be searched."""
    return len(words) == 1 and not is_folder(words[0]) and not _is_pattern(words[0])


def select(words: Iterable[Path], output: Path) -> Selection:
    """Find the workbooks.

    Args:
        words: Files, folders and patterns as typed.
        output: The folder for results; workbooks in it are copies of ours and left out, unless they are named.

    Raises:
        FileUnusable: Two workbooks would write into one folder.
    """
    items: dict[Path, Item] = {}
    skipped: dict[Path, Skipped] = {}
    empty = []
    for word in words:
        found = list(_found(word, output.resolve()))
        for one in found:
            (items if isinstance(one, Item) else skipped).setdefault(one.path.resolve(), one)  # type: ignore[arg-type]
        if not any(isinstance(one, Item) for one in found):
            kind = "folder" if is_folder(word) else "pattern"
            empty.append(FileUnusable("missing", f"{word}: no workbook ({ENDING}) is found by this {kind}"))
    chosen = tuple(items.values())
    _refuse_collisions(chosen)
    return Selection(chosen, tuple(s for path, s in skipped.items() if path not in items), tuple(empty))


def _is_pattern(word: Path) -> bool:
    return has_magic(str(word)) and not is_there(word)


def _found(word: Path, output: Path) -> Iterator[Item | Skipped]:
    if is_folder(word):
        yield from _below(word, word, output)
    elif _is_pattern(word):
        base = _fixed_part(word)
        for path in map(Path, sorted(glob(str(word), recursive=True))):  # noqa: PTH207 - takes absolute patterns too
            if is_folder(path):
                if "**" not in word.parts:  # which has matched the files below as well
                    yield from _below(path, base, output)
            else:
                yield _judged(path, base, output)
    else:
        yield Item(word, Path(folder_name(word.name)))


def _below(folder: Path, base: Path, output: Path) -> Iterator[Item | Skipped]:
    """Workbooks in a folder and the folders below it, by name; the output folder and hidden folders apart."""
    for place, folders, files in os.walk(folder):
        here = Path(place)
        folders[:] = sorted(f for f in folders if not f.startswith(".") and (here / f).resolve() != output)
        for name in sorted(files):
            if name.lower().endswith(ENDING):
                yield _judged(here / name, base, output)


def _judged(path: Path, base: Path, output: Path) -> Item | Skipped:
    why = _reason_to_skip(path, output)
    if why:
        return Skipped(path, why)
    above = (portable(part) for part in path.parent.relative_to(base).parts)
    return Item(path, Path(*above, folder_name(path.name)))


def _reason_to_skip(path: Path, output: Path) -> str:
    """Why a file that was not named itself is left out; empty where it is a workbook."""
    if not path.name.lower().endswith(ENDING):
        return f"no workbook ({ENDING})"
    if path.name.startswith(("~$", ".")):
        return "a lock or hidden file"
    if _BACKUP.search(path.name):
        return "a dated copy of an earlier workbook"
    resolved = path.resolve()
    if resolved.is_relative_to(output):
        return "in the folder for results"
    if resolved.parent.name == folder_name(path.name) and (resolved.parent / RESULTS_FILE).is_file():
        return "a copy with results of an earlier run"
    return ""


def _fixed_part(pattern: Path) -> Path:
    """The folders of a pattern before its first wildcard."""
    fixed: list[str] = []
    for part in pattern.parts[:-1]:
        if has_magic(part):
            break
        fixed.append(part)
    return Path(*fixed)


def _refuse_collisions(items: Iterable[Item]) -> None:
    """Two workbooks of one name would write into one folder, the second over the first."""
    folders: dict[tuple[str, ...], Item] = {}
    for item in items:
        other = folders.setdefault(tuple(same_place(part) for part in item.folder.parts), item)
        if other is not item:
            message = f"{other.path} and {item.path} would both write to {item.folder.as_posix()}/"
            hint = "run them apart, or give the folder above both, whose folders are then kept apart"
            raise FileUnusable("same-name", f"{message}; {hint}")
