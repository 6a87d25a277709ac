"""Formulas written out: the printed result is that of the calculation's own function."""

import inspect
from dataclasses import replace

import findings
import plants
import pytest

from pipecalc.analysis.nozzles import nozzle_checks
from pipecalc.calc import allowable_range, fatigue, leg, nozzle_load
from pipecalc.calc.formula import formula_of
from pipecalc.checks.nozzles.rules import RULES
from pipecalc.checks.stress import code
from pipecalc.report.format import Display, significant
from pipecalc.report.worked import (
    CHECK_FUNCTIONS,
    chain,
    intensified_stress,
    typeset,
    worked_check,
    worked_leg,
    written_out,
)
from pipecalc.report.worked_nozzle import worked_set

SI, US = Display("SI"), Display("US")
STRESS_INPUTS = {
    "A_p": 5.42e-3,
    "Z": 2.7e-4,
    "Z_b": 2.6e-4,
    "F": 1200.0,
    "F_a": 41000.0,
    "S_p": 8.1e6,
    "S_a": 9.0e6,
    "S_b": 41.0e6,
    "S_t": 6.0e6,
    "M_i": 3100.0,
    "M_o": 2400.0,
    "M_t": 900.0,
    "T": 0.00818,
    "r2b": 0.105,
    "T_s": 0.007,
    **dict.fromkeys(("I_i", "I_o", "I_t", "I_a", "i_i", "i_o", "i_t", "i_a"), 1.4),
}
GIVEN = {
    **findings.LEG_INPUTS,
    **findings.WALL_INPUTS,
    **STRESS_INPUTS,
    "E": 203e9,
    "S": 137.9e6,
    "t": 0.002,
    "t_m": 0.0035,
    "u_t": 0.0003,
    "y": 0.04,
    "U": 5.0,
    "E_a": 203e9,
    "I_b": 1.2,
    "t_h": 0.004,
    "d_1": 0.16,
    "beta": 1.2,
    "d_2": 0.16,
    "T_h": 0.008,
    "L_4": 0.02,
    "T_b": 0.007,
    "t_b": 0.002,
    "ratio": 1.0,
    "T_r": 0.008,
    "D_r": 0.3,
    "D_b": 0.1683,
    "F_h": 8500.0,
    "k": 80e3,
    "M": 5415.0,
    "G": 0.3058,
    "P_R": 19.05e5,
    "F_M": 0.3,
    "F_a": 6e4,
    "M_a": 3e4,
    **dict.fromkeys(("FR", "FL", "FC"), -1800.0),
    **dict.fromkeys(("MR", "ML", "MC"), 950.0),
    **dict.fromkeys(("FR_a", "FL_a", "FC_a"), 6e4),
    **dict.fromkeys(("MR_a", "ML_a", "MC_a"), 3e4),
    "S_E": 99.5e6,
    "S_f": 206.8e6,
    "f_n": 0.481,
    "coefficient": 6.0,
    "slope": -0.2,
    "N_allowed": 302e3,
}
FUNCTIONS = [
    leg.cantilever_force,
    leg.cantilever_moment,
    leg.cantilever_stress,
    leg.required_length,
    intensified_stress,
    allowable_range.allowable_range_basic,
    fatigue.range_factor_needed,
    fatigue.cycles_allowed,
    fatigue.usage,
    nozzle_load.resultant_force,
    nozzle_load.resultant_moment,
    nozzle_load.force_ratio,
    nozzle_load.moment_ratio,
    nozzle_load.sum_of_two,
    nozzle_load.sum_of_six,
    nozzle_load.root_of_two,
    nozzle_load.root_of_six,
    *dict.fromkeys(f for group in CHECK_FUNCTIONS.values() for f in group),
    *dict.fromkeys(f for group in code("ASME B31.3", "2018").worked.values() for f in group),
]


@pytest.mark.parametrize("display", [SI, US], ids=["SI", "US"])
@pytest.mark.parametrize("function", FUNCTIONS, ids=lambda f: f.__name__)
def test_the_result_is_that_of_the_function(function, display):
    working = written_out(function, GIVEN, display)
    own = function(**{n: GIVEN[n] for n in formula_of(function).names})
    assert next(iter(working.results.values())) == pytest.approx(own, rel=1e-12, nan_ok=False)
    assert working.clause
    assert all(s.meaning for s in working.symbols)


def test_numbers_put_in_give_the_printed_result():
    working = written_out(leg.cantilever_stress, GIVEN, SI)
    assert str(working.lines[0].numbers) == "3 · 203000 · 219.1 · 26.6 / 6400<sup>2</sup>"
    assert working.lines[0].result == f"{significant(3 * 203000 * 219.1 * 26.6 / 6400**2, 5)} MPa"


def test_the_limit_inside_the_allowable_range_is_printed_in_megapascal():
    working = written_out(allowable_range.allowable_range_basic, {"f": 1.0, "S_c": 140e6, "S_h": 120e6}, SI)
    assert str(working.lines[0].numbers) == "1 · (1.25 · min(140, 138) + 0.25 · min(120, 138))"
    assert working.lines[0].result == "202.5 MPa"


def test_a_formula_without_all_its_numbers_is_not_written():
    assert written_out(leg.cantilever_force, {"E": 1.0, "I": 1.0, "L": float("nan"), "delta": 1.0}, SI) is None
    assert written_out(leg.cantilever_force, {"E": 1.0}, SI) is None


def test_a_chain_puts_each_result_into_the_next():
    steps = chain(CHECK_FUNCTIONS["wall thickness"], findings.WALL_INPUTS, SI)
    assert [next(iter(s.results)) for s in steps] == ["t", "t_m", "T"]
    t = 1.4 * 219.1 / (2 * (137.9 + 1.4 * 0.4))
    assert steps[-1].lines[0].result == f"{significant((t + 1.5) / (1 - 0.125), 5)} mm"


def test_the_leg_is_worked_down_to_its_needed_length():
    plant = plants.plant()
    steps = worked_leg(findings.results(plant).legs[0], SI)
    assert [next(iter(s.results)) for s in steps] == ["F", "M", "S", "S_i", "S_A", "L"]


def test_a_check_is_found_by_the_start_of_its_name():
    check = next(c for c in findings.results(plants.plant()).checks if c.check.startswith("quick check"))
    assert [s.lines[0].result for s in worked_check(check, SI)] == ["16.6 (mm/m)²", "210.0 (mm/m)²"]


def test_a_working_that_does_not_end_in_the_checks_own_demand_is_not_printed():
    check = next(c for c in findings.results(plants.plant()).checks if c.check == "wall thickness")
    assert worked_check(check, SI)
    assert worked_check(replace(check, demand=1.001 * check.demand), SI) == []


def test_typeset_escapes_what_it_prints():
    assert "<script>" not in typeset("a<script>b")
    assert typeset("S_A*x**2/L") == "S<sub>A</sub> · x<sup>2</sup> / L"


@pytest.mark.parametrize(
    ("plain", "printed"),
    [
        ("abs((-3791)) / 14000", "|−3791| / 14000"),
        ("2 * (-0.0348)", "2 · (−0.0348)"),
        ("max((-3.5), 0) - 1", "max((−3.5), 0) − 1"),
    ],
)
def test_a_sign_stands_close_to_its_number_and_a_size_between_bars(plain, printed):
    assert typeset(plain) == printed


@pytest.mark.parametrize("rule", list(RULES))
@pytest.mark.parametrize("resultants", [False, True])
def test_the_working_of_a_set_ends_in_the_ratio_of_its_check(rule, resultants):
    plant = plants.plant()
    nozzle = plant.nozzles["E-220/S1"]
    limits = dict.fromkeys(nozzle_load_names(), 7000.0)
    both = {"force": 9000.0, "moment": 9500.0} if resultants else {"force": None, "moment": None}
    row = replace(next(iter(plant.allowables["EXC-1"])), limits=limits, rule=rule, **both)
    judged_plant = replace(
        plant,
        nozzles={nozzle.name: replace(nozzle, sets=("EXC-1",), allowable_factor=1.5)},
        allowables={"EXC-1": (row,)},
    )
    loads = [x for x in findings.results(plant).nozzle_loads if x.nozzle == nozzle.name]
    checks = list(nozzle_checks(judged_plant, loads, findings.results(plant).cases))
    assert checks
    for check in checks:
        found = list(worked_set(check, SI, set()))
        if rule == "resultants" and not resultants:
            assert not found
            continue
        (group,) = found
        assert group.steps[-1].results["r"] == pytest.approx(check.demand / check.limit, rel=1e-9)
        assert check.status.value in group.verdict


def nozzle_load_names():
    return ("FR", "FL", "FC", "MR", "ML", "MC")


def test_every_function_has_units_for_all_its_symbols():
    for function in FUNCTIONS:
        names = set(inspect.signature(function).parameters)
        assert set(formula_of(function).names) <= names
