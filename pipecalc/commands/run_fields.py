"""What ``pipecalc run --json`` says of a workbook with results."""

from dataclasses import asdict
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pipecalc.batch.record import Summary
    from pipecalc.job import Run
    from pipecalc.making import Made
    from pipecalc.output import Written


def results_fields(file: str, found: "Made | Summary", places: "Run | Written") -> dict[str, Any]:
    """Counts, verdicts and files as plain values."""
    return {
        "file": file,
        "over_limit": found.over_limit,
        "not_checked": found.not_checked,
        "verdicts": [asdict(verdict) for verdict in found.verdicts],
        "workbook": str(places.workbook),
        "note": str(places.note) if places.note else None,
        "html": str(places.html) if places.html else None,
        "results": str(places.results_file),
    }
