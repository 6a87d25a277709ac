"""Processes beside this one, each with one call at a time.

Processes are started anew, not copied, on every system, so that Linux and Windows behave alike. A process that ends in
the middle of a call takes that call alone with it: another process tries it once more, behind all others. Only the
caller writes files, so a process may end at any moment.
"""

import os
import signal
from collections import deque
from collections.abc import Iterable, Iterator
from contextlib import suppress
from multiprocessing import get_context
from multiprocessing.connection import Connection, wait
from types import TracebackType
from typing import Any, Self

from pipecalc.batch.crew import ATTEMPTS, ONE_THREAD, Answer, Call, Step, how_it_ended
from pipecalc.garbage import spare_what_is_loaded

_PATIENCE = 5.0  # s, for a process that was told to end


class Pool:
    """Worker processes on this machine.

    Args:
        workers: How many.
    """

    def __init__(self, workers: int) -> None:
        self.workers = workers
        self._context = get_context("spawn")
        self._idle: list[_Worker] = []
        self._busy: dict[Any, tuple[_Worker, Call, int]] = {}

    def __enter__(self) -> Self:
        """Start all processes."""
        self._idle = [_Worker(self._context) for _ in range(self.workers)]
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        """End all processes, those at work too."""
        every = [*self._idle, *(worker for worker, _, _ in self._busy.values())]
        self._idle, self._busy = [], {}
        for worker in every:
            worker.stop()
        for worker in every:
            worker.join()

    def answers(self, calls: Iterable[Call], step: Step) -> Iterator[Answer]:
        """Carry out calls; a worker has its next call before an answer of its last is given out."""
        waiting = iter(calls)
        again: deque[tuple[Call, int]] = deque()
        self._fill(waiting, again)
        while self._busy:
            for pipe in wait(list(self._busy)):
                answer = self._heard(pipe, again, step)
                if answer is not None or self._idle:
                    self._fill(waiting, again)
                if answer is not None:
                    yield answer

    def _fill(self, waiting: Iterator[Call], again: deque[tuple[Call, int]]) -> None:
        while self._idle:
            call = next(waiting, None)
            attempt = 1
            if call is None:
                if not again:
                    return
                call, attempt = again.popleft()
            worker = self._idle.pop()
            self._busy[worker.pipe] = (worker, call, attempt)
            worker.give(call)

    def _heard(self, pipe: Any, again: deque[tuple[Call, int]], step: Step) -> Answer | None:
        """What a worker has to say: a step, an answer, or that it is gone."""
        worker, call, attempt = self._busy[pipe]
        try:
            said = pipe.recv()
        except (EOFError, OSError):
            del self._busy[pipe]
            self._idle.append(_Worker(self._context))
            if attempt < ATTEMPTS:
                again.append((call, attempt + 1))
                return None
            return Answer(call.key, None, worker.epitaph())
        if isinstance(said, str):
            step(call.key, said)
            return None
        del self._busy[pipe]
        self._idle.append(worker)
        answer: Answer = said
        return answer


class _Worker:
    """A process with its end of a pipe."""

    def __init__(self, context: Any) -> None:
        self.pipe, theirs = context.Pipe()
        self._process = context.Process(target=_serve, args=(theirs,), daemon=True)
        self._process.start()
        theirs.close()

    def give(self, call: Call) -> None:
        """Hand over a call; one that cannot take it any more is found gone when its answer is awaited."""
        with suppress(OSError):
            self.pipe.send(call)

    def epitaph(self) -> str:
        """How the process ended."""
        self.join()
        return how_it_ended(self._process.exitcode)

    def stop(self) -> None:
        """End the process at once."""
        self.pipe.close()
        self._process.terminate()

    def join(self) -> None:
        """Wait until the process is gone."""
        self._process.join(_PATIENCE)


def _serve(pipe: Connection) -> None:
    """The life of a worker process: calls in, steps and answers out, until the other end closes."""
    os.environ.update(ONE_THREAD)  # the libraries look when they are loaded, which the first call does
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the caller ends its workers itself
    with suppress(EOFError, OSError):  # the caller is gone
        while True:
            call: Call = pipe.recv()
            pipe.send(call.answer(pipe.send))
            spare_what_is_loaded()
