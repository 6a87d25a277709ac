"""A note written into a folder, as a run does."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pipecalc.report.note import make_note


@dataclass(frozen=True)
class Files:
    html: Path
    pdf: Path | None
    figures: tuple[Path, ...]
    lacks: str
    pages: Mapping[str, int]


def write_note(plant: Any, results: Any, trace: Any, folder: Path, workbook: bytes | None) -> Files:
    note = make_note(plant, results, trace, workbook)
    for name, data in note.files.items():
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / name).write_bytes(data)
    figures = tuple(folder / name for name in note.figures)
    return Files(folder / note.html, folder / note.pdf if note.pdf else None, figures, note.lacks, note.pages)
