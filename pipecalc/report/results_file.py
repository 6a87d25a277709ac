"""results.json: the result records for machines, SI, unrounded, with the names of its published schema."""

import json
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date
from enum import Enum
from functools import cache
from importlib.resources import files
from math import isfinite
from typing import Any

from pipecalc.model import Plant
from pipecalc.problems import Address
from pipecalc.results import SCHEMA, Results
from pipecalc.version import __version__

#: Records whose every entry is written out under the same name.
_LISTS = (
    "cases",
    "movements",
    "support_movements",
    "expansions",
    "legs",
    "restrained",
    "loops",
    "weights",
    "points",
    "members",
    "nozzle_loads",
    "support_loads",
    "checks",
    "springs",
    "modes",
    "equilibrium",
    "assumptions",
    "properties",
    "messages",
    "not_checked",
    "studies",
)


def results_document(plant: Plant, results: Results, *, name: str, sha256: str) -> dict[str, Any]:
    """The whole document as plain values.

    Args:
        plant: The plant.
        results: What was found.
        name: File name of the workbook.
        sha256: Hash of the workbook's bytes.
    """
    return {
        "schema": SCHEMA,
        "tool": {"name": "pipecalc", "version": __version__},
        "input": {"name": name, "sha256": sha256},
        "project": plain(plant.project),
        "code": {"name": plant.project.code, "edition": plant.project.edition},
        **{key: plain(getattr(results, key)) for key in _LISTS},
        "advice": [
            {
                "about": a.about,
                "text": a.text,
                "gain": plain(a.gain),
                "change": {"sheet": a.sheet, "row": a.row, "column": a.column, "value": a.value},
            }
            for a in results.advice
        ],
    }


def results_text(document: Mapping[str, Any]) -> str:
    """The document as text, one record a line; the same document gives the same text."""
    entries = [f"{_compact(key)}: {_lines(value)}" for key, value in document.items()]
    return "{\n" + ",\n".join(entries) + "\n}\n"


def _lines(value: Any) -> str:
    if isinstance(value, list) and value:
        return "[\n" + ",\n".join(map(_compact, value)) + "\n]"
    return _compact(value)


# One encoder for all records: making one for each takes longer than the encoding.
_compact = json.JSONEncoder(ensure_ascii=False, allow_nan=False, separators=(",", ":")).encode


def results_schema() -> dict[str, Any]:
    """The JSON schema that every document meets."""
    text = files("pipecalc.report").joinpath("results.schema.json").read_text("utf-8")
    schema: dict[str, Any] = json.loads(text)
    return schema


def plain(value: Any) -> Any:
    """Records, enumerations, dates and addresses as plain JSON values; a number that is not finite is null."""
    kind: type[object] = type(value)
    if kind is float:
        return value if isfinite(value) else None
    if kind in _AS_THEY_ARE:
        return value
    if kind is tuple or kind is list or kind is frozenset:
        return [plain(item) for item in value]
    if kind is Address or isinstance(value, date):
        return str(value)
    names = _field_names(kind)  # type: ignore[arg-type] # a class is hashable
    if names:
        return {name: plain(getattr(value, field)) for field, name in names}
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, Mapping):
        return {str(key): plain(item) for key, item in value.items()}
    return plain(float(value))  # numbers of the array library


_AS_THEY_ARE = frozenset({str, int, bool, type(None)})


@cache
def _field_names(kind: type[object]) -> tuple[tuple[str, str], ...]:
    """Fields of a record with the names they are written under; none for anything else."""
    if not is_dataclass(kind):
        return ()
    return tuple((field.name, field.name.rstrip("_")) for field in fields(kind))
