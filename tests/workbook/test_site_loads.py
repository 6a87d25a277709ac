"""Seismic coefficients from site values, and what the Project sheet may say about code and edition."""

import pytest
from stress_books import anchor, book, plant_of, problems_of

from pipecalc.problems import Severity

RUN, HELD = [{"from_": "1", "to": "2", "east": 8.0}], [anchor("A", "1"), anchor("B", "2")]
SITE_16 = {
    "seismic_standard": "ASCE 7-16", "S_DS": 1.0, "height_ratio": 0.5, "importance": 1.5, "amplification": 2.5,
    "response_factor": 12,
}  # fmt: skip
SITE_22 = {**SITE_16, "seismic_standard": "ASCE 7-22", "amplification": 1.0, "response_factor": 1.5,
           "structure_ductility": 1.3}  # fmt: skip


def project(**values):
    return plant_of(book(RUN, HELD, project=values)).project


def found(**values):
    """Problems other than notes of defaults: severity, code and place."""
    problems = problems_of(book(RUN, HELD, project=values))
    return [(p.severity, p.code, str(p.address)) for p in problems if p.code != "default-taken"]


def test_what_was_computed_is_told_with_its_level():
    ((severity, code, _),) = found(**SITE_16)
    assert (severity, code) == (Severity.NOTE, "seismic-computed")
    (told,) = [p for p in problems_of(book(RUN, HELD, project=SITE_16)) if p.code == "seismic-computed"]
    assert "0.3150 horizontal and 0.1400 vertical" in told.found
    assert "0.7" in told.accepted
    assert "verify against the edition of record" in told.hint


def test_typed_coefficients_win():
    made = project(**SITE_16, seismic_horizontal=0.2)
    assert (made.seismic_horizontal, made.seismic_vertical) == (0.2, pytest.approx(0.14))
    both = project(**SITE_16, seismic_horizontal=0.2, seismic_vertical=0.1)
    assert (both.seismic_horizontal, both.seismic_vertical) == (0.2, 0.1)


def test_without_a_standard_site_values_do_nothing_and_that_is_said():
    values = {key: value for key, value in SITE_16.items() if key != "seismic_standard"}
    assert project(**values).seismic_horizontal is None
    assert [(p[0], p[1]) for p in found(**values)] == [(Severity.WARNING, "value-unused")] * len(values)
    typed = found(**SITE_16, seismic_horizontal=0.2, seismic_vertical=0.1)
    assert [(p[0], p[1]) for p in typed] == [(Severity.WARNING, "value-unused")] * len(values)


@pytest.mark.parametrize(
    ("site", "missing", "said"),
    [
        (SITE_16, "S_DS", "ASCE 7-16 needs Site S_DS"),
        (SITE_16, "height_ratio", "ASCE 7-16 needs Height ratio z/h"),
        (SITE_22, "structure_ductility", "ASCE 7-22 needs Structure ductility R_mu"),
    ],
)
def test_a_missing_site_value_is_an_error(site, missing, said):
    problems = problems_of(book(RUN, HELD, project={**site, missing: None}))
    (wrong,) = [p for p in problems if p.severity is Severity.ERROR]
    assert (wrong.code, wrong.found, wrong.address.sheet) == ("seismic-incomplete", said, "Project")


def test_an_impossible_site_value_is_told_once():
    (wrong,) = [p for p in found(**{**SITE_16, "importance": 4}) if p[0] is Severity.ERROR]
    assert wrong[1] != "seismic-incomplete"


def test_an_edition_that_the_code_does_not_have_is_told_once_with_those_it_has():
    problems = problems_of(book(RUN, HELD, project={"code": "ASME B31.1", "edition": "2022"}))
    (wrong,) = [p for p in problems if p.severity is Severity.ERROR]
    assert (wrong.code, wrong.found) == ("edition-unknown", "ASME B31.1 has no edition 2022 here")
    assert wrong.accepted == "2014, 2016, 2018"


@pytest.mark.parametrize("edition", ["2016", "2026", "twenty"])
def test_an_unknown_edition_is_an_error(edition):
    wrong = [p for p in found(edition=edition) if p[0] is Severity.ERROR]
    assert len(wrong) == 1


@pytest.mark.parametrize(
    ("where", "values"),
    [
        ("line", {"cycles": -5}),
        ("line", {"corrosion_allowance": 7.2}),
        ("line", {"weld_strength": 1.2}),
        ("line", {"weld_strength": 0}),
    ],
)
def test_impossible_values_of_a_line_are_errors(where, values):
    problems = problems_of(book(RUN, HELD, **{where: values}))
    assert [p.severity for p in problems if p.severity is Severity.ERROR] != []


def test_negative_cycles_of_a_state_are_an_error():
    state = {"state": "hot", "applies_to": "all", "temperature": 90, "cycles": -1}
    problems = problems_of(book(RUN, HELD, States=[state]))
    assert [p.address.sheet for p in problems if p.severity is Severity.ERROR] == ["States"]


def test_a_design_temperature_outside_the_table_is_an_error_with_its_range():
    problems = problems_of(book(RUN, HELD, line={"design_temperature": 620}))
    (wrong,) = [p for p in problems if p.severity is Severity.ERROR]
    assert wrong.found == "allowable stress of Test steel at 620 °C is outside its table"
    assert wrong.accepted == "-50 to 600 °C"
