"""What must hold of the hand method for any line: balance, turning, order of rows, units, and an exact solution.

The exact solution is the elastic centre of a plane line between two anchors: Spielvogel, Piping Stress Calculations
Simplified; written out here on its own.
"""

from math import cos, radians, sin

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipecalc.analysis.chains import chains_of
from pipecalc.analysis.legs import end_load, hand_line, solve_chain
from pipecalc.calc.material import modulus_at, strain_between
from pipecalc.calc.section import moment_of_inertia
from pipecalc.results import NozzleLoad
from tests.analysis.hand_plants import COLD, built, line_rows
from tests.workbook.books import twin

SPIELVOGEL = pytest.mark.source("Spielvogel, Piping Stress Calculations Simplified, elastic centre")

LENGTHS = st.integers(10, 80).map(lambda n: n / 10)
AXES = ("east", "north", "up")
FEW = settings(max_examples=8)


@st.composite
def lines(draw) -> list[dict[str, float]]:
    """Three to five runs along the axes, each across the one before."""
    runs, last = [], None
    for _ in range(draw(st.integers(3, 5))):
        last = draw(st.sampled_from([axis for axis in AXES if axis != last]))
        sign = draw(st.sampled_from([1, 1, 1, -1])) if last == "up" else 1
        runs.append({last: sign * draw(LENGTHS)})
    return runs


def hand(rows, **more) -> tuple:
    plant = built(rows, **more)
    return hand_line(plant.lines["L-1"], plant), plant


def loads(found) -> dict[str, NozzleLoad]:
    return {load.nozzle: load for load in found.nozzle_loads}


def vectors(found) -> np.ndarray:
    return np.array([[*load.force, *load.moment] for load in sorted(found.nozzle_loads, key=lambda load: load.nozzle)])


def same(a, b) -> bool:
    size = max(1.0, float(np.abs(a).max()))
    return np.allclose(a, b, rtol=1e-6, atol=1e-6 * size)


@FEW
@given(lines())
def test_forces_at_the_ends_are_in_balance(runs) -> None:
    plant = built(line_rows(runs))
    (chain,) = chains_of(plant.lines["L-1"])
    solved = solve_chain(chain, plant, plant.states[0])
    start, end = end_load(solved, 0)[0], end_load(solved, len(chain.keys) - 1)[0]
    assert same(start, -end)


def turned(rows, angle: float):
    c, s = cos(angle), sin(angle)

    def turn(row, *keys):
        east, north = (row.get(key) or 0.0 for key in keys)
        return row | {keys[0]: c * east - s * north, keys[1]: s * east + c * north}

    out = rows | {"Segments": [turn(r, "east", "north") for r in rows["Segments"]]}
    out["Equipment"] = [turn(r, "base_east", "base_north") for r in rows["Equipment"]]
    out["Nozzles"] = [turn(r, "east", "north") | {"direction": f"{c}, {s}, 0"} for r in rows["Nozzles"]]
    return out


@FEW
@given(lines(), st.integers(1, 359).map(radians))
def test_turning_the_plant_about_up_turns_the_loads(runs, angle: float) -> None:
    rows = line_rows(runs)
    rows["Supports"] = [{"support": "G", "line": "L-1", "point": "20", "type": "rest and guide"}]
    R = np.array([[cos(angle), -sin(angle), 0], [sin(angle), cos(angle), 0], [0, 0, 1]])
    straight, tilted = vectors(hand(rows)[0]), vectors(hand(turned(rows, angle))[0])
    assert same(straight[:, :3] @ R.T, tilted[:, :3])
    assert same(straight[:, 3:] @ R.T, tilted[:, 3:])


@FEW
@given(lines(), st.randoms(use_true_random=False))
def test_the_order_of_rows_that_name_both_ends_does_not_matter(runs, random) -> None:
    rows = line_rows(runs)
    mixed = rows["Segments"][:]
    random.shuffle(mixed)
    one, two = hand(rows)[0], hand(rows | {"Segments": mixed})[0]
    assert same(vectors(one), vectors(two))
    ratios = [sorted((c.point, c.ratio) for c in found.checks) for found in (one, two)]
    assert [p for p, _ in ratios[0]] == [p for p, _ in ratios[1]]
    assert [r for _, r in ratios[0]] == pytest.approx([r for _, r in ratios[1]])


@FEW
@given(lines())
def test_the_same_line_in_us_units_gives_the_same_results(runs) -> None:
    rows = line_rows(runs)
    assert same(vectors(hand(rows)[0]), vectors(hand(twin(rows), units="US")[0]))


@FEW
@given(lines(), st.floats(0.2, 0.8))
def test_cutting_a_run_in_two_changes_nothing(runs, share: float) -> None:
    rows = line_rows(runs)
    first = rows["Segments"][0]
    (axis,) = runs[0]
    whole = first[axis]
    rows["Segments"][0] = first | {"to": "15", axis: whole * share}
    rows["Segments"].insert(1, first | {"from_": "15", axis: whole * (1 - share)})
    assert same(vectors(hand(line_rows(runs))[0]), vectors(hand(rows)[0]))


@FEW
@given(lines(), st.floats(1.5, 4.0))
def test_more_movement_of_a_nozzle_gives_more_load_in_proportion(runs, factor: float) -> None:
    def with_move(size: float):
        rows = line_rows(runs, temperature=COLD)
        rows["Nozzles"][0] |= {"move_east": 4 * size, "move_north": -2 * size, "move_up": 3 * size}
        return vectors(hand(rows)[0])

    assert same(factor * with_move(1.0), with_move(factor))


def test_a_cold_line_between_ends_that_do_not_move_has_no_load() -> None:
    assert not vectors(hand(line_rows([{"east": 4}, {"north": 3}], temperature=COLD))[0]).any()


def elastic_centre(points, strain: float, EI: float) -> tuple[np.ndarray, list[float]]:
    """Forces on the start [N] and moments at the points [N·m] of a plane line between anchors that grows by strain."""
    at = np.array(points, float)
    a, b = at[:-1], at[1:]
    length, middle, step = np.linalg.norm(b - a, axis=1), (a + b) / 2, b - a
    centre = (length[:, None] * middle).sum(axis=0) / length.sum()
    x, y = (middle - centre).T
    I_x = (length * (y**2 + step[:, 1] ** 2 / 12)).sum()
    I_y = (length * (x**2 + step[:, 0] ** 2 / 12)).sum()
    I_xy = (length * (x * y + step[:, 0] * step[:, 1] / 12)).sum()
    force = np.linalg.solve([[I_x, -I_xy], [-I_xy, I_y]], EI * strain * (at[-1] - at[0]))
    moments = [float(force[0] * (p[1] - centre[1]) - force[1] * (p[0] - centre[0])) for p in at]
    return force, moments


def l_bend(east: float, north: float):
    plant = built(line_rows([{"east": east}, {"north": north}]))
    material = plant.lines["L-1"].material
    EI = modulus_at(material, COLD) * moment_of_inertia(0.1683, 0.00711)
    exact = elastic_centre([(0, 0), (east, 0), (east, north)], strain_between(material, COLD, 180.0), EI)
    return loads(hand_line(plant.lines["L-1"], plant)), exact


@SPIELVOGEL
@pytest.mark.parametrize("leg", [3.0, 4.0, 7.5])
def test_an_l_bend_of_equal_legs_is_exact(leg: float) -> None:
    found, (force, moments) = l_bend(leg, leg)
    assert np.abs(found["A"].force[:2]) == pytest.approx(np.abs(force), rel=1e-6)
    assert [abs(found[n].moment[2]) for n in "AB"] == pytest.approx([abs(moments[0]), abs(moments[-1])], rel=1e-6)


@SPIELVOGEL
@pytest.mark.parametrize(("east", "north"), [(8.0, 4.0), (6.0, 3.0), (10.0, 2.0)])
def test_of_an_l_bend_with_unequal_legs_the_short_legs_end_is_on_the_safe_side(east: float, north: float) -> None:
    found, (_, moments) = l_bend(east, north)
    assert abs(found["B"].moment[2]) > abs(moments[-1])
