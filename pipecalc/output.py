"""Where results go, and writing them: each file whole, the user's own workbook last."""

from collections.abc import Iterator
from contextlib import contextmanager, nullcontext, suppress
from dataclasses import dataclass
from pathlib import Path

from pipecalc.making import RESULTS_FILE, Made
from pipecalc.workbook.file_names import portable
from pipecalc.workbook.places import is_there
from pipecalc.workbook.swap import FileBusy, clear_leftovers, locked, make_folder, open_elsewhere, write_safely

#: Folder for results in the current one, where no other is named.
OUTPUT = "output"


@dataclass(frozen=True, slots=True)
class Target:
    """Where the results of a workbook go.

    Attributes:
        path: The workbook.
        folder: Folder for its results.
        in_place: Update the workbook itself too.
    """

    path: Path
    folder: Path
    in_place: bool = False

    @property
    def copy(self) -> Path:
        """The copy with results; it bears the workbook's name, unless some system would not take it."""
        return self.folder / portable(self.path.name)

    @property
    def onto_itself(self) -> bool:
        """Whether the copy would replace the workbook that was read."""
        return self.copy.resolve() == self.path.resolve()

    @property
    def updates(self) -> bool:
        """Whether the workbook that was read is written anew."""
        return self.in_place or self.onto_itself


@dataclass(frozen=True, slots=True)
class Written:
    """Where everything is.

    Attributes:
        folder: Folder of the results.
        workbook: The workbook with results.
        backup: Dated copy of the earlier workbook, where the workbook itself was updated.
        results_file: results.json.
        note: The PDF note, or None where it could not be made.
        html: The note as HTML, or None where no note was wanted.
    """

    folder: Path
    workbook: Path
    backup: Path | None
    results_file: Path
    note: Path | None
    html: Path | None


def output_root(output: Path | str | None) -> Path:
    """The folder that holds the folders of results: the named one, else ``output`` in the current folder."""
    return Path(output) if output is not None else Path.cwd() / OUTPUT


def folder_name(name: str) -> str:
    """Name of the folder for the results of a workbook."""
    return Path(portable(name)).stem


@contextmanager
def claimed(target: Target) -> Iterator[None]:
    """Keep the place for results: its folder is there and no other run or program has hold of what is to be written.

    The folder is made where it is missing, and taken away again if nothing came into it.

    Raises:
        FileBusy: Another run works there, or a file that is to be replaced is open in another program.
        FileUnusable: The folder cannot be made or written into.
    """
    with _folder(target.folder), _alone(target):
        _refuse_busy(target)
        yield


@contextmanager
def _alone(target: Target) -> Iterator[None]:
    """Keep other runs off the results, and off the workbook where it will be updated; clear what dead runs left."""
    in_place = target.in_place and not target.onto_itself
    with locked(target.copy), locked(target.path) if in_place else nullcontext():
        clear_leftovers(target.folder)
        clear_leftovers(target.folder / "figures")
        if in_place:
            clear_leftovers(target.path.resolve().parent, target.path.resolve().stem)
        yield


def write(made: Made, target: Target, source: bytes) -> Written:
    """Write everything that a run made; the place must be claimed.

    Args:
        made: What is to be written.
        target: Where to.
        source: Bytes of the workbook as read; it must still hold them where it is updated.

    Raises:
        FileChanged: The workbook was saved by somebody meanwhile and is left as it is.
        FileUnusable: A file cannot be written. Each file is the earlier or the new one as a whole.
    """
    folder = target.folder
    for name, data in made.files.items():
        path = folder / name
        make_folder(path.parent)
        write_safely(path, data)
    if not target.onto_itself:
        write_safely(target.copy, made.workbook)
    backup = write_safely(target.path, made.workbook, backup=True, expected=source) if target.updates else None
    return Written(
        folder=folder,
        workbook=target.copy,
        backup=backup,
        results_file=folder / RESULTS_FILE,
        note=folder / made.note if made.note else None,
        html=folder / made.html if made.html else None,
    )


@contextmanager
def _folder(folder: Path) -> Iterator[None]:
    missing = [f for f in (folder, *folder.parents) if not is_there(f)]
    make_folder(folder)
    try:
        yield
    finally:
        for made in missing:
            with suppress(OSError):
                made.rmdir()


def _refuse_busy(target: Target) -> None:
    """A file that could not be replaced in the end is better told of in the beginning."""
    for path in (target.copy, target.path) if target.in_place else (target.copy,):
        owner = open_elsewhere(path)
        if owner is not None:
            raise FileBusy(path, f"close it in the other program (or delete {owner.name} if none has it open)")
