"""Outside diameters and walls: ASME B36.10M-2018 and B36.19M-2018, Table 1, values from memory of the tables."""

import pytest

from pipecalc import pipe_sizes

# NPS, schedule, outside diameter, wall [mm].
WELDED_AND_SEAMLESS = [
    (0.5, "40", 21.3, 2.77),
    (0.75, "80", 26.7, 3.91),
    (1, "40", 33.4, 3.38),
    (1.5, "80", 48.3, 5.08),
    (2, "40", 60.3, 3.91),
    (2, "XXS", 60.3, 11.07),
    (3, "40", 88.9, 5.49),
    (4, "40", 114.3, 6.02),
    (4, "80", 114.3, 8.56),
    (6, "STD", 168.3, 7.11),
    (6, "XS", 168.3, 10.97),
    (8, "40", 219.1, 8.18),
    (8, "20", 219.1, 6.35),
    (10, "STD", 273.0, 9.27),
    (10, "160", 273.0, 28.58),
    (12, "STD", 323.8, 9.53),
    (12, "40", 323.8, 10.31),
    (14, "STD", 355.6, 9.53),
    (16, "XS", 406.4, 12.7),
    (20, "STD", 508.0, 9.53),
    (24, "STD", 610.0, 9.53),
    (36, "XS", 914.0, 12.7),
]
STAINLESS = [
    (1, "10S", 33.4, 2.77),
    (2, "10S", 60.3, 2.77),
    (4, "5S", 114.3, 2.11),
    (6, "10S", 168.3, 3.4),
    (8, "40S", 219.1, 8.18),
    (12, "40S", 323.9, 9.53),
]


@pytest.mark.source("ASME B36.10M-2018, Table 1, from memory")
@pytest.mark.parametrize(("nps", "schedule", "D", "T"), WELDED_AND_SEAMLESS)
def test_b36_10m(nps, schedule, D, T):
    assert pipe_sizes.outside_diameter(nps, schedule) * 1e3 == pytest.approx(D, abs=0.02)
    assert pipe_sizes.wall(nps, schedule) * 1e3 == pytest.approx(T, abs=0.006)


@pytest.mark.source("ASME B36.19M-2018, Table 1, from memory")
@pytest.mark.parametrize(("nps", "schedule", "D", "T"), STAINLESS)
def test_b36_19m(nps, schedule, D, T):
    assert pipe_sizes.outside_diameter(nps, schedule) * 1e3 == pytest.approx(D, abs=0.02)
    assert pipe_sizes.wall(nps, schedule) * 1e3 == pytest.approx(T, abs=0.006)


@pytest.mark.source("ASME B36.10M-2018, Table 1: schedules are not the same pipe where their names suggest it")
def test_standard_and_schedule_40_part_at_nps_12():
    assert pipe_sizes.wall(10, "STD") == pipe_sizes.wall(10, "40")
    assert pipe_sizes.wall(12, "STD") != pipe_sizes.wall(12, "40")
