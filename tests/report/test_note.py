"""The context and the HTML note: what is said, and that nothing hostile gets through."""

import re
from dataclasses import replace
from html.parser import HTMLParser
from math import nan

import findings
import plants
import pytest

from pipecalc.report import chapter_selfcheck
from pipecalc.report.chapter_verdict import screening_over, verdicts
from pipecalc.report.note import linked_faces, make_note, note_context, note_html, trace_of
from pipecalc.report.recomputed import recomputed
from pipecalc.results import Equilibrium, Mode, PointMovement, Results, Status, Study, StudyRow, SupportLoad

HOSTILE = "<script>alert('x')</script><img src=http://example.org/x.png>"


class Tags(HTMLParser):
    def __init__(self):
        super().__init__()
        self.seen = []

    def handle_starttag(self, tag, attrs):
        self.seen.append((tag, dict(attrs)))


def context_of(plant, results):
    return note_context(plant, results, plants.TRACE)


def tables(context):
    for chapter in context["chapters"]:
        stack = list(chapter.has.values())
        while stack:
            item = stack.pop()
            if hasattr(item, "rows"):
                yield item
            elif isinstance(item, dict):
                stack.extend(item.values())
            elif isinstance(item, list):
                stack.extend(item)


@pytest.fixture(scope="module")
def plant():
    return plants.plant()


@pytest.fixture(scope="module")
def context(plant):
    return context_of(plant, findings.results(plant))


def test_chapters_are_numbered_without_gaps(context):
    assert [c.number for c in context["chapters"]] == list(range(1, len(context["chapters"]) + 1))


def test_every_table_has_its_own_number(context):
    numbers = [t.number for t in tables(context)]
    assert len(numbers) == len(set(numbers)) > 20


def test_every_row_is_as_wide_as_its_table(context):
    for table in tables(context):
        assert {len(row) for row in table.rows} - {1} <= {len(table.columns)}


def test_worst_comes_first(plant):
    found = verdicts(plant, findings.results(plant))
    assert [(v.tag, v.status.value) for v in found] == [
        ("E-220/S1", "FAIL"),
        ("H-2204", "FAIL"),
        ("D-201/B1", "NOT CHECKED"),
        ("V-2101", "PASS"),
        ("D-201/V1", "PASS"),
        ("E-220/T1", "PASS"),
    ]


def test_decisions_are_sentences_with_numbers(context):
    said = context["chapters"][0].has["decisions"]
    assert said[0].startswith("Nozzle E-220/S1: nozzle load at 100 is 9230 N·m against 6500 N·m allowed by set EXC-1")
    assert "ratio 1.42" in said[0]
    assert said[2] == "Nozzle D-201/B1 is not settled: no allowable set was named."


def test_a_screening_check_that_fails_does_not_fail_its_line(plant):
    results = findings.results(plant)
    checks = tuple(replace(c, status=Status.FAIL, ratio=3.0) if c.screening else c for c in results.checks)
    found = {v.tag: v for v in verdicts(plant, replace(results, checks=checks))}
    assert found["V-2101"].status is Status.PASS


def test_nothing_computed_reads_as_not_checked(plant):
    assert {v.status for v in verdicts(plant, Results())} == {Status.NOT_CHECKED}
    html = note_html(context_of(plant, Results()), "")
    assert "PASS" not in html.replace("NOT CHECKED is not a pass", "").split("How this note checks itself")[0]


def test_not_checked_names_what_no_method_gave(context):
    said = " ".join(context["chapters"][0].has["not_checked"])
    assert "no allowable set was named" in said
    assert "Natural frequencies" in said


def test_hostile_text_stays_text(plant):
    lines = {HOSTILE: replace(plant.lines["V-2101"], name=HOSTILE, service=HOSTILE, remark=HOSTILE)}
    project = replace(plant.project, title=HOSTILE, client=HOSTILE, document_number=f'"; content: "{HOSTILE}')
    html = note_html(context_of(replace(plant, lines=lines, project=project), findings.results(plant)), "")
    parser = Tags()
    parser.feed(html)
    tags = {tag for tag, _attrs in parser.seen}
    assert not tags & {"script", "img", "iframe", "object", "link"}
    assert not any(name.startswith("on") for _tag, attrs in parser.seen for name in attrs)


def test_the_note_in_us_units_is_on_letter_paper():
    us = plants.plant("US")
    context = context_of(us, findings.results(us))
    html = note_html(context, linked_faces())
    assert "size: Letter" in html
    assert "6808 ft·lbf against 4794 ft·lbf" in html


def failures(plant, results):
    return chapter_selfcheck.failures(plant, results, list(recomputed(plant, results)))


def test_self_check_failures_are_said_on_the_verdict_page(plant):
    spoilt = Equilibrium("operating", (0, 0, -9e3), (0, 0, 8e3), 0.11, 1e-9, 2e-5, nan)
    results = replace(findings.results(plant), equilibrium=(spoilt,))
    assert failures(plant, results) == [
        "In case operating the reactions do not balance the loads: residual 1.1e-01.",
        "In case operating the work of the forces is not the energy stored: residual 2.0e-05.",
        "In case operating the work through the movements of another case is not the same the other way round: "
        "residual nan.",
    ]
    assert "does not pass its own checks" in note_html(context_of(plant, results), "")
    assert failures(plant, findings.results(plant)) == []


def test_a_gap_at_a_nozzle_is_found(plant):
    moved = {**plant.points, ("V-2101", "10"): (0.0, 0.002, 12.4)}
    assert "miss nozzle D-201/V1 by 2.00 mm" in failures(replace(plant, points=moved), Results())[0]


def test_results_of_a_frame_analysis_are_shown_where_there_are_any(plant):
    load = SupportLoad("PS-1", "operating", (1, 2, -4321.0), (0, 0, 0), -4321.0, 1, 2, 3, False, (0, 0, 0.001))
    move = PointMovement("V-2101", "50", "operating", 0.01, 0.0, 0.004, 0, 0, 0)
    results = replace(findings.results(plant), support_loads=(load,), points=(move,))
    html = note_html(context_of(plant, results), "")
    assert "−4321" in html
    assert "position in the case shown" in html
    assert "Support loads were not computed" not in html


def test_rules_for_all_nozzles_of_an_item_are_in_verdict_and_chapter(plant):
    made = findings.check(
        "equipment nozzle loads", "E-220", "", "sum of forces", 900.0, 600.0, "N", set="API 610", clause="Table 5"
    )
    results = replace(findings.results(plant), checks=(*findings.results(plant).checks, made))
    context = context_of(plant, results)
    assert verdicts(plant, results)[0].tag == "E-220"
    assert ("E-220", "Equipment") in {row[:2] for row in context["chapters"][0].has["table"].rows}
    assert "All nozzles of an item together" in note_html(context, "")


def test_supports_not_checked_for_one_reason_share_a_row_and_are_all_named(plant):
    unknown = [
        findings.check("support load", tag, s.point[0], s.point[1], nan, nan, "N", reason="no allowable is given")
        for tag, s in plant.supports.items()
    ]
    results = replace(findings.results(plant), checks=(*findings.results(plant).checks, *unknown))
    rows = [row for row in context_of(plant, results)["chapters"][0].has["table"].rows if row[1] == "Support"]
    assert len(rows) == 1
    assert all(tag in rows[0][3] for tag in plant.supports)
    assert rows[0][-1] == "NOT CHECKED"


def test_modes_and_studies_have_their_tables(plant):
    row = StudyRow(("5.00 m",), 1.31, Status.FAIL, "E-220/S1", "nozzle load", "operating", 900.0, 50.0, "")
    study = Study("first leg", "nozzle E-220/S1", ("length",), (row, replace(row, values=("7.00 m",), ratio=0.8)))
    results = replace(findings.results(plant), modes=(Mode("V-2101", 1, 4.567),), studies=(study,))
    html = note_html(context_of(plant, results), "")
    assert "Natural frequencies" in html
    assert "4.57" in html
    assert "Study first leg: nozzle E-220/S1" in html
    assert "7.00 m" in html


def test_spans_have_a_table_marked_as_screening(plant):
    numbers = {f"span by {name}": 9.0 for name in ("stress", "sag", "frequency")}
    span = findings.check(
        "span", "V-2101", "V-2101", "20 to 40", 7.2, 9.0, "m", reason="sag governs", inputs=numbers, screening=True
    )
    results = replace(findings.results(plant), checks=(*findings.results(plant).checks, span))
    chapter = next(c for c in context_of(plant, results)["chapters"] if c.title == "Line V-2101")
    table = chapter.has["spans"][0]
    assert "screening" in table.caption
    assert table.rows[0][0] == "20 to 40"
    assert "7.200" in table.rows[0][1]


def test_the_html_note_needs_nothing_else(files):
    text = files.html.read_text(encoding="utf-8")
    assert "data:font/ttf;base64," in text
    assert 'url("IBM' not in text
    assert "http://" not in text.replace("http://www.w3.org/2000/svg", "")


def test_figures_are_saved(files):
    assert len(files.figures) >= 5
    assert all(f.read_text(encoding="utf-8").startswith("<svg") for f in files.figures)


def test_the_trace_has_no_clock(plant):
    trace = trace_of(plant, "a.xlsx", b"abc")
    assert trace.issued == plant.project.issued
    assert trace.sha256.startswith("ba7816bf")


def test_without_a_system_library_the_html_note_is_still_made(plant, monkeypatch):
    from pipecalc.problems import EnvironmentLacks
    from pipecalc.report import pdf

    def lacking():
        raise EnvironmentLacks(pdf.HOW_TO_GET_IT)

    monkeypatch.setattr(pdf, "_library", lacking)
    note = make_note(plant, findings.results(plant), plants.TRACE, None)
    assert re.search(r"Debian, Ubuntu.*\n.*Fedora.*\n.*macOS.*\n.*Windows", note.lacks)
    assert note.files["flash-vessel.html"]
    assert note.pdf is None
    assert "flash-vessel.pdf" not in note.files


def test_a_screening_check_over_its_limit_stands_on_the_verdict_page(plant):
    """It does not decide, so nothing else on that page would say it."""
    results = findings.results(plant)
    first = results.checks[0]
    worst = replace(first, status=Status.FAIL, ratio=6.64, screening=True, case="a case")
    lesser = replace(worst, ratio=2.0)
    said = screening_over(replace(results, checks=(lesser, worst)))
    assert len(said) == 1
    assert first.subject in said[0]
    assert "6.64" in said[0]
    assert not screening_over(replace(results, checks=(replace(worst, screening=False),)))


def test_a_comparison_with_rigid_nozzles_that_did_not_settle_is_said(plant):
    results = findings.results(plant)
    known = next(x for x in results.nozzle_loads if x.nozzle == "E-220/S1")
    unknown = dict.fromkeys(("FR", "FL", "FC", "MR", "ML", "MC"), nan)
    frame = replace(known, method="frame")
    beside = replace(known, method="frame, rigid nozzle", force=(nan,) * 3, moment=(nan,) * 3, **unknown)
    html = note_html(context_of(plant, replace(results, nozzle_loads=(frame, beside))), "")
    assert f"With every nozzle rigid the frame does not settle in: {known.case}." in html
    assert "if its shell did not give way" not in html
