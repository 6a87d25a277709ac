"""Branches that turn on their header: against cantilevers by hand, and what must not change with them."""

from math import cos, radians, sin

import numpy as np
import pytest

from pipecalc.analysis import frame, frame_tees
from pipecalc.analysis.analyse import analyse
from pipecalc.analysis.frame import run_frame
from pipecalc.analysis.stress_points import stress_points
from tests.analysis.frame_plants import COLD, OPERATING, E, anchor, plant_of, rows, section, solve_rows

B31J = {"intensification": "B31J", "edition": "2022"}
HEADER, BRANCH = (168.3, 7.11), (114.3, 6.02)
LEG, M = 2.0, 3000.0
A_B, I_B = section(*BRANCH)
D_B = (BRANCH[0] - BRANCH[1]) * 1e-3
NAMES = ("east", "north", "up")
R_T, A, T_T = (HEADER[0] - HEADER[1]) / 2 / HEADER[1], (114.3 - 6.02) / (168.3 - 7.11), 6.02 / 7.11
#: Unreinforced tee, fits of the branch leg in plane and out of plane; in torsion the fit is below one.
K_IN = (3.15 * A - 6.4 * A**2 + 4 * A**3) * R_T**0.83 * T_T**0.49 * A**-0.2
K_OUT = (2.05 * A - 2.94 * A**2 + 1.1 * A**3) * R_T**1.4 * T_T**0.6 * A**0.12
FITS = pytest.mark.source(
    "ASME B31J-2017 Table 1-1, from memory: k_ib, k_ob, k_tb of the unreinforced tee; rotation = k M d/(E I); by hand"
)


def turned(vector, degrees):
    c, s = cos(radians(degrees)), sin(radians(degrees))
    return (c * vector[0] - s * vector[1], s * vector[0] + c * vector[1], vector[2])


def run(vector):
    return dict(zip(NAMES, vector, strict=True))


def tee(
    load=(0, 0, 0), *, force=(0, 0, 0), leg=(0, LEG, 0), degrees=0.0, supports=None, basis=B31J, line=None, **first
):
    """A header to the East held at its tee, and a branch that carries a moment and a force at its end."""
    along, out, m, f = (turned(v, degrees) for v in ((1.5, 0, 0), leg, load, force))
    kind = first.pop("branch", "unreinforced fabricated tee")
    acting = {f"moment_{n}": v for n, v in zip(NAMES, m, strict=True)} | {
        f"force_{n}": v for n, v in zip(NAMES, f, strict=True)
    }
    return rows(
        [
            {"from_": "1", "to": "2", **run(along), "branch": kind, **first},
            {"from_": "2", "to": "3", **run(along)},
            {"line": "B", "from_": "L/2", "to": "9", **run(out)},
        ],
        supports or [anchor("A", "2")],
        line=line,
        lines=[{**rows([])["Lines"][0], "line": "B", "outside_diameter": BRANCH[0], "wall": BRANCH[1]} | {
            f"start_{k}": None for k in ("point", "east", "north", "up")}],
        project=basis,
        **{"Point loads": [{"load": "M", "line": "B", "point": "9", "acts_in": "operating", **acting}]},
    )  # fmt: skip


def tip(found, what="turned"):
    at = getattr(found, what)
    return np.subtract(at("9", OPERATING, "B"), at("9", COLD, "B"))


# Header East. Branch North: in plane about Up, out of plane about East. Branch Up: in plane about North.
@FITS
@pytest.mark.parametrize(
    ("leg", "axis", "k"),
    [
        ((0, LEG, 0), 2, K_IN),
        ((0, LEG, 0), 0, K_OUT),
        ((0, 0, LEG), 1, K_IN),
        ((0, 0, LEG), 0, K_OUT),
        ((0, 0, -LEG), 0, K_OUT),
    ],
)
def test_a_cantilever_branch_on_a_held_header_turns_by_k_M_d_over_EI(leg, axis, k):
    moment = np.eye(3)[axis] * M
    found = solve_rows(tee(moment, leg=leg))
    assert k > 1.5
    by_hand = moment * (LEG + k * D_B) / (E * I_B)
    assert tip(found) == pytest.approx(by_hand, rel=1e-6, abs=1e-12)


@FITS
def test_a_direction_with_a_factor_of_one_and_all_shifts_are_as_good_as_rigid():
    assert 0.95 * R_T**0.83 * A**5.42 < 1
    spin = solve_rows(tee((0, M, 0)))
    assert tip(spin)[1] == pytest.approx(M * LEG * 2.6 / (E * 2 * I_B), rel=1e-4)
    pulled = solve_rows(tee(force=(0, 50e3, 0)))
    assert tip(pulled, "move")[1] == pytest.approx(50e3 * LEG / (E * A_B), rel=1e-3)
    assert tip(pulled, "move")[1] > 50e3 * LEG / (E * A_B)


@FITS
def test_a_force_at_the_end_of_the_branch_by_hand():
    """Bending, shear (area A/2) and the turn at the foot; the foot hardly shifts."""
    F = 1000.0
    found = solve_rows(tee(force=(F, 0, 0)))
    bending = F * LEG**3 / (3 * E * I_B) + F * LEG * 2.6 / (E * A_B / 2)
    foot = F * LEG * K_IN * D_B / (E * I_B) * LEG
    assert tip(found, "move")[0] == pytest.approx(bending + foot, rel=1e-5)


def test_the_older_set_gives_none():
    plain = solve_rows(tee((0, 0, M), basis={}))
    assert plain.run.net.branch_springs == []
    assert tip(plain)[2] == pytest.approx(M * LEG / (E * I_B), rel=1e-9)


@pytest.mark.parametrize("basis", [B31J, {}])
@pytest.mark.parametrize("axis", [0, 1, 2])
def test_the_users_own_factor_wins_in_every_direction_and_either_set(basis, axis):
    moment = np.eye(3)[axis] * M
    found = solve_rows(tee(moment, basis=basis, own_k=7.5))
    pipe = LEG * 2.6 / 2 if axis == 1 else LEG
    assert tip(found) == pytest.approx(moment * (pipe + 7.5 * D_B) / (E * I_B), rel=1e-6, abs=1e-12)


def test_an_own_factor_of_one_is_stiff():
    assert solve_rows(tee((0, 0, M), own_k=1)).run.net.branch_springs == []


HELD = [anchor("A", "1"), anchor("C", "3"), anchor("D", "9", line="B")]
HOT = {"operating_temperature": 220}


@pytest.mark.parametrize("degrees", [30.0, 137.0])
def test_turning_the_plant_changes_nothing(degrees):
    parts = {"force": (200, 300, 400), "supports": HELD[:2], "line": HOT}
    straight, skewed = solve_rows(tee((M, 500, M), **parts)), solve_rows(tee((M, 500, M), degrees=degrees, **parts))
    assert straight.run.net.branch_springs
    for what in ("move", "turned"):
        before, after = getattr(straight, what)("9", line="B"), getattr(skewed, what)("9", line="B")
        assert after == pytest.approx(turned(before, degrees), rel=1e-7, abs=1e-12)
    assert skewed.moment("A") == pytest.approx(turned(straight.moment("A"), degrees), rel=1e-6, abs=1e-3)


def test_a_branch_typed_towards_its_header_acts_alike():
    away, towards = tee((0, 0, M)), tee((0, 0, M))
    towards["Segments"][2] = {"line": "B", "from_": "9", "to": "L/2", "north": -LEG}
    assert tip(solve_rows(towards)) == pytest.approx(tip(solve_rows(away)), rel=1e-9)


def long_plant(basis):
    """A hot header of 60 m with a branch of 20 m, all held at their ends: large movements and forces."""
    book = tee(supports=HELD, basis=basis, line={"operating_temperature": 320})
    for row, way, length in zip(book["Segments"], ("east", "east", "north"), (30.0, 30.0, 20.0), strict=True):
        row[way] = length
    book["Lines"][1]["operating_temperature"] = 320
    return book


def test_loads_fall_and_the_solution_stays_sound_where_movements_are_large():
    stiff, soft = solve_rows(long_plant({})), solve_rows(long_plant(B31J))
    assert soft.run.net.branch_springs
    assert np.linalg.norm(soft.moment("D")) < 0.9999 * np.linalg.norm(stiff.moment("D"))
    for solved in soft.run.static:
        assert solved.solution.residual.max() < 1e-8


def test_stiff_in_all_directions_the_spring_is_no_more_than_the_joint_without_it(monkeypatch):
    book = tee(force=(2000, 300, 400), supports=HELD[:2], line=HOT)
    monkeypatch.setattr(frame_tees, "_computed", lambda *_: ((1 + 1e-9,) * 3, ""))
    monkeypatch.setattr("pipecalc.analysis.frame_arrays.branch_spring", lambda E, I, k, d: E * I / (1e-4 * d))
    joined = solve_rows(book)
    monkeypatch.undo()
    monkeypatch.setattr(frame, "join_branches", lambda *_: None)
    plain = solve_rows(book)
    assert joined.run.net.branch_springs
    assert not plain.run.net.branch_springs
    assert joined.moment("A") == pytest.approx(plain.moment("A"), rel=1e-3)
    assert joined.move("9", line="B") == pytest.approx(plain.move("9", line="B"), rel=1e-3, abs=1e-8)


def test_sections_and_factors_of_the_tee_are_those_without_the_spring(monkeypatch):
    plant = plant_of(tee((M, 500, M), supports=HELD[:2]))
    with_spring = run_frame(plant)
    found = stress_points(with_spring, plant)
    monkeypatch.setattr(frame, "join_branches", lambda *_: None)
    without = stress_points(run_frame(plant), plant)
    assert with_spring.net.branch_springs
    assert [p.where for p in found] == [p.where for p in without]
    assert [p.factors for p in found] == [p.factors for p in without]
    assert [p.normal for p in found] == [p.normal for p in without]
    assert sum("of the tee" in p.where for p in found) == 3


def test_the_moment_goes_through_the_spring_to_the_tee():
    found = solve_rows(tee((0, 0, M)))
    at = found.member("2", "9", "from", OPERATING)
    cold = found.member("2", "9", "from", COLD)
    assert at.moment[2] - cold.moment[2] == pytest.approx(M, rel=1e-6)


@pytest.mark.parametrize(
    ("changes", "reason"),
    [
        ({"branch": None}, ""),
        ({"branch": "extruded outlet"}, "no factors in this set"),
        ({"branch": "welded-on fitting"}, "needs the ratio of branch radius"),
        ({"wall": 1.5}, "R/T of the run"),
        ({"leg": (1.0, LEG, 0)}, "not square to its header"),
    ],
)
def test_a_branch_without_rule_stays_stiff_and_says_why(changes, reason):
    found = solve_rows(tee((0, 0, M), **changes))
    assert found.run.net.branch_springs == []
    if changes == {"branch": None}:
        assert found.run.net.stiff_tees == []
    else:
        assert reason in found.run.net.stiff_tees[0][1]
        said = {a.what: a for a in frame_tees.branch_assumptions(found.run.net, found.plant)}
        assert said["branch at L/2 in the frame"].value == "stiff"


def test_the_note_tells_of_acting_branches_as_unverified_and_of_what_is_left_out():
    said = {a.what: a for a in analyse(plant_of(tee((0, 0, M)))).assumptions}
    acting = said["flexibility of branches at L/2"]
    assert "unverified" in acting.why
    assert "from memory" in acting.why
    assert "from the header's axis to its surface" in acting.value
    assert "branch connections in the frame" not in said
    older = {a.what for a in analyse(plant_of(tee((0, 0, M), basis={}))).assumptions}
    assert "branch connections in the frame" in older


def test_results_hold_the_tee_once():
    results = analyse(plant_of(tee((0, 0, M))))
    assert len({(p.line, p.point) for p in results.points}) == 4
    assert all(np.isfinite(mode.frequency) for mode in results.modes)
