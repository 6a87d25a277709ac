"""The note of the sample plant: complete, as rounded from results.json, and laid out without holes."""

import json
import re
from dataclasses import replace
from functools import cache
from html import unescape

import pypdfium2
import pytest
from conftest import page_texts
from demo import run_of

from pipecalc.report import format as fmt
from pipecalc.report.chapter_selfcheck import failures
from pipecalc.report.format import Display
from pipecalc.report.recomputed import recomputed
from pipecalc.results import Status

DEMO = "geothermal-heat"
MOST_PAGES = 60
MOST_BYTES = 2_000_000
LARGEST_HOLE = 0.35
TOP, BOTTOM = 24.0, 17.0  # margins of the page [mm]


@cache
def texts():
    return [" ".join(page.split()) for page in page_texts(run_of(DEMO).note)]


@cache
def document():
    return json.loads(run_of(DEMO).results_file.read_text(encoding="utf-8"))


def governing(checks):
    rated = [c for c in checks if c["ratio"] is not None and not c.get("screening")]
    return max(rated, key=lambda c: c["ratio"], default=None)


def pages_of(title):
    """Text of a chapter, by its bookmark."""
    pdf = pypdfium2.PdfDocument(run_of(DEMO).note)
    marks = [(b.get_title(), b.get_dest().get_index()) for b in pdf.get_toc() if b.level == 0]
    pdf.close()
    starts = [page for _t, page in marks] + [len(texts()) - 1]
    at = next(i for i, (name, _p) in enumerate(marks) if name.endswith(title))
    return " ".join(texts()[starts[at] : starts[at + 1] + 1])


def test_it_is_short_and_small():
    assert len(texts()) <= MOST_PAGES
    assert run_of(DEMO).note.stat().st_size < MOST_BYTES


def test_the_verdict_is_one_page_with_every_line_and_nozzle_and_its_governing_ratio():
    plant = run_of(DEMO).plant
    assert "Verdict" in texts()[1]
    assert "Contents" in texts()[2]
    for tag in (*plant.lines, *plant.nozzles):
        others = {*plant.nozzles, *plant.supports}
        own = [
            c for c in document()["checks"] if c["subject"] == tag or (c["line"] == tag and c["subject"] not in others)
        ]
        worst = governing(own)
        expected = fmt.ratio(worst["ratio"])
        assert re.search(rf"{re.escape(tag)} (Line|Nozzle) .{{0,160}}? {re.escape(expected)} [A-Z]", texts()[1]), tag


def test_every_support_stands_with_the_ratio_of_its_load():
    plant, chapter = run_of(DEMO).plant, pages_of("Supports")
    for tag in plant.supports:
        loads = [c for c in document()["checks"] if c["subject"] == tag and c["check"] == "support load"]
        worst = governing(loads)
        expected = fmt.ratio(worst["ratio"]) if worst else fmt.NONE
        assert re.search(rf"{re.escape(tag)} .{{0,120}}? {re.escape(expected)} [A-Z]", chapter), tag


def test_every_line_has_its_stresses_as_rounded():
    display = Display("SI")
    for line in run_of(DEMO).plant.lines:
        chapter = pages_of(f"Line {line}")
        for name in ("sustained stress", "displacement stress range", "occasional stress", "test stress"):
            worst = governing([c for c in document()["checks"] if c["line"] == line and c["check"] == name])
            both = [display.text("stress", worst[k]) for k in ("demand", "limit")]
            assert f"{both[0]} ≤ {both[1]}, ratio {fmt.ratio(worst['ratio'])}: {worst['status']}" in chapter, line


def test_every_nozzle_has_the_loads_of_its_governing_case():
    chapter, display = pages_of("Nozzles").replace(fmt.FIGURE_SPACE, " "), Display("SI")
    chapter = " ".join(chapter.split())
    for tag in run_of(DEMO).plant.nozzles:
        worst = governing([c for c in document()["checks"] if c["subject"] == tag and c["check"] == "nozzle load"])
        load = next(
            x
            for x in document()["nozzle_loads"]
            if x["nozzle"] == tag and x["case"] == worst["case"] and x["method"] == "frame"
        )
        shown = " ".join(display.number("force", load[name]) for name in ("FR", "FL", "FC"))
        assert shown in chapter, tag


def test_every_nozzle_set_is_worked_out_to_its_verdict():
    chapter = pages_of("Nozzles")
    for tag in run_of(DEMO).plant.nozzles:
        worst = governing([c for c in document()["checks"] if c["subject"] == tag and c["check"] == "nozzle load"])
        said = f"ratio {fmt.ratio(worst['ratio'])}: {worst['status']}. Limit: {worst['clause']}."
        assert f"Set {worst['set']}, case “{worst['case']}”" in chapter, tag
        assert said in chapter, tag


def test_every_spring_has_its_loads_and_its_working():
    chapter, display = pages_of("Supports"), Display("SI")
    assert document()["springs"]
    for spring in document()["springs"]:
        numbers = " ".join(display.number("force", spring[name]) for name in ("hot_load", "cold_load"))
        assert f"{spring['support']} {spring['kind']} {numbers}" in chapter
        assert f"Spring {spring['support']} (installed to operating)" in chapter
        assert f"{fmt.significant(spring['cold_load'], 5)} N" in chapter


def test_the_sum_of_cycles_leads_to_the_cycles_used():
    for line in run_of(DEMO).plant.lines:
        checks = [c for c in document()["checks"] if c["line"] == line and c["check"] == "displacement stress range"]
        inputs = governing(checks)["inputs"]
        terms = re.findall(r"(\S+) at (\S+?)(?:;|$)", inputs["cycles"])
        assert sum(float(n) * float(share) ** inputs["m"] for n, share in terms) == pytest.approx(inputs["N"], rel=5e-4)
        assert f"= {fmt.significant(inputs['N'], 5)}" in pages_of(f"Line {line}")


def test_no_page_ends_with_a_heading():
    html = (run_of(DEMO).folder / f"{DEMO}.html").read_text(encoding="utf-8")
    found = re.findall(r"<(h[123]|caption)\b[^>]*>(.*?)</\1>", html, flags=re.DOTALL)
    heads = {"".join(unescape(re.sub(r"<[^>]+>", "", words)).split()) for _tag, words in found}
    assert len(heads) > 50
    for number, page in enumerate(page_texts(run_of(DEMO).note), 1):
        lines = ["".join(line.split()) for line in page.splitlines() if line.strip()]
        body = [line for line in lines if not line.endswith(f"page{number}of{len(texts())}")]
        last = next(line for line in reversed(body) if "FORREVIEW" not in line)
        assert last not in heads, (number, last)


def test_both_methods_stand_side_by_side_for_every_line():
    for line in run_of(DEMO).plant.lines:
        chapter = pages_of(f"Line {line}")
        assert "By hand the governing ratio is" in chapter
        assert "Thermal loads on the nozzles" in chapter


def test_screening_is_marked_wherever_it_is_printed():
    whole = " ".join(texts())
    for name in {c.check for c in run_of(DEMO).results.checks if c.screening}:
        assert re.search(rf"(?i){re.escape(name.partition(' (')[0])}.{{0,400}}?screening", whole), name


def test_what_was_not_checked_is_named_on_the_verdict_page():
    for check in (c for c in run_of(DEMO).results.checks if c.status is Status.NOT_CHECKED):
        assert check.subject in texts()[1], check


def test_no_page_has_a_large_hole_but_before_a_chapter():
    pdf = pypdfium2.PdfDocument(run_of(DEMO).note)
    starts = {b.get_dest().get_index() for b in pdf.get_toc() if b.level == 0}
    holes = {}
    for i in range(2, len(pdf) - 1):
        if i + 1 not in starts:
            holes[i + 1] = hole(pdf[i])
    pdf.close()
    assert {page: share for page, share in holes.items() if share > LARGEST_HOLE} == {}


def hole(page):
    """Share of the text area below the last ink, above the footer."""
    height = page.get_height() * 25.4 / 72
    picture = page.render(scale=0.75, grayscale=True).to_numpy()
    rows = picture.reshape(picture.shape[0], -1).min(axis=1) < 200
    per_mm = len(rows) / height
    first, last = int(TOP * per_mm), int((height - BOTTOM) * per_mm)
    inked = [n for n in range(first, last) if rows[n]]
    return 1.0 - ((inked[-1] if inked else first) - first) / (last - first)


def test_no_number_of_si_is_left_in_a_note_in_us_units():
    html = run_of("l-line-us").folder / "l-line-us.html"
    text = re.sub(r"<style>.*?</style>|<svg.*?</svg>", "", html.read_text(encoding="utf-8"), flags=re.DOTALL)
    text = " ".join(unescape(re.sub(r"<[^>]+>", " ", text)).split())
    found = [text[max(0, m.start() - 50) : m.end() + 20] for m in re.finditer(SI_UNITS, text)]
    assert found == []


SI_UNITS = r"\d (?:mm|m|MPa|GPa|Pa|N|kN|N·m|N/mm|°C|kg|kg/m³|barg|cm³|cm²)(?![\w/·])"


def test_every_note_names_no_table_column_too_narrow_for_its_head():
    from pipecalc.report.columns import SIZE, TABLE, column_shares
    from pipecalc.report.note import note_context, trace_of
    from pipecalc.report.type_width import text_width

    run = run_of(DEMO)
    context = note_context(run.plant, run.results, trace_of(run.plant, run.name, b""))
    for table in tables([c.has for c in context["chapters"]]):
        for column, share in zip(table.columns, column_shares(table.columns, table.rows), strict=True):
            widest = max((text_width(word, SIZE, bold=True) for word in column.head.split()), default=0.0)
            assert share * TABLE >= widest, (table.caption, column.head)


def tables(item):
    if hasattr(item, "rows") and hasattr(item, "columns"):
        yield item
    elif isinstance(item, dict):
        yield from tables(list(item.values()))
    elif isinstance(item, list | tuple):
        for part in item:
            yield from tables(part)


@pytest.mark.parametrize(
    "name", ["sustained stress", "displacement stress range", "occasional stress", "test stress", "wall thickness"]
)
def test_a_result_that_its_own_formula_does_not_give_fails_the_self_check(name):
    plant, results = run_of(DEMO).plant, run_of(DEMO).results
    tag = next(iter(plant.lines))
    worst = max((c for c in results.checks if c.check == name and c.line == tag), key=lambda c: c.ratio)
    tampered = replace(worst, demand=1.001 * worst.demand, ratio=1.001 * worst.ratio)
    checks = tuple(tampered if c is worst else c for c in results.checks)
    found = list(recomputed(plant, replace(results, checks=checks)))
    (said,) = failures(plant, replace(results, checks=checks), found)
    assert f"do not lead to the result: {name}, {tag}" in said


@pytest.mark.parametrize(("what", "inputs"), [("nozzle load", {"FR": 9999.0}), ("spring variation", {"k": 1.0e5})])
def test_a_number_put_in_that_was_not_the_one_computed_with_fails_the_self_check(what, inputs):
    plant, results = run_of(DEMO).plant, run_of(DEMO).results
    worst = max((c for c in results.checks if c.check == what), key=lambda c: c.ratio)
    checks = tuple(replace(c, inputs={**c.inputs, **inputs}) if c is worst else c for c in results.checks)
    found = list(recomputed(plant, replace(results, checks=checks)))
    (said,) = failures(plant, replace(results, checks=checks), found)
    assert f"do not lead to the result: {what}, {worst.subject}" in said


def test_the_self_check_compares_every_working_that_is_printed():
    plant = run_of(DEMO).plant
    kinds = [x.kind for x in recomputed(plant, run_of(DEMO).results)]
    for kind in ("governing leg", "sustained stress", "displacement stress range", "wall thickness"):
        assert kinds.count(kind) == len(plant.lines), kind
    assert kinds.count("nozzle load") == len(plant.nozzles)
    assert kinds.count("spring variation") == sum(s.type == "spring" for s in plant.supports.values())


@pytest.mark.parametrize("name", [DEMO, "l-line-us"])
def test_the_note_passes_its_own_checks(name):
    assert "does not pass its own checks" not in " ".join(page_texts(run_of(name).note))
