"""Many mutants: ``python -m tests.fuzz [--first N] [--count N]``; two processes, stopped and named if one hangs."""

import argparse
import faulthandler
import os
import subprocess
import sys
import tempfile
import time
import traceback
from collections import Counter
from pathlib import Path

for _name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS"):
    os.environ.setdefault(_name, "1")
_ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(_ROOT), *(str(_ROOT / "tests" / part) for part in ("workbook", "properties"))]


def one_process(first: int, count: int, step: int) -> int:
    """Run every ``step``-th mutant in this process; prints what is wrong, and counts at the end."""
    from tests.fuzz.mutants import mutant
    from tests.fuzz.outcome import SECONDS, Outcome, outcome, work_folder

    ends: Counter[str] = Counter()
    bad, longest = 0, (0.0, 0)
    with tempfile.TemporaryDirectory() as base:
        folder = work_folder(Path(base))
        for number in range(first, first + count, step):
            data, said = mutant(number)
            print(f"at {number}", flush=True)
            faulthandler.dump_traceback_later(3 * SECONDS, exit=True)
            began = time.process_time()
            try:
                ended = outcome(data, folder)
            except Exception:
                ended = Outcome("traceback", (traceback.format_exc(),))
            took = time.process_time() - began
            faulthandler.cancel_dump_traceback_later()
            longest = max(longest, (took, number))
            ends[ended.end] += 1
            wrong = [*ended.wrong, *([f"took {took:.1f} s"] if took > SECONDS else [])]
            if wrong:
                bad += 1
                print(f"WRONG {number} [{said}]\n  " + "\n  ".join(wrong[:4]), flush=True)
            if ended.zeros:
                print(f"zero {number}: {', '.join(sorted(ended.zeros))} [{said}]", flush=True)
    print(f"done: {dict(ends)}, {bad} wrong, longest {longest[0]:.1f} s (mutant {longest[1]})", flush=True)
    return bad


def main() -> int:
    """Run the mutants and say how they ended."""
    parser = argparse.ArgumentParser(prog="python -m tests.fuzz")
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--count", type=int, default=10_000)
    parser.add_argument("--processes", type=int, default=os.cpu_count() or 1)
    parser.add_argument("--step", type=int, default=0, help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.step:
        return 1 if one_process(options.first, options.count, options.step) else 0
    with tempfile.TemporaryDirectory() as folder:
        each = range(options.processes)
        lanes = [_Lane(Path(folder), options.first + k, options.count - k, len(each)) for k in each]
        while sum(lane.alive() for lane in lanes):
            time.sleep(0.5)
    return 1 if any(lane.wrong for lane in lanes) else 0


class _Lane:
    """One process after the other over its share of the numbers; one that dies is begun again behind the mutant."""

    def __init__(self, folder: Path, first: int, count: int, step: int) -> None:
        self._folder, self.end, self.step, self.wrong = folder, first + count, step, False
        self._start(first)

    def _start(self, first: int) -> None:
        self.at, self._told = first, 0
        self._out = self._folder / f"from-{first}.txt"
        numbers = ["--first", str(first), "--count", str(max(0, self.end - first)), "--step", str(self.step)]
        words = [sys.executable, "-m", "tests.fuzz", *numbers]
        with self._out.open("w", encoding="utf-8") as out:
            self.process = subprocess.Popen(words, stdout=out, stderr=out, cwd=_ROOT)

    def alive(self) -> bool:
        """Print what is new; False once the share is done."""
        status = self.process.poll()
        lines = self._out.read_text(encoding="utf-8").splitlines()
        told = [line for line in lines if not line.startswith("at ")]
        for line in told[self._told :]:
            print(line, flush=True)
        self._told = len(told)
        if status is None:
            return True
        if told and told[-1].startswith("done: "):
            self.wrong = self.wrong or status != 0
            return False
        died = next((int(line[3:]) for line in reversed(lines) if line.startswith("at ")), self.at)
        print(f"WRONG {died}: the process ended with {status}", flush=True)
        self.wrong = True
        self._start(died + self.step)
        return True


if __name__ == "__main__":
    sys.exit(main())
