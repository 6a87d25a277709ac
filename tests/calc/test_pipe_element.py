"""Straight pipe element: limits, rigid motions, loads and masses against integration of beam theory."""

import numpy as np
import pytest

from pipecalc.calc.pipe_element import (
    cross_matrix,
    shear_parameter,
    spring_stiffness,
    straight_mass,
    straight_pipes,
)

E, G, A, I, J, A_S = (np.array([v]) for v in (2e11, 2e11 / 2.6, 5.4e-3, 3e-5, 6e-5, 2.7e-3))


def unit(vector):
    return np.array([vector]) / np.linalg.norm(vector)


def rigid_motions(chord):
    """Six motions without strain of two ends, shape (12, 6)."""
    out = np.vstack([np.eye(6), np.eye(6)])
    out[6:9, 3:6] = -cross_matrix(chord)
    return out


@pytest.mark.parametrize("direction", [(1, 0, 0), (0, 0, 1), (1, 2, -2)])
def test_rigid_motion_needs_no_force(direction):
    x, L = unit(direction), np.array([3.0])
    k = straight_pipes(3.0 * x, L, E, G, A, I, J, A_S).matrices()[0]
    assert np.abs(k @ rigid_motions(3.0 * x[0])).max() < 1e-9 * np.abs(k).max()
    assert np.abs(k - k.T).max() == 0.0
    assert np.sum(np.linalg.eigvalsh(k) > 1e-6 * np.abs(k).max() * 1e-4) == 6


def test_entries_along_east_are_those_of_the_book():
    L = np.array([2.0])
    k = straight_pipes(2.0 * unit((1, 0, 0)), L, E, G, A, I, J, A_S).matrices()[0]
    phi = (12 * E * I / (G * A_S * L**2))[0]
    b = (E * I / (L**3 * (1 + phi)))[0]
    plane = k[np.ix_([1, 5, 7, 11], [1, 5, 7, 11])]
    book = b * np.array([[12, 12, -12, 12], [12, (4 + phi) * 4, -12, (2 - phi) * 4], [-12, -12, 12, -12],
                         [12, (2 - phi) * 4, -12, (4 + phi) * 4]])  # fmt: skip
    assert plane == pytest.approx(book, rel=1e-12)
    assert k[0, 0] == pytest.approx((E * A / L)[0])
    assert k[3, 9] == pytest.approx((-G * J / L)[0])


def test_end_forces_are_the_matrix_times_the_movements():
    pipe = straight_pipes(3.0 * unit((1, 2, -2)), np.array([3.0]), E, G, A, I, J, A_S)
    moved = np.random.default_rng(5).normal(size=(12, 4, 1))
    force, moment = pipe.forces(moved[:6], moved[6:])
    lever = np.cross(pipe.half[:, 0], force[:, :, 0], axisb=0, axisc=0)[:, :, None]
    actions = np.concatenate([-force, -moment - lever, force, moment - lever])[:, :, 0]
    assert actions == pytest.approx(pipe.matrices()[0] @ moved[:, :, 0], rel=1e-9, abs=1e-3)


def test_infinite_shear_area_means_no_shear_deformation():
    assert shear_parameter(E, I, G, np.array([np.inf]), np.array([2.0]))[0] == 0.0


def test_uniform_load_balances_and_matches_the_clamped_beam():
    x, L = unit((1, 2, 2)), np.array([3.0])
    w = np.array([10.0, -20.0, 30.0])
    force, moment = straight_pipes(3.0 * x, L, E, G, A, I, J, A_S).uniform(w[:, None, None])
    end = np.concatenate([force, moment, force, -moment])[:, 0, 0]
    assert end[0:3] + end[6:9] == pytest.approx(3.0 * w)
    assert end[3:6] + end[9:12] + np.cross(3.0 * x[0], end[6:9]) == pytest.approx(np.cross(1.5 * x[0], 3.0 * w))
    assert np.linalg.norm(end[3:6]) == pytest.approx(np.linalg.norm(np.cross(x[0], w)) * 9 / 12)


def test_consistent_mass_matches_integrated_shape_functions():
    L, m = 2.0, 7.0
    s, weights = np.polynomial.legendre.leggauss(8)
    xi = 0.5 * (s + 1.0)
    lateral = np.stack([1 - 3 * xi**2 + 2 * xi**3, L * (xi - 2 * xi**2 + xi**3), 3 * xi**2 - 2 * xi**3,
                        L * (xi**3 - xi**2)])  # fmt: skip
    book = (lateral * weights * 0.5 * L * m) @ lateral.T
    mass = straight_mass(unit((1, 0, 0)), np.array([L]), np.array([m]))[0]
    assert mass[np.ix_([1, 5, 7, 11], [1, 5, 7, 11])] == pytest.approx(book, rel=1e-12)
    assert mass[np.ix_([0, 6], [0, 6])] == pytest.approx(m * L / 6 * np.array([[2, 1], [1, 2]]))


def test_consistent_mass_of_a_rigid_motion_is_the_whole_mass():
    x = unit((2, -1, 2))
    mass = straight_mass(x, np.array([2.0]), np.array([7.0]))[0]
    motion = rigid_motions(2.0 * x[0])
    assert (motion.T @ mass @ motion)[:3, :3] == pytest.approx(14.0 * np.eye(3))
    about_i = motion[:, 3:6].T @ mass @ motion[:, 3:6]
    assert about_i == pytest.approx(14.0 * 4.0 / 3.0 * (np.eye(3) - np.outer(x, x)), abs=1e-9)


def test_spring_with_length_balances_moments():
    arm_i, arm_j = np.array([[0.2, 0.0, 0.1]]), np.array([[-0.2, 0.0, -0.1]])
    k, _ = spring_stiffness(arm_i, arm_j, np.eye(3)[None], np.diag([1e5, 2e5, 3e5, 10.0, 20.0, 30.0])[None])
    assert np.abs(k[0] @ rigid_motions(np.array([0.4, 0.0, 0.2]))).max() < 1e-9
