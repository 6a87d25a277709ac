"""Loads, movements and springs of two revisions: the largest change of each."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from pipecalc.comparison.records import AmountChange, Document

Record = Mapping[str, Any]
#: Component, and whether it is a force, a moment or a movement.
Parts = Sequence[tuple[str, str]]
Values = dict[tuple[str, str], dict[str, dict[str, float]]]  # by (tag, quantity), case, component

_NOZZLE_PARTS: Parts = (
    *((name, "force") for name in ("FR", "FL", "FC")),
    *((name, "moment") for name in ("MR", "ML", "MC")),
)
_SUPPORT_PARTS: Parts = tuple((name, "force") for name in ("vertical", "axial", "lateral"))
_MOVES: Parts = tuple((name, "movement") for name in ("east", "north", "up"))
_SPRING_PARTS: Parts = (
    ("hot_load", "force"),
    ("cold_load", "force"),
    ("travel", "movement"),
    ("rate", "stiffness"),
)
#: Changes smaller than this are rounding and settle nothing: N, N·m, m, N/m.
_LEAST = {"force": 1.0, "moment": 1.0, "movement": 1e-5, "stiffness": 1.0}


def load_changes(old: Document, new: Document, threshold: float) -> list[AmountChange]:
    """Largest change of force and of moment at each nozzle, and of load at each support."""

    def nozzles(document: Document) -> Values:
        return _values(_main(document["nozzle_loads"]), "nozzle", "case", _NOZZLE_PARTS)

    def supports(document: Document) -> Values:
        return _values(document["support_loads"], "support", "case", _SUPPORT_PARTS)

    found = [*_largest("nozzle", nozzles(old), nozzles(new), threshold)]
    return [*found, *_largest("support", supports(old), supports(new), threshold)]


def movement_changes(old: Document, new: Document, threshold: float) -> list[AmountChange]:
    """Largest change of movement at each nozzle, at each support on equipment, and along each line."""

    def points(document: Document) -> Values:
        return _values(map(_at_point, document["points"]), "place", "case", _MOVES)

    found: list[AmountChange] = []
    for about, records in (("nozzle", "movements"), ("support", "support_movements")):
        before, after = (_values(d[records], "nozzle", "state", _MOVES) for d in (old, new))
        found += _largest(about, before, after, threshold)
    return [*found, *_worst_of_line(_largest("line", points(old), points(new), threshold))]


def spring_changes(old: Document, new: Document, threshold: float) -> list[AmountChange]:
    """Every change of a spring's loads, travel and rate; springs that came or went among them."""
    found = []
    sides = [{s["support"]: s for s in d["springs"]} for d in (old, new)]
    for tag in dict.fromkeys((*sides[1], *sides[0])):
        for key, quantity in _SPRING_PARTS:
            before, after = (side[tag][key] if tag in side else None for side in sides)
            if _differs(before, after, quantity, threshold):
                found.append(AmountChange("spring", tag, key.replace("_", " "), quantity, "", before, after))
    return found


def _main(loads: Sequence[Record]) -> list[Record]:
    """Loads of the frame where there are any, else those of the hand method."""
    methods = {x["method"] for x in loads}
    wanted = "frame" if "frame" in methods else "hand"
    return [x for x in loads if x["method"] == wanted]


def _at_point(record: Record) -> Record:
    return {**record, "place": f"{record['line']}/{record['point']}"}


def _values(records: Iterable[Record], tag: str, case: str, parts: Parts) -> Values:
    found: Values = {}
    for record in records:
        for name, quantity in parts:
            value = record[name]
            if value is not None:
                cases = found.setdefault((record[tag], quantity), {})
                cases.setdefault(record[case], {})[name] = value
    return found


def _largest(about: str, old: Values, new: Values, threshold: float) -> Iterator[AmountChange]:
    """The largest change of each quantity at each place, over the cases that both sides have."""
    for place, cases in new.items():
        both = [
            (abs(value - old[place][case][name]), name, case, old[place][case][name], value)
            for case, parts in cases.items()
            if case in old.get(place, {})
            for name, value in parts.items()
            if name in old[place][case]
        ]
        if not both:
            continue
        _, name, case, before, after = max(both)
        largest = max(abs(v) for side in (old, new) for parts in side[place].values() for v in parts.values())
        if abs(after - before) >= max(threshold * largest, _LEAST[place[1]]):
            yield AmountChange(about, place[0], name, place[1], case, before, after)


def _worst_of_line(changes: Iterable[AmountChange]) -> list[AmountChange]:
    found: dict[str, AmountChange] = {}
    for change in changes:
        line = change.tag.partition("/")[0]
        if line not in found or _step(change) > _step(found[line]):
            found[line] = change
    return list(found.values())


def _step(change: AmountChange) -> float:
    return abs((change.new or 0.0) - (change.old or 0.0))


def _differs(old: float | None, new: float | None, quantity: str, threshold: float) -> bool:
    if old is None or new is None:
        return old is not new
    return abs(new - old) >= max(threshold * max(abs(old), abs(new)), _LEAST[quantity])
