"""Studies: one or two input cells over lists of values, and what becomes of a nozzle, a support or a line.

The workbook is read once. For every value the cell's row is changed, checked against the rules and built anew; then
only the connected systems that are watched are solved, and of these only those that came out different from any
solved before. The workbook itself is never changed.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import islice, product
from math import hypot, isfinite, nan

from threadpoolctl import threadpool_limits

from pipecalc.analysis.outcome import Outcome, outcome
from pipecalc.analysis.systems import part_of, system_of, systems_of
from pipecalc.model import Plant
from pipecalc.problems import InputError, Severity
from pipecalc.results import Check, Status, StudyRow, worst_status
from pipecalc.results import Study as StudyRecord
from pipecalc.study_cells import Study, Variable, studies_of, study_problems, varied
from pipecalc.workbook.build import build
from pipecalc.workbook.rows import Book
from pipecalc.workbook.rules import check_book

Progress = Callable[[int, int], None]


@dataclass(frozen=True, slots=True)
class StudyPoint:
    """What was found for one combination of values.

    Attributes:
        typed: Value of each variable as typed.
        ratio: Highest ratio of what is watched; NaN where nothing could be judged.
        status: Over all its checks: FAIL over NOT CHECKED over PASS.
        subject: What governs.
        check: Its check.
        case: Its case.
        force: Largest resultant force on the watched nozzle or support [N]; NaN otherwise.
        moment: Largest resultant moment there [N·m]; NaN otherwise.
        reason: Why there is no ratio, or which checks were not made.
    """

    typed: tuple[str, ...]
    ratio: float
    status: Status
    subject: str
    check: str
    case: str
    force: float
    moment: float
    reason: str


@dataclass(frozen=True, slots=True)
class StudyResult:
    """A study with its points, the first variable slowest.

    Attributes:
        solved: Systems solved.
        reused: Systems that were the same as one solved before.
    """

    study: str
    watch: str
    variables: tuple[Variable, ...]
    points: tuple[StudyPoint, ...]
    solved: int
    reused: int


def run_studies(
    book: Book, *, consent: bool = False, names: Iterable[str] | None = None, progress: Progress | None = None
) -> tuple[StudyResult, ...]:
    """Run the studies of a workbook.

    Args:
        book: The workbook as read.
        consent: Whether a study may take more than ``MOST_RUNS`` runs.
        names: Studies wanted; all where None.
        progress: Called with the number of points done and their total.

    Returns:
        Results in the order of the sheet.

    Raises:
        InputError: The workbook or a study has errors; carries all of them. Nothing was run.
    """
    studies = planned(book, consent=consent, names=names)
    total, done, results = sum(study.runs for study in studies), 0, []
    solver = Solver(book)
    with threadpool_limits(limits=1):  # the systems are small: threads only wait for each other
        for study in studies:
            results.append(_run(study, solver, partial(_tell, progress, done, total)))
            done += study.runs
    return tuple(results)


def planned(book: Book, *, consent: bool = False, names: Iterable[str] | None = None) -> list[Study]:
    """The studies of a workbook that are wanted, in the order of the sheet; none is run.

    Raises:
        InputError: A study has errors; carries all of them.
    """
    wanted = None if names is None else set(names)
    problems = study_problems(book, consent=consent, names=wanted)
    if any(p.severity is Severity.ERROR for p in problems):
        raise InputError(problems)
    return [study for study in studies_of(book) if wanted is None or study.name in wanted]


def study_points(study: Study, solver: "Solver", first: int, last: int) -> list[StudyPoint]:
    """Some points of a study, from ``first`` to before ``last``, counted from 0."""
    combinations = islice(product(*(v.typed for v in study.variables)), first, last)
    with threadpool_limits(limits=1):
        return [_point(study, typed, solver) for typed in combinations]


def as_record(name: str, watch: str, variables: Iterable[Variable], points: Iterable[StudyPoint]) -> StudyRecord:
    """A study with all its points as a record of the results."""
    rows = tuple(
        StudyRow(p.typed, p.ratio, p.status, p.subject, p.check, p.case, p.force, p.moment, p.reason) for p in points
    )
    return StudyRecord(name, watch, tuple(v.label for v in variables), rows)


def _tell(progress: Progress | None, before: int, total: int, number: int) -> None:
    if progress is not None:
        progress(before + number, total)


class Solver:
    """Builds changed books and solves their systems, each different one once.

    Attributes:
        solved: Number of systems solved.
        reused: Number of systems found among those solved before.
    """

    def __init__(self, book: Book) -> None:
        # The rows of Studies have been checked and no run depends on them.
        self.book = replace(book, rows={**book.rows, "Studies": ()})
        self.solved = 0
        self.reused = 0
        self._known: dict[tuple[tuple[str, ...], bool], list[tuple[Plant, Outcome]]] = {}

    def plant(self, changes: Iterable[tuple[Variable, str]]) -> Plant:
        """The plant with cells changed.

        Raises:
            InputError: A value does not fit, or the changed workbook has errors.
        """
        book = self.book
        for variable, typed in changes:
            book = varied(book, variable, typed)
        problems = check_book(book)
        built = build(book, problems)
        if built.plant is None:
            raise InputError([p for p in (*problems, *built.problems) if p.severity is Severity.ERROR])
        return built.plant

    def outcomes(self, plant: Plant, watch: str) -> list[Outcome]:
        """What is watched, system by system; without stresses where only a nozzle or support is watched."""
        line = watched_line(plant, watch)
        if watch and not line:
            return []
        names = [system_of(plant, line)] if line else systems_of(plant)
        stresses = not watch or watch in plant.lines
        return [self._outcome(part_of(plant, system), system, stresses=stresses) for system in names]

    def _outcome(self, part: Plant, system: tuple[str, ...], *, stresses: bool) -> Outcome:
        known = self._known.setdefault((system, stresses), [])
        for plant, found in reversed(known):
            if plant == part:
                self.reused += 1
                return found
        self.solved += 1
        found = outcome(part, stresses=stresses)
        known.append((part, found))
        del known[1:-_REMEMBERED]
        return found


#: Solved systems kept for comparison: the first, which is the commonest, and the latest.
_REMEMBERED = 24


def watched_line(plant: Plant, watch: str) -> str:
    """The line on which a nozzle or support stands, or the line itself; empty where there is none."""
    if watch in plant.nozzles:
        point = plant.nozzles[watch].point
        return point[0] if point is not None else ""
    if watch in plant.supports:
        return plant.supports[watch].point[0]
    return watch if watch in plant.lines else ""


def _run(study: Study, solver: Solver, progress: Callable[[int], None]) -> StudyResult:
    solved, reused = solver.solved, solver.reused
    points = []
    for number, typed in enumerate(product(*(v.typed for v in study.variables)), start=1):
        points.append(_point(study, typed, solver))
        progress(number)
    return StudyResult(
        study.name,
        study.watch,
        study.variables,
        tuple(points),
        solver.solved - solved,
        solver.reused - reused,
    )


def _point(study: Study, typed: tuple[str, ...], solver: Solver) -> StudyPoint:
    try:
        plant = solver.plant(zip(study.variables, typed, strict=True))
        found = solver.outcomes(plant, study.watch)
    except InputError as bad:
        return _without(typed, bad.problems[0].sentence())
    failed = [o.failed for o in found if o.failed]
    if failed or not found:
        return _without(typed, failed[0] if failed else f"no line connects to {study.watch}")
    return _found(typed, study.watch, found)


def _without(typed: tuple[str, ...], reason: str) -> StudyPoint:
    return StudyPoint(typed, nan, Status.NOT_CHECKED, "", "", "", nan, nan, reason)


def _found(typed: tuple[str, ...], watch: str, outcomes: Sequence[Outcome]) -> StudyPoint:
    subjects = (watch,) if watch else None
    checks = [c for o in outcomes for c in o.checks if not watch or c.subject == watch]
    rated = [check for o in outcomes if (check := o.worst(subjects)) is not None]
    worst = max(rated, key=lambda check: check.ratio) if rated else None
    missing = [c for c in checks if c.status is Status.NOT_CHECKED]
    force, moment = _resultants(watch, outcomes)
    return StudyPoint(
        typed,
        float(worst.ratio) if worst else nan,
        worst_status(c for c in checks if c.status is not Status.NOT_APPLICABLE),
        worst.subject if worst else "",
        worst.check if worst else "",
        worst.case if worst else "",
        force,
        moment,
        _missing_words(missing),
    )


def _missing_words(missing: Sequence[Check]) -> str:
    if not missing:
        return ""
    first = missing[0]
    more = f", and {len(missing) - 1} more" if len(missing) > 1 else ""
    return f"not checked: {first.subject}, {first.check} ({first.reason}){more}"


def _resultants(watch: str, outcomes: Sequence[Outcome]) -> tuple[float, float]:
    """Largest resultant force and moment on a watched nozzle or support; NaN for anything else."""
    loads = [load for o in outcomes for load in o.nozzle_loads if load.nozzle == watch]
    loads += [load for o in outcomes for load in o.support_loads if load.support == watch]  # type: ignore[misc]
    if not loads:
        return nan, nan
    return max(hypot(*load.force) for load in loads), max(hypot(*load.moment) for load in loads)


@dataclass(frozen=True, slots=True)
class Curve:
    """A study of one variable as a line chart; ``x`` counts places where the values are words."""

    title: str
    x_label: str
    y_label: str
    x: tuple[float, ...]
    x_words: tuple[str, ...]
    y: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Shades:
    """A study of two variables as a shaded grid; ``ratio`` by row (second variable), then column (first)."""

    title: str
    x_label: str
    y_label: str
    x_words: tuple[str, ...]
    y_words: tuple[str, ...]
    ratio: tuple[tuple[float, ...], ...]
    status: tuple[tuple[Status, ...], ...]


def curve(result: StudyResult) -> Curve | None:
    """The line chart of a study of one variable; None for another."""
    if len(result.variables) != 1:
        return None
    (variable,) = result.variables
    numbers = all(isfinite(n) for n in variable.numbers)
    x = variable.numbers if numbers else tuple(float(n) for n in range(len(variable.typed)))
    return Curve(_title(result), variable.label, "ratio", x, variable.typed, tuple(p.ratio for p in result.points))


def shades(result: StudyResult) -> Shades | None:
    """The shaded grid of a study of two variables; None for another."""
    if len(result.variables) != 2:
        return None
    first, second = result.variables
    rows = len(second.typed)
    by_row = [[result.points[c * rows + r] for c in range(len(first.typed))] for r in range(rows)]
    return Shades(
        _title(result),
        first.label,
        second.label,
        first.typed,
        second.typed,
        tuple(tuple(p.ratio for p in row) for row in by_row),
        tuple(tuple(p.status for p in row) for row in by_row),
    )


def _title(result: StudyResult) -> str:
    return f"{result.study}: {result.watch or 'the worst of all'}"


def study_table(result: StudyResult) -> tuple[tuple[str, ...], tuple[Mapping[str, object], ...]]:
    """A study as titles and rows, for a sheet or the note; forces in N, moments in N·m."""
    named = [v.label for v in result.variables]
    titles = (*named, "Ratio", "Status", "Governed by", "Check", "Case", "Force", "Moment", "Reason")
    rows = []
    for p in result.points:
        values = (*p.typed, p.ratio, p.status.value, p.subject, p.check, p.case, p.force, p.moment, p.reason)
        rows.append(dict(zip(titles, values, strict=True)))
    return titles, tuple(rows)
