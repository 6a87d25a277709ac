"""Branch connections by the later table: limits, what the fits say of themselves, springs."""

from dataclasses import astuple, replace

import numpy as np
import pytest

from pipecalc.calc import branch_b31j as b
from pipecalc.calc.formula import Formula, evaluate

NAN = float("nan")
TEE = b.BranchGeometry("welding tee", 0.3239, 0.00953, 0.2191, 0.00818)
FULL = replace(TEE, branch_diameter=0.3239, branch_wall=0.00953)
ALL = [
    TEE,
    replace(TEE, kind="unreinforced fabricated tee"),
    replace(TEE, kind="reinforced fabricated tee", pad=0.010),
    replace(TEE, kind="welded-on fitting", radius_ratio=0.8),
]


def all_factors(found):
    return [*astuple(found.run), *astuple(found.branch)]


@pytest.mark.parametrize("geometry", ALL, ids=lambda g: g.kind)
def test_every_kind_has_twelve_factors_none_below_one_and_none_verified(geometry):
    found = b.branch_factors(geometry)
    assert all(np.isfinite(x) and x >= 1 for x in all_factors(found))
    assert not found.verified
    assert "memory" in found.source
    assert found.reasons == ()


@pytest.mark.parametrize("geometry", ALL, ids=lambda g: g.kind)
def test_the_printed_lines_are_what_is_computed(geometry):
    found = b.branch_factors(geometry)
    assert len(found.formulas) == 12
    for name, lines in found.formulas.items():
        value = evaluate(Formula(lines, ()), found.symbols)
        leg = found.run if name.endswith("r") else found.branch
        assert getattr(leg, name[:3]) == pytest.approx(value)


def test_a_small_unreinforced_branch_keeps_the_floors_of_the_run():
    small = b.BranchGeometry("unreinforced fabricated tee", 0.3239, 0.00953, 0.0603, 0.00391)
    smaller = replace(small, branch_diameter=0.0483, branch_wall=0.00368)
    assert b.branch_factors(small).run.i_i >= 1.5
    assert b.branch_factors(small).run.i_o == pytest.approx(b.branch_factors(smaller).run.i_o)


def test_a_thick_pad_counts_as_one_and_a_half_walls():
    thick = replace(TEE, kind="reinforced fabricated tee", pad=0.05)
    limit = replace(thick, pad=1.5 * thick.run_wall)
    assert all_factors(b.branch_factors(thick)) == all_factors(b.branch_factors(limit))


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"run_wall": 0.003}, "R/T"),
        ({"branch_diameter": 0.4064, "branch_wall": 0.00953}, "d/D"),
        ({"branch_wall": 0.002}, "d/t"),
        ({"branch_wall": 0.0}, "above zero"),
        ({"branch_wall": 0.3}, "above zero"),
        ({"run_diameter": NAN}, "above zero"),
        ({"kind": "reinforced fabricated tee"}, "pad"),
        ({"kind": "reinforced fabricated tee", "pad": 0.0}, "pad"),
        ({"kind": "welded-on fitting"}, "ratio"),
        ({"kind": "welded-on fitting", "radius_ratio": 1.2}, "ratio"),
    ],
)
def test_outside_a_limit_there_are_no_factors_and_the_limit_is_named(change, word):
    found = b.branch_factors(replace(TEE, **change))
    assert np.isnan(all_factors(found)).all()
    assert any(word in reason for reason in found.reasons)


def test_a_limit_is_inside_the_table():
    edge = b.BranchGeometry("welding tee", 0.505, 0.005, 0.505, 0.00505)
    assert b.branch_factors(edge).reasons == ()


@pytest.mark.parametrize("kind", ["extruded outlet", "contour insert", "", "cross"])
def test_a_kind_without_fits_is_refused_with_those_there_are(kind):
    with pytest.raises(LookupError, match="welding tee"):
        b.branch_factors(replace(TEE, kind=kind))


def test_a_spring_gives_the_rotation_that_its_factor_stands_for():
    E, I_b, k, d, M = 2e11, 3e-5, 2.5, 0.2, 1e3
    assert M / b.branch_spring(E, I_b, k, d) == pytest.approx(k * M * d / (E * I_b))
    assert M / b.run_spring(E, I_b, k, d) == pytest.approx(k * M * d / (E * I_b))
    assert np.isnan(b.branch_spring(E, I_b, 0.5, d))
    assert np.isnan(b.run_spring(E, I_b, NAN, d))
