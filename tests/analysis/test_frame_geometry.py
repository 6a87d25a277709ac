"""Geometry of the frame: arcs and the runs they shorten, corners, branches, items, reducers and joints.

Expected numbers are closed forms of beam theory for the test steel.
"""

from math import cos, pi, radians, sin, tan

import numpy as np
import pytest

from pipecalc.analysis.frame_nodes import lay_out
from tests.analysis.frame_plants import (
    ALPHA,
    COLD,
    METAL,
    OD,
    STEEL,
    WALL,
    A,
    E,
    Found,
    G,
    I,
    anchor,
    plant_of,
    rows,
    section,
    solve,
    solve_rows,
    straight,
    support,
)

RADIUS = 0.2286  # long radius elbow of this diameter
HOT = {"operating_temperature": 120}
STRAIN = 100 * ALPHA
GROWTH = "range, installed to operating"
STIFF = {"shear_deformation": "no"}


def grown_freely(found: Found, within: float = 1e-12) -> None:
    """Every point of a line held at one end only must move by strain times its place, and not turn."""
    nodes, first = found.run.net, found.plant.lines["L"].segments[0].start_key
    origin = nodes.at[nodes.node_of[first]]
    for (line, point), node in nodes.node_of.items():
        free = STRAIN * (nodes.at[node] - origin)
        assert np.allclose(found.move(point, GROWTH, line), free, rtol=0, atol=within)
        assert np.allclose(found.turned(point, GROWTH, line), 0.0, atol=within)


def leg(length: float, azimuth: float, up: float = 0.0, **more):
    """A run of plan length and azimuth [degrees from East], with a rise."""
    return {"east": length * cos(radians(azimuth)), "north": length * sin(radians(azimuth)), "up": up, **more}


def test_an_elbow_shortens_both_legs_and_its_point_is_the_middle_of_the_arc():
    book = rows([{"from_": "1", "to": "2", "east": 4}, {"to": "3", "north": 3}], [anchor("A", "1")])
    net = lay_out(plant_of(book))
    lengths = [float(np.linalg.norm(net.at[m.j] - net.at[m.i])) for m in net.members]
    chord = 2 * RADIUS * sin(pi / 8)
    assert lengths == pytest.approx([4 - RADIUS, chord, chord, 3 - RADIUS], rel=1e-12)
    corner_to_arc = RADIUS * (2**0.5 - 1)
    middle = (4 - corner_to_arc / 2**0.5, corner_to_arc / 2**0.5, 0)
    assert net.at[net.node_of["L", "2"]] == pytest.approx(middle, abs=1e-12)


@pytest.mark.parametrize("angle", [0.6, 5, 22.5, 45, 60, 90, 120, 150])
def test_a_turn_of_any_angle_weighs_its_arc_and_grows_freely(angle):
    bend = {"turn": "bend", "bend_radius": 500}
    found = solve(
        [{"from_": "1", "to": "2", **leg(4, 20, **bend)}, {"to": "3", **leg(4, 20 + angle)}],
        [anchor("A", "1")],
        line=HOT,
    )
    length = 8 - 2 * 0.5 * tan(radians(angle) / 2) + 0.5 * radians(angle)
    assert found.force("A", COLD)[2] == pytest.approx(-length * METAL * G, rel=1e-9)
    grown_freely(found)


@pytest.mark.parametrize("between", [2 * RADIUS, 2 * RADIUS + 4e-7, 2 * RADIUS - 4e-7, 2 * RADIUS + 1e-4])
def test_arcs_that_meet_leave_no_run_between_them(between):
    runs = [
        {"from_": "1", "to": "2", "east": 3},
        {"to": "3", "north": between},
        {"to": "4", "up": 2},
        {"to": "5", "east": RADIUS},
        {"to": "6", "north": 1},
    ]
    # The arc at 5 takes all of the run before it; the arc at 4 is a sharp corner.
    runs[2]["turn"] = "none"
    found = solve(runs, [anchor("A", "1")], line=HOT)
    # A run of a tenth of a millimetre costs a few digits.
    grown_freely(found, 1e-10 if between > 2 * RADIUS + 1e-5 else 1e-12)
    pieces = 3 + 2 + 1 - 3 * RADIUS + max(between - 2 * RADIUS, 0) + 3 * RADIUS * pi / 2
    assert found.force("A", COLD)[2] == pytest.approx(-pieces * METAL * G, rel=1e-6)


def test_a_line_that_is_all_arc_joins_its_anchors():
    bend = {"turn": "bend", "bend_radius": 2000}
    found = solve(
        [{"from_": "1", "to": "2", "east": 2, **bend}, {"to": "3", "north": 2}], [anchor("A", "1"), anchor("B", "3")]
    )
    half = pi * METAL * G / 2  # of a quarter circle of 2 m
    assert found.force("A", COLD)[2] == pytest.approx(-half, rel=1e-9)
    assert found.force("B", COLD)[2] == pytest.approx(-half, rel=1e-9)


@pytest.mark.parametrize(("own", "factor"), [(1.0, 1.0), (7.5, 7.5)])
def test_bends_take_the_users_own_flexibility_factor(own, factor):
    """A moment at the end of a quarter bend turns it by k M R (pi/2) / (E I)."""
    runs = [
        {"from_": "1", "to": "2", "east": 2, "turn": "bend", "bend_radius": 2000, "own_k": own},
        {"to": "3", "north": 2},
    ]
    load = {"load": "M", "line": "L", "point": "3", "moment_up": 4000, "acts_in": "operating"}
    found = solve(runs, [anchor("A", "1")], project=STIFF, **{"Point loads": [load]})
    turned = found.turned("3")[2] - found.turned("3", COLD)[2]
    assert turned == pytest.approx(factor * 4000 * 2 * (pi / 2) / (E * I), rel=1e-9)


def turning_of_corner(angle: float, **turn) -> float:
    """Rotation that a moment of 1000 N·m gives the end of two legs of 3 m, times E I / M [m]."""
    runs = [{"from_": "1", "to": "2", **leg(3, 0, **turn)}, {"to": "3", **leg(3, angle)}]
    load = {"load": "M", "line": "L", "point": "3", "moment_up": 1000, "acts_in": "operating"}
    found = solve(runs, [anchor("A", "1")], project=STIFF, **{"Point loads": [load]})
    return (found.turned("3")[2] - found.turned("3", COLD)[2]) * E * I / 1000


MEAN_RADIUS = (OD - WALL) / 2 * 1e-3


def test_a_sharp_corner_is_rigid():
    assert turning_of_corner(90, turn="none") == pytest.approx(6, rel=1e-9)


def test_a_single_mitre_turns_with_its_equivalent_radius_whatever_radius_is_typed():
    """Single mitre of 30°: R1 = r2 (1 + cot 15°)/2, k = 1.52/h^(5/6) (ASME B31.3-2018 Appendix D, Table D300)."""
    half = radians(15)
    h = (1 + 1 / tan(half)) / 2 * WALL * 1e-3 / MEAN_RADIUS
    k, equivalent = 1.52 / h ** (5 / 6), MEAN_RADIUS * (1 + 1 / tan(half)) / 2
    for typed in (250, 500):
        arc = typed * 1e-3
        rest = 6 - 2 * arc * tan(half) + (arc - equivalent) * radians(30)
        found = turning_of_corner(30, turn="mitre", bend_radius=typed, mitre_cuts=1)
        assert found == pytest.approx(rest + k * equivalent * radians(30), rel=1e-9)


def test_a_closely_spaced_mitre_turns_with_its_bend_radius():
    """Eight cuts in 90° on a radius of 300 mm: s = 2 R tan 5.625°, so h = s T cot(theta) / (2 r2²) = T R / r2²."""
    h = WALL * 1e-3 * 0.3 / MEAN_RADIUS**2
    k = 1.52 / h ** (5 / 6)
    found = turning_of_corner(90, turn="mitre", bend_radius=300, mitre_cuts=8)
    assert found == pytest.approx(6 - 0.6 + k * 0.3 * pi / 2, rel=1e-9)


def test_a_widely_spaced_mitre_turns_at_its_cuts_only():
    """Four cuts in 90° on 300 mm: s = 119 mm is above r2 (1 + tan 11.25°) = 97 mm, so R1 = r2 (1 + cot 11.25°)/2."""
    half = radians(11.25)
    h = (1 + 1 / tan(half)) / 2 * WALL * 1e-3 / MEAN_RADIUS
    k, equivalent = 1.52 / h ** (5 / 6), MEAN_RADIUS * (1 + 1 / tan(half)) / 2
    found = turning_of_corner(90, turn="mitre", bend_radius=300, mitre_cuts=4)
    assert found == pytest.approx(6 - 0.6 + (k * equivalent + 0.3 - equivalent) * pi / 2, rel=1e-9)


def test_a_mitre_beyond_the_rules_is_taken_as_stiff_and_said():
    found = solve(
        [
            {"from_": "1", "to": "2", "east": 3, "turn": "mitre", "bend_radius": 300, "mitre_cuts": 1},
            {"to": "3", "north": 3},
        ],
        [anchor("A", "1")],
    )
    (problem,) = found.problems
    assert (problem.code, problem.address.row) == ("flexibility-unknown", 3)
    assert [m.k for m in found.run.net.members if m.part == "bend"] == [1.0, 1.0]


def test_a_reducer_bends_between_its_two_sizes():
    """A cone from 219.1 x 8.18 to 168.3 x 7.11 under an end moment: the steps come within 1 % of the integral."""
    line = {"outside_diameter": None, "wall": None, "nps": 8, "schedule": "40"}
    runs = [{"from_": "1", "to": "2", "east": 1, "item": "reducer", "nps_at_to": 6, "schedule": "40"}]
    load = {"load": "M", "line": "L", "point": "2", "moment_up": 5000, "acts_in": "operating"}
    found = solve(runs, [anchor("A", "1")], line=line, project=STIFF, **{"Point loads": [load]})
    x = (np.arange(2000) + 0.5) / 2000
    inertia = np.array([section(219.1 + s * (168.3 - 219.1), 8.18 + s * (7.11 - 8.18))[1] for s in x])
    exact = float(np.mean(5000 / (E * inertia)))
    assert found.turned("2")[2] - found.turned("2", COLD)[2] == pytest.approx(exact, rel=0.01)
    ends = [(m.end, m.from_, m.to) for m in found.members if m.case == COLD]
    assert ends == [("from", "1", "2"), ("middle", "1", "2"), ("to", "1", "2")]


def test_a_valve_is_ten_times_as_stiff_and_weighs_at_its_middle():
    runs = [
        {"from_": "1", "to": "2", "east": 1},
        {"to": "3", "east": 0.8, "item": "valve", "mass": 250},
        {"to": "4", "east": 1},
    ]
    load = {"load": "M", "line": "L", "point": "4", "moment_up": 2000, "acts_in": "operating"}
    found = solve(runs, [anchor("A", "1")], project=STIFF, line={"fluid_density": 1000}, **{"Point loads": [load]})
    turned = found.turned("4")[2] - found.turned("4", COLD)[2]
    assert turned == pytest.approx(2000 * (2 + 0.8 / 10) / (E * I), rel=1e-9)
    bore = pi / 4 * ((OD - 2 * WALL) * 1e-3) ** 2
    water = 1000 * bore
    assert found.force("A", COLD)[2] == pytest.approx(-G * (250 + 2 * METAL + 2.8 * water), rel=1e-9)
    moment = G * (250 * 1.4 + METAL * (0.5 + 2.3) + water * 2.8 * 1.4)
    assert found.moment("A", COLD)[1] == pytest.approx(moment, rel=1e-9)


def test_an_item_without_mass_weighs_as_pipe():
    runs = [{"from_": "1", "to": "2", "east": 2, "item": "flange"}]
    assert solve(runs, [anchor("A", "1")]).force("A", COLD)[2] == pytest.approx(-2 * METAL * G, rel=1e-9)


def test_insulation_and_contents_weigh():
    line = {"fluid_density": 800, "insulation_thickness": 50, "insulation_density": 120}
    bore, layer = ((OD - 2 * WALL) * 1e-3) ** 2 * pi / 4, pi * 0.05 * (OD * 1e-3 + 0.05)
    found = solve(straight([3]), [anchor("A", "1")], line=line)
    assert found.force("A", COLD)[2] == pytest.approx(-3 * G * (METAL + 800 * bore + 120 * layer), rel=1e-9)


BELLOWS = {"item": "expansion joint", "joint_axial": 200, "joint_lateral": 1000, "joint_angular": 50, "joint_area": 300}
PRESSURE, AREA = 10e5, 300e-4


def test_an_expansion_joint_between_two_anchors_gives_thrust_and_spring_force():
    """Thrust p A pushes both anchors; growth presses the bellows, in series with the pipe, and pushes them further."""
    runs = [
        {"from_": "1", "to": "2", "east": 3},
        {"to": "3", "east": 0.4, **BELLOWS},
        {"to": "4", "east": 6},
    ]
    guides = [support(f"G{n}", n, "rest and guide") for n in ("2", "3")]
    found = solve(
        runs, [anchor("A", "1"), anchor("B", "4"), *guides], line={**HOT, "operating_pressure": 10, "fluid_density": 0}
    )
    series = 1 / (1 / 200e3 + 9 / (E * A))
    # The thrust shortens 9 m of pipe; the bellows, longer by as much, pulls back a little.
    cold = PRESSURE * AREA * (1 - series * 9 / (E * A))
    hot = cold + STRAIN * 9.4 * series
    for name, sign in (("A", -1), ("B", 1)):
        assert found.force(name, COLD)[0] == pytest.approx(sign * cold, rel=1e-9)
        assert found.force(name)[0] == pytest.approx(sign * hot, rel=1e-9)


def test_a_joint_without_stiffness_leaves_the_thrust_to_the_anchors():
    joint = {**BELLOWS, "joint_axial": 0}
    runs = [{"from_": "1", "to": "2", "east": 3}, {"to": "3", "east": 0.4, **joint}, {"to": "4", "east": 6}]
    found = solve(runs, [anchor("A", "1"), anchor("B", "4")], line={**HOT, "operating_pressure": 10})
    assert found.force("A")[0] == pytest.approx(-PRESSURE * AREA, rel=1e-9)
    assert found.force("B")[0] == pytest.approx(PRESSURE * AREA, rel=1e-9)


def test_a_joint_weighs_half_at_each_end_and_takes_torsion_like_pipe():
    runs = [
        {"from_": "1", "to": "2", "east": 1},
        {"to": "3", "east": 0.4, "mass": 30, **BELLOWS},
        {"to": "4", "east": 1},
    ]
    load = {"load": "T", "line": "L", "point": "3", "moment_east": 1000, "acts_in": "operating"}
    found = solve(runs, [anchor("A", "1"), anchor("B", "4")], line={"fluid_density": 1000}, **{"Point loads": [load]})
    water = 1000 * pi / 4 * ((OD - 2 * WALL) * 1e-3) ** 2
    total = G * (30 + 2 * METAL + 2.4 * water)
    assert found.force("A", COLD)[2] + found.force("B", COLD)[2] == pytest.approx(-total, rel=1e-9)
    assert found.force("A", COLD)[2] == pytest.approx(-total / 2, rel=1e-9)
    # Twist is shared by length: 1.4 m of pipe and joint on one side, 1 m on the other.
    assert found.moment("B")[0] - found.moment("B", COLD)[0] == pytest.approx(1000 * 1.4 / 2.4, rel=1e-9)


def tee(*, reverse: bool = False):
    """A header of two lines' worth with a branch that starts at its middle point and one that ends there."""
    lines = [
        {"line": "B", "start_point": None, "outside_diameter": 114.3, "wall": 6.02},
        {"line": "C", "start_point": "9", "start_east": 3, "start_north": -2, "start_up": 0},
    ]
    base = rows([], line=HOT)["Lines"][0]
    book = rows(
        [
            *straight([3, 3]),
            {"line": "B", "from_": "L/2", "to": "7", "north": 2},
            {"line": "B", "to": "8", "up": 1.5},
            {"line": "C", "from_": "9", "to": "L/2", "north": 2},
        ],
        [anchor("A", "1"), anchor("B", "3"), anchor("C", "8", line="B"), anchor("D", "9", line="C")],
        line=HOT,
        lines=[{**base, **line} for line in lines],
    )
    if reverse:
        book = {**book, "Lines": book["Lines"][::-1], "Supports": book["Supports"][::-1]}
        book["Segments"] = [book["Segments"][n] for n in (4, 2, 3, 0, 1)]
    return book


def test_branches_join_their_header_in_one_point():
    found = solve_rows(tee())
    assert {key for key in found.run.net.node_of if key[1] == "2"} == {("L", "2")}
    total = np.sum([found.force(n) for n in "ABCD"], axis=0)
    small = section(114.3, 6.02)[0] * STEEL
    branch = 2 + 1.5 - 2 * 0.1524 + 0.1524 * pi / 2
    assert total == pytest.approx((0, 0, -G * (8 * METAL + branch * small)), abs=1e-6)


def test_the_order_of_lines_and_supports_does_not_matter():
    one, other = solve_rows(tee()), solve_rows(tee(reverse=True))
    for name in "ABCD":
        assert one.force(name) == pytest.approx(other.force(name), rel=1e-9, abs=1e-6)
        assert one.moment(name) == pytest.approx(other.moment(name), rel=1e-9, abs=1e-6)


def test_the_order_of_a_lines_own_rows_does_not_matter():
    runs = [
        {"from_": "1", "to": "2", "east": 3},
        {"from_": "2", "to": "3", "north": 2},
        {"from_": "3", "to": "4", "up": 2},
        {"from_": "4", "to": "5", "east": 2},
    ]
    held = [anchor("A", "1"), anchor("B", "5")]
    one, other = solve(runs, held, line=HOT), solve(runs[::-1], held, line=HOT)
    for name in "AB":
        assert one.force(name) == pytest.approx(other.force(name), rel=1e-9)
        assert one.moment(name) == pytest.approx(other.moment(name), rel=1e-9)


def on_turn(reverse: bool = False):
    base = rows([], line=HOT)["Lines"][0]
    book = rows(
        [
            {"from_": "1", "to": "2", "east": 3},
            {"to": "3", "north": 3},
            {"line": "B", "from_": "L/2", "to": "7", "east": 2},
        ],
        [anchor("A", "1"), anchor("B", "3"), anchor("C", "7", line="B")],
        line=HOT,
        lines=[{**base, "line": "B", "start_point": None}],
    )
    if reverse:
        book["Lines"], book["Segments"] = book["Lines"][::-1], [book["Segments"][n] for n in (2, 0, 1)]
    return book


def test_a_branch_on_a_turn_joins_the_middle_of_the_arc_and_says_so():
    one, other = solve_rows(on_turn()), solve_rows(on_turn(reverse=True))
    assert [(p.code, p.address.sheet, p.address.row) for p in one.problems] == [("joined-on-turn", "Segments", 5)]
    assert one.force("C") == pytest.approx(other.force("C"), rel=1e-9)
    branch = next(m for m in one.run.net.members if m.segment.line == "B")
    assert branch.i == one.run.net.node_of["L", "2"]
    grown_freely(solve_rows({**on_turn(), "Supports": [{"line": "L", **anchor("A", "1")}]}))


def test_a_support_on_a_turn_acts_at_the_middle_of_the_arc():
    """Two arms of one length: the rest under the elbow carries as much from either side."""
    found = solve(
        [{"from_": "1", "to": "2", "east": 3}, {"to": "3", "north": 3}],
        [anchor("A", "1"), anchor("B", "3"), support("R", "2", "rest")],
    )
    assert found.force("A")[2] == pytest.approx(found.force("B")[2], rel=1e-9)
    assert found.move("2")[2] == pytest.approx(0, abs=1e-12)
    assert found.force("R")[2] < 0


def test_splitting_a_run_changes_nothing():
    whole = [{"from_": "1", "to": "2", "east": 4}, {"to": "3", "north": 3, "up": 1}, {"to": "4", "up": 2}]
    split = [
        {"from_": "1", "to": "1a", "east": 1.3},
        {"to": "2", "east": 2.7},
        {"to": "2a", "north": 1.5, "up": 0.5},
        {"to": "3", "north": 1.5, "up": 0.5},
        {"to": "4", "up": 2},
    ]
    held = [anchor("A", "1"), anchor("B", "4"), support("R", "2", "rest", friction=0.3)]
    one, other = solve(whole, held, line=HOT), solve(split, held, line=HOT)
    for name in "ABR":
        assert one.force(name) == pytest.approx(other.force(name), rel=1e-8, abs=1e-5)
        assert one.moment(name) == pytest.approx(other.moment(name), rel=1e-8, abs=1e-5)
