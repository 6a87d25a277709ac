"""Names of files and folders that every system takes and that lead nowhere else."""

from pathlib import Path, PurePosixPath, PureWindowsPath

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipecalc.workbook.file_names import MAX_NAME, clipped, portable, same_place


@pytest.mark.parametrize(
    "name",
    [
        "plant.xlsx",
        "Düse 12 (rev. B).xlsm",
        "配管.xlsx",
        "a.b.c.xlsx",
        ".plant.xlsx",
        "console.xlsx",
        "no ending",
        "a-_+&.xlsx",
    ],
)
def test_ordinary_names_stay_as_they_are(name: str) -> None:
    assert portable(name) == name


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("", "workbook"),
        (".", "workbook"),
        ("..", "workbook"),
        ("..xlsx", "workbook.xlsx"),
        ("...xlsx", "workbook.xlsx"),
        (". . .xlsx", "workbook.xlsx"),
        ("../../etc/passwd", ".._._etc_passwd"),
        ("..\\..\\evil.xlsx", ".._.._evil.xlsx"),
        ("C:\\plant.xlsx", "C__plant.xlsx"),
        ("a:stream.xlsx", "a_stream.xlsx"),
        ("plant .xlsx", "plant.xlsx"),
        ("plant..xlsx", "plant.xlsx"),
        ("plant.xlsx. ", "plant.xlsx"),
        ("CON", "CON_"),
        ("con.xlsx", "con_.xlsx"),
        ("NUL.old.xlsx", "NUL_.old.xlsx"),
        ("Com1.xlsx", "Com1_.xlsx"),
        ("LPT².xlsx", "LPT²_.xlsx"),
        ("aux .xlsx", "aux_.xlsx"),
        ("a\x00b\x1b[2J\n.xlsx", "a_b_[2J_.xlsx"),
        ("a\u202excod.xlsx", "a_xcod.xlsx"),
        ("a\uff0fb\uff3cc.xlsx", "a_b_c.xlsx"),
        ("\u2025.xlsx", "_.xlsx"),
        ("pl\udcffnt.xlsx", "pl_nt.xlsx"),
    ],
)
def test_names_that_some_system_refuses_or_takes_for_more(name: str, expected: str) -> None:
    assert portable(name) == expected


@given(st.text(max_size=400))
def test_any_text_gives_one_plain_name(text: str) -> None:
    name = portable(text)
    assert name
    assert PurePosixPath("/out", name).parent == PurePosixPath("/out")
    windows = PureWindowsPath("c:/out", name)
    assert (windows.parent, windows.name) == (PureWindowsPath("c:/out"), name)
    assert Path(name).stem not in ("", ".", "..")
    assert not name.endswith((".", " "))
    assert len(name.encode()) <= MAX_NAME
    assert portable(name) == name


def test_long_names_are_cut_between_characters_and_told_apart() -> None:
    first, second = portable("ü" * 300 + "a.xlsx"), portable("ü" * 300 + "b.xlsx")
    assert first != second
    assert first.endswith(".xlsx")
    assert "ü" * 80 in first
    assert clipped("aü", 2) == "a"


@pytest.mark.parametrize(
    ("one", "other"),
    [("Plant", "pLANT"), ("Straße", "STRASSE"), ("Du\u0308se", "D\u00fcse"), ("a?b", "a*b"), ("a.", "a")],
)
def test_names_that_meet_in_one_place(one: str, other: str) -> None:
    assert same_place(one) == same_place(other)


def test_names_that_only_look_alike_keep_their_places() -> None:
    assert same_place("plant") != same_place("pl\u0430nt")  # Cyrillic a
