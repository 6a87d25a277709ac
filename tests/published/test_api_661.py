"""API 661 / ISO 13706 clause 7.1.10, nozzle loads and header sum: typed a second time, from memory.

No public text confirms the numbers; SI and US columns were recalled apart and agree.
"""

import pytest

from pipecalc.checks.nozzles.api_661 import limits
from pipecalc.checks.nozzles.interface import Connection, Item
from pipecalc.tables import load

TABLE = pytest.mark.source("API 661 / ISO 13706, 7.1.10, table of nozzle loads, from memory")
NPS = (1.5, 2, 3, 4, 6, 8, 10, 12, 14)
COLUMNS = {
    "FX": (670, 1020, 2000, 3340, 4000, 5690, 6670, 8360, 10010),
    "FY": (1020, 1330, 1690, 2670, 5030, 13340, 13340, 13340, 16680),
    "FZ": (670, 1020, 2000, 3340, 5030, 8010, 10010, 13340, 16680),
    "MX": (110, 150, 410, 810, 2140, 3050, 4070, 5080, 6100),
    "MY": (150, 240, 610, 1220, 3050, 6100, 6100, 6100, 7120),
    "MZ": (110, 150, 410, 810, 1630, 2240, 2550, 3050, 3570),
}
HEADER = {"FX": 10010, "FY": 20020, "FZ": 16680, "MX": 6100, "MY": 8130, "MZ": 4070}
UP = (0.0, 0.0, 1.0)


@TABLE
@pytest.mark.parametrize("i", range(9), ids=lambda i: f"NPS {NPS[i]:g}")
def test_every_row(i):
    one = Connection("N", NPS[i], (0, 0, 0), (UP, UP, UP), (0, 0, 0), (0, 0, 0))
    found = limits(one, Item("E-1", "fixed", axis=(1.0, 0.0, 0.0)))
    assert found.components == {name: column[i] for name, column in COLUMNS.items()}


@TABLE
def test_header_sum_and_bay():
    header, bay = (load("nozzle_api_661").where("scope", scope).rows[0] for scope in ("header", "bay"))
    for name, value in HEADER.items():
        title = f"{name} [{'N' if name[0] == 'F' else 'N·m'}]"
        assert float(header[title]) == value
        assert float(bay[title]) == 3 * value


@TABLE
@pytest.mark.parametrize("printed", load("nozzle_api_661").rows, ids=lambda r: f"{r['scope']} {r['NPS [-]']}")
def test_si_and_us_columns_agree(printed):
    for kind, si, us, in_si in (("F", "N", "lbf", 4.44822), ("M", "N·m", "ft·lbf", 1.35582)):
        for axis in "XYZ":
            typed = float(printed[f"{kind}{axis} [{us}]"]) * in_si
            assert typed == pytest.approx(float(printed[f"{kind}{axis} [{si}]"]), rel=0.02, abs=6)
