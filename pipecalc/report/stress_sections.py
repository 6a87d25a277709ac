"""Stress checks of a line gathered by section: ratios of every kind, and what a figure needs to colour the pipe."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import reduce
from math import isfinite, nan

from pipecalc.checks.stress.interface import Kind
from pipecalc.model import Item, Line
from pipecalc.results import Check, Status, governing

#: What each stress check of the results is called.
KINDS: Mapping[str, Kind] = {
    "sustained stress": Kind.SUSTAINED,
    "displacement stress range": Kind.RANGE,
    "occasional stress": Kind.OCCASIONAL,
    "test stress": Kind.TEST,
}
#: Order of the columns, with the short heads of the table.
HEADS: tuple[tuple[Kind, str], ...] = (
    (Kind.SUSTAINED, "Sustained"),
    (Kind.RANGE, "Range"),
    (Kind.OCCASIONAL, "Occasional"),
    (Kind.TEST, "Test"),
)
#: Upper end of each class of the stress ratio; what is above the last is over the limit.
CLASSES = (0.2, 0.4, 0.7, 1.0)
UNRATED = "unrated"
UNCHECKED = "unchecked"


@dataclass(frozen=True, slots=True)
class Section:
    """A place on the line with its worst check of every kind.

    Attributes:
        where: Point, or place between points.
        worst: By kind.
    """

    where: str
    worst: Mapping[Kind, Check]

    @property
    def governing(self) -> Check:
        """The check with the highest ratio; one without a ratio where none has one."""
        return governing(self.worst.values()) or next(iter(self.worst.values()))

    @property
    def unknown(self) -> bool:
        """True where a kind could not be checked."""
        return any(c.status is Status.NOT_CHECKED for c in self.worst.values())


def is_stress(check: Check) -> bool:
    """Whether a check is one of the four stress checks of the code."""
    return check.check in KINDS


def sections(checks: Sequence[Check]) -> list[Section]:
    """Stress checks by place, in the order of the line; the faces of a point and the parts of a turn are one place."""
    found: dict[str, dict[Kind, Check]] = {}
    for check in checks:
        if is_stress(check):
            at = found.setdefault(_place(check.point), {})
            kind = KINDS[check.check]
            at[kind] = _worse(at[kind], check) if kind in at else check
    places = [Section(where, worst) for where, worst in found.items()]
    return sorted(places, key=lambda place: min(c.source.row for c in place.worst.values()))


def _place(where: str) -> str:
    return f"{where.partition(',')[0]}, turn" if "turn" in where else where


def _worse(one: Check, other: Check) -> Check:
    """Not checked comes before any ratio, so that it is not hidden by a good face of the same point."""
    if Status.NOT_CHECKED in (one.status, other.status):
        return one if one.status is Status.NOT_CHECKED else other
    return one if one.ratio >= other.ratio else other


def worst_of_kind(checks: Sequence[Check], kind: Kind) -> Check | None:
    """The stress check of a kind with the highest ratio."""
    return governing(c for c in checks if KINDS.get(c.check) is kind)


def ratio_pens(line: Line, checks: Sequence[Check]) -> Callable[[int, str], str]:
    """Pen for each part of each run, by the highest stress ratio at its sections.

    Sections stand at both ends of a run, sometimes between, and on the turn at its end. What is over a limit is drawn
    so even where another check is missing; else a section that was not checked, and a pipe without any section, are
    drawn as not checked, never as a low ratio. An item that carries no check of its own has a pen of its own.
    """
    run_of = {segment.source.row: i for i, segment in enumerate(line.segments)}
    highest: dict[tuple[int, str], float] = {}
    for check in checks:
        if is_stress(check) and check.status is not Status.NOT_APPLICABLE and check.source.row in run_of:
            run = run_of[check.source.row]
            key = (run, _part(check.point, line.segments[run].start_key[1], line.segments[run].end_key[1]))
            highest[key] = _higher(highest.get(key, 0.0), check.ratio)
    parts = {Item.PIPE: UNCHECKED, Item.REDUCER: UNCHECKED}
    blank = [parts.get(segment.item, UNRATED) for segment in line.segments]
    return lambda run, part: _pen_of_part(highest, run, part, blank[run])


def _pen_of_part(highest: Mapping[tuple[int, str], float], run: int, part: str, blank: str) -> str:
    """Pen of a part; one without a section of its own lies between others and takes the worst of them."""
    if (run, part) in highest:
        return pen_of_ratio(highest[run, part])
    near = [highest[run, p] for p in ("start", "end", "middle", "bend") if (run, p) in highest]
    return pen_of_ratio(reduce(_higher, near)) if near else blank


def _higher(one: float, other: float) -> float:
    """The worse of two ratios: over the limit before not a number, that before the larger."""
    finite = [v for v in (one, other) if isfinite(v)]
    worst = max(finite, default=nan)
    return worst if len(finite) == 2 or worst > CLASSES[-1] else nan


def _part(where: str, start: str, end: str) -> str:
    if "turn" in where:
        return "bend"
    return {start: "start", end: "end"}.get(where, "middle")


def pen_of_ratio(ratio: float) -> str:
    """Pen of a stress ratio; that of what was not checked for NaN."""
    if not isfinite(ratio):
        return UNCHECKED
    return f"class-{1 + sum(ratio > limit for limit in CLASSES)}"


def class_key() -> tuple[tuple[str, str], ...]:
    """Pens with their words."""
    lows = (0.0, *CLASSES[:-1])
    between = [f"ratio {low:g} to {high:g}" for low, high in zip(lows, CLASSES, strict=True)]
    pens = [(f"class-{i}", words) for i, words in enumerate(between, 1)]
    return (
        *pens,
        (f"class-{len(CLASSES) + 1}", "over the limit: FAIL"),
        (UNCHECKED, "NOT CHECKED"),
        (UNRATED, "item without a check of its own"),
    )


def point_name(where: str) -> str:
    """Name of the point in a section's place, or empty for a place between points."""
    name = where.partition(",")[0]
    return "" if name.startswith("between ") else name
