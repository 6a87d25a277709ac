"""Pressure design thickness: ASME B31.3 para. 304.1.1 and 304.1.2, eq. (2) and (3a).

Formula from memory, numbers by direct arithmetic; stresses are inputs. The first line is that of Appendix S,
example 1.
"""

import pytest

from pipecalc.calc import pressure

pytestmark = pytest.mark.source("ASME B31.3 para. 304.1.1 and 304.1.2, eq. (2) and (3a), from memory")

# P [MPa], D [mm], S [MPa], E, c [mm]; t, t_m, least nominal at 12.5 % under-tolerance [mm].
LINES = [
    (3.795, 406.4, 130.3, 1.0, 1.59, 5.8501, 7.4401, 8.5029),
    (5.0, 219.1, 138.0, 1.0, 3.0, 3.9125, 6.9125, 7.9),
    (3.0, 168.3, 115.0, 0.85, 0.0, 2.5513, 2.5513, 2.9158),
    (15.0, 60.3, 138.0, 1.0, 1.6, 3.1406, 4.7406, 5.4179),
]


@pytest.mark.parametrize(("P", "D", "S", "E", "c", "t", "t_m", "T"), LINES)
def test_four_lines(P, D, S, E, c, t, t_m, T):
    wall = pressure.pressure_design_thickness(P * 1e6, D * 1e-3, S * 1e6, E, 1.0, 0.4)
    needed = pressure.required_thickness(wall, c * 1e-3)
    assert wall * 1e3 == pytest.approx(t, rel=1e-3)
    assert needed * 1e3 == pytest.approx(t_m, rel=1e-3)
    assert pressure.nominal_thickness_needed(needed, 0.125) * 1e3 == pytest.approx(T, rel=1e-3)
