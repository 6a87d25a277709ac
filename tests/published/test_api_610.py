"""API 610 / ISO 13709 Table 5 (10th to 12th ed.), rows typed a second time.

SI and US values as reproduced in Forsthoffer, Best Practice Handbook for Rotating Machinery, Tables 2.20.1, 2.20.2 and
10.6.1. The root of the squared components equals the printed resultant within its rounding.
"""

import pytest

from pipecalc.checks.nozzles.api_610 import limits
from pipecalc.checks.nozzles.interface import Connection, Item
from pipecalc.tables import load

TABLE = pytest.mark.source("API 610 / ISO 13709 Table 5, as reproduced in Forsthoffer, Best Practice Handbook")
NPS = (2, 3, 4, 6, 8, 10, 12, 14, 16)
SMALL = (580, 890, 1160, 2050, 3110, 4450, 5340, 5780, 6670)
MIDDLE = (710, 1070, 1420, 2490, 3780, 5340, 6670, 7120, 8450)
LARGE = (890, 1330, 1780, 3110, 4890, 6670, 8000, 8900, 10230)
RESULTANT = (1280, 1930, 2560, 4480, 6920, 9630, 11700, 12780, 14850)
MX = (460, 950, 1330, 2300, 3530, 5020, 6100, 6370, 7320)
MY = (230, 470, 680, 1180, 1760, 2440, 2980, 3120, 3660)
MZ = (350, 720, 1000, 1760, 2580, 3800, 4610, 4750, 5420)
MR = (620, 1280, 1800, 3130, 4710, 6750, 8210, 8540, 9820)
FORCES = {"top": (MIDDLE, SMALL, LARGE), "side": (MIDDLE, LARGE, SMALL), "end": (LARGE, MIDDLE, SMALL)}
OUTWARD = {"top": (0.0, 0.0, 1.0), "side": (0.0, 1.0, 0.0), "end": (1.0, 0.0, 0.0)}
PUMP = Item("P-1", "fixed", axis=(1.0, 0.0, 0.0))


def row(how, nps):
    R = OUTWARD[how]
    return limits(Connection("N", nps, (0, 0, 0), (R, R, R), (0, 0, 0), (0, 0, 0)), PUMP)


@TABLE
@pytest.mark.parametrize("how", FORCES)
@pytest.mark.parametrize("i", range(9), ids=lambda i: f"NPS {NPS[i]}")
def test_every_row_of_table_5(how, i):
    found = row(how, NPS[i])
    assert tuple(found.components.values()) == (*(column[i] for column in FORCES[how]), MX[i], MY[i], MZ[i])
    assert (found.force, found.moment) == (RESULTANT[i], MR[i])


@TABLE
def test_nps_2_holds_for_smaller_nozzles():
    assert row("top", 1.0).components == row("top", 2.0).components


@TABLE
@pytest.mark.parametrize("printed", load("nozzle_api_610").rows, ids=lambda r: f"{r['orientation']} {r['NPS [-]']}")
def test_components_make_the_printed_resultant_and_us_values_agree(printed):
    for kind, si, us, in_si in (("F", "N", "lbf", 4.44822), ("M", "N·m", "ft·lbf", 1.35582)):
        parts = [float(printed[f"{kind}{axis} [{si}]"]) for axis in "XYZ"]
        total = float(printed[f"{kind}R [{si}]"])
        assert sum(p * p for p in parts) ** 0.5 == pytest.approx(total, abs=6)
        for axis in "XYZR":
            typed = float(printed[f"{kind}{axis} [{us}]"]) * in_si
            assert typed == pytest.approx(float(printed[f"{kind}{axis} [{si}]"]), rel=0.02, abs=6)
