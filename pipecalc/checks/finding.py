"""One line of a flange, shell or attachment check, before it becomes a verdict."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from math import isfinite, nan

_FROM_WEAKEST = ("memory", "conflict", "confirmed")


@dataclass(frozen=True, slots=True)
class Finding:
    """What one method found.

    Attributes:
        method: Name of the method in words.
        demand: What is there, in SI units of ``unit``; NaN where it cannot be computed.
        limit: What is accepted; NaN where unknown or where the method does not hold.
        unit: ``"Pa"``, ``"N*m"`` or ``"1"``.
        clause: Standard, edition and clause, or the book.
        reason: Why there is no ratio, and what the reader must know about the line.
        confidence: The weakest of the values used: "confirmed", "conflict" or "memory".
        inputs: Numbers used, by symbol, SI.
    """

    method: str
    demand: float
    limit: float
    unit: str
    clause: str
    reason: str = ""
    confidence: str = "confirmed"
    inputs: Mapping[str, float | str] = field(default_factory=dict)

    @property
    def ratio(self) -> float:
        """Demand / limit; NaN where either is missing."""
        return self.demand / self.limit if self.is_checked else nan

    @property
    def is_checked(self) -> bool:
        """Whether demand and limit are both there."""
        return isfinite(self.demand) and isfinite(self.limit) and bool(self.limit > 0)

    @property
    def passes(self) -> bool:
        """Whether the check was made and the demand is within the limit."""
        return self.is_checked and bool(self.demand <= self.limit)


def weakest(words: Iterable[str]) -> str:
    """The weakest confidence word of several; "memory" for none at all."""
    found = set(words)
    return next((word for word in _FROM_WEAKEST if word in found), "memory")


def sentence(*parts: str) -> str:
    """Reasons joined, empty ones left out."""
    return "; ".join(part for part in parts if part)


def all_must_hold(lines: Sequence[Finding]) -> Finding:
    """The line that decides where every one must hold: the worst that fails; else one that was not checked; else worst.

    Raises:
        ValueError: There are no lines.
    """
    checked = [line for line in lines if line.is_checked]
    if any(not line.passes for line in checked):
        return max(checked, key=lambda line: line.ratio)
    bare = next((line for line in lines if not line.is_checked), None)
    return bare or max(lines, key=lambda line: line.ratio)


def each_where_it_holds(lines: Sequence[Finding]) -> Finding:
    """The line that decides where every method has a range of its own: the worst of those that could be used.

    Raises:
        ValueError: There are no lines.
    """
    checked = [line for line in lines if line.is_checked]
    return max(checked, key=lambda line: line.ratio) if checked else all_must_hold(lines)
