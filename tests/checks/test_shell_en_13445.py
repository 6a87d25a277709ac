"""Shell capacity at a nozzle after EN 13445-3 clauses 16.4 and 16.5. No worked example of the standard was at hand."""

from dataclasses import replace
from math import isnan, nan, pi, sqrt

import pytest

from pipecalc.calc import shell as formula
from pipecalc.calc import shell_pressure
from pipecalc.checks.shells.en_13445 import AT_NOZZLE, AT_PAD, IN_WALL, shell_check
from pipecalc.checks.shells.vessel import Branch, Shell, ShellLoad, effective_pad, load_at_shell
from pipecalc.results import NozzleLoad, status_of

SHELL = Shell("cylinder", 2.024, 0.012, 130e6)
SPHERE = replace(SHELL, shape="sphere")
BRANCH = Branch(0.2191, 0.0082, 110e6, projection=0.2, clearance=1.0)
PADDED = replace(BRANCH, pad_thickness=0.012, pad_width=0.25, pad_allowable=130e6)
LOAD = ShellLoad(10e3, 5e3, 5e3)


def check(shell=SHELL, branch=BRANCH, load=LOAD, pressure=1e6, can_expand=True):
    return shell_check(shell, branch, load, pressure, can_expand=can_expand)


@pytest.mark.parametrize(
    ("factor", "floor", "crossing", "at_ten"),
    [
        (formula.cylinder_force_factor, 1.81, 1.26, 9.2),
        (formula.circumferential_moment_factor, 4.90, 1.5, 10.0),
        (lambda x: formula.longitudinal_moment_factor(x, 0.2), 4.90, 0.2, 64.0),
        (lambda x: formula.longitudinal_moment_factor(x, 0.5), 4.90, 0.02, 95.0),
    ],
)
def test_factors_start_at_their_floor_and_end_at_ten(factor, floor, crossing, at_ten):
    assert factor(0.9 * crossing) == floor
    assert factor(1.2 * crossing) > floor
    assert factor(10.0) == pytest.approx(at_ten, rel=6e-3)
    assert isnan(factor(10.01))
    assert isnan(factor(0.0))


def test_the_longitudinal_factor_is_linear_between_thin_and_thick_nozzles():
    thin, middle, thick = (formula.longitudinal_moment_factor(4.0, r) for r in (0.1, 0.35, 0.9))
    assert middle == pytest.approx((thin + thick) / 2)
    assert isnan(formula.longitudinal_moment_factor(4.0, 0.0))


def test_limits_at_a_plain_nozzle_by_hand():
    """d = 210.9 mm, D = 2012 mm: lambda = 1.3573; C1 = 1.8988; f e² = 18 720 N; F_max = 35.54 kN.

    C2 = max(4.856, 4.9) = 4.9: M_max = 18 720 * 0.0527 * 4.9 = 4836 N·m.
    """
    found = check()[0].inputs
    assert found["lambda"] == pytest.approx(0.2109 / sqrt(2.012 * 0.012))
    assert found["F_max"] == pytest.approx(35.54e3, rel=1e-3)
    assert found["MX_max"] == pytest.approx(18720 * 0.2109 / 4 * 4.9, rel=1e-6)
    assert found["MY_max"] > found["MX_max"]


def test_pressure_at_the_opening_by_hand():
    """r_i = 1 m, l_s = 155.4 mm, l_b = 41.6 mm: 280 kN over 0.2649 + 0.0054 + half of 0.0022 m²."""
    l_s, l_b = sqrt(2.012 * 0.012), sqrt(0.2109 * 0.0082)
    strength = l_s * 0.012 * 130e6 + l_b * 0.0082 * 110e6
    pressed = 1.0 * (l_s + 0.10955) + 0.10135 * (l_b + 0.012)
    expected = strength / (pressed + (l_s * 0.012 + l_b * 0.0082) / 2)
    assert check()[0].inputs["P_max"] == pytest.approx(expected, rel=1e-9)
    assert expected < shell_pressure.cylinder_pressure(130e6, 0.012, 2.012)


def test_the_three_ratios_act_together():
    """0.5/1.0 + 0.2 outward with 0.3 of moment: sqrt(0.7² + 0.3²); inward the force relieves, 0.5 + 0.04."""
    assert formula.cylinder_interaction(0.5, 0.2, 0.3, 1.0) == pytest.approx(sqrt(0.49 + 0.09))
    assert formula.cylinder_interaction(0.5, -0.2, 0.0, 1.0) == pytest.approx(0.54)
    assert formula.cylinder_interaction(0.0, -0.6, 0.8, 1.1) == pytest.approx(1.0)
    assert formula.sphere_interaction(0.5, 0.2, 0.3) == pytest.approx(1.0)
    assert formula.sphere_interaction(0.5, -0.2, 0.3) == pytest.approx(0.8)


def test_more_load_more_ratio_and_zero_load_leaves_the_pressure():
    bare = check(load=ShellLoad(0.0, 0.0, 0.0))[0]
    assert bare.demand == pytest.approx(bare.inputs["Phi_P"])
    doubled = ShellLoad(20e3, 10e3, 10e3)
    assert check(load=doubled)[0].demand > check()[0].demand > bare.demand


def test_room_to_expand_never_excuses_a_pressure_above_the_one_carried():
    P_max = check()[0].inputs["P_max"]
    line = check(load=ShellLoad(0.0, 0.0, 0.0), pressure=1.05 * P_max)[0]
    assert line.demand == pytest.approx(1.05)
    assert not line.passes


def test_a_rigid_attachment_is_held_harder():
    assert check(can_expand=False)[0].demand > check(can_expand=True)[0].demand


@pytest.mark.parametrize("shell", [SHELL, SPHERE], ids=["cylinder", "sphere"])
def test_a_wide_pad_helps_and_its_edge_is_checked_too(shell):
    plain, padded = check(shell), check(shell, PADDED)
    assert [line.method.split(",")[0] for line in plain] == [AT_NOZZLE, IN_WALL]
    assert [line.method.split(",")[0] for line in padded] == [AT_NOZZLE, AT_PAD, IN_WALL]
    assert padded[0].demand < plain[0].demand
    assert padded[1].inputs["d"] == pytest.approx(0.2191 + 0.5)
    assert padded[1].inputs["e_c"] == 0.012


def test_a_pad_narrower_than_effective_does_not_count_and_says_so():
    narrow = check(branch=replace(PADDED, pad_width=0.1))
    assert narrow[0].demand == check()[0].demand
    assert "narrower than effective" in narrow[0].reason
    assert len(narrow) == 2


def test_a_pad_of_unknown_width_does_not_count():
    assert "not known" in effective_pad(SHELL, replace(PADDED, pad_width=nan)).remark


def test_a_thick_pad_counts_up_to_one_and_a_half_times_the_shell():
    pad = effective_pad(SHELL, replace(PADDED, pad_thickness=0.03, pad_width=0.4))
    assert pad.thickness == pytest.approx(0.018)


def test_a_weaker_pad_counts_less():
    weak = check(branch=replace(PADDED, pad_allowable=65e6))[0]
    assert weak.inputs["e_c"] == pytest.approx(0.018)


@pytest.mark.parametrize(
    ("shell", "branch", "load", "pressure", "word"),
    [
        (replace(SHELL, outside_diameter=nan), BRANCH, LOAD, 1e6, "outside diameter of the shell"),
        (replace(SHELL, thickness=nan), BRANCH, LOAD, 1e6, "thickness of the shell"),
        (replace(SHELL, thickness=0.0), BRANCH, LOAD, 1e6, "thickness of the shell"),
        (replace(SHELL, allowable=nan), BRANCH, LOAD, 1e6, "allowable stress of the shell"),
        (SHELL, replace(BRANCH, thickness=nan), LOAD, 1e6, "thickness of the nozzle"),
        (SHELL, replace(BRANCH, allowable=nan), LOAD, 1e6, "allowable stress of the nozzle"),
        (replace(SHELL, thickness=0.0015), BRANCH, LOAD, 1e6, "outside 0.001 to 0.1"),
        (replace(SHELL, thickness=0.3), BRANCH, LOAD, 1e6, "outside 0.001 to 0.1"),
        (SHELL, replace(BRANCH, projection=0.02), LOAD, 1e6, "shorter"),
        (SHELL, replace(BRANCH, clearance=0.05), LOAD, 1e6, "discontinuity"),
        (SHELL, replace(BRANCH, outside_diameter=2.1), LOAD, 1e6, "no tube smaller"),
        (SHELL, BRANCH, LOAD, -1e4, "external pressure"),
        (SHELL, BRANCH, LOAD, nan, "pressure is not known"),
        (SHELL, BRANCH, ShellLoad(nan, 0.0, 0.0), 1e6, "load at the shell"),
        (replace(SHELL, shape="cone"), BRANCH, LOAD, 1e6, "shape"),
    ],
)
def test_missing_data_and_broken_limits_are_not_checked(shell, branch, load, pressure, word):
    (line,) = check(shell, branch, load, pressure)
    assert status_of(line.demand, line.limit) == "NOT CHECKED"
    assert word in line.reason


def test_a_nozzle_too_large_for_the_curves_is_not_checked():
    line = check(branch=replace(BRANCH, outside_diameter=1.9, thickness=0.02, projection=0.4))[0]
    assert not line.is_checked
    assert "beyond 10" in line.reason


def test_an_untested_distance_is_said():
    assert "not tested" in check(branch=replace(BRANCH, clearance=nan))[0].reason
    assert "not tested" not in check()[0].reason


def test_every_line_calls_itself_an_estimate_from_memory():
    for line in (*check(branch=PADDED), *check(SPHERE, PADDED)):
        assert "estimate" in line.reason
        assert line.confidence == "memory"


def test_nozzle_wall_by_hand():
    """Without moment: 1 MPa in 210.9 mm by 8.2 mm is 6.43 MPa; pushed in by more than that, the force alone counts."""
    d, e = 0.2109, 0.0082
    assert formula.nozzle_wall_stress(1e6, 0.0, 0.0, d, e) == pytest.approx(1e6 * d / (4 * e))
    assert formula.nozzle_wall_stress(1e6, -2e5, 0.0, d, e) == pytest.approx(2e5 / (pi * d * e))
    assert formula.nozzle_wall_stress(0.0, 0.0, 3e3, d, e) == pytest.approx(4 * 3e3 / (pi * d**2 * e))


@pytest.mark.parametrize(
    ("component", "expected"),
    [
        # Nozzle 0.5 m long, R outward, L along the cylinder (up the page), C = R x L around it.
        ("FR", ShellLoad(1.0, 0.0, 0.0)),  # pulled out
        ("FL", ShellLoad(0.0, 0.0, 0.5)),  # pushed along the cylinder at the face: longitudinal, R x L = +C
        ("FC", ShellLoad(0.0, -0.5, 0.0)),  # pushed around at the face: circumferential, R x C = -L
        ("MR", ShellLoad(0.0, 0.0, 0.0)),  # torsion: not in the check
        ("ML", ShellLoad(0.0, 1.0, 0.0)),  # about the cylinder's axis: circumferential
        ("MC", ShellLoad(0.0, 0.0, 1.0)),  # about the tangent: longitudinal
    ],
)
def test_each_component_at_the_flange_face_arrives_at_the_shell(component, expected):
    values = dict.fromkeys(("FR", "FL", "FC", "MR", "ML", "MC"), 0.0) | {component: 1.0}
    load = NozzleLoad("N1", "c", *values.values(), (0, 0, 0), (0, 0, 0))
    assert load_at_shell(load, 0.5) == expected


def test_without_projection_there_is_no_load_at_the_shell():
    load = NozzleLoad("N1", "c", 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, (0, 0, 0), (0, 0, 0))
    assert not check(load=load_at_shell(load, nan))[0].is_checked
