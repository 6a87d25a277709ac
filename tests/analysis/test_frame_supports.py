"""Every type of support against beam theory on one cantilever: 6 m of test pipe, anchored at 1, supported at its tip 2.

Shear deformation is off, as in the closed forms: tip sag w L⁴/(8 E I), tip deflection P L³/(3 E I), propped reaction
3 w L/8.
"""

from math import cos, radians, sin
from typing import Any

import numpy as np
import pytest

from tests.analysis.frame_plants import (
    ALPHA,
    COLD,
    METAL,
    OPERATING,
    A,
    E,
    Found,
    G,
    I,
    anchor,
    rows,
    solve,
    solve_rows,
    support,
)

L = 6.0
W = METAL * G
SAG = W * L**4 / (8 * E * I)
SOFT = L**3 / (3 * E * I)  # tip deflection of 1 N
PROP = 3 * W * L / 8
EXACT = {"rel": 1e-9, "abs": 1e-7}


def tip(
    kind: str,
    way: dict[str, float] | None = None,
    force: tuple[float, float, float] = (0, 0, 0),
    line: dict[str, Any] | None = None,
    project: dict[str, Any] | None = None,
    tables: dict[str, Any] | None = None,
    **more: Any,
) -> Found:
    """The cantilever with a support at its tip and a force there in the operating state."""
    loads = [
        {
            "load": "P",
            "line": "L",
            "point": "2",
            "acts_in": "operating",
            "force_east": force[0],
            "force_north": force[1],
            "force_up": force[2],
        }
    ]
    return solve(
        [{"from_": "1", "to": "2", **(way or {"east": L})}],
        [anchor("A", "1"), support("S", "2", kind, **more)],
        line=line,
        project={"shear_deformation": "no", **(project or {})},
        **{"Point loads": loads if any(force) else []},
        **(tables or {}),
    )


def test_a_rest_carries_the_prop_reaction_downward():
    found = tip("rest")
    assert found.force("S") == pytest.approx((0, 0, -PROP), **EXACT)
    load = found.support["S", OPERATING]
    assert (load.vertical, load.axial, load.lateral, load.friction) == pytest.approx((-PROP, 0, 0, 0), **EXACT)
    assert load.acting


def test_a_rest_gives_up_what_is_lifted():
    assert tip("rest", force=(0, 0, 300)).force("S")[2] == pytest.approx(-(PROP - 300), **EXACT)


def test_a_rest_lifts_off_and_never_pulls():
    found = tip("rest", force=(0, 0, 2000))
    load = found.support["S", OPERATING]
    assert load.force == (0, 0, 0)
    assert not load.acting
    assert load.move[2] == pytest.approx(2000 * SOFT - SAG, **EXACT)
    assert found.support["S", COLD].acting


def test_the_hot_sustained_case_leaves_out_a_rest_that_lifts_in_that_state():
    found = tip("rest", force=(0, 0, 2000))
    name = "sustained, supports of operating"
    assert not found.support["S", name].acting
    assert found.force("A", name)[2] == pytest.approx(-W * L, **EXACT)
    assert found.move("2", name)[2] == pytest.approx(-SAG, **EXACT)


def test_a_rest_with_a_direction_pushes_along_it():
    found = tip("rest", force=(0, 500, 0), direction="0, -0.6, 0.8")
    normal = np.array([0, -0.6, 0.8])
    push = PROP * 0.8 + 500 * 0.6
    assert found.force("S") == pytest.approx(tuple(-push * normal), **EXACT)


@pytest.mark.parametrize("sign", [1, -1])
def test_a_guide_closes_its_gap_on_either_side(sign):
    load = 800.0
    found = tip("guide", force=(0, sign * load, 0), gap=10)
    assert load * SOFT > 0.01
    assert found.force("S") == pytest.approx((0, sign * (load - 0.01 / SOFT), 0), **EXACT)
    assert found.move("2")[1] == pytest.approx(sign * 0.01, **EXACT)


def test_a_guide_within_its_gap_does_not_act():
    found = tip("guide", force=(0, 100, 0), gap=10)
    assert found.force("S") == (0, 0, 0)
    assert not found.support["S", OPERATING].acting
    assert found.move("2")[1] == pytest.approx(100 * SOFT, **EXACT)


def test_a_guide_leaves_up_and_along_free():
    found = tip("guide", line={"operating_temperature": 120})
    assert found.force("S") == pytest.approx((0, 0, 0), abs=1e-6)
    assert found.move("2") == pytest.approx((100 * ALPHA * L, 0, -SAG), **EXACT)


@pytest.mark.parametrize("azimuth", [30, 75, 120, 200])
def test_a_guide_acts_across_a_pipe_that_runs_askew_in_plan(azimuth):
    along = np.array([cos(radians(azimuth)), sin(radians(azimuth)), 0])
    across = np.array([-along[1], along[0], 0])
    force = np.array([700.0, 400.0, 0])
    found = tip("guide", {"east": L * along[0], "north": L * along[1]}, tuple(force))
    assert found.force("S") == pytest.approx(tuple((force @ across) * across), **EXACT)
    load = found.support["S", OPERATING]
    assert (load.vertical, load.axial) == pytest.approx((0, 0), abs=1e-6)
    assert abs(load.lateral) == pytest.approx(abs(force @ across), **EXACT)
    assert found.force("A")[:2] == pytest.approx(tuple((force @ along) * along)[:2], **EXACT)


def test_a_guide_on_a_sloping_pipe_acts_level_and_across():
    found = tip("guide", {"east": 3.6, "north": 0, "up": 4.8}, (0, 900, 0))
    assert found.force("S") == pytest.approx((0, 900, 0), **EXACT)


def test_a_guide_on_a_vertical_pipe_holds_both_level_directions():
    found = tip("guide", {"up": L}, (600, 400, 0))
    assert found.force("S") == pytest.approx((600, 400, 0), **EXACT)
    load = found.support["S", OPERATING]
    assert (load.vertical, load.axial) == pytest.approx((0, 0), abs=1e-6)
    assert load.lateral == pytest.approx(np.hypot(600, 400), **EXACT)


def test_a_guide_with_a_direction_holds_that_one():
    found = tip("guide", {"up": L}, (600, 400, 0), direction="+N")
    assert found.force("S") == pytest.approx((0, 400, 0), **EXACT)


@pytest.mark.parametrize("gap", [0, 3])
@pytest.mark.parametrize("temperature", [120, -30])
def test_a_line_stop_takes_what_its_gap_leaves_of_the_growth(gap, temperature):
    growth = (temperature - 20) * ALPHA * L
    found = tip("line stop", gap=gap, line={"operating_temperature": temperature})
    left = np.sign(growth) * max(abs(growth) - gap * 1e-3, 0)
    assert found.force("S") == pytest.approx((E * A / L * left, 0, 0), **EXACT)
    assert found.support["S", OPERATING].axial == pytest.approx(E * A / L * left, **EXACT)


def test_a_line_stop_with_a_direction_holds_that_one():
    found = tip("line stop", force=(300, 500, 0), direction="-N")
    assert found.force("S") == pytest.approx((0, 500, 0), **EXACT)


@pytest.mark.parametrize(
    ("kind", "holds"),
    [
        ("rest and guide", (False, True, True)),
        ("rest and line stop", (True, False, True)),
        ("rest, guide and line stop", (True, True, True)),
    ],
)
def test_combined_supports_hold_what_their_name_says(kind, holds):
    force = (700.0, 400.0, 0.0)
    found = tip(kind, force=force)
    expected = [f if held else 0 for f, held in zip((700, 400, -PROP), holds, strict=True)]
    assert found.force("S") == pytest.approx(tuple(expected), **EXACT)


def test_combined_supports_lift_though_their_guide_still_touches():
    found = tip("rest and guide", force=(0, 400, 2000))
    load = found.support["S", OPERATING]
    assert load.force == pytest.approx((0, 400, 0), **EXACT)
    assert not load.acting


@pytest.mark.parametrize(
    ("kind", "direction", "expected"),
    [
        ("rest and guide", "+N", (0, 400, -PROP)),
        ("rest and line stop", "+N", (0, 400, -PROP)),
        ("rest, guide and line stop", "+N", (700, 400, -PROP)),
    ],
)
def test_a_direction_on_a_combined_support_is_that_of_its_level_part(kind, direction, expected):
    assert tip(kind, force=(700, 400, 0), direction=direction).force("S") == pytest.approx(expected, **EXACT)


def test_a_hanger_rod_carries_by_tension_only():
    assert tip("hanger rod", force=(500, 300, 0)).force("S") == pytest.approx((0, 0, -PROP), **EXACT)
    slack = tip("hanger rod", force=(0, 0, 2000))
    assert slack.force("S") == (0, 0, 0)
    assert not slack.support["S", OPERATING].acting


@pytest.mark.parametrize("sign", [1, -1])
def test_a_strut_pushes_and_pulls_along_its_direction(sign):
    found = tip("strut", force=(0, sign * 900, 0), direction="0, 0.6, 0.8")
    way = np.array([0, 0.6, 0.8])
    # Of the load square to the pipe the strut takes its own share; the tip gives way square to it.
    push = sign * 900 * 0.6 - PROP * 0.8
    assert found.force("S") == pytest.approx(tuple(push * way), **EXACT)


def test_a_strut_with_play_acts_beyond_it():
    found = tip("strut", force=(0, 900, 0), direction="+N", gap=5)
    assert found.force("S")[1] == pytest.approx(900 - 0.005 / SOFT, **EXACT)


def test_a_snubber_holds_in_occasional_cases_only_from_where_the_line_sags_to():
    found = tip("snubber", force=(0, 0, -400), direction="+U", project={"seismic_vertical": 0.3})
    for case in (COLD, OPERATING, "sustained, supports of operating"):
        assert found.force("S", case) == (0, 0, 0)
        assert not found.support["S", case].acting
    assert found.move("2", "seismic Up +")[2] == pytest.approx(-SAG, **EXACT)
    for sign, name in ((1, "+"), (-1, "-")):
        assert found.force("S", f"seismic Up {name}")[2] == pytest.approx(sign * 0.3 * PROP, **EXACT)


def test_a_stiffness_shares_with_the_pipe():
    rate = 50e3
    assert tip("rest", stiffness=50).force("S")[2] == pytest.approx(-SAG / (1 / rate + SOFT), **EXACT)
    load = tip("guide", force=(0, 900, 0), stiffness=50, gap=4).force("S")[1]
    assert load == pytest.approx((900 * SOFT - 0.004) / (1 / rate + SOFT), **EXACT)


def test_an_anchor_with_stiffness_gives_way_along_and_not_in_turning():
    found = tip("anchor", stiffness=40, force=(0, 0, -1000))
    # A tip that cannot turn is four times as stiff: 12 E I/L³; sag w L⁴/(24 E I).
    rate, held = 40e3, 12 * E * I / L**3
    drop = (1000 + W * L / 2) / (rate + held)
    assert found.move("2")[2] == pytest.approx(-drop, **EXACT)
    assert found.turned("2") == pytest.approx((0, 0, 0), abs=1e-12)
    assert found.force("S")[2] == pytest.approx(-rate * drop, **EXACT)


SETTLES = {
    "Equipment": [
        {
            "equipment": "V",
            "kind": "fixed",
            "base_east": L,
            "base_north": 0,
            "base_up": 0,
            "material": "Test steel",
            "temperature": 20,
            "settlement": 4,
        }
    ]
}


def test_a_rest_on_equipment_goes_down_with_its_foundation():
    found = tip("rest", attached_to="V", tables=SETTLES)
    assert found.force("S", COLD)[2] == pytest.approx(-PROP, **EXACT)
    assert found.force("S")[2] == pytest.approx(-(PROP - 0.004 / SOFT), **EXACT)
    assert found.move("2")[2] == pytest.approx(-0.004, **EXACT)


def test_an_anchor_on_equipment_moves_with_it():
    found = tip("anchor", attached_to="V", tables=SETTLES)
    assert found.force("S")[2] == pytest.approx(-(W * L / 2 - 12 * E * I / L**3 * 0.004), **EXACT)
    assert found.moment("S")[1] == pytest.approx(-(W * L**2 / 12) + 6 * E * I / L**2 * 0.004, **EXACT)


def test_supports_on_a_shell_move_with_the_shell_at_their_height():
    vessel = {
        "equipment": "V",
        "kind": "vertical on skirt",
        "base_east": L + 0.6,
        "base_north": 0,
        "base_up": -5,
        "outside_diameter": 1000,
        "wall": 10,
        "material": "Test steel",
        "temperature": 220,
        "support_temperature": 20,
        "support_height": 1,
    }
    found = tip("strut", direction="+U", attached_to="V", tables={"Equipment": [vessel]})
    rise = 200 * ALPHA * 4.0
    assert found.move("2")[2] == pytest.approx(rise, **EXACT)
    assert found.force("S")[2] == pytest.approx(-PROP - rise / SOFT, **EXACT)


def test_a_line_stop_and_a_guide_rub_nothing_but_the_rest_beside_them():
    found = tip("rest and guide", line={"operating_temperature": 120}, friction=0.3)
    assert found.force("S") == pytest.approx((0.3 * PROP, 0, -PROP), **EXACT)


def test_a_gap_on_a_vertical_pipe_turns_with_the_plant():
    """Two level directions of a riser's guide are those of its line; the load then meets the same play."""
    sizes = []
    for turn in (0.0, 30.0, 90.0):
        c, s = cos(radians(turn)), sin(radians(turn))
        book = rows(
            [
                {"from_": "1", "to": "2", "east": 4 * c, "north": 4 * s},
                {"to": "3", "up": 3},
                {"to": "4", "up": 3},
            ],
            [anchor("A", "1"), support("G", "3", "guide", gap=5)],
        )
        book["Point loads"] = [
            {"load": "P", "line": "L", "point": "4", "force_east": -900 * s, "force_north": 900 * c}
            | {"acts_in": "operating"}
        ]
        found = solve_rows(book)
        sizes.append(np.linalg.norm(found.force("G")))
    assert sizes[0] > 0
    assert sizes == pytest.approx([sizes[0]] * 3, rel=1e-9)


def test_several_supports_share_one_point():
    found = tip("rest", force=(0, 900, 0))
    assert found.force("S")[1] == pytest.approx(0, abs=1e-9)
    both = solve(
        [{"from_": "1", "to": "2", "east": L}],
        [anchor("A", "1"), support("S", "2", "rest"), support("T", "2", "guide")],
        project={"shear_deformation": "no"},
        **{"Point loads": [{"load": "P", "line": "L", "point": "2", "force_north": 900, "acts_in": "operating"}]},
    )
    assert both.force("S") == pytest.approx((0, 0, -PROP), **EXACT)
    assert both.force("T") == pytest.approx((0, 900, 0), **EXACT)
