"""Sections and their planes: branches, corners, welds and bends, each moment component by hand."""

from math import cos, radians, sin

import numpy as np
import pytest
from stress_books import S_E, S_L, anchor, book, modulus, plant_of, stresses

from pipecalc.analysis.factors import OWN, SET_B31J, SET_LEGACY
from pipecalc.results import Status

HEADER = [
    {"from_": "1", "to": "2", "east": 3.0, "branch": "unreinforced fabricated tee"},
    {"from_": "2", "to": "3", "east": 3.0},
]
BRANCH = {"line": "B", "outside_diameter": 114.3, "wall": 6.02}
LEG = {"line": "B", "from_": "L/2", "to": "9", "north": 2.0}
H = 7.11 / ((168.3 - 7.11) / 2)
I_OUT = 0.9 / H ** (2 / 3)
I_IN = 0.75 * I_OUT + 0.25


def tee(*loads, header=None, leg=None, branch=None, supports=None, **more):
    first = {**HEADER[0], **(header or {})}
    return stresses(
        book(
            [first, HEADER[1], {**LEG, **(leg or {})}],
            supports or [anchor("A", "1"), anchor("B", "3")],
            lines=[{**BRANCH, **(branch or {})}],
            Point_loads=[{"line": "B", "point": "9", "load": "M", "acts_in": "occasional", **load} for load in loads],
            **more,
        )
    )


def faces(found):
    """Numbers of the sections at the tee with their names, the header's held side first."""
    return [(p.where, n) for n, p in enumerate(found.points) if "of the tee" in p.where]


def event(found, n):
    """Section forces of the point load alone: in plane, out of plane, torsion [N·m]."""
    names = [c.case for c in found.section_forces.cases]
    load, cold = names.index("load M"), names.index("sustained, cold")
    parts = (found.forces.in_plane, found.forces.out_of_plane, found.forces.torsion)
    return [abs(float(part[n, load] - part[n, cold])) for part in parts]


# Header East, branch North: the plane of the tee is level, its normal is Up.
@pytest.mark.parametrize(
    ("moment", "on_branch", "on_header"),
    [
        ("moment_up", 0, 0),
        ("moment_east", 1, 2),
        ("moment_north", 2, 1),
    ],
)
def test_each_moment_acts_in_its_own_direction_on_branch_and_header(moment, on_branch, on_header):
    """A moment on the branch's end: about the normal it is in plane for both; about the header out of plane for the
    branch and torsion for the header; about the branch the other way round."""
    found = tee({moment: 4000.0}, supports=[anchor("A", "1")])
    at = faces(found)
    for name, direction in (("L/2, branch of the tee", on_branch), ("2, run of the tee", on_header)):
        rows = [n for where, n in at if where == name]
        expected = [0.0, 0.0, 0.0]
        expected[direction] = 4000.0
        assert event(found, rows[0]) == pytest.approx(expected, abs=1e-3)


def test_both_sides_of_the_header_and_the_branch_are_checked():
    found = tee()
    assert [c.rows for c in found.all(S_L, "2, run of the tee")] == [(3,), (4,)]
    assert [c.rows for c in found.all(S_L, "L/2, branch of the tee", "B")] == [(5,)]


def test_a_full_size_branch_has_its_own_section_modulus():
    found = tee(branch={"outside_diameter": 168.3, "wall": 7.11})
    assert found.at(S_L, "L/2", "B").inputs["Z_b"] == pytest.approx(modulus())


def test_the_thinner_side_of_the_header_decides():
    runs = [HEADER[0], {**HEADER[1], "wall": 5.0}, LEG]
    found = stresses(book(runs, [anchor("A", "1"), anchor("B", "3")], lines=[BRANCH]))
    h = 5.0 / ((168.3 - 5.0) / 2)
    assert found.at(S_E, "2, run of the tee").inputs["i_o"] == pytest.approx(0.9 / h ** (2 / 3))


def turned(vector, turn, tilt):
    """A vector turned about Up and then tilted about East."""
    east, north, up = vector
    east, north = east * cos(turn) - north * sin(turn), east * sin(turn) + north * cos(turn)
    north, up = north * cos(tilt) - up * sin(tilt), north * sin(tilt) + up * cos(tilt)
    return {"east": east, "north": north, "up": up}


def skewed_plant(turn=0.0, tilt=0.0):
    """A header with an elbow and a skew branch, held at three ends, without weight in its ranges."""
    vectors = {"1-2": (3, 0, 0), "2-3": (3, 0, 0), "3-4": (0, 2, 0), "9-10": (1, 2, 0.5), "10-11": (0, 0, 2.0)}
    run = {name: turned(vector, turn, tilt) for name, vector in vectors.items()}
    rows = [
        {"from_": "1", "to": "2", "branch": "unreinforced fabricated tee", **run["1-2"]},
        {"from_": "2", "to": "3", **run["2-3"]},
        {"from_": "3", "to": "4", **run["3-4"]},
        {"line": "B", "from_": "L/2", "to": "10", **run["9-10"]},
        {"line": "B", "from_": "10", "to": "11", **run["10-11"], "turn": "bend", "bend_radius": 300},
    ]
    rows[1] |= {"turn": "bend", "bend_radius": 300}
    rows[3] |= {"turn": "bend", "bend_radius": 300}
    rows[4] = {k: v for k, v in rows[4].items() if k not in ("turn", "bend_radius")}
    supports = [anchor("A", "1"), anchor("B", "4"), {**anchor("C", "11"), "line": "B"}]
    hot = {"operating_temperature": 200}
    return stresses(book(rows, supports, line=hot, lines=[{**BRANCH, **hot}]))


@pytest.mark.parametrize(("turn", "tilt"), [(radians(33), 0.0), (0.0, radians(90)), (radians(120), radians(-47))])
def test_turning_the_plant_changes_no_displacement_range(turn, tilt):
    here, there = skewed_plant(), skewed_plant(turn, tilt)
    kept = [
        [(c.point, c.demand) for c in found.checks if c.check == S_E and "%" not in c.point] for found in (here, there)
    ]
    assert [p for p, _ in kept[0]] == [p for p, _ in kept[1]]
    assert [d for _, d in kept[0]] == pytest.approx([d for _, d in kept[1]], rel=1e-6)
    assert max(d for _, d in kept[0]) > 50e6


# --- what is not known ---------------------------------------------------------------------------------------------


def test_a_branch_of_unnamed_kind_is_not_checked_and_says_so():
    found = tee(header={"branch": None})
    for check in (*found.all(S_E, "2, run"), *found.all(S_E, "L/2", "B"), *found.all(S_L, "L/2", "B")):
        assert check.status is Status.NOT_CHECKED
        assert "no row names the kind in Branch at To" in check.reason


def test_own_factors_win_even_where_no_kind_is_named():
    for kind in (None, "welding tee"):
        found = tee(header={"branch": kind, "own_i_in": 3.5, "own_i_out": 4.5})
        check = found.at(S_E, "L/2", "B")
        assert check.status is Status.PASS
        assert (check.inputs["i_i"], check.inputs["i_o"]) == (3.5, 4.5)
        assert OWN in check.inputs["factors"]


def test_the_branch_may_be_named_in_its_own_row_where_it_ends_on_the_header():
    runs = [{**HEADER[0], "branch": None}, HEADER[1], {"line": "B", "from_": "9", "to": "L/2", "north": -2.0,
            "branch": "unreinforced fabricated tee"}]  # fmt: skip
    found = stresses(book(runs, [anchor("A", "1"), anchor("B", "3")], lines=[BRANCH]))
    assert found.at(S_E, "L/2", "B").inputs["i_o"] == pytest.approx(I_OUT)


def test_two_rows_that_name_different_kinds_leave_it_open():
    runs = [HEADER[0], HEADER[1], {"line": "B", "from_": "9", "to": "L/2", "north": -2.0, "branch": "welding tee"}]
    found = stresses(book(runs, [anchor("A", "1"), anchor("B", "3")], lines=[BRANCH]))
    assert "two rows name different branches" in found.at(S_E, "L/2", "B").reason


def test_four_pipes_at_a_point_are_no_tee():
    runs = [*HEADER, LEG, {"line": "B", "from_": "L/2", "to": "8", "north": -2.0}]
    found = stresses(book(runs, [anchor("A", "1"), anchor("B", "3")], lines=[BRANCH]))
    assert {c.status for c in found.all(S_E, "2")} == {Status.NOT_CHECKED}
    assert "junction that is no tee" in found.at(S_E, "2").reason


def test_a_bracket_on_an_elbow_is_not_checked_without_own_factors():
    runs = [
        {"from_": "1", "to": "2", "east": 3.0},
        {"from_": "2", "to": "3", "north": 3.0},
        {"line": "B", "from_": "L/2", "to": "9", "up": -1.0},
    ]
    runs[0] |= {"turn": "bend", "bend_radius": 229}
    found = stresses(book(runs, [anchor("A", "1"), anchor("B", "3")], lines=[BRANCH]))
    assert found.at(S_E, "2, middle of the turn").status is Status.NOT_CHECKED
    assert found.at(S_E, "2, start of the turn").status is Status.PASS
    assert "on a bend" in found.at(S_E, "L/2", "B").reason
    runs[0] |= {"own_i_in": 3.0, "own_i_out": 3.0}
    known = stresses(book(runs, [anchor("A", "1"), anchor("B", "3")], lines=[BRANCH]))
    assert known.at(S_E, "2, middle of the turn").inputs["i_i"] == 3.0


def test_a_kind_that_nothing_joins_still_weakens_the_run():
    runs = [{**HEADER[0], "branch": "welded-on fitting"}, HEADER[1]]
    found = stresses(book(runs, [anchor("A", "1"), anchor("B", "3")])).all(S_E, "2")
    i = 0.9 / (3.3 * H) ** (2 / 3)
    assert [c.inputs["i_i"] for c in found] == pytest.approx([i, i])


# --- corners and welds ---------------------------------------------------------------------------------------------


def corner(angle, **more):
    along = {"east": 2.0 * cos(angle), "north": 2.0 * sin(angle)}
    runs = [{"from_": "1", "to": "2", "east": 2.0, "turn": "none", **more}, {"from_": "2", "to": "3", **along}]
    return stresses(book(runs, [anchor("A", "1"), anchor("B", "3")], line={"operating_temperature": 60}))


def test_a_slight_sharp_corner_is_a_single_mitre_on_both_its_faces():
    found = corner(radians(30)).all(S_E, "2")
    assert len(found) == 2
    for check in found:
        assert check.inputs["i_i"] == check.inputs["i_o"] > 1.0
        assert check.inputs["i_a"] == 1.0


def test_a_square_sharp_corner_has_no_rule():
    found = corner(radians(90)).at(S_E, "2")
    assert found.status is Status.NOT_CHECKED
    assert "cut at 45.0 degrees, the rule ends at 22.5" in found.reason
    assert corner(radians(90), own_i_in=5, own_i_out=6).at(S_E, "2").inputs["i_o"] == 6.0


def test_two_lines_that_meet_at_an_angle_are_not_checked_there():
    runs = [{"from_": "1", "to": "2", "east": 2.0}, {"line": "B", "from_": "L/2", "to": "9", "north": 2.0}]
    found = stresses(book(runs, [anchor("A", "1"), {**anchor("B", "9"), "line": "B"}], lines=[BRANCH]))
    assert "corner without a turn" in found.at(S_E, "2").reason
    assert found.at(S_E, "L/2", "B").status is Status.NOT_CHECKED


def weld(kind, **more):
    runs = [{"from_": "1", "to": "2", "east": 2.0, "weld": kind, **more}, {"from_": "2", "to": "3", "east": 2.0}]
    return stresses(book(runs, [anchor("A", "1"), anchor("B", "3")]))


@pytest.mark.parametrize(
    ("kind", "i"),
    [("socket weld", 1.3), ("threaded joint", 2.3), ("lap-joint flange", 1.6), ("butt weld", 1.0), (None, 1.0)],
)
def test_a_weld_acts_on_both_sides_of_its_point(kind, i):
    assert [c.inputs["i_i"] for c in weld(kind).all(S_E, "2")] == [i, i]
    assert weld(kind).at(S_E, "1").inputs["i_i"] == 1.0


def test_own_factors_at_a_straight_point_act_on_both_sides_in_every_direction():
    found = weld("socket weld", own_i_in=1.5, own_i_out=2.0).all(S_E, "2")
    assert [(c.inputs["i_i"], c.inputs["i_o"]) for c in found] == [(2.0, 2.0)] * 2


def test_a_socket_welded_elbow_has_its_welds_at_both_ends_of_the_turn():
    runs = [{"from_": "1", "to": "2", "east": 2.0, "turn": "bend", "bend_radius": 229, "weld": "socket weld"},
            {"from_": "2", "to": "3", "north": 2.0}]  # fmt: skip
    found = stresses(book(runs, [anchor("A", "1"), anchor("B", "3")]))
    assert found.at(S_E, "2, before the turn").inputs["i_i"] == 1.3
    assert found.at(S_E, "2, after the turn").inputs["i_i"] == 1.3
    assert found.at(S_E, "3").inputs["i_i"] == 1.0


# --- the later set ---------------------------------------------------------------------------------------------------

B31J = {"intensification": "B31J", "edition": "2022"}


def test_the_later_set_acts_only_where_the_project_says_so_and_is_called_unverified():
    assert SET_LEGACY in tee(project={"edition": "2022"}).at(S_E, "L/2", "B").inputs["factors"]
    later = tee(project=B31J).at(S_E, "L/2", "B")
    assert SET_B31J in later.inputs["factors"]
    assert "unverified, check against your copy" in later.reason
    assert later.status is Status.PASS
    assert later.inputs["Z_b"] == pytest.approx(modulus(0.1143, 0.00602))
    run = tee(project=B31J).at(S_E, "2, run of the tee")
    assert run.inputs["i_o"] != later.inputs["i_o"]


def test_geometry_outside_the_later_set_names_the_limit():
    thin = tee(header={"wall": 1.5}, project=B31J).at(S_E, "L/2", "B")
    assert thin.status is Status.NOT_CHECKED
    assert "R/T of the run is 55.6, the table ends at 50" in thin.reason


def test_kinds_that_the_later_set_does_not_hold_are_not_checked():
    found = tee(header={"branch": "extruded outlet"}, project=B31J).at(S_E, "L/2", "B")
    assert "no factors in this set" in found.reason
    older = tee(header={"branch": "extruded outlet"}).at(S_E, "L/2", "B")
    assert "its crotch is not known" in older.reason


def test_a_reducer_has_the_formula_of_the_later_set_and_one_in_the_older():
    runs = [
        {"from_": "1", "to": "2", "east": 2.0},
        {"from_": "2", "to": "3", "east": 0.09, "item": "reducer", "nps_at_to": 4, "schedule": "40"},
        {"from_": "3", "to": "4", "east": 2.0},
    ]
    line = {"outside_diameter": None, "wall": None, "nps": 6, "schedule": "40"}
    supports = [anchor("A", "1"), anchor("B", "4")]
    later = stresses(book(runs, supports, line=line, project=B31J))
    before, after = (c.inputs["i_i"] for c in later.all(S_E, "3"))
    assert before == after > 1.0
    older = stresses(book(runs, supports, line=line))
    assert [c.inputs["i_i"] for c in older.all(S_E, "3")] == [1.0, 1.0]
    assert older.all(S_E, "3")[0].inputs["D"] == pytest.approx(0.1143)


# --- bends ----------------------------------------------------------------------------------------


def test_a_bend_of_very_thin_pipe_has_no_factor():
    runs = [{"from_": "1", "to": "2", "east": 2.0, "turn": "bend", "bend_radius": 229},
            {"from_": "2", "to": "3", "north": 2.0}]  # fmt: skip
    found = stresses(book(runs, [anchor("A", "1"), anchor("B", "3")], line={"wall": 1.6})).at(S_E, "2, middle")
    assert found.status is Status.NOT_CHECKED
    assert "D/T is above 100" in found.reason


def test_an_own_flexibility_factor_leaves_the_computed_intensification():
    runs = [{"from_": "1", "to": "2", "east": 2.0, "turn": "bend", "bend_radius": 229, "own_k": 20},
            {"from_": "2", "to": "3", "north": 2.0}]  # fmt: skip
    plain = [{k: v for k, v in row.items() if k != "own_k"} for row in runs]
    line, held = {"operating_temperature": 200}, [anchor("A", "1"), anchor("B", "3")]
    soft, stiff = (stresses(book(rows, held, line=line)).at(S_E, "2, middle") for rows in (runs, plain))
    assert soft.inputs["i_i"] == stiff.inputs["i_i"]
    assert SET_LEGACY in soft.inputs["factors"]
    assert soft.demand < stiff.demand


def test_a_section_between_the_ends_has_the_forces_of_the_member_there():
    from pipecalc.analysis.frame import run_frame
    from pipecalc.analysis.frame_results import all_section_forces, columns
    from pipecalc.analysis.stress_forces import bending
    from pipecalc.calc.end_forces import section_forces
    from pipecalc.calc.frame import build_loads

    runs = [{"from_": "1", "to": "2", "east": 3.0, "north": 1.0, "up": 2.0, "turn": "bend", "bend_radius": 229},
            {"from_": "2", "to": "3", "up": 4.0}]  # fmt: skip
    rows = book(runs, [anchor("A", "1"), anchor("B", "3")], project={"wind_pressure": 3000, "seismic_horizontal": 0.3})
    plant = plant_of(rows)
    run = run_frame(plant)
    found, frame = columns(run, plant), run.static[0].frame
    forces = all_section_forces(frame, found)
    loads = build_loads(frame, len(found), distributed=np.stack([c.distributed for c in found], axis=2))
    for t in (0.2, 0.5, 0.83):
        there = section_forces(frame, forces.actions, loads, t)
        straight = np.flatnonzero(~frame.is_bend)
        y, z = bending(forces, frame, straight, np.full(len(straight), t))
        assert y == pytest.approx(there[straight, 4], rel=1e-9, abs=1e-6)
        assert z == pytest.approx(there[straight, 5], rel=1e-9, abs=1e-6)
