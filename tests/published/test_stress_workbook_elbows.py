"""Displacement stress range of elbows under known moments, ASME B31.3 para. 319.4.4, through a workbook.

Moments in plane, out of plane and in torsion at the end of three long-radius elbows; S_E by eq. (17) and (18) with
the factors of Appendix D (to the 2018 edition), by direct arithmetic. A cantilever with the moments at its free end
that act in operation only has them unchanged in every section.
"""

import pytest
from stress_books import S_E, anchor, book, stresses

pytestmark = pytest.mark.source("ASME B31.3 para. 319.4.4, eq. (17), (18) and Appendix D, to the 2018 edition")

# NPS, schedule; M_i, M_o, M_t [kN·m]; Z [mm3]; i_i, i_o; S_b, S_t, S_E [MPa].
ROWS = [
    (8, "40", (10.0, 6.0, 4.0), 275554.0, (2.4388, 2.0324), (98.953, 7.2581, 100.01)),
    (16, "STD", (65.0, 20.0, 30.0), 1151930.0, (3.2234, 2.6861), (187.77, 13.022, 189.57)),
    (4, "80", (3.0, 0.0, 2.0), 69995.8, (1.4958, 1.2465), (64.111, 14.287, 70.19)),
]


@pytest.mark.parametrize(("nps", "schedule", "moments", "Z", "factors", "expected"), ROWS)
def test_an_elbow_under_known_moments(nps, schedule, moments, Z, factors, expected):
    """The elbow turns from East to North: at its end the plane's axis is Up and the pipe's own North."""
    inward, outward, twist = (1000 * m for m in moments)
    runs = [{"from_": "1", "to": "2", "east": 2.0, "turn": "long radius"}, {"from_": "2", "to": "3", "north": 2.0}]
    load = {"load": "M", "line": "L", "point": "3", "acts_in": "operating", "moment_up": inward,
            "moment_east": outward, "moment_north": twist}  # fmt: skip
    line = {"outside_diameter": None, "wall": None, "nps": nps, "schedule": schedule}
    found = stresses(book(runs, [anchor("A", "1")], line=line, Point_loads=[load])).at(S_E, "2, end of the turn")
    given = [abs(found.inputs[name]) for name in ("M_i", "M_o", "M_t")]
    assert given == pytest.approx([inward, outward, twist], abs=1e-3)
    assert found.inputs["Z"] * 1e9 == pytest.approx(Z, rel=1e-3)
    assert (found.inputs["i_i"], found.inputs["i_o"]) == pytest.approx(factors, rel=1e-3)
    parts = [abs(found.inputs["S_b"]), abs(found.inputs["S_t"]), found.demand]
    assert [part / 1e6 for part in parts] == pytest.approx(list(expected), rel=1e-3)
