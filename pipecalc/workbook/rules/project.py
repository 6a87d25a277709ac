"""Rules about the Project sheet."""

from collections.abc import Iterator

from pipecalc.checks.stress import codes
from pipecalc.problems import Problem, error
from pipecalc.workbook.rules.view import View


def edition_of_code(view: View) -> Iterator[Problem]:
    """The edition must be one of the chosen code."""
    row = view.book.project
    title, edition = row.values.get("code"), row.values.get("edition")
    if title is None or edition is None or {"code", "edition"} & row.bad or str(title) not in codes():
        return
    known = codes()[str(title)].editions
    if str(edition) not in known:
        yield error(
            "edition-unknown", row.address("edition"), f"{title} has no edition {edition} here", ", ".join(known)
        )
