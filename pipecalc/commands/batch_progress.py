"""Progress of many workbooks: a live table on a terminal, a line for each workbook where output is piped."""

import sys
from collections import deque
from collections.abc import Iterator
from contextlib import contextmanager
from time import monotonic
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.table import Table

    from pipecalc.batch.runner import Ended
    from pipecalc.batch.selection import Item

_LATEST = 5
_PER_SECOND = 2


class Progress:
    """What is under way and what has ended; shows nothing itself.

    Args:
        total: Number of workbooks.
    """

    def __init__(self, total: int) -> None:
        self.total, self.done, self.failed = total, 0, 0
        self.under_way: dict[str, tuple[str, float]] = {}
        self.latest: deque[tuple[str, str]] = deque(maxlen=_LATEST)
        self._start = monotonic()

    def step(self, item: "Item", what: str) -> None:
        """A step of a workbook begins."""
        _, since = self.under_way.get(item.label, ("", monotonic()))
        self.under_way[item.label] = (what, since)

    def end(self, ended: "Ended") -> None:
        """A workbook has ended."""
        self.under_way.pop(ended.item.label, None)
        self.done += 1
        self.failed += ended.summary is None
        self.latest.append((ended.item.label, said_of(ended)))

    def table(self) -> "Table":
        """All of it as a table of a terminal."""
        from rich.table import Table
        from rich.text import Text

        spent = monotonic() - self._start
        lacking = f", {self.failed} without results" if self.failed else ""
        table = Table(title=f"{self.done} of {self.total} done{lacking}, {spent:.0f} s", title_justify="left")
        table.add_column("workbook", overflow="fold")
        table.add_column("", overflow="fold")
        table.add_column("s", justify="right")
        for label, said in tuple(self.latest):
            table.add_row(Text(label), Text(said), "", style="dim")
        for label, (what, since) in tuple(self.under_way.items()):
            table.add_row(Text(label), Text(what), f"{monotonic() - since:.0f}")
        return table


class _Lines(Progress):
    """A line on the stream of errors for each workbook that ends."""

    def end(self, ended: "Ended") -> None:
        """A workbook has ended."""
        super().end(ended)
        print(f"[{self.done}/{self.total}] {ended.item.label}: {said_of(ended)}", file=sys.stderr, flush=True)


@contextmanager
def batch_progress(total: int, *, hidden: bool) -> Iterator[Progress]:
    """Progress shown in the way that fits where it goes."""
    if hidden:
        yield Progress(total)
    elif sys.stderr.isatty():
        from rich.console import Console
        from rich.live import Live

        progress = Progress(total)
        console = Console(stderr=True)
        with Live(get_renderable=progress.table, console=console, refresh_per_second=_PER_SECOND, transient=True):
            yield progress
    else:
        yield _Lines(total)


def said_of(ended: "Ended") -> str:
    """What became of a workbook, in a few words."""
    if ended.summary is None:
        return f"no results: {ended.why}"
    worst = ended.summary.worst
    ratio = "" if worst is None else f", worst ratio {worst:.2f}"
    how = "unchanged, left as it is" if ended.kept else f"{ended.seconds:.1f} s"
    return f"{ended.summary.status}{ratio}, {how}"
