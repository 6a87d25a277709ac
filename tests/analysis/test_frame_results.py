"""Result records of the frame: nozzle axes, section forces, support directions, balance; the hand method beside it."""

from math import pi

import numpy as np
import pytest

from pipecalc.analysis.legs import hand_line
from tests.analysis.frame_plants import (
    ALPHA,
    COLD,
    METAL,
    OPERATING,
    A,
    E,
    G,
    I,
    anchor,
    plant_of,
    rows,
    solve,
    solve_plant,
    solve_rows,
    straight,
    support,
)

L = 6.0
W = METAL * G
GROWTH = "range, installed to operating"
PLAIN = {"shear_deformation": "no", "elbow": "none"}


def fixed(name, east, north, temperature=20, up=0):
    return {
        "equipment": name,
        "kind": "fixed",
        "base_east": east,
        "base_north": north,
        "base_up": up,
        "material": "Test steel",
        "temperature": temperature,
    }


def nozzled(direction="-W", equipment=None, **more):
    """An L of 4 m by 3 m from a nozzle at the origin to an anchor."""
    nozzle = {
        "nozzle": "N",
        "equipment": "V",
        "nps": 6,
        "east": 0,
        "north": 0,
        "up": 0,
        "direction": direction,
        "line": "L",
        "point": "1",
        **more,
    }
    return rows(
        [{"from_": "1", "to": "2", "east": 4}, {"to": "3", "north": 3}, {"to": "4", "up": 2}],
        [anchor("B", "4")],
        line={"operating_temperature": 220, "start_point": None, "fluid_density": 500},
        Equipment=[equipment or fixed("V", -0.5, 0)],
        Nozzles=[nozzle],
    )


def test_a_nozzle_on_cold_equipment_bears_what_an_anchor_would():
    book = nozzled("+E")
    held = {**book, "Supports": [*book["Supports"], {"line": "L", **anchor("A", "1")}], "Nozzles": []}
    held["Lines"] = [{**book["Lines"][0], "start_point": "1"}]
    at_nozzle, at_anchor = solve_rows(book), solve_rows(held)
    for case in (COLD, OPERATING):
        assert at_nozzle.force("N", case) == pytest.approx(at_anchor.force("A", case), rel=1e-9)
        assert at_nozzle.moment("N", case) == pytest.approx(at_anchor.moment("A", case), rel=1e-9)


def test_nozzle_loads_are_resolved_outward_along_and_across():
    """Fixed equipment: R outward, L Up, C = R x L."""
    found = solve_rows(nozzled("0.6, 0.8, 0"))
    load = found.nozzle["N", OPERATING]
    R, up = np.array([0.6, 0.8, 0]), np.array([0, 0, 1])
    for vector, parts in ((load.force, ("FR", "FL", "FC")), (load.moment, ("MR", "ML", "MC"))):
        for axis, part in zip((R, up, np.cross(R, up)), parts, strict=True):
            assert getattr(load, part) == pytest.approx(float(axis @ np.array(vector)), rel=1e-9)
    assert load.method == "frame"
    assert load.FL < 0  # weight hangs on it


def test_the_nozzle_follows_its_equipment():
    found = solve_rows(nozzled("+E", fixed("V", -2.0, 0, temperature=120)))
    assert found.move("1") == pytest.approx((100 * ALPHA * 2.0, 0, 0), abs=1e-12)
    assert found.move("1", COLD) == pytest.approx((0, 0, 0), abs=1e-15)
    assert found.turned("1") == pytest.approx((0, 0, 0), abs=1e-15)


def test_nozzles_without_a_line_have_no_load():
    book = nozzled("+E")
    book["Nozzles"].append(
        {"nozzle": "X", "equipment": "V", "nps": 6, "east": 0, "north": 1, "up": 0, "direction": "+N"}
    )
    found = solve_rows(book)
    assert {name for name, _ in found.nozzle} == {"N"}


def test_section_forces_of_a_cantilever():
    loads = [{"load": "P", "line": "L", "point": "2", "acts_in": "operating"}]
    loads[0] |= {"force_east": 800, "force_north": 300, "moment_east": 120}
    found = solve(straight([L]), [anchor("A", "1")], **{"Point loads": loads})
    start, end = found.member("1", "2", "from"), found.member("1", "2", "to")
    assert (start.axial, end.axial) == pytest.approx((800, 800), rel=1e-9)
    assert (start.torsion, end.torsion) == pytest.approx((120, 120), rel=1e-9)
    assert (abs(start.bending_in_plane), abs(end.bending_in_plane)) == pytest.approx((W * L**2 / 2, 0), abs=1e-5)
    assert (abs(start.bending_out_of_plane), abs(end.bending_out_of_plane)) == pytest.approx((300 * L, 0), abs=1e-5)
    # What the part beyond does to the part before: the tip is pushed East and North, the root carries the weight.
    assert end.force == pytest.approx((800, 300, 0), abs=1e-6)
    assert start.force == pytest.approx((800, 300, -W * L), rel=1e-9)
    assert start.force == pytest.approx(found.force("A"), rel=1e-9)
    assert start.moment == pytest.approx(found.moment("A"), rel=1e-9)


def test_section_forces_of_a_bend_in_and_out_of_its_plane():
    """Quarter bend of 2 m: a load at its end square to the last tangent bends in plane, one upward bends and twists."""
    runs = [{"from_": "1", "to": "2", "east": 2, "turn": "bend", "bend_radius": 2000}, {"to": "3", "north": 2}]
    loads = [{"load": "P", "line": "L", "point": "3", "force_east": 500, "acts_in": "operating"}]
    found = solve(runs, [anchor("A", "1")], **{"Point loads": loads})

    def change(end, name):
        hot, cold = (bend(end, case) for case in (OPERATING, COLD))
        return getattr(hot, name) - getattr(cold, name)

    def bend(end, case):
        return found.member("1", "2", end, case, "bend")

    assert change("to", "bending_in_plane") == pytest.approx(0, abs=1e-6)
    assert abs(change("middle", "bending_in_plane")) == pytest.approx(500 * 2 * np.sin(pi / 4), rel=1e-9)
    assert abs(change("from", "bending_in_plane")) == pytest.approx(500 * 2, rel=1e-9)
    assert change("from", "bending_out_of_plane") == pytest.approx(0, abs=1e-6)
    # Weight: torsion where the bend begins is the arc's weight times its lever 2 R/pi short of R.
    weight = W * pi
    arm = 2 - 2 * 2 / pi
    assert abs(bend("from", COLD).torsion) == pytest.approx(weight * arm, rel=1e-9)
    assert abs(bend("from", COLD).bending_out_of_plane) == pytest.approx(weight * 2 * 2 / pi, rel=1e-9)


def test_every_end_is_told_once():
    runs = [
        {"from_": "1", "to": "2", "east": 2},
        {"to": "3", "north": 1},
        {"to": "4", "north": 0.6, "item": "valve", "mass": 90},
        {"to": "5", "north": 2},
    ]
    found = solve(runs, [anchor("A", "1"), anchor("B", "5")])
    told = [(m.from_, m.to, m.part, m.end) for m in found.members if m.case == COLD]
    assert told == [
        ("1", "2", "run", "from"),
        ("1", "2", "run", "to"),
        ("1", "2", "bend", "from"),
        ("1", "2", "bend", "middle"),
        ("1", "2", "bend", "to"),
        ("2", "3", "run", "from"),
        ("2", "3", "run", "to"),
        ("3", "4", "run", "from"),
        ("3", "4", "run", "middle"),
        ("3", "4", "run", "to"),
        ("4", "5", "run", "from"),
        ("4", "5", "run", "to"),
    ]


def test_loads_on_supports_of_a_sloping_pipe_are_level_and_upright():
    found = solve(
        [
            {"from_": "1", "to": "2", "east": 2.4, "north": 1.8, "up": 4},
            {"to": "3", "east": 2.4, "north": 1.8, "up": 4},
        ],
        [anchor("A", "1"), anchor("B", "3"), support("S", "2", "rest, guide and line stop")],
        line={"operating_temperature": 120},
    )
    load = found.support["S", OPERATING]
    force, level = np.array(load.force), np.array([0.8, 0.6, 0])
    assert load.vertical == pytest.approx(force[2])
    assert load.axial == pytest.approx(float(force @ level))
    assert load.lateral == pytest.approx(float(force @ np.array([-0.6, 0.8, 0])), abs=1e-9)


def test_applied_loads_and_reactions_are_listed_and_balance():
    found = solve(
        [*straight([3, 3]), {"from_": "3", "to": "4", "north": 3}],
        [anchor("A", "1"), anchor("B", "4"), support("R", "2", "rest", friction=0.3)],
        line={"operating_temperature": 220, "fluid_density": 900},
        project={"seismic_horizontal": 0.2},
    )
    assert [e.case for e in found.equilibrium] == [c for c in found.cases if not c.startswith("range")]
    for e in found.equilibrium:
        assert e.applied == pytest.approx(tuple(-v for v in e.reactions), rel=1e-8, abs=1e-5)
        total = np.sum([found.force(n, e.case) for n in "ABR"], axis=0)
        assert e.applied == pytest.approx(tuple(total), rel=1e-8, abs=1e-5)


def test_hand_method_and_frame_agree_on_two_equal_legs():
    """Equal legs with a sharp corner are two guided cantilevers: M = 6 E I d/L², F = 12 E I d/L³."""
    book = nozzled("+E")
    book["Segments"] = [{"line": "L", "from_": "1", "to": "2", "east": 4}, {"line": "L", "to": "3", "north": 4}]
    book["Supports"] = [{"line": "L", **anchor("B", "3")}]
    book["Project"][0] |= PLAIN
    plant = plant_of(book)
    found = solve_plant(plant)
    (hand,) = (n for n in hand_line(plant.lines["L"], plant).nozzle_loads if n.case == OPERATING)
    frame = found.member("1", "2", "from", GROWTH)
    growth = 200 * ALPHA * 4
    assert abs(frame.axial) == pytest.approx(12 * E * I * growth / 4**3, rel=5e-3)
    assert abs(frame.bending_out_of_plane) == pytest.approx(6 * E * I * growth / 4**2, rel=5e-3)
    assert hand.force[0] == pytest.approx(frame.force[0], rel=5e-3)
    assert hand.force[1] == pytest.approx(frame.force[1], rel=5e-3)
    assert abs(hand.moment[2]) == pytest.approx(abs(frame.moment[2]), rel=5e-3)


def test_the_hand_method_overstates_the_load_of_unequal_legs():
    book = nozzled("+E")
    book["Segments"] = [{"line": "L", "from_": "1", "to": "2", "east": 8}, {"line": "L", "to": "3", "north": 4}]
    book["Supports"] = [{"line": "L", **anchor("B", "3")}]
    book["Project"][0] |= PLAIN
    plant = plant_of(book)
    (hand,) = (n for n in hand_line(plant.lines["L"], plant).nozzle_loads if n.case == OPERATING)
    frame = solve_plant(plant).member("1", "2", "from", GROWTH)
    assert abs(frame.force[0]) < abs(hand.force[0])


def test_thermal_thrust_of_an_anchored_pipe():
    found = solve(straight([L]), [anchor("A", "1"), anchor("B", "2")], line={"operating_temperature": 120})
    assert found.force("B")[0] == pytest.approx(E * A * ALPHA * 100, rel=1e-9)
    assert found.member("1", "2", "from").axial == pytest.approx(-E * A * ALPHA * 100, rel=1e-9)
