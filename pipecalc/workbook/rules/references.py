"""Names: each declared once, each reference to a declared one, each point on its line."""

from collections.abc import Iterator

from pipecalc.problems import Problem, error
from pipecalc.schema.column import Column, Kind, Sheet
from pipecalc.schema.sheets import SHEETS, declared
from pipecalc.workbook.cells import suggestion
from pipecalc.workbook.rows import Row
from pipecalc.workbook.rules.view import View, listed, point_key, title

_POINTS = (("Supports", "point"), ("Point loads", "point"), ("Nozzles", "point"), ("Lines", "start_point"))
_ENDS = (("Lines", "from_"), ("Lines", "to"), ("Segments", "from_"), ("Segments", "to"))


def duplicates(view: View) -> Iterator[Problem]:
    """Names that must not repeat."""
    for sheet in SHEETS:
        first: dict[tuple[object, ...], int] = {}
        for row in view.sound(sheet.title) if sheet.unique else ():
            name = tuple(row[key] for key in sheet.unique)
            if name in first:
                yield _twice(sheet, row, first[name])
            first.setdefault(name, row.number)


def _twice(sheet: Sheet, row: Row, first: int) -> Problem:
    key = sheet.unique[0]
    shown = ", ".join(row.typed[k] for k in sheet.unique if k in row.typed)
    found = f"{title(row, key)} {shown} stands in row {first} already"
    return error("duplicate", row.address(key), found, "a name of its own")


def unknown_names(view: View) -> Iterator[Problem]:
    """References to what is declared nowhere."""
    for sheet in SHEETS:
        columns = [c for c in sheet.inputs if c.kind in (Kind.REFERENCE, Kind.CHOICES)]
        for row in view.sound(sheet.title) if not sheet.upright else ():
            for column in columns:
                yield from _unknown_in_cell(view, row, column)


def _unknown_in_cell(view: View, row: Row, column: Column) -> Iterator[Problem]:
    value = row[column.key]
    names = value if isinstance(value, tuple) else (value,) if value is not None else ()
    for name in names:
        if not _is_known(view, row, column, name):
            yield _unknown(view, row, column, name)


def _is_known(view: View, row: Row, column: Column, name: str) -> bool:
    if name in column.words or any(name in view.known(r) for r in column.refers_to):
        return True
    if column.refers_to == ("Materials.material",):
        return _is_material(view, name)
    if column.kind is Kind.CHOICES:
        return name in view.built_in_sets
    if (row.sheet, column.key) in (("Lines", "from_"), ("Lines", "to")):
        return point_key("", name)[0] in view.known("Lines.line")  # the point itself: unknown_points
    return (row.sheet, column.key) == ("States", "applies_to") and name in _zone_names(view)


def _is_material(view: View, name: str) -> bool:
    from pipecalc.tables import UnknownNameError, material

    if name.casefold() in {own.casefold() for own in view.names("Materials.material")}:
        return True
    try:
        material(name)
    except UnknownNameError:
        return False
    return True


def _zone_names(view: View) -> tuple[str, ...]:
    zones = (r for r in view.book.rows["Zones"] if r["equipment"] is not None and r["zone"] is not None)
    return tuple(f"{r['equipment']}/{r['zone']}" for r in zones)


def _unknown(view: View, row: Row, column: Column, name: str) -> Problem:
    candidates = [n for reference in column.refers_to for n in view.names(reference)]
    candidates += [*column.words, *(view.built_in_sets if column.kind is Kind.CHOICES else ())]
    if column.refers_to == ("Materials.material",):
        from pipecalc.tables import material_names

        candidates += material_names()
    if row.sheet == "States":
        candidates += _zone_names(view)
    found = f'{column.title} "{name}" is not known: it is not on {_sheets(column)}'
    hint = suggestion(name, candidates)
    return error("reference-unknown", row.address(column.key), found, listed(candidates) or column.meaning, hint)


def _sheets(column: Column) -> str:
    titles = dict.fromkeys(declared(r)[0].title for r in column.refers_to)
    library = " nor in the library" if column.refers_to == ("Materials.material",) else ""
    return f"sheet {' or '.join(titles)}{library}"


def unknown_points(view: View) -> Iterator[Problem]:
    """Points that are on no segment of the line they name."""
    for sheet, key in _POINTS:
        for row in view.sound(sheet):
            if row[key] is not None and row["line"] is not None:
                yield from _unknown_point(view, row, key, row["line"])
    for sheet, key in _ENDS:
        for row in view.sound(sheet):
            if "/" in (row[key] or "") and row[key] not in view.known("Nozzles.nozzle"):
                yield from _unknown_point(view, row, key, row["line"])


def _unknown_point(view: View, row: Row, key: str, own: str) -> Iterator[Problem]:
    line, point = point_key(own, row[key])
    known = view.points.get(line, ())
    if line not in view.known("Lines.line"):
        found = f'"{row[key]}": there is no line {line}'
        accepted = "a point of the line, or LINE/POINT of another"
        yield error("point-unknown", row.address(key), found, accepted, suggestion(line, view.names("Lines.line")))
    elif point not in known and line not in view.uncertain_lines and known:
        found = f"line {line} has no point {point}"
        yield error("point-unknown", row.address(key), found, listed(known), suggestion(point, known))


def half_points(view: View) -> Iterator[Problem]:
    """Nozzles that name a line without a point, or a point without a line."""
    for row in view.sound("Nozzles"):
        for key, other in (("line", "point"), ("point", "line")):
            if row[key] is None and row[other] is not None:
                found = f"{title(row, other)} {row[other]} is given without {title(row, key)}"
                yield error("point-half", row.address(key), found, "Line and Point together, or neither")
