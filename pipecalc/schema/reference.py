"""The schema in words: the column reference of the README, and the sentences shown as cell notes."""

from collections.abc import Iterator

from pipecalc.schema.column import Column, Kind, Sheet
from pipecalc.schema.sheets import SHEETS, declared

#: The README holds the reference between these two lines.
BEGIN = "<!-- column reference: begin -->"
END = "<!-- column reference: end -->"

_KINDS = {
    Kind.TEXT: "text",
    Kind.TAG: "a name",
    Kind.NUMBER: "number",
    Kind.COUNT: "whole number",
    Kind.DATE: "date",
    Kind.NPS: "NPS as number or fraction (6, 1 1/2), or DN 150",
    Kind.SCHEDULE: "schedule (40, STD, XS, 10S)",
    Kind.DIRECTION: '"+E", "-N", "+U", "az 30", "az 30 el -15" or "0.6, 0.8, 0"',
    Kind.TOLERANCE: "share of the wall, or a length with its own unit",
    Kind.VALUES: '"a; b; c" or "from : to : step"',
}
_HEAD = "| Title | Meaning | Unit SI | Unit US | Required | Accepted | Limits |\n|---|---|---|---|---|---|---|"


def column_reference() -> str:
    """Markdown: one section per sheet with a table of its input columns, then the titles of its results."""
    return "\n\n".join(_section(sheet) for sheet in SHEETS) + "\n"


def with_reference(text: str) -> str:
    """A document with the reference renewed between its two marker lines.

    Raises:
        ValueError: A marker is missing, or they stand the wrong way round.
    """
    before, begin, rest = text.partition(BEGIN)
    _, end, after = rest.partition(END)
    if not (begin and end):
        raise ValueError(f"the document needs the lines {BEGIN} and {END}")
    return f"{before}{BEGIN}\n\n{column_reference()}\n{END}{after}"


def accepted(column: Column) -> str:
    """What a cell of the column may hold, in words."""
    if column.kind in (Kind.CHOICE, Kind.YES_NO):
        return " / ".join(column.words)
    if column.kind is Kind.DENSITY:
        return "number, or " + ", ".join(column.words)
    if column.kind in (Kind.REFERENCE, Kind.CHOICES):
        return _named(column)
    return _KINDS[column.kind]


def limits(column: Column) -> str:
    """Possible and usual range of a number in the SI unit of the column; empty where there is none."""
    possible = _range(column.low, column.high, ">" if column.above_low else "≥")
    usual = _range(column.usual_low, column.usual_high, "≥")
    return "; ".join(part for part in (possible, f"usually {usual}" if usual else "") if part)


def default(column: Column) -> str:
    """What is taken where the cell is empty, as it would be typed in the SI unit; empty where nothing is."""
    if isinstance(column.default, str) or column.default is None:
        return column.default or ""
    if column.dimension is None or not column.si:
        return f"{column.default:g}"
    from pipecalc.units import convert_out

    return f"{float(convert_out(column.default, column.si, column.dimension)):.6g} {column.si}"


def _named(column: Column) -> str:
    kinds = [f"a name of {sheet.title} ({source.title})" for sheet, source in map(declared, column.refers_to)]
    if "Materials.material" in column.refers_to:
        kinds.append("a name of the built-in library")
    several = ', ";" between several' if column.kind is Kind.CHOICES else ""
    return ", or ".join([*column.words, *kinds]) + several


def _range(low: float | None, high: float | None, at_least: str) -> str:
    if low is not None and high is not None:
        return f"{at_least} {low:g} and ≤ {high:g}"
    if low is not None:
        return f"{at_least} {low:g}"
    return f"≤ {high:g}" if high is not None else ""


def _section(sheet: Sheet) -> str:
    parts = [f"### {sheet.title}{'' if sheet.required else ' (optional)'}", sheet.meaning]
    parts.append("\n".join([_HEAD, *(_row(column) for column in sheet.inputs)]))
    if sheet.results:
        parts.append("Results: " + " · ".join(_results(sheet)) + ".")
    return "\n\n".join(parts)


def _results(sheet: Sheet) -> Iterator[str]:
    for column in sheet.results:
        unit = f" [{column.si}, {column.us}]" if column.si else ""
        yield _escaped(column.title.removeprefix("Result: ") + unit)


def _row(column: Column) -> str:
    meaning = column.meaning
    if default(column):
        meaning += f" Where blank: {default(column)}."
    cells = (
        f"**{column.title}**" if column.required else column.title,
        meaning,
        column.si,
        column.us,
        "yes" if column.required else "",
        accepted(column),
        limits(column),
    )
    return "| " + " | ".join(_escaped(cell) for cell in cells) + " |"


def _escaped(cell: str) -> str:
    return cell.replace("|", "\\|").replace("\n", " ")
