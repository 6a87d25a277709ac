"""Mass per metre, part by part."""

import numpy as np
import pytest

from pipecalc.calc.weight import contents_mass, insulation_mass, line_mass, lining_mass, metal_mass


def test_layers_fill_the_space_between_their_diameters():
    # A solid bar of one density, cut into lining, pipe, insulation and cladding, weighs what the bar weighs.
    mass = line_mass(0.2, 0.01, 1000.0, 1000.0, 0.05, 1000.0, 0.001, 1000.0, 0.005, 1000.0)
    assert mass.total == pytest.approx(1000.0 * np.pi * (0.2 + 2 * 0.051) ** 2 / 4)
    assert mass.weight == pytest.approx(9.80665 * mass.total)


def test_a_lining_narrows_the_bore():
    bare, lined = (line_mass(0.2, 0.01, 7850.0, 1000.0, lining_thickness=t, lining_density=2000.0) for t in (0.0, 0.01))
    assert lined.contents == pytest.approx(contents_mass(1000.0, 0.16))
    assert lined.contents < bare.contents
    assert bare.lining == 0.0


@pytest.mark.parametrize(
    "mass",
    [
        metal_mass(7850.0, 0.1, 0.06),
        metal_mass(-1.0, 0.1, 0.01),
        contents_mass(-1.0, 0.1),
        insulation_mass(120.0, 0.1, -0.01),
        lining_mass(2000.0, 0.1, 0.05),
    ],
)
def test_impossible_dimensions_have_no_mass(mass):
    assert np.isnan(mass)


def test_an_impossible_part_spoils_the_total():
    assert np.isnan(line_mass(0.2, 0.01, 7850.0, float("nan")).total)
