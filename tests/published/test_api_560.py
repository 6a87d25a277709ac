"""API 560 / ISO 13705, allowable forces and moments on heater tubes: typed a second time, from memory."""

import pytest

from pipecalc.checks.nozzles.api_560 import limits
from pipecalc.checks.nozzles.interface import Connection, Item
from pipecalc.pipe_sizes import outside_diameter
from pipecalc.tables import load

TABLE = pytest.mark.source("API 560 / ISO 13705, table of allowable forces and moments on tubes, from memory")
UP = (0.0, 0.0, 1.0)


@TABLE
@pytest.mark.parametrize(
    ("nps", "values"),
    [
        (2.0, (445, 890, 890, 475, 339, 339)),
        (4.0, (890, 1779, 1779, 813, 610, 610)),
        (6.0, (1112, 2224, 2224, 990, 746, 746)),
        (8.0, (1334, 2669, 2669, 1166, 881, 881)),
        (12.0, (1779, 3114, 3114, 1356, 1017, 1017)),
    ],
)
def test_first_middle_and_last_rows(nps, values):
    one = Connection("N", nps, (0, 0, 0), (UP, UP, UP), (0, 0, 0), (0, 0, 0))
    assert tuple(limits(one, Item("H-1", "fixed")).components.values()) == values


@TABLE
@pytest.mark.parametrize("printed", load("nozzle_api_560").rows, ids=lambda r: f"NPS {r['NPS [-]']}")
def test_us_columns_and_tube_diameters_agree(printed):
    for name in ("FX", "FY", "FZ"):
        assert float(printed[f"{name} [lbf]"]) * 4.44822 == pytest.approx(float(printed[f"{name} [N]"]), abs=1)
        moment = name.replace("F", "M")
        assert float(printed[f"{moment} [ft·lbf]"]) * 1.35582 == pytest.approx(float(printed[f"{moment} [N·m]"]), abs=1)
    diameter = outside_diameter(float(printed["NPS [-]"])) * 1e3
    assert float(printed["tube outside diameter [mm]"]) == pytest.approx(diameter, abs=0.11)
