"""Clips and trunnions on a vessel's shell, and the spring of a shell at a nozzle."""

from math import isnan, nan

import pytest

from pipecalc.calc import shell_stiffness as stiffness
from pipecalc.checks.shells.attachment import Attachment, attachment_check
from pipecalc.checks.shells.vessel import Shell, ShellLoad, attachment_load

PIPE = Shell("cylinder", 0.1683, 0.00711, 130e6)
TRUNNION = Attachment(0.05715)
LOAD = ShellLoad(8000.0, 900.0, -1500.0)
EAST, NORTH, UP = (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)


def check(shell=PIPE, attachment=TRUNNION, load=LOAD, pressure=4e6, stress_factor=1.5):
    return attachment_check(shell, attachment, load, pressure, stress_factor=stress_factor)


@pytest.mark.parametrize(
    ("shell", "radius", "word"),
    [
        (PIPE, 0.02, "outside 0.3 to 0.9"),
        (PIPE, 0.08, "outside 0.3 to 0.9"),
        (Shell("cylinder", 1.0, 0.004, 130e6), 0.2, "above 100"),
    ],
)
def test_outside_its_range_the_line_load_shows_a_stress_but_no_verdict(shell, radius, word):
    for line in check(shell, Attachment(radius))[:2]:
        assert line.demand > 0
        assert isnan(line.ratio)
        assert word in line.reason


def test_a_clip_on_a_vessel_still_has_the_loaded_circle():
    vessel = Shell("cylinder", 2.024, 0.012, 130e6)
    along, around, circle = check(vessel, Attachment(0.1), ShellLoad(5e3, 1e3, 2e3), 0.5e6)
    assert not along.is_checked
    assert not around.is_checked
    assert 0 < circle.ratio < 1
    assert "judgement" in circle.clause


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"shell": Shell("cylinder", nan, 0.01, 1e8)}, "diameter of the shell"),
        ({"attachment": Attachment(nan)}, "size of the attachment"),
        ({"stress_factor": nan}, "factor"),
        ({"shell": Shell("sphere", 0.1683, 0.00711, 1e8)}, "cylinders"),
        ({"load": ShellLoad(nan, 0.0, 0.0)}, "load"),
        ({"pressure": nan}, "pressure"),
    ],
)
def test_missing_data_are_named(change, word):
    (line,) = check(**change)
    assert not line.is_checked
    assert word in line.reason


def test_a_weight_on_a_clip_bends_the_shell_lengthwise():
    """Clip to the East of a vertical vessel: R East, L Up, C = East x Up = South. 10 kN down at 0.4 m.

    East x Down = North, 4 kN·m about North, which is -C: a longitudinal moment of -4 kN·m.
    """
    load = attachment_load((0.0, 0.0, -1e4), (0.0, 0.0, 0.0), (EAST, UP, (0.0, -1.0, 0.0)), 0.4)
    assert (load.radial, load.circumferential, load.longitudinal) == (0.0, 0.0, -4000.0)


def test_a_push_around_the_vessel_bends_the_shell_around():
    """10 kN towards South, which is +C: R x C = -L."""
    load = attachment_load((0.0, -1e4, 0.0), (0.0, 0.0, 0.0), (EAST, UP, (0.0, -1.0, 0.0)), 0.4)
    assert (load.radial, load.circumferential, load.longitudinal) == (0.0, -4000.0, 0.0)


def test_a_nozzle_gives_way_more_around_than_along_the_shell():
    around = stiffness.circumferential_flexibility(2.0, 0.025, 0.2191, 0.0082)
    along = stiffness.longitudinal_flexibility(2.0, 0.025, 0.2191, 0.0082)
    assert around / along == pytest.approx(0.5 * (2.0 / 0.025) ** 0.5)


@pytest.mark.parametrize(
    ("D", "T", "d"), [(2.0, 0.019, 0.2), (2.0, 0.025, 1.1), (2.0, 0.0, 0.2), (2.0, 0.025, 0.0), (nan, 0.02, 0.2)]
)
def test_outside_its_range_there_is_no_spring(D, T, d):
    assert isnan(stiffness.circumferential_flexibility(D, T, d, 0.008))
    assert isnan(stiffness.longitudinal_flexibility(D, T, d, 0.008))


def test_a_sphere_is_stiffer_against_a_wider_circle_and_not_known_for_a_very_wide_one():
    point = stiffness.sphere_radial_stiffness(200e9, 0.3, 1.0, 0.02, 1e-6)
    assert stiffness.sphere_radial_stiffness(200e9, 0.3, 1.0, 0.02, 0.05) > point
    assert isnan(stiffness.sphere_radial_stiffness(200e9, 0.3, 1.0, 0.02, 0.2))
