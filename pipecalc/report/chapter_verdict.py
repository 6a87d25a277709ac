"""The verdict page: every line and nozzle worst first, what needs a decision, and what was not checked."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from math import isfinite
from typing import Any

from pipecalc.model import Plant
from pipecalc.report import format as fmt
from pipecalc.report.format import NONE, Display
from pipecalc.report.parts import Sheets, numeric, status, text
from pipecalc.results import Check, Results, Status, governing, worst_status

DECISIONS = 3
BRIEF = 90  # characters of a reason on the verdict page
_ORDER = {Status.FAIL: 0, Status.NOT_CHECKED: 1, Status.PASS: 2, Status.NOT_APPLICABLE: 3}

# What later methods give: sentence where their records are missing, and a word that shows it was said already.
_METHODS: tuple[tuple[str, str, str], ...] = (
    (
        "members",
        "stress",
        "Code stresses (sustained, displacement range, occasional and test) of a frame analysis: none was run.",
    ),
    ("support_loads", "supports", "Support loads: none were computed, so no support was checked against its limits."),
    ("modes", "frequenc", "Natural frequencies of the piping."),
)


@dataclass(frozen=True, slots=True)
class Verdict:
    """One line or nozzle with its governing check and its worst status."""

    kind: str
    tag: str
    check: Check | None
    status: Status
    checks: tuple[Check, ...]

    @property
    def ratio(self) -> float:
        """Governing ratio; NaN where nothing was rated."""
        return self.check.ratio if self.check else float("nan")


def verdicts(plant: Plant, results: Results) -> list[Verdict]:
    """Every line and nozzle, equipment with rules of its own, and every support that does not pass; worst first."""
    found = [_verdict("Line", tag, of_line(plant, results, tag)) for tag in plant.lines]
    found += [_verdict("Nozzle", tag, _of(results, tag)) for tag in plant.nozzles]
    rated = {c.subject for c in results.checks}
    found += [_verdict("Equipment", tag, _of(results, tag)) for tag in plant.equipment if tag in rated]
    held = [_verdict("Support", tag, _of(results, tag)) for tag in plant.supports if tag in rated]
    found += [v for v in held if v.status in (Status.FAIL, Status.NOT_CHECKED)]
    return sorted(found, key=_worst_first)


def chapter(sheets: Sheets) -> dict[str, Any]:
    """Content of the verdict page."""
    found = verdicts(sheets.plant, sheets.results)
    table = sheets.table(
        "Every line and nozzle, and supports that do not pass; worst first",
        _COLUMNS,
        list(_rows(found, sheets.display)),
    )
    return {
        "table": table,
        "summary": _summary(found),
        "decisions": decisions(found, sheets.results, sheets.display),
        "more": _more(found),
        "screening": screening_over(sheets.results),
        "not_checked": [sheets.display.words(said) for said in not_checked(sheets.results)],
    }


def decisions(found: Sequence[Verdict], results: Results, display: Display) -> list[str]:
    """The items that need a decision most, as sentences with numbers; three at most."""
    worst = [v for v in found if v.status is Status.FAIL]
    unknown = [v for v in found if v.status is Status.NOT_CHECKED]
    chosen = [_over(v, results, display) for v in worst] + [_open(v) for v in unknown]
    return chosen[:DECISIONS]


def screening_over(results: Results) -> list[str]:
    """Screening checks over their limit, the worst of each kind and subject: shown, though they do not decide."""
    failing: dict[tuple[str, str], list[Check]] = {}
    for c in results.checks:
        if c.screening and c.status is Status.FAIL:
            failing.setdefault((c.subject, c.check), []).append(c)
    said = []
    for (subject, check), found in failing.items():
        worst = max(found, key=lambda c: c.ratio)
        more = f", {len(found)} such results" if len(found) > 1 else ""
        said.append(f"{subject}: {check}, {worst.point}, in case “{worst.case}”, ratio {fmt.ratio(worst.ratio)}{more}.")
    return said


def not_checked(results: Results) -> list[str]:
    """What was not checked, said once per reason."""
    said = list(dict.fromkeys(results.not_checked))
    grouped: dict[tuple[str, str], list[str]] = {}
    for c in results.checks:
        if c.status is Status.NOT_CHECKED:
            grouped.setdefault((c.check, c.reason), []).append(c.subject)
    said += [_group(check, reason, subjects) for (check, reason), subjects in grouped.items()]
    spoken = " ".join(results.not_checked).lower()
    said += [s for name, word, s in _METHODS if not getattr(results, name) and word not in spoken]
    return said


def demand_and_limit(check: Check, display: Display) -> tuple[str, str]:
    """Demand and limit with their unit; a length of metres is shown as one, a wall or a movement finer."""
    if check.unit == "m" and max(check.demand, check.limit) >= 1.0:
        return display.text("length", check.demand), display.text("length", check.limit)
    both = [display.by_unit(check.unit, v) for v in (check.demand, check.limit)]
    return both[0][0] + _after(*both[0]), both[1][0] + _after(*both[1])


def _after(number: str, unit: str) -> str:
    return f" {unit}" if unit and number != NONE else ""


_COLUMNS = (
    text("Item", 14),
    text("Kind", 12),
    text("Governing check", 32),
    text("At", 18),
    text("Case", 32),
    numeric("Demand", 13),
    numeric("Limit", 13),
    numeric("Ratio", 9),
    status(12),
)


def _rows(found: Sequence[Verdict], display: Display) -> Iterator[tuple[str, ...]]:
    """One row each; supports that were not checked for one reason share a row."""
    together: dict[str, list[str]] = {}
    for v in found:
        if v.kind == "Support" and v.check is None:
            together.setdefault(_reason(v), []).append(v.tag)
    told: set[str] = set()
    for v in found:
        tags = together.get(_reason(v), []) if v.kind == "Support" and v.check is None else []
        if len(tags) < 2:
            yield tuple(_row(v, display))
        elif _reason(v) not in told:
            told.add(_reason(v))
            yield (f"{len(tags)} supports", v.kind, _reason(v), ", ".join(tags), "", NONE, NONE, NONE, v.status.value)


def _reason(v: Verdict) -> str:
    return next((x.reason for x in v.checks if x.reason), "no check was made")


def _row(v: Verdict, display: Display) -> Iterator[str]:
    c = v.check
    if c is None:
        reason = display.words(_reason(v))
        yield from (v.tag, v.kind, reason, "", "", NONE, NONE, NONE, v.status.value)
        return
    demand, limit = demand_and_limit(c, display)
    name = f"{c.check}, {c.set}" if c.set else c.check
    yield from (v.tag, v.kind, name, c.point, c.case, demand, limit, fmt.ratio(c.ratio), v.status.value)


def _verdict(kind: str, tag: str, checks: tuple[Check, ...]) -> Verdict:
    """Screening checks are shown, but do not decide."""
    deciding = tuple(c for c in checks if not c.screening)
    return Verdict(kind, tag, governing(deciding), worst_status(deciding), checks)


def _of(results: Results, tag: str) -> tuple[Check, ...]:
    return tuple(c for c in results.checks if c.subject == tag)


def of_line(plant: Plant, results: Results, tag: str) -> tuple[Check, ...]:
    """Checks of a line itself, without those of its nozzles and supports."""
    others = {*plant.nozzles, *plant.supports}
    return tuple(c for c in results.checks if c.subject == tag or (c.line == tag and c.subject not in others))


def _worst_first(v: Verdict) -> tuple[int, float]:
    return _ORDER[v.status], -v.ratio if isfinite(v.ratio) else 0.0


def _summary(found: Sequence[Verdict]) -> str:
    counts = [(sum(v.status is s for v in found), s.value) for s in _ORDER]
    words = [f"{n} {name}" for n, name in counts if n]
    return f"{len(found)} items: " + ", ".join(words) + "."


def _over(v: Verdict, results: Results, display: Display) -> str:
    failing = [c for c in v.checks if c.status is Status.FAIL and not c.screening]
    worst = governing(failing)
    if worst is None:
        return f"{v.kind} {v.tag} fails: {failing[0].reason}."
    demand, limit = demand_and_limit(worst, display)
    where = f" {fmt.at(worst.point)}" if worst.point else ""
    against = f"{limit} allowed" + (f" by set {worst.set}" if worst.set else "")
    case = f" in case “{worst.case}”" if worst.case else ""
    sentence = (
        f"{v.kind} {v.tag}: {worst.check}{where} is {demand} against {against}{case}, "
        f"ratio {fmt.ratio(worst.ratio)} ({worst.clause})."
    )
    reason = f" {display.words(_sentence(_brief(worst.reason)))}" if worst.reason else ""
    way = next((f" A way out: {display.words(a.text)}" for a in results.advice if a.about == v.tag), "")
    return sentence + reason + way


def _open(v: Verdict) -> str:
    reasons = dict.fromkeys(
        c.reason for c in v.checks if c.status is Status.NOT_CHECKED and c.reason and not c.screening
    )
    why = "; ".join(reasons) or "no check was made"
    return f"{v.kind} {v.tag} is not settled: {why}."


def _brief(reason: str) -> str:
    """The first parts of a reason; all of it stands in the chapter of the item."""
    parts = reason.split("; ")
    kept = parts[:1]
    while len(kept) < len(parts) and len("; ".join(parts[: len(kept) + 1])) <= BRIEF:
        kept = parts[: len(kept) + 1]
    return "; ".join(kept)


def _sentence(words: str) -> str:
    return words[:1].upper() + words[1:].rstrip(".") + "."


def _more(found: Iterable[Verdict]) -> str:
    count = sum(v.status in (Status.FAIL, Status.NOT_CHECKED) for v in found) - DECISIONS
    return f"{count} more need attention; see the table." if count > 0 else ""


def _group(check: str, reason: str, subjects: Sequence[str]) -> str:
    tags = ", ".join(dict.fromkeys(subjects))
    return f"{check[:1].upper()}{check[1:]} of {tags}: {reason or 'no reason was given'}."
