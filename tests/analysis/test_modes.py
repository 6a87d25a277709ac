"""Natural frequencies of systems of lines against the frequencies of uniform beams and of masses on springs.

Uniform beam: f = lambda²/(2 pi L²) sqrt(E I/m); lambda² = 3.516 and 22.034 (cantilever), 15.418 (fixed and pinned),
22.373 (fixed at both ends).
"""

from math import pi, sqrt

import pytest

from pipecalc.analysis.modes import COUNT, natural_modes
from tests.analysis.frame_plants import BORE, METAL, A, E, I, anchor, plant_of, rows, solve_plant, straight, support

L = 6.0
STIFF = {"shear_deformation": "no"}


def modes(*given, **more):
    more["project"] = STIFF | more.get("project", {})
    plant = plant_of(rows(*given, **more))
    found = list(natural_modes(solve_plant(plant).run, plant))
    return [m.frequency for m in found], found


def beam(lambda_squared, mass=METAL, length=L):
    return lambda_squared / (2 * pi * length**2) * sqrt(E * I / mass)


def test_a_cantilever():
    found, records = modes(straight([L]), [anchor("A", "1")])
    # Each bending mode comes twice, in both planes.
    assert found[:2] == pytest.approx([beam(3.516)] * 2, rel=2e-3)
    assert found[2:4] == pytest.approx([beam(22.034)] * 2, rel=2e-3)
    assert [m.mode for m in records] == list(range(1, COUNT + 1))
    assert {m.system for m in records} == {"L"}


@pytest.mark.parametrize("way", [{"east": 3.6, "north": 4.8}, {"east": 2, "north": 4, "up": 4}])
def test_a_cantilever_that_runs_askew_has_the_same_frequencies(way):
    found, _ = modes([{"from_": "1", "to": "2", **way}], [anchor("A", "1")])
    assert found[:2] == pytest.approx([beam(3.516)] * 2, rel=1.5e-2)


def test_one_run_between_two_anchors_has_modes_of_its_own():
    found, _ = modes(straight([L]), [anchor("A", "1"), anchor("B", "2")])
    assert found[:2] == pytest.approx([beam(22.373)] * 2, rel=2e-3)


def test_contents_and_insulation_vibrate_with_the_pipe():
    line = {"fluid_density": 900, "insulation_thickness": 50, "insulation_density": 120}
    layer = 120 * pi * 0.05 * (0.1683 + 0.05)
    found, _ = modes(straight([L]), [anchor("A", "1")], line=line)
    assert found[0] == pytest.approx(beam(3.516, METAL + 900 * BORE + layer), rel=2e-3)


def test_a_rest_holds_both_ways_and_friction_does_not():
    """Up the beam is propped, level it swings as a cantilever."""
    found, _ = modes(straight([L]), [anchor("A", "1"), support("R", "2", "rest", friction=0.4)])
    assert found[0] == pytest.approx(beam(3.516), rel=2e-3)
    assert found[1] == pytest.approx(beam(15.418), rel=2e-3)


def test_a_guide_holds_only_where_its_gap_is_closed():
    for gap, lowest in ((0, beam(15.418)), (5, beam(3.516))):
        held = [anchor("A", "1"), support("R", "2", "rest"), support("G", "2", "guide", gap=gap)]
        assert modes(straight([L]), held)[0][0] == pytest.approx(lowest, rel=2e-3)


def test_a_rest_that_the_cold_line_leaves_is_absent():
    """Two metres of overhang beside six lift a rest at the other side of the middle one."""
    runs = straight([1, 1, 7])
    held = [anchor("A", "1"), support("U", "2", "rest"), support("R", "3", "rest")]
    lifted = modes(runs, held)[0]
    without = modes(runs, [held[0], held[2]])[0]
    assert lifted == pytest.approx(without, rel=1e-9)


def test_a_mass_on_a_light_arm():
    """f = sqrt(k/M)/(2 pi) with k = 3 E I/L³, M with 33/140 of the arm's own mass (Rayleigh)."""
    runs, load = straight([2]), {"load": "M", "line": "L", "point": "2", "mass": 2000}
    found, _ = modes(runs, [anchor("A", "1")], **{"Point loads": [load]})
    rate = 3 * E * I / 8
    assert found[0] == pytest.approx(sqrt(rate / (2000 + 33 / 140 * 2 * METAL)) / (2 * pi), rel=1e-3)
    along = sqrt(E * A / 2 / (2000 + 2 * METAL / 3)) / (2 * pi)
    assert any(f == pytest.approx(along, rel=1e-3) for f in found)


def test_a_spring_adds_its_rate_and_a_snubber_and_a_constant_load_nothing():
    load = {"load": "M", "line": "L", "point": "2", "mass": 2000}

    def lowest(*extra):
        return modes(straight([2]), [anchor("A", "1"), *extra], **{"Point loads": [load]})[0]

    bare = lowest()
    assert lowest(support("S", "2", "snubber", direction="+N")) == pytest.approx(bare, rel=1e-9)
    assert lowest(support("S", "2", "constant load")) == pytest.approx(bare, rel=1e-9)
    rate, spring = 3 * E * I / 8, 500e3
    sprung = lowest(support("S", "2", "spring", spring_rate=500))
    assert sprung[0] == pytest.approx(bare[0], rel=1e-6)
    assert sprung[1] / bare[0] == pytest.approx(sqrt((rate + spring) / rate), rel=1e-4)


def test_a_support_of_finite_stiffness_is_a_spring():
    load = {"load": "M", "line": "L", "point": "2", "mass": 2000}
    held = [anchor("A", "1"), support("R", "2", "rest", stiffness=500)]
    found, _ = modes(straight([2]), held, **{"Point loads": [load]})
    rate = 3 * E * I / 8
    assert found[1] / found[0] == pytest.approx(sqrt((rate + 500e3) / rate), rel=1e-4)


def test_an_expansion_joint_is_a_spring_with_its_mass_at_its_ends():
    """A stub of 0.5 m on an axial joint: f = sqrt(k/M)/(2 pi) with half the joint's mass."""
    joint = {"item": "expansion joint", "joint_axial": 100, "joint_lateral": 1e8, "joint_angular": 1e8, "joint_area": 0}
    runs = [{"from_": "1", "to": "2", "east": 0.4, "mass": 30, **joint}, {"to": "3", "east": 0.5}]
    guides = [support("G", "3", "rest and guide")]
    found, _ = modes(runs, [anchor("A", "1"), *guides])
    mass = 15 + 0.5 * METAL
    assert any(f == pytest.approx(sqrt(100e3 / mass) / (2 * pi), rel=1e-3) for f in found)


def two_systems():
    base = rows([])["Lines"][0]
    lines = [{**base, "line": "B", "start_point": None}, {**base, "line": "C", "start_point": "1", "start_up": 9}]
    segments = [
        *straight([4, 4]),
        {"line": "B", "from_": "L/2", "to": "5", "north": 3},
        {"line": "C", "from_": "1", "to": "2", "east": L},
    ]
    held = [anchor("A", "1"), anchor("B", "3"), anchor("C", "1", line="C")]
    return segments, held, lines


def test_each_connected_system_has_its_own_modes_and_its_lines_names():
    segments, held, lines = two_systems()
    _, records = modes(segments, held, lines=lines)
    by_system = {name: [m for m in records if m.system == name] for name in dict.fromkeys(m.system for m in records)}
    assert list(by_system) == ["L, B", "C"]
    assert [len(found) for found in by_system.values()] == [COUNT, COUNT]
    assert by_system["C"][0].frequency == pytest.approx(beam(3.516), rel=2e-3)


def test_a_system_that_its_gaps_leave_free_has_a_first_mode_of_zero():
    held = [support(f"G{n}", n, "rest and guide", gap=0) for n in "12"] + [support("P", "1", "line stop", gap=5)]
    held += [support("H", "3", "rest")]
    runs = [*straight([4]), {"from_": "2", "to": "3", "north": 2}]
    found, records = modes(runs, held)
    assert found == [0.0]
    assert records[0].mode == 1


def test_the_operating_contents_count_and_not_the_hot_modulus():
    hot, _ = modes(straight([L]), [anchor("A", "1")], line={"operating_temperature": 300, "fluid_density": 500})
    cold, _ = modes(straight([L]), [anchor("A", "1")], line={"fluid_density": 500})
    assert hot == pytest.approx(cold, rel=1e-9)
