"""Factors at points against the formulas of ASME B31.3-2018 Table D300, by hand."""

from dataclasses import replace
from math import isnan, nan, pi, radians, tan

import pytest

from pipecalc.analysis.factors import OWN, SET_B31J, branch_factors, tee_factors, turn_factors
from pipecalc.model import OwnFactors, Section, Turn
from tests.analysis.hand_plants import built, line_rows

T, R2 = 7.11, 80.595  # mm; NPS 6 standard wall
PIPE = Section(0.1683, 0.00711, 6.0, "40")


def segment(turn: Turn | None, **over):
    plant = built(line_rows([{"east": 6}, {"north": 4}]))
    return replace(plant.lines["L-1"].segments[0], turn=turn, **over)


@pytest.mark.parametrize(("kind", "radius"), [("long radius", 228.6), ("short radius", 152.4), ("bend", 500.0)])
def test_an_elbow_by_its_characteristic(kind: str, radius: float) -> None:
    h = T * radius / R2**2
    found = turn_factors(segment(Turn(kind, radius / 1e3, pi / 2)))
    assert found.k == pytest.approx(max(1.65 / h, 1.0))
    assert found.i_in == pytest.approx(max(0.9 / h ** (2 / 3), 1.0))
    assert found.i_out == pytest.approx(max(0.75 / h ** (2 / 3), 1.0))
    assert found.largest_i == found.i_in


def test_a_closely_spaced_mitre_by_hand() -> None:
    theta = radians(90) / (2 * 3)
    s = 2 * 300.0 * tan(theta)  # spacing at the centre line, from R1 = s cot(theta)/2
    assert s < R2 * (1 + tan(theta)) * 2
    found = turn_factors(segment(Turn("mitre", 0.3, radians(90), mitre_cuts=3)))
    h = T * s / (2 * tan(theta)) / R2**2 if s < R2 * (1 + tan(theta)) else T * (1 + 1 / tan(theta)) / (2 * R2)
    assert found.i_in == pytest.approx(0.9 / h ** (2 / 3))


def test_a_sharp_corner_of_90_degrees_is_beyond_the_rule_for_single_mitres() -> None:
    assert isnan(turn_factors(segment(Turn("none", 0.0, pi / 2))).largest_i)


def test_a_sharp_corner_of_30_degrees_is_a_single_mitre() -> None:
    theta = radians(15)
    h = (1 + 1 / tan(theta)) / 2 * T / R2
    assert turn_factors(segment(Turn("none", 0.0, radians(30)))).i_in == pytest.approx(0.9 / h ** (2 / 3))


def test_the_users_own_factors_win_one_by_one() -> None:
    turn = Turn("long radius", 0.2286, pi / 2)
    computed = turn_factors(segment(turn))
    found = turn_factors(segment(turn, own=OwnFactors(i_in=3.0)))
    assert (found.i_in, found.i_out, found.k) == (3.0, computed.i_out, computed.k)
    assert found.source == OWN


@pytest.mark.parametrize(
    ("kind", "pad", "h"),
    [
        ("welding tee", 0.0, 3.1 * T / R2),
        ("unreinforced fabricated tee", 0.0, T / R2),
        ("reinforced fabricated tee", 8.0, (T + 4.0) ** 2.5 / (R2 * T**1.5)),
        ("reinforced fabricated tee", 12.0, 4.05 * T / R2),
        ("welded-on fitting", 0.0, 3.3 * T / R2),
    ],
)
def test_branches_by_table_d300(kind: str, pad: float, h: float) -> None:
    found = branch_factors(kind, PIPE, pad / 1e3)
    i_o = max(0.9 / h ** (2 / 3), 1.0)
    assert found.i_out == pytest.approx(i_o)
    assert found.i_in == pytest.approx(i_o if kind == "welded-on fitting" else 0.75 * i_o + 0.25)


@pytest.mark.parametrize("kind", ["", "something new"])
@pytest.mark.parametrize("basis", ["Appendix D 2018", "B31J"])
def test_a_branch_of_unknown_kind_has_no_factor(kind: str, basis: str) -> None:
    found = tee_factors(basis, kind, PIPE, PIPE, 0.0)
    assert isnan(found.run.largest_i)
    assert isnan(found.branch.largest_i)


def test_the_newer_set_is_called_unverified() -> None:
    found = tee_factors("B31J", "welding tee", PIPE, PIPE, 0.0)
    assert found.run.source == SET_B31J
    assert "unverified" in found.run.source


@pytest.mark.parametrize(("i_in", "i_out"), [(nan, 2.0), (2.0, nan), (nan, nan)])
def test_the_larger_of_two_factors_is_unknown_if_one_is(i_in: float, i_out: float) -> None:
    found = replace(branch_factors("welding tee", PIPE, 0.0), i_in=i_in, i_out=i_out)
    assert isnan(found.largest_i)
