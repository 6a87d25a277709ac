"""The inputs as read, in the units of the note: enough to do the calculation again without the workbook."""

from collections.abc import Callable, Iterator, Sequence
from typing import Any

from pipecalc.model import AllowableRow, Equipment, Item, Line, Nozzle, PointLoad, Segment, Support, Turn, Zone
from pipecalc.report import format as fmt
from pipecalc.report.format import NONE, Display
from pipecalc.report.parts import Column, Sheets, Table, numeric, text, triple, without_empty

ACROSS = 4  # items side by side in a table that lists properties downward
LIMITS = ("FR", "FL", "FC", "MR", "ML", "MC")


def chapter(sheets: Sheets) -> dict[str, Any]:
    """Content of the inputs chapter."""
    plant = sheets.plant
    tables = [
        *_upright(sheets, "Lines", list(plant.lines.values()), _LINE, lambda line: line.name),
        *(_segments(sheets, line) for line in plant.lines.values()),
        *_upright(sheets, "Equipment", list(plant.equipment.values()), _EQUIPMENT, lambda item: item.name),
        _zones(sheets),
        _nozzles(sheets),
        _allowables(sheets),
        _supports(sheets),
        _point_loads(sheets),
    ]
    return {"tables": [t for t in tables if t is not None]}


Show = Callable[[Any, Display], str]

_LINE: tuple[tuple[str, Show], ...] = (
    ("Service", lambda x, d: x.service),
    ("From → to", lambda x, d: f"{x.from_} → {x.to}"),
    ("Size", lambda x, d: _pipe(x, d)),
    ("Outside diameter × wall", lambda x, d: _section(x, d)),
    ("Material", lambda x, d: x.material.name),
    ("Corrosion allowance", lambda x, d: d.text("wall", x.corrosion_allowance)),
    ("Mill tolerance", lambda x, d: _mill(x, d)),
    ("Weld factor", lambda x, d: f"{x.weld_factor:g}"),
    ("Fluid density", lambda x, d: d.text("density", x.fluid_density) + (f" ({x.fluid})" if x.fluid else "")),
    ("Insulation", lambda x, d: _insulation(x, d)),
    ("Design", lambda x, d: f"{d.text('temperature', x.design_temperature)}, {d.text('pressure', x.design_pressure)}"),
    (
        "Operating",
        lambda x, d: f"{d.text('temperature', x.operating_temperature)}, {d.text('pressure', x.operating_pressure)}",
    ),
    ("Test pressure", lambda x, d: d.text("pressure", x.test_pressure)),
    ("Stress cycles", lambda x, d: f"{x.cycles:g}"),
    ("Remark", lambda x, d: x.remark),
)

_EQUIPMENT: tuple[tuple[str, Show], ...] = (
    ("Kind", lambda x, d: x.kind),
    ("Base East, North, Up", lambda x, d: _point(x.base, d)),
    ("Axis", lambda x, d: fmt.direction(x.axis)),
    ("Centreline height", lambda x, d: d.text("length", x.centreline_height)),
    ("Outside diameter", lambda x, d: d.text("size", x.outside_diameter)),
    ("Wall", lambda x, d: d.text("wall", x.wall)),
    ("Material", lambda x, d: x.material.name),
    ("Temperature", lambda x, d: d.text("temperature", x.temperature)),
    ("Support temperature", lambda x, d: d.text("temperature", x.support_temperature)),
    ("Skirt height", lambda x, d: d.text("length", x.support_height)),
    ("Design temperature", lambda x, d: d.text("temperature", x.design_temperature)),
    ("Foundation settlement", lambda x, d: d.text("movement", x.settlement)),
    ("Sway East, North", lambda x, d: _sway(x, d)),
    ("Remark", lambda x, d: x.remark),
)


def _upright(
    sheets: Sheets, title: str, items: list[Any], facts: Sequence[tuple[str, Show]], name: Callable[[Any], str]
) -> Iterator[Table | None]:
    """Facts downward, items side by side; facts that no item has are left out."""
    for start in range(0, len(items), ACROSS):
        part = items[start : start + ACROSS]
        rows = [[what, *(show(item, sheets.display) for item in part)] for what, show in facts]
        kept = [row for row in rows if any(cell not in ("", NONE) for cell in row[1:])]
        columns = [text("", 24), *(text(name(item), 30) for item in part)]
        yield sheets.table(title, columns, kept)


def _pipe(line: Line, display: Display) -> str:
    size = fmt.size(display, line.section.nps, line.section.outside_diameter)
    return f"{size}, schedule {line.section.schedule}" if line.section.schedule else size


def _section(line: Line, display: Display) -> str:
    diameter = display.number("size", line.section.outside_diameter)
    return f"{diameter} × {display.text('wall', line.section.wall)}"


def _mill(line: Line, display: Display) -> str:
    if line.mill_tolerance_length is not None:
        return display.text("wall", line.mill_tolerance_length)
    return display.text("share", line.mill_tolerance)


def _insulation(line: Line, display: Display) -> str:
    if line.insulation_thickness <= 0:
        return "none"
    density = display.text("density", line.insulation_density)
    return f"{display.text('size', line.insulation_thickness)}, {density}"


def _point(at: tuple[float, float, float], display: Display) -> str:
    return ", ".join(display.number("coordinate", v) for v in at) + f" {display.unit('coordinate')}"


def _sway(item: Equipment, display: Display) -> str:
    if item.sway_east is None and item.sway_north is None:
        return NONE
    return f"{display.text('movement', item.sway_east)}, {display.text('movement', item.sway_north)}"


def _segments(sheets: Sheets, line: Line) -> Table | None:
    display = sheets.display
    rows = [_segment(s, line, display) for s in line.segments]
    columns = [
        text("From – to", 18),
        triple("East / North / Up", 30, display.unit("coordinate")),
        numeric("Length", 11, display.unit("length")),
        text("Item and turn at To", 40),
        text("Differs from the line", 34),
        text("Remark", 22),
    ]
    return sheets.table(f"Segments of line {line.name}", *without_empty(columns, rows))


def _segment(s: Segment, line: Line, display: Display) -> list[str]:
    what = [] if s.item is Item.PIPE else [s.item.value]
    what += [display.text("mass", s.mass)] if s.mass else []
    what += [_turn(s.turn, display)] if s.turn else []
    what += [s.branch] if s.branch and s.branch != "none" else []
    start = s.start if s.start_key[0] == s.line else "/".join(s.start_key)
    end = s.end if s.end_key[0] == s.line else "/".join(s.end_key)
    return [
        f"{start} – {end}",
        display.triple("coordinate", s.vector),
        display.number("length", s.length),
        "; ".join(what),
        "; ".join(_differences(s, line, display)),
        s.remark,
    ]


def _turn(turn: Turn, display: Display) -> str:
    if turn.kind == "none":
        return "sharp corner"
    cuts = f", {turn.mitre_cuts} cuts" if turn.mitre_cuts else ""
    taken = " (default)" if turn.assumed else ""
    return f"{turn.kind} R {display.number('size', turn.radius)}{cuts}{taken}"


def _differences(s: Segment, line: Line, display: Display) -> Iterator[str]:
    if s.end_section != s.section:
        yield f"to {fmt.size(display, s.end_section.nps, s.end_section.outside_diameter)}"
    if s.section.outside_diameter != line.section.outside_diameter:
        yield f"OD {display.text('size', s.section.outside_diameter)}"
    if s.section.wall != line.section.wall:
        yield f"wall {display.text('wall', s.section.wall)}"
    if s.material.name != line.material.name:
        yield s.material.name
    if s.temperature is not None:
        yield display.text("temperature", s.temperature)
    yield from _own_values(s, display)


def _own_values(s: Segment, display: Display) -> Iterator[str]:
    own = (("own i in-plane", s.own.i_in), ("own i out-of-plane", s.own.i_out), ("own k", s.own.k))
    yield from (f"{name} {value:g}" for name, value in own if value is not None)
    if s.pad_thickness:
        yield f"pad {display.text('size', s.pad_thickness)}"
    if s.joint is not None:
        rates = [display.text("stiffness", v) for v in (s.joint.axial, s.joint.lateral)]
        turning, area = display.text("angular stiffness", s.joint.angular), display.text("area", s.joint.area)
        yield f"joint axial {rates[0]}, lateral {rates[1]}, angular {turning}, area {area}"


def _zones(sheets: Sheets) -> Table | None:
    display = sheets.display
    rows = [_zone(item.name, zone, display) for item in sheets.plant.equipment.values() for zone in item.zones]
    columns = [
        text("Equipment", 18),
        text("Zone", 18),
        numeric("From", 12, display.unit("length")),
        numeric("To", 12, display.unit("length")),
        numeric("Temperature", 14, display.unit("temperature")),
        text("Material", 16),
        numeric("Wall", 12, display.unit("wall")),
    ]
    return sheets.table("Temperature zones, from the base or the fixed saddle", *without_empty(columns, rows))


def _zone(tag: str, zone: Zone, display: Display) -> list[str]:
    ends = [display.number("length", v) for v in (zone.start, zone.end)]
    temperature, wall = display.number("temperature", zone.temperature), display.number("wall", zone.wall)
    return [tag, zone.name, *ends, temperature, zone.material.name, wall]


def _nozzles(sheets: Sheets) -> Table | None:
    display = sheets.display
    rows = [_nozzle(n, display) for n in sheets.plant.nozzles.values()]
    columns = [
        text("Nozzle", 17),
        text("Equipment", 16),
        text("Size, class", 20),
        triple("East / North / Up", 34, display.unit("coordinate")),
        text("Direction", 14),
        text("Line/point", 21),
        numeric("Projection", 13, display.unit("size")),
        text("Allowable sets", 26),
        text("Remark", 30),
    ]
    return sheets.table("Nozzles", *without_empty(columns, rows))


def _nozzle(n: Nozzle, display: Display) -> list[str]:
    factor = f" × {n.allowable_factor:g}" if n.allowable_factor != 1 else ""
    return [
        n.name,
        n.equipment,
        f"NPS {fmt.nps_text(n.nps)}" + (f", {n.flange_class}" if n.flange_class else ""),
        display.triple("coordinate", n.at),
        fmt.direction(n.direction),
        "/".join(n.point) if n.point else NONE,
        display.number("size", n.projection),
        (", ".join(n.sets) or "none named") + factor,
        "; ".join(_nozzle_remarks(n, display)),
    ]


def _nozzle_remarks(n: Nozzle, display: Display) -> Iterator[str]:
    if any(v is not None for v in n.vendor_move):
        move = ", ".join(display.number("movement", v) for v in n.vendor_move)
        yield f"vendor's movement E, N, U {move} {display.unit('movement')}"
    if n.stiffness_model != "rigid":
        yield f"stiffness: {n.stiffness_model}"
    if n.pad_thickness:
        yield f"pad {display.text('size', n.pad_thickness)} × {display.text('size', n.pad_width)}"
    if n.remark:
        yield n.remark


def _allowables(sheets: Sheets) -> Table | None:
    display = sheets.display
    rows = [_allowable(row, display) for group in sheets.plant.allowables.values() for row in group]
    force, moment = display.unit("force"), display.unit("moment")
    columns = [
        text("Set", 18),
        text("NPS", 7),
        *(numeric(name, 10, force if name[0] == "F" else moment) for name in LIMITS),
        numeric("Force", 10, force),
        numeric("Moment", 10, moment),
        text("Rule", 20),
    ]
    return sheets.table("Vendor allowables", *without_empty(columns, rows))


def _allowable(row: AllowableRow, display: Display) -> list[str]:
    quantity = {"F": "force", "M": "moment"}
    return [
        row.set,
        fmt.nps_text(row.nps) if row.nps is not None else "any",
        *(display.number(quantity[name[0]], row.limits.get(name)) for name in LIMITS),
        display.number("force", row.force),
        display.number("moment", row.moment),
        row.rule,
    ]


def _supports(sheets: Sheets) -> Table | None:
    display = sheets.display
    rows = [_support(s, display) for s in sheets.plant.supports.values()]
    columns: list[Column] = [
        text("Support", 13),
        text("Line/point", 22),
        text("Type", 24),
        text("Direction", 12),
        numeric("Gap", 8, display.unit("movement")),
        numeric("Friction", 8),
        numeric("Stiffness", 12, display.unit("stiffness")),
        text("Attached to", 14),
        text("Spring rate, load", 22),
        text("Allowable vert., horiz.", 22),
        text("Remark", 20),
    ]
    return sheets.table("Supports", *without_empty(columns, rows))


def _support(s: Support, display: Display) -> list[str]:
    return [
        s.name,
        "/".join(s.point),
        s.type,
        fmt.direction(s.direction) if s.direction else "",
        display.number("movement", s.gap),
        f"{s.friction:g}",
        display.number("stiffness", s.stiffness) if s.stiffness is not None else "stiff",
        s.attached_to,
        _pair(display.text("stiffness", s.spring_rate), display.text("force", s.spring_load)),
        _pair(display.text("force", s.allowable_vertical), display.text("force", s.allowable_horizontal)),
        s.remark,
    ]


def _pair(one: str, other: str) -> str:
    return "" if one == other == NONE else f"{one}, {other}"


def _point_loads(sheets: Sheets) -> Table | None:
    display = sheets.display
    rows = [_point_load(p, display) for p in sheets.plant.point_loads]
    columns = [
        text("Load", 14),
        text("Line/point", 16),
        numeric("Mass", 12, display.unit("mass")),
        triple("Force E / N / U", 30, display.unit("force")),
        triple("Moment E / N / U", 30, display.unit("moment")),
        text("Acts in", 14),
    ]
    return sheets.table("Point loads", columns, rows)


def _point_load(p: PointLoad, display: Display) -> list[str]:
    force, moment = display.triple("force", p.force), display.triple("moment", p.moment)
    return [p.name, "/".join(p.point), display.number("mass", p.mass), force, moment, p.acts_in]
