"""Command line: exit status, what is printed, and what is imported."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from pipecalc import cli, job
from pipecalc.version import __version__
from tests.analysis.hand_plants import line_rows
from tests.workbook.books import write_book

RUNS = [{"east": 6}, {"north": 4}]
HEAVY = (
    "numpy",
    "scipy",
    "pint",
    "openpyxl",
    "pandas",
    "weasyprint",
    "jinja2",
    "lxml",
    "fluids",
    "iapws",
    "python_calamine",
    "dask",
)


@pytest.fixture
def good(tmp_path: Path) -> Path:
    return write_book(tmp_path / "good.xlsx", line_rows(RUNS))


@pytest.fixture
def bad(tmp_path: Path) -> Path:
    rows = line_rows(RUNS)
    rows["Lines"][0]["nps"] = 7
    return write_book(tmp_path / "bad.xlsx", rows)


@pytest.fixture
def over(tmp_path: Path) -> Path:
    """A nozzle far over its allowables."""
    rows = line_rows(RUNS)
    limits = dict.fromkeys(("FR", "FL", "FC", "MR", "ML", "MC"), 1)
    rows["Allowables"] = [{"set": "V", **limits, "rule": "each component", "document": "D"}]
    rows["Nozzles"][0]["allowable_sets"] = "V"
    return write_book(tmp_path / "over.xlsx", rows)


def run(*words: object) -> int:
    return cli.main([str(word) for word in words])


def test_a_run_that_went_well(good: Path, tmp_path: Path, capsys) -> None:
    assert run("run", good, "--no-note", "--output", tmp_path / "out") == 0
    printed = capsys.readouterr()
    assert "good.xlsx: computing" in printed.err
    assert "FOR REVIEW" in printed.out
    assert str(tmp_path / "out" / "good" / "results.json") in printed.out


def test_several_workbooks_get_an_index_with_those_that_failed(good: Path, bad: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    assert run("run", good, bad, tmp_path / "none.xlsx", "--no-note", "--output", out) == 2
    listed = {w["workbook"]: w for w in json.loads((out / "index.json").read_text("utf-8"))["workbooks"]}
    assert set(listed) == {"good.xlsx", "bad.xlsx", "none.xlsx"}
    assert listed["good.xlsx"]["results"] == "good/results.json"
    assert any("NPS 7" in said for said in listed["bad.xlsx"]["problems"])
    assert listed["bad.xlsx"]["sha256"]
    assert listed["none.xlsx"]["reason"]
    assert "NPS 7" in (out / "index.html").read_text("utf-8")


def test_one_workbook_gets_no_index(good: Path, tmp_path: Path) -> None:
    assert run("run", good, "--no-note", "--output", tmp_path / "out") == 0
    assert not (tmp_path / "out" / "index.json").exists()


def test_over_the_limit_is_status_1_with_strict_only(over: Path, tmp_path: Path, capsys) -> None:
    words = ("run", over, "--no-note", "--output", tmp_path / "out")
    assert run(*words) == 0
    assert run(*words, "--strict") == 1
    assert "FAIL" in capsys.readouterr().out


def test_errors_in_the_workbook_are_status_2_and_all_are_printed(bad: Path, tmp_path: Path, capsys) -> None:
    assert run("run", bad, "--output", tmp_path / "out") == 2
    out = capsys.readouterr().out
    assert "error    Lines!E3: NPS 7" in out
    assert "1 error," in out
    assert not (tmp_path / "out").exists()


def test_many_problems_of_one_kind_are_cut_short_unless_all_are_wanted(tmp_path: Path, capsys) -> None:
    rows = line_rows([{"east": 6}] * 25 + [{"north": 4}])
    for row in rows["Segments"]:
        row.update({"item": "brick"} if "north" in row else {"east": "6 ells"})
    path = write_book(tmp_path / "many.xlsx", rows)
    short = "error    unit-unknown: and 5 more of this kind; --all shows every one"
    for command in ("check", "run"):
        assert run(command, path) == 2
        out = capsys.readouterr().out.splitlines()
        assert [line for line in out if "unit-unknown" in line] == [short]
        assert sum("ells" in line for line in out) == 20
        assert sum("brick" in line for line in out) == 1
        assert "26 errors" in out[-1]
        assert run(command, path, "--all") == 2
        every = capsys.readouterr().out.splitlines()
        assert sum("ells" in line for line in every) == 25
        assert short not in every
        assert every[-1] == out[-1]
        assert run(command, path, "--json") == 2
        assert len(json.loads(capsys.readouterr().out)[0]["problems"]) >= 26
    assert run("study", path) == 2
    assert "and 5 more of this kind; pipecalc check --all shows every one" in capsys.readouterr().out


def test_one_bad_file_does_not_keep_the_others_from_running(good: Path, bad: Path, tmp_path: Path, capsys) -> None:
    missing = tmp_path / "missing.xlsx"
    assert run("run", bad, missing, good, "--no-note", "--output", tmp_path / "out") == 2
    assert (tmp_path / "out" / "good" / "good.xlsx").exists()
    assert str(missing.name) in capsys.readouterr().err


def test_json_is_one_document_for_all_files(good: Path, bad: Path, tmp_path: Path, capsys) -> None:
    missing = tmp_path / "missing.xlsx"
    assert run("run", good, bad, missing, "--no-note", "--json", "--workers", 1, "--output", tmp_path / "out") == 2
    printed = capsys.readouterr()
    first, second, third = json.loads(printed.out)
    assert (first["file"], first["note"]) == ("good.xlsx", None)
    assert {v["what"] for v in first["verdicts"]} == {"line", "nozzle"}
    assert {v["status"] for v in first["verdicts"] if v["what"] == "nozzle"} == {"NOT CHECKED"}
    assert [p["address"] for p in second["problems"] if p["severity"] == "error"] == ["Lines!E3"]
    assert third["unusable"] == "missing"
    assert "computing" not in printed.err


def test_quiet_prints_nothing_where_all_is_well_and_errors_where_not(
    good: Path, bad: Path, tmp_path: Path, capsys
) -> None:
    assert run("run", good, "--no-note", "--quiet", "--output", tmp_path / "out") == 0
    assert capsys.readouterr() == ("", "")
    assert run("run", bad, "--quiet", "--output", tmp_path / "out") == 2
    assert capsys.readouterr().out.startswith("error    Lines!E3")


def test_two_workbooks_of_one_name_are_refused(good: Path, tmp_path: Path, capsys) -> None:
    (tmp_path / "other").mkdir()
    twin = tmp_path / "other" / "GOOD.xlsx"
    twin.write_bytes(good.read_bytes())
    assert run("run", good, twin, "--output", tmp_path / "out") == 2
    assert "would both write to" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


def test_check_prints_and_writes_nothing(good: Path, bad: Path, tmp_path: Path, capsys, monkeypatch) -> None:
    monkeypatch.chdir(tmp_path)
    before = sorted(tmp_path.iterdir())
    assert run("check", good) == 0
    assert run("check", bad, good) == 2
    assert sorted(tmp_path.iterdir()) == before
    assert f"{good}: 0 errors," in capsys.readouterr().out


def test_check_goes_on_after_a_file_that_cannot_be_read(good: Path, tmp_path: Path, capsys) -> None:
    assert run("check", tmp_path / "missing.xlsx", good, "--json") == 2
    first, second = json.loads(capsys.readouterr().out)
    assert first["unusable"] == "missing"
    assert {p["severity"] for p in second["problems"]} == {"note"}


def test_warnings_are_printed_before_results(tmp_path: Path, capsys) -> None:
    rows = line_rows(RUNS, line={"insulation_thickness": 50})
    path = write_book(tmp_path / "plant.xlsx", rows)
    assert run("run", path, "--no-note", "--output", tmp_path / "out") == 0
    out = capsys.readouterr().out
    assert out.index("warning  Lines!") < out.index("over the limit")


def raising(fault: BaseException):
    def run(*_args, **_more):
        raise fault

    return run


def test_stopped_from_the_keyboard_is_status_130(good: Path, monkeypatch, capsys) -> None:
    monkeypatch.setattr(job, "run", raising(KeyboardInterrupt()))
    assert run("run", good) == 130
    assert "whole" in capsys.readouterr().err


def test_a_missing_package_is_status_3_and_says_how_to_get_it(good: Path, monkeypatch, capsys) -> None:
    monkeypatch.setattr(job, "run", raising(ModuleNotFoundError("No module named 'fluids'", name="fluids")))
    assert run("run", good) == 3
    assert "fluids is missing; install it with: pip install" in capsys.readouterr().err


def test_a_fault_of_the_program_is_not_taken_for_a_check_over_its_limit(good: Path, monkeypatch, capsys) -> None:
    monkeypatch.setattr(job, "run", raising(RuntimeError("boom")))
    assert run("run", good) == 3
    err = capsys.readouterr().err
    assert "boom" in err
    assert "fault of the program" in err


def test_in_place_names_the_earlier_file(good: Path, tmp_path: Path, capsys) -> None:
    assert run("run", good, "--no-note", "--in-place", "--output", tmp_path / "out") == 0
    assert "good." in capsys.readouterr().out.split("earlier")[1]
    assert len(list(tmp_path.glob("good.*.bak.xlsx"))) == 1


def test_blank_does_not_replace_a_file_unless_told(tmp_path: Path, capsys) -> None:
    path = tmp_path / "new.xlsx"
    assert run("blank", path) == 0
    first = path.read_bytes()
    assert run("blank", path, "--units", "US") == 2
    assert path.read_bytes() == first
    assert run("blank", path, "--units", "US", "--overwrite") == 0
    assert path.read_bytes() != first
    assert run("blank", tmp_path / "x.xlsx", "--example", "nothing") == 2
    assert "exists; give --overwrite" in capsys.readouterr().err


def test_help_shows_examples_and_every_exit_status(capsys) -> None:
    with pytest.raises(SystemExit) as ended:
        run("--help")
    out = capsys.readouterr().out
    assert ended.value.code == 0
    assert "pipecalc run plant.xlsx" in out
    for status in ("  0  ", "  1  ", "  2  ", "  3  ", "  130  "):
        assert status in out


def imported(*words: str) -> list[str]:
    """Heavy packages that a command loads, in a fresh interpreter."""
    code = (
        "import json, sys\nfrom pipecalc.cli import main\n"
        f"try:\n    main({list(words)!r})\nexcept SystemExit:\n    pass\n"
        f"print(json.dumps([m for m in {HEAVY!r} if m in sys.modules]))"
    )
    environment = os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)}
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, env=environment)
    return json.loads(done.stdout.splitlines()[-1])


@pytest.mark.parametrize("word", ["--version", "--help"])
def test_version_and_help_load_nothing_heavy(word: str) -> None:
    assert imported(word) == []


def test_check_loads_no_pdf_library_and_no_writer(good: Path) -> None:
    assert set(imported("check", str(good))) & {"weasyprint", "pandas", "openpyxl", "jinja2", "dask"} == set()


def test_a_run_without_a_note_loads_no_pdf_library(good: Path, tmp_path: Path) -> None:
    words = ("run", str(good), "--no-note", "--quiet", "--output", str(tmp_path / "out"))
    assert set(imported(*words)) & {"weasyprint", "pandas", "openpyxl", "jinja2", "dask"} == set()


def test_the_version_is_printed(capsys) -> None:
    with pytest.raises(SystemExit):
        run("--version")
    assert capsys.readouterr().out == f"pipecalc {__version__}\n"
