"""What a folder of results was made from: by it a later run sees that nothing has changed and leaves it as it is.

The record is written last. It counts only while every file it names still has the bytes it had.
"""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields
from pathlib import Path
from typing import Any

from pipecalc.batch.versions import versions
from pipecalc.making import Made, Options, Verdict
from pipecalc.output import Target
from pipecalc.report.index_entry import IndexEntry, IndexItem
from pipecalc.results import Status

SCHEMA = "pipecalc-run-record/1"
NAME = "run-record.json"


@dataclass(frozen=True, slots=True)
class Summary:
    """What is said of a workbook that was run, in the table of a batch and in its index.

    Attributes:
        over_limit: Number of checks over their limit.
        not_checked: Number of checks that could not be made.
        verdicts: Of every line and nozzle.
        note: Path of the PDF note in the folder of results, or None.
        html: Path of the note as HTML, or None.
        entry: What the index says of it, without the places of its files.
    """

    over_limit: int
    not_checked: int
    verdicts: tuple[Verdict, ...]
    note: str | None
    html: str | None
    entry: IndexEntry

    @property
    def worst(self) -> float | None:
        """The highest ratio of a line, nozzle, item of equipment or support; None where nothing was rated."""
        return max((item.ratio for item in self.entry.items if item.ratio is not None), default=None)

    @property
    def status(self) -> str:
        """FAIL over NOT CHECKED over PASS."""
        if self.over_limit:
            return str(Status.FAIL)
        return str(Status.NOT_CHECKED if self.not_checked or not self.verdicts else Status.PASS)


def summary_of(made: Made, entry: IndexEntry) -> Summary:
    """The summary of what a run made."""
    return Summary(made.over_limit, made.not_checked, made.verdicts, made.note, made.html, entry)


def sha256(data: bytes) -> str:
    """The checksum by which bytes are compared."""
    return hashlib.sha256(data).hexdigest()


def record_bytes(made: Made, entry: IndexEntry, target: Target, options: Options) -> bytes:
    """The record of a run that has been written.

    Args:
        made: What was written.
        entry: What the index says of it.
        target: Where it was written.
        options: What was wanted.
    """
    workbook = sha256(made.workbook)
    files = {name: sha256(_bytes(data)) for name, data in made.files.items()} | {target.copy.name: workbook}
    document = {
        "schema": SCHEMA,
        "workbook": workbook if target.updates else made.sha256,
        "options": _options(options, target),
        "versions": dict(versions()),
        "files": files,
        "summary": asdict(summary_of(made, entry)),
    }
    return (json.dumps(document, ensure_ascii=False, indent=1) + "\n").encode("utf-8")


def unchanged(target: Target, source: bytes, options: Options) -> Summary | None:
    """What was found by an earlier run that this one would only repeat; None where it has to be run.

    Args:
        target: Where results go.
        source: Bytes of the workbook.
        options: What is wanted.
    """
    try:
        document = json.loads((target.folder / NAME).read_text("utf-8"))
        same = (
            document["schema"] == SCHEMA
            and document["workbook"] == sha256(source)
            and document["options"] == _options(options, target)
            and document["versions"] == dict(versions())
        )
        if same and _are_whole(target.folder, document["files"]):
            return _summary(document["summary"])
    except (OSError, ValueError, KeyError, TypeError):
        return None  # no record, or none of ours
    return None


def _options(options: Options, target: Target) -> dict[str, Any]:
    return {**asdict(options), "in_place": target.in_place}


def _are_whole(folder: Path, files: Mapping[str, str]) -> bool:
    return all(sha256((folder / name).read_bytes()) == checksum for name, checksum in files.items())


def _summary(values: dict[str, Any]) -> Summary:
    entry = values["entry"]
    items = tuple(IndexItem(**item) for item in entry["items"])
    lists = {f.name: tuple(entry[f.name]) for f in fields(IndexEntry) if isinstance(entry[f.name], list)}
    whole = IndexEntry(**{**entry, **lists, "items": items})
    verdicts = tuple(Verdict(**verdict) for verdict in values["verdicts"])
    return Summary(**{**values, "verdicts": verdicts, "entry": whole})


def _bytes(held: bytes | Path) -> bytes:
    return held if isinstance(held, bytes) else held.read_bytes()
