"""A scheduler and workers as processes of their own on the loopback, started as a user would start them."""

import json
import os
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
_PATIENCE = 60.0  # s, for a process to start on a busy machine


class Machines:
    """A scheduler at ``address`` and its workers."""

    def __init__(self, folder: Path) -> None:
        folder.mkdir(parents=True, exist_ok=True)
        self._folder = folder
        self._file = folder / "scheduler.json"
        self._started: list[subprocess.Popen[bytes]] = []
        self.workers: list[subprocess.Popen[bytes]] = []
        self._start("scheduler", "--host", "127.0.0.1", "--port", "0", "--scheduler-file", str(self._file))
        self.address = str(self._answer()["address"])

    def add_workers(self, count: int) -> None:
        """Start workers; without a nanny, so that one that is killed stays away."""
        for _ in range(count):
            number = len(self.workers)
            place = ("--local-directory", str(self._folder / f"worker-{number}"))
            options = (
                "--nthreads",
                "1",
                "--no-nanny",
                "--memory-limit",
                "0",
                "--host",
                "127.0.0.1",
                "--death-timeout",
                "60",
            )
            self.workers.append(self._start("worker", self.address, *options, *place))

    def end_scheduler(self) -> None:
        """End the scheduler by force; its workers stay."""
        self._started[0].kill()
        self._started[0].wait()

    def close(self) -> None:
        """End all of them."""
        for process in self._started:
            process.kill()
        for process in self._started:
            process.wait()

    def _start(self, *words: str) -> subprocess.Popen[bytes]:
        environment = os.environ | {
            "PYTHONPATH": os.pathsep.join(map(str, sys.path)),
            "OPENBLAS_NUM_THREADS": "1",
            "DASK_DISTRIBUTED__WORKER__PROFILE__ENABLED": "False",
            "DASK_DISTRIBUTED__ADMIN__TICK__INTERVAL": "1s",
        }
        command = [sys.executable, "-m", "dask", *words, "--no-dashboard"]
        log = (self._folder / f"{words[0]}-{len(self._started)}.log").open("wb")
        with log:
            process = subprocess.Popen(command, cwd=ROOT, env=environment, stdout=log, stderr=log)
        self._started.append(process)
        return process

    def _answer(self) -> dict[str, object]:
        end = time.monotonic() + _PATIENCE
        while time.monotonic() < end:
            if self._file.exists() and (text := self._file.read_text()):
                return json.loads(text)
            time.sleep(0.05)
        raise TimeoutError("the scheduler did not start")
