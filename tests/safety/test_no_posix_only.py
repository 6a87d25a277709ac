"""The package calls nothing that Windows lacks; the linter says the same, this also sees what is imported by name."""

import ast
import tomllib
from pathlib import Path

import pytest

import pipecalc

PACKAGE = Path(pipecalc.__file__).parent
ROOT = PACKAGE.parent
BANNED: dict[str, dict[str, str]] = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["tool"]["ruff"]["lint"][
    "flake8-tidy-imports"
]["banned-api"]
#: Asked of the system behind a look at its name.
EXCEPTED = {("workbook/processes.py", "os.kill")}


def used(source: str) -> set[str]:
    """Dotted names of foreign modules and of what is taken from them."""
    found, names = set(), {}
    tree = ast.parse(source)
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
            names |= {alias.asname or alias.name: alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id in names:
            found.add(f"{names[node.value.id]}.{node.attr}")
        if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "getattr" and len(node.args) > 1:
            module, attribute = node.args[:2]
            if isinstance(module, ast.Name) and module.id in names and isinstance(attribute, ast.Constant):
                found.add(f"{names[module.id]}.{attribute.value}")
    return found


def modules() -> dict[str, str]:
    """Source of every module by its place in the package."""
    return {p.relative_to(PACKAGE).as_posix(): p.read_text("utf-8") for p in sorted(PACKAGE.rglob("*.py"))}


def test_nothing_is_called_that_windows_lacks() -> None:
    found = {(place, name) for place, source in modules().items() for name in used(source) & BANNED.keys()}
    assert found == EXCEPTED


@pytest.mark.parametrize(
    ("source", "name"),
    [
        ("import fcntl", "fcntl"),
        ("from os import fork", "os.fork"),
        ("import os as o\no.fork()", "os.fork"),
        ("import signal\nsignal.SIGKILL", "signal.SIGKILL"),
        ("import os\ngetattr(os, 'fork')()", "os.fork"),
        ("def f():\n    import resource", "resource"),
    ],
)
def test_each_way_of_calling_is_seen(source: str, name: str) -> None:
    assert name in used(source) & BANNED.keys()


def without_encoding(source: str) -> list[int]:
    """Lines where a file is read or written as text in whatever encoding the system prefers."""
    calls = [n for n in ast.walk(ast.parse(source)) if isinstance(n, ast.Call) and isinstance(n.func, ast.Attribute)]
    least = {"read_text": 1, "write_text": 2}
    return [
        call.lineno
        for call in calls
        if len(call.args) < least.get(call.func.attr, 0) and "encoding" not in [k.arg for k in call.keywords]
    ]


def test_every_text_file_is_read_and_written_in_a_named_encoding() -> None:
    assert without_encoding("p.write_text('a')\np.read_text()\np.read_text('utf-8')") == [1, 2]
    assert {place: lines for place, source in modules().items() if (lines := without_encoding(source))} == {}


# Names and paths as Windows writes them


def test_file_arguments_of_windows_keep_to_their_folder() -> None:
    from pathlib import PureWindowsPath

    from pipecalc.output import folder_name
    from pipecalc.workbook.file_names import portable

    for argument in (r"C:\plants\a b\plant.xlsx", r"\\server\share\plant.xlsx", r"plants\plant.xlsx", "C:plant.xlsx"):
        name = PureWindowsPath(argument).name
        assert (portable(name), folder_name(name)) == ("plant.xlsx", "plant")
    assert folder_name("plant.xlsx:hidden") == "plant"


def test_a_folder_that_cannot_be_forced_onto_the_disk_does_no_harm(tmp_path: Path, monkeypatch) -> None:
    import os

    from pipecalc.workbook.swap import write_safely

    plain = os.open

    def refuse(path, flags, *more, **options):
        if Path(path).is_dir():
            raise PermissionError(13, "Permission denied")  # as Windows does
        return plain(path, flags, *more, **options)

    monkeypatch.setattr(os, "open", refuse)
    write_safely(tmp_path / "plant.xlsx", b"new", backup=True)
    assert (tmp_path / "plant.xlsx").read_bytes() == b"new"
