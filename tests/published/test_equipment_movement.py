"""Movement of a column's nozzle: skirt at its average temperature, shell by zones, radius by the local zone.

The procedure is that of the M. W. Kellogg piping mechanical design manual, vertical vessels (skirt average temperature
chart), and of public training slides "Nozzle movement calculation" (author and year not stated). The growth sums are
recomputed for an invented column; the chart itself is not used.
"""

import pytest

from pipecalc.analysis.equipment import nozzle_movement
from tests.analysis.hand_plants import item, metal, nozzle, plant_of, zone

MANUAL = pytest.mark.source("M. W. Kellogg, piping mechanical design manual, vertical vessels; growth sums recomputed")


@MANUAL
def test_a_columns_nozzle_moves_by_skirt_zones_and_radius() -> None:
    skirt, lower, upper = metal(1.18e-5, "skirt"), metal(1.25e-5, "lower"), metal(1.2e-5, "upper")
    column = item(
        material=skirt,
        temperature=120.0,
        support_temperature=120.0,
        support_height=5.0,
        zones=(zone(5.0, 17.0, 230.0, lower), zone(17.0, 35.0, 160.0, upper)),
    )
    plant = plant_of(column)
    move = nozzle_movement(nozzle((1.4, 0.0, 25.0)), plant, plant.states[0])
    assert [term.up * 1e3 for term in move.terms] == pytest.approx([5.841, 31.35, 13.344, 0.0], rel=1e-3)
    assert move.up * 1e3 == pytest.approx(50.535, rel=1e-3)
    assert move.east * 1e3 == pytest.approx(2.3352, rel=1e-3)
    assert move.north == 0.0
