"""An invented plant with invented results: a geothermal flash vessel and a heat exchanger of a district-heat net."""

from collections.abc import Sequence
from datetime import date
from math import pi
from random import Random
from typing import Any

from pipecalc.model import (
    AllowableRow,
    Equipment,
    Item,
    Line,
    LineState,
    Nozzle,
    OwnFactors,
    Plant,
    PointLoad,
    Project,
    Revision,
    Section,
    Segment,
    State,
    Support,
    Turn,
    Vector,
    Zone,
)
from pipecalc.problems import Address
from pipecalc.report.note import Trace
from pipecalc.tables import material

STEEL = "A106 B"
TRACE = Trace(
    "flash-vessel.xlsx",
    "5b" * 32,
    "0.1.0",
    (("numpy", "2.0"), ("weasyprint", "70.0")),
    date(2025, 3, 14),
)


def address(sheet: str, row: int) -> Address:
    return Address(sheet, row)


def project(units: str = "SI", title: str = "Separator station 2: vapour and heat mains") -> Project:
    return Project(
        title=title,
        client="Blue Valley Heat (invented)",
        site="Separator station 2",
        document_number="BVH-CN-0107",
        revision="B",
        prepared_by="R. Example",
        checked_by="",
        approved_by="",
        issued=date(2025, 3, 14),
        code="ASME B31.3",
        edition="2022",
        units=units,
        installation_temperature=10.0,
        seismic_horizontal=0.2,
        seismic_vertical=None,
        wind_pressure=None,
        wind_shape_factor=0.7,
        friction=0.3,
        elbow="long radius",
        cycles=7000.0,
        limit_nozzle=1.0,
        limit_sag=0.003,
        limit_spring_variation=0.25,
        use_sustained_margin=False,
        intensification="B31J",
        pressure_stiffening=True,
        shear_deformation=True,
        modulus_for_reactions="installation",
        steel_density=None,
        source=address("Project", 3),
    )


def turn(radius: float, angle: float = pi / 2, assumed: bool = True) -> Turn:
    return Turn("long radius", radius, angle, assumed=assumed)


def segments(
    line: str, start: str, at: Vector, steps: Sequence[tuple[Any, ...]], section: Section
) -> tuple[Segment, ...]:
    """Segments from steps of (to, east, north, up), item and mass where wanted; elbows where the direction changes."""
    rows: list[tuple[str, str, Vector, Vector, Item, float]] = []
    for to, east, north, up, *more in steps:
        item, mass = (*more, Item.PIPE, 0.0)[:2] if not more else (more[0], more[1])
        end = (at[0] + east, at[1] + north, at[2] + up)
        rows.append((start, to, at, end, item, mass))
        start, at = to, end
    return tuple(_segment(line, i, rows, section) for i in range(len(rows)))


def _segment(line: str, i: int, rows: Sequence[Any], section: Section) -> Segment:
    start, end, a, b, item, mass = rows[i]
    bends = i + 1 < len(rows) and _turns(a, b, rows[i + 1][3])
    return Segment(
        line=line,
        start=start,
        end=end,
        start_key=(line, start),
        end_key=(line, end),
        start_at=a,
        end_at=b,
        item=item,
        section=section,
        end_section=section,
        material=material(STEEL),
        mass=mass,
        temperature=None,
        turn=turn(1.5 * section.outside_diameter) if bends else None,
        branch="",
        pad_thickness=0.0,
        own=OwnFactors(),
        joint=None,
        remark="",
        source=address("Segments", 3 + i),
    )


def _turns(a: Vector, b: Vector, c: Vector) -> bool:
    u = [q - p for p, q in zip(a, b, strict=True)]
    v = [q - p for p, q in zip(b, c, strict=True)]
    dot = sum(p * q for p, q in zip(u, v, strict=True))
    lengths = sum(p * p for p in u) * sum(p * p for p in v)
    return dot * dot < 0.999 * lengths or dot < 0


def line(name: str, service: str, ends: tuple[str, str], section: Section, parts: tuple[Segment, ...]) -> Line:
    return Line(
        name=name,
        service=service,
        from_=ends[0],
        to=ends[1],
        section=section,
        material=material(STEEL),
        corrosion_allowance=0.0015,
        mill_tolerance=0.125,
        mill_tolerance_length=None,
        weld_factor=1.0,
        fluid_density=4.2,
        fluid="steam",
        insulation_thickness=0.08,
        insulation_density=140.0,
        design_temperature=200.0,
        design_pressure=14e5,
        operating_temperature=170.0,
        operating_pressure=7e5,
        test_pressure=21e5,
        cycles=7000.0,
        remark="",
        segments=parts,
        source=address("Lines", 3),
    )


NPS8 = Section(0.2191, 0.00818, 8.0, "40")
NPS6 = Section(0.1683, 0.00711, 6.0, "40")


def lines() -> dict[str, Line]:
    vapour = segments(
        "V-2101",
        "10",
        (0.0, 0.0, 12.4),
        [
            ("20", 0, 0, 1.6),
            ("30", 2.5, 0, 0),
            ("35", 0.6, 0, 0, Item.VALVE, 310.0),
            ("40", 3.4, 0, 0),
            ("50", 0, 0, -4.2),
            ("60", 0, 6.0, 0),
            ("70", 0, 6.0, 0),
            ("80", 14.5, 0, 0),
            ("90", 0, 0, -6.4),
            ("95", 2.0, 0, 0, Item.REDUCER, 40.0),
            ("100", 1.2, 0, 0),
        ],
        NPS8,
    )
    heat = segments(
        "H-2204",
        "1",
        (24.2, 9.0, 2.1),
        [
            ("2", 0, -1.8, 0),
            ("3", 0, -0.4, 0, Item.VALVE, 180.0),
            ("4", 0, -3.0, 0),
            ("5", 0, 0, 4.5),
            ("6", -7.0, 0, 0),
            ("7", 0, -2.6, 0),
            ("8", -3.0, 0, 0),
            ("9", 0, 2.6, 0),
            ("10", -8.0, 0, 0),
            ("11", 0, 0, -2.2),
            ("12", -1.4, 0, 0),
        ],
        NPS6,
    )
    return {
        "V-2101": line("V-2101", "Flashed vapour", ("D-201/V1", "E-220/S1"), NPS8, vapour),
        "H-2204": line("H-2204", "District heat return", ("E-220/T1", "D-201/B1"), NPS6, heat),
    }


def equipment() -> dict[str, Equipment]:
    steel = material(STEEL)
    zones = (
        Zone("brine", 2.4, 7.0, 168.0, steel, None, address("Zones", 3)),
        Zone("vapour", 7.0, 12.0, 172.0, steel, None, address("Zones", 4)),
    )
    vessel = Equipment(
        "D-201",
        "vertical on skirt",
        (0.0, 0.0, 0.0),
        (0.0, 0.0, 1.0),
        None,
        2.2,
        0.016,
        steel,
        170.0,
        60.0,
        2.4,
        200.0,
        0.003,
        None,
        None,
        zones,
        "",
        address("Equipment", 3),
    )
    channel = (Zone("channel", -1.4, -0.4, 95.0, steel, None, address("Zones", 5)),)
    exchanger = Equipment(
        "E-220",
        "horizontal on saddles",
        (25.6, 9.6, 1.2),
        (0.0, 1.0, 0.0),
        0.9,
        0.9,
        0.012,
        steel,
        150.0,
        60.0,
        None,
        180.0,
        0.0,
        None,
        None,
        channel,
        "fixed saddle beside the channel",
        address("Equipment", 4),
    )
    return {"D-201": vessel, "E-220": exchanger}


def nozzle(name: str, item: str, nps: float, at: Vector, out: Vector, key: tuple[str, str], *sets: str) -> Nozzle:
    level = (0.0, 0.0, 1.0) if abs(out[2]) < 0.5 else (0.0, 1.0, 0.0)
    across = (
        out[1] * level[2] - out[2] * level[1],
        out[2] * level[0] - out[0] * level[2],
        out[0] * level[1] - out[1] * level[0],
    )
    return Nozzle(
        name=name,
        equipment=item,
        nps=nps,
        outside_diameter=0.2191,
        flange_class="Class 300",
        at=at,
        direction=out,
        axes=(out, level, across),
        point=key,
        projection=0.2,
        pad_thickness=None,
        pad_width=None,
        vendor_move=(None, None, None),
        stiffness_model="rigid",
        sets=sets,
        allowable_factor=1.0,
        remark="",
        source=address("Nozzles", 3),
    )


def nozzles(all_lines: dict[str, Line]) -> dict[str, Nozzle]:
    last = all_lines["V-2101"].segments[-1].end_at
    end = all_lines["H-2204"].segments[-1].end_at
    found = (
        nozzle("D-201/V1", "D-201", 8, (0.0, 0.0, 12.4), (0.0, 0.0, 1.0), ("V-2101", "10"), "VES-A"),
        nozzle("E-220/S1", "E-220", 8, last, (-1.0, 0.0, 0.0), ("V-2101", "100"), "EXC-1"),
        nozzle("E-220/T1", "E-220", 6, (24.2, 9.0, 2.1), (0.0, -1.0, 0.0), ("H-2204", "1"), "EXC-1"),
        nozzle("D-201/B1", "D-201", 6, end, (1.0, 0.0, 0.0), ("H-2204", "12")),
    )
    return {n.name: n for n in found}


def support(
    name: str, plant_lines: dict[str, Line], key: tuple[str, str], kind: str, attached: str = "structure"
) -> Support:
    at, direction = _along(plant_lines[key[0]], key)
    return Support(
        name=name,
        point=key,
        at=at,
        pipe_direction=direction,
        type=kind,
        direction=None,
        gap=0.003 if "guide" in kind else 0.0,
        friction=0.3,
        stiffness=None,
        attached_to=attached,
        spring_rate=None,
        spring_load=None,
        allowable_vertical=25e3 if kind == "rest" else None,
        allowable_horizontal=None,
        remark="",
        source=address("Supports", 3),
    )


def _along(owner: Line, key: tuple[str, str]) -> tuple[Vector, Vector]:
    found = next(s for s in owner.segments if s.end_key == key)
    return found.end_at, tuple(c / found.length for c in found.vector)  # type: ignore[return-value]


def supports(of: dict[str, Line]) -> dict[str, Support]:
    found = (
        support("PS-1", of, ("V-2101", "30"), "rest", "D-201"),
        support("PS-2", of, ("V-2101", "60"), "rest and guide"),
        support("PS-3", of, ("V-2101", "70"), "rest, guide and line stop"),
        support("PS-4", of, ("V-2101", "95"), "spring"),
        support("PS-5", of, ("H-2204", "4"), "hanger rod"),
        support("PS-6", of, ("H-2204", "6"), "rest"),
        support("PS-7", of, ("H-2204", "8"), "line stop"),
        support("PS-8", of, ("H-2204", "10"), "anchor"),
    )
    return {s.name: s for s in found}


def allowables() -> dict[str, tuple[AllowableRow, ...]]:
    names = ("FR", "FL", "FC", "MR", "ML", "MC")
    one = dict(zip(names, (8000.0, 9000.0, 9000.0, 6000.0, 7000.0, 5000.0), strict=True))
    two = dict(zip(names, (6000.0, 6000.0, 6000.0, 4000.0, 4000.0, 4000.0), strict=True))
    return {
        "VES-A": (
            AllowableRow(
                "VES-A", None, one, None, None, "each component", "drawing D-201-004 rev. 2", address("Allowables", 3)
            ),
        ),
        "EXC-1": (
            AllowableRow(
                "EXC-1", 8.0, two, 9000.0, 6500.0, "resultants", "data sheet E-220 rev. 1", address("Allowables", 4)
            ),
        ),
    }


def plant(units: str = "SI", **choices: Any) -> Plant:
    found = lines()
    tags = nozzles(found)
    state = State(
        "operating",
        None,
        {name: LineState(170.0, 7e5, 4.2) for name in found},
        frozenset(),
        {"D-201": 170.0, "E-220": 150.0},
        {("D-201", 0): 168.0, ("D-201", 1): 172.0, ("E-220", 0): 95.0},
    )
    points = {
        k: p for x in found.values() for s in x.segments for k, p in ((s.start_key, s.start_at), (s.end_key, s.end_at))
    }
    return Plant(
        project=project(units, **choices),
        revisions=(
            Revision("A", date(2025, 2, 3), "For comment", "R. Example", "S. Sample", ""),
            Revision("B", date(2025, 3, 14), "Exchanger moved 0.5 m", "R. Example", "", ""),
        ),
        lines=found,
        equipment=equipment(),
        nozzles=tags,
        allowables=allowables(),
        supports=supports(found),
        states=(state,),
        point_loads=(
            PointLoad(
                "PL-1",
                ("V-2101", "60"),
                points["V-2101", "60"],
                35.0,
                (0, 0, 0),
                (0, 0, 0),
                "always",
                address("Point loads", 3),
            ),
        ),
        points=points,
        nozzle_at={n.point: n.name for n in tags.values() if n.point},
    )


def random_line(seed: int, count: int = 24) -> tuple[Plant, Line]:
    """A line that wanders at random along the axes, with supports at random points."""
    dice = Random(seed)  # noqa: S311 - a drawing test
    axes = [(1, 0, 0), (-1, 0, 0), (0, 1, 0), (0, -1, 0), (0, 0, 1), (0, 0, -1)]
    steps, before = [], (0, 0, 1)
    for i in range(count):
        axis = dice.choice([a for a in axes if a != tuple(-c for c in before)])
        length = dice.choice([0.3, 0.8, 1.5, 3.0, 6.0, 25.0])
        item = dice.choice([Item.PIPE, Item.PIPE, Item.PIPE, Item.VALVE, Item.FLANGE])
        steps.append((f"P{i + 1}", *(length * c for c in axis), item, 0.0))
        before = axis
    parts = segments("R-1", "P0", (0.0, 0.0, 0.0), steps, NPS6)
    wandering = line("R-1", "random", ("", ""), NPS6, parts)
    kinds = ["rest", "guide", "line stop", "anchor", "hanger rod", "spring", "rest and guide"]
    held = {
        f"RS-{i}": support(f"RS-{i}", {"R-1": wandering}, ("R-1", f"P{dice.randint(1, count)}"), dice.choice(kinds))
        for i in range(1, 9)
    }
    base = plant()
    return (
        Plant(
            base.project,
            (),
            {"R-1": wandering},
            {},
            {},
            {},
            held,
            base.states,
            (),
            {},
        ),
        wandering,
    )
