"""What a verification finds: one record for every number that was compared."""

from dataclasses import dataclass
from math import inf, isfinite, nan

#: What an expected number rests on, by the word that the data files use.
CONFIDENCE: dict[str, str] = {
    "public": "as repeated in public texts that the citation names",
    "memory": "from memory, verify against the edition of record",
    "arithmetic": "direct arithmetic with equations from memory, verify those against the edition of record",
    "theory": "closed form of the literature, evaluated apart from the program",
    "independent": "independent solution of the same problem, the problem from memory",
    "printed": "two printed forms of the same table or rule, compared with each other",
}


@dataclass(frozen=True, slots=True)
class Compared:
    """One number, expected and found.

    Attributes:
        source: Name of the source's file.
        problem: Name of the problem.
        given: Inputs of this row in words; empty where the problem has one set of inputs.
        quantity: What is compared.
        expected: Number of the source, in ``unit``.
        found: Number of the program; NaN where it gave none.
        unit: Unit of expected, found and limit; ``"1"`` for none.
        limit: Largest difference that passes.
        limit_reason: Why it is that large.
        confidence: A key of CONFIDENCE.
        message: What kept the program from finding a number; empty where nothing did.
    """

    source: str
    problem: str
    given: str
    quantity: str
    expected: float
    found: float
    unit: str
    limit: float
    limit_reason: str
    confidence: str
    message: str = ""

    @property
    def difference(self) -> float:
        """Found less expected; NaN where either is missing."""
        return self.found - self.expected

    @property
    def ratio(self) -> float:
        """Size of the difference over the limit; infinite where there is no number to compare."""
        if not (isfinite(self.difference) and self.limit > 0.0):
            return inf
        return abs(self.difference) / self.limit

    @property
    def passes(self) -> bool:
        """Whether both numbers are there and differ by no more than the limit."""
        return self.ratio <= 1.0

    @property
    def label(self) -> str:
        """Problem, inputs and quantity on one line."""
        return ", ".join(part for part in (self.problem, self.given, self.quantity) if part)


@dataclass(frozen=True, slots=True)
class Verified:
    """All numbers compared in one run, in the order of the sources."""

    compared: tuple[Compared, ...]

    @property
    def outside(self) -> tuple[Compared, ...]:
        """Those outside their limit."""
        return tuple(c for c in self.compared if not c.passes)

    def of(self, source: str, problem: str = "") -> tuple[Compared, ...]:
        """Numbers of one source, or of one of its problems."""
        return tuple(c for c in self.compared if c.source == source and problem in ("", c.problem))

    def worst(self, source: str) -> float:
        """Highest difference over limit of a source; NaN where nothing of it was compared."""
        return max((c.ratio for c in self.of(source)), default=nan)
