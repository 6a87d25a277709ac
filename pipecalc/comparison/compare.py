"""Two revisions compared: inputs, verdicts, checks, loads, movements and springs."""

from collections.abc import Iterator, Mapping
from typing import Any

from pipecalc.comparison.amounts import load_changes, movement_changes, spring_changes
from pipecalc.comparison.inputs import compare_books, compare_documents
from pipecalc.comparison.records import (
    THRESHOLD,
    Changes,
    Document,
    Identity,
    InputChanges,
    ResultChanges,
    Side,
)
from pipecalc.comparison.verdicts import flips, item_changes, match_checks, ratio_changes


def compare(old: Side, new: Side, threshold: float = THRESHOLD) -> Changes:
    """What differs between two revisions.

    Args:
        old: The earlier revision.
        new: The later one; inputs are shown in its units.
        threshold: Least change of a ratio that is listed; for loads and movements a share of the largest value there.
    """
    identities = (_identity(old), _identity(new))
    results = None
    if old.document is not None and new.document is not None:
        results = compare_results(old.document, new.document, threshold)
    cautions = (*_cautions(*identities), *_left_out(old, new))
    return Changes(*identities, threshold, cautions, _inputs(old, new), results)


def compare_results(old: Document, new: Document, threshold: float = THRESHOLD) -> ResultChanges:
    """What differs between two documents of results."""
    checks = match_checks(old, new)
    ratios, below = ratio_changes(checks, threshold)
    return ResultChanges(
        items=tuple(item_changes(old, new, threshold)),
        flips=tuple(flips(checks)),
        ratios=tuple(ratios),
        below=below,
        vanished=tuple(c for c in checks if c.new is None),
        added=tuple(c for c in checks if c.old is None),
        loads=tuple(load_changes(old, new, threshold)),
        movements=tuple(movement_changes(old, new, threshold)),
        springs=tuple(spring_changes(old, new, threshold)),
        compared=sum(c.old is not None and c.new is not None for c in checks),
    )


def _inputs(old: Side, new: Side) -> InputChanges:
    if old.book is not None and new.book is not None:
        return compare_books(old.book, new.book)
    if old.document is not None and new.document is not None:
        return compare_documents(old.document, new.document)
    return InputChanges(not_compared=("One side holds neither rows nor results: no input was compared.",))


def _identity(side: Side) -> Identity:
    if side.document is not None:
        return _of_document(side.name, side.document)
    if side.book is None:
        raise ValueError(f"{side.name} has neither rows nor results")
    p = side.book.project
    facts = {key: p[key] for key in _FACTS} | {"issued": p["date"]}
    return _of_facts(side.name, side.book.sha256, facts, "")


_FACTS = ("document_number", "revision", "code", "edition", "units")


def _of_document(name: str, document: Document) -> Identity:
    workbook = document["input"]["name"]
    told = name if name == workbook else f"{name} of {workbook}"
    return _of_facts(told, document["input"]["sha256"], document["project"], document["tool"]["version"])


def _of_facts(name: str, sha256: str, project: Mapping[str, Any], tool_version: str) -> Identity:
    return Identity(
        name=name,
        sha256=sha256,
        document=str(project["document_number"] or ""),
        revision=str(project["revision"] or ""),
        issued=str(project["issued"] or ""),
        code=str(project["code"] or ""),
        edition=str(project["edition"] or ""),
        units=str(project["units"] or ""),
        tool_version=tool_version,
    )


def _left_out(old: Side, new: Side) -> Iterator[str]:
    """Of a large plant the movements along its lines stand in its results.json alone."""
    documents = [side.document for side in (old, new) if side.document is not None]
    if len(documents) > 1 and any(d["weights"] and not d["points"] for d in documents):
        yield "Movements along the lines were NOT compared, as the plant is large; those of nozzles and supports were."


def _cautions(old: Identity, new: Identity) -> Iterator[str]:
    if old.sha256 == new.sha256:
        yield "Both come from the same workbook: the SHA-256 is equal."
    elif old.revision == new.revision:
        yield f"Both workbooks bear the revision mark {new.revision or 'none'}."
    if (old.code, old.edition) != (new.code, new.edition):
        yield (
            f"The codes differ: {old.code}, edition {old.edition}, against {new.code}, edition {new.edition}. "
            "Ratios rest on different rules."
        )
    if old.tool_version and new.tool_version and old.tool_version != new.tool_version:
        yield (
            f"Computed by different versions of the program, {old.tool_version} and {new.tool_version}: "
            "a result may differ where no input does."
        )
    if old.document != new.document:
        yield f"The document numbers differ: {old.document or 'none'} against {new.document or 'none'}."
