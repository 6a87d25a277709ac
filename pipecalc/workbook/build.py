"""Rows -> model: the plant, placed in space, with every problem of geometry and of tables found on the way."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import chain
from typing import Any

import numpy as np

from pipecalc.checks.stress import codes
from pipecalc.model import (
    Line,
    Nozzle,
    Plant,
    PointLoad,
    Project,
    Revision,
    Segment,
    Support,
    Vector,
)
from pipecalc.problems import Problem, Problems, Severity, error, note
from pipecalc.schema.sheets import sheet
from pipecalc.workbook.building.equipment import build_allowables, build_equipment, build_nozzles
from pipecalc.workbook.building.lines import build_lines, check_ends, open_ends, point_key
from pipecalc.workbook.building.materials import build_materials
from pipecalc.workbook.building.placing import Key
from pipecalc.workbook.building.site_loads import seismic_coefficients
from pipecalc.workbook.building.states import build_states
from pipecalc.workbook.building.tables import check_tables
from pipecalc.workbook.rows import Book, Row


@dataclass(frozen=True, slots=True)
class Built:
    """What building gave: the plant, or None where there are errors, and all problems."""

    plant: Plant | None
    problems: tuple[Problem, ...]


def build(book: Book, earlier: Iterable[Problem] = ()) -> Built:
    """The plant from the rows.

    Args:
        book: Rows as read, those with errors marked.
        earlier: Problems of reading and of the rules between rows; a plant is returned only where they too
            hold no error.

    Returns:
        The plant and the problems of building alone.
    """
    problems = Problems()
    sound = not book.project.bad
    project = build_project(book.project if sound else stand_in(book.project), problems)
    problems.extend(_code_problems(project, book.project))
    materials = build_materials(book, project.steel_density, problems, project.code)
    equipment = build_equipment(book, materials)
    nozzles = _join_nozzles(build_nozzles(book, equipment), book, problems)
    placed = build_lines(book, project, materials, nozzles, problems)
    supports = _supports(book, placed.lines, placed.points, project)
    loads = _point_loads(book, placed.points)
    states = build_states(book, placed.lines, equipment, problems)
    held = {point_key(str(r["line"]), str(r["point"])) for r in book.rows["Supports"] if r["line"] and r["point"]}
    check_ends(placed, nozzles, held, problems)
    if "installation_temperature" not in book.project.bad:
        check_tables(project, placed.lines, equipment, states, problems)
    _note_defaults(book, problems)
    if not sound or problems.errors or any(p.severity is Severity.ERROR for p in earlier):
        return Built(None, tuple(problems))
    plant = Plant(
        project=project,
        revisions=tuple(_revision(row) for row in book.rows["Revisions"] if not row.bad),
        lines=placed.lines,
        equipment=equipment,
        nozzles=nozzles,
        allowables=build_allowables(book),
        supports=supports,
        states=states,
        point_loads=loads,
        points=placed.points,
        spring_table=tuple(dict(row.values) for row in book.rows["Spring table"] if not row.bad),
        nozzle_at={nozzle.point: name for name, nozzle in nozzles.items() if nozzle.point},
    )
    return Built(plant, tuple(problems))


def stand_in(row: Row) -> Row:
    """The Project sheet with defaults where it has errors, so that errors of geometry are found all the same.

    Nothing is computed from it: a plant is built from a sound sheet only.
    """
    declared = {column.key: column for column in sheet("Project").inputs}
    values = dict(row.values)
    for key in row.bad & values.keys():
        values[key] = declared[key].default
    return replace(row, values=values)


def _code_problems(project: Project, row: Row) -> Iterator[Problem]:
    """An edition that the code does not have."""
    if row.bad & {"code", "edition"}:
        return
    editions = codes()[project.code].editions
    if project.edition not in editions:
        found = f"{project.code} has no edition {project.edition} here"
        yield error("edition-unknown", row.address("edition"), found, ", ".join(editions))


_TEXTS = (
    "title",
    "client",
    "site",
    "document_number",
    "revision",
    "prepared_by",
    "checked_by",
    "approved_by",
)
_YES_NO = ("use_sustained_margin", "pressure_stiffening", "shear_deformation")


def build_project(row: Row, problems: Problems) -> Project:
    """The Project sheet as a record."""
    seismic = seismic_coefficients(row, problems)
    texts: dict[str, Any] = {key: row[key] or "" for key in _TEXTS}
    choices: dict[str, Any] = {key: _is_yes(row[key]) for key in _YES_NO}
    return Project(
        **texts,
        **choices,
        issued=row["date"],
        code=row["code"],
        edition=str(row["edition"]),
        units=row["units"],
        installation_temperature=row["installation_temperature"],
        seismic_horizontal=seismic.horizontal,
        seismic_vertical=seismic.vertical,
        wind_pressure=row["wind_pressure"],
        wind_shape_factor=row["wind_shape_factor"],
        friction=row["friction"],
        elbow=row["elbow"],
        cycles=row["cycles"],
        limit_nozzle=row["limit_nozzle"],
        limit_sag=row["limit_sag"],
        limit_spring_variation=row["limit_spring_variation"],
        intensification=row["intensification"],
        modulus_for_reactions=row["modulus_for_reactions"],
        steel_density=row["steel_density"],
        free_nozzles=row["spring_balance"] == "nozzles freed",
        source=row.address(),
    )


def _is_yes(value: object) -> bool:
    return value is True or value == "yes"


def _revision(row: Row) -> Revision:
    return Revision(
        mark=str(row["revision"]),
        issued=row["date"],
        description=row["description"] or "",
        prepared_by=row["prepared_by"] or "",
        checked_by=row["checked_by"] or "",
        approved_by=row["approved_by"] or "",
    )


def _join_nozzles(nozzles: Mapping[str, Nozzle], book: Book, problems: Problems) -> dict[str, Nozzle]:
    """Nozzles without Line and Point take them from the line that names them as From or To."""
    ends = _line_ends(book)
    joined = dict(nozzles)
    for row in book.rows["Lines"]:
        for key in ("from_", "to"):
            tag = row.values.get(key)
            found = ends.get((str(row.values.get("line")), key))
            if tag not in joined or not found:
                continue
            nozzle = joined[tag]
            if nozzle.point is None:
                joined[tag] = replace(nozzle, point=found[0])
            elif nozzle.point not in found and not row.bad:
                problems.add(_nozzle_elsewhere(row, key, nozzle, found[0]))
    return joined


def _line_ends(book: Book) -> dict[tuple[str, str], list[Key]]:
    """Points where each line may begin (``from_``) and end (``to``), the likeliest first; row order does not matter."""
    runs: dict[str, list[tuple[Key, Key]]] = defaultdict(list)
    for row in book.rows["Segments"]:
        line = str(row.values.get("line"))
        if row.values.get("from_") and row.values.get("to"):
            runs[line].append((point_key(line, str(row["from_"])), point_key(line, str(row["to"]))))
    found: dict[tuple[str, str], list[Key]] = {}
    for line, pairs in runs.items():
        heads, tails = open_ends(pairs)
        found[line, "from_"] = heads or tails[1:] or [pairs[0][0]]
        found[line, "to"] = tails or heads[1:] or [pairs[-1][1]]
    return found


def _nozzle_elsewhere(row: Row, key: str, nozzle: Nozzle, end: Key) -> Problem:
    assert nozzle.point is not None  # noqa: S101 - asked by the caller
    return error(
        "nozzle-elsewhere",
        row.address(key),
        f"line {row['line']} names nozzle {nozzle.name} here, but its point is {end[0]}/{end[1]} while "
        f"{nozzle.source} puts the nozzle at {nozzle.point[0]}/{nozzle.point[1]}",
        "the same point in both places",
    )


def _supports(
    book: Book, lines: Mapping[str, Line], points: Mapping[Key, Vector], project: Project
) -> dict[str, Support]:
    directions = _pipe_directions(lines)
    made = {}
    for row in book.rows["Supports"]:
        key = point_key(str(row.values.get("line")), str(row.values.get("point")))
        if not row.bad and key in points and key in directions:
            made[str(row["support"])] = _support(row, key, points[key], directions[key], project)
    return made


def _pipe_directions(lines: Mapping[str, Line]) -> dict[Key, Vector]:
    """Direction of the pipe at each point: of the run that ends there, else of the run that begins there.

    Runs of the point's own line come first, so that a branch that ends on a header does not decide for the header.
    """
    directions: dict[Key, Vector] = {}
    segments = [segment for line in lines.values() for segment in line.segments if segment.length]
    for own in (True, False):
        for key, segment in chain([(s.end_key, s) for s in segments], [(s.start_key, s) for s in segments]):
            if (key[0] == segment.line) is own:
                directions.setdefault(key, _unit(segment))
    return directions


def _unit(segment: Segment) -> Vector:
    unit = np.asarray(segment.vector) / segment.length
    return (float(unit[0]), float(unit[1]), float(unit[2]))


def _support(row: Row, key: Key, at: Vector, pipe_direction: Vector, project: Project) -> Support:
    return Support(
        name=str(row["support"]),
        point=key,
        at=at,
        pipe_direction=pipe_direction,
        type=row["type"],
        direction=row["direction"],
        gap=row["gap"] or 0.0,
        friction=project.friction if row["friction"] is None else row["friction"],
        stiffness=row["stiffness"],
        attached_to=row["attached_to"] or "structure",
        spring_rate=row["spring_rate"],
        spring_load=row["spring_load"],
        allowable_vertical=row["allowable_vertical"],
        allowable_horizontal=row["allowable_horizontal"],
        remark=row["remark"] or "",
        source=row.address(),
        attachment_radius=row["attachment_radius"],
        attachment_arm=row["attachment_arm"],
    )


def _point_loads(book: Book, points: Mapping[Key, Vector]) -> tuple[PointLoad, ...]:
    rows = [row for row in book.rows["Point loads"] if not row.bad]
    keyed = [(row, point_key(str(row["line"]), str(row["point"]))) for row in rows]
    return tuple(_point_load(row, key, points[key]) for row, key in keyed if key in points)


def _point_load(row: Row, key: Key, at: Vector) -> PointLoad:
    return PointLoad(
        name=str(row["load"]),
        point=key,
        at=at,
        mass=row["mass"] or 0.0,
        force=(row["force_east"] or 0.0, row["force_north"] or 0.0, row["force_up"] or 0.0),
        moment=(row["moment_east"] or 0.0, row["moment_north"] or 0.0, row["moment_up"] or 0.0),
        acts_in=row["acts_in"],
        source=row.address(),
    )


def _note_defaults(book: Book, problems: Problems) -> None:
    """Defaults that the reader took are assumptions; one note for each sheet and column."""
    taken: dict[tuple[str, str], list[Row]] = defaultdict(list)
    for row in chain(*book.rows.values(), (book.project,)):
        for key in row.assumed:
            taken[row.sheet, key].append(row)
    for (title, key), rows in taken.items():
        column = sheet(title).column(key)
        if column.reports_default:
            where = "" if len(rows) == 1 else f" in {len(rows)} rows"
            problems.add(
                note(
                    "default-taken",
                    rows[0].address(key),
                    f"{column.title} left blank{where}",
                    shown_default(title, key),
                    "the default of the column",
                )
            )


def shown_default(title: str, key: str) -> str:
    """A column's default in the units of an SI workbook, in words."""
    column = sheet(title).column(key)
    if column.dimension is None or not isinstance(column.default, int | float):
        return str(column.default)
    from pipecalc.units import convert_out

    value = float(convert_out(column.default, column.si, column.dimension)) if column.si else column.default
    return f"{value:g} {column.si}".rstrip()
