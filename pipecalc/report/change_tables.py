"""Changes between two revisions as tables, the same on the terminal and in the note."""

from collections.abc import Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass

from pipecalc.comparison.records import (
    AmountChange,
    Changes,
    CheckChange,
    Finding,
    ItemChange,
    Nature,
    ResultChanges,
    RowChange,
    RowFate,
)
from pipecalc.report import format as fmt
from pipecalc.report.format import NONE, Display
from pipecalc.report.parts import Column, numeric, text
from pipecalc.results import Status

MOST_NAMED = 6  # things named in the sentence of what is worse
_ROUNDED = "values equal but for rounding in another unit, not listed"
_NATURES = {Nature.VALUE: "", Nature.DEFAULT: "same value", Nature.UNIT: "same value, other unit"}


@dataclass(frozen=True, slots=True)
class ChangeTable:
    """A table before it has a number; ``about`` is ``"verdicts"``, ``"results"`` or ``"inputs"``."""

    about: str
    caption: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]


def change_tables(changes: Changes, display: Display) -> list[ChangeTable]:
    """All tables that have rows: verdicts first, then checks and loads, then inputs."""
    found = [*_result_tables(changes, display), *_input_tables(changes)]
    return [table for table in found if table.rows]


def summary(changes: Changes) -> list[str]:
    """What a reader has to know first, in sentences."""
    inputs = changes.inputs
    said = [_inputs_summary(changes)]
    said += inputs.not_compared
    if changes.results is None:
        return [*said, "Results were not compared."]
    return [*said, *_results_summary(changes.results, changes.threshold)]


def worsened(changes: Changes) -> str:
    """What is worse than in the earlier revision, in a sentence; empty where nothing is."""
    named, more = changes.worsened[:MOST_NAMED], len(changes.worsened) - MOST_NAMED
    if not named:
        return ""
    rest = f"; {more} more" if more > 0 else ""
    return f"Worse than in the earlier revision: {'; '.join(named)}{rest}."


def _inputs_summary(changes: Changes) -> str:
    rows, cells, units = changes.inputs.rows, changes.inputs.cells, changes.inputs.units
    counts = [(sum(r.fate is fate for r in rows), f"rows {fate.value}") for fate in RowFate]
    counts.append((sum(c.nature is Nature.VALUE for c in cells), "values changed"))
    counts.append((sum(c.nature in (Nature.DEFAULT, Nature.UNIT) for c in cells), "values equal but typed otherwise"))
    counts.append((sum(c.nature is Nature.ROUNDING for c in cells), _ROUNDED))
    counts.append((len(units), "columns with another unit"))
    return f"Inputs, {_counted(counts) or 'no difference'}."


def _results_summary(results: ResultChanges, threshold: float) -> Iterator[str]:
    moves: dict[str, int] = {}
    for c in results.flips:
        name = f"{_word(c.old)} to {_word(c.new)}{' (screening)' if c.screening else ''}"
        moves[name] = moves.get(name, 0) + 1
    flipped = _counted((n, name) for name, n in moves.items()) or "none"
    yield f"{results.compared} checks were matched. Another status: {flipped}."
    yield (
        f"{len(results.ratios)} ratios changed by {threshold:g} or more, {results.below} by less (not listed); "
        f"{len(results.vanished)} checks are gone and {len(results.added)} are new. "
        f"Loads, movements and springs are listed from {threshold:.0%} of the largest value there."
    )


def _counted(counts: Iterable[tuple[int, str]]) -> str:
    return ", ".join(f"{what}: {n}" for n, what in counts if n)


def _result_tables(changes: Changes, display: Display) -> Iterator[ChangeTable]:
    results = changes.results
    if results is None:
        return
    yield ChangeTable(
        "verdicts",
        "Lines, nozzles and supports with another verdict or governing ratio; worst first",
        _ITEMS,
        tuple(_item(c, display) for c in results.items),
    )
    for about, caption, checks in (
        ("verdicts", "Checks with another status; the worst of each kind", results.flips),
        (
            "results",
            f"Ratios that changed by {changes.threshold:g} or more; the largest change of each kind",
            results.ratios,
        ),
        ("results", "Checks that are gone or new; the worst of each kind", _alone(results)),
    ):
        yield ChangeTable(about, caption, _CHECKS, tuple(_check_rows(checks, display)))
    amounts = (*results.loads, *results.movements, *results.springs)
    yield ChangeTable(
        "results",
        "Loads, movements and springs; the largest change of each",
        _AMOUNTS,
        tuple(_amount(c, display) for c in amounts),
    )


def _input_tables(changes: Changes) -> Iterator[ChangeTable]:
    inputs = changes.inputs
    yield ChangeTable("inputs", "Rows added, removed and moved", _ROWS, tuple(_row(c) for c in inputs.rows))
    listed = [c for c in inputs.cells if c.nature is not Nature.ROUNDING]
    cells = sorted(listed, key=lambda c: c.nature is not Nature.VALUE)
    yield ChangeTable(
        "inputs",
        "Values that differ, in the units of the new revision",
        _CELLS,
        tuple((c.sheet, c.row, c.column, c.old, c.new, c.new_at, _NATURES[c.nature]) for c in cells),
    )
    units = tuple((c.sheet, c.column, c.old or NONE, c.new or NONE) for c in inputs.units)
    yield ChangeTable("inputs", "Units of columns; values are compared in one unit", _UNITS, units)


_WAS, _IS = (Column("Status", 12, when, "status") for when in ("earlier", "now"))

_ITEMS = (
    text("Item", 16),
    text("Kind", 11),
    _WAS,
    numeric("Ratio", 9, "earlier"),
    text("Governed by", 32),
    _IS,
    numeric("Ratio", 9, "now"),
    text("Governed by", 32),
)

_CHECKS = (
    text("Check", 26),
    text("Of", 16),
    text("At", 14),
    text("Case", 30),
    _WAS,
    numeric("Ratio", 9, "earlier"),
    _IS,
    numeric("Ratio", 9, "now"),
    text("Remark", 26),
)

_AMOUNTS = (
    text("Of", 10),
    text("Tag", 20),
    text("What", 12),
    text("Case or state", 34),
    numeric("Earlier", 14),
    numeric("Now", 14),
    numeric("Difference", 14),
    text("Unit", 10),
)

_ROWS = (text("Sheet", 14), text("Row", 30), text("What", 12), text("Row number", 14), text("Cells", 60))

_CELLS = (
    text("Sheet", 14),
    text("Row", 26),
    text("Column", 24),
    text("Earlier", 24),
    text("Now", 24),
    text("Cell", 16),
    text("Remark", 18),
)

_UNITS = (text("Sheet", 20), text("Column", 40), text("Earlier", 20), text("Now", 20))


def _item(c: ItemChange, display: Display) -> tuple[str, ...]:
    return (
        c.tag,
        c.kind,
        _word(c.old),
        _ratio(c.old),
        _governed(c.old, display),
        _word(c.new),
        _ratio(c.new),
        _governed(c.new, display),
    )


def _governed(finding: Finding | None, display: Display) -> str:
    if finding is None:
        return ""
    if finding.ratio is None:
        return display.words(finding.reason)
    return f"{finding.check}, {finding.case}" if finding.case else finding.check


def _check_rows(changes: Iterable[CheckChange], display: Display) -> Iterator[tuple[str, ...]]:
    """One row for each kind; the first of a kind is shown, the others are counted."""
    groups: dict[Hashable, list[CheckChange]] = {}
    for change in changes:
        groups.setdefault(_kind(change), []).append(change)
    for same in groups.values():
        c, more = same[0], len(same) - 1
        name = f"{c.check}, {c.set}" if c.set else c.check
        name += " (screening)" if c.screening else ""
        sides = (_word(c.old), _ratio(c.old), _word(c.new), _ratio(c.new))
        yield (name, c.subject, c.point, _cases(c), *sides, _remark(c, more, display))


def _kind(c: CheckChange) -> Hashable:
    """Check, subject and set with both statuses; the ratio of one status may have changed anywhere along a line."""
    return (c.check, c.subject, c.set, c.screening, _word(c.old), _word(c.new))


def _remark(c: CheckChange, more: int, display: Display) -> str:
    """Why it is no longer checked, and how many more there are of its kind."""
    unsettled = c.new is not None and c.new.status in (Status.NOT_CHECKED, Status.NOT_APPLICABLE)
    reason = display.words(c.new.reason) if c.new is not None and unsettled else ""
    return "; ".join(part for part in (reason, f"{more} more" if more else "") if part)


def _alone(results: ResultChanges) -> list[CheckChange]:
    """Checks of one side alone, the new ones that fail or are not checked first."""
    order = ("FAIL", "NOT CHECKED", "PASS", "NOT APPLICABLE", NONE)
    found = (*results.added, *results.vanished)
    return sorted(found, key=lambda c: (c.screening, order.index(_word(c.new)), order.index(_word(c.old)), c.subject))


def _cases(c: CheckChange) -> str:
    names = dict.fromkeys(f.case for f in (c.old, c.new) if f is not None and f.case)
    return " → ".join(names)


def _word(finding: Finding | None) -> str:
    return finding.status.value if finding else NONE


def _ratio(finding: Finding | None) -> str:
    return NONE if finding is None or finding.ratio is None else fmt.ratio(finding.ratio)


def _amount(c: AmountChange, display: Display) -> tuple[str, ...]:
    numbers = [display.number(c.quantity, v) for v in (c.old, c.new)]
    step = NONE
    if c.old is not None and c.new is not None:
        step = display.number(c.quantity, c.new - c.old)
    what = c.what if c.quantity in ("force", "moment") or c.about == "spring" else c.what.capitalize()
    return (c.about, c.tag, what, c.case, *numbers, step, display.unit(c.quantity))


def _row(c: RowChange) -> tuple[str, ...]:
    numbers = " → ".join(str(n) for n in (c.old_row, c.new_row) if n)
    return (c.sheet, c.row, c.fate.value, numbers, "; ".join(f"{title} {cell}" for title, cell in c.cells))


def facts(changes: Changes) -> list[tuple[str, str, str]]:
    """What identifies both revisions: name of the fact, earlier, now."""
    old, new = changes.old, changes.new
    rows: Sequence[tuple[str, str, str]] = (
        ("File", old.name, new.name),
        ("SHA-256 of the workbook", old.sha256, new.sha256),
        ("Document number", old.document, new.document),
        ("Revision", old.revision, new.revision),
        ("Date", old.issued, new.issued),
        ("Code", f"{old.code}, edition {old.edition}", f"{new.code}, edition {new.edition}"),
        ("Units", old.units, new.units),
        ("Computed with version", old.tool_version, new.tool_version),
    )
    return [(name, was or NONE, now or NONE) for name, was, now in rows]
