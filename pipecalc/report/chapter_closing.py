"""Advice, cautions and traceability: the end of the note."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from pipecalc.analysis.spans import LEAST_FREQUENCY
from pipecalc.report import format as fmt
from pipecalc.report.parts import Figure, Sheets, numeric, status, text, without_empty
from pipecalc.report.study_charts import study_picture
from pipecalc.results import Study

CAUTIONS: tuple[str, ...] = (
    "The results support the judgement of an engineer and certify nothing. Only a competent person, licensed "
    "where the law asks for it, may release this note; local rules and the authority in charge decide.",
    "The code and edition named on the cover are those of this calculation. Values marked as taken from memory, "
    "and factors marked as unverified, have to be checked against the code edition of record before use.",
    "Simplified methods (guided cantilever, quick check, spans, line-load estimates) are screening. A pass does "
    "not show compliance where the code asks for a formal analysis; a fail asks for one and does not by itself "
    "condemn the design.",
    "Piping is treated as beams: apart from flexibility and intensification factors there is no ovalisation, no "
    "local effect at nozzles, trunnions or thin large pipe, no creep redistribution, and dynamics only as static "
    "equivalents.",
    "Allowable loads and movements stated by the equipment's vendor take precedence over any table. Tables of "
    "standards are minimum terms of purchase, not loads at failure.",
    "Temperatures, movements, stiffness and settlement of equipment are data supplied by others; their source has "
    "to be on record.",
    "Friction, gaps and one-way supports make the answer depend on the order of events; results with and without "
    "them bound it.",
    "Only the states listed in the basis were considered. Start-up, steam-out, upset, standby and test count only "
    "where listed.",
    "Material data are nominal. Corrosion is deducted as stated; the mill tolerance enters the wall check only.",
    "What is built decides: support elevations, removed travel stops of springs, gaps and cold pull have to be "
    "inspected.",
    "Wind and earthquake follow the criteria entered; the local authority may ask for more.",
    "Not covered: design of expansion joints, buried, jacketed, lined and plastic piping, and high-pressure piping.",
    "The version, the fingerprint of the workbook and the date below identify this calculation; the signature "
    "boxes are open.",
)


@dataclass(frozen=True, slots=True)
class Trace:
    """What identifies a calculation.

    Attributes:
        workbook: File name of the workbook.
        sha256: Fingerprint of the workbook's bytes, hexadecimal.
        tool_version: Version of this program.
        libraries: Name and version of the libraries that took part, in a fixed order.
        issued: Date of the document, from the Project sheet.
    """

    workbook: str
    sha256: str
    tool_version: str
    libraries: tuple[tuple[str, str], ...]
    issued: date


def advice(sheets: Sheets) -> dict[str, Any] | None:
    """Content of the advice chapter, with the studies; None where there is neither."""
    display = sheets.display
    rows = [[a.about, display.words(a.text), _change(a)] for a in sheets.results.advice]
    columns = [text("About", 26), text("What would help", 90), text("Change in the workbook", 24)]
    table = sheets.table("Design advice, with the number it rests on", *without_empty(columns, rows))
    found = [_study(sheets, study) for study in sheets.results.studies]
    return {"table": table, "studies": found} if table or found else None


def _study(sheets: Sheets, study: Study) -> dict[str, Any]:
    """A study as a picture and a table of every combination."""
    display = sheets.display
    rows = [
        [
            *(display.words(value) for value in row.values),
            row.subject,
            row.check,
            row.case,
            display.number("force", row.force),
            display.number("moment", row.moment),
            fmt.ratio(row.ratio),
            row.status.value,
            display.words(row.reason),
        ]
        for row in study.rows
    ]
    columns = [
        *(text(variable, 16) for variable in study.variables),
        text("Governs", 16),
        text("Check", 20),
        text("Case", 24),
        numeric("Force", 11, display.unit("force")),
        numeric("Moment", 11, display.unit("moment")),
        numeric("Ratio", 8),
        status(11),
        text("Remark", 24),
    ]
    return {
        "title": f"Study {study.study}: {study.watch}",
        "figure": _study_figure(sheets, study),
        "table": sheets.table(f"Study {study.study}, every combination", *without_empty(columns, rows)),
    }


def _study_figure(sheets: Sheets, study: Study) -> Figure | None:
    """A curve over one variable or a grid over two; with more the table stands alone."""
    if len(study.variables) not in (1, 2):
        return None
    return sheets.figure(f"Study {study.study}, highest ratio", study_picture(study), f"study-{study.study}")


def _change(a: Any) -> str:
    return f"{a.sheet} row {a.row}, {a.column}: {a.value}" if a.sheet and a.column else ""


MODES = (
    "Natural frequencies of each connected system with the masses of operation. Supports that are closed in the cold "
    "weight case hold both ways, open ones are left out, friction holds nothing."
)


def modes(sheets: Sheets) -> dict[str, Any] | None:
    """Natural frequencies, a row for each system; None where none were computed."""
    by_system: dict[str, list[str]] = {}
    for mode in sheets.results.modes:
        by_system.setdefault(mode.system, []).append(sheets.display.number("frequency", mode.frequency))
    if not by_system:
        return None
    most = max(map(len, by_system.values()))
    heads = [numeric(f"Mode {n}", 12, sheets.display.unit("frequency")) for n in range(1, most + 1)]
    rows = [[system, *found, *[fmt.NONE] * (most - len(found))] for system, found in by_system.items()]
    table = sheets.table("Natural frequencies", [text("Lines of the system", 60), *heads], rows)
    return {"method": MODES, "table": table, "remark": _slow(sheets)}


def _slow(sheets: Sheets) -> str:
    """Which systems swing more slowly than is usual; no verdict rests on it."""
    lowest: dict[str, float] = {}
    for mode in sheets.results.modes:
        lowest[mode.system] = min(mode.frequency, lowest.get(mode.system, mode.frequency))
    least = sheets.display.text("frequency", LEAST_FREQUENCY)
    slow = [f"{s} {sheets.display.text('frequency', f)}" for s, f in lowest.items() if f < LEAST_FREQUENCY]
    if not slow:
        return (
            f"No system lies below {least}, under which flow, machines or wind are a usual concern (common practice)."
        )
    return (
        f"Below {least}, where flow, machines or wind are a usual concern (common practice): {', '.join(slow)}. "
        "No verdict rests on it; more guides or stops raise them."
    )


def cautions() -> dict[str, Any]:
    """Content of the cautions chapter."""
    return {"cautions": CAUTIONS}


def traceability(sheets: Sheets, trace: Trace, attached: bool) -> dict[str, Any]:
    """Content of the traceability chapter."""
    warnings = [[str(m.address), m.severity.value, _message(m)] for m in sheets.results.messages if _listed(m)]
    facts = [
        ("Workbook", trace.workbook),
        ("SHA-256 of the workbook", trace.sha256),
        ("Computed with", f"pipecalc {trace.tool_version}"),
        ("Libraries", ", ".join(f"{name} {version}" for name, version in trace.libraries)),
        ("Date of the document", trace.issued.isoformat()),
    ]
    columns = (text("Cell", 16), text("Severity", 10), text("Message", 80))
    return {
        "facts": facts,
        "attached": attached,
        "messages": sheets.table("Warnings of the reading and the calculation", columns, warnings),
    }


def _listed(message: Any) -> bool:
    return bool(message.severity.value == "warning")


def _message(m: Any) -> str:
    return "; ".join(part for part in (m.found, m.accepted, m.hint) if part)
