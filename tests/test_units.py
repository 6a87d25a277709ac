"""Every spelling that is accepted or refused.

Factors: NIST Special Publication 811 (2008), Appendix B; those of inch, foot, pound, pound-force and standard
gravity are exact there.
"""

import subprocess
import sys

import numpy as np
import pytest

from pipecalc.units import Dimension, UnitError, accepted_units, convert_in, convert_out, unit_problem

POUND = 0.45359237
G = 9.80665
LBF = POUND * G
INCH = 0.0254
FOOT = 0.3048
PSI = 6894.757293168361
DEGREE = np.pi / 180

L, F, M = Dimension.LENGTH, Dimension.FORCE, Dimension.MOMENT
P, S, T = Dimension.PRESSURE, Dimension.STRESS, Dimension.TEMPERATURE
E, K, R = Dimension.EXPANSION, Dimension.STIFFNESS, Dimension.ANGULAR_STIFFNESS

ACCEPTED = [
    (L, "mm", 1e-3), (L, "MM", 1e-3), (L, "cm", 1e-2), (L, "m", 1.0), (L, "M", 1.0), (L, "km", 1e3), (L, "µm", 1e-6),
    (L, "in", INCH), (L, "In", INCH), (L, "inch", INCH), (L, "inches", INCH), (L, '"', INCH), (L, "″", INCH),
    (L, "''", INCH), (L, "ft", FOOT), (L, "FT", FOOT), (L, "feet", FOOT), (L, "'", FOOT), (L, "′", FOOT),
    (L, "  mm ", 1e-3),
    (Dimension.AREA, "mm2", 1e-6), (Dimension.AREA, "mm²", 1e-6), (Dimension.AREA, "cm^2", 1e-4),
    (Dimension.AREA, "in**2", INCH**2), (Dimension.AREA, "sq in", INCH**2), (Dimension.AREA, "sq. ft", FOOT**2),
    (Dimension.SECTION_MODULUS, "cm3", 1e-6), (Dimension.SECTION_MODULUS, "in³", INCH**3),
    (Dimension.MASS, "kg", 1.0), (Dimension.MASS, "KG", 1.0), (Dimension.MASS, "g", 1e-3), (Dimension.MASS, "t", 1e3),
    (Dimension.MASS, "tonne", 1e3), (Dimension.MASS, "lb", POUND), (Dimension.MASS, "lbs", POUND),
    (Dimension.MASS, "LB", POUND), (Dimension.MASS, "lbm", POUND),
    (Dimension.MASS_PER_LENGTH, "kg/m", 1.0), (Dimension.MASS_PER_LENGTH, "lb/ft", POUND / FOOT),
    (Dimension.MASS_PER_LENGTH, "plf", POUND / FOOT),
    (Dimension.DENSITY, "kg/m3", 1.0), (Dimension.DENSITY, "kg/m³", 1.0), (Dimension.DENSITY, "kg/m^3", 1.0),
    (Dimension.DENSITY, "g/cm3", 1e3), (Dimension.DENSITY, "t/m3", 1e3), (Dimension.DENSITY, "kg/l", 1e3),
    (Dimension.DENSITY, "lb/ft3", POUND / FOOT**3), (Dimension.DENSITY, "lb/cu ft", POUND / FOOT**3),
    (Dimension.DENSITY, "pcf", POUND / FOOT**3), (Dimension.DENSITY, "lb/in3", POUND / INCH**3),
    (F, "N", 1.0), (F, "kN", 1e3), (F, "KN", 1e3), (F, "MN", 1e6), (F, "daN", 10.0), (F, "kgf", G), (F, "tf", 1e3 * G),
    (F, "lbf", LBF), (F, "lb", LBF), (F, "lbs", LBF), (F, "kip", 1e3 * LBF), (F, "kips", 1e3 * LBF),
    (Dimension.FORCE_PER_LENGTH, "N/m", 1.0), (Dimension.FORCE_PER_LENGTH, "lb/ft", LBF / FOOT),
    (Dimension.FORCE_PER_LENGTH, "plf", LBF / FOOT),
    (M, "N·m", 1.0), (M, "N.m", 1.0), (M, "Nm", 1.0), (M, "N m", 1.0), (M, "N*m", 1.0), (M, "N-m", 1.0),
    (M, "N⋅m", 1.0),
    (M, "kN·m", 1e3), (M, "kNm", 1e3), (M, "kN m", 1e3), (M, "N·mm", 1e-3), (M, "kgf·m", G),
    (M, "ft·lbf", FOOT * LBF), (M, "ft-lbf", FOOT * LBF), (M, "ft-lb", FOOT * LBF), (M, "lbf-ft", FOOT * LBF),
    (M, "lb-ft", FOOT * LBF), (M, "ft lb", FOOT * LBF), (M, "FT-LBS", FOOT * LBF), (M, "in-lbf", INCH * LBF),
    (M, "in·lbf", INCH * LBF), (M, "lb-in", INCH * LBF), (M, "kip-ft", 1e3 * FOOT * LBF),
    (P, "barg", 1e5), (P, "bar g", 1e5), (P, "bar(g)", 1e5), (P, "bar", 1e5), (P, "BARG", 1e5), (P, "mbarg", 100.0),
    (P, "psig", PSI), (P, "PSIG", PSI), (P, "psi", PSI), (P, "psi g", PSI), (P, "kPag", 1e3), (P, "kPa", 1e3),
    (P, "kPa(g)", 1e3), (P, "MPag", 1e6), (P, "MPa", 1e6), (P, "Pa", 1.0), (P, "N/mm2", 1e6), (P, "kgf/cm2", G * 1e4),
    (P, "kgf/cm2g", G * 1e4), (P, "lb/in2", PSI), (P, "mmH2O", G), (P, "inH2O", 25.4 * G), (P, "mmHg", 133.322387415),
    (S, "MPa", 1e6), (S, "N/mm2", 1e6), (S, "N/mm²", 1e6), (S, "GPa", 1e9), (S, "Pa", 1.0), (S, "kPa", 1e3),
    (S, "psi", PSI), (S, "ksi", 1e3 * PSI), (S, "KSI", 1e3 * PSI), (S, "Msi", 1e6 * PSI), (S, "psf", LBF / FOOT**2),
    (S, "lb/ft2", LBF / FOOT**2), (S, "lbf/in²", PSI), (S, "kgf/mm2", G * 1e6), (S, "kN/m2", 1e3), (S, "bar", 1e5),
    (E, "µm/m/K", 1e-6), (E, "μm/m/K", 1e-6), (E, "um/m/K", 1e-6), (E, "µm/m/°C", 1e-6), (E, "mm/m/°C", 1e-3),
    (E, "mm/m/degC", 1e-3), (E, "mm/m/C", 1e-3), (E, "mm/(m·K)", 1e-3), (E, "mm/m·K", 1e-3), (E, "mm/m/deg C", 1e-3),
    (E, "µm m-1 K-1", 1e-6), (E, "1/K", 1.0), (E, "1/°C", 1.0), (E, "K^-1", 1.0), (E, "K-1", 1.0), (E, "K⁻¹", 1.0),
    (E, "1e-6/K", 1e-6), (E, "10^-6/K", 1e-6), (E, "10-6/K", 1e-6), (E, "10⁻⁶/K", 1e-6), (E, "×10⁻⁶/K", 1e-6),
    (E, "ppm/K", 1e-6), (E, "in/in/F", 1.8), (E, "in/in/°F", 1.8), (E, "µin/in/°F", 1.8e-6), (E, "1e-6/°F", 1.8e-6),
    (E, "in/100ft/°F", 1.8 / 1200), (E, "in/100 ft/F", 1.8 / 1200),
    (K, "N/mm", 1e3), (K, "kN/mm", 1e6), (K, "N/m", 1.0), (K, "kN/m", 1e3), (K, "lbf/in", LBF / INCH),
    (K, "lb/in", LBF / INCH), (K, "kip/in", 1e3 * LBF / INCH), (K, "kgf/mm", 1e3 * G),
    (R, "N·m/deg", 1 / DEGREE), (R, "Nm/deg", 1 / DEGREE), (R, "N·m/°", 1 / DEGREE), (R, "N·m/rad", 1.0),
    (R, "kN·m/rad", 1e3), (R, "in·lbf/deg", INCH * LBF / DEGREE), (R, "in-lb/deg", INCH * LBF / DEGREE),
    (R, "ft-lbf/deg", FOOT * LBF / DEGREE),
    (Dimension.ANGLE, "deg", DEGREE), (Dimension.ANGLE, "°", DEGREE), (Dimension.ANGLE, "rad", 1.0),
    (Dimension.FREQUENCY, "Hz", 1.0), (Dimension.FREQUENCY, "1/s", 1.0), (Dimension.FREQUENCY, "1/min", 1 / 60),
    (Dimension.TEMPERATURE_DIFFERENCE, "K", 1.0), (Dimension.TEMPERATURE_DIFFERENCE, "°C", 1.0),
    (Dimension.TEMPERATURE_DIFFERENCE, "C", 1.0), (Dimension.TEMPERATURE_DIFFERENCE, "°F", 5 / 9),
    (Dimension.FRACTION, "", 1.0), (Dimension.FRACTION, "-", 1.0), (Dimension.FRACTION, "1", 1.0),
    (Dimension.FRACTION, "%", 0.01), (Dimension.FRACTION, "percent", 0.01),
    (Dimension.FLEXIBILITY_VALUE, "(mm/m)²", 1e-6), (Dimension.FLEXIBILITY_VALUE, "(mm/m)^2", 1e-6),
    (Dimension.FLEXIBILITY_VALUE, "(in/ft)²", 1 / 144), (Dimension.FLEXIBILITY_VALUE, "(in/ft)2", 1 / 144),
]  # fmt: skip

REFUSED = [
    (L, "kN", "unit-dimension"), (L, "mm2", "unit-dimension"), (L, "350", "unit-dimension"),
    (L, "Mm", "unit-dimension"),
    (L, "mil", "unit-dimension"), (L, "furlong", "unit-unknown"), (L, "", "unit-unknown"), (L, "mm/", "unit-unknown"),
    (L, "(mm", "unit-unknown"), (L, "m/0", "unit-unknown"), (L, "mm 12", "unit-unknown"), (L, "°C", "unit-dimension"),
    (Dimension.MASS, "ton", "unit-dimension"), (Dimension.MASS, "tons", "unit-dimension"),
    (Dimension.MASS, "TON", "unit-dimension"), (Dimension.MASS, "T", "unit-dimension"),
    (Dimension.MASS, "lbf", "unit-dimension"), (Dimension.MASS, "kgf", "unit-dimension"),
    (Dimension.MASS, "N", "unit-dimension"),
    (Dimension.DENSITY, "lb/gal", "unit-dimension"), (Dimension.DENSITY, "SG", "unit-dimension"),
    (Dimension.DENSITY, "kg/m", "unit-dimension"), (Dimension.DENSITY, "lbf/ft3", "unit-dimension"),
    (F, "kg", "unit-dimension"), (F, "t", "unit-dimension"), (F, "ton", "unit-dimension"), (F, "mN", "unit-dimension"),
    (F, "F", "unit-dimension"), (F, "C", "unit-dimension"), (F, "N·m", "unit-dimension"),
    (M, "kg·m", "unit-dimension"), (M, "N", "unit-dimension"), (M, "J", "unit-unknown"),
    (M, "N·m/rad", "unit-dimension"),
    (R, "N·m", "unit-dimension"), (R, "kg·m/deg", "unit-dimension"), (R, "N/mm", "unit-dimension"),
    (K, "kg/mm", "unit-dimension"), (K, "N·m", "unit-dimension"),
    (P, "bara", "unit-dimension"), (P, "bar a", "unit-dimension"), (P, "bar(a)", "unit-dimension"),
    (P, "bar abs", "unit-dimension"), (P, "psia", "unit-dimension"), (P, "kPaa", "unit-dimension"),
    (P, "MPa abs", "unit-dimension"), (P, "atm", "unit-dimension"), (P, "kg/cm2", "unit-dimension"),
    (P, "barr", "unit-unknown"), (P, "mPa", "unit-dimension"), (P, "m", "unit-dimension"),
    (S, "barg", "unit-dimension"), (S, "psig", "unit-dimension"), (S, "mPa", "unit-dimension"),
    (S, "kg/mm2", "unit-dimension"), (S, "N/mm", "unit-dimension"),
    (T, "m", "unit-dimension"), (T, "deg", "unit-dimension"), (T, "", "unit-unknown"), (T, "X", "unit-unknown"),
    (E, "in/100ft", "unit-dimension"), (E, "mm/m", "unit-dimension"), (E, "K", "unit-dimension"),
    (Dimension.FRACTION, "mm", "unit-dimension"), (Dimension.FRACTION, "mm/m", "unit-dimension"),
    (Dimension.FRACTION, "g", "unit-dimension"),
    (Dimension.FLEXIBILITY_VALUE, "%", "unit-dimension"), (Dimension.FLEXIBILITY_VALUE, "mm/m", "unit-dimension"),
]  # fmt: skip

TEMPERATURES = [
    ("°C", 100.0, 100.0), ("degC", 100.0, 100.0), ("deg C", 100.0, 100.0), ("C", 100.0, 100.0), ("c", 100.0, 100.0),
    ("℃", 100.0, 100.0), ("º C", 100.0, 100.0), ("Celsius", 100.0, 100.0),
    ("°F", 212.0, 100.0), ("F", 212.0, 100.0), ("degF", -40.0, -40.0), ("deg. F", 32.0, 0.0), ("℉", 212.0, 100.0),
    ("K", 373.15, 100.0), ("kelvin", 273.15, 0.0), ("°R", 671.67, 100.0),
]  # fmt: skip


@pytest.mark.parametrize(("dimension", "unit", "factor"), ACCEPTED)
def test_an_accepted_spelling_converts(dimension, unit, factor):
    assert convert_in([0.0, 1.0, -2.5], unit, dimension) == pytest.approx([0.0, factor, -2.5 * factor], rel=1e-9)


@pytest.mark.parametrize(("dimension", "unit", "code"), REFUSED)
def test_a_spelling_that_does_not_fit_is_refused(dimension, unit, code):
    problem = unit_problem(unit, dimension)
    assert problem is not None
    assert (problem.code, problem.accepted) == (code, ", ".join(accepted_units(dimension)))


@pytest.mark.parametrize(("unit", "typed", "celsius"), TEMPERATURES)
def test_a_temperature_is_converted_with_its_zero_point(unit, typed, celsius):
    assert convert_in(typed, unit, T) == pytest.approx(celsius, abs=1e-9)
    assert convert_out(celsius, unit, T) == pytest.approx(typed, abs=1e-9)


def test_a_temperature_difference_has_no_zero_point():
    assert convert_in(90.0, "°F", Dimension.TEMPERATURE_DIFFERENCE) == pytest.approx(50.0)


@pytest.mark.parametrize("dimension", list(Dimension))
def test_every_offered_spelling_is_understood_and_inverts(dimension):
    values = np.array([-3.0, 0.0, 7.25])
    for unit in accepted_units(dimension):
        there = convert_in(values, unit, dimension)
        assert convert_out(there, unit, dimension) == pytest.approx(values, abs=1e-9)


def test_a_whole_column_converts_at_once():
    column = np.linspace(-50.0, 800.0, 20_000)
    converted = convert_in(column, "°F", T)
    assert converted.shape == (20_000,)
    assert converted == pytest.approx((column - 32.0) / 1.8)


def test_the_reason_names_what_it_is_and_what_is_needed():
    assert str(unit_problem("kN", L)) == ('"kN" is a force, where a length is needed; accepted: mm, cm, m, in, ft')


def test_the_nearest_accepted_spelling_is_offered():
    assert unit_problem("barr", P).hint == 'did you mean "barg"?'


def test_a_mass_as_force_names_the_force_units():
    assert "write kgf, tf, N or lbf" in unit_problem("kg", F).reason


def test_converting_with_a_wrong_unit_raises_with_the_problem():
    with pytest.raises(UnitError, match="absolute") as caught:
        convert_in([1.0], "psia", P)
    assert caught.value.problem.code == "unit-dimension"


def test_the_units_library_is_imported_on_first_use_only():
    code = "import sys, pipecalc.units; print([m for m in ('pint', 'numpy') if m in sys.modules])"
    shown = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert shown.stdout.strip() == "[]"
