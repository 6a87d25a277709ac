"""Lines and segments from their rows: sections, points, positions, turns."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from pipecalc import fluid, pipe_sizes
from pipecalc.model import (
    FlangeFacts,
    Item,
    Joint,
    Line,
    Nozzle,
    OwnFactors,
    Project,
    Section,
    Segment,
    Vector,
)
from pipecalc.problems import Problem, Problems, error, warning
from pipecalc.workbook.building.equipment import group_number
from pipecalc.workbook.building.materials import MaterialBook
from pipecalc.workbook.building.placing import Key, Seed, Step, place
from pipecalc.workbook.building.turns import set_turns
from pipecalc.workbook.cells import Tolerance
from pipecalc.workbook.rows import Book, Row

ZERO: Vector = (0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True)
class PlacedLines:
    """Lines by name, the position of every point, and the lines of which something is missing because of an error."""

    lines: Mapping[str, Line]
    points: Mapping[Key, Vector]
    incomplete: frozenset[str] = frozenset()


def build_lines(
    book: Book, project: Project, materials: MaterialBook, nozzles: Mapping[str, Nozzle], problems: Problems
) -> PlacedLines:
    """Lines with their segments placed in space and their turns set."""
    segment_rows: dict[str, list[Row]] = defaultdict(list)
    for row in book.rows["Segments"]:
        if not row.bad:
            segment_rows[str(row["line"])].append(row)
    line_rows = {str(r["line"]): r for r in book.rows["Lines"] if not r.bad}
    bare = {}
    for name, row in line_rows.items():
        made = _line(row, project, materials, problems)
        if made is not None:
            bare[name] = replace(made, segments=_segments(made, segment_rows[name], materials, problems))
    incomplete = incomplete_lines(book, bare)
    at = place(_steps(bare.values()), _seeds(bare.values(), line_rows, nozzles), problems, incomplete)
    placed = {name: _placed(line, at) for name, line in bare.items()}
    turned = set_turns(placed, _typed_turns(segment_rows), project, problems, incomplete)
    return PlacedLines(turned, at, incomplete)


def incomplete_lines(book: Book, built: Mapping[str, Line]) -> frozenset[str]:
    """Lines of which something is missing because a row has an error: what follows from that is not said again."""
    found = {str(r["line"]) for r in book.rows["Lines"] if r.bad and r["line"]}
    found |= {name for r in book.rows["Segments"] if r.bad for name in _lines_named(r)}
    found |= {str(r["line"]) for r in book.rows["Nozzles"] if r.bad and r["line"]}
    missing = {str(r["nozzle"]) for r in book.rows["Nozzles"] if r.bad and r["nozzle"]}
    items = {str(r["equipment"]) for r in book.rows["Equipment"] if r.bad and r["equipment"]}
    missing |= {str(r["nozzle"]) for r in book.rows["Nozzles"] if r["equipment"] in items}
    found |= {str(r["line"]) for r in book.rows["Nozzles"] if r["equipment"] in items and r["line"]}
    found |= {str(r["line"]) for r in book.rows["Lines"] if {r["from_"], r["to"]} & missing}
    counts = Counter(str(r["line"]) for r in book.rows["Segments"] if not r.bad)
    rows = {str(r["line"]): counts[str(r["line"])] for r in book.rows["Lines"]}
    found |= {name for name, line in built.items() if len(line.segments) < rows.get(name, 0)}
    if any(r.bad and r["line"] is None for r in book.rows["Segments"]):
        found |= set(rows)
    return _with_joined(found, book)


def _lines_named(row: Row) -> set[str]:
    """The line of a row of segments and those its points belong to."""
    line = str(row["line"])
    return {line, *(point_key(line, str(row[key]))[0] for key in ("from_", "to") if row[key])}


def _with_joined(found: set[str], book: Book) -> frozenset[str]:
    """Lines with those that join them, however many joints away: they may take their place from them."""
    joined = [_lines_named(row) for row in book.rows["Segments"] if row["line"]]
    pairs = [names for names in joined if len(names) > 1]
    grown = set(found)
    while True:
        more = {name for names in pairs if names & grown for name in names} - grown
        if not more:
            return frozenset(grown)
        grown |= more


def point_key(line: str, typed: str) -> Key:
    """``LINE/POINT`` names another line's point; anything else a point of this line."""
    other, slash, point = typed.rpartition("/")
    return (other.strip(), point.strip()) if slash else (line, typed.strip())


def _line_section(row: Row) -> Section | None:
    """Section of a line: its own diameter and wall first, then size and schedule; None where it is not defined."""
    nps, schedule = row["nps"], row["schedule"]
    try:
        diameter = row["outside_diameter"]
        if diameter is None:
            diameter = pipe_sizes.outside_diameter(nps, schedule or "STD")
        wall = pipe_sizes.wall(nps, schedule) if row["wall"] is None else row["wall"]
    except (pipe_sizes.UnknownSizeError, TypeError):
        return None  # the rules between rows have said so
    return Section(diameter, wall, nps, schedule or "")


def _line(row: Row, project: Project, materials: MaterialBook, problems: Problems) -> Line | None:
    material = materials.find(str(row["material"]))
    section = _line_section(row)
    if material is None or section is None:
        return None
    tolerance = row["mill_tolerance"]
    is_length = isinstance(tolerance, Tolerance) and tolerance.is_length
    share = tolerance.value if isinstance(tolerance, Tolerance) else float(tolerance)
    pressure = row["design_pressure"] if row["operating_pressure"] is None else row["operating_pressure"]
    word = row["fluid_density"] if isinstance(row["fluid_density"], str) else ""
    return Line(
        name=str(row["line"]),
        service=row["service"] or "",
        from_=row["from_"] or "",
        to=row["to"] or "",
        section=section,
        material=material,
        corrosion_allowance=row["corrosion_allowance"],
        mill_tolerance=0.0 if is_length else share,
        mill_tolerance_length=share if is_length else None,
        weld_factor=row["weld_factor"],
        fluid_density=_density(row, word, row["operating_temperature"], pressure, problems),
        fluid=word,
        insulation_thickness=row["insulation_thickness"],
        insulation_density=row["insulation_density"],
        design_temperature=row["design_temperature"],
        design_pressure=row["design_pressure"],
        operating_temperature=row["operating_temperature"],
        operating_pressure=pressure,
        test_pressure=row["test_pressure"],
        cycles=project.cycles if row["cycles"] is None else row["cycles"],
        remark=row["remark"] or "",
        segments=(),
        source=row.address(),
        flange=FlangeFacts(
            row["flange_class"] or "",
            group_number(row["flange_group"]),
            row["flange_type"] or "",
            row["bolt_allowable"],
        ),
        weld_strength=row["weld_strength"],
    )


def _density(row: Row, word: str, temperature: float, pressure: float, problems: Problems) -> float:
    if not word:
        return float(row["fluid_density"])
    try:
        return fluid.density(word, temperature, pressure)
    except ValueError as reason:
        problems.add(
            error(
                "density-phase",
                row.address("fluid_density"),
                f"{word}: {reason}",
                "a density with unit, or another word",
            )
        )
        return 0.0


def _segments(line: Line, rows: Sequence[Row], materials: MaterialBook, problems: Problems) -> tuple[Segment, ...]:
    """Segments in the order of the rows; the section is handed on from run to run along the line."""
    sections: dict[Key, Section] = {}
    made: dict[int, Segment] = {}
    for number, row in _along_the_line(line.name, rows):
        start = point_key(line.name, str(row["from_"] or ""))
        before = sections.get(start, line.section)
        segment = _segment(line, row, start, before, materials, problems)
        if segment is not None:
            sections[segment.end_key] = segment.end_section if segment.item is Item.REDUCER else before
            made[number] = segment
    return tuple(made[number] for number in sorted(made))


def _along_the_line(line: str, rows: Sequence[Row]) -> Iterator[tuple[int, Row]]:
    """Rows with their numbers, each after the rows that lead to its start, whatever their order on the sheet."""
    waiting = {number: (row, *_ends(line, row)) for number, row in enumerate(rows)}
    ahead = Counter(end for _, _, end in waiting.values())
    from_here: dict[Key, list[int]] = defaultdict(list)
    for number, (_, start, _) in waiting.items():
        from_here[start].append(number)
    ready = [number for number, (_, start, _) in waiting.items() if not ahead[start]]
    while waiting:
        following: set[int] = set()
        for number in ready or [next(iter(waiting))]:
            row, _, end = waiting.pop(number)
            yield number, row
            ahead[end] -= 1
            if not ahead[end]:
                following.update(from_here[end])
        ready = sorted(following & waiting.keys())


def _ends(line: str, row: Row) -> tuple[Key, Key]:
    return point_key(line, str(row["from_"] or "")), point_key(line, str(row["to"]))


def _segment(
    line: Line, row: Row, start: Key, before: Section, materials: MaterialBook, problems: Problems
) -> Segment | None:
    material = materials.find(str(row["material"])) if row["material"] else line.material
    item = Item(row["item"])
    try:
        section, end_section = _segment_sections(row, item, before)
    except pipe_sizes.UnknownSizeError as unknown:
        hint = "a schedule that the size has, or a wall thickness"
        problems.add(error("section-unknown", row.address("schedule"), str(unknown), hint))
        return None
    for pipe in {section, end_section}:
        if pipe.wall >= pipe.outside_diameter / 2 or line.corrosion_allowance >= pipe.wall:
            problems.add(_no_pipe_left(row, line, pipe))
            return None
    if material is None:
        return None
    end = point_key(line.name, str(row["to"]))
    return Segment(
        line=line.name,
        start=start[1],
        end=end[1],
        start_key=start,
        end_key=end,
        start_at=ZERO,
        end_at=(row["east"], row["north"], row["up"]),
        item=item,
        section=section,
        end_section=end_section,
        material=material,
        mass=row["mass"] or 0.0,
        temperature=row["temperature"],
        turn=None,
        branch="" if row["branch"] in (None, "none") else row["branch"],
        pad_thickness=row["pad_thickness"] or 0.0,
        pad_width=row["pad_width"],
        flanged_ends=int(row["flanged_ends"] or 0),
        weld=row["weld"] or "",
        own=OwnFactors(row["own_i_in"], row["own_i_out"], row["own_k"]),
        joint=_joint(row) if item is Item.EXPANSION_JOINT else None,
        remark=row["remark"] or "",
        source=row.address(),
        flange=_flange(row, line) if item is Item.FLANGE else FlangeFacts(),
    )


def _flange(row: Row, line: Line) -> FlangeFacts:
    """The flange of a row; what it leaves blank is the line's."""
    group = group_number(row["flange_group"]) or line.flange.group
    return replace(line.flange, pressure_class=row["flange_class"] or line.flange.pressure_class, group=group)


def _no_pipe_left(row: Row, line: Line, pipe: Section) -> Problem:
    return error(
        "wall-misfits",
        row.address("wall" if row["wall"] is not None else "schedule"),
        f"a wall of {pipe.wall * 1e3:.4g} mm does not fit a pipe of {pipe.outside_diameter * 1e3:.4g} mm "
        f"with a corrosion allowance of {line.corrosion_allowance * 1e3:.4g} mm",
        "less than half the outside diameter, and more than the corrosion allowance",
    )


def _segment_sections(row: Row, item: Item, before: Section) -> tuple[Section, Section]:
    """Sections at start and end of a run; what the row does not say goes on from the run before.

    Raises:
        UnknownSizeError: No wall is known for size and schedule.
    """
    schedule = row["schedule"] or before.schedule
    if item is Item.REDUCER:
        nps = row["nps_at_to"]
        wall = row["wall"] if row["wall"] is not None else _wall_of(nps, schedule)
        return before, Section(pipe_sizes.outside_diameter(nps, schedule or "STD"), wall, nps, schedule)
    if row["wall"] is not None:
        changed = replace(before, wall=row["wall"], schedule=row["schedule"] or "")
    elif row["schedule"]:
        changed = replace(before, wall=_wall_of(before.nps, schedule), schedule=schedule)
    else:
        changed = before
    return changed, changed


def _wall_of(nps: float | None, schedule: str) -> float:
    if nps is None or not schedule:
        size = "a pipe given by its diameter" if nps is None else f"NPS {nps:g}"
        raise pipe_sizes.UnknownSizeError(f"no wall is known for {size}, schedule {schedule or 'not given'}")
    return pipe_sizes.wall(nps, schedule)


def _joint(row: Row) -> Joint:
    return Joint(
        row["joint_axial"] or 0.0,
        row["joint_lateral"] or 0.0,
        row["joint_angular"] or 0.0,
        row["joint_area"] or 0.0,
    )


def _steps(lines: Iterable[Line]) -> list[Step]:
    return [Step(s.start_key, s.end_key, s.vector, s.source) for line in lines for s in line.segments]


def _seeds(lines: Iterable[Line], rows: Mapping[str, Row], nozzles: Mapping[str, Nozzle]) -> list[Seed]:
    """Known positions: for each line first the nozzle it starts at, then its start point, then its other nozzles."""
    at_nozzles: dict[str, list[Nozzle]] = defaultdict(list)
    for nozzle in nozzles.values():
        if nozzle.point is not None:
            at_nozzles[nozzle.point[0]].append(nozzle)
    seeds: list[Seed] = []
    for line in lines:
        heads = open_ends([(s.start_key, s.end_key) for s in line.segments])[0]
        own = sorted(at_nozzles[line.name], key=lambda n: (n.name != line.from_, n.point not in heads))
        found = [Seed(n.point, n.at, f"nozzle {n.name}", n.source) for n in own if n.point is not None]
        start = _start_seed(rows[line.name], line.name)
        begins_at_nozzle = bool(own) and (own[0].name == line.from_ or own[0].point in heads)
        seeds += [*found[:1], *start, *found[1:]] if begins_at_nozzle else [*start, *found]
    return seeds


def open_ends(runs: Sequence[tuple[Key, Key]]) -> tuple[list[Key], list[Key]]:
    """Points of a line that one run alone touches: those that runs start from, and those that they lead to.

    The first are in the order of the rows, the second in the opposite one.
    """
    uses = Counter(key for run in runs for key in run)
    starts = [start for start, _ in runs if uses[start] == 1]
    return starts, [end for _, end in reversed(runs) if uses[end] == 1]


def _start_seed(row: Row, line: str) -> list[Seed]:
    at = (row["start_east"], row["start_north"], row["start_up"])
    if row["start_point"] is None or None in at:
        return []
    return [
        Seed(
            point_key(line, str(row["start_point"])),
            at,
            f"start point {row['start_point']}",
            row.address("start_point"),
        )
    ]


def _placed(line: Line, at: Mapping[Key, Vector]) -> Line:
    segments = tuple(
        replace(s, start_at=at[s.start_key], end_at=at[s.end_key])
        for s in line.segments
        if s.start_key in at and s.end_key in at
    )
    return replace(line, segments=segments)


def _typed_turns(rows: Mapping[str, Sequence[Row]]) -> dict[str, Row]:
    """Segment rows by the address of the row, for what the turn needs."""
    return {str(row.address()): row for grouped in rows.values() for row in grouped}


def check_ends(placed: PlacedLines, nozzles: Mapping[str, Nozzle], held: set[Key], problems: Problems) -> None:
    """Every end of a line should be held by something; an end that is not is said."""
    at_nozzles = {nozzle.point for nozzle in nozzles.values() if nozzle.point}
    uses: dict[Key, int] = defaultdict(int)
    for line in placed.lines.values():
        for segment in line.segments:
            uses[segment.start_key] += 1
            uses[segment.end_key] += 1
    for line in placed.lines.values():
        for segment in line.segments if line.name not in placed.incomplete else ():
            for key, side in ((segment.start_key, "from_"), (segment.end_key, "to")):
                if uses[key] == 1 and key not in at_nozzles and key not in held:
                    problems.add(_dangling(segment, key, side))


def _dangling(segment: Segment, key: Key, side: str) -> Problem:
    return warning(
        "point-dangling",
        segment.source,
        f"point {key[0]}/{key[1]} ends in nothing: neither a nozzle, nor another line, nor a support "
        f"({side.strip('_')})",
        "Line and Point of a nozzle, LINE/POINT of another line, or a support; an open end may stay so",
    )
