"""What the numbers and files of a run depend on, beside the workbook: program, tables, templates, libraries, Python."""

import hashlib
import sys
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path

#: Libraries that bear on a number or on a byte of what is written.
LIBRARIES = (
    "numpy",
    "scipy",
    "chemicals",
    "fluids",
    "pint",
    "lxml",
    "python-calamine",
    "jinja2",
    "weasyprint",
    "pydyf",
    "fonttools",
)
_OWN = "program and tables"
_TEXT = frozenset({".py", ".csv", ".txt", ".json", ".j2", ".css"})


@cache
def versions() -> Mapping[str, str]:
    """Name and version of everything that results depend on; ``Python`` without its last number."""
    from importlib.metadata import PackageNotFoundError, version

    from pipecalc.version import __version__

    found = {"pipecalc": __version__, _OWN: _checksum(), "Python": f"{sys.version_info[0]}.{sys.version_info[1]}"}
    for library in LIBRARIES:
        try:
            found[library] = version(library)
        except PackageNotFoundError:
            found[library] = "absent"
    return found


def differences(ours: Mapping[str, str], theirs: Mapping[str, str]) -> list[str]:
    """Where two differ, in words, ours first."""
    names = dict.fromkeys((*ours, *theirs))
    return [
        f"{name} {ours.get(name, 'absent')} here and {theirs.get(name, 'absent')} there"
        for name in names
        if ours.get(name) != theirs.get(name)
    ]


def _checksum() -> str:
    """Of the package's own files by their text, so that line ends of another system do not count."""
    from pipecalc.report.assets import PACKAGE, templates_folder

    total = hashlib.sha256()
    for folder in (PACKAGE, templates_folder()):
        for name, path in sorted((path.relative_to(folder).as_posix(), path) for path in _own_files(folder)):
            total.update(name.encode("utf-8") + b"\0")
            total.update(path.read_bytes().replace(b"\r\n", b"\n") + b"\0")
    return total.hexdigest()[:16]


def _own_files(folder: Path) -> Iterator[Path]:
    """Text files of a folder; an installed package holds the templates, a checkout has them beside it."""
    for path in folder.rglob("*"):
        if path.suffix in _TEXT and "templates" not in path.relative_to(folder).parts:
            yield path
