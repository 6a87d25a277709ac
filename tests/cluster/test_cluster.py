"""The same on a cluster: a scheduler and two worker processes on the loopback, one of them killed in the middle."""

import socket
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from pipecalc import cli
from pipecalc.batch import cluster
from pipecalc.batch.cluster import Cluster
from pipecalc.batch.crew import Here
from pipecalc.batch.versions import differences, versions
from pipecalc.making import Options
from pipecalc.problems import EnvironmentLacks
from tests.batch.batches import STUDY, different, run_all, write_bad, write_plant
from tests.cluster.machines import Machines

pytest.importorskip("distributed")


@pytest.fixture(scope="module")
def machines(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Machines]:
    machines = Machines(tmp_path_factory.mktemp("machines"))
    try:
        machines.add_workers(2)
        yield machines
    finally:
        machines.close()


@pytest.fixture
def crew(machines: Machines) -> Cluster:
    return Cluster(machines.address, workers=2)


def test_a_cluster_gives_the_bytes_of_this_process(machines: Machines, crew: Cluster, tmp_path: Path) -> None:
    plant = write_plant(tmp_path / "plant.xlsx", Studies=STUDY)
    options = Options(pdf=True, studies=True)
    run_all([plant], tmp_path / "here", Here(), options=options)
    run_all([plant], tmp_path / "cluster", crew, options=options, spread=True)
    assert different(tmp_path / "here", tmp_path / "cluster") == []
    assert (tmp_path / "cluster" / "plant" / "plant.pdf").read_bytes().startswith(b"%PDF")


def test_studies_of_the_command_line_are_the_same(machines: Machines, tmp_path: Path, capsys) -> None:
    plant = write_plant(tmp_path / "plant.xlsx", Studies=STUDY)
    assert cli.main(["study", str(plant), "--json"]) == 0
    here = capsys.readouterr().out
    assert cli.main(["study", str(plant), "--json", "--scheduler", machines.address]) == 0
    assert capsys.readouterr().out == here


def test_other_versions_are_refused_before_anything_is_run(machines: Machines, tmp_path: Path, capsys, monkeypatch):
    ours = {**versions(), "numpy": "0.0.1", "Python": "3.10"}
    monkeypatch.setattr(cluster, "versions", lambda: ours)
    plant = write_plant(tmp_path / "plant.xlsx")
    words = ["run", str(plant), "--no-note", "--scheduler", machines.address, "--workers", "2"]
    assert cli.main([*words, "--output", str(tmp_path / "out")]) == 3
    told = capsys.readouterr().err
    assert f"numpy 0.0.1 here and {versions()['numpy']} there" in told
    assert f"Python 3.10 here and {versions()['Python']} there" in told
    assert told.count("tcp://127.0.0.1") == 2
    assert not (tmp_path / "out").exists()


def test_no_scheduler_and_no_workers_are_told(monkeypatch, tmp_path: Path) -> None:
    monkeypatch.setattr(cluster, "_CONNECTING", 1.0)
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        address = f"tcp://127.0.0.1:{taken.getsockname()[1]}"
        with pytest.raises(EnvironmentLacks, match=f"No scheduler answers at {address}"):
            Cluster(address)
    with pytest.raises(EnvironmentLacks, match="No scheduler answers at nonsense"):
        Cluster("nonsense://x")


def test_a_machine_without_the_package_says_how_to_get_it(monkeypatch, capsys, tmp_path: Path) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    plant = write_plant(tmp_path / "plant.xlsx")
    assert cli.main(["run", str(plant), "--scheduler", "tcp://127.0.0.1:1"]) == 3
    assert "pip install 'pipecalc[cluster]'" in capsys.readouterr().err


def test_differences_name_both() -> None:
    assert differences({"a": "1", "b": "2"}, {"a": "1", "b": "3"}) == ["b 2 here and 3 there"]
    assert differences({"a": "1"}, {"c": "1"}) == ["a 1 here and absent there", "c absent here and 1 there"]


def test_a_worker_killed_in_the_middle_loses_nothing(machines: Machines, crew: Cluster, tmp_path: Path) -> None:
    """Last, since one worker is left afterwards."""
    plants = [write_plant(tmp_path / f"{n}.xlsx", east=5.0 + n) for n in range(5)]
    paths = [*plants, write_bad(tmp_path / "bad.xlsx")]
    killed = []

    def kill(_ended) -> None:
        if not killed:
            killed.append(machines.workers[0].pid)
            machines.workers[0].kill()

    found = run_all(paths, tmp_path / "cluster", crew, end=kill)
    assert killed
    assert [e.summary is not None for e in found] == [True] * 5 + [False]
    assert [e.fault for e in found] == [""] * 6
    run_all(paths, tmp_path / "here", Here())
    assert different(tmp_path / "here", tmp_path / "cluster") == []


def test_a_scheduler_that_dies_in_the_middle_is_told_for_each_workbook(tmp_path: Path, monkeypatch, caplog) -> None:
    monkeypatch.setattr(cluster, "_ALONE", 2.0)
    monkeypatch.setattr(cluster, "_LOOK", 0.5)
    machines = Machines(tmp_path / "machines")
    try:
        machines.add_workers(1)
        crew = Cluster(machines.address)
        plants = [write_plant(tmp_path / f"{n}.xlsx", east=5.0 + n) for n in range(6)]
        found = run_all(plants, tmp_path / "out", crew, end=lambda _: machines.end_scheduler())
    finally:
        machines.close()
    done = [e for e in found if e.summary is not None]
    lost = [e for e in found if e.summary is None]
    assert done
    assert len(done) + len(lost) == 6
    assert lost
    words = {
        f"the cluster at {machines.address} {what}" for what in ("does not answer any more", "lost it (cancelled)")
    }
    assert {e.fault for e in lost} <= words
    assert caplog.records == []
    assert sorted(p.name for p in (tmp_path / "out").iterdir()) == sorted(str(e.item.folder) for e in done)


def test_a_cluster_that_loses_all_workers_is_given_up(tmp_path: Path, monkeypatch) -> None:
    monkeypatch.setattr(cluster, "_ALONE", 2.0)
    monkeypatch.setattr(cluster, "_LOOK", 0.5)
    machines = Machines(tmp_path / "machines")
    try:
        machines.add_workers(1)
        crew = Cluster(machines.address)
        plants = [write_plant(tmp_path / f"{n}.xlsx", east=5.0 + n) for n in range(6)]
        found = run_all(plants, tmp_path / "out", crew, end=lambda _: machines.workers[0].kill())
    finally:
        machines.close()
    lost = [e.fault for e in found if e.summary is None]
    assert lost
    assert set(lost) == {f"the cluster at {machines.address} has no workers left"}
