"""Density words and pipe size look-ups refuse what does not exist."""

import pytest

from pipecalc import fluid, pipe_sizes


def test_nothing_weighs_nothing():
    assert fluid.density("Empty", float("nan"), 0.0) == 0.0


def test_words_are_read_without_regard_to_capitals():
    assert fluid.density(" Water ", 20.0, 0.0) == pytest.approx(998.2, abs=0.05)


@pytest.mark.parametrize(
    ("word", "temperature", "pressure", "why"),
    [
        ("oil", 20.0, 0.0, "accepted words"),
        ("steam", 150.0, 9e5, "below the boiling temperature 179.9"),
        ("water", 181.0, 9e5, "above the boiling temperature 179.9"),
        ("water", 101.0, 0.0, "above the boiling temperature 100.0"),
        ("steam", 360.0, 25e6, "above the critical pressure"),
        ("water", -1.0, 0.0, "outside"),
        ("steam", 900.0, 60e6, "outside"),
        ("water", 20.0, 120e6, "outside"),
        ("steam", 100.0, -101325.0, "triple point"),
        ("water", float("nan"), 1e5, "outside"),
        ("water", 20.0, float("nan"), "not a number"),
    ],
)
def test_a_density_that_cannot_be_is_refused_with_its_reason(word, temperature, pressure, why):
    with pytest.raises(fluid.NoDensityError, match=why):
        fluid.density(word, temperature, pressure)


def test_at_the_boiling_temperature_the_word_decides():
    boiling = fluid.saturation_temperature(9e5)
    assert fluid.density("water", boiling, 9e5) > 100 * fluid.density("steam", boiling, 9e5)
    assert fluid.density("water", boiling + 0.05, 9e5) == pytest.approx(fluid.density("water", boiling - 0.05, 9e5))


def test_above_the_critical_point_there_is_one_phase():
    assert fluid.density("water", 400.0, 25e6) == fluid.density("steam", 400.0, 25e6)


def test_water_boils_only_up_to_the_critical_pressure():
    with pytest.raises(fluid.NoDensityError):
        fluid.saturation_temperature(23e6)


@pytest.mark.parametrize(
    ("nps", "schedule", "why"),
    [
        (7.0, "40", "nearest: 6 and 8"),
        (5.0, "60", "it has 5, 10, 40"),
        (6.0, "41", "no schedule"),
        (60.0, "STD", "nearest"),
    ],
)
def test_a_pipe_that_is_not_made_is_refused(nps, schedule, why):
    with pytest.raises(pipe_sizes.UnknownSizeError, match=why):
        pipe_sizes.wall(nps, schedule)


def test_a_diameter_is_no_size():
    """Asked by outside diameter, the underlying table answers with the next larger pipe."""
    with pytest.raises(pipe_sizes.UnknownSizeError):
        pipe_sizes.outside_diameter(170.0)


@pytest.mark.parametrize(
    ("typed", "name"), [("Sch. 40", "40"), ("sch40", "40"), ("std", "STD"), ("10s", "10S"), ("Schedule 80", "80")]
)  # fmt: skip
def test_schedules_are_read_in_the_usual_spellings(typed, name):
    assert pipe_sizes.schedule_name(typed) == name


def test_dn_and_nps_name_each_other():
    for dn, nps in pipe_sizes.NPS_OF_DN.items():
        assert pipe_sizes.nps_from_dn(dn) == nps
        assert pipe_sizes.dn_from_nps(nps) == dn
        assert nps in pipe_sizes.sizes()
    with pytest.raises(pipe_sizes.UnknownSizeError, match="DN 150, DN 200"):
        pipe_sizes.nps_from_dn(170)
    with pytest.raises(pipe_sizes.UnknownSizeError):
        pipe_sizes.dn_from_nps(7.0)


def test_every_wall_leaves_a_bore():
    for nps in pipe_sizes.sizes():
        for schedule in pipe_sizes.schedules(nps):
            assert 0 < 2 * pipe_sizes.wall(nps, schedule) < pipe_sizes.outside_diameter(nps, schedule)
