"""ASME B31.3: what its equations take in and leave out, by hand with the clause."""

import numpy as np
import pytest

from pipecalc.checks.stress import code
from pipecalc.checks.stress.interface import NO_OPTIONS, Factors, Forces, Geometry, Indices, Options

B31_3 = code("ASME B31.3", "2018")
# An NPS 4 Schedule 40 branch leg on an NPS 8 Schedule 40 header, unreinforced.
LEG = Geometry.of(0.1143, 0.00602, 0.003, 0.00818, 0.003)
LEG_FACTORS = Factors.of(3.9613, 4.9484, bend=False)
NO_PRESSURE = np.zeros(1)


def test_a_header_of_unknown_allowance_leaves_the_sustained_stress_unknown():
    leg = Geometry.of(0.1143, 0.00602, 0.003, 0.00818)
    assert np.isnan(B31_3.sustained(leg, Forces.of(0, 0, 1, 0), LEG_FACTORS, NO_PRESSURE, "2018", NO_OPTIONS).total)


def test_without_a_header_wall_the_branch_has_its_own_section_modulus():
    found = B31_3.displacement_range(Geometry.of(0.1143, 0.00602, 0.003), Forces.of(0, 0, 1, 0), LEG_FACTORS, "2022")
    assert found.inputs["Z_b"] == found.inputs["Z"]


def test_the_axial_range_counts_with_the_factor_of_the_component():
    pull = Forces.of(10e3, 0.0, 0.0, 0.0)
    leg = B31_3.displacement_range(LEG, pull, LEG_FACTORS, "2018")
    bend = B31_3.displacement_range(LEG, pull, Factors.of(3.9613, 4.9484, bend=True), "2018")
    assert leg.total == pytest.approx(4.9484 * bend.total)


def test_the_range_does_not_know_the_allowance_and_the_sustained_stress_does():
    thin, thick = (Geometry.of(0.1683, 0.00711, c) for c in (0.003, 0.0))
    forces, factors = Forces.of(0, 0, 1e3, 0), Factors.of(1.0, 1.0, bend=False)
    same = [B31_3.displacement_range(g, forces, factors, "2018").total[0] for g in (thin, thick)]
    other = [B31_3.sustained(g, forces, factors, NO_PRESSURE, "2018", NO_OPTIONS).total[0] for g in (thin, thick)]
    tested = [B31_3.test(g, forces, factors, NO_PRESSURE, "2018", NO_OPTIONS).total[0] for g in (thin, thick)]
    assert same[0] == same[1] == tested[0] == tested[1]
    assert other[0] > other[1]


def test_own_indices_take_the_place_of_the_default():
    own = Options(indices=Indices.of(1.0, 1.0))
    elbow, forces = Factors.of(2.2639, 1.8866, bend=True), Forces.of(0, 0, 1e3, 0)
    geometry = Geometry.of(0.1683, 0.00711, 0.003)
    default = B31_3.sustained(geometry, forces, elbow, NO_PRESSURE, "2024", NO_OPTIONS).total
    assert default == pytest.approx(
        0.75 * 2.2639 * B31_3.sustained(geometry, forces, elbow, NO_PRESSURE, "2024", own).total
    )
    nothing = Options(indices=Indices.of(0.0, 1.0))
    assert np.isnan(B31_3.sustained(geometry, forces, elbow, NO_PRESSURE, "2024", nothing).total)


def test_sustained_and_occasional_go_into_one_equation():
    """Moments in opposite directions relieve, which is why the event is run with both signs."""
    geometry, factors = Geometry.of(0.1683, 0.00711, 0.0), Factors.of(1.0, 1.0, bend=False)
    weight, quake = Forces.of(0, 0, 1e3, 0), Forces.of(0, 0, 400.0, 0)
    still = Forces.of(0, 0, 0, 0)
    with_, against = (
        B31_3.occasional(geometry, weight, event, factors, NO_PRESSURE, "2018", NO_OPTIONS).total
        for event in (quake, still.minus(quake))
    )
    assert with_ / against == pytest.approx(1400 / 600)


def test_a_strong_steel_never_loses_by_its_sustained_margin():
    """S_h 170 MPa enters with 138: at S_L 150 eq. (1b) is below (1a), which then holds."""
    found = B31_3.allowable_range(1.0, 170e6, 170e6, [150e6], 1.0)
    assert found.value == pytest.approx([1.5 * 138e6])
    assert not found.with_sustained_margin[0]


def test_the_2024_edition_says_what_is_not_known_of_it():
    assert any("2024" in note and "verify" in note for note in B31_3.editions["2024"].notes)
    assert "B31J" in B31_3.editions["2020"].intensification
    assert "Appendix D" in B31_3.editions["2018"].intensification


def test_a_small_range_has_no_end_only_where_the_edition_has_a_lowest_factor():
    assert np.isinf(B31_3.cycles_allowed(0.14, 1.2, "2018"))
    assert np.isfinite(B31_3.cycles_allowed(0.14, 1.2, "2022"))
