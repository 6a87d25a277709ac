"""Many workbooks: what a second worker brings, and what workers cost beyond the work itself.

Run: ``python -m tests.benchmarks.bench_batch [COUNT] [--no-note] [--no-cluster]``. COUNT workbooks (default 40) of the
demonstration plant, each a little different, are run by one worker and by two: processes on this machine and, where
the package distributed is present, a Dask scheduler with two workers on the loopback. Wall time is honest on a machine
that is otherwise quiet and has two cores free; CPU time, of this process and its children, hardly depends on that.
Start-up is included: of the processes, their imports, and for Dask of scheduler, workers and connection.
"""

import os
import shutil
import sys
import tempfile
from argparse import ArgumentParser
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from time import perf_counter

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from openpyxl import load_workbook

from pipecalc.batch.crew import Crew
from pipecalc.batch.pool import Pool
from pipecalc.batch.runner import Plan, run_batch
from pipecalc.batch.selection import select
from pipecalc.commands.shared import processors
from pipecalc.making import Options

SAMPLE = Path(__file__).parents[2] / "sample_inputs" / "geothermal-heat.xlsx"
COUNT = 40


def write_plants(folder: Path, count: int) -> None:
    """Copies of the demonstration plant, each with a title of its own, so that none is the same as another."""
    book = load_workbook(SAMPLE)
    project = book["Project"]
    row = next(r for r in range(1, 40) if str(project.cell(r, 1).value).strip().lower() == "title")
    title = project.cell(row, 2).value
    for number in range(count):
        project.cell(row, 2, f"{title}, variant {number + 1}")
        book.save(folder / f"plant-{number + 1:03}.xlsx")


@contextmanager
def _processes(workers: int) -> Iterator[Crew]:
    with Pool(workers) as crew:
        yield crew


@contextmanager
def _machines(workers: int) -> Iterator[Crew]:
    from pipecalc.batch.cluster import Cluster
    from tests.cluster.machines import Machines

    folder = Path(tempfile.mkdtemp())
    machines = Machines(folder)
    try:
        machines.add_workers(workers)
        with Cluster(machines.address, workers=workers) as crew:
            yield crew
    finally:
        machines.close()
        shutil.rmtree(folder, ignore_errors=True)


def timed(plants: Path, wanted: Options, crew: Callable[[int], object], workers: int) -> tuple[float, float]:
    """Wall and CPU seconds of one batch, from nothing to all files written and all workers gone."""
    with tempfile.TemporaryDirectory() as output:
        items = select([plants], Path(output)).items
        before, start = sum(os.times()[:4]), perf_counter()
        with crew(workers) as hands:  # type: ignore[attr-defined]
            ended = run_batch(items, Plan(Path(output), wanted), hands, lambda *_: None, lambda _: None)
        wall, cpu = perf_counter() - start, sum(os.times()[:4]) - before
    failed = [e.why for e in ended if e.summary is None]
    if failed:
        raise RuntimeError(f"{len(failed)} of {len(ended)} have no results: {failed[0]}")
    return wall, cpu


def main(arguments: list[str] | None = None) -> None:
    """Print the report."""
    parser = ArgumentParser(description="what a second worker brings, and what workers cost")
    parser.add_argument("count", type=int, nargs="?", default=COUNT)
    parser.add_argument("--no-note", action="store_true")
    parser.add_argument("--no-cluster", action="store_true")
    options = parser.parse_args(arguments or [])
    wanted = Options(pdf=not options.no_note)
    note = "without notes" if options.no_note else "with notes"
    load = f"{os.getloadavg()[0]:.1f}" if hasattr(os, "getloadavg") else "unknown"
    print(f"{options.count} workbooks {note}; {processors()} cores; load before: {load} (honest only when near 0)")
    with tempfile.TemporaryDirectory() as folder:
        plants = Path(folder)
        write_plants(plants, options.count)
        one = _report("processes", timed(plants, wanted, _processes, 1), 1, None)
        _report("processes", timed(plants, wanted, _processes, 2), 2, one, 3)
        if options.no_cluster:
            return
        try:
            import distributed  # noqa: F401
        except ImportError:
            print("Dask: not run, since the package distributed is missing")
            return
        _report("Dask", timed(plants, wanted, _machines, 2), 2, one, 8)


def _report(
    name: str, spent: tuple[float, float], workers: int, one: tuple[float, float] | None, most: int = 0
) -> tuple[float, float]:
    wall, cpu = spent
    said = f"{name:<10} {workers} worker{'s' if workers > 1 else ' '} {wall:8.1f} s wall"
    said += f" {cpu:8.1f} s CPU" if name != "Dask" else ""  # the system does not tell it of processes beside workers
    if one is not None:
        gain, above = one[0] / wall, 100.0 * (wall / (one[0] / workers) - 1.0)
        said += f"; {gain:.2f} times as fast as one (goal: at least 1.9)"
        said += f"; {above:+.1f} % over the ideal (goal: at most {most})"
    print(said, flush=True)
    return spent


if __name__ == "__main__":
    main(sys.argv[1:])
