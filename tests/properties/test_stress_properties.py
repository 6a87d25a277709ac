"""What must hold for the stresses of any code, any section and any forces."""

from math import cos, sin

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipecalc.checks.stress import codes
from pipecalc.checks.stress.interface import NO_OPTIONS, Factors, Forces, Geometry

EVERY = [
    pytest.param(code, edition, id=f"{code.title}-{edition}") for code in codes().values() for edition in code.editions
]
STRAIGHT = Factors.of(1.0, 1.0, bend=False)

loads = st.floats(-5e4, 5e4)
factors = st.floats(1.0, 8.0)
geometries = st.builds(
    lambda D, share, c: Geometry.of(D, D * share, D * share * c),
    st.floats(0.02, 1.2), st.floats(0.005, 0.2), st.floats(0.0, 0.8),
)  # fmt: skip
forces = st.builds(Forces.of, loads, loads, loads, loads)
stresses = st.floats(1e6, 3e8)


def times(force, scale):
    return Forces.of(*(scale * part for part in (force.axial, force.torsion, force.in_plane, force.out_of_plane)))


def turned(force, angle):
    inward = cos(angle) * force.in_plane - sin(angle) * force.out_of_plane
    outward = sin(angle) * force.in_plane + cos(angle) * force.out_of_plane
    return Forces.of(force.axial, force.torsion, inward, outward)


@pytest.mark.parametrize(("code", "edition"), EVERY)
@given(geometry=geometries, force=forces, angle=st.floats(-7.0, 7.0))
def test_the_axes_of_a_straight_pipe_are_free(code, edition, geometry, force, angle):
    here = code.displacement_range(geometry, force, STRAIGHT, edition).total
    there = code.displacement_range(geometry, turned(force, angle), STRAIGHT, edition).total
    assert there == pytest.approx(here, rel=1e-9, abs=1e-3)


@pytest.mark.parametrize(("code", "edition"), EVERY)
@given(geometry=geometries, force=forces, i_in=factors, i_out=factors, scale=st.floats(-20.0, 20.0))
def test_the_range_is_in_proportion_to_its_loads(code, edition, geometry, force, i_in, i_out, scale):
    elbow = Factors.of(i_in, i_out, bend=True)
    one = code.displacement_range(geometry, force, elbow, edition).total
    many = code.displacement_range(geometry, times(force, scale), elbow, edition).total
    assert many == pytest.approx(abs(scale) * one, rel=1e-9, abs=1e-3)


@pytest.mark.parametrize(("code", "edition"), EVERY)
@given(geometry=geometries, force=forces, i_in=factors, i_out=factors)
def test_no_range_no_stress(code, edition, geometry, force, i_in, i_out):
    nothing = code.displacement_range(geometry, force.minus(force), Factors.of(i_in, i_out, bend=False), edition)
    assert nothing.total == 0


@pytest.mark.parametrize(("code", "edition"), EVERY)
@given(geometry=geometries, force=forces, i_in=factors, i_out=factors, more=st.floats(1.0, 3.0))
def test_a_larger_factor_never_lowers_a_stress(code, edition, geometry, force, i_in, i_out, more):
    small, large = Factors.of(i_in, i_out, bend=False), Factors.of(i_in * more, i_out * more, bend=False)
    P = np.array([1e6])
    for act in (
        lambda f: code.displacement_range(geometry, force, f, edition).total,
        lambda f: code.sustained(geometry, force, f, P, edition, NO_OPTIONS).total,
    ):
        assert act(large) >= act(small) * (1 - 1e-12)


@pytest.mark.parametrize(("code", "edition"), EVERY)
@given(geometry=geometries, force=forces, k=st.floats(0.01, 100.0))
def test_the_stress_does_not_know_the_unit_of_length(code, edition, geometry, force, k):
    """Lengths k times as large, forces k^2, moments k^3: the same stress."""
    wide = Geometry.of(geometry.outside_diameter * k, geometry.wall * k, geometry.allowance * k)
    heavy = Forces.of(
        force.axial * k**2, force.torsion * k**3, force.in_plane * k**3, force.out_of_plane * k**3
    )  # fmt: skip
    P = np.array([2e6])
    small = code.sustained(geometry, force, STRAIGHT, P, edition, NO_OPTIONS).total
    assert code.sustained(wide, heavy, STRAIGHT, P, edition, NO_OPTIONS).total == pytest.approx(small, rel=1e-9)


@pytest.mark.parametrize(("code", "edition"), EVERY)
@given(f=st.floats(0.1, 1.2), S_c=stresses, S_h=stresses, S_L=st.floats(0.0, 4e8))
def test_the_form_with_the_sustained_margin_never_allows_less(code, edition, f, S_c, S_h, S_L):
    basic = code.allowable_range(f, S_c, S_h, None, 1.0).value
    liberal = code.allowable_range(f, S_c, S_h, S_L, 1.0)
    assert liberal.value >= basic
    assert not (S_h <= S_L and liberal.with_sustained_margin)


@pytest.mark.parametrize(("code", "edition"), EVERY)
@given(N=st.floats(1.0, 1e9), more=st.floats(1.0, 100.0))
def test_more_cycles_never_allow_a_larger_range(code, edition, N, more):
    f_m = code.largest_cycle_factor(414e6, 200.0, "ferritic")
    assert code.cycle_factor(N * more, f_m, edition) <= code.cycle_factor(N, f_m, edition)
