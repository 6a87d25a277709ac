"""What the workbook says about springs: the user's own table, and nozzles held or freed while the weight is found."""

import pytest
from books import book_bytes

from pipecalc.analysis.analyse import analyse
from pipecalc.analysis.frame import run_frame
from pipecalc.problems import InputError
from pipecalc.workbook.build import build
from pipecalc.workbook.reader import read
from tests.analysis.hand_plants import line_rows

SPRING = {"support": "S", "point": "20", "type": "spring"}


def plant_of(sizes=(), **project):
    rows = line_rows([{"east": 3}, {"east": 3}, {"north": 4}], supports=[SPRING])
    rows["Project"] = [rows["Project"][0] | project]
    rows["Spring table"] = list(sizes)
    built = build(read(book_bytes(rows)))
    assert built.plant is not None, built.problems
    return built.plant


def size(name, least, most, travel=60):
    return {"size": name, "least_load": least, "most_load": most, "travel": travel, "source": "maker's sheet 4"}


def test_with_both_nozzles_freed_upward_the_spring_alone_holds_the_weight():
    held, freed = (run_frame(plant_of(spring_balance=f"nozzles {word}")).hot_load["S"] for word in ("held", "freed"))
    cold = next(e for e in analyse(plant_of()).equilibrium if e.case == "sustained, cold")
    assert freed == pytest.approx(-cold.applied[2], rel=1e-9)
    assert held < 0.8 * freed


def test_the_users_sizes_are_taken_in_place_of_the_generic_ones():
    hot = run_frame(plant_of()).hot_load["S"]
    own = analyse(plant_of([size("K-7", 0.5 * hot, 2.0 * hot)])).springs[0]
    assert own.rate == pytest.approx(1.5 * hot / 0.06)
    assert analyse(plant_of()).springs[0].rate != pytest.approx(own.rate)


def test_a_size_that_is_no_range_is_told():
    with pytest.raises(InputError, match="K-8"):
        analyse(plant_of([size("K-8", 900, 400)]))
