"""Running changed plants for advice: bounded in number, each connected system alone, nothing run twice."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from pipecalc.analysis.outcome import Outcome, outcome
from pipecalc.analysis.systems import part_of, system_of
from pipecalc.analysis.words import Words
from pipecalc.model import Plant, Support

MOST_RUNS = 60


@dataclass(slots=True)
class Trials:
    """Runs changed plants until the bound is reached.

    Attributes:
        plant: The plant as it is.
        most: Largest number of runs.
        ran: Number of runs by what they were for.
        left_out: Number of runs left out for the bound, likewise.
    """

    plant: Plant
    most: int = MOST_RUNS
    ran: Counter[str] = field(default_factory=Counter)
    left_out: Counter[str] = field(default_factory=Counter)
    _as_is: dict[tuple[str, ...], Outcome] = field(default_factory=dict)

    @property
    def words(self) -> Words:
        """Numbers in the project's units."""
        return Words(self.plant.project.units)

    def as_is(self, line: str) -> Outcome:
        """The system of a line unchanged; run once, and not counted against the bound."""
        names = system_of(self.plant, line)
        if names not in self._as_is:
            self._as_is[names] = outcome(part_of(self.plant, names))
        return self._as_is[names]

    def run(self, changed: Plant, line: str, purpose: str) -> Outcome | None:
        """The system of a line in a changed plant; None where the bound is reached."""
        if self.ran.total() >= self.most:
            self.left_out[purpose] += 1
            return None
        self.ran[purpose] += 1
        return outcome(part_of(changed, system_of(changed, line)))

    def supports(self, changed: Mapping[str, Support | None], *added: Support) -> Plant:
        """The plant with some supports replaced, removed (None) or added."""
        kept = {name: changed.get(name, support) for name, support in self.plant.supports.items()}
        supports = {name: support for name, support in kept.items() if support is not None}
        supports.update({support.name: support for support in added})
        return replace(self.plant, supports=supports)

    def told(self) -> str:
        """What was run, in a sentence."""
        if not self.ran and not self.left_out:
            return ""
        parts = ", ".join(f"{count} for {purpose}" for purpose, count in self.ran.items()) or "none"
        left = ", ".join(f"{count} for {purpose}" for purpose, count in self.left_out.items())
        more = f" The bound of {self.most} runs left out {left}." if left else ""
        return f"Changed plants run for this chapter: {self.ran.total()} ({parts}).{more}"


def nozzles_of(found: Outcome) -> tuple[str, ...]:
    """Nozzles of a system."""
    return tuple(found.plant.nozzles)


def worst_words(found: Outcome, subjects: tuple[str, ...]) -> str:
    """The worst nozzle with its ratio, in words."""
    check = found.worst(subjects)
    return f"{check.subject} {check.ratio:.2f} ({check.case})" if check else "no nozzle with a ratio"
