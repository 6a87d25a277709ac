"""Records and verdicts of the hand method."""

from math import hypot, nan, sqrt

import numpy as np
import pytest

from pipecalc.analysis.chains import chains_of
from pipecalc.analysis.intensification import point_factors
from pipecalc.analysis.leg_checks import BentLeg, combined_stress
from pipecalc.analysis.legs import hand_line, leg_factor, solve_chain, solve_ranges
from pipecalc.calc.material import modulus_at, strain_between
from pipecalc.calc.section import moment_of_inertia
from pipecalc.results import Leg, Status
from tests.analysis.hand_plants import COLD, built, line_rows

D, T = 0.1683, 0.00711
I_ELBOW = 0.9 / (7.11 * 228.6 / 80.595**2) ** (2 / 3)  # in-plane, long radius elbow of NPS 6 standard wall


def hand(runs, **more):
    plant = built(line_rows(runs, **more))
    return hand_line(plant.lines["L-1"], plant), plant


def growth(plant, temperature=180.0) -> float:
    return strain_between(plant.lines["L-1"].material, COLD, temperature)


def test_a_leg_record_holds_the_guided_cantilever_of_its_displacement() -> None:
    found, plant = hand([{"east": 6}, {"north": 4}])
    (leg,) = [leg for leg in found.legs if leg.direction == "East"]
    E, I = modulus_at(plant.lines["L-1"].material, COLD), moment_of_inertia(D, T)
    delta = 6 * growth(plant)
    assert (leg.from_, leg.to, leg.along, leg.state) == ("20", "30", "North", "operating")
    assert leg.absorbs == pytest.approx(delta)
    assert leg.absorbs_by_axis == pytest.approx((-delta, 0.0, 0.0))
    assert leg.force == pytest.approx(12 * E * I * delta / 4**3)
    assert leg.moment == pytest.approx(6 * E * I * delta / 4**2)
    assert leg.stress == pytest.approx(I_ELBOW * 3 * E * D * delta / 4**2, rel=1e-4)
    assert leg.length_needed == pytest.approx(sqrt(3 * E * D * delta * I_ELBOW / leg.limit), rel=1e-4)
    assert leg.ratio == leg.stress / leg.limit
    assert leg.rows == (4,)


def test_a_leg_just_as_long_as_needed_is_just_at_its_limit() -> None:
    found, _ = hand([{"east": 6}, {"north": 4}])
    (leg,) = [leg for leg in found.legs if leg.direction == "East"]
    assert leg.ratio == pytest.approx((leg.length_needed / leg.length) ** 2)


def test_a_leg_bent_in_two_directions_is_checked_for_both_at_once() -> None:
    found, _ = hand([{"east": 6}, {"up": 4}, {"north": 5}])
    riser = {leg.direction: leg.stress for leg in found.legs if (leg.from_, leg.to) == ("20", "30")}
    (check,) = [c for c in found.checks if c.point == "20 to 30"]
    assert set(riser) == {"East", "North"}
    assert check.demand == pytest.approx(hypot(riser["East"], riser["North"]))
    assert check.ratio == check.demand / check.limit


def leg(stress: float) -> Leg:
    more = dict.fromkeys(("absorbs", "length", "length_needed", "force", "moment", "ratio", "intensification"), 1.0)
    names = dict.fromkeys(("line", "from_", "to", "direction", "along", "state"), "x")
    return Leg(
        stress=stress,
        limit=1.0,
        absorbs_by_axis=(0, 0, 0),
        points=(),
        stretch=("", ""),
        rows=(3,),
        inputs={},
        **more,
        **names,
    )


def bent(stress: float, lateral, axis: int, first: int = 0, last: int = 1) -> BentLeg:
    bending = tuple((np.array(lateral) / np.linalg.norm(lateral) * stress).tolist())
    return BentLeg(("x", "x"), first, last, axis, stress, bending, "range", "clause", lambda: leg(stress))


def test_stresses_square_to_each_other_add_by_the_root_of_squares() -> None:
    assert combined_stress([bent(3.0, (0.1, 0, 0), 0), bent(4.0, (0, 0.2, 0), 1)], []) == pytest.approx(5.0)


def test_stresses_of_an_oblique_leg_in_one_direction_add_up() -> None:
    across = (0.1, -0.1, 0.0)
    assert combined_stress([bent(3.0, across, 0), bent(4.0, across, 1)], []) == pytest.approx(7.0)


def test_legs_that_are_divided_differently_add_in_the_worse_sense() -> None:
    across, back = (0.1, -0.1, 0.0), (-0.1, 0.1, 0.0)
    assert combined_stress([bent(3.0, across, 0)], [bent(4.0, back, 1)]) == pytest.approx(7.0)


def test_an_unknown_stress_makes_the_sum_unknown() -> None:
    assert np.isnan(combined_stress([bent(3.0, (0.1, 0, 0), 0)], [bent(nan, (0, 0.2, 0), 1)]))


def test_a_guide_in_one_direction_does_not_hide_the_bending_in_another() -> None:
    guide = {"support": "G", "point": "30", "type": "guide"}
    found, _ = hand([{"east": 6}, {"north": 3}, {"north": 3}, {"up": 4}, {"east": 2}], supports=[guide])
    stress = {(leg.from_, leg.to, leg.direction): leg.stress for leg in found.legs}
    (check,) = [c for c in found.checks if c.point == "20 to 40"]
    beside = max(stress["20", "30", "East"], stress["30", "40", "East"])
    assert check.demand == pytest.approx(hypot(stress["20", "40", "Up"], beside))


def test_ranges_are_taken_between_every_pair_of_states() -> None:
    cold = [{"state": "chilled", "applies_to": "L-1", "temperature": -40}]
    line = {"material": "A333 6"}
    found, plant = hand([{"east": 6}, {"north": 4}], temperature=60, states=cold, line=line)
    (leg,) = [leg for leg in found.legs if leg.direction == "East"]
    (check,) = [c for c in found.checks if c.point == "20 to 30"]
    assert leg.absorbs == pytest.approx(6 * (growth(plant, 60.0) - growth(plant, -40.0)))
    assert check.case in ("range, operating to chilled", "range, chilled to operating")


def test_the_range_between_two_states_counts_how_far_nozzles_move_between_them() -> None:
    rows = line_rows([{"east": 6}, {"north": 4}], temperature=60)
    rows["Equipment"][1] |= {"base_east": 8, "temperature": 200}
    rows["States"] = [{"state": "cold pump", "applies_to": "P-2", "temperature": COLD}]
    plant = built(rows)
    (chain,) = chains_of(plant.lines["L-1"])
    (found,) = [h for h in solve_ranges(chain, plant) if h.label == "operating to cold pump"]
    (east,) = found.stretches[0]
    assert east.to_absorb == pytest.approx(2 * growth(plant, 200.0))


def test_nozzle_loads_are_those_of_the_states_and_not_of_ranges() -> None:
    cold = [{"state": "chilled", "applies_to": "L-1", "temperature": 30}]
    found, _ = hand([{"east": 6}, {"north": 4}], temperature=60, states=cold)
    assert sorted((load.nozzle, load.case) for load in found.nozzle_loads) == [
        ("A", "operating"),
        ("A", "operating: chilled"),
        ("B", "operating"),
        ("B", "operating: chilled"),
    ]


def test_a_load_is_resolved_along_the_nozzles_own_axes() -> None:
    found, plant = hand([{"east": 3}, {"up": 2}, {"north": 4}])
    for load in found.nozzle_loads:
        R, L, C = (np.array(axis) for axis in plant.nozzles[load.nozzle].axes)
        assert np.cross(R, L) == pytest.approx(C)
        whole = [*(axis @ load.force for axis in (R, L, C)), *(axis @ load.moment for axis in (R, L, C))]
        assert list(load.components.values()) == pytest.approx(whole)


def test_the_hot_modulus_lowers_reactions_and_not_stresses() -> None:
    runs = [{"east": 6}, {"north": 4}]
    found, plant = hand(runs)
    hot, _ = hand(runs, project={"modulus_for_reactions": "operating"})
    material = plant.lines["L-1"].material
    share = modulus_at(material, 180.0) / modulus_at(material, COLD)
    assert hot.legs[0].force == pytest.approx(found.legs[0].force * share)
    assert hot.nozzle_loads[0].force == pytest.approx(np.array(found.nozzle_loads[0].force) * share)
    assert hot.legs[0].stress == found.legs[0].stress


def test_a_run_held_straight_is_reported_with_its_thrust() -> None:
    found, _ = hand([{"east": 6}, {"north": 4}], supports=[{"support": "S", "point": "20", "type": "line stop"}])
    (held,) = found.restrained
    (check,) = [c for c in found.checks if "held straight" in c.reason]
    assert (held.from_, held.to, held.direction) == ("10", "20", "East")
    assert check.status is Status.FAIL
    assert (check.demand, check.limit) == (held.stress, held.limit)


def test_a_loop_is_sized_where_nothing_gives_way() -> None:
    found, plant = hand([{"east": 6}])
    (loop,) = found.loops
    E, growing = modulus_at(plant.lines["L-1"].material, COLD), 6 * growth(plant)
    assert loop.height == pytest.approx(sqrt(1.5 * E * D * growing / found.restrained[0].limit))
    assert loop.width == loop.height / 2


def test_no_loop_is_asked_for_where_the_thrust_is_within_the_limit() -> None:
    found, _ = hand([{"east": 6}], temperature=40)
    assert found.checks[0].status is Status.PASS
    assert found.loops == ()


def test_a_leg_without_an_allowable_stress_is_not_checked_and_brings_no_loop() -> None:
    metal = {"material": "Own", "source": "data sheet", "modulus": 200, "expansion": 12}
    rows = line_rows([{"east": 6}, {"north": 4}], line={"material": "Own"})
    rows["Materials"] = [metal | {"temperature": t, "density": 7850} for t in (20, 300)]
    plant = built(rows)
    found = hand_line(plant.lines["L-1"], plant)
    assert {c.status for c in found.checks} == {Status.NOT_CHECKED}
    assert found.loops == ()
    assert all(c.reason for c in found.checks)


def test_a_weaker_segment_is_held_against_its_own_allowable() -> None:
    # S_c and S_h enter with at most 138 MPa: A106 A has 110 MPa, A106 C has 138 MPa or more.
    runs = [{"east": 6, "material": "A106 B"}, {"north": 4, "material": "A53 B"}]
    found, plant = hand(runs, line={"material": "A312 TP304"})
    limits = {leg.along: leg.limit for leg in found.legs}
    assert plant.lines["L-1"].material.name == "A312 TP304"
    assert limits["North"] < 138e6 * 1.5 * 1.2


def branch_rows(kind: str | None):
    rows = line_rows([{"east": 4, "branch": kind}, {"east": 2}, {"north": 4}])
    rows["Lines"].append(rows["Lines"][0] | {"line": "L-2", "from_": None, "to": None})
    rows["Segments"].append({"line": "L-2", "from_": "L-1/20", "to": "20", "up": 3})
    rows["Segments"].append({"line": "L-2", "to": "30", "north": 3})
    rows["Supports"] = [{"support": "X", "line": "L-2", "point": "30", "type": "anchor"}]
    return rows


def test_the_branch_leg_has_the_factor_of_the_tee_on_the_header() -> None:
    plant = built(branch_rows("unreinforced fabricated tee"))
    factor = point_factors(plant.lines["L-2"], plant)["L-1", "20"]
    # h = T/r2 = 0.0882, i_o = 0.9/h^(2/3) (Table D300, unreinforced fabricated tee)
    assert factor == pytest.approx(0.9 / (7.11 / 80.595) ** (2 / 3), rel=1e-6)
    found = hand_line(plant.lines["L-2"], plant)
    assert max(leg.intensification for leg in found.legs if leg.from_ == "20") == pytest.approx(factor)


def test_a_tee_without_a_kind_is_not_checked() -> None:
    plant = built(branch_rows(None))
    assert np.isnan(point_factors(plant.lines["L-1"], plant)["L-1", "20"])
    found = hand_line(plant.lines["L-2"], plant)
    (check,) = [c for c in found.checks if c.point == "20 to 20"]
    assert check.status is Status.NOT_CHECKED


def test_a_point_of_another_line_is_not_mistaken_for_a_point_of_the_same_name() -> None:
    plant = built(branch_rows("welding tee"))
    factors = point_factors(plant.lines["L-2"], plant)
    assert factors["L-2", "20"] == pytest.approx(I_ELBOW, rel=1e-4)
    assert factors["L-1", "20"] != factors["L-2", "20"]


def test_a_users_own_factor_on_a_straight_run_counts() -> None:
    plant = built(line_rows([{"east": 3, "own_i_in": 1.7}, {"east": 3}, {"north": 4}]))
    assert point_factors(plant.lines["L-1"], plant) == {("L-1", "20"): 1.7, ("L-1", "30"): pytest.approx(I_ELBOW)}


def test_a_tee_inside_a_leg_counts_by_its_share_of_the_end_moment() -> None:
    rows = branch_rows("unreinforced fabricated tee")
    plant = built(rows)
    (chain,) = chains_of(plant.lines["L-1"])
    (stretch,) = solve_chain(chain, plant, plant.states[0]).stretches[1]
    piece = stretch.pieces[0]
    assert leg_factor(chain, piece, {("L-1", "20"): 6.0}) == pytest.approx(6.0 * (4 - 3) / 3)
    assert leg_factor(chain, piece, {("L-1", "20"): 2.0}) == 1.0
    assert np.isnan(leg_factor(chain, piece, {("L-1", "20"): nan}))


def test_every_pair_of_states_is_solved_in_both_senses() -> None:
    states = [{"state": name, "applies_to": "L-1", "temperature": t} for name, t in (("a", 60), ("b", 90))]
    plant = built(line_rows([{"east": 6}, {"north": 4}], states=states))
    (chain,) = chains_of(plant.lines["L-1"])
    assert len(solve_ranges(chain, plant)) == 3 + 3 * 2
