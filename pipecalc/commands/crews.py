"""Who does the work, as told on the command line: this process, processes beside it, or a cluster."""

import argparse
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pipecalc.batch.crew import Crew


def add(parser: argparse.ArgumentParser, workers: str) -> None:
    """Declare the arguments; ``workers`` says how many there are where none are asked for."""
    parser.add_argument(
        "--workers",
        type=_count,
        metavar="N",
        help=f"processes (default: {workers}); with --scheduler: how many to wait for",
    )
    parser.add_argument("--scheduler", metavar="ADDRESS", help="use a cluster: its scheduler, as tcp://HOST:PORT")


def crew_of(options: argparse.Namespace, usual: int, most: int) -> "Crew":
    """The crew asked for.

    Args:
        options: Arguments as read.
        usual: Processes where none are asked for.
        most: Processes that would find work.

    Raises:
        EnvironmentLacks: The cluster cannot be used.
    """
    if options.scheduler:
        from pipecalc.batch.cluster import Cluster

        return Cluster(options.scheduler, options.workers or 1)
    workers = min(options.workers or usual, most)
    if workers <= 1:
        from pipecalc.batch.crew import Here

        return Here()
    from pipecalc.batch.pool import Pool

    return Pool(workers)


def _count(text: str) -> int:
    try:
        number = int(text)
    except ValueError:
        number = 0
    if not 1 <= number <= _MOST:
        raise argparse.ArgumentTypeError(f"{text!r} is no number of processes from 1 to {_MOST}")
    return number


_MOST = 512
