"""Rules for the Lines sheet."""

from collections.abc import Iterator
from difflib import get_close_matches

from pipecalc.problems import Problem, error, warning
from pipecalc.workbook.rows import Row
from pipecalc.workbook.rules.view import View, title


def sections(view: View) -> Iterator[Problem]:
    """Every line needs a diameter and a wall that exist and fit each other."""
    for row in view.sound("Lines"):
        has_wall = row["wall"] is not None or (row["nps"] is not None and row["schedule"] is not None)
        if (row["nps"] is None and row["outside_diameter"] is None) or not has_wall:
            accepted = "NPS and Schedule, or Outside diameter and Wall thickness"
            key = "schedule" if row["nps"] is not None else "nps"
            yield error("section-missing", row.address(key), "the pipe's size is not complete", accepted)
        else:
            yield from _unlisted_pipe(row) or _wall_misfits(row)


def _unlisted_pipe(row: Row) -> list[Problem]:
    from pipecalc.pipe_sizes import UnknownSizeError, wall

    if row["wall"] is not None or row["nps"] is None or row["schedule"] is None:
        return []
    try:
        wall(row["nps"], row["schedule"])
    except UnknownSizeError as unknown:
        return [error("schedule-unknown", row.address("schedule"), str(unknown), "a schedule of that size")]
    return []


def _wall_misfits(row: Row) -> list[Problem]:
    from pipecalc import pipe_sizes

    diameter = row["outside_diameter"] or pipe_sizes.outside_diameter(row["nps"])
    wall = row["wall"] or pipe_sizes.wall(row["nps"], row["schedule"])
    if wall >= diameter / 2:
        found = f"a wall of {wall * 1e3:.4g} mm leaves no bore in a pipe of {diameter * 1e3:.4g} mm"
        return [error("wall-misfits", row.address("wall"), found, "less than half the outside diameter")]
    if row["corrosion_allowance"] >= wall:
        found = f"the corrosion allowance takes the whole wall of {wall * 1e3:.4g} mm"
        return [error("wall-misfits", row.address("corrosion_allowance"), found, "less than the wall")]
    return []


_START = ("start_point", "start_east", "start_north", "start_up")


def starts(view: View) -> Iterator[Problem]:
    """A start point needs its three coordinates, and coordinates need a point."""
    for row in view.sound("Lines"):
        missing = [key for key in _START if row[key] is None]
        if missing and len(missing) < len(_START):
            found = f"{' and '.join(title(row, k) for k in missing)} missing beside the other start values"
            accepted = "Start point with Start East, Start North and Start Up, or none of them"
            yield error("start-incomplete", row.address(missing[0]), found, accepted)


def ends(view: View) -> Iterator[Problem]:
    """A line does not start and end at the same place."""
    for row in view.sound("Lines"):
        if row["from_"] is not None and row["from_"] == row["to"]:
            found = f"the line starts and ends at {row['to']}"
            yield error("line-ends", row.address("to"), found, "two different ends")


def without_segments(view: View) -> Iterator[Problem]:
    """A line without a run; not said where a misspelt line on Segments explains it."""
    rows = view.book.rows["Segments"]
    if not rows:
        return  # an empty or unreadable sheet has been reported
    used = {r["line"] for r in rows}
    strangers = used - set(view.names("Lines.line"))
    for row in view.sound("Lines"):
        misspelt = None in strangers or get_close_matches(row["line"], [s for s in strangers if s], n=1)
        if row["line"] not in used and not misspelt:
            found = f"line {row['line']} has no segments"
            yield error("line-empty", row.address("line"), found, "at least one row on Segments")


def beyond_design(view: View) -> Iterator[Problem]:
    """Operation beyond design: the wall is checked for less than what happens."""
    for row in view.sound("Lines"):
        for operating, design in (
            ("operating_temperature", "design_temperature"),
            ("operating_pressure", "design_pressure"),
        ):
            if row[operating] is not None and row[operating] > row[design]:
                found = f"{title(row, operating)} {row.typed[operating]} is above {title(row, design)}"
                yield warning("beyond-design", row.address(operating), f"{found} {row.typed[design]}")


def insulation(view: View) -> Iterator[Problem]:
    """Insulation without density weighs nothing."""
    for row in view.sound("Lines"):
        if row["insulation_thickness"] and not row["insulation_density"]:
            found = "Insulation density is not given, so the insulation weighs nothing"
            yield warning("insulation-weightless", row.address("insulation_density"), found)
