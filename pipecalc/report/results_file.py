"""results.json: the result records for machines, SI, unrounded, with the names of its published schema."""

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import fields, is_dataclass
from datetime import date
from functools import cache
from importlib.resources import files
from typing import Any

from pipecalc.analysis.apart import BY_PORTION
from pipecalc.model import Plant
from pipecalc.problems import Address
from pipecalc.results import SCHEMA, Results
from pipecalc.version import __version__

#: Records whose every entry is written out under the same name.
_LISTS = (
    "cases",
    *BY_PORTION,
    "equilibrium",
    "assumptions",
    "properties",
    "messages",
    "not_checked",
    "studies",
)


def results_document(plant: Plant, results: Results, *, name: str, sha256: str) -> dict[str, Any]:
    """The whole document by name; lists hold the records as they are, for ``results_text``.

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
        "project": plant.project,
        "code": {"name": plant.project.code, "edition": plant.project.edition},
        **{key: getattr(results, key) for key in _LISTS},
        "advice": [
            {
                "about": a.about,
                "text": a.text,
                "gain": a.gain,
                "change": {"sheet": a.sheet, "row": a.row, "column": a.column, "value": a.value},
            }
            for a in results.advice
        ],
    }


def results_text(document: Mapping[str, Any]) -> bytes:
    """The document as text in UTF-8, one record a line; the same document gives the same text."""
    return b"".join(chunks({key: [value] if _is_list(value) else value for key, value in document.items()}))


def chunks(document: Mapping[str, Any]) -> Iterator[bytes]:
    """The text piece by piece, for documents that are not to stand in memory as a whole.

    Args:
        document: As from ``results_document``, but each list comes in portions: sequences of records, or of lines
            from ``lines`` as bytes.
    """
    yield b"{"
    for number, (key, value) in enumerate(document.items()):
        yield (b",\n" if number else b"\n") + encoded(key) + b": "
        if not isinstance(value, Iterable) or isinstance(value, str | Mapping):
            yield encoded(value)
            continue
        before = b"[\n"
        for portion in value:
            text = portion if isinstance(portion, bytes) else lines(portion)
            if text:
                yield before + text
                before = b",\n"
        yield b"[]" if before == b"[\n" else b"\n]"
    yield b"\n}\n"


def lines(records: Sequence[Any]) -> bytes:
    """Records of one list, one a line."""
    return b",\n".join(map(encoded, records))


def _is_list(value: Any) -> bool:
    return isinstance(value, Sequence) and not isinstance(value, str)


def encoded(value: Any) -> bytes:
    """A value as JSON: records by their fields, dates and addresses as text; a number that is not finite is null."""
    import orjson

    kinds = orjson.OPT_PASSTHROUGH_DATACLASS | orjson.OPT_PASSTHROUGH_DATETIME | orjson.OPT_SERIALIZE_NUMPY
    return orjson.dumps(value, _opened, kinds)


def _opened(value: Any) -> Any:
    """What the encoder does not know by itself, one level down."""
    kind = type(value)
    if kind is Address or isinstance(value, date):
        return str(value)
    names = _field_names(kind)  # type: ignore[arg-type] # a class is hashable
    if names:
        return {name: getattr(value, field) for field, name in names}
    if isinstance(value, Mapping):
        return dict(value)
    return list(value)


def results_schema() -> dict[str, Any]:
    """The JSON schema that every document meets."""
    text = files("pipecalc.report").joinpath("results.schema.json").read_text("utf-8")
    schema: dict[str, Any] = json.loads(text)
    return schema


def plain(value: Any) -> Any:
    """The same as values that Python's own encoder takes."""
    return json.loads(encoded(value))


@cache
def _field_names(kind: type[object]) -> tuple[tuple[str, str], ...]:
    """Fields of a record with the names they are written under; none for anything else."""
    if not is_dataclass(kind):
        return ()
    return tuple((field.name, field.name.rstrip("_")) for field in fields(kind))
