"""Shell capacity at a nozzle after EN 13445-3: conditions and limits; for numbers see ``pipecalc/verification/``."""

from dataclasses import replace
from math import isnan, nan

import pytest

from pipecalc.calc import shell as formula
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
    "factor",
    [
        formula.cylinder_force_factor,
        formula.circumferential_moment_factor,
        lambda x: formula.longitudinal_moment_factor(x, 0.2),
        lambda x: formula.longitudinal_moment_factor(x, 0.5),
    ],
)
def test_factors_end_at_ten(factor):
    assert factor(10.0) > factor(5.0)
    assert isnan(factor(10.01))
    assert isnan(factor(0.0))


def test_the_longitudinal_factor_is_linear_between_thin_and_thick_nozzles():
    thin, middle, thick = (formula.longitudinal_moment_factor(4.0, r) for r in (0.1, 0.35, 0.9))
    assert middle == pytest.approx((thin + thick) / 2)
    assert isnan(formula.longitudinal_moment_factor(4.0, 0.0))


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


def test_without_projection_there_is_no_load_at_the_shell():
    load = NozzleLoad("N1", "c", 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, (0, 0, 0), (0, 0, 0))
    assert not check(load=load_at_shell(load, nan))[0].is_checked
