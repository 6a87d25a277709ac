"""Examples of the piping codes, through a workbook."""

from functools import cache
from math import cos, pi, sin

from pipecalc.results import Check
from pipecalc.verification.models import Numbers
from pipecalc.verification.models.plants import anchor, rows, solved

_INCH = 0.0254  # m


def elbow_under_moments(NPS: float, schedule: str, inward: float, outward: float, twist: float) -> Numbers:
    """Displacement stress range at the end of an elbow from East to North.

    A cantilever with moments at its free end that act in operation only has them unchanged in every section; at the
    end of the elbow the plane's axis is Up and the pipe's own North.
    """
    load = {
        "load": "M", "line": "L", "point": "3", "acts_in": "operating", "moment_up": inward, "moment_east": outward,
        "moment_north": twist,
    }  # fmt: skip
    book = rows(
        [{"from_": "1", "to": "2", "east": 2.0, "turn": "long radius"}, {"from_": "2", "to": "3", "north": 2.0}],
        [anchor("A", "1")],
        line={"outside_diameter": None, "wall": None, "nps": NPS, "schedule": schedule},
        Point_loads=[load],
    )
    found = solved(book).check("displacement stress range", "2, end of the turn")
    size = {name: abs(float(found.inputs[name])) for name in ("M_i", "M_o", "M_t", "Z", "i_i", "i_o", "S_b", "S_t")}
    return {**size, "S_E": found.demand}


def branch_example_1() -> Numbers:
    """ASME B31.3 Appendix H, example 1."""
    return _areas(branch_check(*EXAMPLE_1, "unreinforced fabricated tee"))


def branch_example_3() -> Numbers:
    """ASME B31.3 Appendix H, example 3."""
    return _areas(branch_check(*EXAMPLE_3, "reinforced fabricated tee", 0.5, 12))


#: Strength, diameter and wall of header and branch, pressure, angle.
EXAMPLE_1 = (16, (8.625, 0.322), (4.5, 0.237), 300, 90)
EXAMPLE_3 = (14.4, (16, 0.5), (6.625, 0.280), 500, 60)


@cache
def branch_check(
    strength: float,
    header: tuple[float, float],
    leg: tuple[float, float],
    pressure: float,
    angle: float,
    kind: str,
    pad_thickness: float | None = None,
    pad_diameter: float = 0.0,
) -> Check:
    """The branch check of a tee in a workbook in US units: ksi, inches, psig, degrees."""
    beta = angle * pi / 180
    tee: dict[str, object] = {"branch": kind}
    if pad_thickness:
        tee |= {"pad_thickness": pad_thickness, "pad_width": (pad_diameter - leg[0] / sin(beta)) / 2}
    runs = [
        {"from_": "1", "to": "2", "east": 10.0, **tee},
        {"from_": "2", "to": "3", "east": 10.0},
        {"line": "B", "from_": "L/2", "to": "9", "east": 6 * cos(beta), "north": 6 * sin(beta)},
    ]
    common = {
        "design_pressure": pressure, "corrosion_allowance": 0.10, "material": "Pipe of the example",
        "design_temperature": 400, "operating_temperature": 70, "operating_pressure": 0,
    }  # fmt: skip
    book = rows(
        runs,
        [anchor("A", "1"), anchor("B", "3")],
        line={"outside_diameter": header[0], "wall": header[1], **common},
        lines=[{"line": "B", "outside_diameter": leg[0], "wall": leg[1], **common}],
    )
    pipe = {
        "material": "Pipe of the example", "modulus": 29.0, "expansion": 6.5, "allowable": strength,
        "yield_strength": 30, "density": 490, "source": "ASME B31.3 Appendix H",
    }  # fmt: skip
    book["Materials"] = [{**pipe, "temperature": t} for t in (-20, 70, 700)]
    return solved(book, units="US").check("branch reinforcement")


def _areas(found: Check) -> Numbers:
    names = ("A_1", "A_2", "A_3", "A_pad")
    areas = {name: float(found.inputs[name]) for name in names if name in found.inputs}
    return {**areas, "required": found.demand}


def sharp_corner(angle: float) -> Numbers:
    """Factors of a corner without a turn between two anchors."""
    runs = [
        {"from_": "1", "to": "2", "east": 2.0, "turn": "none"},
        {"from_": "2", "to": "3", "east": 2.0 * cos(angle), "north": 2.0 * sin(angle)},
    ]
    book = rows(runs, [anchor("A", "1"), anchor("B", "3")], line={"operating_temperature": 60})
    found = solved(book).check("displacement stress range", "2")
    return {name: float(found.inputs[name]) for name in ("i_i", "i_o")}


def bend_wall(P: float, D: float, T: float, R1: float, c: float) -> Numbers:
    """Least wall of a bend at 12.5 % under-tolerance."""
    runs = [
        {"from_": "1", "to": "2", "east": 2.0, "turn": "bend", "bend_radius": R1 * 1e3},
        {"from_": "2", "to": "3", "north": 2.0},
    ]
    line = {
        "outside_diameter": D * 1e3, "wall": T * 1e3, "design_pressure": P / 1e5, "corrosion_allowance": c * 1e3,
        "mill_tolerance": "12.5 %",
    }  # fmt: skip
    found = solved(rows(runs, [anchor("A", "1"), anchor("B", "3")], line=line)).check("wall of bends")
    return {"I": float(found.inputs["I_b"]), "needed": found.demand, "wall": found.limit}


def branch_on_held_header(M: float, axis: str, L: float) -> Numbers:
    """Turn of the end of a branch to the North on a header held at its tee, under a moment; later set of factors."""
    runs = [
        {"from_": "1", "to": "2", "east": 1.5, "branch": "unreinforced fabricated tee"},
        {"from_": "2", "to": "3", "east": 1.5},
        {"line": "B", "from_": "L/2", "to": "9", "north": L},
    ]
    book = rows(
        runs,
        [anchor("A", "2")],
        lines=[{"line": "B", "outside_diameter": 114.3, "wall": 6.02}],
        project={"intensification": "B31J", "edition": "2022"},
        Point_loads=[{"load": "M", "line": "B", "point": "9", "acts_in": "operating", f"moment_{axis}": M}],
    )
    found = solved(book).results.points
    turns = {p.case: getattr(p, f"rot_{axis}") for p in found if (p.line, p.point) == ("B", "9")}
    return {"turn": turns["operating"] - turns["sustained, cold"]}


def branch_under_moment(M: float, L: float) -> Numbers:
    """Stress at an NPS 4 branch to the North on an NPS 6 header held at one end, a moment about East at its end."""
    runs = [
        {"from_": "1", "to": "2", "east": 3.0, "branch": "unreinforced fabricated tee"},
        {"from_": "2", "to": "3", "east": 3.0},
        {"line": "B", "from_": "L/2", "to": "9", "north": L},
    ]
    book = rows(
        runs,
        [anchor("A", "1")],
        line={"design_pressure": 0},
        lines=[{"line": "B", "outside_diameter": 114.3, "wall": 6.02, "design_pressure": 0}],
        Point_loads=[{"load": "M", "line": "B", "point": "9", "acts_in": "occasional", "moment_east": M}],
    )
    checks = solved(book).results.checks
    (found,) = (c for c in checks if (c.check, c.line) == ("occasional stress", "B") and c.point.startswith("L/2"))
    return {name: abs(float(found.inputs[name])) for name in ("I_i", "I_o", "M_o", "Z_b", "S_b")}


def weld(kind: str) -> Numbers:
    """Factors on both sides of a weld or joint between two straight runs."""
    runs = [{"from_": "1", "to": "2", "east": 2.0, "weld": kind}, {"from_": "2", "to": "3", "east": 2.0}]
    book = rows(runs, [anchor("A", "1"), anchor("B", "3")], line={"operating_temperature": 60})
    ranges = [c for c in solved(book).results.checks if c.check == "displacement stress range" and c.point == "2"]
    before, after = (float(c.inputs["i_i"]) for c in ranges)
    return {"before": before, "after": after}


def reducer(length: float, edition: str, intensification: str) -> Numbers:
    """Factor of a reducer NPS 6 to NPS 4 of schedule 40 by a set of factors."""
    runs = [
        {"from_": "1", "to": "2", "east": 2.0},
        {"from_": "2", "to": "3", "east": length, "item": "reducer", "nps_at_to": 4, "schedule": "40"},
        {"from_": "3", "to": "4", "east": 2.0},
    ]
    book = rows(
        runs,
        [anchor("A", "1"), anchor("B", "4")],
        line={"outside_diameter": None, "wall": None, "nps": 6, "schedule": "40", "operating_temperature": 60},
        project={"edition": edition, "intensification": intensification},
    )
    return {"i": float(solved(book).check("displacement stress range", "3").inputs["i_i"])}
