"""The runner can fail: wrong numbers, missing numbers, faults, and files that are no sources."""

from dataclasses import replace
from math import inf, nan

import pytest

from pipecalc.verification import runner
from pipecalc.verification.models import walls
from pipecalc.verification.records import Compared
from pipecalc.verification.runner import run_problem, split, verify
from pipecalc.verification.source import Source, load, read


def small(**over: object) -> dict[str, object]:
    """A source of one problem with two rows, as parsed from its file."""
    problem = {
        "name": "walls",
        "found": "walls.wall",
        "given": {"S [MPa]": 138.0, "E": 1.0, "c [mm]": 3.0},
        "limit": {"relative": 1e-3, "reason": "five figures"},
        "inputs": ["P [MPa]", "D [mm]"],
        "expected": ["t [mm]", "t_m [mm]"],
        "rows": [[5.0, 219.1, 3.9125, 6.9125], [5.0, 406.4, 7.2571, 10.2571]],
    }
    return {
        "title": "T",
        "group": "G",
        "citation": "C",
        "confidence": "arithmetic",
        "compares": "W",
        "modules": ["calc.pressure"],
        "problem": [problem | over],
    }


def source(**over: object) -> Source:
    return read("small", small(**over))


def test_numbers_within_their_limit_pass() -> None:
    found = verify([source()])
    assert [c.passes for c in found.compared] == [True] * 4
    assert found.outside == ()
    assert found.worst("small") < 1.0


def test_a_tampered_expected_number_fails_alone() -> None:
    rows = [[5.0, 219.1, 3.9125 * 1.0012, 6.9125], [5.0, 406.4, 7.2571, 10.2571]]
    (wrong,) = verify([source(rows=rows)]).outside
    assert (wrong.quantity, wrong.given, wrong.unit) == ("t", "P 5 MPa, D 219.1 mm", "mm")
    assert wrong.difference == pytest.approx(3.9125 - 3.9125 * 1.0012, abs=1e-4)
    assert wrong.ratio > 1.0


@pytest.mark.parametrize("name", ["api_610", "iapws_r7_97", "frame_closed_forms"])
def test_every_number_of_a_source_fails_when_it_is_tampered(name: str) -> None:
    """Half a limit beyond what was found, and twice the limit the other way."""
    for problem in load(name).problems:
        for c in run_problem(load(name), problem):
            assert not replace(c, expected=c.found + 1.5 * c.limit).passes
            assert not replace(c, expected=c.found - 2.0 * c.limit).passes


def test_a_number_that_is_not_found_fails(monkeypatch) -> None:
    monkeypatch.setattr(walls, "wall", lambda **_: {"t": nan, "t_m": 6.9125e-3})
    first, second, *_ = verify([source()]).compared
    assert (first.passes, first.ratio) == (False, inf)
    assert second.passes


def test_a_fault_fails_every_number_of_its_row_with_its_message_and_the_others_run(monkeypatch) -> None:
    whole = walls.wall

    def faulty(**inputs: float) -> object:
        if inputs["D"] < 0.3:
            raise RuntimeError("boom")
        return whole(**inputs)

    monkeypatch.setattr(walls, "wall", faulty)
    found = verify([source(), load("kellogg_equivalent_pressure")])
    assert [c.passes for c in found.of("small")] == [False, False, True, True]
    assert [c.message for c in found.of("small")][:2] == ["RuntimeError: boom"] * 2
    assert len(found.of("small")) == 4
    assert all(c.passes for c in found.of("kellogg_equivalent_pressure"))


@pytest.mark.parametrize(
    ("over", "message"),
    [
        ({"found": "walls.nothing"}, "has no attribute 'nothing'"),
        ({"expected": ["t [mm]", "T_max [mm]"]}, "T_max"),
        ({"expected": ["t [mm]", "t_m [furlong]"]}, "no known unit: furlong"),
        ({"inputs": ["P [MPa]", "Diameter [mm]"]}, "unexpected keyword argument 'Diameter'"),
        ({"rows": [[5.0, 219.1, "P*x", 6.9125]]}, "no value for x"),
    ],
)
def test_a_problem_that_cannot_run_fails_and_says_why(over: dict[str, object], message: str) -> None:
    found = verify([source(**over)]).compared
    assert not any(c.passes for c in found)
    assert message in found[0].message


def test_a_limit_of_nothing_passes_nothing() -> None:
    exact = Compared("s", "p", "", "q", 0.0, 0.0, "1", 0.0, "", "memory")
    assert not exact.passes
    assert replace(exact, limit=1e-9).passes


def test_the_share_of_the_largest_is_taken_over_the_rows_by_unit() -> None:
    found = run_problem(source(), source(limit={"largest": 0.01, "reason": "R"}).problems[0])
    assert [c.limit for c in found] == pytest.approx([0.102571] * 4)


@pytest.mark.parametrize(
    ("over", "message"),
    [
        ({"rows": [[5.0, 219.1, 3.9125]]}, "every row must hold 4 values"),
        ({"rows": []}, "nothing is compared"),
        ({"rows": [[5.0, 219.1, nan, 1.0]]}, "not finite"),
        ({"limits": {"T [mm]": {"relative": 1.0, "reason": "R"}}}, "limits for T [mm], which is not expected"),
        ({"limit": {"relative": 1.0}}, "reason"),
        ({"colour": "red"}, "unknown entries colour"),
    ],
)
def test_a_file_that_is_no_source_is_refused(over: dict[str, object], message: str) -> None:
    with pytest.raises(ValueError, match=r"^small\.toml: ") as refused:
        source(**over)
    assert message in str(refused.value)


def test_two_problems_of_one_name_are_refused() -> None:
    data = small()
    with pytest.raises(ValueError, match="two problems of one name"):
        read("small", data | {"problem": data["problem"] * 2})  # type: ignore[operator]


@pytest.mark.parametrize(
    ("title", "parts"), [("t_m [mm]", ("t_m", "mm")), ("k", ("k", "1")), ("M 10-15, i [N·m]", ("M 10-15, i", "N·m"))]
)
def test_titles_are_taken_apart(title: str, parts: tuple[str, str]) -> None:
    assert split(title) == parts


def test_inputs_are_told_in_words() -> None:
    inputs = {
        "P [MPa]": 3.0,
        "schedule": "40S",
        "shear": "yes",
        "pressure_class": "300",
        "kind": "welding tee",
        "x": "",
    }
    told = "P 3 MPa, schedule 40S, shear yes, pressure class 300, welding tee"
    assert runner.words(inputs) == told


def test_the_name_of_a_row_is_no_argument() -> None:
    assert runner.arguments({"row": "node 10", "D [mm]": 250.0}) == {"D": 0.25}
