"""The points of studies spread over workers; the tables are those of one process."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import ceil
from typing import TYPE_CHECKING

from pipecalc.batch.crew import Call, Crew
from pipecalc.batch.work import run_points
from pipecalc.problems import EnvironmentLacks
from pipecalc.results import Study

if TYPE_CHECKING:
    from pipecalc.studies import StudyPoint
    from pipecalc.study_cells import Study as Planned
    from pipecalc.workbook.rows import Book

#: Calls for each worker: enough that none waits long for the last, few enough that each reuses what it has solved.
_SHARES = 4


class WorkLost(EnvironmentLacks):
    """Something that was handed to a worker failed there; the message says how."""


@dataclass(frozen=True, slots=True)
class Source:
    """A workbook whose studies are wanted: its file name, bytes and rows."""

    name: str
    source: bytes
    book: "Book"


def spread_studies(
    crew: Crew, sources: Sequence[Source], *, consent: bool = False, names: Sequence[str] | None = None
) -> list[tuple[Study, ...]]:
    """Studies of workbooks, in their order.

    Args:
        crew: Who does the work.
        sources: The workbooks.
        consent: Whether a study may take more than 10,000 runs.
        names: Studies wanted; all where None.

    Raises:
        InputError: A workbook or a study has errors; carries all of them. Nothing was run.
        WorkLost: A worker failed.
    """
    from pipecalc.studies import as_record, planned

    wanted = None if names is None else tuple(names)
    plans = [planned(s.book, consent=consent, names=wanted) for s in sources]
    shares = list(_shares(plans, crew.workers))
    calls = (
        Call(key, run_points, (sources[s.source].name, sources[s.source].source, wanted, s.study, s.first, s.last))
        for key, s in enumerate(shares)
    )
    found: dict[int, Sequence[StudyPoint]] = {}
    for answer in crew.answers(calls, lambda _key, _what: None):
        if answer.fault:
            raise WorkLost(f"A study of {sources[shares[answer.key].source].name} failed: {answer.fault}")
        found[answer.key] = answer.value
    points = _joined(shares, found)
    return [
        tuple(as_record(s.name, s.watch, s.variables, points[n, k]) for k, s in enumerate(plan))
        for n, plan in enumerate(plans)
    ]


@dataclass(frozen=True, slots=True)
class _Share:
    """Points of one study that are run together: from ``first`` to before ``last``."""

    source: int
    study: int
    first: int
    last: int


def _shares(plans: "Sequence[Sequence[Planned]]", workers: int) -> Iterator[_Share]:
    total = sum(study.runs for plan in plans for study in plan)
    size = max(1, ceil(total / (_SHARES * workers)))
    for source, plan in enumerate(plans):
        for place, study in enumerate(plan):
            for first in range(0, study.runs, size):
                yield _Share(source, place, first, min(first + size, study.runs))


def _joined(
    shares: Sequence[_Share], found: "Mapping[int, Sequence[StudyPoint]]"
) -> "dict[tuple[int, int], list[StudyPoint]]":
    """Points by workbook and study, in the order of the study."""
    points: dict[tuple[int, int], list[StudyPoint]] = {}
    for key, share in enumerate(shares):
        points.setdefault((share.source, share.study), []).extend(found[key])
    return points
