"""What workers are asked to do in tests; a worker imports it by name."""

import os
import time
from pathlib import Path


def doubled(number: int, *, progress) -> int:
    progress("doubling")
    return 2 * number


def process(*, progress) -> int:
    return os.getpid()


def failing(*, progress) -> None:
    raise RuntimeError("boom")


def ended(status: int, *, progress) -> None:
    os._exit(status)


def ended_once(mark: str, *, progress) -> str:
    """Ends its process at the first attempt."""
    path = Path(mark)
    if not path.exists():
        path.write_text("tried")
        os._exit(1)
    return "at the second attempt"


def waiting(*, progress) -> None:
    """Tells its process and waits to be killed."""
    progress(f"{os.getpid()}")
    time.sleep(60)


def threads(*, progress) -> set[int]:
    """Threads of the linear-algebra libraries that it has loaded."""
    import numpy  # noqa: F401
    from threadpoolctl import threadpool_info

    return {library["num_threads"] for library in threadpool_info()}
