"""Formulas written out: the printed result is that of the calculation's own function."""

import inspect
from dataclasses import replace

import findings
import plants
import pytest

from pipecalc.analysis.analyse import analyse
from pipecalc.analysis.nozzle_standards import EQUIPMENT_CHECK
from pipecalc.analysis.nozzles import nozzle_checks
from pipecalc.calc import allowable_range, fatigue, flange, leg, machine_load, nozzle_load
from pipecalc.calc.formula import formula_of, has_formula
from pipecalc.checks.nozzles.rules import RULES
from pipecalc.checks.stress import code
from pipecalc.report import chapter_nozzles, chapter_supports
from pipecalc.report.format import Display, significant
from pipecalc.report.parts import Sheets
from pipecalc.report.recomputed import recomputed
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
from pipecalc.report.worked_shell import BY_SYMBOL, worked_shell
from tests.analysis.machine_plants import built, pump_plant, vessel_plant, with_values
from tests.analysis.test_attachment_verdicts import bracket_plant
from tests.analysis.test_shell_verdicts import head_plant

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
#: For shells, flanges and machines, whose symbols have other meanings elsewhere.
OF_JOINTS = {
    **GIVEN,
    "S_y": 220e6,
    "C": 0.33,
    "A_b": 3.2e-3,
    "S_0": 21.5e6,
    "S_36": 248e6,
    **dict.fromkeys(("FL", "FC", "FE", "FN", "FU"), -1800.0),
    **dict.fromkeys(("ML", "MC", "ME", "MN", "MU"), 950.0),
    **dict.fromkeys(("M_x", "M_y", "M_C", "M_L"), 800.0),
    **dict.fromkeys(("MX_max", "MY_max", "M_max", "F_max", "W_a"), 5e3),
    **dict.fromkeys(("MY_1", "MY_2", "M_1", "M_2", "F_1", "F_2", "M_T", "F_T"), 3e3),
    **dict.fromkeys(("Phi_P", "Phi_Z", "Phi_B", "kappa"), 0.3),
    **dict.fromkeys(("lambda_C", "lambda_S", "C_1", "C_2", "C_3"), 2.4),
    **dict.fromkeys(("P_max", "P_s", "P_o"), 2.1e6),
    **dict.fromkeys(("f", "f_b", "f_p"), 130e6),
    "p_n": 0.2,
    "e": 0.012,
    "e_c": 0.02,
    "e_b": 0.008,
    "e_p": 0.008,
    "w_p": 0.1,
    "d": 0.2,
    "d_e": 0.21,
    "R": 0.7,
    "r": 0.15,
    "r_i": 0.69,
    "C_4": 1.0,
    "f_1": 1.2e5,
    "f_2": 1.1e5,
    "F_A": 4e3,
    "n": 1.5,
    "a": 0.9,
    "b": 1.1,
    "c": 26e3,
    "D_full": 0.2,
    "D_e": 0.15,
}
JOINTS = [
    flange.joint_moment,
    flange.bolting_moment,
    *dict.fromkeys(f for group in BY_SYMBOL.values() for f in group),
    *(f for _, f in inspect.getmembers(machine_load, inspect.isfunction) if has_formula(f)),
]
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
    *JOINTS,
    *dict.fromkeys(f for group in code("ASME B31.3", "2018").worked.values() for f in group),
]


@pytest.mark.parametrize("display", [SI, US], ids=["SI", "US"])
@pytest.mark.parametrize("function", FUNCTIONS, ids=lambda f: f.__name__)
def test_the_result_is_that_of_the_function(function, display):
    given = OF_JOINTS if function in JOINTS else GIVEN
    working = written_out(function, given, display)
    own = function(**{n: given[n] for n in formula_of(function).names})
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
        ("abs(0.6 / 1 + (-0.03))", "|0.6 / 1 + (−0.03)|"),
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


def shells_and_machines():
    """Small plants whose governing checks are those of shells, attachments, flanges and machines, by name."""
    turbine, annex = pump_plant("NEMA SM 23", exhaust="D"), pump_plant("API 610 annex F")
    compressor, cooler = pump_plant("API 617"), pump_plant("API 661", machine_axis="+N")
    cooler["Nozzles"] = [{**cooler["Nozzles"][1], "header": "H-1"}]
    cooler["Lines"], cooler["Segments"], cooler["Supports"] = (
        cooler["Lines"][1:], cooler["Segments"][3:], cooler["Supports"][1:],
    )  # fmt: skip
    pad = with_values(vessel_plant(), "Nozzles", 1, pad_thickness=10, pad_width=200)
    light = with_values(bracket_plant(attachment_radius=60), "Nozzles", 1, flange_class="300", flange_group="group 1.1")
    thin = with_values(vessel_plant(), "Nozzles", 1, neck_wall=2)
    return {
        "turbine": turbine, "compressor": compressor, "annex": annex, "cooler": cooler, "bracket": bracket_plant(),
        "clip": light, "pad": pad, "head": head_plant(), "neck": thin,
    }  # fmt: skip


@pytest.fixture(scope="module", params=list(shells_and_machines()))
def worked_plant(request):
    rows = shells_and_machines()[request.param]
    made, _ = built(rows)
    return request.param, made, analyse(made)


def test_workings_of_shells_and_machines_lead_to_their_results(worked_plant):
    """Every sum, set, flange and shell that is printed has formulas, and they give the number of the verdict."""
    name, plant, results = worked_plant
    sheets = Sheets(plant, results, SI)
    sheets.open(1)
    nozzles, supports = chapter_nozzles.chapter(sheets), chapter_supports.chapter(sheets)
    titles = [g.title for g in nozzles["worked_sums"]]
    titles += [g.title for item in nozzles["items"] for g in item["shell"]]
    titles += [g.title for item in nozzles["items"] for n in item["nozzles"] for g in n["worked"]]
    titles += [g.title for g in supports["worked"]] if supports else []
    wanted = {"turbine": "all connections: resultants", "compressor": "all connections: components",
              "annex": "pump centre: resultant moment", "cooler": "header H-1", "bracket": "Shell at attachment S-1",
              "clip": "Flange", "pad": "Shell at nozzle V1-B", "head": "Shell at nozzle V1-B",
              "neck": "Shell at nozzle V1-B"}[name]  # fmt: skip
    assert any(wanted in title for title in titles)
    again = list(recomputed(plant, results))
    assert {r.kind for r in again} >= {"nozzle load"}
    assert [r for r in again if not r.difference < 1e-6] == []


def test_a_wrong_number_of_a_shell_or_machine_is_not_printed_and_found_by_the_self_check(worked_plant):
    name, plant, results = worked_plant
    sort = {"bracket": "shell at attachment", "clip": "flange", "pad": "shell at nozzle", "head": "shell at nozzle",
            "neck": "shell at nozzle"}.get(name, EQUIPMENT_CHECK)  # fmt: skip
    wrong = replace(results, checks=tuple(spoilt(c) if c.check == sort else c for c in results.checks))
    kinds = {r.kind for r in recomputed(plant, wrong) if not r.difference < 1e-6}
    assert kinds == {sort}
    (check, *_) = [c for c in wrong.checks if c.check == sort and c.inputs and c.ratio > 0]
    assert worked_check(check, SI) == []
    assert worked_shell(check, SI, set()) == []


def spoilt(check):
    """A check with a higher demand and with ratios that agree with it."""
    raised = {k: 1.01 * v for k, v in check.inputs.items() if k.startswith("ratio ") and isinstance(v, float)}
    return replace(check, demand=1.01 * check.demand, ratio=1.01 * check.ratio, inputs={**check.inputs, **raised})
