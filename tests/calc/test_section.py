"""Section properties of a round pipe."""

from math import pi

import numpy as np
import pytest

from pipecalc.calc.section import PipeSection, moment_of_inertia, polar_moment, section_modulus

NPS6 = PipeSection(0.1683, 0.00711)


def test_properties_agree_with_each_other():
    assert NPS6.bore == pytest.approx(0.15408)
    assert NPS6.metal_area + NPS6.bore_area == pytest.approx(pi * 0.1683**2 / 4)
    assert NPS6.polar_moment == pytest.approx(2 * NPS6.moment_of_inertia)
    assert NPS6.section_modulus == pytest.approx(NPS6.moment_of_inertia / (0.1683 / 2))
    assert NPS6.mean_radius == pytest.approx((0.1683 + 0.15408) / 4)


def test_moment_of_inertia_is_the_integral_over_the_ring():
    r = np.linspace(NPS6.bore / 2, 0.1683 / 2, 20001)
    ring = np.trapezoid(pi * r**3, r)
    assert NPS6.moment_of_inertia == pytest.approx(ring, rel=1e-7)


@pytest.mark.parametrize(("D", "T"), [(0.1, 0.0), (0.1, -0.001), (0.1, 0.05), (0.1, 0.06), (0.1, float("nan"))])
def test_no_pipe_has_no_properties(D, T):
    assert all(np.isnan(p(D, T)) for p in (moment_of_inertia, polar_moment, section_modulus))


def test_corrosion_takes_from_the_bore():
    assert NPS6.corroded(0.003).bore == pytest.approx(0.15408 + 0.006)
    assert NPS6.corroded(0.003).outside_diameter == NPS6.outside_diameter
    assert np.isnan(NPS6.corroded(0.008).metal_area)


def test_arrays_go_through():
    np.testing.assert_allclose(
        moment_of_inertia(np.array([0.1683, 0.2191]), np.array([0.00711, 0.00818])),
        [NPS6.moment_of_inertia, PipeSection(0.2191, 0.00818).moment_of_inertia],
    )
