"""Lines that no pipe joins are solved apart: the parts together are the whole, and no line knows of another."""

import numpy as np
import pytest

from pipecalc.analysis import frame_parts
from pipecalc.analysis.frame_parts import parts_of
from pipecalc.analysis.modes import natural_modes
from tests.analysis.frame_plants import Found, plant_of, rows, solve_plant
from tests.properties.frame_books import random_book


def side_by_side(count: int) -> tuple[dict, list[dict]]:
    """One workbook with several random plants, their lines and supports renamed, and each plant's own workbook."""
    books = [renamed(random_book(900 + n), f"{n}-") for n in range(count)]
    whole = rows([], project=dict(books[0]["Project"][0]))
    for sheet in ("Lines", "Segments", "Supports", "Point loads"):
        whole[sheet] = [row for book in books for row in book[sheet]]
    whole["States"] = [{**books[0]["States"][0], "applies_to": "all"}]
    return whole, [{**book, "States": whole["States"]} for book in books]


def renamed(book, prefix):
    def name(value):
        return None if value is None else prefix + value

    def point(value):
        return prefix + value if value is not None and "/" in value else value

    return {
        **book,
        "Lines": [{**row, "line": name(row["line"])} for row in book["Lines"]],
        "Segments": [{**row, "line": name(row["line"]), "from_": point(row["from_"])} for row in book["Segments"]],
        "Supports": [{**r, "line": name(r["line"]), "support": name(r["support"])} for r in book["Supports"]],
        "Point loads": [
            {**r, "line": name(r["line"]), "load": name(r["load"]), "acts_in": "operating"} for r in book["Point loads"]
        ],
    }


def same(part: Found, whole: Found) -> None:
    for case in part.cases:
        if case.startswith("range"):
            continue
        largest = max(np.linalg.norm(s.force) for (_, c), s in part.support.items() if c == case)
        for (name, c), load in part.support.items():
            if c == case:
                assert np.abs(np.subtract(load.force, whole.support[name, c].force)).max() <= 1e-7 * largest


@pytest.mark.parametrize("directions", [1, 40, 10_000])
def test_the_whole_plant_is_its_lines(monkeypatch, directions):
    monkeypatch.setattr(frame_parts, "_DIRECTIONS", directions)
    book, own = side_by_side(4)
    whole = solve_plant(plant_of(book))
    solved = whole.run.static[0]
    parts = parts_of(solved.frame, solved.contacts)
    assert {1: 4, 10_000: 1}.get(directions, len(parts)) == len(parts)
    assert sorted(np.concatenate([p.nodes for p in parts])) == list(range(len(solved.frame.nodes)))
    assert whole.unsettled == ()
    assert max(e.residual for e in whole.equilibrium) <= 1e-8
    for one in own:
        same(solve_plant(plant_of(one)), whole)


def test_a_free_line_is_named_among_held_ones(monkeypatch):
    monkeypatch.setattr(frame_parts, "_DIRECTIONS", 1)
    book, _ = side_by_side(3)
    book["Supports"] = [row for row in book["Supports"] if not row["line"].startswith("1-")]
    found = solve_plant(plant_of(book))
    assert {p.code for p in found.problems if p.severity == "error"} == {"line-free"}
    assert all(p.found.startswith("line 1-") for p in found.problems if p.severity == "error")


def test_modes_of_a_line_do_not_know_of_others():
    book, own = side_by_side(3)
    plant = plant_of(book)
    whole = [(m.system, m.mode, m.frequency) for m in natural_modes(solve_plant(plant).run, plant)]
    apart = []
    for one in own:
        plant = plant_of(one)
        apart += [(m.system, m.mode, m.frequency) for m in natural_modes(solve_plant(plant).run, plant)]
    assert [w[:2] for w in whole] == [a[:2] for a in apart]
    assert [w[2] for w in whole] == pytest.approx([a[2] for a in apart], rel=1e-7)
