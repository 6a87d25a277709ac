"""What must hold for the stresses of any plant, whatever its code."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from stress_books import S_E, S_L, S_O, S_T, anchor, book, plant_of, stresses, stresses_of

from pipecalc.checks.stress import codes
from pipecalc.results import Status

EVERY = [pytest.param(c.title, e, id=f"{c.title}-{e}") for c in codes().values() for e in c.editions]
NAMES = (S_L, S_E, S_O, S_T)
RUNS = [
    {"from_": "1", "to": "2", "east": 3.0, "turn": "bend", "bend_radius": 229},
    {"from_": "2", "to": "3", "north": 2.5, "branch": "unreinforced fabricated tee"},
    {"from_": "3", "to": "4", "north": 2.5, "turn": "bend", "bend_radius": 229},
    {"from_": "4", "to": "5", "up": 2.0},
    {"line": "B", "from_": "L/3", "to": "9", "east": 2.0, "up": 0.5},
]
HELD = [anchor("A", "1"), anchor("B", "5"), {**anchor("C", "9"), "line": "B"}]
BRANCH = {"line": "B", "outside_diameter": 114.3, "wall": 6.02}
SHORT = settings(max_examples=12)


def branched(title="ASME B31.3", edition="2018", temperature=180.0, pressure=20.0, cycles=7000, **project):
    both = {"operating_temperature": temperature, "design_pressure": pressure, "test_pressure": 1.5 * pressure}
    more = {"cycles": cycles}
    chosen = {"code": title, "edition": edition, "seismic_horizontal": 0.2, **project}
    return book(RUNS, HELD, line={**both, **more}, lines=[{**BRANCH, **both, **more}], project=chosen)


def by_point(found, check):
    """Stress and limit at every section, in order."""
    return [(c.line, c.point, c.demand, c.limit) for c in found.checks if c.check == check]


@pytest.mark.parametrize(("title", "edition"), EVERY)
def test_every_section_has_a_number_and_a_limit(title, edition):
    found = stresses(branched(title, edition))
    for check in NAMES:
        own = [c for c in found.checks if c.check == check]
        assert len(own) == len(found.points)
        assert all(c.status in (Status.PASS, Status.FAIL) for c in own)
        assert all(c.ratio == pytest.approx(c.demand / c.limit) for c in own)


@pytest.mark.parametrize(("title", "edition"), EVERY)
def test_nothing_moves_where_nothing_is_heated(title, edition):
    found = stresses(branched(title, edition, temperature=20.0))
    assert max(demand for _, _, demand, _ in by_point(found, S_E)) < 1.0


@SHORT
@given(rise=st.floats(-60.0, 280.0))
def test_the_displacement_range_is_in_proportion_to_the_heat(rise):
    one, many = (stresses(branched(temperature=20.0 + heat)) for heat in (100.0, rise))
    ends = [[(p, d) for _, p, d, _ in by_point(found, S_E) if "%" not in p] for found in (one, many)]
    assert [d for _, d in ends[1]] == pytest.approx([abs(rise) / 100.0 * d for _, d in ends[0]], rel=1e-6, abs=10.0)


@SHORT
@given(pressure=st.just(0.0) | st.floats(1e-3, 60.0), cycles=st.floats(1.0, 1e6))
def test_the_sustained_margin_never_lowers_a_limit(pressure, cycles):
    plain, margin = (
        stresses(branched(pressure=pressure, cycles=cycles, use_sustained_margin=word)) for word in ("no", "yes")
    )
    pairs = zip(by_point(plain, S_E), by_point(margin, S_E), strict=True)
    assert all(with_margin[3] >= basic[3] * (1 - 1e-12) for basic, with_margin in pairs)


@SHORT
@given(low=st.floats(1.0, 1e6), more=st.floats(1.0, 100.0))
def test_more_cycles_never_raise_a_limit(low, more):
    few, many = (stresses(branched(cycles=n)) for n in (low, min(1e8, low * more)))
    assert all(a[3] >= b[3] * (1 - 1e-12) for a, b in zip(by_point(few, S_E), by_point(many, S_E), strict=True))


@pytest.mark.parametrize(("title", "edition"), EVERY)
def test_usage_is_one_where_the_range_meets_its_limit(title, edition):
    """Usage above one and a ratio above one are the same verdict, but for the steps of EN 13480-3."""
    for cycles in (500, 20000, 400000):
        for check in stresses(branched(title, edition, temperature=300.0, cycles=cycles)).checks:
            if check.check == S_E and "U" in check.inputs and title != "EN 13480-3":
                assert (check.inputs["U"] > 1 + 1e-9) == (check.ratio > 1 + 1e-9)


def test_units_of_the_workbook_change_nothing():
    from books import twin

    si, us = stresses(branched()), stresses(twin(branched()), units="US")
    for check in NAMES:
        a, b = by_point(si, check), by_point(us, check)
        assert [row[1] for row in a] == [row[1] for row in b]
        assert [row[2] for row in a] == pytest.approx([row[2] for row in b], rel=1e-6, abs=10.0)
        assert [row[3] for row in a] == pytest.approx([row[3] for row in b], rel=1e-9)


def test_the_order_of_lines_has_no_bearing_on_stress():
    plant = plant_of(branched())
    turned = replace(plant, lines=dict(reversed(plant.lines.items())))
    for check in NAMES:
        a, b = (sorted(by_point(stresses_of(p), check)) for p in (plant, turned))
        assert [row[:2] for row in a] == [row[:2] for row in b]
        assert [row[2] for row in a] == pytest.approx([row[2] for row in b], rel=1e-6, abs=10.0)


def test_the_worst_of_a_row_is_what_its_columns_show():
    from pipecalc.analysis.analyse import analyse
    from pipecalc.workbook.result_columns import segment_values

    plant = plant_of(branched())
    results = analyse(plant)
    columns = {"result_sustained": (S_L,), "result_range": (S_E,), "result_occasional": (S_O,),
               "result_test": (S_T, "test hoop stress")}  # fmt: skip
    for row, values in segment_values(plant, results).items():
        own = [c for c in results.checks if row in c.rows and not c.screening]
        for key, names in columns.items():
            assert values[key] == max(c.ratio for c in own if c.check in names)
        rated = [c for c in own if c.ratio == c.ratio]
        assert values["result_governing"] == max(rated, key=lambda c: c.ratio).check
        failed = any(c.status is Status.FAIL for c in own)
        assert (values["result_status"] == "FAIL") == failed
