"""``pipecalc verify``: what it prints and writes, and when it says no."""

import json
import re
from pathlib import Path

import pypdfium2
import pytest

from pipecalc import cli
from pipecalc.problems import EnvironmentLacks
from pipecalc.report import pdf
from pipecalc.verification.models import walls

WALLS = ("--only", "asme_b31_3_walls", "--date", "2026-01-31")


def run(*words: object) -> int:
    return cli.main(["verify", *(str(word) for word in words)])


def written(folder: Path) -> dict:
    return json.loads((folder / "verification.json").read_text("utf-8"))


def pages(folder: Path) -> list[str]:
    document = pypdfium2.PdfDocument(folder / "verification.pdf")
    return [page.get_textpage().get_text_bounded() for page in document]


def test_all_within_their_limits(tmp_path: Path, capsys) -> None:
    assert run(*WALLS, "--output", tmp_path) == 0
    out = capsys.readouterr().out
    assert re.search(r"\b15 +0\.\d\d  PASS  ASME B31\.3 304\.1\.2", out)
    assert "15 numbers compared" in out
    found = written(tmp_path)
    assert (found["compared"], found["outside"], found["machine"]["when"]) == (15, 0, "2026-01-31")
    assert found["sources"][0]["confidence"].endswith("verify those against the edition of record")
    first = found["numbers"][0]
    assert (first["quantity"], first["expected"], first["unit"], first["status"]) == ("t", 5.8501, "mm", "PASS")
    assert abs(first["difference"]) <= first["limit"]
    assert "analysis.spring_design" in {entry["module"] for entry in found["without_a_check"]}


def test_the_dossier_holds_verdict_sources_cautions_and_what_has_no_check(tmp_path: Path) -> None:
    run(*WALLS, "--output", tmp_path)
    text = " ".join(" ".join(pages(tmp_path)).split())
    for part in (
        "All 15 numbers are within their limits",
        "checks of the program, not of a plant",
        "2026-01-31",
        "Sources 1 (a selection)",
        "eq. (2) and (3a)",
        "Limit: arithmetic to four or five figures",
        "P 3.795 MPa, D 406.4 mm, S 130.3 MPa",
        "5.8501",
        "Cautions",
        "Without a published check",
        "analysis.spring_design",
    ):
        assert part in text


def test_with_a_date_the_same_bytes(tmp_path: Path) -> None:
    for folder in ("one", "two"):
        run(*WALLS, "--output", tmp_path / folder)
    for name in ("verification.pdf", "verification.json"):
        assert (tmp_path / "one" / name).read_bytes() == (tmp_path / "two" / name).read_bytes()


def test_a_wrong_number_is_status_1_and_told_everywhere(tmp_path: Path, capsys, monkeypatch) -> None:
    whole = walls.wall
    monkeypatch.setattr(walls, "wall", lambda **inputs: {**whole(**inputs), "t_m": 1.0})
    assert run(*WALLS, "--output", tmp_path) == 1
    out = capsys.readouterr().out
    assert "FAIL  ASME B31.3 304.1.2" in out
    assert "expected 7.4401, found 1000 mm" in out
    assert written(tmp_path)["outside"] == 4
    assert "4 of 15 numbers are outside their limits" in " ".join(pages(tmp_path)[0].split())


def test_a_fault_is_status_1_with_its_message_and_numbers_are_null(tmp_path: Path, capsys, monkeypatch) -> None:
    def faulty(**_: float) -> None:
        raise RuntimeError("boom")

    monkeypatch.setattr(walls, "wall", faulty)
    assert run(*WALLS, "--output", tmp_path) == 1
    assert "RuntimeError: boom" in capsys.readouterr().out
    first = written(tmp_path)["numbers"][0]
    assert (first["found"], first["difference"], first["status"]) == (None, None, "FAIL")
    assert "four lines: RuntimeError: boom" in " ".join(pages(tmp_path)[0].split())


def test_json_prints_what_is_written(tmp_path: Path, capsys) -> None:
    assert run(*WALLS, "--json", "--output", tmp_path) == 0
    printed = capsys.readouterr()
    assert json.loads(printed.out) == written(tmp_path)
    assert printed.err == ""


def test_a_word_that_no_source_holds_is_refused_with_their_names(tmp_path: Path, capsys) -> None:
    assert run("--only", "nothing of the kind", "--output", tmp_path / "out") == 2
    assert "asme_b31_3_walls" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


def test_a_date_that_is_none_is_refused(capsys) -> None:
    with pytest.raises(SystemExit) as ended:
        run("--date", "31.1.2026")
    assert ended.value.code == 2
    assert "31.1.2026 is no date as 2026-01-31" in capsys.readouterr().err


def test_a_folder_that_is_a_file_is_told(tmp_path: Path, capsys) -> None:
    (tmp_path / "file").write_text("")
    assert run(*WALLS, "--output", tmp_path / "file") == 2
    assert "Cannot make the folder" in capsys.readouterr().err


def test_without_the_renderer_the_json_is_whole_and_the_status_is_3(tmp_path: Path, capsys, monkeypatch) -> None:
    def lacking() -> None:
        raise EnvironmentLacks("no Pango here")

    monkeypatch.setattr(pdf, "_library", lacking)
    assert run(*WALLS, "--output", tmp_path) == 3
    assert "no Pango here" in capsys.readouterr().err
    assert written(tmp_path)["compared"] == 15
    assert not (tmp_path / "verification.pdf").exists()
