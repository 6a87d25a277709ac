"""Friction at rests against hand solutions: stick up to mu N, then slide against the movement, with its history."""

from math import cos, hypot, radians, sin

import numpy as np
import pytest

from tests.analysis.frame_plants import ALPHA, COLD, METAL, OPERATING, A, E, G, I, anchor, solve, straight, support

L = 6.0
W = METAL * G
PROP = 3 * W * L / 8
SOFT = L**3 / (3 * E * I)
PROJECT = {"shear_deformation": "no"}
STICKING = 1e8  # N/m of a rest before it slides


def load(point, **force):
    return {"Point loads": [{"load": "P", "line": "L", "point": point, "acts_in": "operating", **force}]}


def test_a_hot_pipe_slides_on_its_rest():
    """Sliding block: the rest is dragged along with mu N, the anchor takes the same backwards."""
    found = solve(
        straight([L]),
        [anchor("A", "1"), support("R", "2", "rest", friction=0.3)],
        line={"operating_temperature": 220},
        project=PROJECT,
    )
    rub = 0.3 * PROP
    assert found.force("R") == pytest.approx((rub, 0, -PROP), rel=1e-9, abs=1e-6)
    assert found.force("A")[0] == pytest.approx(-rub, rel=1e-9)
    assert found.move("2")[0] == pytest.approx(200 * ALPHA * L - rub * L / (E * A), rel=1e-9)
    assert found.support["R", OPERATING].friction == pytest.approx(rub, rel=1e-9)
    assert found.support["R", OPERATING].axial == pytest.approx(rub, rel=1e-9)
    assert found.force("R", COLD)[:2] == pytest.approx((0, 0), abs=1e-6)


def test_a_cold_pipe_drags_the_other_way():
    found = solve(
        straight([L]),
        [anchor("A", "1"), support("R", "2", "rest", friction=0.3)],
        line={"operating_temperature": -30},
        project=PROJECT,
    )
    assert found.force("R")[0] == pytest.approx(-0.3 * PROP, rel=1e-9)


@pytest.mark.parametrize("azimuth", [0, 35, 90, 170, 260])
def test_friction_lies_along_the_movement(azimuth):
    """A tip pushed sideways slides with mu N against the push, whatever its direction square to the pipe."""
    c, s = cos(radians(azimuth)), sin(radians(azimuth))
    found = solve(
        [{"from_": "1", "to": "2", "up": L}, {"to": "3", "east": 1e-3 + 0.5}],
        [anchor("A", "1"), support("R", "2", "rest", friction=0.3)],
        project={**PROJECT, "elbow": "none"},
        **load("2", force_east=3000 * c, force_north=3000 * s),
    )
    push = np.array(found.force("R"))
    slide = np.array(found.move("2")) - np.array(found.move("2", COLD))
    assert hypot(*push[:2]) == pytest.approx(-0.3 * push[2], rel=1e-9)
    assert push[0] * slide[1] == pytest.approx(push[1] * slide[0], abs=1e-4 * hypot(*push) * hypot(*slide))
    assert push[:2] @ slide[:2] > 0


def test_a_small_push_is_held_by_friction():
    found = solve(
        straight([L]),
        [anchor("A", "1"), support("R", "2", "rest", friction=0.4)],
        project=PROJECT,
        **load("2", force_north=100),
    )
    held = 100 * STICKING / (STICKING + 1 / SOFT)
    assert found.force("R")[1] == pytest.approx(held, rel=1e-9)
    assert found.force("R")[1] < 0.4 * PROP
    assert found.move("2")[1] == pytest.approx(held / STICKING, rel=1e-9)


def test_two_sliding_rests_add_up():
    """Two spans of 6 m from an anchor: by moment distribution the rests carry 8/7 and 11/28 of w L."""
    found = solve(
        straight([L, L]),
        [anchor("A", "1"), *(support(f"R{n}", n, "rest", friction=0.25) for n in "23")],
        line={"operating_temperature": 220},
        project=PROJECT,
    )
    loads = 8 / 7 * W * L, 11 / 28 * W * L
    for name, carried in zip(("R2", "R3"), loads, strict=True):
        assert found.force(name) == pytest.approx((0.25 * carried, 0, -carried), rel=1e-9, abs=1e-6)
    rub = 0.25 * sum(loads)
    assert found.force("A")[0] == pytest.approx(-rub, rel=1e-9)
    stretch = (0.25 * sum(loads) + 0.25 * loads[1]) * L / (E * A)
    assert found.move("3")[0] == pytest.approx(200 * ALPHA * 2 * L - stretch, rel=1e-9)


def test_friction_between_two_anchors_moves_no_rest_that_stays():
    """Between equal anchors the middle stays: its rest rubs nothing though the pipe is hot."""
    found = solve(
        straight([L, L]),
        [anchor("A", "1"), anchor("B", "3"), support("R", "2", "rest", friction=0.3)],
        line={"operating_temperature": 220},
    )
    assert found.force("R")[:2] == pytest.approx((0, 0), abs=1e-4)
    assert found.force("A")[0] == pytest.approx(-E * A * 200 * ALPHA, rel=1e-9)


def test_friction_never_exceeds_its_limit_and_opposes_sliding_in_space():
    runs = [
        {"from_": "1", "to": "2", "east": 5},
        {"to": "3", "north": 6},
        {"to": "4", "north": 3},
        {"to": "5", "up": 2},
        {"to": "6", "east": 4},
        {"to": "7", "east": 4, "north": 2},
    ]
    rests = [support(f"R{n}", n, "rest", friction=0.3) for n in "2346"]
    found = solve(
        runs, [anchor("A", "1"), anchor("B", "7"), *rests], line={"operating_temperature": 250, "fluid_density": 900}
    )
    sliding = 0
    for n in "2346":
        push = np.array(found.force(f"R{n}"))
        if found.support[f"R{n}", OPERATING].acting:
            rub, limit = hypot(*push[:2]), -0.3 * push[2]
            assert rub <= limit * (1 + 1e-9)
            sliding += rub > limit * (1 - 1e-9)
        else:
            assert push == pytest.approx(0)
    assert sliding >= 2


def test_occasional_cases_take_no_credit_for_friction():
    found = solve(
        straight([L]),
        [anchor("A", "1"), support("R", "2", "rest", friction=0.4)],
        project={**PROJECT, "seismic_horizontal": 0.2},
    )
    for name in ("seismic North +", "sustained, supports of operating"):
        assert found.force("R", name)[:2] == pytest.approx((0, 0), abs=1e-9)
    assert found.move("2", "seismic North +")[1] == pytest.approx(0.2 * W * L**4 / (8 * E * I), rel=1e-9)


def test_the_projects_friction_holds_where_none_is_given():
    found = solve(
        straight([L]),
        [anchor("A", "1"), support("R", "2", "rest")],
        line={"operating_temperature": 220},
        project={**PROJECT, "friction": 0.1},
    )
    assert found.force("R")[0] == pytest.approx(0.1 * PROP, rel=1e-9)


def test_friction_of_a_rest_on_equipment_follows_the_relative_movement():
    """The vessel carries its bracket further than the pipe grows: the pipe holds it back."""
    vessel = {
        "equipment": "V",
        "kind": "fixed",
        "base_east": -20,
        "base_north": 0,
        "base_up": 0,
        "material": "Test steel",
        "temperature": 220,
    }
    found = solve(
        straight([L]),
        [anchor("A", "1"), support("R", "2", "rest", friction=0.3, attached_to="V")],
        line={"operating_temperature": 120},
        project=PROJECT,
        Equipment=[vessel],
    )
    # Bracket: 200 K over 26 m; pipe: 100 K over 6 m.
    assert found.force("R")[0] == pytest.approx(-0.3 * -found.force("R")[2], rel=1e-9)
    assert found.force("R")[0] < 0
