"""Checks and verdicts of two revisions, matched by what they are about."""

from collections.abc import Container, Iterable, Mapping, Sequence
from itertools import starmap, zip_longest
from math import inf
from typing import Any

from pipecalc.analysis.stress import CHECK_NAMES
from pipecalc.comparison.records import CheckChange, Document, Finding, ItemChange
from pipecalc.results import Status

Record = Mapping[str, Any]
Key = tuple[str, ...]

_GOVERNING = frozenset(CHECK_NAMES.values())
_BUT_CASE = ("check", "subject", "line", "point", "set")
_SEVERITY = {Status.FAIL: 3, Status.NOT_CHECKED: 2, Status.PASS: 1, Status.NOT_APPLICABLE: 0}
_LINE, _NOZZLE, _SUPPORT, _EQUIPMENT = "Line", "Nozzle", "Support", "Equipment"


def match_checks(old: Document, new: Document) -> list[CheckChange]:
    """Every check of either side with both its findings.

    Where a name stands for several records, as a point with a stress on each of its sides, the worst counts. What is
    left over on both sides is matched without its case, worst with worst, where the cases are of one kind: what is
    reported for the case that governs may be governed by another case now.
    """
    before, after = (_worst_of_each(d["checks"]) for d in (old, new))
    found = [_change(before[key], record) for key, record in after.items() if key in before]
    lost = _left_over(old, (record for key, record in before.items() if key not in after))
    came = _left_over(new, (record for key, record in after.items() if key not in before))
    for name in dict.fromkeys((*came, *lost)):
        found += starmap(_change, zip_longest(lost.get(name, ()), came.get(name, ())))
    return found


def _left_over(document: Document, records: Iterable[Record]) -> dict[Key, list[Record]]:
    """Records by all that names them but the case, with the kind of the case; the worst first."""
    kinds = {case["case"]: case["kind"] for case in document["cases"]}
    found: dict[Key, list[Record]] = {}
    for record in records:
        found.setdefault((*_name(record, _BUT_CASE), kinds.get(record["case"], "")), []).append(record)
    return {name: sorted(same, key=_badness, reverse=True) for name, same in found.items()}


def _name_with_case(record: Record) -> Key:
    """A code stress is reported for the case that governs, so its case does not name it."""
    name = _name(record, _BUT_CASE)
    return name if record["check"] in _GOVERNING else (*name, record["case"])


def _worst_of_each(checks: Iterable[Record]) -> dict[Key, Record]:
    found: dict[Key, Record] = {}
    for record in checks:
        name = _name_with_case(record)
        if name not in found or _badness(record) > _badness(found[name]):
            found[name] = record
    return found


def _name(record: Record, keys: Sequence[str]) -> Key:
    return tuple(record[key] for key in keys)


def _badness(record: Record) -> tuple[int, float]:
    return (_SEVERITY[Status(record["status"])], _ratio(record))


def _ratio(record: Record) -> float:
    return -inf if record["ratio"] is None else record["ratio"]


def _change(old: Record | None, new: Record | None) -> CheckChange:
    told: Record = new or old or {}
    return CheckChange(
        check=told["check"],
        subject=told["subject"],
        line=told["line"],
        point=told["point"],
        set=told["set"],
        unit=told["unit"],
        screening=bool(told["screening"]),
        old=_finding(old),
        new=_finding(new),
    )


def _finding(record: Record | None) -> Finding | None:
    if record is None:
        return None
    return Finding(
        Status(record["status"]),
        record["ratio"],
        record["demand"],
        record["limit"],
        record["case"],
        record["check"],
        record["reason"],
        record["clause"],
    )


def flips(changes: Iterable[CheckChange]) -> list[CheckChange]:
    """Checks on both sides with another status: newly failing first, then those no longer checked, then the rest."""
    found = [c for c in changes if c.old is not None and c.new is not None and c.old.status is not c.new.status]
    return sorted(found, key=lambda c: (c.screening, *flip_rank(c.old, c.new)))


def flip_rank(old: Finding | None, new: Finding | None) -> tuple[int, float]:
    """Order of flips, worst first; within one kind the higher ratio comes first."""
    before = old.status if old else None
    after = new.status if new else None
    ratio = new.ratio if new and new.ratio is not None else old.ratio if old and old.ratio is not None else -inf
    if after is Status.FAIL and before is not Status.FAIL:
        return (0, -ratio)
    if after is Status.NOT_CHECKED and before is not Status.NOT_CHECKED:
        return (1, -ratio)
    if after in (None, Status.NOT_APPLICABLE) and before is not after:
        return (2, -ratio)
    return (3 if before is not after else 4, -ratio)


def ratio_changes(changes: Iterable[CheckChange], threshold: float) -> tuple[list[CheckChange], int]:
    """Checks of one status whose ratio changed by the threshold or more, and the number of smaller changes."""
    large, small = [], 0
    for c in changes:
        step = abs(ratio_step(c))
        if c.old is None or c.new is None or c.old.status is not c.new.status or step == 0.0:
            continue
        if step >= threshold:
            large.append(c)
        else:
            small += step > ROUNDING
    return sorted(large, key=lambda c: (c.screening, -abs(ratio_step(c)), c.subject, c.check, c.point)), small


ROUNDING = 1e-9  # a ratio that differs by less is the same number computed on another machine


def ratio_step(change: CheckChange) -> float:
    """New ratio less the old one; infinite where one of them is missing, 0 where both are."""
    old, new = (f.ratio if f else None for f in (change.old, change.new))
    if old is None or new is None:
        return 0.0 if old is new else inf
    return new - old


def item_changes(old: Document, new: Document, threshold: float) -> list[ItemChange]:
    """Lines, nozzles, supports and equipment whose verdict differs, or whose governing ratio by the threshold."""
    before, after = _verdicts(old), _verdicts(new)
    found = []
    for kind, tag in dict.fromkeys((*after, *before)):
        one, other = before.get((kind, tag)), after.get((kind, tag))
        if one is None or other is None or one.status is not other.status or _moved(one, other, threshold):
            found.append(ItemChange(kind, tag, one, other))
    return sorted(found, key=lambda c: (*flip_rank(c.old, c.new), c.kind, c.tag))


def _moved(one: Finding, other: Finding, threshold: float) -> bool:
    if one.ratio is None or other.ratio is None:
        return one.ratio is not other.ratio
    return abs(one.ratio - other.ratio) >= max(threshold, ROUNDING)


def _verdicts(document: Document) -> dict[tuple[str, str], Finding]:
    """Worst status and governing check of every item; screening checks decide nothing."""
    kinds = _kinds(document)
    checks: dict[tuple[str, str], list[Record]] = {item: [] for item in kinds}
    for record in document["checks"]:
        if record["screening"]:
            continue
        item = _item(record, kinds)
        checks.setdefault(item, []).append(record)
    return {item: _verdict(found) for item, found in checks.items()}


def _kinds(document: Document) -> dict[tuple[str, str], None]:
    found = [(_LINE, w["line"]) for w in document["weights"]]
    found += [(_NOZZLE, m["nozzle"]) for m in (*document["movements"], *document["nozzle_loads"])]
    found += [(_SUPPORT, s["support"]) for s in document["support_loads"]]
    return dict.fromkeys(found)


def _item(record: Record, kinds: Container[tuple[str, str]]) -> tuple[str, str]:
    subject = record["subject"]
    for kind in (_NOZZLE, _SUPPORT, _LINE):
        if (kind, subject) in kinds:
            return (kind, subject)
    return (_LINE, record["line"]) if record["line"] else (_EQUIPMENT, subject)


def _verdict(checks: Sequence[Record]) -> Finding:
    if not checks:
        return Finding(Status.NOT_CHECKED, None, reason="no check was made")
    worst = max((Status(c["status"]) for c in checks), key=_SEVERITY.__getitem__)
    rated = [c for c in checks if c["ratio"] is not None]
    if not rated:
        reason = next((c["reason"] for c in checks if c["reason"]), "")
        return Finding(worst, None, reason=reason)
    c = max(rated, key=_ratio)
    name = f"{c['check']}, {c['set']}" if c["set"] else c["check"]
    return Finding(worst, c["ratio"], c["demand"], c["limit"], c["case"], name, c["reason"], c["clause"])
