"""results.json of an earlier run, read back and held against what a comparison needs of it."""

import json
from collections.abc import Iterator, Mapping
from math import isfinite
from pathlib import Path
from typing import Any

from pipecalc.problems import FileUnusable
from pipecalc.results import SCHEMA, Status

MOST = 500_000_000  # bytes; more than any run writes

_TEXT, _NUMBER, _YES_NO, _MAYBE = "text", "a number", "true or false", "a number or null"

#: What a comparison reads of each list, by name.
_LISTS: Mapping[str, Mapping[str, str]] = {
    "cases": {"case": _TEXT, "kind": _TEXT, "title": _TEXT},
    "checks": {
        **dict.fromkeys(("check", "subject", "line", "point", "case", "set", "unit", "status", "clause"), _TEXT),
        "reason": _TEXT,
        **dict.fromkeys(("demand", "limit", "ratio"), _MAYBE),
        "screening": _YES_NO,
    },
    "weights": {"line": _TEXT},
    "movements": {"nozzle": _TEXT, "state": _TEXT, **dict.fromkeys(("east", "north", "up"), _MAYBE)},
    "support_movements": {"nozzle": _TEXT, "state": _TEXT, **dict.fromkeys(("east", "north", "up"), _MAYBE)},
    "points": {**dict.fromkeys(("line", "point", "case"), _TEXT), **dict.fromkeys(("east", "north", "up"), _MAYBE)},
    "nozzle_loads": {
        **dict.fromkeys(("nozzle", "case", "method"), _TEXT),
        **dict.fromkeys(("FR", "FL", "FC", "MR", "ML", "MC"), _MAYBE),
    },
    "support_loads": {
        **dict.fromkeys(("support", "case"), _TEXT),
        **dict.fromkeys(("vertical", "axial", "lateral"), _MAYBE),
    },
    "springs": {"support": _TEXT, **dict.fromkeys(("hot_load", "cold_load", "travel", "rate"), _MAYBE)},
    "assumptions": {"what": _TEXT, "value": _TEXT},
    "properties": {
        **dict.fromkeys(("material", "property", "unit", "source"), _TEXT),
        **dict.fromkeys(("temperature", "value"), _NUMBER),
    },
}

#: What it reads of each record.
_RECORDS: Mapping[str, tuple[str, ...]] = {
    "tool": ("version",),
    "input": ("name", "sha256"),
    "project": ("document_number", "revision", "issued", "code", "edition", "units"),
}


def read_results(path: Path) -> dict[str, Any]:
    """Read a results.json.

    Raises:
        FileUnusable: The file cannot be read, is no results.json, or lacks something; the message says what.
    """
    try:
        if path.stat().st_size > MOST:
            raise FileUnusable("too-large", f"{path} is larger than any results.json")
        document = json.loads(path.read_bytes().decode("utf-8"), parse_constant=_refuse_constant)
    except OSError as fault:
        raise FileUnusable("missing", f"Cannot read {path}: {fault.strerror or fault}") from fault
    except (ValueError, RecursionError) as fault:
        raise FileUnusable("damaged", f"{path} is no results.json: it cannot be read as JSON") from fault
    if not isinstance(document, dict) or document.get("schema") != SCHEMA:
        raise FileUnusable("not-results", f"{path} is no results.json: its schema is not {SCHEMA}")
    wrong = next(_wrong(document), "")
    if wrong:
        raise FileUnusable("damaged", f"{path} is not whole: {wrong}; run its workbook again")
    return document


def _refuse_constant(word: str) -> float:
    raise ValueError(f"{word} is no JSON number")


def _wrong(document: Mapping[str, Any]) -> Iterator[str]:
    for name, keys in _RECORDS.items():
        record = document.get(name)
        if not isinstance(record, dict):
            yield f"{name} is missing"
        else:
            yield from (f"{key} of {name} is no text" for key in keys if not isinstance(record.get(key), str))
    for name, fields in _LISTS.items():
        records = document.get(name)
        if not isinstance(records, list):
            yield f"the list {name} is missing"
            continue
        for place, record in enumerate(records, 1):
            yield from (f"{name}, record {place}: {said}" for said in _wrong_record(record, fields))
    statuses = {s.value for s in Status}
    yield from (f"a check has the status {c['status']!r}" for c in document["checks"] if c["status"] not in statuses)


def _wrong_record(record: Any, fields: Mapping[str, str]) -> Iterator[str]:
    if not isinstance(record, dict):
        yield "it is no record"
        return
    for key, kind in fields.items():
        if not _fits(record.get(key, ...), kind):
            yield f"{key} is not {kind}"


def _fits(value: Any, kind: str) -> bool:
    if kind == _TEXT:
        return isinstance(value, str)
    if kind == _YES_NO:
        return isinstance(value, bool)
    if value is None:
        return kind == _MAYBE
    if isinstance(value, bool) or not isinstance(value, float | int):
        return False
    return abs(value) < 1e300 and isfinite(value)
