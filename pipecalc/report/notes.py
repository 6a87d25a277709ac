"""Remarks of many rows gathered below a table: said once, marked where they hold."""

from collections.abc import Iterable
from itertools import pairwise

from pipecalc.report.format import Display
from pipecalc.results import Check

_OF_THE_ROW = ": ratio "  # what another method found differs from row to row and stays there


class Notes:
    """Numbered notes; a remark that comes again keeps its number."""

    def __init__(self, display: Display) -> None:
        self._display = display
        self._numbers: dict[str, int] = {}

    @property
    def told(self) -> list[tuple[str, str]]:
        """Mark and text of every note so far."""
        return [(str(number), text) for text, number in self._numbers.items()]

    def of(self, check: Check) -> str:
        """Marks of a check's clause and remarks, with what is its own: ``[1–3]; moment factor: ratio 0.42``."""
        said = [part for part in check.reason.split("; ") if part]
        own = [self._display.words(part) for part in said if _OF_THE_ROW in part]
        shared = [self._display.words(part) for part in said if _OF_THE_ROW not in part]
        marks = self.marks([*([check.clause] if check.clause else []), *shared])
        return "; ".join(part for part in (marks, *own) if part)

    def marks(self, texts: Iterable[str]) -> str:
        """Marks of some notes in order, neighbours drawn together."""
        numbers = sorted({self._numbers.setdefault(text, len(self._numbers) + 1) for text in texts})
        starts = [n for i, n in enumerate(numbers) if i == 0 or numbers[i - 1] != n - 1]
        bounds = [*starts, numbers[-1] + 2] if numbers else []
        runs = [[n for n in numbers if a <= n < b] for a, b in pairwise(bounds)]
        return " ".join(f"[{run[0]}]" if len(run) == 1 else f"[{run[0]}–{run[-1]}]" for run in runs)
