"""Load cases: what acts in each, and that ranges are differences of solved states."""

from math import pi

import numpy as np
import pytest

from tests.analysis.frame_plants import (
    ALPHA,
    BORE,
    COLD,
    METAL,
    OD,
    OPERATING,
    TEST,
    WALL,
    A,
    E,
    G,
    I,
    anchor,
    rows,
    solve,
    solve_rows,
    straight,
    support,
)

L = 6.0
W = METAL * G
HOT_SUSTAINED = "sustained, supports of operating"
STIFF = {"shear_deformation": "no"}
STATES = [
    {"state": "start-up", "applies_to": "all", "temperature": 250, "pressure": 5},
    {"state": "steam-out", "applies_to": "L", "temperature": 150, "fluid_density": 0},
]


def test_every_case_is_there_once_in_plain_words():
    found = solve(
        straight([L]),
        [anchor("A", "1"), support("R", "2", "rest")],
        line={"test_pressure": 20, "operating_temperature": 100},
        project={"seismic_horizontal": 0.2, "seismic_vertical": 0.1, "wind_pressure": 700},
        States=STATES,
        **{"Point loads": [{"load": "RV-1", "line": "L", "point": "2", "force_up": 50, "acts_in": "occasional"}]},
    )
    assert found.cases == (
        "sustained, cold",
        "operating",
        "operating: start-up",
        "operating: steam-out",
        "pressure test",
        "sustained, supports of operating",
        "sustained, supports of start-up",
        "sustained, supports of steam-out",
        *(f"seismic {way} {sign}" for way in ("East", "North", "Up") for sign in "+-"),
        *(f"wind {way} {sign}" for way in ("East", "North") for sign in "+-"),
        "load RV-1",
        "range, installed to operating",
        "range, installed to start-up",
        "range, installed to steam-out",
        "range, operating to start-up",
        "range, operating to steam-out",
        "range, start-up to steam-out",
    )


def test_a_plain_line_has_few_cases():
    found = solve(straight([L]), [anchor("A", "1")])
    assert found.cases == (COLD, OPERATING, HOT_SUSTAINED, "range, installed to operating")


def test_a_line_without_weight_growth_or_load_has_no_loads():
    found = solve(straight([L, 2]), [anchor("A", "1"), anchor("B", "3"), support("R", "2", "rest", friction=0.3)])
    range_case = "range, installed to operating"
    for m in found.members:
        if m.case == range_case:
            assert (m.axial, m.bending_in_plane, m.bending_out_of_plane, m.torsion) == pytest.approx((0,) * 4, abs=1e-6)
    assert found.move("2", range_case) == pytest.approx((0, 0, 0), abs=1e-15)


def test_ranges_are_differences_of_solved_states_and_not_sums_of_loads():
    """A rest that lifts in one state: the range holds the change of its load."""
    riser = [{"from_": "1", "to": "2", "up": 3}, {"to": "3", "east": 3}, {"to": "4", "east": 3}]
    found = solve(
        riser,
        [anchor("A", "1"), support("R", "3", "rest"), support("T", "4", "rest", friction=0.2)],
        line={"operating_temperature": 220},
        States=STATES,
    )
    assert not found.support["R", OPERATING].acting
    for a, b in (("operating", "start-up"), ("operating", "steam-out"), ("start-up", "steam-out")):
        names = ["operating" if s == "operating" else f"operating: {s}" for s in (a, b)]
        for point in "234":
            change = np.subtract(found.move(point, names[1]), found.move(point, names[0]))
            assert found.move(point, f"range, {a} to {b}") == pytest.approx(tuple(change), abs=1e-15)
    for end in ("from", "to"):
        hot, cold = (found.member("1", "2", end, case).bending_in_plane for case in (OPERATING, COLD))
        change = found.member("1", "2", end, "range, installed to operating").bending_in_plane
        assert change == pytest.approx(hot - cold, rel=1e-9)


def test_a_states_contents_and_temperature_act_in_it():
    found = solve(
        straight([L]),
        [anchor("A", "1"), anchor("B", "2")],
        line={"fluid_density": 900, "operating_temperature": 100},
        States=STATES,
    )
    full, empty = METAL + 900 * BORE, METAL
    assert found.force("A", OPERATING)[2] == pytest.approx(-full * G * L / 2, rel=1e-9)
    assert found.force("A", "operating: start-up")[2] == pytest.approx(-full * G * L / 2, rel=1e-9)
    assert found.force("A", "operating: steam-out")[2] == pytest.approx(-empty * G * L / 2, rel=1e-9)
    for case, warm in ((OPERATING, 80), ("operating: start-up", 230), ("operating: steam-out", 130)):
        assert found.force("B", case)[0] == pytest.approx(E * A * ALPHA * warm, rel=1e-9)


@pytest.mark.parametrize(
    ("acts_in", "cases"),
    [
        ("always", {COLD, OPERATING, TEST, HOT_SUSTAINED, "seismic Up +", "seismic Up -"}),
        ("sustained", {COLD, OPERATING, HOT_SUSTAINED, "seismic Up +", "seismic Up -"}),
        ("operating", {OPERATING}),
        ("test", {TEST}),
        ("occasional", {"load P"}),
    ],
)
def test_a_point_load_acts_where_its_row_says(acts_in, cases):
    load = {"load": "P", "line": "L", "point": "2", "force_north": 100, "moment_up": 40, "acts_in": acts_in}
    found = solve(
        straight([L]),
        [anchor("A", "1")],
        line={"test_pressure": 10},
        project={"seismic_vertical": 0.1},
        **{"Point loads": [load]},
    )
    where = {case for (name, case), s in found.support.items() if abs(s.force[1] - 100) < 1e-6}
    still = {case for (name, case), s in found.support.items() if abs(s.force[1]) < 1e-6}
    assert where == cases
    assert where | still == {c for c in found.cases if not c.startswith("range")}
    for case in cases:
        assert found.moment("A", case)[2] == pytest.approx(40 + 100 * L, rel=1e-9)


def test_a_point_mass_weighs_in_every_case_whatever_its_load_acts_in():
    load = {"load": "P", "line": "L", "point": "2", "mass": 80, "force_north": 100, "acts_in": "occasional"}
    found = solve(straight([L]), [anchor("A", "1")], project={"seismic_horizontal": 0.25}, **{"Point loads": [load]})
    total = (80 + METAL * L) * G
    for case in (COLD, OPERATING, HOT_SUSTAINED, "load P"):
        assert found.force("A", case)[2] == pytest.approx(-total, rel=1e-9)
    assert found.force("A", "seismic East -")[0] == pytest.approx(-0.25 * total, rel=1e-9)


def test_earthquake_pushes_all_masses_both_ways_beside_the_weight():
    book = rows(
        [*straight([2]), {"from_": "2", "to": "3", "east": 1, "item": "valve", "mass": 120}, *straight([3], first=3)],
        [anchor("A", "1"), anchor("B", "4")],
        line={"fluid_density": 1000, "operating_temperature": 200},
        project={"seismic_horizontal": 0.3, "seismic_vertical": 0.2},
    )
    found = solve_rows(book)
    total = G * (120 + 5 * METAL + 6 * 1000 * BORE)
    shares = {"East": (0.3, 0, 0), "North": (0, 0.3, 0), "Up": (0, 0, 0.2)}
    for name, share in shares.items():
        for sign, word in ((1, "+"), (-1, "-")):
            force = np.add(found.force("A", f"seismic {name} {word}"), found.force("B", f"seismic {name} {word}"))
            expected = total * (sign * np.array(share) - (0, 0, 1))
            assert force == pytest.approx(expected, rel=1e-9, abs=1e-6)


@pytest.mark.parametrize("azimuth", [0, 30, 60, 90])
def test_wind_acts_square_to_the_pipe_on_the_insulation(azimuth):
    """Cross-flow: q C D (sin a)² on a pipe that makes an angle a with the wind, square to the pipe."""
    c, s = np.cos(np.radians(azimuth)), np.sin(np.radians(azimuth))
    found = solve(
        [{"from_": "1", "to": "2", "east": L * c, "north": L * s}],
        [anchor("A", "1")],
        line={"insulation_thickness": 40, "insulation_density": 100},
        project={"wind_pressure": 800, "wind_shape_factor": 0.7},
    )
    expected = 800 * 0.7 * (OD * 1e-3 + 0.08) * L * abs(s) * np.array([s * s, -s * c])
    assert found.force("A", "wind East +")[:2] == pytest.approx(tuple(expected), rel=1e-9, abs=1e-9)
    assert found.force("A", "wind East -")[:2] == pytest.approx(tuple(-expected), rel=1e-9, abs=1e-9)


def test_occasional_cases_are_cold():
    found = solve(
        straight([L]),
        [anchor("A", "1"), anchor("B", "2")],
        line={"operating_temperature": 220},
        project={"seismic_horizontal": 0.2},
    )
    assert found.force("B", "seismic North +")[0] == pytest.approx(0, abs=1e-6)


SOFT_STEEL = [
    {
        "material": "Test steel",
        "temperature": t,
        "modulus": e,
        "expansion": 12,
        "allowable": 120,
        "yield_strength": 240,
        "density": 7850,
        "source": "chosen for the test",
    }
    for t, e in ((-50, 200), (20, 200), (320, 150))
]


@pytest.mark.parametrize(("choice", "modulus"), [("installation", 200e9), ("operating", 150e9)])
def test_reactions_take_the_modulus_chosen_and_ranges_that_at_installation(choice, modulus):
    found = solve(
        straight([L]),
        [anchor("A", "1"), anchor("B", "2")],
        line={"operating_temperature": 320, "test_pressure": 5},
        project={"modulus_for_reactions": choice},
        Materials=SOFT_STEEL,
        States=[{"state": "warm", "applies_to": "all", "temperature": 170}],
    )
    assert found.force("B")[0] == pytest.approx(modulus * A * ALPHA * 300, rel=1e-9)
    warm = 175e9 if choice == "operating" else 200e9
    assert found.force("B", "operating: warm")[0] == pytest.approx(warm * A * ALPHA * 150, rel=1e-9)
    thrust = found.member("1", "2", "from", "range, installed to operating").axial
    assert thrust == pytest.approx(-200e9 * A * ALPHA * 300, rel=1e-9)
    between = found.member("1", "2", "from", "range, operating to warm").axial
    assert between == pytest.approx(200e9 * A * ALPHA * 150, rel=1e-9)


def test_cold_cases_keep_the_modulus_at_installation():
    """A soft prop shares the weight by stiffness: the cold share must not follow the hot modulus."""
    loads = []
    for choice in ("installation", "operating"):
        found = solve(
            straight([L]),
            [anchor("A", "1"), support("R", "2", "rest", stiffness=20)],
            line={"operating_temperature": 320, "test_pressure": 5},
            project={"modulus_for_reactions": choice},
            Materials=SOFT_STEEL,
        )
        loads.append([found.force("R", case)[2] for case in (COLD, TEST, OPERATING)])
    assert loads[0][:2] == pytest.approx(loads[1][:2], rel=1e-12)
    assert loads[1][2] < loads[0][2] * 1.01


def elbowed(**project):
    runs = [{"from_": "1", "to": "2", "east": 3}, {"to": "3", "north": 3}]
    return solve(
        runs,
        [anchor("A", "1"), anchor("B", "3")],
        line={"operating_temperature": 220, "operating_pressure": 40},
        project={**STIFF, **project},
        States=[{"state": "hot without pressure", "applies_to": "all", "temperature": 220, "pressure": 0}],
    )


def test_pressure_stiffens_elbows_where_the_project_says_so():
    """k over 1 + 6 (P/E)(r2/T)^(7/3)(R1/r2)^(1/3) (ASME B31.3-2018 Appendix D, Table D300, note 7)."""
    plain, stiff = elbowed(), elbowed(pressure_stiffening="yes")
    r = (OD - WALL) / 2
    k = 1.65 * r**2 / (WALL * 228.6)
    divisor = 1 + 6 * 4e6 / E * (r / WALL) ** (7 / 3) * (228.6 / r) ** (1 / 3)
    for found, factor in ((plain, k), (stiff, k / divisor)):
        assert [m for m in found.run.by_state["operating"].frame.k_in if m > 1] == pytest.approx([factor] * 2)
    unpressed = stiff.run.by_state["hot without pressure"].frame.k_in
    assert [m for m in unpressed if m > 1] == pytest.approx([k] * 2)
    assert abs(stiff.force("A")[0]) > abs(plain.force("A")[0])
    assert stiff.force("A", "operating: hot without pressure") == pytest.approx(plain.force("A"), rel=1e-9)


def test_shear_deformation_is_a_choice():
    """A tip under a load sags P L³/(3 E I), and P L/(G A/2) more with shear."""
    load = {"load": "P", "line": "L", "point": "2", "force_north": 1000, "acts_in": "operating"}
    bent = 1000 * 1.5**3 / (3 * E * I)
    for choice, more in (("no", 0.0), ("yes", 1000 * 1.5 / (E / 2.6 * A / 2))):
        found = solve(
            straight([1.5]), [anchor("A", "1")], project={"shear_deformation": choice}, **{"Point loads": [load]}
        )
        assert found.move("2")[1] == pytest.approx(bent + more, rel=1e-9)


def test_the_test_case_has_test_pressure_water_and_no_growth():
    joint = {"item": "expansion joint", "joint_axial": 0, "joint_lateral": 1e3, "joint_angular": 10, "joint_area": 250}
    runs = [{"from_": "1", "to": "2", "east": 2}, {"to": "3", "east": 0.3, **joint}, {"to": "4", "east": 2}]
    found = solve(
        runs,
        [anchor("A", "1"), anchor("B", "4")],
        line={"operating_temperature": 220, "operating_pressure": 5, "test_pressure": 24, "fluid_density": 30},
    )
    assert found.force("B", TEST)[0] == pytest.approx(24e5 * 250e-4, rel=1e-9)
    assert found.force("B")[0] == pytest.approx(5e5 * 250e-4, rel=1e-9)
    total = found.force("A", TEST)[2] + found.force("B", TEST)[2]
    water = 1000 * pi / 4 * ((OD - 2 * WALL) * 1e-3) ** 2
    assert total == pytest.approx(-G * 4.3 * (METAL + water), rel=1e-9)


def test_a_segments_own_temperature_holds_unless_a_state_sets_the_lines():
    runs = [{"from_": "1", "to": "2", "east": 3, "temperature": 120}, {"to": "3", "east": 3}]
    found = solve(runs, [anchor("A", "1")], line={"operating_temperature": 220}, States=[STATES[1]])
    assert found.move("3")[0] == pytest.approx(ALPHA * 3 * (100 + 200), rel=1e-9)
    assert found.move("3", "operating: steam-out")[0] == pytest.approx(ALPHA * 6 * 130, rel=1e-9)
