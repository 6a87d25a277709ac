"""A process beside a worker of a cluster, which carries out its calls.

In the worker's own process a call would share the interpreter with the worker's connections and its memory with other
threads, which takes a tenth more time; and what a call loads and keeps would stay with the worker.
"""

import os
import pickle
import subprocess
import sys
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import BinaryIO

from pipecalc.batch.crew import ATTEMPTS, ONE_THREAD, Answer, Call, how_it_ended
from pipecalc.batch.versions import differences, versions
from pipecalc.garbage import spare_what_is_loaded

_PATIENCE = 5.0  # s, for a process to be gone after it has closed its end


class Companion:
    """The process; it ends when this is no longer there, or the process that holds it is gone."""

    def __init__(self) -> None:
        self._process = self._started()

    def answer(self, call: Call, expected: Mapping[str, str]) -> Answer:
        """Carry out a call; where the process ends in the middle, once more in a new one.

        Args:
            call: The call.
            expected: The versions that the process must have; with others the call is refused.
        """
        ended = ""
        for _ in range(ATTEMPTS):
            try:
                pickle.dump((call, expected), self._stream(self._process.stdin), pickle.HIGHEST_PROTOCOL)
                self._stream(self._process.stdin).flush()
                answer: Answer = pickle.load(self._stream(self._process.stdout))  # noqa: S301 - a process of our own
            except (EOFError, OSError, pickle.UnpicklingError):
                ended = how_it_ended(self._status())
                self.close()
                self._process = self._started()
            else:
                return answer
        return Answer(call.key, None, ended)

    def _status(self) -> int:
        """How the process ended; one that still runs is ended."""
        with suppress(subprocess.TimeoutExpired):
            return self._process.wait(_PATIENCE)
        self.close()
        return self._process.returncode

    def close(self) -> None:
        """End the process."""
        self._process.kill()
        self._process.communicate()

    @staticmethod
    def _stream(found: object) -> BinaryIO:
        if found is None:
            raise BrokenPipeError
        return found  # type: ignore[return-value]

    @staticmethod
    def _started() -> subprocess.Popen[bytes]:
        paths = os.pathsep.join(path or str(Path.cwd()) for path in sys.path)
        return subprocess.Popen(
            [sys.executable, "-P", "-m", "pipecalc.batch.companion"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            env=os.environ | ONE_THREAD | {"PYTHONPATH": paths},
        )


def serve() -> None:
    """The life of the process: calls in, answers out, until the other end closes."""
    with os.fdopen(os.dup(0), "rb") as calls, os.fdopen(os.dup(1), "wb") as answers:
        os.dup2(2, 1)  # whatever a library prints must not stand among the answers
        with suppress(EOFError, OSError):  # the worker is gone
            while True:
                call, expected = pickle.load(calls)  # noqa: S301 - from the process that started this one
                pickle.dump(_answer(call, expected), answers, pickle.HIGHEST_PROTOCOL)
                answers.flush()
                spare_what_is_loaded()


def _answer(call: Call, expected: Mapping[str, str]) -> Answer:
    told = differences(expected, versions())
    if told:
        return Answer(call.key, None, f"a worker has other versions: {'; '.join(told)}")
    return call.answer(lambda _: None)


if __name__ == "__main__":
    serve()
