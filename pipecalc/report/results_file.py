"""results.json: the result records for machines, SI, unrounded, with the names of its published schema."""

import json
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import fields, is_dataclass
from datetime import date
from functools import cache, lru_cache
from importlib.resources import files
from operator import attrgetter
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


_AT_ONCE = 1000  # records


def lines(records: Sequence[Any]) -> bytes:
    """Records of one list, one a line."""
    return b",\n".join(_lines(records[n : n + _AT_ONCE]) for n in range(0, len(records), _AT_ONCE))


def _lines(records: Sequence[Any]) -> bytes:
    """The same for a few of them: a call of the encoder for each takes longer than its text."""
    import orjson

    # What stands in its place is written as it is; within a text a line's end is spelled out, so none is met there.
    end_of_line = orjson.Fragment(b"\n")
    apart = [part for record in records for part in (_opened_record(record), end_of_line)][:-1]
    return encoded(apart)[1:-1].replace(b",\n,", b",\n")


def _opened_record(value: Any) -> Any:
    names, fields_of = _reader(type(value))  # type: ignore[arg-type] # a class is hashable
    return dict(zip(names, fields_of(value), strict=True)) if names else value


def _is_list(value: Any) -> bool:
    return isinstance(value, Sequence) and not isinstance(value, str)


def encoded(value: Any) -> bytes:
    """A value as JSON: records by their fields, dates and addresses as text; a number that is not finite is null."""
    import orjson

    kinds = orjson.OPT_PASSTHROUGH_DATACLASS | orjson.OPT_PASSTHROUGH_DATETIME | orjson.OPT_SERIALIZE_NUMPY
    return orjson.dumps(value, _opened, kinds)


def _opened(value: Any) -> Any:
    """What the encoder does not know by itself, one level down."""
    if type(value) is Address:
        return _address(value)
    if isinstance(value, date):
        return str(value)
    names, fields_of = _reader(type(value))  # type: ignore[arg-type] # a class is hashable
    if names:
        return dict(zip(names, fields_of(value), strict=True))
    return dict(value) if isinstance(value, Mapping) else list(value)


def results_schema() -> dict[str, Any]:
    """The JSON schema that every document meets."""
    text = files("pipecalc.report").joinpath("results.schema.json").read_text("utf-8")
    schema: dict[str, Any] = json.loads(text)
    return schema


def plain(value: Any) -> Any:
    """The same as values that Python's own encoder takes."""
    return json.loads(encoded(value))


@lru_cache(10_000)
def _address(address: Address) -> str:
    """Many records name the same address."""
    return str(address)


@cache
def _reader(kind: type[object]) -> tuple[tuple[str, ...], Callable[[Any], Sequence[Any]]]:
    """Names that the fields of a record are written under, and what gives their values; no names for anything else."""
    own = [field.name for field in fields(kind)] if is_dataclass(kind) else []
    names = tuple(name.rstrip("_") for name in own)
    if len(own) > 1:
        return names, attrgetter(*own)
    return names, lambda value: [getattr(value, name) for name in own]
