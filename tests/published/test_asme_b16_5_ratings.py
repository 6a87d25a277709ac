"""ASME B16.5-2009 Table 2: corner and middle values typed a second time [bar].

Group 1.1 as in a text copy of Table 2-1.1; groups 2.1, 2.2 and 2.3 as in public data files of a university
laboratory; raised face diameters of the standard's dimension tables.
"""

import pytest

from pipecalc.checks.flanges.rating import rating
from pipecalc.tables import load


@pytest.mark.source("ASME B16.5-2009 Table 2-1.1")
@pytest.mark.parametrize(
    ("pressure_class", "temperature", "bar"),
    [
        ("150", -29.0, 19.6), ("150", 38.0, 19.6), ("150", 200.0, 13.8), ("150", 538.0, 1.4),
        ("300", 38.0, 51.1), ("300", 100.0, 46.6), ("300", 400.0, 34.7), ("300", 538.0, 5.9),
        ("600", 38.0, 102.1), ("600", 300.0, 79.6), ("900", 50.0, 150.4), ("900", 250.0, 125.8),
    ],
)  # fmt: skip
def test_carbon_steel(pressure_class, temperature, bar):
    assert rating("1.1", pressure_class, temperature).value == pytest.approx(bar * 1e5)


@pytest.mark.source("ASME B16.5-2009 Tables 2-2.1, 2-2.2 and 2-2.3")
@pytest.mark.parametrize(
    ("group", "cold_150", "cold_300"), [("2.1", 19.0, 49.6), ("2.2", 19.0, 49.6), ("2.3", 15.9, 41.4)]
)
def test_stainless_steels_at_room_temperature(group, cold_150, cold_300):
    assert rating(group, "150", 38.0).value == pytest.approx(cold_150 * 1e5)
    assert rating(group, "300", 38.0).value == pytest.approx(cold_300 * 1e5)


@pytest.mark.source("ASME B16.5 raised face diameters")
@pytest.mark.parametrize(("nps", "R"), [("0.5", "34.9"), ("2", "92.1"), ("8", "269.9"), ("24", "692.2")])
def test_raised_faces(nps, R):
    rows = {row["NPS [-]"]: row["raised face diameter [mm]"] for row in load("flange_raised_face_asme_b16_5").rows}
    assert rows[nps] == R
