"""Every ``Formula:`` line of the calculation modules is evaluated and compared with its function."""

import inspect
import pkgutil
from importlib import import_module

import numpy as np
import pytest

import pipecalc.calc
from pipecalc.calc import leg, section
from pipecalc.calc.formula import evaluate, formula_of, four_digits, has_formula, worked

DRAWS, ENOUGH = 400, 10

# Where plain numbers about one would leave the range of a formula. Symbols as in the books, so E is both.
RANGES = {
    "P": (1e5, 2e7), "S": (5e7, 2e8), "S_c": (5e7, 2e8), "S_h": (5e7, 2e8), "S_A": (5e7, 3e8), "S_w": (5e6, 3e7),
    "S_L": (1e7, 2e8), "E": (1e11, 2.2e11), "E_a": (1e11, 2.2e11), "G": (5e10, 9e10), "D": (0.05, 1.0),
    "d": (0.05, 1.0), "T": (0.002, 0.03), "t": (0.001, 0.03), "c": (0.0005, 0.004), "R1": (0.1, 1.5), "r2": (0.03, 0.4),
    "t_m": (0.002, 0.03),
    "T_r": (0.001, 0.03), "u": (0.05, 0.3), "u_t": (1e-4, 1e-3), "theta": (0.05, 0.39), "s": (0.02, 0.3),
    "I": (1e-7, 1e-3), "Z": (1e-6, 1e-2), "w": (50.0, 3e3), "L": (1.0, 30.0), "U": (1.0, 20.0), "delta": (1e-3, 0.1),
    "y": (1e-3, 0.1), "rho": (10.0, 8e3), "h": (0.05, 3.0), "N": (10.0, 1e9), "f_n": (2.0, 30.0), "dT": (-200.0, 500.0),
    "eps": (-2e-3, 1e-2), "I_b": (0.7, 1.6), "m": (5.0, 500.0), "lambda_squared": (3.0, 25.0), "n": (8.0, 12.0),
}  # fmt: skip
QUALITY_FACTOR = {"E": (0.6, 1.0), "W": (0.5, 1.0), "Y": (0.0, 0.7)}
MODULE_RANGES = {
    "pipecalc.calc.pressure": QUALITY_FACTOR,
    "pipecalc.calc.span": {"c": (76.8, 384.0), "y": (1e-3, 0.02)},
    "pipecalc.calc.branch": {"T_c": (0.002, 0.06), "r_x": (0.01, 0.1), "D_b": (0.05, 0.4)},
    "pipecalc.calc.joint_factors": {"alpha": (0.05, 1.2), "D2": (0.1, 0.6), "t2": (0.004, 0.03)},
    "pipecalc.calc.reinforcement": {
        "beta": (0.8, 1.57),
        "D_b": (0.05, 0.3),
        "D_h": (0.3, 0.6),
        "T_b": (0.006, 0.03),
        "T_h": (0.006, 0.03),
        "t_b": (0.001, 0.01),
        "t_h": (0.001, 0.01),
        "D_r": (0.3, 0.9),
        "ratio": (0.3, 1.0),
    },
    "pipecalc.calc.seismic": {
        "z": (0.0, 60.0),
        "h": (5.0, 60.0),
        "z_g": (200.0, 370.0),
        "alpha": (7.0, 11.5),
        "R": (1.0, 8.0),
        "H_f": (1.0, 3.5),
        "R_mu": (1.0, 2.0),
        "R_p": (1.0, 12.0),
        "V": (20.0, 80.0),
    },
    "pipecalc.calc.fatigue": {"slope": (-0.4, -0.1), "f_n": (0.2, 1.2)},
    "pipecalc.calc.flange": {
        "G": (0.05, 1.0),
        "M": (0.0, 1e5),
        "F": (-1e5, 1e5),
        "S_y": (1e8, 4e8),
        "S_0": (1e7, 3e7),
        "S_36": (2e8, 3e8),
        "d": (0.012, 0.05),
        "p": (0.002, 0.004),
    },
    "pipecalc.calc.shell": {
        "lambda_C": (0.2, 11.0),
        "lambda_S": (0.2, 11.0),
        "r": (0.05, 0.8),
        "kappa": (0.0, 1.0),
        "Phi_Z": (-2.0, 2.0),
        "C_4": (1.0, 1.1),
        "F": (-1e5, 1e5),
        "R": (0.05, 2.0),
    },
    "pipecalc.calc.shell_load": {
        "F": (-1e5, 1e5),
        "ML": (-1e4, 1e4),
        "FC": (-1e4, 1e4),
        "f": (1e8, 2e8),
        "f_p": (5e7, 3e8),
    },
    "pipecalc.calc.shell_pressure": {"w_p": (0.0, 2.0), "e_p": (0.0, 0.5), "e_b": (0.01, 0.5)},
    "pipecalc.calc.shell_stiffness": {"D": (0.5, 4.0), "T": (0.01, 0.05), "d": (0.05, 1.0)},
}


def stated():
    """All public functions of the calculation modules that state a formula."""
    for module in pkgutil.iter_modules(pipecalc.calc.__path__, "pipecalc.calc."):
        for name, function in inspect.getmembers(import_module(module.name), inspect.isfunction):
            if function.__module__ == module.name and not name.startswith("_") and has_formula(function):
                yield pytest.param(function, id=f"{module.name.rpartition('.')[2]}.{name}")


def draw(function, generator):
    """Arguments by name, drawn from the usual range of each symbol."""
    own = MODULE_RANGES.get(function.__module__, {})
    arguments = {}
    for name, parameter in inspect.signature(function).parameters.items():
        if parameter.default is not inspect.Parameter.empty:
            continue
        low, high = own.get(name) or RANGES.get(name, (0.2, 2.0))
        arguments[name] = float(generator.uniform(low, high))
    return arguments


@pytest.mark.parametrize("function", list(stated()))
def test_a_formula_line_is_what_its_function_computes(function):
    formula, generator = formula_of(function), np.random.default_rng(len(function.__qualname__))
    compared = 0
    for _ in range(DRAWS):
        arguments = draw(function, generator)
        computed = function(**arguments)
        if np.all(np.isfinite(computed)):
            assert computed == pytest.approx(evaluate(formula, arguments), rel=1e-12), arguments
            compared += 1
    assert compared >= ENOUGH, "the ranges drawn from miss the formula's own range"


@pytest.mark.parametrize("function", list(stated()))
def test_a_formula_uses_only_the_names_of_its_arguments(function):
    assert set(formula_of(function).names) <= set(inspect.signature(function).parameters)


def test_the_hand_methods_state_their_formulas():
    names = {p.id for p in stated()}
    assert {"leg.cantilever_stress", "pressure.pressure_design_thickness", "elbow.flexibility_factor"} <= names
    assert len(names) >= 50


def test_a_wrong_formula_line_is_found():
    def doubled(x):
        """Twice a number.

        Formula:
            y = 3*x
        """
        return 2 * x

    assert evaluate(formula_of(doubled), {"x": 2.0}) != doubled(2.0)


def test_a_formula_is_written_out_with_numbers():
    found = worked(leg.cantilever_stress, E=203e3, D=168.3, L=4000.0, delta=19.2)
    assert found.lines[0].symbolic == "S = 3*E*D*delta/L**2"
    assert found.lines[0].numbers == "3 * 203000 * 168.3 * 19.2 / 4000 ** 2"
    assert found.result == pytest.approx(122.99, abs=0.01)


def test_a_formula_of_several_lines_carries_its_results_on():
    found = worked(section.section_modulus, D=168.3, T=7.11)
    assert [line.symbolic.split(" = ")[0] for line in found.lines] == ["I", "Z"]
    assert found.lines[1].numbers == "2 * 1.172e7 / 168.3"
    assert found.result == pytest.approx(139230, rel=1e-5)


def test_negative_numbers_are_put_in_brackets():
    def shrink(eps, L):
        """Formula with a sign.

        Formula:
            growth = 2 - eps*L
        """

    assert worked(shrink, eps=-0.001, L=3.0).lines[0].numbers == "2 - (-0.001) * 3"


def test_a_missing_value_is_named():
    with pytest.raises(LookupError, match="delta"):
        worked(leg.cantilever_stress, E=1.0, D=1.0, L=1.0)


def test_a_function_without_formula_is_refused():
    with pytest.raises(LookupError, match="share_displacement"):
        formula_of(leg.share_displacement)


@pytest.mark.parametrize(
    "line", ["y = __import__('os')", "y = x.real", "y = [x]", "x + 1", "y = sqrt(x, key=1)", "y = x if x else 1"]
)
def test_only_arithmetic_is_understood(line):
    def odd(x):
        pass

    odd.__doc__ = f"Odd.\n\nFormula:\n    {line}\n"
    with pytest.raises(SyntaxError):
        evaluate(formula_of(odd), {"x": 1.0})


@pytest.mark.parametrize(
    ("value", "text"),
    [(0.0, "0"), (168.3, "168.3"), (203000.0, "203000"), (0.00711, "0.00711"), (2.03e11, "2.030e11"),
     (1.5e-5, "1.500e-5"), (1234.56, "1235"), (-3.0, "-3"), (10.0, "10")],
)  # fmt: skip
def test_numbers_have_four_digits(value, text):
    assert four_digits(value) == text
