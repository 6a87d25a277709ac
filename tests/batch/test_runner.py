"""A batch: what is wrong with one workbook does not keep the others from running; what has not changed is left."""

import json
from multiprocessing import active_children
from pathlib import Path

import pytest

from pipecalc.batch import record, runner
from pipecalc.batch.crew import Here
from pipecalc.batch.pool import Pool
from pipecalc.making import Options
from tests.batch.batches import STUDY, contents, different, run_all, write_bad, write_plant


@pytest.fixture
def out(tmp_path: Path) -> Path:
    return tmp_path / "results"


def test_each_workbook_ends_in_its_own_way(tmp_path: Path, out: Path) -> None:
    good, bad = write_plant(tmp_path / "good.xlsx"), write_bad(tmp_path / "bad.xlsx")
    odd, missing = tmp_path / "odd.xlsx", tmp_path / "missing.xlsx"
    odd.write_text("no workbook")
    (out / "taken").mkdir(parents=True)
    (out / "taken" / ".~lock.taken.xlsx#").write_text("somebody")
    taken = write_plant(tmp_path / "taken.xlsx")
    told = []
    found = run_all([bad, odd, missing, taken, good], out, Here(), end=told.append)
    assert [e.item.path.name for e in found] == ["bad.xlsx", "odd.xlsx", "missing.xlsx", "taken.xlsx", "good.xlsx"]
    assert sorted(told, key=found.index) == found
    assert [e.unusable.code if e.unusable else "" for e in found] == ["", "not-a-workbook", "missing", "busy", ""]
    assert [p.address.row for p in found[0].problems if p.severity == "error"] == [3]
    assert [e.summary is not None for e in found] == [False, False, False, False, True]
    assert sorted(contents(out)) == [
        "good/good.xlsx",
        "good/results.json",
        "good/run-record.json",
        "taken/.~lock.taken.xlsx#",
    ]
    assert [e.entry.reason for e in found[:2]] == ["the workbook has errors", str(found[1].unusable)]
    assert Path(found[4].entry.results) == (out / "good" / "results.json").resolve()


def test_a_fault_of_the_program_is_that_workbooks_alone(tmp_path: Path, out: Path, monkeypatch) -> None:
    paths = [write_plant(tmp_path / f"{name}.xlsx") for name in "ab"]
    analysed = runner.run_workbook.__globals__["making"].analysed

    def broken(workbook, **more):
        if workbook.name == "a.xlsx":
            raise RuntimeError("boom")
        return analysed(workbook, **more)

    monkeypatch.setattr("pipecalc.making.analysed", broken)
    first, second = run_all(paths, out, Here())
    assert first.fault.strip().endswith("RuntimeError: boom")
    assert first.entry.reason == "RuntimeError: boom"
    assert second.summary is not None
    assert not (out / "a").exists()


def test_a_killed_worker_takes_its_own_workbook_alone_with_it(tmp_path: Path, out: Path) -> None:
    paths = [write_plant(tmp_path / f"{name}.xlsx") for name in ("doomed", "other")]

    def kill(item, what: str) -> None:
        if item.path.stem == "doomed" and what == "computing":
            for process in active_children():
                process.kill()

    doomed, other = run_all(paths, out, Pool(1), step=kill)
    assert "the worker process ended" in doomed.fault
    assert doomed.entry.reason == doomed.fault
    assert other.summary is not None
    assert sorted(contents(out)) == ["other/other.xlsx", "other/results.json", "other/run-record.json"]


def test_a_batch_that_is_stopped_leaves_no_lock_and_no_empty_folder(tmp_path: Path, out: Path) -> None:
    paths = [write_plant(tmp_path / f"{name}.xlsx") for name in "ab"]

    def stop(_item, what: str) -> None:
        if what == "computing":
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        run_all(paths, out, Pool(2), step=stop)
    assert active_children() == []
    assert contents(tmp_path).keys() == {"a.xlsx", "b.xlsx"}
    assert not out.exists()


def test_larger_workbooks_are_run_first(tmp_path: Path, out: Path) -> None:
    small, large = write_plant(tmp_path / "small.xlsx"), write_plant(tmp_path / "large.xlsx")
    large.write_bytes(large.read_bytes() + b"")
    with large.open("ab") as file:  # a remark behind a package is no harm
        file.write(b"\0" * 5000)
    ends = []
    run_all([small, large], out, Here(), end=lambda ended: ends.append(ended.item.path.stem))
    assert ends == ["large", "small"]


# What has not changed


def kept(path: Path, out: Path, **plan) -> bool:
    (ended,) = run_all([path], out, Here(), resume=True, **plan)
    assert ended.summary is not None
    return ended.kept


def test_an_unchanged_workbook_is_left_and_still_told_of(tmp_path: Path, out: Path) -> None:
    path = write_plant(tmp_path / "plant.xlsx")
    (first,) = run_all([path], out, Here())
    before = contents(out)
    (second,) = run_all([path], out, Here(), resume=True)
    assert (first.kept, second.kept) == (False, True)
    assert (second.summary, second.entry, second.written) == (first.summary, first.entry, first.written)
    assert contents(out) == before


@pytest.mark.parametrize("file", ["plant.xlsx", "results.json"])
@pytest.mark.parametrize("harm", ["changed", "gone"])
def test_results_that_are_not_whole_are_made_again(tmp_path: Path, out: Path, file: str, harm: str) -> None:
    path = write_plant(tmp_path / "plant.xlsx")
    run_all([path], out, Here())
    before = contents(out)
    if harm == "gone":
        (out / "plant" / file).unlink()
    else:
        (out / "plant" / file).write_bytes(before[f"plant/{file}"] + b" ")
    assert not kept(path, out)
    assert contents(out) == before
    assert kept(path, out)


def test_anything_that_results_depend_on_counts(tmp_path: Path, out: Path, monkeypatch) -> None:
    path = write_plant(tmp_path / "plant.xlsx")
    run_all([path], out, Here())
    assert not kept(path, out, options=Options(pdf=False, advice=True))
    assert kept(path, out, options=Options(pdf=False, advice=True))
    monkeypatch.setattr(record, "versions", lambda: {"numpy": "0.0"})
    assert not kept(path, out, options=Options(pdf=False, advice=True))
    assert kept(path, out, options=Options(pdf=False, advice=True))
    write_plant(path, east=7.0)
    assert not kept(path, out, options=Options(pdf=False, advice=True))


@pytest.mark.parametrize("text", ["", "{}", "[]", '{"schema": "pipecalc-run-record/1"}', "\xff"])
def test_a_record_that_is_none_does_not_count(tmp_path: Path, out: Path, text: str) -> None:
    path = write_plant(tmp_path / "plant.xlsx")
    run_all([path], out, Here())
    (out / "plant" / record.NAME).write_text(text, "latin-1")
    assert not kept(path, out)


def test_a_workbook_updated_in_place_is_known_again(tmp_path: Path, out: Path) -> None:
    path = write_plant(tmp_path / "plant.xlsx")
    run_all([path], out, Here(), in_place=True)
    after = path.read_bytes()
    assert kept(path, out, in_place=True)
    assert path.read_bytes() == after
    assert not kept(path, out)  # it was not asked for in place before


def test_a_machine_without_the_pdf_library_leaves_no_record(tmp_path: Path, out: Path, monkeypatch) -> None:
    from pipecalc.problems import EnvironmentLacks
    from pipecalc.report import pdf

    def lacking(*_args):
        raise EnvironmentLacks("install it")

    monkeypatch.setattr(pdf, "make_pdf", lacking)
    (ended,) = run_all([write_plant(tmp_path / "plant.xlsx")], out, Here(), options=Options())
    assert ended.lacks == "install it"
    assert not (out / "plant" / record.NAME).exists()


# The same everywhere


def test_a_process_of_its_own_gives_the_bytes_of_this_one(tmp_path: Path, out: Path) -> None:
    plant = write_plant(tmp_path / "plant.xlsx")
    run_all([plant], out / "here", Here(), options=Options())
    run_all([plant], out / "pool", Pool(1), options=Options())
    assert {"plant.pdf", "plant.xlsx", "results.json", "run-record.json"} <= contents(out / "here" / "plant").keys()
    assert different(out / "here", out / "pool") == []


def test_studies_spread_over_processes_give_the_bytes_of_one(tmp_path: Path, out: Path) -> None:
    paths = [write_plant(tmp_path / f"{name}.xlsx", east, Studies=STUDY) for name, east in (("a", 6.0), ("b", 7.5))]
    bad, options = write_bad(tmp_path / "bad.xlsx"), Options(pdf=False, studies=True)
    run_all([*paths, bad], out / "here", Here(), options=options)
    (*_, ended) = run_all([*paths, bad], out / "spread", Pool(2), options=options, spread=True)
    assert ended.why == "the workbook has errors"
    rows = json.loads((out / "here" / "a" / "results.json").read_text("utf-8"))["studies"][0]["rows"]
    assert [row["values"] for row in rows] == [["100"], ["120"], ["140"], ["160"], ["180"]]
    assert different(out / "here", out / "spread") == []


def test_a_large_plant_is_whole_and_says_what_was_not_looked_at(tmp_path: Path, out: Path, monkeypatch) -> None:
    from pipecalc.analysis import apart
    from pipecalc.portions import NO_ALARMS

    plant = write_plant(tmp_path / "plant.xlsx")
    (small,) = run_all([plant], out / "small", Here())
    monkeypatch.setattr(apart, "LINES_AT_ONCE", 0)
    (large,) = run_all([plant], out / "large", Here())
    assert small.entry.alarms == ()
    assert large.entry.alarms == (NO_ALARMS,)
    assert large.entry.items == small.entry.items
    assert different(out / "small", out / "large") == ["plant/run-record.json"]
    assert kept(plant, out / "large")
