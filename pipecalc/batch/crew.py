"""Who does the work: this process, processes beside it, or other machines; all take the same calls.

A call is a function of this package with arguments that can be pickled. Calls are drawn as they can be started, so
that what they carry is not held for all at once.
"""

import traceback
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from types import TracebackType
from typing import Any, Protocol, Self

Step = Callable[[int, str], None]

#: Threads of the linear-algebra libraries in a process of a crew: the systems are small, and each core has a process.
ONE_THREAD = dict.fromkeys(("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"), "1")
#: How often a call is tried whose process ends in the middle.
ATTEMPTS = 2


def how_it_ended(status: int | None) -> str:
    """What is said of a process that ended in the middle of a call each time."""
    how = f"by signal {-status}" if status is not None and status < 0 else f"with status {status}"
    return f"the worker process ended {how}, {ATTEMPTS} times; it may have run out of memory"


@dataclass(frozen=True, slots=True)
class Call:
    """Something to be done.

    Attributes:
        key: Number by which the answer is known.
        function: A function at the top of a module; it takes ``progress`` too.
        arguments: Its arguments.
    """

    key: int
    function: Callable[..., Any]
    arguments: tuple[Any, ...]

    def answer(self, progress: Callable[[str], None]) -> "Answer":
        """Carry it out here; a fault of the program becomes part of the answer."""
        try:
            return Answer(self.key, self.function(*self.arguments, progress=progress))
        except Exception:
            return Answer(self.key, None, traceback.format_exc())


@dataclass(frozen=True, slots=True)
class Answer:
    """What a call gave.

    Attributes:
        key: That of the call.
        value: What the function returned; None where there is a fault.
        fault: What went wrong in the program or with the process, or empty.
    """

    key: int
    value: Any
    fault: str = ""


class Crew(Protocol):
    """Takes calls and gives answers in any order.

    Attributes:
        workers: How many calls are carried out at a time.
    """

    @property
    def workers(self) -> int:
        """How many calls are carried out at a time."""

    def answers(self, calls: Iterable[Call], step: Step) -> Iterator[Answer]:
        """Carry out calls, each drawn when it can be started; ``step`` is told the key and what begins."""

    def __enter__(self) -> Self:
        """Start."""

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        """End all work; what has not been answered is dropped."""


class Here:
    """One call after the other in this process."""

    workers = 1

    def answers(self, calls: Iterable[Call], step: Step) -> Iterator[Answer]:
        """Carry out calls as they are drawn."""
        for call in calls:
            yield call.answer(lambda what, key=call.key: step(key, what))  # type: ignore[misc]

    def __enter__(self) -> Self:
        """Nothing to start."""
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Nothing to end."""
