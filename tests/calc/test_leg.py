"""Guided cantilever."""

import numpy as np
import pytest

from pipecalc.calc import leg

E, D, T = 203e9, 0.1683, 0.00711
INERTIA = np.pi * (D**4 - (D - 2 * T) ** 4) / 64


def test_force_moment_and_stress_agree():
    L, delta = 4.0, 0.0192
    force, moment = leg.cantilever_force(E, INERTIA, L, delta), leg.cantilever_moment(E, INERTIA, L, delta)
    assert moment == pytest.approx(force * L / 2)
    assert leg.cantilever_stress(E, D, L, delta) == pytest.approx(moment * D / 2 / INERTIA)


def test_a_free_far_end_needs_a_quarter_of_the_force_and_half_the_moment():
    assert leg.propped_force(E, INERTIA, 3.0, 0.01) == pytest.approx(leg.cantilever_force(E, INERTIA, 3.0, 0.01) / 4)
    assert leg.propped_moment(E, INERTIA, 3.0, 0.01) == pytest.approx(leg.cantilever_moment(E, INERTIA, 3.0, 0.01) / 2)


def test_the_required_length_just_meets_the_allowable():
    L = leg.required_length(E, D, 0.02, 2.26, 205e6)
    assert 2.26 * leg.cantilever_stress(E, D, L, 0.02) == pytest.approx(205e6)
    assert leg.permissible_displacement(E, D, L, 2.26, 205e6) == pytest.approx(0.02)


def test_a_loop_leg_takes_half_the_growth():
    H = leg.u_loop_height(E, D, 0.08, 2.26, 205e6)
    assert pytest.approx(leg.required_length(E, D, 0.04, 2.26, 205e6)) == H


def test_legs_share_by_the_cube_of_their_length():
    np.testing.assert_allclose(leg.share_displacement(0.09, [2.0, 4.0], [1.0, 1.0]), [0.01, 0.08])


def test_shared_displacements_give_every_leg_the_same_force():
    lengths, inertias = np.array([2.0, 3.5, 5.0]), np.array([1e-5, 3e-5, 2e-5])
    shares = leg.share_displacement(0.05, lengths, inertias)
    forces = leg.cantilever_force(E, inertias, lengths, shares)
    np.testing.assert_allclose(forces, forces[0])
    assert shares.sum() == pytest.approx(0.05)


def test_nothing_can_share_a_displacement_among_no_legs():
    assert leg.share_displacement(0.05, [], []).shape == (0,)
    assert np.isnan(leg.share_displacement(0.05, [2.0, 0.0], [1.0, 1.0])).all()


@pytest.mark.parametrize("L", [0.0, -1.0, float("nan")])
def test_no_leg_has_no_result(L):
    assert np.isnan(leg.cantilever_force(E, INERTIA, L, 0.01))
    assert np.isnan(leg.cantilever_moment(E, INERTIA, L, 0.01))
    assert np.isnan(leg.cantilever_stress(E, D, L, 0.01))
    assert np.isnan(leg.permissible_displacement(E, D, L, 1.0, 200e6))


def test_without_an_allowable_there_is_no_required_length():
    assert np.isnan(leg.required_length(E, D, 0.02, 1.0, float("nan")))
    assert np.isnan(leg.required_length(E, D, 0.02, 1.0, 0.0))
    assert np.isnan(leg.required_length(E, D, -0.02, 1.0, 200e6))


def test_two_directions_combine_to_no_less_than_the_larger():
    assert leg.combined_stress(90e6, 120e6) == pytest.approx(150e6)


def exact_credit(ratio):
    """Guided-cantilever over exact stress of the short leg of a sharp L bend, by the elastic centre.

    Short leg 1 upwards from its anchor at the origin, long leg to the right from the corner; E I = 1, growth equal to
    leg length.
    """
    a, b = ratio, 1.0
    total = a + b
    xc, yc = a * a / 2 / total, (a * b + b * b / 2) / total
    Ix = a * (b - yc) ** 2 + b * (b / 2 - yc) ** 2 + b**3 / 12
    Iy = a * (a / 2 - xc) ** 2 + a**3 / 12 + b * xc**2
    Ixy = a * (a / 2 - xc) * (b - yc) + b * (-xc) * (b / 2 - yc)
    Fx, Fy = np.linalg.solve([[Ix, -Ixy], [-Ixy, Iy]], [a, b])
    at_anchor = abs(Fx * (0 - yc) - Fy * (0 - xc))
    return 6 * a / b**2 / at_anchor


@pytest.mark.parametrize("ratio", [1.0, 1.5, 2.0, 3.0, 5.0])
def test_the_corner_credit_is_the_exact_frame(ratio):
    assert leg.corner_rotation_credit(ratio) == pytest.approx(exact_credit(ratio), abs=0.006)


def test_between_its_rows_the_corner_credit_errs_by_little():
    for ratio in np.linspace(1.0, 5.0, 41):
        assert leg.corner_rotation_credit(ratio) == pytest.approx(exact_credit(ratio), rel=0.02)


def test_beyond_its_rows_there_is_no_credit():
    assert np.isnan(leg.corner_rotation_credit(0.9))
    assert np.isnan(leg.corner_rotation_credit(5.1))
