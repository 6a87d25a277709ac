"""The same plant by every code and edition; allowables of the library are those of one code only."""

from math import pi

import pytest
from stress_books import S_E, S_L, S_O, S_T, anchor, area, book, plant_of, problems_of, stresses

from pipecalc.analysis.assumptions import assumptions
from pipecalc.checks.stress import codes
from pipecalc.problems import Severity
from pipecalc.results import Status

EVERY = [pytest.param(c.title, e, id=f"{c.title}-{e}") for c in codes().values() for e in c.editions]
OTHERS = [("ASME B31.1", "2018"), ("EN 13480-3", "2017")]
RUN = [{"from_": "1", "to": "2", "east": 8.0}]
HELD = [anchor("A", "1"), anchor("B", "2")]
OD, WALL, G = 0.1683, 0.00711, 9.80665
FULL = {"design_pressure": 30, "operating_temperature": 90, "test_pressure": 45}


def plant(title, edition, line=None, **more):
    project = {"code": title, "edition": edition, "seismic_horizontal": 0.2}
    return book(RUN, HELD, line={**FULL, **(line or {})}, project=project, **more)


@pytest.mark.parametrize(("title", "edition"), EVERY)
def test_every_code_and_edition_judges_a_plant_with_its_own_allowables(title, edition):
    found = stresses(plant(title, edition))
    for check in (S_L, S_E, S_O, S_T):
        assert found.at(check).status is Status.PASS
        assert found.at(check).clause.startswith(f"{title}-{edition}")
    assert [c for c in found.checks if c.status is Status.NOT_CHECKED] == []


@pytest.mark.parametrize(("title", "edition"), OTHERS)
def test_allowables_of_the_library_are_never_used_by_another_code(title, edition):
    rows = plant(title, edition, {"material": "A106 B"})
    warned = [p for p in problems_of(rows) if p.severity is Severity.WARNING]
    assert [p.code for p in warned] == ["allowable-unknown"]
    found = stresses(rows)
    for check in (S_L, S_E, S_O):
        assert {c.status for c in found.all(check)} == {Status.NOT_CHECKED}
        assert found.at(check).reason == f"no allowable stress of {title} is known for A106 B: give it on Materials"
    assert found.at(S_T).status is Status.PASS


def test_the_library_serves_its_own_code():
    found = stresses(plant("ASME B31.3", "2018", {"material": "A106 B"}))
    assert found.at(S_L).status is Status.PASS


def test_an_override_of_something_else_does_not_make_the_librarys_allowables_ones_own():
    modulus_only = [{"material": "A106 B", "temperature": t, "modulus": 200, "source": "data book"} for t in (-20, 320)]
    found = stresses(plant("ASME B31.1", "2018", {"material": "A106 B"}, materials=modulus_only))
    assert found.at(S_L).status is Status.NOT_CHECKED
    own = [{**row, "allowable": 100} for row in modulus_only]
    assert stresses(plant("ASME B31.1", "2018", {"material": "A106 B"}, materials=own)).at(S_L).limit == 100e6


def words(title, edition, **project):
    made = plant_of(book(RUN, HELD, project={"code": title, "edition": edition, **project}))
    return {a.what: a for a in assumptions(made, ())}


def test_the_basis_of_factors_is_said_against_that_of_the_edition():
    found = words("ASME B31.3", "2022")["stress intensification factors"]
    assert "Appendix D" in found.value
    assert "ASME B31J-2017" in found.why
    later = words("ASME B31.3", "2022", intensification="B31J")["stress intensification factors"]
    assert "unverified, check against your copy" in later.value


@pytest.mark.parametrize(("title", "edition"), EVERY)
def test_what_a_code_leaves_open_is_among_the_assumptions(title, edition):
    rules = codes()[title]
    made = plant_of(book(RUN, HELD, project={"code": title, "edition": edition}))
    values = [a.value for a in assumptions(made, ()) if a.what == f"{title}-{edition}"]
    assert values == [*rules.notes, *rules.editions[edition].notes]


def test_the_worked_lines_of_every_kind_find_their_symbols():
    """Every input that a chain of formulas starts from stands among the inputs of the check, and the last gives it."""
    from pipecalc.checks.stress.interface import Kind
    from pipecalc.report.format import Display
    from pipecalc.report.worked import chain

    for title, edition in (("ASME B31.3", "2018"), *OTHERS):
        found, rules = stresses(plant(title, edition)), codes()[title]
        for kind, name in ((Kind.SUSTAINED, S_L), (Kind.RANGE, S_E), (Kind.OCCASIONAL, S_O), (Kind.TEST, S_T)):
            check = found.at(name)
            steps = chain(rules.worked[kind], check.inputs, Display("SI"))
            assert list(steps[-1].results.values()) == pytest.approx([check.demand], rel=1e-9)


def test_water_of_the_test_weighs():
    empty, tested = (stresses(plant("ASME B31.3", "2018")).at(check, "1").inputs["M_i"] for check in (S_L, S_T))
    water = 1000 * pi / 4 * (OD - 2 * WALL) ** 2
    assert abs(tested / empty) == pytest.approx(1 + water / (7850 * area()), rel=1e-6)
