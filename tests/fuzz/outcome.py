"""What a run of a mutant must come to, and what it did come to."""

import json
import os
from collections.abc import Iterator
from dataclasses import dataclass
from math import isfinite
from pathlib import Path

from pipecalc import job
from pipecalc.problems import FileUnusable, InputError, Severity
from pipecalc.results import Check, Status

SECONDS = 20.0  # longer than this is a hang


@dataclass(frozen=True, slots=True)
class Outcome:
    """How a mutant ended: ``results``, ``problems`` or ``unusable``; with what is wrong about it, if anything.

    ``zeros`` names the checks other than of support loads that passed on a demand of nothing: for a look by hand.
    """

    end: str
    wrong: tuple[str, ...] = ()
    zeros: frozenset[str] = frozenset()


def outcome(data: bytes, folder: Path) -> Outcome:
    """Run a mutant, without the note.

    Args:
        data: The file.
        folder: Where to work; an earlier mutant's files there are replaced.
    """
    path = folder / "mutant.xlsx"
    path.write_bytes(data)
    for old in sorted((folder / "out").rglob("*"), reverse=True):
        old.unlink() if old.is_file() else old.rmdir()
    try:
        done = job.run(path, folder / "out", pdf=False)
    except InputError as bad:
        return Outcome("problems", (*_messages(bad), *_left_over(folder)))
    except FileUnusable as unusable:
        wrong = [] if len(str(unusable)) > 10 else [f"message says little: {unusable}"]
        return Outcome("unusable", (*wrong, *_left_over(folder)))
    wrong = [w for c in done.results.checks for w in _verdict(c)]
    wrong += list(_numbers(done.results_file))
    if path.read_bytes() != data:
        wrong.append("the input was changed")
    if not done.results.checks:
        wrong.append("a result without checks")
    nothing = {c.check for c in done.results.checks if c.status is Status.PASS and c.demand == 0.0}
    return Outcome("results", tuple(wrong), frozenset(nothing - {"support load"}))


def _messages(bad: InputError) -> Iterator[str]:
    errors = [p for p in bad.problems if p.severity is Severity.ERROR]
    if not errors:
        yield "refused without an error"
    for p in errors:
        if not p.address.sheet and p.code not in WHOLE_FILE:
            yield f"no address: {p.code}: {p.sentence()}"
        if len(p.found) < 3:
            yield f"message says little: {p.sentence()}"


#: Codes of problems that are about the file, not about a sheet.
WHOLE_FILE = frozenset({"missing-sheet"})


def _left_over(folder: Path) -> Iterator[str]:
    for path in (folder / "out").rglob("*"):
        if path.is_file():
            yield f"written although refused: {path.name}"


def _verdict(c: Check) -> Iterator[str]:
    """A PASS or FAIL stands on numbers."""
    where = f"{c.check} of {c.subject} {c.point} {c.case}"
    if c.status in (Status.PASS, Status.FAIL):
        if not (isfinite(c.demand) and isfinite(c.limit) and isfinite(c.ratio)):
            yield f"{c.status} on {c.demand} of {c.limit}, ratio {c.ratio}: {where}"
        elif c.status is Status.PASS and not (c.limit > 0 and -1e-9 <= c.ratio <= 1.0 + 1e-9):
            yield f"PASS at ratio {c.ratio}, limit {c.limit}: {where}"
        elif c.status is Status.FAIL and c.ratio <= 1.0:
            yield f"FAIL at ratio {c.ratio}: {where}"
    elif not c.reason:
        yield f"{c.status} without a reason: {where}"


def _numbers(results_file: Path) -> Iterator[str]:
    """results.json is strict JSON, and finite where it says a verdict."""
    found: list[str] = []
    json.loads(results_file.read_text(encoding="utf-8"), parse_constant=lambda word: found.append(word))
    if found:
        yield f"results.json holds {found[0]}"


def work_folder(base: Path) -> Path:
    """A folder of this process's own."""
    folder = base / f"fuzz-{os.getpid()}"
    (folder / "out").mkdir(parents=True, exist_ok=True)
    return folder
