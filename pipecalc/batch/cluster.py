"""Workers on other machines, through a Dask scheduler: the only module that knows that library.

What a call needs goes with it and what it gives comes back as bytes, so workers need no disk in common with the caller.
A call whose worker is lost is given to another one. Before any call is given out, every worker must have the versions
of the caller; one that joins later is asked with each call.
"""

import logging
import warnings
from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from queue import Empty, Queue
from threading import local
from time import monotonic
from types import TracebackType
from typing import Any, Self

from pipecalc.batch.companion import Companion
from pipecalc.batch.crew import Answer, Call, Step
from pipecalc.batch.versions import differences, versions
from pipecalc.problems import EnvironmentLacks

HOW_TO_START = "dask worker ADDRESS --nthreads 1 --nworkers auto"
HOW_TO_GET_IT = "A cluster needs the package distributed; install it with: pip install 'pipecalc[cluster]'"
_CONNECTING = 15.0  # s
_GATHERING = 60.0  # s, for workers that are still starting
_LOOK = 5.0  # s between looks at a cluster that says nothing
_ALONE = 60.0  # s without any worker until the rest is given up
_AHEAD = 1  # calls that wait at each worker, so that it need not wait for the next


class Cluster:
    """Workers that a scheduler knows.

    Args:
        address: Of the scheduler, as ``tcp://HOST:PORT``.
        workers: Workers to wait for before beginning.

    Raises:
        EnvironmentLacks: The package is missing, no scheduler answers, there are no workers, or versions differ.
    """

    def __init__(self, address: str, workers: int = 1) -> None:
        self._address = address
        self._client = _client(address)
        try:
            with suppress(TimeoutError):
                self._client.wait_for_workers(workers, timeout=_GATHERING)
            self._threads = self._look()
            if len(self._threads) < workers:
                found = f"The scheduler at {address} has {len(self._threads)} of {workers} workers"
                raise EnvironmentLacks(f"{found}; start more: {HOW_TO_START}")
            self._refuse_other_versions()
        except BaseException:
            self._client.close(timeout=_LOOK)
            raise

    @property
    def workers(self) -> int:
        """How many calls are carried out at a time."""
        return sum(self._threads.values())

    def answers(self, calls: Iterable[Call], step: Step) -> Iterator[Answer]:
        """Carry out calls; as many are under way as keep every worker busy."""
        waiting = iter(calls)
        ended: Queue[Any] = Queue()
        under_way: dict[str, tuple[Any, Call]] = {}
        alone_since: float | None = None
        self._fill(waiting, under_way, ended, step)
        while under_way:
            try:
                future = ended.get(timeout=_LOOK)
            except Empty:
                self._threads = self._look()
                alone_since = None if self._threads else alone_since or monotonic()
                if alone_since is not None and monotonic() - alone_since > _ALONE:
                    yield from self._given_up(waiting, under_way)
                    return
                self._fill(waiting, under_way, ended, step)
                continue
            alone_since = None
            _, call = under_way.pop(future.key)
            answer = self._answer(future, call)
            future.release()
            self._fill(waiting, under_way, ended, step)
            yield answer

    def _fill(
        self, waiting: Iterator[Call], under_way: dict[str, tuple[Any, Call]], ended: Queue[Any], step: Step
    ) -> None:
        expected = dict(versions())
        while len(under_way) < self.workers * (1 + _AHEAD):
            call = next(waiting, None)
            if call is None:
                return
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")  # it advises against large arguments, which are what is wanted
                future = self._client.submit(_carried_out, call, expected, pure=False)
            step(call.key, "handed to the cluster")
            under_way[future.key] = (future, call)
            future.add_done_callback(ended.put)

    def _answer(self, future: Any, call: Call) -> Answer:
        if future.status == "finished":
            try:
                answer: Answer = future.result(timeout=_CONNECTING)
            except Exception as fault:  # it was lost on the way, or cannot be unpacked
                return Answer(call.key, None, f"its results were lost: {type(fault).__name__}: {fault}")
            return answer
        if future.status == "error":
            return Answer(call.key, None, f"the cluster gave it up: {future.exception(timeout=_CONNECTING)}")
        return Answer(call.key, None, f"the cluster at {self._address} lost it ({future.status})")

    def _given_up(self, waiting: Iterator[Call], under_way: dict[str, tuple[Any, Call]]) -> Iterator[Answer]:
        lacks = "has no workers left" if self._client.status == "running" else "does not answer any more"
        for future, call in under_way.values():
            future.release()
            yield Answer(call.key, None, f"the cluster at {self._address} {lacks}")
        for call in waiting:
            yield Answer(call.key, None, f"the cluster at {self._address} {lacks}")

    def _look(self) -> Mapping[str, int]:
        """Threads by worker; empty where the scheduler does not answer."""
        if self._client.status != "running":
            return {}
        try:
            found: Mapping[str, int] = self._client.nthreads()
        except (OSError, RuntimeError, ValueError):
            return {}
        return found

    def _refuse_other_versions(self) -> None:
        """All workers must give the numbers and files that this process would give."""
        ours = versions()
        wrong = []
        for worker, theirs in sorted(self._client.run(_theirs, on_error="return").items()):
            if not isinstance(theirs, Mapping):
                wrong.append(f"  {worker}: pipecalc cannot be used there: {theirs}")
            elif told := differences(ours, theirs):
                wrong.append(f"  {worker}: {'; '.join(told)}")
        if wrong:
            raise EnvironmentLacks(
                "Workers must have the versions that this machine has, or numbers and files could differ:\n"
                + "\n".join(wrong)
                + "\nInstall the same pipecalc with the same packages and Python everywhere. Nothing was run."
            )

    def __enter__(self) -> Self:
        """Nothing more to start."""
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Leave the cluster; calls that have not been answered are dropped there."""
        self._client.close(timeout=_LOOK)


def _client(address: str) -> Any:
    try:
        from distributed import Client
    except ModuleNotFoundError as missing:
        raise EnvironmentLacks(f"{HOW_TO_GET_IT} ({missing.name} is missing)") from missing
    for name in list(logging.root.manager.loggerDict):  # what is lost is told of in our own words
        if name.partition(".")[0] == "distributed":
            logging.getLogger(name).setLevel(logging.CRITICAL)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # versions are compared more closely afterwards
            return Client(address, timeout=_CONNECTING, set_as_default=False)  # type: ignore[no-untyped-call]
    except (OSError, ValueError, TypeError, RuntimeError) as fault:
        raise EnvironmentLacks(f"No scheduler answers at {address}: {fault}") from fault


def _theirs() -> Mapping[str, str]:
    """On a worker: its versions."""
    return versions()


_beside = local()


def _carried_out(call: Call, expected: Mapping[str, str]) -> Answer:
    """On a worker: a call, in a process beside it for each of its threads."""
    if not hasattr(_beside, "companion"):
        _beside.companion = Companion()
    answer: Answer = _beside.companion.answer(call, expected)
    return answer
