"""What every stress code owes the rest of the program."""

from dataclasses import fields, replace

import numpy as np
import pytest

from pipecalc.calc.formula import formula_of, worked
from pipecalc.checks.stress import code, codes
from pipecalc.checks.stress.interface import (
    NO_OPTIONS,
    Event,
    Factors,
    Forces,
    Geometry,
    Indices,
    Kind,
    Options,
)

NAN = float("nan")
EVERY = [
    pytest.param(found, edition, id=f"{found.title}-{edition}")
    for found in codes().values()
    for edition in found.editions
]
CODES = [pytest.param(found, id=title) for title, found in codes().items()]

# A straight pipe, an elbow, a branch leg with a reducing branch's effective section modulus.
GEOMETRY = Geometry.of(
    [0.1683, 0.1683, 0.1143], [0.00711, 0.00711, 0.00602], 0.0015, [NAN, NAN, 0.00818], [NAN, NAN, 0.0015]
)
FORCES = Forces.of([10e3, -4e3, 2e3], [500.0, 700.0, -100.0], [2e3, -1.5e3, 600.0], [1e3, 800.0, 400.0])
EVENT = Forces.of([1e3, 2e3, 0.0], [50.0, -90.0, 30.0], [300.0, -200.0, 150.0], [100.0, 400.0, -80.0])
FACTORS = Factors.of([1.0, 2.2639, 3.9613], [1.0, 1.8866, 4.9484], [False, True, False])
PRESSURE = np.full(3, 4e6)


def computed(found, edition, kind, geometry=GEOMETRY, factors=FACTORS, forces=FORCES):
    if kind is Kind.RANGE:
        return found.displacement_range(geometry, forces, factors, edition)
    if kind is Kind.OCCASIONAL:
        return found.occasional(geometry, forces, EVENT, factors, PRESSURE, edition, NO_OPTIONS)
    act = found.sustained if kind is Kind.SUSTAINED else found.test
    return act(geometry, forces, factors, PRESSURE, edition, NO_OPTIONS)


def test_three_codes_are_found_in_order():
    assert list(codes()) == ["ASME B31.1", "ASME B31.3", "EN 13480-3"]


def test_unknown_codes_and_editions_are_refused_with_those_there_are():
    with pytest.raises(LookupError, match="EN 13480-3"):
        code("ASME B31.4", "2018")
    with pytest.raises(LookupError, match="2018, 2020, 2022, 2024"):
        code("ASME B31.3", "2016")
    assert code("ASME B31.3", "2024").title == "ASME B31.3"


@pytest.mark.parametrize("found", CODES)
def test_an_unknown_edition_computes_nothing(found):
    for kind in Kind:
        with pytest.raises(LookupError):
            computed(found, "1999", kind)
    with pytest.raises(LookupError):
        found.cycle_factor(7000, 1.0, "1999")


@pytest.mark.parametrize(("found", "edition"), EVERY)
@pytest.mark.parametrize("kind", Kind)
def test_the_worked_lines_lead_from_the_inputs_to_the_total(found, edition, kind):
    parts = computed(found, edition, kind)
    for point in range(3):
        known = {name: float(values[point]) for name, values in parts.inputs.items()}
        value = NAN
        for function in found.worked[kind]:
            if all(np.isfinite(known.get(name, NAN)) for name in formula_of(function).names):
                value = worked(function, **{name: known[name] for name in formula_of(function).names}).result
                assert_same_as_input(function, known, value)
        assert value == pytest.approx(parts.total[point])


def assert_same_as_input(function, known, value):
    target = formula_of(function).lines[-1].split(" = ")[0]
    if target in known:
        assert value == pytest.approx(known[target]), target


@pytest.mark.parametrize(("found", "edition"), EVERY)
@pytest.mark.parametrize("kind", Kind)
def test_every_stress_is_a_number_with_a_clause(found, edition, kind):
    parts = computed(found, edition, kind)
    assert np.all(parts.total > 0)
    assert parts.total.shape == (3,)
    assert found.clause(kind, edition).startswith(f"{found.title}-{edition} ")
    assert found.limit_clause(kind, edition).startswith(f"{found.title}-{edition} ")


@pytest.mark.parametrize(("found", "edition"), EVERY)
@pytest.mark.parametrize("kind", Kind)
def test_what_is_unknown_stays_unknown(found, edition, kind):
    unknown = Factors.of(NAN, [1.0, 1.9, 5.0], False)
    below_one = Factors.of([0.5, 0.9, 0.0], 0.8, False)
    no_wall = replace(GEOMETRY, wall=np.array([0.0, NAN, -0.001]))
    assert np.isnan(computed(found, edition, kind, factors=unknown).total).all()
    assert np.isnan(computed(found, edition, kind, factors=below_one).total).all()
    assert np.isnan(computed(found, edition, kind, geometry=no_wall).total).all()
    assert np.isnan(computed(found, edition, kind, forces=Forces.of(0.0, NAN, [1.0, 2.0, 3.0], 0.0)).total).all()


@pytest.mark.parametrize("found", CODES)
def test_an_allowance_that_eats_the_wall_leaves_no_sustained_stress_where_it_is_deducted(found):
    eaten = replace(GEOMETRY, allowance=np.full(3, 0.008))
    edition = next(iter(found.editions))
    for kind in Kind:
        assert np.isnan(computed(found, edition, kind, eaten).total).all() == found.allowance_deducted[kind]


@pytest.mark.parametrize("found", CODES)
def test_an_event_without_forces_leaves_the_sustained_stress(found):
    edition, still = next(iter(found.editions)), Forces.of(np.zeros(3), 0.0, 0.0, 0.0)
    alone = found.sustained(GEOMETRY, FORCES, FACTORS, PRESSURE, edition, NO_OPTIONS)
    quiet = found.occasional(GEOMETRY, FORCES, still, FACTORS, PRESSURE, edition, NO_OPTIONS)
    assert quiet.total == pytest.approx(alone.total)


@pytest.mark.parametrize("found", CODES)
@pytest.mark.parametrize("missing", [NAN, 0.0, -1e6])
def test_a_missing_strength_has_no_limit(found, missing):
    assert np.isnan(found.limit_sustained(missing, 1.0))
    assert np.isnan(found.limit_sustained(130e6, missing))
    assert np.isnan(found.limit_test(missing))
    assert all(np.isnan(found.limit_occasional(missing, event)) for event in Event)
    assert np.isnan(found.allowable_range(1.0, missing, 130e6, None, 1.0).value)
    assert np.isnan(found.allowable_range(1.0, 138e6, missing, None, 1.0).value)
    assert np.isnan(found.allowable_range(missing if np.isnan(missing) else NAN, 138e6, 130e6, None, 1.0).value)


@pytest.mark.parametrize("found", CODES)
def test_every_event_has_a_factor_and_its_duration(found):
    assert set(found.occasional_limits) == set(Event)
    for event, limit in found.occasional_limits.items():
        assert limit.condition
        assert found.limit_occasional(100e6, event) == pytest.approx(limit.factor * 100e6)
        assert 1.0 < limit.factor <= 1.33


@pytest.mark.parametrize("found", CODES)
def test_the_margin_of_the_sustained_stress_counts_only_where_there_is_one(found):
    S_L = [0.0, 60e6, 130e6, 150e6, NAN]
    basic = found.allowable_range(0.9, 138e6, 130e6, None, 1.0)
    liberal = found.allowable_range(0.9, 138e6, 130e6, S_L, 1.0)
    assert list(liberal.with_sustained_margin) == [True, True, False, False, False]
    assert np.all(liberal.value >= basic.value)
    assert liberal.value[2:] == pytest.approx(np.full(3, basic.value))


@pytest.mark.parametrize(("found", "edition"), EVERY)
def test_cycles_allowed_and_the_factor_agree(found, edition):
    f_m = found.largest_cycle_factor(414e6, 200.0, "ferritic")
    for f in (0.95, 0.7, 0.45, 0.3):
        N = found.cycles_allowed(f, f_m, edition)
        assert found.cycle_factor(N * 0.999, f_m, edition) >= f * (1 - 1e-9)
        assert found.cycle_factor(N * 1.001, f_m, edition) < f
    assert found.cycles_allowed(f_m * 1.001, f_m, edition) == 0
    assert np.isinf(found.cycles_allowed(0.0, f_m, edition))
    assert np.isnan(found.cycles_allowed(NAN, f_m, edition))
    assert np.isnan(found.cycle_factor([0.0, -5.0, NAN], f_m, edition)).all()


@pytest.mark.parametrize("found", CODES)
def test_what_comes_from_memory_is_said(found):
    assert any("memory" in note for note in found.notes)


@pytest.mark.parametrize("title", ["ASME B31.1", "EN 13480-3"])
def test_own_indices_are_refused_where_the_equations_have_none(title):
    found = codes()[title]
    own = Options(indices=Indices.of(np.ones(3), 1.0))
    with pytest.raises(ValueError, match="indices"):
        found.sustained(GEOMETRY, FORCES, FACTORS, PRESSURE, next(iter(found.editions)), own)


def test_records_need_arrays_of_one_length():
    with pytest.raises(ValueError, match="length"):
        Forces(np.zeros(2), np.zeros(3), np.zeros(2), np.zeros(2))
    with pytest.raises(ValueError, match="length"):
        Factors(np.array(1.0), np.array(1.0), np.array(1.0), np.array(1.0))


def test_forces_add_and_subtract():
    there_and_back = FORCES.plus(EVENT).minus(EVENT)
    for f in fields(FORCES):
        assert getattr(there_and_back, f.name) == pytest.approx(getattr(FORCES, f.name))


def test_the_axial_factor_follows_from_the_kind_of_component():
    assert list(FACTORS.i_a) == [1.0, 1.0, 4.9484]
    assert list(FACTORS.largest) == [1.0, 2.2639, 4.9484]
