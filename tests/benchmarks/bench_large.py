"""A large invented plant from workbook to results without the note: time by step, peak memory, ratio to a plain read.

The reference is openpyxl reading 60,000 rows of 30 cells, which took 13.7 s on a quiet machine: seconds of this
machine divided by its ratio to that are seconds of the quiet one. Run: ``python -m tests.benchmarks.bench_large
[LINES]``; 50 lines are a tenth of the goal (500 lines, 20,000 segments, 2,000 nozzles, 6,000 supports: 60 s, 2 GB).
"""

import os
import subprocess
import sys
import tempfile
import threading
import time
from itertools import pairwise
from pathlib import Path

from tests.benchmarks.large_plant import LINES, workbook_bytes

REFERENCE_ROWS, REFERENCE_COLUMNS = 60_000, 30
QUIET = 13.7  # s, the reference on a quiet machine


def processor_seconds() -> float:
    """Processor time of this process and of the children that have ended [s]."""
    now = os.times()
    return now.user + now.system + now.children_user + now.children_system


def reference(share: float) -> float:
    """Processor seconds of a plain read of the reference workbook, from a share of its rows."""
    from openpyxl import Workbook, load_workbook

    book = Workbook(write_only=True)
    page = book.create_sheet("A")
    rows = int(REFERENCE_ROWS * share)
    for row in range(rows):
        page.append([f"t{row}-{c}" if c % 3 == 0 else row * 1.25 + c for c in range(REFERENCE_COLUMNS)])
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "reference.xlsx"
        book.save(path)
        start = processor_seconds()
        load_workbook(path)
        return (processor_seconds() - start) * REFERENCE_ROWS / rows


def resident(process: int) -> float:
    """Resident size of a process and its descendants [MB]; 0 where the system does not tell."""
    total, waiting = 0.0, [process]
    while waiting:
        number = waiting.pop()
        try:
            status = Path(f"/proc/{number}/status").read_text()
            waiting += map(int, Path(f"/proc/{number}/task/{number}/children").read_text().split())
        except (OSError, ValueError):
            continue
        total += sum(int(line.split()[1]) for line in status.splitlines() if line.startswith("VmRSS")) / 1024
    return total


def command(book: Path, folder: Path) -> None:
    """One run as a command: time between the lines of its progress, and the largest size of all its processes."""
    words = [sys.executable, "-m", "pipecalc", "run", str(book), "--no-note", "--output", str(folder)]
    begun, used = time.perf_counter(), processor_seconds()
    run = subprocess.Popen(words, stderr=subprocess.PIPE, stdout=subprocess.DEVNULL, text=True)
    peak = [0.0]

    def watch() -> None:
        while run.poll() is None:
            peak[0] = max(peak[0], resident(run.pid))
            time.sleep(0.3)

    watching = threading.Thread(target=watch)
    watching.start()
    marks = [("starting", begun)]
    for line in run.stderr or ():
        step = line.partition(": ")[2].strip().partition(", portion")[0]
        if step != marks[-1][0]:
            marks.append((step, time.perf_counter()))
    status = run.wait()
    watching.join()
    marks.append(("", time.perf_counter()))
    for (step, at), (_, after) in pairwise(marks):
        print(f"{step:<24}{after - at:8.1f} s")
    spent = processor_seconds() - used
    print(f"{'all':<24}{marks[-1][1] - begun:8.1f} s, {spent:.1f} s of processor; status {status}")
    print(f"peak memory of all processes {peak[0]:.0f} MB")
    share = 0.1
    own = reference(share)
    print(f"reference {own:.1f} s of processor here, {QUIET} s on a quiet machine")
    print(f"processor over reference {spent / own:.1f}; on a quiet machine {spent * QUIET / own:.0f} s of processor")
    sizes = {path.name: path.stat().st_size / 1e6 for path in folder.rglob("*") if path.is_file()}
    print(", ".join(f"{name} {size:.1f} MB" for name, size in sorted(sizes.items())))


def main(lines: int = LINES // 10) -> None:
    """Print the report."""
    with tempfile.TemporaryDirectory() as name:
        book = Path(name) / "large.xlsx"
        book.write_bytes(workbook_bytes(lines))
        print(f"{lines} lines, {40 * lines} segments, {4 * lines} nozzles, {12 * lines} supports")
        command(book, Path(name) / "output")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else LINES // 10)
