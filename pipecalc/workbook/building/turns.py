"""Turns at points: which elbow, what radius, and whether it fits into the legs."""

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import replace
from math import acos, degrees, tan

import numpy as np

from pipecalc.model import Item, Line, Project, Segment, Turn
from pipecalc.problems import Problem, Problems, Severity, error, note, warning
from pipecalc.tables import elbow_radius
from pipecalc.workbook.building.placing import Key
from pipecalc.workbook.rows import Row

#: Below this change of direction the line runs straight on [rad].
STRAIGHT = np.radians(0.5)
_BACK = np.radians(179.5)
_FITS = 1e-6  # of play when a tangent is compared with a leg [m]


def set_turns(
    lines: Mapping[str, Line],
    rows: Mapping[str, Row],
    project: Project,
    problems: Problems,
    incomplete: Collection[str] = (),
) -> dict[str, Line]:
    """Lines with the turn of every segment's end set, and problems where an elbow does not fit.

    Runs without a length are passed over: the rules between rows have said so. What follows from missing rows of an
    incomplete line is not said again.
    """
    made = {}
    meeting = _meeting(lines)
    for name, line in lines.items():
        found = Problems()
        following = _following(line)
        segments = tuple(
            replace(s, turn=_turn(s, following[s.end_key], meeting, rows[str(s.source)], project, found))
            if s.length
            else s
            for s in line.segments
        )
        _check_heads(line, meeting, found)
        made[name] = replace(line, segments=segments)
        problems.extend(p for p in found if name not in incomplete or p.severity is Severity.NOTE)
    _check_tangents(made, problems)
    return made


def _following(line: Line) -> dict[Key, list[Segment]]:
    """Segments of the line that go on from a point."""
    starts: dict[Key, list[Segment]] = defaultdict(list)
    for segment in line.segments:
        if segment.length:
            starts[segment.start_key].append(segment)
    return starts


def _meeting(lines: Mapping[str, Line]) -> dict[Key, list[Segment]]:
    """Segments of all lines that meet at a point."""
    found: dict[Key, list[Segment]] = defaultdict(list)
    for line in lines.values():
        for segment in line.segments:
            if segment.length:
                found[segment.start_key].append(segment)
                found[segment.end_key].append(segment)
    return found


def _check_heads(line: Line, meeting: Mapping[Key, list[Segment]], problems: Problems) -> None:
    """Where runs do not lead on from each other, or two lines meet, no row says what elbow a corner is."""
    for segment in line.segments:
        for key in (segment.start_key, segment.end_key):
            both = meeting[key]
            if len(both) != 2 or both[1] is not segment:
                continue
            first = both[0]
            head_to_tail = first.line == segment.line and (first.end_key == key) != (segment.end_key == key)
            if not head_to_tail and _corner(first, segment, key) > STRAIGHT:
                problems.add(_corner_problem(first, segment, key))


def _corner(first: Segment, second: Segment, key: Key) -> float:
    """Change of direction from one run to the other through a point [rad]."""
    angle = change_of_direction(first, second)
    return angle if (first.end_key == key) != (second.end_key == key) else float(np.pi) - angle


def _corner_problem(first: Segment, second: Segment, key: Key) -> Problem:
    place = f"{key[0]}/{key[1]}"
    if first.line == second.line:
        return error(
            "run-reversed",
            second.source,
            f"the runs {first.start} to {first.end} and {second.start} to {second.end} meet at {place} at an angle, "
            "but neither leads on from the other, so no row says how the line turns there",
            "runs that lead on from each other: exchange From and To of one, with its signs",
        )
    return warning(
        "corner-without-turn",
        second.source,
        f"lines {first.line} and {second.line} meet at {place} at an angle: taken as a sharp corner without an elbow, "
        "whose stress is not checked",
        "the elbow within one line",
        "let one line run past the corner",
    )


def change_of_direction(before: Segment, after: Segment) -> float:
    """Angle between two segments [rad]; 0 where the line runs straight on."""
    a, b = np.asarray(before.vector), np.asarray(after.vector)
    return acos(float(np.clip(a @ b / (np.linalg.norm(a) * np.linalg.norm(b)), -1.0, 1.0)))


def _turn(
    segment: Segment,
    following: list[Segment],
    meeting: Mapping[Key, list[Segment]],
    row: Row,
    project: Project,
    problems: Problems,
) -> Turn | None:
    typed = row["turn"]
    if len(following) != 1:
        if following or len(meeting[segment.end_key]) < 2:
            _unused(typed, row, "no single run of the line goes on from there", problems)
        elif typed and typed != "none":
            problems.add(_unused_at_border(typed, row))
        return None
    angle = change_of_direction(segment, following[0])
    if angle < STRAIGHT:
        _unused(typed, row, "the line runs straight on there", problems)
        return None
    if angle > _BACK:
        problems.add(_turns_back(segment, following[0]))
        return None
    if not typed and segment.branch:
        return None  # the header turns into the branch's place: a tee, no elbow
    kind = typed or project.elbow
    radius = _radius(segment, kind, row)
    if not np.isfinite(radius):
        problems.add(_no_such_elbow(segment, kind, row))
        return None
    if not typed:
        problems.add(
            note(
                "elbow-assumed",
                row.address("turn"),
                f"turn of {degrees(angle):.0f}° at {segment.line}/{segment.end}",
                str(kind),
                "the elbow of Project, since the row names none",
            )
        )
    return Turn(kind, radius, angle, int(row["mitre_cuts"] or 0), not typed)


def _turns_back(segment: Segment, following: Segment) -> Problem:
    return error(
        "turn-back",
        following.source,
        f"the run {following.start} to {following.end} leads back along {segment.start} to {segment.end}",
        "a turn of less than 180°",
        "two turns of 90° make a return",
    )


def _no_such_elbow(segment: Segment, kind: str, row: Row) -> Problem:
    return error(
        "elbow-unknown",
        row.address("turn"),
        f"no {kind} elbow is known for a pipe of {segment.end_section.outside_diameter * 1000:.4g} mm",
        "the turn 'bend' with a Bend radius",
    )


def _unused_at_border(typed: str, row: Row) -> Problem:
    return warning(
        "turn-unused", row.address("turn"), f"{typed!r} is not used: the run that goes on there belongs to another line"
    )


def _unused(typed: str | None, row: Row, why: str, problems: Problems) -> None:
    if typed and typed != "none":
        problems.add(warning("turn-unused", row.address("turn"), f"{typed!r} is not used: {why}"))


def _radius(segment: Segment, kind: str, row: Row) -> float:
    if kind == "none":
        return 0.0
    if row["bend_radius"] is not None:
        return float(row["bend_radius"])
    section = segment.end_section
    return elbow_radius(kind, section.nps, section.outside_diameter)


def tangent(turn: Turn | None) -> float:
    """Length from the intersection point to where the arc begins [m]."""
    return turn.radius * tan(turn.angle / 2.0) if turn and turn.radius else 0.0


def _check_tangents(lines: Mapping[str, Line], problems: Problems) -> None:
    for line in lines.values():
        arriving = {s.end_key: s for s in line.segments if s.turn is not None}
        for segment in line.segments:
            before = arriving.get(segment.start_key)
            at_start, at_end = tangent(before.turn if before else None), tangent(segment.turn)
            _check_fit(segment, at_start, at_end, problems)


def _check_fit(segment: Segment, at_start: float, at_end: float, problems: Problems) -> None:
    taken = at_start + at_end
    if not taken:
        return
    if segment.item is not Item.PIPE:
        problems.add(
            error(
                "turn-in-item",
                segment.source,
                f"the arc of a turn takes {taken * 1000:.0f} mm of {segment.line}/{segment.start} to {segment.end}, "
                f"which is a {segment.item}",
                "a piece of pipe beside every turn, at least as long as the arc's tangent",
            )
        )
    elif taken > segment.length + _FITS:
        problems.add(
            error(
                "turn-too-large",
                segment.source,
                f"{segment.line}/{segment.start} to {segment.end} is {segment.length * 1000:.0f} mm long, "
                f"but the arcs at its ends take {taken * 1000:.0f} mm",
                "a longer run, a smaller radius, or the turn 'none' for a sharp corner",
            )
        )
