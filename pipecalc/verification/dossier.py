"""The verification dossier: the run as plain values for JSON, and as a PDF in the style of the note."""

import platform
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import groupby
from typing import Any

from pipecalc.report import format as fmt
from pipecalc.report.note import LIBRARIES, filled, linked_faces
from pipecalc.report.parts import Column, Table, numeric, status, text
from pipecalc.report.results_file import plain
from pipecalc.results import Status
from pipecalc.verification.coverage import without_a_check
from pipecalc.verification.records import CONFIDENCE, Compared, Verified
from pipecalc.verification.runner import words
from pipecalc.verification.source import Problem, Source
from pipecalc.verification.source import load as load_source
from pipecalc.verification.source import names as all_sources
from pipecalc.version import __version__

#: Longer tables show of each row the number nearest to its limit; all of them stand in the JSON file.
_LONG = 50

MARK = "checks of the program, not of a plant"

CAUTIONS: tuple[str, ...] = (
    "This dossier shows that the program, as installed on this machine, gives the numbers of its published checks. It "
    "says nothing about a particular plant: the workbook, its inputs and the choice of code remain to be checked.",
    "A number within its limit shows agreement with the source named, in the range of that problem. It is no proof for "
    "other sizes, temperatures, supports or combinations.",
    "Where a source is from memory, the number, its table or its clause has to be read again in the edition of record "
    "before the check may be relied on. Where it is direct arithmetic, the arithmetic is apart from the program but "
    "the equation is from memory.",
    "Friction, gaps and supports that lift are nonlinear. The problems here hold such supports alone or two in a row "
    "on straight pipes; many of them that act on each other in space have no published check here.",
    "The modules listed in the last section have no published check in this dossier. They are tested in other ways, "
    "which are not run here.",
    "The code edition of record, the vendors and a competent engineer decide. Nothing is certified by this dossier.",
)


@dataclass(frozen=True, slots=True)
class Machine:
    """Where and when the checks ran.

    Attributes:
        when: Date and time of the run in words.
        issued: Its date.
        system: Operating system and processor.
        python: Version of the interpreter.
        libraries: Name and version of the libraries that took part.
    """

    when: str
    issued: date
    system: str
    python: str
    libraries: tuple[tuple[str, str], ...]


def this_machine(day: date | None = None) -> Machine:
    """This machine now; with a date given, that date stands for the time of the run."""
    from importlib.metadata import version

    now = datetime.now().astimezone()
    return Machine(
        when=day.isoformat() if day else now.isoformat(sep=" ", timespec="minutes"),
        issued=day or now.date(),
        system=" ".join(part for part in (platform.system(), platform.release(), platform.machine()) if part),
        python=f"{platform.python_implementation()} {platform.python_version()}",
        libraries=tuple((library, version(library)) for library in LIBRARIES),
    )


def document(sources: Sequence[Source], found: Verified, machine: Machine) -> dict[str, Any]:
    """The run as plain values; a number that was not found is null, and so is its ratio."""
    return {
        "tool": {"name": "pipecalc", "version": __version__},
        "about": MARK,
        "machine": plain(machine),
        "compared": len(found.compared),
        "outside": len(found.outside),
        "sources": [_source_fields(source, found) for source in sources],
        "without_a_check": [{"module": name, "about": about} for name, about in _uncovered()],
        "numbers": [_fields(c) for c in found.compared],
    }


def _source_fields(source: Source, found: Verified) -> dict[str, Any]:
    own = found.of(source.name)
    return {
        "name": source.name,
        "title": source.title,
        "group": source.group,
        "citation": source.citation,
        "confidence": CONFIDENCE[source.confidence],
        "compares": source.compares,
        "modules": list(source.modules),
        "compared": len(own),
        "outside": sum(not c.passes for c in own),
        "worst_difference_over_limit": plain(found.worst(source.name)),
        "status": _status(own).value,
    }


def _fields(c: Compared) -> dict[str, Any]:
    derived = {"difference": c.difference, "difference_over_limit": c.ratio, "status": _status([c]).value}
    return plain(c) | {"confidence": CONFIDENCE[c.confidence]} | plain(derived)  # type: ignore[no-any-return]


def _status(compared: Sequence[Compared]) -> Status:
    """PASS where something was compared and all of it is within its limit."""
    return Status.PASS if compared and all(c.passes for c in compared) else Status.FAIL


def _uncovered() -> tuple[tuple[str, str], ...]:
    return without_a_check(load_source(name) for name in all_sources())


def dossier_pdf(sources: Sequence[Source], found: Verified, machine: Machine) -> bytes:
    """The dossier as PDF; the same run and machine give the same bytes.

    Raises:
        EnvironmentLacks: A system library of the PDF renderer is missing.
    """
    from pipecalc.report.pdf import Document, make_pdf

    html = filled("verification.html.j2", dossier_context(sources, found, machine), linked_faces())
    return make_pdf(Document(html=html, issued=machine.issued)).data


def dossier_context(sources: Sequence[Source], found: Verified, machine: Machine) -> dict[str, Any]:
    """Everything the template prints, as text."""
    outside = len(found.outside)
    return {
        "mark": MARK,
        "created": machine.issued.isoformat(),
        "tool": f"pipecalc {__version__}",
        "facts": [
            ("Program", f"pipecalc {__version__}"),
            ("Run", machine.when),
            ("Machine", machine.system),
            ("Python", machine.python),
            ("Libraries", ", ".join(f"{name} {version}" for name, version in machine.libraries)),
            ("Sources", str(len(sources)) + ("" if len(sources) == len(all_sources()) else " (a selection)")),
            ("Numbers compared", str(len(found.compared))),
            ("Outside their limit", str(outside)),
        ],
        "status": _status(found.compared).value,
        "verdict": _verdict(len(found.compared), outside),
        "summary": _summary(sources, found),
        "outside": _outside(found),
        "messages": list(dict.fromkeys(f"{c.source}, {c.problem}: {c.message}" for c in found.outside if c.message)),
        "cautions": CAUTIONS,
        "confidence": _confidence(sources, found),
        "uncovered": _table("C", "Modules without a published check", (text("Module", 26), text("What it does", 74)),
                            _uncovered()),
        "sources": [_section(number, source, found) for number, source in enumerate(sources, start=1)],
    }  # fmt: skip


def _outside(found: Verified) -> Table | None:
    rows = _rows(found.outside)
    return _table("D", "Numbers outside their limit", _NUMBER_COLUMNS, rows) if rows else None


def _verdict(compared: int, outside: int) -> str:
    if not outside:
        return f"All {compared} numbers are within their limits."
    return f"{outside} of {compared} numbers are outside their limits."


def _table(number: str, caption: str, columns: Sequence[Column], rows: Sequence[Sequence[str]]) -> Table:
    return Table(number, caption, tuple(columns), tuple(tuple(row) for row in rows))


def _summary(sources: Sequence[Source], found: Verified) -> Table:
    rows: list[tuple[str, ...]] = []
    group = ""
    for number, source in enumerate(sources, start=1):
        if source.group != group:
            group = source.group
            rows.append((group,))
        own = found.of(source.name)
        worst = fmt.ratio(found.worst(source.name))
        rows.append((str(number), source.title, source.confidence, str(len(own)), worst, _status(own).value))
    columns = (
        text("No.", 5), text("Source", 58), text("Rests on", 12), numeric("Numbers\ncompared", 10),
        numeric("Worst difference\nover limit", 15), status(9),
    )  # fmt: skip
    return _table("A", "Published checks by source", columns, rows)


def _confidence(sources: Sequence[Source], found: Verified) -> Table:
    """What the numbers rest on, with the sources that hold such numbers."""
    rows = []
    for word, meaning in CONFIDENCE.items():
        own = [c for c in found.compared if c.confidence == word]
        titles = [s.title for s in sources if any(c.source == s.name for c in own)]
        if own:
            rows.append((word, meaning, str(len(own)), "; ".join(titles)))
    columns = (text("Word", 11), text("The expected number is", 30), numeric("Numbers", 9), text("Sources", 50))
    return _table("B", "What the expected numbers rest on", columns, rows)


_NUMBER_COLUMNS = (
    text("Compared", 44),
    numeric("Expected", 13),
    numeric("Found", 13),
    numeric("Difference", 12),
    numeric("Limit", 11),
    status(8),
)


def _section(number: int, source: Source, found: Verified) -> dict[str, Any]:
    own = found.of(source.name)
    return {
        "number": number,
        "key": source.name,
        "title": source.title,
        "citation": source.citation,
        "confidence": CONFIDENCE[source.confidence],
        "compares": source.compares,
        "modules": ", ".join(source.modules),
        "problems": [
            _problem(f"{number}.{n}", source, problem, found) for n, problem in enumerate(source.problems, start=1)
        ],
        "status": _status(own).value,
    }


def _problem(number: str, source: Source, problem: Problem, found: Verified) -> dict[str, Any]:
    own = found.of(source.name, problem.name)
    own_words = (
        "" if problem.confidence == source.confidence else f"Expected numbers: {CONFIDENCE[problem.confidence]}."
    )
    shortened = "All numbers of this table stand in verification.json." if _is_shortened(own) else ""
    return {
        "table": _table(number, problem.name, _NUMBER_COLUMNS, _rows(own, of_problem=True)),
        "given": words(problem.given),
        "limits": list(_limits(own)),
        "remark": " ".join(part for part in (problem.remark, own_words, shortened) if part),
    }


def _limits(compared: Sequence[Compared]) -> Iterator[str]:
    """Each reason once, with the quantities it holds for where there are several reasons."""
    by_reason: dict[str, list[str]] = {}
    for c in compared:
        by_reason.setdefault(c.limit_reason, []).append(c.quantity)
    for reason, quantities in by_reason.items():
        names = ", ".join(dict.fromkeys(quantities))
        yield reason if len(by_reason) == 1 else f"{names}: {reason}"


def _rows(compared: Sequence[Compared], of_problem: bool = False) -> list[tuple[str, ...]]:
    """Rows of a table of numbers; inputs shared by several numbers stand once above them."""
    rows: list[tuple[str, ...]] = []
    shortened = _is_shortened(compared)
    for given, group in groupby(compared, key=lambda c: c.given):
        own = list(group)
        several = of_problem and len(own) > 1
        if several and all(_the_same(c) for c in own):
            rows.append(_together(given, own))
        elif several and shortened:
            nearest = max(own, key=lambda c: c.ratio)
            rows.append(_row(nearest, f"{given}: {_quantity(nearest)}, nearest to its limit of {len(own)}"))
        else:
            above = several and given
            rows += [(given,)] if above else []
            rows += (_row(c, _name(c, of_problem, bool(above))) for c in own)
    return rows


def _is_shortened(compared: Sequence[Compared]) -> bool:
    """Whether a long table shows of each row the number nearest to its limit; never where one is outside."""
    return len(compared) > _LONG and all(c.passes and c.given for c in compared)


def _name(c: Compared, of_problem: bool, below_inputs: bool) -> str:
    if below_inputs:
        return _quantity(c)
    where = () if of_problem else (c.source, c.problem)
    return ", ".join(part for part in (*where, c.given, _quantity(c)) if part)


def _quantity(c: Compared) -> str:
    return c.quantity if c.unit == "1" else f"{c.quantity} [{c.unit}]"


def _row(c: Compared, name: str) -> tuple[str, ...]:
    found = 0.0 if abs(c.found) < 1e-3 * c.limit else c.found
    return (
        name,
        fmt.significant(c.expected, 7),
        fmt.significant(found, 7),
        fmt.significant(c.difference, 2),
        fmt.significant(c.limit, 3),
        _status([c]).value,
    )


def _the_same(c: Compared) -> bool:
    """Whether found is expected but for the last digits of the machine."""
    return c.passes and abs(c.difference) <= 1e-12 * abs(c.expected)


def _together(given: str, compared: Sequence[Compared]) -> tuple[str, ...]:
    """One row for numbers of a table that are found as they are printed."""
    words = ", ".join(f"{_quantity(c)} {fmt.significant(c.expected, 7)}" for c in compared)
    return (f"{given}: {words}" if given else words, "as stated", "the same", "0", fmt.NONE, _status(compared).value)
