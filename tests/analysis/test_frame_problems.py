"""What stands in the way of results is said with its row, its point and its remedy, and never as a traceback."""

from dataclasses import replace

import numpy as np
import pytest

import pipecalc.analysis.frame_parts as frame_module
from pipecalc.analysis.frame import run_frame
from pipecalc.analysis.frame_problems import frame_problems
from pipecalc.calc.solve import solve as real_solve
from pipecalc.problems import InputError, Severity
from tests.analysis.frame_plants import COLD, OPERATING, anchor, plant_of, rows, solve, solve_plant, straight, support

HOT_SUSTAINED = "sustained, supports of operating"


def problems_of(book):
    plant = plant_of(book)
    return list(frame_problems(run_frame(plant), plant))


def told(book):
    return [(p.severity.value, p.code, p.address.sheet, p.address.row, p.found) for p in problems_of(book)]


def test_a_line_that_nothing_holds_names_point_and_directions():
    found = told(rows(straight([3]), []))
    assert {f[:4] for f in found} == {("error", "line-free", "Lines", 3)}
    words = " ".join(f[4] for f in found)
    assert "line L is not held: point" in words
    for way in ("move towards East", "move towards North", "move towards Up"):
        assert way in words


def test_a_line_on_rests_alone_is_free_level():
    """Friction holds nothing against an earthquake, so it does not count as a hold."""
    book = rows(straight([3, 3]), [support(f"R{n}", n, "rest", friction=0.3) for n in "123"])
    found = told(book)
    assert all(code == "line-free" for _, code, *_ in found)
    assert any("towards East" in f[4] for f in found)
    assert any("turn about East" in f[4] for f in found)


def test_a_line_that_can_turn_about_itself_is_told_so():
    held = [support("S1", "1", "rest, guide and line stop"), support("S2", "2", "rest and guide")]
    (found,) = told(rows(straight([3]), held))
    assert found[:4] == ("error", "line-free", "Lines", 3)
    assert "free to turn about East" in found[4]


def test_a_free_direction_that_is_askew_is_an_azimuth():
    held = [support("G1", "1", "rest and guide"), support("G2", "2", "rest and guide")]
    runs = [{"from_": "1", "to": "2", "east": 2, "north": 2 * 3**0.5}]
    words = [f[4] for f in told(rows(runs, held))]
    assert any("move towards az 30.0" in w for w in words)


def test_a_line_held_by_constant_loads_alone_names_the_cases():
    """Locked in the test, free in all others."""
    held = [support(f"G{n}", n, "guide") for n in "13"] + [
        support("P", "1", "line stop"),
        support("Q", "3", "line stop"),
    ]
    loads = [support(f"C{n}", n, "constant load") for n in "123"]
    runs = [{"from_": "1", "to": "2", "east": 3}, {"to": "3", "north": 3}]
    found = told(rows(runs, [*held, *loads], line={"test_pressure": 10}))
    assert found
    assert all(f[1] == "line-free" for f in found)
    assert all(f"in {COLD} and " in f[4] for f in found)


def test_a_point_held_twice_is_refused_before_anything_is_solved():
    plant = plant_of(rows(straight([3]), [anchor("A", "1"), anchor("B", "1")]))
    with pytest.raises(InputError) as caught:
        run_frame(plant)
    (problem,) = caught.value.problems
    assert (problem.code, problem.address.row) == ("held-twice", 4)
    assert "anchor B and anchor A" in problem.found


def test_an_anchor_at_a_nozzle_is_refused():
    nozzle = {"nozzle": "N", "equipment": "V", "nps": 6, "east": 0, "north": 0, "up": 0, "direction": "+E"}
    item = {"equipment": "V", "kind": "fixed", "base_east": -1, "base_north": 0, "base_up": 0}
    item |= {"material": "Test steel", "temperature": 90}
    book = rows(
        straight([3]),
        [anchor("A", "1")],
        line={"start_point": None},
        Equipment=[item],
        Nozzles=[{**nozzle, "line": "L", "point": "1"}],
    )
    with pytest.raises(InputError, match="anchor A and nozzle N hold the same point L/1"):
        run_frame(plant_of(book))


def test_a_snubber_waits_for_the_cold_line(monkeypatch):
    """Where the line sags to is not known when the cold case did not settle: nothing that builds on it is used."""
    book = rows(
        straight([3, 3]),
        [anchor("A", "1"), support("R", "2", "rest"), support("S", "3", "snubber", direction="+U")],
        project={"seismic_vertical": 0.2},
    )
    unsettled(monkeypatch, {"sustained"})
    found = solve_plant(plant_of(book))
    assert {COLD, "seismic Up +", "seismic Up -"} <= set(found.unsettled)
    waiting = [p.found for p in found.problems if p.code == "case-waits"]
    assert any("'seismic Up -' is left out: it builds on 'sustained, cold'" in text for text in waiting)


@pytest.mark.parametrize("kind", ["rest", "guide", "line stop", "hanger rod", "spring", "constant load"])
def test_a_support_at_an_anchor_is_idle_and_solved_all_the_same(kind):
    found = solve(straight([3]), [anchor("A", "1"), support("S", "1", kind)], line={"operating_temperature": 90})
    assert ("support-idle", 4) in [(p.code, p.address.row) for p in found.problems]
    assert found.force("S") == pytest.approx((0, 0, 0), abs=1e-6)


def unsettled(monkeypatch, names):
    """Let the solver say of cases that they did not settle."""

    def solver(frame, restraints, loads, contacts, follows):
        found = real_solve(frame, restraints, loads, contacts, follows)
        settled, seen = found.settled.copy(), found.contacts.settled.copy()
        # A thermal case follows the first one; this is how the group shows which is which.
        for number, after in enumerate(follows):
            name = {0: "operating", -1: "sustained" if number == 0 else "other"}[after]
            if name in names:
                settled[number] = seen[number] = False
        residual = found.contacts.residual.copy()
        residual[:, ~settled] = np.linspace(0.1, 0.3, len(residual))[:, None]
        return replace(found, settled=settled, contacts=replace(found.contacts, settled=seen, residual=residual))

    monkeypatch.setattr(frame_module, "solve", solver)


def resting():
    return plant_of(
        rows(
            straight([3, 3]),
            [anchor("A", "1"), support("R", "2", "rest", friction=0.3), support("T", "3", "rest", friction=0.3)],
            line={"operating_temperature": 220},
        )
    )


def test_a_case_that_does_not_settle_is_left_out_everywhere_with_what_builds_on_it(monkeypatch):
    unsettled(monkeypatch, {"operating"})
    found = solve_plant(resting())
    assert found.unsettled == (OPERATING, HOT_SUSTAINED, "range, installed to operating")
    assert {case for _, case in found.support} == {COLD}
    assert {case for _, _, case in found.point} == {COLD}
    assert {m.case for m in found.members} == {COLD}
    assert {e.case for e in found.equilibrium} == {COLD}
    assert [(p.severity, p.code, p.address.sheet) for p in found.problems] == [
        (Severity.WARNING, "supports-unsettled", "Supports"),
        (Severity.WARNING, "case-waits", "Project"),
    ]
    assert found.problems[0].address.row == 5
    assert "support T" in found.problems[0].found
    assert "NOT CHECKED" in found.problems[0].found
    assert "'operating', which did not settle" in found.problems[1].found


def test_a_case_that_balances_badly_is_left_out_with_words(monkeypatch):
    def solver(*given):
        found = real_solve(*given)
        return replace(found, settled=np.zeros_like(found.settled))

    monkeypatch.setattr(frame_module, "solve", solver)
    found = solve_plant(resting())
    assert set(found.unsettled) == set(found.cases)
    assert "case-unsolved" in {p.code for p in found.problems}


def test_springs_whose_loads_cannot_be_found_leave_no_case_to_use(monkeypatch):
    plant = plant_of(
        rows(
            straight([3, 3]),
            [anchor("A", "1"), support("S", "3", "spring", spring_rate=20), support("R", "2", "rest", friction=0.3)],
            line={"operating_temperature": 220},
        )
    )
    unsettled(monkeypatch, {"operating"})
    found = solve_plant(plant)
    assert set(found.unsettled) == set(found.cases)
    assert [p.code for p in found.problems] == ["springs-unsettled"]
    assert (found.problems[0].address.sheet, found.problems[0].address.row) == ("Supports", 4)
    assert found.support == {}
