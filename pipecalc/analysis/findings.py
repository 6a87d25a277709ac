"""Findings of flange, shell and attachment checks -> verdicts, and what they all must know of a case."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import isfinite, nan

from pipecalc.checks.finding import Finding, sentence
from pipecalc.model import Plant, Segment, State
from pipecalc.problems import Address
from pipecalc.results import Case, Check, Status, status_of

DOUBT = {
    "memory": "from memory: verify against the edition of record",
    "conflict": "sources differ on a value used: verify against the edition of record",
}


@dataclass(frozen=True, slots=True)
class About:
    """What a verdict is about.

    Attributes:
        check: Name of the check.
        subject: Tag.
        source: Its row.
        line: Line, or empty.
        point: Point or stretch, or empty.
        rows: Rows of Segments.
        screening: As in ``Check``.
    """

    check: str
    subject: str
    source: Address
    line: str = ""
    point: str = ""
    rows: tuple[int, ...] = ()
    screening: bool = False


def verdict(
    about: About,
    case: str,
    deciding: Finding,
    lines: Sequence[Finding],
    remark: str = "",
    *,
    one_is_enough: bool = False,
) -> Check:
    """A verdict from the line that decides, with what the other lines found.

    Args:
        about: What it is about.
        case: Name of the case.
        deciding: The line that decides.
        lines: All lines.
        remark: What else the reader must know.
        one_is_enough: Why another line could not be used is of no interest.
    """
    rest = [line for line in lines if line.method != deciding.method]
    others = (_other(line) for line in rest if line.is_checked or not one_is_enough)
    reason = sentence(deciding.method, deciding.reason, DOUBT.get(deciding.confidence, ""), *others, remark)
    return Check(
        check=about.check,
        subject=about.subject,
        line=about.line,
        point=about.point,
        case=case,
        demand=float(deciding.demand),
        limit=float(deciding.limit),
        unit=deciding.unit,
        ratio=float(deciding.ratio),
        status=status_of(deciding.demand, deciding.limit),
        clause=deciding.clause,
        reason=reason,
        inputs=known({**deciding.inputs, **{f"ratio, {line.method}": line.ratio for line in lines}}),
        source=about.source,
        rows=about.rows,
        screening=about.screening,
    )


def _other(line: Finding) -> str:
    return f"{line.method}: ratio {line.ratio:.2f}" if line.is_checked else f"{line.method}: {line.reason}"


def not_made(about: About, reason: str, unit: str = "1") -> Check:
    """A verdict that says why there is none."""
    return verdict(about, "", Finding("", nan, nan, unit, "", reason), ())


def known(inputs: Mapping[str, float | str]) -> dict[str, float | str]:
    """Numbers that are finite, and texts."""
    finite = {name: value for name, value in inputs.items() if isinstance(value, str) or isfinite(value)}
    return {name: value if isinstance(value, str) else float(value) for name, value in finite.items()}


def told_once(checks: Iterable[Check]) -> Iterator[Check]:
    """The same checks; what was not checked for one reason in several cases is told once, without a case."""
    found = list(checks)
    same: dict[tuple[str, ...], list[Check]] = {}
    for check in found:
        if check.status is Status.NOT_CHECKED:
            same.setdefault(_told(check), []).append(check)
    for check in found:
        group = same.get(_told(check), [check])
        if len(group) == 1 or check.status is not Status.NOT_CHECKED:
            yield check
        elif check is group[0]:
            yield replace(check, case="", demand=nan, inputs={})


def _told(check: Check) -> tuple[str, ...]:
    return (check.check, check.subject, check.point, check.set, check.reason)


def state_of(case: Case, plant: Plant) -> State:
    """Thermal state whose pressure and temperature act in a case; the operating one where it names none."""
    return next((state for state in plant.states if state.name == case.state), plant.states[0])


def segment_at(point: tuple[str, str], plant: Plant) -> Segment | None:
    """The run that begins or ends at a point of a line; one of the point's own line first."""
    line, _ = point
    own = plant.lines[line].segments if line in plant.lines else ()
    return next((s for s in own if point in (s.start_key, s.end_key)), None)
